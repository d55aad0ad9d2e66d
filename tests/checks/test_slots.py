"""Existing slots of a panel: their metal, and bolts that use them again. Worked by hand beside each case."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from joint_jobs import EXACT, MIDDLE, bolt, firewall, on, plate

from generators.checks.joint.mating import check_joints
from generators.checks.panel.panel import check_panel
from generators.drawing.dxf.template import write_template_dxf
from generators.layout.panels import panel_layout
from generators.model.limits import Limits
from generators.model.plan import PanelLayout
from generators.model.spec.job import ExistingHole, HoleSpec, Position
from generators.verify.dxf.template import read_template_dxf

# 20 mm long and 9 mm wide: 11 mm between the centres of its ends, upright
SLOT = ExistingHole(
    name="old", at=MIDDLE, diameter_mm=9.0, length_mm=20.0, angle_rad=math.pi / 2, what="old slot"
)


def laid(*holes: HoleSpec, slot: ExistingHole = SLOT) -> PanelLayout:
    return panel_layout(firewall(hole=holes, existing=(slot,)), [], ())


def plain(du: float, dv: float) -> HoleSpec:
    return HoleSpec(
        name="n",
        at=Position(u_mm=MIDDLE[0] + du, v_mm=MIDDLE[1] + dv),
        kind="plain",
        diameter_mm=10.0,
        purpose="a hole",
    )


@pytest.mark.parametrize(
    ("du", "dv", "fires"),
    # 4.5 + 5 mm of radii and 4 mm of metal (2 t): 13.5 mm from the line between the end centres, 5.5 mm long each way
    [(0.0, 18.9, True), (0.0, 19.1, False), (13.4, 0.0, True), (13.6, 0.0, False), (13.4, 5.0, True)],
)
def test_metal_is_measured_from_the_slot_and_not_from_its_centre(du: float, dv: float, fires: bool) -> None:
    codes = {f.code for f in check_panel(laid(plain(du, dv)), Limits())}
    assert ("hole-ligament" in codes) == fires


def test_a_slot_that_leaves_the_panel_is_off_it() -> None:
    # its lower end centre lies 5.5 mm below its middle, so 4.4 mm above the edge at 9.9
    for v, fires in ((9.9, True), (10.1, False)):
        codes = {f.code for f in check_panel(laid(slot=replace(SLOT, at=(MIDDLE[0], v))), Limits())}
        assert ("hole-off-panel" in codes) == fires


@pytest.mark.parametrize(
    ("du", "dv", "codes"),
    # floating, M8 in 9 mm and in a slot of 9 mm (ISO 273 medium): across, 2 e <= 1 + 1 mm; along, 5.5 mm more
    [(0.0, 6.4, []), (0.0, 6.6, ["mating"]), (0.4, 5.0, []), (0.0, -6.4, [])],
)
def test_a_bolt_uses_a_slot_anywhere_along_it(du: float, dv: float, codes: list[str]) -> None:
    sheet = firewall(existing=(replace(SLOT, action="reuse"),))
    part = on(plate(bolt(thread="M8")), at=(MIDDLE[0] + du, MIDDLE[1] + dv), holes=False)
    layout = panel_layout(sheet, [part], ())
    shaft = tuple(replace(h, shank_mm=8.0, kind="bolt") for h in layout.holes)
    found = check_joints([sheet], [part], [replace(layout, holes=shaft)], EXACT)
    assert [f.code for f in found] == codes


@pytest.mark.parametrize(("dv", "holes"), [(5.9, 1), (6.1, 2)])
def test_a_new_bolt_within_the_slot_takes_it(dv: float, holes: int) -> None:
    # half a millimetre past the end centre is still the slot
    new = HoleSpec(
        name="b",
        at=Position(u_mm=MIDDLE[0], v_mm=MIDDLE[1] + dv),
        kind="bolt",
        thread="M8",
        purpose="a bolt",
    )
    layout = laid(new, slot=replace(SLOT, action="reuse"))
    assert len(layout.holes) == holes
    kept = next(h for h in layout.holes if h.status == "reuse")
    assert (kept.u_mm, kept.v_mm, kept.travel_mm) == (*MIDDLE, 11.0)
    assert ("existing slot" in kept.position_note) == (holes == 1)


def test_a_slot_drawn_otherwise_does_not_read_back(tmp_path: Path) -> None:
    path, layout = tmp_path / "t.dxf", laid()
    write_template_dxf(layout, path, job="j", revision="1234567")
    assert read_template_dxf(path, layout, rel="t.dxf").problems == ()
    longer = laid(slot=replace(SLOT, length_mm=20.5))
    assert any("slot A" in p for p in read_template_dxf(path, longer, rel="t.dxf").problems)
