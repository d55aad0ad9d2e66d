"""Weld nuts, weld studs and countersunk screws: their faces, their lengths, their depths, and the paper."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from fastener_jobs import FLUSH, STUD, WELD_NUT, body_hole, every, laid, m6
from finish_jobs import on_wall
from joint_jobs import EXACT, MIDDLE, firewall, on, plate

from generators.checks.joint.countersinks import head_depth_mm
from generators.checks.joint.mating import check_joints
from generators.checks.panel.panel import check_panel
from generators.drawing.template.hole_words import callout_texts
from generators.model.findings import Severity
from generators.model.limits import Limits
from generators.model.plan import PanelHole, PanelLayout
from generators.model.spec.job import HoleSpec, Obstacle
from generators.model.words import Face
from generators.sheets.install.drill import to_make
from generators.sheets.install.threads import weld_steps
from generators.sheets.tables import hole_rows


def only(layout: PanelLayout) -> PanelHole:
    (hole,) = (h for h in layout.holes if h.kind != "existing")
    return hole


# TM 9-2320-363-34-2 table 4, inch: least sheet that can be machine countersunk for 100 degree rivets, by diameter,
# and the standard gauge below it. Heads of MS20426 rivets from memory: .179, .225, .286, .353.
LEAST_GAUGE = [
    (3 / 32, 0.179, 0.040, 0.032),
    (1 / 8, 0.225, 0.050, 0.040),
    (5 / 32, 0.286, 0.064, 0.050),
    (3 / 16, 0.353, 0.072, 0.064),
]


@pytest.mark.parametrize(("rivet", "head", "least", "thinner"), LEAST_GAUGE)
def test_head_depth_allows_the_published_least_gauges_and_no_thinner(
    rivet: float, head: float, least: float, thinner: float
) -> None:
    hole = replace(
        only(laid(insert=FLUSH)), final_dia_mm=rivet, head_mm=head, head_angle_rad=math.radians(100)
    )
    assert thinner < head_depth_mm(hole) < least


def test_the_head_sits_in_the_outermost_sheet() -> None:
    # head 11 mm over 6.6 mm: 2.2 mm deep, in 2 mm of panel or 3 mm of part; the nut is on the engine face
    deep = replace(FLUSH, head_mm=11.0)
    assert [(f.code, f.severity) for f in every(laid(insert=deep))] == [("countersink-depth", Severity.WARN)]
    assert every(laid(on(plate(m6()), face="cab"), insert=deep)) == []
    assert [f.code for f in every(laid(on(plate(m6()), face="engine"), insert=deep))] == ["countersink-depth"]
    assert every(laid(insert=replace(deep, dimpled=True))) == []


def test_a_flush_head_needs_no_room_on_its_face() -> None:
    pipe = Obstacle(
        name="pipe",
        face="cab",
        what="pipe",
        corner=(150.0, 100.0),
        size=(100.0, 100.0),
        gap_mm=2.0,
        depth_mm=9.0,
    )
    cases: tuple[tuple[Face, list[str]], ...] = (("cab", []), ("engine", ["keep-out"]))
    for face, codes in cases:
        layout = laid(insert=replace(FLUSH, nut_face="engine"), obstacle=(replace(pipe, face=face),))
        assert [f.code for f in check_panel(layout, Limits()) if f.code == "keep-out"] == codes


def test_nothing_is_drilled_for_a_stud() -> None:
    layout = laid(on(plate(m6())), insert=STUD)
    hole = only(layout)
    assert (hole.status, hole.owners, hole.pilot_dia_mm, hole.tool) == ("weld", ("panel", "p"), 0.0, "")
    assert to_make(layout) == []
    assert [row[5] for row in hole_rows([layout])] == ["0"]  # no pilot
    said = " ".join(line.text for line in callout_texts(hole, "cab")[0])
    assert "WELD A STUD, no hole" in said
    assert "cab side" in said
    assert len(list(weld_steps(layout, layout.holes))) == 1


def test_a_drill_runs_into_what_a_stud_does_not() -> None:
    behind = Obstacle(
        name="loom",
        face="engine",
        what="loom",
        corner=(150.0, 100.0),
        size=(100.0, 100.0),
        gap_mm=3.0,
        depth_mm=9.0,
    )
    bolt = HoleSpec(name="b", at=STUD.at, kind="bolt", thread="M6", purpose="a bolt", nut_face="cab")
    for spec, codes in ((STUD, []), (bolt, ["drill-path"])):
        layout = laid(insert=spec, obstacle=(behind,))
        assert [f.code for f in check_panel(layout, Limits()) if f.code == "drill-path"] == codes


@pytest.mark.parametrize(
    ("length", "severity"),
    # plate 3 mm, washer 1.8 mm at most (ISO 7089), locking nut 8.0 mm (ISO 7040), two pitches of 1 mm
    [(14.9, None), (14.7, Severity.WARN), (12.9, Severity.WARN), (12.7, Severity.FAIL)],
)
def test_a_stud_goes_through_sheet_and_nut(length: float, severity: Severity | None) -> None:
    findings = every(laid(on(plate(m6())), insert=replace(STUD, length_mm=length)))
    assert [f.severity for f in findings] == ([severity] if severity else [])


@pytest.mark.parametrize(("off", "codes"), [(0.29, []), (0.31, ["mating"])])
def test_a_stud_and_a_weld_nut_are_fixed(off: float, codes: list[str]) -> None:
    # fixed fastener, ASME Y14.5 appendix B: 2 e <= H - F = 6.6 - 6 (ISO 273 medium)
    for spec in (STUD, WELD_NUT):
        part = on(plate(m6()), at=(MIDDLE[0] + off, MIDDLE[1]))
        layout = laid(part, insert=spec)
        assert [f.code for f in check_joints([firewall(hole=(spec,))], [part], [layout], EXACT)] == codes


@pytest.mark.parametrize(("face", "codes"), [("cab", []), ("engine", ["weld-face"])])
def test_a_part_lies_where_the_stud_stands_and_off_the_welded_nut(face: Face, codes: list[str]) -> None:
    part = on(plate(m6()), face=face)
    assert [f.code for f in every(laid(part, insert=replace(STUD, length_mm=30.0)))] == codes
    assert [f.code for f in every(laid(part, insert=WELD_NUT))] == codes
    assert only(laid(part, insert=WELD_NUT)).nut_face == "cab"


def test_a_part_open_round_a_welded_nut_clears_it() -> None:
    # 1.1 x 10 x 2 / sqrt(3) = 12.70 mm across corners
    assert every(laid(on(plate(body_hole(12.8)), face="engine"), insert=WELD_NUT)) == []


@pytest.mark.parametrize(("wide", "codes"), [(14.1, []), (14.0, ["stands-in-panel"])])
def test_a_hole_beside_what_stands_is_wider_by_twice_the_way(wide: float, codes: list[str]) -> None:
    """A weld nut 12.02 mm across, 1 mm beside the middle of the panel's hole: 12.02 + 2 mm."""
    assert [f.code for f in on_wall(wide, 1.0)] == codes
