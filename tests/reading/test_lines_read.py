"""Hoses, clamps and components as read: rows written out, and every slip at its own place."""

from __future__ import annotations

from pathlib import Path

import pytest

from generators.errors import Fault, SpecError
from generators.model.spec.job import Job
from generators.reading import read_job
from specs import BASE, KINDS

LINES = """
[[component]]
name = "fitting"
kind = "bulkhead"
dash = 4
on = { panel = "firewall", holes = ["line_out"], side = "cab" }

[[component]]
name = "slave"
kind = "slave"
on = { at = ["900 mm", "0 mm", "100 mm"], facing = "engine" }

  [[component.port]]
  name = "inlet"
  at = ["10 mm", "0 mm", "0 mm"]
  dash = 4

[[clamp_row]]
name = "row"
dash = 9
panel = "firewall"
along = "bead_low"
offset = "-30 mm"
count = 3
thread = "M5"
fit = "medium"

[[clamp]]
name = "loop"
dash = 9
on = { at = ["700 mm", "0 mm", "200 mm"], facing = "up" }

[[hose]]
name = "pressure"
service = "pressure"
from = "slave.inlet"
to = "fitting.engine"
dash = 4
clamps = ["loop", "row"]
"""


def read(tmp_path: Path, text: str) -> Job:
    spec = tmp_path / "spec.toml"
    panel, part = BASE.split("[[part]]", 1)
    spec.write_text(panel + text + "\n[[part]]" + part, encoding="utf-8")
    return read_job(spec, KINDS).job


def faults(tmp_path: Path, old: str, new: str) -> tuple[Fault, ...]:
    assert old in LINES
    with pytest.raises(SpecError) as caught:
        read(tmp_path, LINES.replace(old, new))
    return caught.value.faults


def test_a_row_becomes_holes_and_clamps(tmp_path: Path) -> None:
    job = read(tmp_path, LINES)
    holes = [h for h in job.panel[0].hole if h.name.startswith("row")]
    # 30 mm to the right of a line that runs right is 30 mm below it
    assert [(h.name, h.at.u_mm, h.at.v_mm) for h in holes] == [
        ("row_1", 150.0, -10.0),
        ("row_2", 300.0, -10.0),
        ("row_3", 450.0, -10.0),
    ]
    assert all(h.kind == "bolt" and h.thread == "M5" for h in holes)
    assert [c.name for c in job.clamp] == ["loop", "row_1", "row_2", "row_3"]
    assert job.hose[0].clamps == ("loop", "row_1", "row_2", "row_3")


@pytest.mark.parametrize(
    ("old", "new", "path", "says"),
    [
        ('to = "fitting.engine"', 'to = "fitting.front"', "hose[0].to", "front"),
        ('to = "fitting.engine"', 'to = "fiting.engine"', "hose[0].to", "fiting"),
        ('to = "fitting.engine"', 'to = "slave.inlet"', "hose[0].to", "both ends at one port"),
        ('clamps = ["loop", "row"]', 'clamps = ["lop"]', "hose[0].clamps[0]", "lop"),
        ('holes = ["line_out"]', 'holes = ["clamp"]', "component[0].on.holes", "bolt hole"),
        ('holes = ["line_out"]', 'holes = ["line_in"]', "component[0].on.holes[0]", "line_in"),
        ("dash = 4\non = { panel", "dash = 3\non = { panel", "component[0].on.holes", "-3 bulkhead"),
        ('along = "bead_low"', 'along = "bead_high"', "clamp_row[0].along", "bead_high"),
        ('along = "bead_low"', "", "clamp_row[0].along", "exactly one"),
        ('name = "loop"', 'name = "slave"', "clamp[0].name", "again"),
        (
            'to = "fitting.engine"',
            'to = "fitting.engine"\nafter = ["pressure"]',
            "hose[0].after[0]",
            "own name",
        ),
        ('to = "fitting.engine"', 'to = "fitting.engine"\ndecides = "to"', "hose[0].decides", "made-up"),
        ('to = "fitting.engine"', 'to = "fitting.engine"\nkind = "rigid"', "hose[0].radius", "bender"),
        ('facing = "engine" }', 'facing = "engine", panel = "firewall" }', "component[1].on", "exactly one"),
    ],
)
def test_a_slip_is_named_at_its_place(tmp_path: Path, old: str, new: str, path: str, says: str) -> None:
    found = faults(tmp_path, old, new)
    matching = [f for f in found if f.path == path and says in f"{f.found} | {f.expected}"]
    assert len(matching) == 1, "\n".join(f.render() for f in found)
    assert matching[0].line > 0


@pytest.mark.parametrize(
    ("old", "new", "path", "hint"),
    [
        ('kind = "toy_plate"', 'family = "toy_plate"', "part[0].family", "`family` is now `kind`"),
        ('to = "fitting.engine"', 'to = "fitting.engine"\nlands = "to"', "hose[0].lands", "`lands` is now `decides`"),
        ('witness_hole = "column_bore"', 'key_hole = "column_bore"', "panel[0].key_hole", "`key_hole` is now `witness_hole`"),
    ],
)  # fmt: skip
def test_a_key_of_an_older_spec_is_one_fault_that_says_what_it_is_now(
    tmp_path: Path, old: str, new: str, path: str, hint: str
) -> None:
    spec = tmp_path / "spec.toml"
    panel, part = BASE.split("[[part]]", 1)
    text = panel + LINES + "\n[[part]]" + part
    assert text.count(old) == 1
    text = text.replace(old, new)
    spec.write_text(text, encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        read_job(spec, KINDS)
    (fault,) = caught.value.faults
    line = 1 + text[: text.index(new)].count("\n") + new.count("\n")
    assert (fault.file, fault.line, fault.path, fault.hint) == (str(spec), line, path, hint)
    assert f"{spec}:{line}:" in fault.render()
    assert hint in fault.render()


def test_a_kind_of_an_older_spec_is_answered_with_its_name_now(tmp_path: Path) -> None:
    from generators.parts import KINDS as PARTS

    kinds = {kind.name: kind.parameters for kind in PARTS}
    text = BASE.replace('kind = "toy_plate"', 'kind = "bulkhead_plate"')
    assert text != BASE
    spec = tmp_path / "spec.toml"
    spec.write_text(text, encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        read_job(spec, kinds)
    (fault,) = caught.value.faults
    assert fault.hint == "`bulkhead_plate` is now `fitting_plate`"
    assert text.splitlines()[fault.line - 1] == 'kind = "bulkhead_plate"'
