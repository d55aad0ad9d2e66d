"""Small plans and layouts to try rules on: plain metal, with nothing wrong until a test makes it so."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from generators.checks.panel.panel import check_panel
from generators.checks.part.part import check_part
from generators.geometry.contours import polygon, rectangle
from generators.model.contour import Contour
from generators.model.findings import Finding
from generators.model.folds import FoldLine
from generators.model.limits import Limits
from generators.model.plan import (
    Bend,
    Fitting,
    Flange,
    Footprint,
    Hole,
    KeepOut,
    PanelHole,
    PanelLayout,
    PartPlan,
)
from generators.model.spec.shop import Shop, Stock
from generators.model.spec.tools.press import Brake, Punch
from generators.model.words import Face, FittingKind

STEEL = "1008 steel"
SHOP = Shop(stock=(Stock(material=STEEL, thickness_mm=3.0, inside_radius_mm=3.0, k_factor=0.43),))

STRAIGHT_ONLY = replace(
    SHOP,
    brake=Brake(
        punch=(
            Punch(
                name="straight", height_mm=150.0, angle_rad=math.radians(85), tip_radius_mm=1.0, width_mm=16.0
            ),
        )
    ),
)
"""A brake with one straight punch, 8 mm on either side of its plane."""


def codes(findings: list[Finding]) -> set[str]:
    return {f.code for f in findings}


def only(findings: list[Finding], code: str) -> Finding:
    found = [f for f in findings if f.code == code]
    assert len(found) == 1, [(f.code, f.where) for f in findings]
    return found[0]


def number(text: str) -> float:
    """The length at the beginning of what was found or wanted."""
    return float(text.split(maxsplit=1)[0])


# ------------------------------------------------------------------------------------------ parts
def part_hole(
    name: str, u: float, v: float, diameter: float, kind: FittingKind = "bolt", nut: float = 0.0
) -> Hole:
    fitting = Fitting(kind=kind, label=kind, nut_circle_mm=nut, nut_face="near" if nut else "none")
    return Hole(name=name, u_mm=u, v_mm=v, diameter_mm=diameter, purpose="test", fitting=fitting)


def plate(*holes: Hole, thickness: float = 3.0, contour: Contour | None = None, **more: Any) -> PartPlan:
    """A flat plate, 200 × 200 about the origin."""
    flange = Flange(name="plate", contour=contour or rectangle(-100, -100, 100, 100), holes=holes, **more)
    return PartPlan(name="p", kind="t", title="t", material=STEEL, thickness_mm=thickness, flanges=(flange,))


def angle_part(
    *holes: Hole,
    leg: float = 40.0,
    thickness: float = 3.0,
    radius: float = 3.0,
    material: str = STEEL,
    base: Contour | None = None,
    k_source: str = "shop test bend",
    bend_at: tuple[tuple[float, float], tuple[float, float]] = ((50.0, 60.0), (-50.0, 60.0)),
) -> PartPlan:
    """A base 100 wide whose top edge, at v = 60, carries a leg ``leg`` deep behind the tangent."""
    start, end = bend_at
    width = math.dist(start, end)
    return PartPlan(
        name="p",
        kind="t",
        title="t",
        material=material,
        thickness_mm=thickness,
        flanges=(
            Flange(name="base", contour=base or rectangle(-50, 0, 50, 60), holes=holes),
            Flange(name="leg", contour=rectangle(0, 0, width, leg)),
        ),
        bends=(
            Bend(
                name="b",
                parent="base",
                child="leg",
                start=start,
                end=end,
                angle_rad=math.pi / 2,
                inside_radius_mm=radius,
                direction="up",
                k_factor=0.43,
                k_source=k_source,
            ),
        ),
    )


def pointed(flat: float) -> PartPlan:
    """An angle whose legs taper to ``flat`` mm of straight edge along the bend."""
    plan = angle_part(base=polygon([(-flat / 2, 0), (flat / 2, 0), (50, 60), (-50, 60)]))
    leg = polygon([(0, 0), (100, 0), (50 + flat / 2, 40), (50 - flat / 2, 40)])
    return replace(plan, flanges=(plan.flanges[0], replace(plan.flanges[1], contour=leg)))


def channel(flat: float) -> PartPlan:
    """A web ``flat`` wide between two bends, with legs of 40 mm."""
    web = rectangle(0, 0, flat, 100)
    common: dict[str, Any] = {
        "parent": "web",
        "angle_rad": math.pi / 2,
        "inside_radius_mm": 3.0,
        "direction": "up",
        "k_factor": 0.43,
        "k_source": "shop test bend",
    }
    return PartPlan(
        name="p",
        kind="t",
        title="t",
        material=STEEL,
        thickness_mm=3.0,
        flanges=(
            Flange(name="web", contour=web),
            Flange(name="right", contour=rectangle(0, 0, 100, 40)),
            Flange(name="left", contour=rectangle(0, 0, 100, 40)),
        ),
        bends=(
            Bend(name="r", child="right", start=(flat, 0), end=(flat, 100), **common),
            Bend(name="l", child="left", start=(0, 100), end=(0, 0), **common),
        ),
    )


def notched(depth: float, width: float = 10.0) -> PartPlan:
    """An angle whose bend ends inside the top edge, beside notches of this size."""
    base = polygon(
        [
            (-50, 0),
            (50, 0),
            (50, 60),
            (20 + width, 60),
            (20 + width, 60 - depth),
            (20, 60 - depth),
            (20, 60),
            (-20, 60),
            (-20, 60 - depth),
            (-20 - width, 60 - depth),
            (-20 - width, 60),
            (-50, 60),
        ]
    )
    return angle_part(base=base, bend_at=((20.0, 60.0), (-20.0, 60.0)))


def unnotched() -> PartPlan:
    base = polygon([(-50, 0), (50, 0), (50, 60), (20, 60), (-20, 60), (-50, 60)])
    return angle_part(base=base, bend_at=((20.0, 60.0), (-20.0, 60.0)))


def part(
    plan: PartPlan, limits: Limits | None = None, shop: Shop = SHOP, *, brief: bool = False
) -> list[Finding]:
    """What a part is told; ``brief`` where no change of the part is asked for on the brake."""
    return check_part(plan, limits or Limits(), shop, brief=brief)


# ----------------------------------------------------------------------------------------- panels
def hole(number: str, u: float, v: float, diameter: float = 6.6, **more: Any) -> PanelHole:
    """A new plain bolt hole that nothing turns in, unless ``more`` says so."""
    values: dict[str, Any] = {
        "name": f"hole_{number.lower()}",
        "pilot_dia_mm": 3.0,
        "purpose": "test",
        "tool": "",
        "drill_face": "cab",
        "status": "drill",
        "owners": ("panel",),
        "kind": "bolt",
    }
    return PanelHole(number=number, u_mm=u, v_mm=v, final_dia_mm=diameter, **{**values, **more})


def old(letter: str, u: float, v: float, diameter: float = 20.0, **more: Any) -> PanelHole:
    """An existing opening that is kept."""
    values = {"tool": "", "status": "datum", "owners": ("existing",), "kind": "existing", "pilot_dia_mm": 0.0}
    return hole(letter, u, v, diameter, **{**values, **more})


def nutted(number: str, u: float, v: float, **more: Any) -> PanelHole:
    """An M6 bolt with its nut in the cab: 11.55 mm over corners, spanner circle 22 mm."""
    values = {"nut_face": "cab", "nut_circle_mm": 11.547, "spanner_circle_mm": 22.0, "reach_cab_mm": 15.0}
    return hole(number, u, v, **{**values, **more})


def box(u0: float, v0: float, u1: float, v1: float, **more: Any) -> KeepOut:
    """A heater box in the cab, on the panel."""
    values: dict[str, Any] = {
        "name": "heater_box",
        "face": "cab",
        "gap_mm": 0.0,
        "depth_mm": 100.0,
        "reason": "heater box",
    }
    return KeepOut(contour=rectangle(u0, v0, u1, v1), **{**values, **more})


def foot(name: str, u0: float, v0: float, u1: float, v1: float, face: Face = "cab") -> Footprint:
    return Footprint(part=name, face=face, contour=rectangle(u0, v0, u1, v1))


def fold(v: float) -> FoldLine:
    return FoldLine(other="toe_board", start=(0, v), end=(400, v), angle_rad=0.8, inside_radius_mm=6.0)


def layout(*holes: PanelHole, **more: Any) -> PanelLayout:
    """A panel 400 × 300 × 1.2 with a blanked witness hole far from everything."""
    key = old("K", 370, 270, 10, name="key", status="blank")
    values: dict[str, Any] = {
        "contour": rectangle(0, 0, 400, 300),
        "keepouts": (),
        "footprints": (),
        "folds": (),
        "witness_hole": "key",
        "thickness_mm": 1.2,
    }
    return PanelLayout(
        panel="firewall", title="t", material="steel", holes=(*holes, key), datums=(), **{**values, **more}
    )


def panel(*holes: PanelHole, limits: Limits | None = None, **more: Any) -> list[Finding]:
    return check_panel(layout(*holes, **more), limits or Limits())


def with_limit(**changes: float) -> Limits:
    return replace(Limits(), **changes)
