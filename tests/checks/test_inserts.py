"""Threaded inserts: what they grip, which way their bolt goes in, and what the paper says of them.

Hole 9 mm and grip 0.5 to 3 mm for M6 with a small head are from memory of makers' charts, which differ by body:
the spec must give them. The rest is worked by hand beside each case.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from fastener_jobs import INSERT, body_hole, found, laid, m6, the_insert
from joint_jobs import EXACT, MIDDLE, bolt, firewall, on, plate

from generators.checks.joint.mating import check_joints
from generators.layout.panels import panel_layout
from generators.layout.spots import sheets_of
from generators.layout.stacking import gripped
from generators.model.findings import Severity
from generators.model.install import InstallOrder
from generators.model.plan import Fitting
from generators.model.spec.forms.head import JobHead
from generators.model.spec.job import Job, Obstacle
from generators.model.words import Face
from generators.sheets.bill import bill
from generators.sheets.hose_words import LinesSheet
from generators.sheets.install.threads import insert_steps
from generators.solve.fasteners.sets import fastener_sets

NO_LINES = LinesSheet(order=InstallOrder(tasks=(), needs=()))


@pytest.mark.parametrize(
    ("grip", "fails"),
    # the panel is 2 mm thick
    [((2.0, 3.0), False), ((2.01, 3.0), True), ((0.5, 2.0), False), ((0.5, 1.99), True)],
)
def test_the_panel_must_lie_in_the_grip(grip: tuple[float, float], fails: bool) -> None:
    findings = found(laid(insert=replace(INSERT, grip_mm=grip)))
    assert [f.severity for f in findings] == ([Severity.FAIL] if fails else [])
    assert all((f.code, f.value) == ("insert-grip", 2.0) for f in findings)


def test_a_plate_the_body_goes_through_is_gripped_too() -> None:
    # 2 + 1 mm, both through a 9 mm hole; 13.05 mm clears the flange, 6.6 mm lets only the bolt through
    for wide, metal in ((9.0, 3.0), (9.5, 3.0), (13.0, 3.0), (13.1, 2.0), (6.6, 2.0)):
        layout = laid(on(plate(body_hole(wide), t=1.0)))
        assert gripped(layout, the_insert(layout))[0] == pytest.approx(metal)
    thick, thin = (laid(on(plate(body_hole(9.0), t=t))) for t in (1.1, 1.0))
    assert [f.code for f in found(thick)] == ["insert-grip"]
    assert "the panel and p" in found(thick)[0].found
    assert found(thin) == []


def test_a_part_bolted_there_shares_the_insert() -> None:
    layout = laid(on(plate(m6())))
    holes = [h for h in layout.holes if h.status == "drill"]
    assert len(holes) == 1
    # the insert's hole, not the bolt's 6.6 mm; nothing turns on its blind side
    assert (holes[0].final_dia_mm, holes[0].kind, holes[0].nut_face) == (9.0, "insert", "cab")
    assert holes[0].owners == ("panel", "p")
    assert found(layout) == []


def test_another_thread_is_another_hole() -> None:
    layout = laid(on(plate(bolt(thread="M8"))))
    assert [h.kind for h in layout.holes if h.status == "drill"].count("bolt") == 1


@pytest.mark.parametrize(("off", "codes"), [(0.29, []), (0.31, ["mating"])])
def test_a_thread_is_fixed_so_only_the_clearance_hole_gives(off: float, codes: list[str]) -> None:
    # fixed fastener, ASME Y14.5 appendix B: 2 e <= H - F = 6.6 - 6 (ISO 273 medium), so e <= 0.3 mm
    part = on(plate(m6()), at=(MIDDLE[0] + off, MIDDLE[1]))
    layout = laid(part)
    assert [f.code for f in check_joints([firewall(hole=(INSERT,))], [part], [layout], EXACT)] == codes


def test_one_insert_through_panel_and_doubler_is_one_thread() -> None:
    over = replace(body_hole(9.0), fitting=Fitting(kind="insert", label="n"))
    part = on(plate(over, t=1.0))
    assert list(check_joints([firewall(hole=(INSERT,))], [part], [laid(part)], EXACT)) == []


@pytest.mark.parametrize(("face", "codes"), [("cab", []), ("engine", ["insert-face"])])
def test_a_part_lies_where_the_insert_was_set_from(face: Face, codes: list[str]) -> None:
    assert [f.code for f in found(laid(on(plate(m6()), face=face)))] == codes
    turned = replace(INSERT, nut_face=face)
    assert found(laid(on(plate(m6()), face=face), insert=turned)) == []


def test_the_bolt_needs_air_on_its_own_side_only() -> None:
    """Grip 2 + 3, nut 5.2, head 4.2 mm: 14.4 mm and two pitches, 16.4 mm of air."""
    near = Obstacle(
        name="wall",
        face="cab",
        what="wall",
        corner=(150.0, 100.0),
        size=(100.0, 100.0),
        gap_mm=12.0,
        depth_mm=5.0,
    )
    part = on(plate(m6()))
    for gap, codes in ((17.0 + 3, []), (15.0 + 3, ["bolt-insert"])):
        sheet = firewall(hole=(INSERT,), obstacle=(replace(near, gap_mm=gap),))
        layout = panel_layout(sheet, [part], ())
        assert [f.code for f in check_joints([sheet], [part], [layout], EXACT)] == codes
    behind = firewall(hole=(INSERT,), obstacle=(replace(near, face="engine", gap_mm=1.0),))
    assert list(check_joints([behind], [part], [panel_layout(behind, [part], ())], EXACT)) == []


def test_what_to_buy_and_how_it_is_set() -> None:
    part, doubler = on(plate(m6())), on(plate(body_hole(9.0), t=1.0, name="doubler"), face="engine")
    layout, sheet = laid(part, doubler), firewall(hole=(INSERT,))
    job = Job(job=JobHead(name="j", title="j"), panel=(sheet,))
    order = InstallOrder(tasks=(), needs=())
    made = fastener_sets(job, [part, doubler], sheets_of([sheet], [layout], [part, doubler]), order)
    rows = {item.kind: item for item in bill([part.plan], [layout], NO_LINES, made)}
    assert "M6 threaded insert (rivet nut)" in rows["insert"].item
    assert rows["insert"].size == "grip 0.5 to 3 mm, sheet 3 mm"
    # 3 mm of plate, a washer of 1.8 mm at most (ISO 7089) and one diameter of thread: 10.8 mm, so ISO 888's 12
    items = {i.item: i.quantity for i in bill([part.plan], [layout], NO_LINES, made) if i.kind == "fastener"}
    assert items == {"bolt M6×12 8.8, ISO 4017": 1, "washer M6, ISO 7089": 1}
    assert [s.tighten.torque_nm for s in made] == [None]
    assert len(list(insert_steps(layout, layout.holes))) == 1
