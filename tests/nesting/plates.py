"""Flat plates and a shop to nest them with."""

from __future__ import annotations

import random
from dataclasses import replace

from generators.geometry.contours import polygon
from generators.model.plan import Fitting, Flange, Hole, PartPlan, Slot
from generators.model.spec.shop import Cutting, Shop
from generators.model.spec.tools.rates import CutRate, Nesting, RackSheet, Rates
from generators.model.words import Grain
from generators.nesting.job import nest_of
from generators.nesting.nest import Nest

STEEL = "S235 steel"
BOLT = Fitting(kind="bolt", label="M8 bolt")
BIG = RackSheet(material=STEEL, thickness_mm=4.0, length_mm=2500.0, width_mm=1250.0, per_kg=1.5)


def plate(name: str, points: list[tuple[float, float]], quantity: int = 1, grain: Grain = "any") -> PartPlan:
    """A plate with a hole and a slot off its middle, so that it is like no turn of itself."""
    us, vs = [p[0] for p in points], [p[1] for p in points]
    u, v = sum(us) / len(us), sum(vs) / len(vs)
    hole = Hole(name="h", u_mm=u + 7, v_mm=v + 3, diameter_mm=9.0, purpose="bolt", fitting=BOLT)
    slot = Slot(
        name="s",
        u_mm=u - 12,
        v_mm=v,
        width_mm=6.0,
        travel_mm=8.0,
        angle_rad=0.3,
        purpose="bolt",
        fitting=BOLT,
    )
    flange = Flange(name="web", contour=polygon(points), holes=(hole,), slots=(slot,))
    return PartPlan(
        name=name,
        kind="t",
        title=name,
        material=STEEL,
        thickness_mm=4.0,
        flanges=(flange,),
        quantity=quantity,
        grain=grain,
    )


def box(name: str, wide: float, high: float, quantity: int = 1, grain: Grain = "any") -> PartPlan:
    """A rectangular plate with its corner at the origin."""
    return plate(name, [(0, 0), (wide, 0), (wide, high), (0, high)], quantity, grain)


def wedge(name: str, quantity: int = 1, grain: Grain = "any") -> PartPlan:
    """300 wide below, 100 wide above, 200 high: two lie head to tail."""
    return plate(name, [(0, 0), (300, 0), (100, 200), (0, 200)], quantity, grain)


def drawn(seed: int, kinds: int, pieces: int) -> list[PartPlan]:
    """Boxes and wedges of random sizes, ``pieces`` in all."""
    rng = random.Random(seed)
    out = []
    for i in range(kinds):
        wide, high = rng.uniform(70, 400), rng.uniform(60, 300)
        top = rng.uniform(0.4, 1.0) * wide
        points = [(0.0, 0.0), (wide, 0.0), (top, high), (0.0, high)]
        grain: Grain = rng.choice(["any", "along_u", "along_v"])
        out.append(plate(f"p{i}", points, pieces // kinds + (i < pieces % kinds), grain))
    return out


def shop(*sheets: RackSheet, gap: float = 8.0, rates: Rates | None = None, **cutting: object) -> Shop:
    """A shop with those sheets, or as many large ones as it takes."""
    return Shop(
        sheet=sheets or (BIG,),
        nest=Nesting(gap_mm=gap),
        rates=rates or Rates(),
        cutting=replace(Cutting(), **cutting),  # type: ignore[arg-type]
    )


def nested(plans: list[PartPlan], of: Shop, sets: int = 1, least: float = 0.0) -> Nest:
    """The nest of those plans."""
    return nest_of(plans, {p.name: least for p in plans}, of, sets)


RATES = Rates(
    currency="EUR",
    cutter_hour=90.0,
    brake_hour=60.0,
    sheet_setup_s=300.0,
    bend_s=30.0,
    bend_setup_s=600.0,
    cut=(CutRate(material=STEEL, thickness_mm=4.0, speed_mm_per_s=50.0, pierce_s=1.5),),
)
