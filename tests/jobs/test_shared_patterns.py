"""Shared hole patterns from the text of a spec to panel holes, part holes and findings."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from spec_pieces import existing, panel

from generators.errors import SpecError
from generators.jobs.make.bolt_counts import bolt_counts
from generators.model.findings import Severity
from generators.solve.job import Prepared, prepare

SPEC = (
    """
[job]
name = "shared"
title = "Shared patterns, invented"

[[pattern]]
name = "studs"
{form}
thread = "M8"
what = "servo studs"

"""
    + panel("wall", 500, 400, material="steel", thickness="2 mm", witness="bore")
    + "\n"
    + existing("bore", 60, 60, 30, "a bore")
    + """\
{panel}
[[part]]
name = "plate"
kind = "fitting_plate"
material = "1008 steel"
thickness = "3 mm"
  [part.parameters]
  count = 1
  end_margin = "70 mm"
  height = "120 mm"
  bolts = 0
{part}
  [part.mount]
  panel = "wall"
  face = "engine"
  at = {{ from = "bore", u = "200 mm", v = "140 mm" }}
"""
)
RECTANGLE = 'size = ["80 mm", "60 mm"]'
IN_PANEL = """
  [[panel.pattern]]
  name = "studs"
  at = { from = "bore", u = "200 mm", v = "140 mm" }
"""
IN_PART = """
  [[part.pattern]]
  name = "studs"
  at = ["0 mm", "0 mm"]
"""


def read(tmp_path: Path, form: str = RECTANGLE, panel: str = IN_PANEL, part: str = IN_PART) -> Prepared:
    path = tmp_path / "shared.toml"
    path.write_text(SPEC.format(form=form, panel=panel, part=part), encoding="utf-8")
    return prepare(path)


def failed(prepared: Prepared) -> list[str]:
    return [f.code for f in prepared.findings if f.severity is Severity.FAIL]


def spots(prepared: Prepared, prefix: str) -> list[tuple[float, float, float]]:
    holes = prepared.layouts[0].holes
    return sorted((h.u_mm, h.v_mm, h.final_dia_mm) for h in holes if h.name.startswith(prefix))


def test_a_rectangle_in_panel_and_part(tmp_path: Path) -> None:
    prepared = read(tmp_path)
    # 60 + 200 ± 40 and 60 + 140 ± 30; M8 medium 9.0 (ISO 273)
    wanted = [(u, v, 9.0) for u in (220.0, 300.0) for v in (170.0, 230.0)]
    assert spots(prepared, "studs_") == wanted
    root = prepared.parts[0].plan.flanges[0]
    assert sorted((h.u_mm, h.v_mm) for h in root.holes if h.name.startswith("studs")) == [
        (-40.0, -30.0),
        (-40.0, 30.0),
        (40.0, -30.0),
        (40.0, 30.0),
    ]
    assert failed(prepared) == []


def test_a_circle_turned_and_flipped(tmp_path: Path) -> None:
    circle = 'circle = "80 mm"\ncount = 3\nstart = "90 deg"'
    turned = IN_PANEL + '  rotate = "30 deg"\n'
    prepared = read(tmp_path, circle, turned, IN_PART + '  flip = true\n  rotate = "-30 deg"\n')
    angles = sorted(math.degrees(math.atan2(v - 200.0, u - 260.0)) for u, v, _ in spots(prepared, "studs_"))
    assert angles == pytest.approx([-120.0, 0.0, 120.0])
    assert failed(prepared) == []
    # turned the other way it meets none of the panel's holes
    astray = read(tmp_path, circle, turned, IN_PART + '  rotate = "7 deg"\n')
    assert "mating" in failed(astray)


def test_a_part_may_bring_the_panel_its_holes(tmp_path: Path) -> None:
    prepared = read(tmp_path, panel="", part=IN_PART + '  drill = true\n  label = "stud"\n')
    assert len(spots(prepared, "plate.stud_")) == 4
    assert failed(prepared) == []


def test_a_tapped_plate_behind_clearance_holes(tmp_path: Path) -> None:
    prepared = read(tmp_path, part=IN_PART + '  holes = "tapped"\n')
    holes = [h for h in prepared.parts[0].plan.flanges[0].holes if h.fitting.kind == "tapped"]
    assert {h.diameter_mm for h in holes} == {6.8}  # M8 tap drill, ISO 2306
    assert failed(prepared) == []
    # the hand drill's 1.5 mm alone is more than the 1 mm a fixed M8 has: two locate, the rest goes through it
    works = [h.work for h in prepared.layouts[0].holes if h.kind == "bolt"]
    assert sorted(work.how for work in works) == ["paper", "part", "part", "part"]
    assert sum(work.locates == ("plate",) for work in works) == 2
    assert not [f for f in prepared.findings if f.code == "mating"]


@pytest.mark.parametrize(
    ("change", "path", "words"),
    [
        ({"form": ""}, "pattern[0]", "exactly one of points, size, circle"),
        ({"form": RECTANGLE + '\ncircle = "50 mm"'}, "pattern[0]", "exactly one of points, size, circle"),
        ({"form": RECTANGLE + "\ncount = 3"}, "pattern[0].count", "only beside circle"),
        ({"form": 'size = ["0 mm", "0 mm"]'}, "pattern[0].size", "one of them above"),
        ({"form": 'points = [["1 mm", "0 mm"], ["1 mm", "0 mm"]]'}, "pattern[0].points[1]", "each bolt once"),
        ({"panel": IN_PANEL.replace("studs", "stud")}, "panel[0].pattern[0].name", 'did you mean "studs"?'),
        ({"part": IN_PART.replace("studs", "stud")}, "part[0].pattern[0].name", 'did you mean "studs"?'),
        ({"panel": IN_PANEL.replace("bore", "born")}, "panel[0].pattern[0].at.from", 'did you mean "bore"?'),
        ({"panel": IN_PANEL * 2}, "panel[0].pattern[1]", "a label of its own"),
        ({"part": IN_PART + '  flange = "base"\n'}, "part[0].pattern[0].flange", "plate"),
        ({"part": IN_PART + '  label = "bulkhead"\n'}, "part[0].pattern[0].label", "already"),
        ({"part": IN_PART.replace('["0 mm"', '["60 mm"')}, "part[0].pattern[0].at", "whole on the flange"),
        ({"part": IN_PART + '  holes = "tapped"\n  drill = true\n'}, "part[0].pattern[0].drill", "clearance"),
    ],
)
def test_what_cannot_be_is_named_in_its_place(
    tmp_path: Path, change: dict[str, str], path: str, words: str
) -> None:
    with pytest.raises(SpecError) as caught:
        read(tmp_path, **change)
    faults = {f.path: f for f in caught.value.faults}
    assert path in faults, sorted(faults)
    said = faults[path]
    assert words in f"{said.found} {said.expected} {said.hint}"
    assert said.line > 0


def test_unknown_threads_and_fits_are_named(tmp_path: Path) -> None:
    path = tmp_path / "shared.toml"
    text = SPEC.format(form=RECTANGLE, panel=IN_PANEL, part=IN_PART)
    path.write_text(text.replace('thread = "M8"', 'thread = "M7"'), encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        prepare(path)
    assert caught.value.faults[0].path == "pattern[0].thread"


def test_a_doubler_is_planned_after_what_it_goes_round_and_fitted_before_it(tmp_path: Path) -> None:
    doubler = """
[[part]]
name = "aaa_doubler"
kind = "doubler"
material = "1008 steel"
thickness = "2 mm"
  [part.parameters]
  holes = ["studs_1", "studs_2", "studs_3", "studs_4", "plate"]
  margin = "45 mm"
  [part.mount]
  panel = "wall"
  face = "cab"
  at = { from = "bore", u = "200 mm", v = "140 mm" }
"""
    path = tmp_path / "shared.toml"
    text = SPEC.format(form=RECTANGLE, panel=IN_PANEL, part=IN_PART)
    before, after = text.split("[[part]]", 1)
    path.write_text(f"{before}{doubler}\n[[part]]{after}", encoding="utf-8")
    prepared = prepare(path)
    plate = prepared.parts[0].plan
    assert plate.doubler
    openings = {h.name for h in plate.flanges[0].holes if not h.mates}
    assert openings == {"studs_1", "studs_2", "studs_3", "studs_4", "plate_bulkhead_1"}
    assert failed(prepared) == []
    order = prepared.lines.order
    places = [order.place(f"part:{name}") for name in ("aaa_doubler", "plate")]
    assert places[0] is not None
    assert places[1] is not None
    assert places[0] < places[1]
    # without a place on a panel it has no shape
    loose = doubler.partition("  [part.mount]")[0]
    path.write_text(f"{before}{loose}\n[[part]]{after}", encoding="utf-8")
    with pytest.raises(SpecError, match="follows the panel"):
        prepare(path)


def finished(tmp_path: Path, more: str) -> Prepared:
    """The pattern in the part as ``more`` says, and in the panel for the bolts."""
    return read(tmp_path, form='size = ["80 mm", "0 mm"]', panel=IN_PANEL, part=IN_PART + more)


def test_a_countersunk_pattern_takes_countersunk_screws(tmp_path: Path) -> None:
    # ISO 10642: M8 17.92, ISO 273 medium 9: (17.92 - 9) / 2 = 4.46 deep, so 5 mm of sheet
    spec = SPEC.replace('thickness = "3 mm"', 'thickness = "5 mm"')
    path = tmp_path / "s.toml"
    more = IN_PART + '  holes = "countersunk"\n  drill = true\n'
    path.write_text(spec.format(form=RECTANGLE, panel="", part=more), encoding="utf-8")
    prepared = prepare(path)
    sets = [s for s in prepared.fasteners if s.panel]
    # the part is on the engine face: heads there, nuts in the cab
    assert {(s.form, s.nuts, len(s.washers)) for s in sets} == {("countersunk", ("high",), 1)}
    assert failed(prepared) == []


@pytest.mark.parametrize(
    ("holes", "into", "in_the_way"),
    [
        ("weld_nut", "weld nut", 2),
        ("press_nut", "press nut", 2),
        ("extruded", "tapped hole", 2),
        ("flow_drilled", "tapped hole", 0),  # sqrt(7.4² + (7.4² - 2²) / 2) = 8.95 goes into a hole of 9
    ],
)
def test_bolts_of_the_panel_go_into_the_nuts_of_the_part(
    tmp_path: Path, holes: str, into: str, in_the_way: int
) -> None:
    prepared = finished(tmp_path, f'  holes = "{holes}"\n')
    sets = [s for s in prepared.fasteners if s.panel]
    assert {(s.into, s.form) for s in sets} == {(into, "bolt")}
    assert "stands-in-panel" not in failed(prepared)
    under = finished(tmp_path, f'  holes = "{holes}"\n  side = "lower"\n')
    assert failed(under).count("stands-in-panel") == in_the_way


@pytest.mark.parametrize(("face", "head"), [("engine", "high"), ("cab", "low")])
def test_a_bolt_into_a_nut_of_the_part_is_driven_through_the_panel(
    tmp_path: Path, face: str, head: str
) -> None:
    """The nut is on the part's far side: head and washer lie on the panel's bare face."""
    spec = SPEC.replace('face = "engine"', f'face = "{face}"')
    path = tmp_path / "s.toml"
    path.write_text(
        spec.format(form=RECTANGLE, panel=IN_PANEL, part=IN_PART + '  holes = "press_nut"\n'),
        encoding="utf-8",
    )
    sets = [s for s in prepare(path).fasteners if s.panel]
    assert {(s.head, *(w.side for w in s.washers)) for s in sets} == {(head, head)}


@pytest.mark.parametrize(
    "more",
    ['  holes = "countersunk"\n  side = "lower"\n', '  holes = "press_stud"\n  stud = "20 mm"\n'],
)
def test_a_screw_nobody_can_drive_is_a_fault(tmp_path: Path, more: str) -> None:
    """A head between part and panel, and a hole that a stud's head fills."""
    path = tmp_path / "s.toml"
    spec = SPEC.replace('thickness = "3 mm"', 'thickness = "5 mm"')
    path.write_text(spec.format(form=RECTANGLE, panel=IN_PANEL, part=IN_PART + more), encoding="utf-8")
    assert failed(prepare(path)) == ["finish-side"] * 4


def test_a_stud_of_the_part_takes_a_nut_and_no_bolt(tmp_path: Path) -> None:
    prepared = finished(tmp_path, '  holes = "press_stud"\n  side = "lower"\n  stud = "20 mm"\n')
    sets = [s for s in prepared.fasteners if s.panel]
    # 20 long from the part's lower side, through 2 mm of panel; the nut is in the cab
    assert {(s.form, s.part, s.stud_mm, s.nuts) for s in sets} == {("stud", "plate", 20.0, ("high",))}
    assert failed(prepared) == []
    assert bolt_counts(prepared).get("M8", 0) == 0


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ('  side = "lower"\n', 'the key "side"'),
        ('  holes = "tapped"\n  stud = "20 mm"\n', 'the key "stud"'),
        ('  holes = "press_stud"\n', 'no key "stud"'),
        ('  holes = "countersunk"\n', "nothing of its hole is left"),
    ],
)
def test_keys_that_say_nothing_or_too_little(tmp_path: Path, more: str, said: str) -> None:
    with pytest.raises(SpecError) as caught:
        finished(tmp_path, more)
    assert said in str(caught.value)


def test_a_thread_no_table_has_is_told_with_those_there_are(tmp_path: Path) -> None:
    path = tmp_path / "s.toml"
    text = SPEC.format(form=RECTANGLE, panel="", part=IN_PART + '  holes = "press_nut"\n')
    path.write_text(text.replace('thread = "M8"', 'thread = "M12"'), encoding="utf-8")
    with pytest.raises(SpecError, match="press nut M10"):
        prepare(path)
