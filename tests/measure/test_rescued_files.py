"""`asdrilled` from holes as drilled to a finished folder, as a person meets it."""

from __future__ import annotations

import json
import math
import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from calling import call
from made_once import solved

from generators.errors import ExportError, SpecError
from generators.jobs.asdrilled.files import revised_spec, write_asdrilled
from generators.jobs.asdrilled.weigh import AsDrilled, as_drilled
from generators.jobs.verify import verify
from generators.measure.fitting.fit import Fit, Joint
from generators.measure.fitting.names import doubted, other_names
from generators.solve.job import prepare

SPECS = Path(__file__).parents[2] / "specs"
READINGS, DRILLED = SPECS / "wrenfield_readings.toml", SPECS / "wrenfield_hanger_readings.toml"
SPEC = SPECS / "wrenfield_van.toml"


def silent(what: str, done: int, total: int) -> None:
    """No progress bar."""


@pytest.fixture(scope="module")
def answer() -> AsDrilled:
    return as_drilled(SPEC, DRILLED)


@pytest.fixture(scope="module")
def rescued(answer: AsDrilled, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_asdrilled(answer, tmp_path_factory.mktemp("out"), progress=silent).folder


def test_demo_needs_a_slot_and_gets_it(answer: AsDrilled) -> None:
    assert not answer.goes
    assert answer.rescue is not None
    assert answer.rescue.kind == "slot"
    assert answer.rescue.changes[0].hole == "mount_3"
    assert answer.after is not None
    assert answer.after.worst_mm >= 0
    assert answer.after_chance is not None
    assert answer.after_chance.share >= 0.95
    possible = [o for o in answer.options if not o.cannot]
    assert answer.rescue.metal_mm3 == min(o.metal_mm3 for o in possible)
    assert {f.code for f in answer.findings} == {"asdrilled-clearance"}


def test_revised_spec_keeps_every_line_and_goes_on(answer: AsDrilled, rescued: Path) -> None:
    before = SPEC.read_text(encoding="utf-8").split("\n")
    after = (rescued / "wrenfield_van_asdrilled.toml").read_text(encoding="utf-8").split("\n")
    gone = [line for line in before if line not in after]
    assert gone == ['  at = { from = "column_bore", u = "-120 mm", v = "125 mm" }']
    assert [line for line in before if line.strip().startswith("#")] == [
        line for line in after if line.strip().startswith("#") and "as drilled for" not in line
    ]
    revised = prepare(rescued / "wrenfield_van_asdrilled.toml")
    assert not revised.blocked
    plan = next(p.plan for p in revised.parts if p.spec.name == "clutch_hanger")
    (slot,) = [s for s in plan.flanges[0].slots if s.name == "mount_3"]
    assert slot.travel_mm == pytest.approx(1.5)
    holes = {h.name: h for x in revised.layouts for h in x.holes}
    assert holes["clutch_hanger_mount_3"].owners == ("clutch_hanger",)
    # the holes lie up to 3 mm off, and their bolts are judged all the same: they say whose they are
    assert not [f.found for f in revised.findings if "no bolt" in f.found]
    # the one that was not measured stays as designed: its size, its kind, drilled where the part now lies
    (bore,) = [h for n, h in holes.items() if n.startswith("clutch_hanger.")]
    designed = {h.name: h for x in answer.prepared.layouts for h in x.holes}["clutch_hanger.master_bore"]
    assert (bore.name, bore.kind, bore.status) == (designed.name, designed.kind, "drill")
    assert bore.final_dia_mm == designed.final_dia_mm
    assert bore.final_dia_mm >= 1.25 * 25.4  # 1 1/4 in, and the size a tool of the shop makes of it


@pytest.mark.nightly
def test_a_rescue_folder_is_weighed_again(rescued: Path) -> None:
    assert all(r.good for r in verify(rescued, progress=lambda *_: None))


def test_only_what_was_changed_in_a_rescue_folder_is_bad(
    monkeypatch: pytest.MonkeyPatch, answer: AsDrilled, rescued: Path, tmp_path: Path
) -> None:
    # the same inputs give the same answer; the nightly sibling weighs them again
    monkeypatch.setattr("generators.jobs.asdrilled.files.as_drilled", lambda spec, readings, _form="": answer)
    spoiled = tmp_path / "spoiled"
    shutil.copytree(rescued, spoiled)
    path = spoiled / "wrenfield_van_asdrilled.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("# as drilled", "# as it was drilled"), encoding="utf-8")
    readings = verify(spoiled, progress=lambda *_: None)
    assert len(readings) == 10
    assert [r.path for r in readings if not r.good] == ["wrenfield_van_asdrilled.toml"]


def test_a_rescue_that_does_not_exist_is_not_written(answer: AsDrilled, tmp_path: Path) -> None:
    with pytest.raises(ExportError):
        write_asdrilled(replace(answer, rescue=None, after=None), tmp_path / "out", progress=silent)
    assert not (tmp_path / "out").exists()


def test_asdrilled_exit_code(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], answer: AsDrilled
) -> None:
    monkeypatch.setattr("generators.jobs.asdrilled.weigh.as_drilled", lambda spec, file, _form="": answer)
    assert call("asdrilled", SPEC, DRILLED) == 1
    out = capsys.readouterr().out
    assert "lengthen hole mount_3" in out
    assert "chance that it goes on" in out
    assert call("asdrilled", SPEC, DRILLED, "--json") == 1
    assert json.loads(capsys.readouterr().out)["rescue"]["kind"] == "slot"


def _direct(
    places: dict[str, tuple[float, float]], *, part: str = "clutch_hanger", fixed: bool = False
) -> str:
    lines = ['[measure]\nname = "direct"\ntitle = "Direct"\npanel = "firewall"', f'part = "{part}"\n']
    for name, (u, v) in places.items():
        lines.append(
            f'[[hole]]\nname = "{name}"\ndiameter = "9 mm"\nat = ["{u} mm", "{v} mm"]\n'
            f'uncertainty = "0.1 mm"\nfixed = {str(fixed).lower()}\n'
        )
    return "\n".join(lines)


HANGER = {
    "master_1": (491.425, 235.0),
    "master_2": (548.575, 235.0),
    "mount_1": (498.0, 297.0),
    "mount_2": (542.0, 297.0),
    "mount_3": (498.0, 205.0),
    "mount_4": (542.0, 205.0),
}


def test_holes_drilled_right_go_on(tmp_path: Path) -> None:
    (tmp_path / "r.toml").write_text(_direct(HANGER), encoding="utf-8")
    answer = as_drilled(SPEC, tmp_path / "r.toml")
    assert answer.goes
    assert answer.rescue is not None
    assert answer.rescue.kind == "go"
    assert answer.options == ()
    # ISO 273 M8 medium over a 9 mm hole: 0.5 + 0.5 of clearance, nothing used up
    left = dict(zip([j.name for j in answer.joints], answer.fit.left_mm, strict=True))
    assert left["mount_1"] == pytest.approx(1.0, abs=0.01)
    text = revised_spec(answer)
    assert "rework" not in text
    assert (
        text.count("[[panel.existing]]") == SPEC.read_text(encoding="utf-8").count("[[panel.existing]]") + 6
    )


def test_weld_nuts_leave_half(tmp_path: Path) -> None:
    (tmp_path / "r.toml").write_text(_direct(HANGER, fixed=True), encoding="utf-8")
    answer = as_drilled(SPEC, tmp_path / "r.toml")
    left = dict(zip([j.name for j in answer.joints], answer.fit.left_mm, strict=True))
    assert left["mount_1"] == pytest.approx(0.5, abs=0.01)


def test_only_what_was_measured_is_taken_over(tmp_path: Path) -> None:
    """Written twice over: measured again, the same tables get the new places, and no hole is lost."""
    (tmp_path / "r.toml").write_text(_direct(HANGER), encoding="utf-8")
    shutil.copy(SPECS / "shop.toml", tmp_path)
    (tmp_path / "one.toml").write_text(revised_spec(as_drilled(SPEC, tmp_path / "r.toml")), encoding="utf-8")
    moved = {k: (u + 1.0, v - 2.0) for k, (u, v) in HANGER.items()}
    (tmp_path / "r2.toml").write_text(_direct(moved), encoding="utf-8")
    again = revised_spec(as_drilled(tmp_path / "one.toml", tmp_path / "r2.toml"))
    (tmp_path / "two.toml").write_text(again, encoding="utf-8")
    # the clearance hole of a reused hole keeps the size it has; the bore is where the part now lies
    count = len(solved("wrenfield_van").layouts[0].holes)
    for name, du, dv in (("one", 0.0, 0.0), ("two", 1.0, -2.0)):
        holes = {h.name: h for h in prepare(tmp_path / f"{name}.toml").layouts[0].holes}
        assert len(holes) == count
        for hole, (u, v) in HANGER.items():
            there = holes[f"clutch_hanger_{hole}"]
            assert (there.u_mm, there.v_mm) == pytest.approx((u + du, v + dv), abs=0.006)
            assert (there.status, there.tool, there.kind) == ("reuse", "", "bolt")
            assert there.owners == ("clutch_hanger",)
        bore = holes["clutch_hanger.master_bore"]
        assert (bore.u_mm, bore.v_mm) == pytest.approx((520.0 + du, 235.0 + dv), abs=0.02)


def test_names_exchanged_are_told_before_anything_is_cut(tmp_path: Path) -> None:
    """Two holes 44 mm apart under each other's names: no file mends that, and no metal is wrong."""
    mixed = {**HANGER, "mount_1": HANGER["mount_2"], "mount_2": HANGER["mount_1"]}
    (tmp_path / "r.toml").write_text(_direct(mixed), encoding="utf-8")
    answer = as_drilled(SPEC, tmp_path / "r.toml")
    assert not answer.goes
    assert not answer.writes
    assert answer.naming is not None
    assert answer.naming.words == "mount_1 and mount_2 exchanged"
    # 5/16 in bolts of the master: (8.731 - 7.938)/2 + (9 - 7.938)/2, by hand
    assert answer.naming.laid.worst_mm == pytest.approx(0.928, abs=0.001)
    assert [f.code for f in answer.findings] == ["asdrilled-names"]
    with pytest.raises(ExportError):
        revised_spec(answer)


def test_holes_read_from_the_other_face_are_told(tmp_path: Path) -> None:
    """The sheet of readings taken from the engine bay: left and right exchanged, as seen from the cab.

    The pattern of the hanger is its own mirror image, so the bracket below has three holes and none.
    """
    names = {"h1": (0.0, 0.0), "h2": (60.0, 0.0), "h3": (10.0, 45.0)}
    one = Joint(
        name="", kind="bolt", part=(0, 0), part_dia_mm=9.0, panel=(0, 0), panel_dia_mm=9.0, shank_mm=8.0
    )
    joints = [replace(one, name=n, part=p, panel=(500.0 - p[0], p[1] + 80.0)) for n, p in names.items()]
    found = other_names(joints, tied=False)
    assert found is not None
    assert found.mirrored
    assert found.laid.worst_mm == pytest.approx(1.0, abs=0.01)
    assert [a == b for a, b in found.pairs] == [True] * 3


@pytest.mark.parametrize(
    ("off", "tied", "turn", "wanted"), [(-2.99, True, 29.0, False), (-3.01, True, 0.0, True)]
)
def test_a_drill_does_not_wander_far(off: float, tied: bool, turn: float, wanted: bool) -> None:
    laid = Fit(shift=(0, 0), turn_rad=math.radians(turn), middle=(0, 0), left_mm=(off,), off_mm=((0, 0),))
    assert doubted(laid, tied=tied) == wanted
    crooked = replace(laid, left_mm=(0.5,), turn_rad=math.radians(31))
    assert doubted(crooked, tied=True)
    assert not doubted(crooked, tied=False)


def test_nothing_is_offered_that_cuts_nothing(tmp_path: Path) -> None:
    """Places known badly: it goes on, perhaps. Nothing lacks by the places read, and no "0 mm" is offered."""
    text = _direct({k: (u + 0.4, v) if k == "mount_3" else (u, v) for k, (u, v) in HANGER.items()})
    (tmp_path / "r.toml").write_text(text.replace("0.1 mm", "0.55 mm"), encoding="utf-8")
    answer = as_drilled(SPEC, tmp_path / "r.toml")
    assert [f.code for f in answer.findings] == ["asdrilled-chance"]
    assert answer.options
    said = " ".join(o.words for o in answer.options)
    assert not re.search(r"(?<![\d.])0(\.0+)? mm", said), said
    by_name = {j.name: j for j in answer.joints}
    for option in answer.options:
        assert option.metal_mm3 > 0
        for change in option.changes:
            was = by_name[change.hole].panel_dia_mm if change.on_panel else by_name[change.hole].part_dia_mm
            assert change.lengthen_mm > 0 or change.move != (0, 0) or change.diameter_mm > was
    assert {"enlarge_panel", "enlarge_both", "slot", "enlarge"} <= {o.kind for o in answer.options}


def test_a_hole_too_small_for_its_bolt_is_opened_in_the_spec(tmp_path: Path) -> None:
    text = _direct(HANGER).replace(
        'name = "mount_2"\ndiameter = "9 mm"', 'name = "mount_2"\ndiameter = "6 mm"'
    )
    (tmp_path / "r.toml").write_text(text, encoding="utf-8")
    answer = as_drilled(SPEC, tmp_path / "r.toml")
    assert answer.rescue is not None
    assert answer.rescue.kind == "size"
    assert answer.outcome is not None
    assert answer.outcome.prepared is not None
    holes = {h.name: h for h in answer.outcome.prepared.layouts[0].holes}
    opened = holes["clutch_hanger_mount_2"]
    assert opened.final_dia_mm == 9.0
    assert opened.tool.startswith("open from 6 mm")


def test_a_slip_names_its_reading_and_its_holes(tmp_path: Path) -> None:
    text = DRILLED.read_text(encoding="utf-8").replace('is = "84.3 mm"', 'is = "94.3 mm"')
    (tmp_path / "r.toml").write_text(text, encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        as_drilled(SPEC, tmp_path / "r.toml")
    (fault,) = [f for f in caught.value.faults if f.found.startswith("reading-gross-error")]
    assert text.split("\n")[fault.line - 1] == 'is = "94.3 mm"'
    assert "mount_1 to mount_3" in fault.found


def test_a_hole_outside_the_panel_is_refused(tmp_path: Path) -> None:
    """The firewall ends at u = 820: a distance taken from the wrong edge puts the holes beside it."""
    moved = {k: (u + 290.0, v) for k, (u, v) in HANGER.items()}
    (tmp_path / "r.toml").write_text(_direct(moved), encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        as_drilled(SPEC, tmp_path / "r.toml")
    assert {f.found.partition(",")[0] for f in caught.value.faults} == {"readings-outside"}
    assert "hole master_2" in str(caught.value)


@pytest.mark.parametrize(
    ("places", "part", "path"),
    [
        ({k: v for k, v in HANGER.items() if k != "mount_2"}, "clutch_hanger", "hole"),
        (HANGER, "clutch_hangar", "measure.part"),
    ],
)
def test_what_does_not_belong_is_refused(
    tmp_path: Path, places: dict[str, tuple[float, float]], part: str, path: str
) -> None:
    (tmp_path / "r.toml").write_text(_direct(places, part=part), encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        as_drilled(SPEC, tmp_path / "r.toml")
    assert any(f.path.startswith(path) for f in caught.value.faults)


def test_readings_that_tell_nothing_are_refused(tmp_path: Path) -> None:
    text = (
        DRILLED.read_text(encoding="utf-8").split("[[line]]")[0]
        + '[[reading]]\nfrom = "mount_1"\nto = "mount_2"\nis = "44 mm"\n'
    )
    (tmp_path / "r.toml").write_text(text, encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        as_drilled(SPEC, tmp_path / "r.toml")
    assert "readings-unconnected" in str(caught.value)
