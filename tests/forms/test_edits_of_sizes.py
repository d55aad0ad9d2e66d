"""Keys that are worked out, or set by a variant, or mirrored, where a change is written into the text."""

from __future__ import annotations

from pathlib import Path

import pytest

from generators.errors import ExportError
from generators.jobs.asdrilled.revise import Setting, revised_text
from generators.model.changes import Change, NewTable, Proposal, Shift
from generators.model.spec.job import PartSpec
from generators.parts import KINDS
from generators.reading import JobFile, read_job
from generators.solve.mends.writing import draft

ALL = {kind.name: kind.parameters for kind in KINDS}
BUS = Path(__file__).parents[2] / "specs" / "ferrow_bus.toml"
RESERVOIR = 'at = { from = "choke_cable", u = "110 mm", v = "95 mm" }'
SIZES = '[sizes]\nstep = "50 mm"\n'


def bus(at: str = RESERVOIR, *, more: str = "", variant: str = "") -> JobFile:
    text = BUS.read_text(encoding="utf-8").partition("[[variant]]")[0]
    assert RESERVOIR in text
    text = SIZES + text.replace(RESERVOIR, at) + more
    return read_job(BUS, ALL, text.encode(), variant)


def where(file: JobFile) -> tuple[float, float]:
    part: PartSpec[object] = next(p for p in file.job.part if p.name == "clutch_reservoir")
    assert part.mount is not None
    return part.mount.at.u_mm, part.mount.at.v_mm


def written(file: JobFile, *steps: Shift | Change | NewTable) -> tuple[str, str]:
    """What is typed, and the whole text with it."""
    typed = draft(Proposal(words="moved", steps=steps), file.source, file.job)
    assert typed is not None
    return "; ".join(edit.text for edit in typed.edits), typed.text


def test_a_value_that_is_worked_out_stays_so_with_the_change_after_it() -> None:
    file = bus('at = { from = "choke_cable", u = "2 step + 10 mm", v = "95 mm" }')
    assert where(file) == (110.0, 95.0)
    typed, text = written(file, Shift(thing="part:clutch_reservoir", u=-14.0, v=3.0))
    assert typed == '"2 step + 10 mm - 14 mm"; "98 mm"'
    assert where(read_job(BUS, ALL, text.encode())) == (96.0, 98.0)


def test_a_value_set_to_a_number_is_changed_by_the_difference() -> None:
    file = bus('at = { from = "choke_cable", u = "2 step", v = "95 mm" }')
    typed, text = written(file, Change(path="part[clutch_reservoir].mount.at.u", to=112.5, rounding="exact"))
    assert typed == '"2 step + 12.5 mm"'
    assert where(read_job(BUS, ALL, text.encode())) == (112.5, 95.0)


def test_measured_places_stand_in_place_of_what_was_worked_out() -> None:
    file = bus('at = { from = "choke_cable", u = "2 step", v = "95 mm" }')
    path = (*_part(file), "mount", "at", "u")
    text = revised_text(file.source, [Setting(path=path, text='"101.37 mm"', beside="at")], [])
    assert where(read_job(BUS, ALL, text.encode())) == (101.37, 95.0)


def _part(file: JobFile) -> tuple[str, int]:
    return "part", next(k for k, p in enumerate(file.job.part) if p.name == "clutch_reservoir")


def test_what_a_variant_sets_is_changed_where_the_variant_says_it() -> None:
    own = '\n[[variant]]\nname = "wide"\n  [variant.set]\n  "part[clutch_reservoir].mount.at.u" = "150 mm"\n'
    file = bus(more=own, variant="wide")
    typed, text = written(file, Shift(thing="part:clutch_reservoir", u=-10.0))
    assert typed == '"140 mm"'
    assert where(read_job(BUS, ALL, text.encode(), "wide")) == (140.0, 95.0)
    assert where(read_job(BUS, ALL, text.encode())) == (110.0, 95.0)


def test_a_mirrored_job_is_changed_in_the_hand_the_spec_is_written_in() -> None:
    own = '\n[[variant]]\nname = "other"\nmirror = "vehicle"\n'
    file = bus(more=own, variant="other")
    assert where(file) == (-110.0, 95.0)
    # 14 mm to the right in the mirrored vehicle is 14 mm to the left in what is written
    typed, text = written(file, Shift(thing="part:clutch_reservoir", u=14.0))
    assert typed == '"96 mm"'
    assert where(read_job(BUS, ALL, text.encode(), "other")) == (-96.0, 95.0)
    words, _ = written(file, Change(path="component[line_fitting].elbow.toward", word="up"))
    assert words == '"up"'
    words, _ = written(file, Change(path="component[slave].port[inlet].facing", word="left"))
    assert words == '"right"'
    table = NewTable(kind="clamp", keys=(("name", '"held"'),))
    assert draft(Proposal(words="one more", steps=(table,)), file.source, file.job) is None


def test_the_text_of_a_used_file_is_never_changed(tmp_path: Path) -> None:
    text = BUS.read_text(encoding="utf-8").partition("[[variant]]")[0]
    head, joint, rest = text.partition("[[part]]")
    (tmp_path / "parts.toml").write_text(joint + rest, encoding="utf-8")
    spec = tmp_path / "bus.toml"
    spec.write_text(head.replace("[job]", 'use = ["parts.toml"]\n[job]', 1), encoding="utf-8")
    file = read_job(spec, ALL)
    moved = Proposal(words="moved", steps=(Shift(thing="part:clutch_reservoir", u=3.0),))
    assert draft(moved, file.source, file.job) is None
    path = (*_part(file), "mount", "at", "u")
    with pytest.raises(ExportError, match=r"written in .*parts\.toml"):
        revised_text(file.source, [Setting(path=path, text='"1 mm"', beside="at")], [])
    with pytest.raises(ExportError, match=r"written in .*parts\.toml"):
        revised_text(file.source, [], [(_part(file), "  [[part.rework]]\n")])
