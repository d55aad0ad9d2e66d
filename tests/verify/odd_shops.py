"""Parts of any kind, some parameters changed, in shops whose tools are anything their keys let them be."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from generators.bending.setting import machines_of, on_brake_instead, sequence_of
from generators.bending.steps import Sequence
from generators.checks.part.part import check_part
from generators.drawing.bending.sheet import write_setup_sheet
from generators.errors import GeometryFault, LookupFault
from generators.jobs.make.part_files import tools_of
from generators.model.findings import Severity
from generators.model.limits import Limits
from generators.model.plan import PartPlan
from generators.model.spec.fields import spec_fields
from generators.model.spec.job import PartSpec
from generators.model.spec.shop import Shop, Stock
from generators.model.spec.tools.folder import Folder
from generators.model.spec.tools.press import BackGauge, Brake
from generators.parts import KINDS
from generators.sheetmetal.allowance import bend_rule
from generators.sheetmetal.relief import relief_width
from generators.sheetmetal.relieving import relieved
from generators.sheets.setup.page import write_setup_page
from generators.units import UnitSystem
from generators.verify.html.setup import read_setup_page
from generators.verify.pdf.bending.setup import read_setup_sheet

SHEETS = (
    ("1008 steel", (0.8, 1.5, 2.0, 3.0, 4.0, 6.0)),
    ("304 stainless", (1.0, 2.0)),
    ("5052-H32", (2.0, 4.0, 6.0)),
)
GAUGE = {
    "finger_width_mm": (5.0, 8.0, 12.0, 30.0, 60.0, 100.0, 150.0),
    "finger_height_mm": (6.0, 10.0, 20.0, 60.0, 90.0, 150.0),
    "below_mm": (0.0, 2.0, 10.0, 60.0, 100.0),
    "nearest_mm": (2.0, 15.0, 30.0),
    "finger_length_mm": (40.0, 300.0),
}


@dataclass(frozen=True, slots=True)
class Odd:
    """A part that can be bent in its shop."""

    plan: PartPlan
    shop: Shop

    @property
    def bends(self) -> Sequence:
        """The order of its bends."""
        return sequence_of(self.plan, self.shop)[0]

    def problems(
        self, folder: Path, units: UnitSystem, *, page: bool = False, bends: Sequence | None = None
    ) -> tuple[str, ...]:
        """What is wrong with its setup sheet as read back, and with its page where that is asked for.

        ``bends`` are written instead of its own.
        """
        plan, shop, bends = self.plan, self.shop, bends or self.bends
        named: dict[str, Any] = {"job_title": "Toy", "revision": "abc1234"}
        made_of: dict[str, Any] = {
            "bends": bends,
            "instead": on_brake_instead(plan, shop, bends),
            "machines": machines_of(plan, shop),
            "units": units,
        }
        tools = tools_of(plan, shop)
        sheet, moving = folder / "setup.pdf", folder / "setup.html"
        write_setup_sheet(plan, sheet, **made_of, **named)
        found = read_setup_sheet(sheet, plan, tools=tools, rel="setup.pdf", **named).problems
        if page:
            write_setup_page(moving, job="toy", plan=plan, **made_of, **named)
            found += read_setup_page(
                moving, job="toy", plan=plan, tools=tools, waived=(), rel="setup.html", **named
            ).problems
        return found


def drawn(seed: int) -> Odd | None:
    """The part and the shop of a seed; None where the part cannot be made, or not be bent there."""
    pick = random.Random(seed)
    kind = pick.choice([k for k in KINDS if k.plan is not None and not k.printed])
    material, thicknesses = pick.choice(SHEETS)
    thickness = pick.choice(thicknesses)
    shop = _shop(pick, material, thickness)
    spec = PartSpec(
        name="any",
        kind=kind.name,
        material=material,
        thickness_mm=thickness,
        parameters=kind.parameters(**_parameters(pick, kind.parameters)),
    )
    try:
        rule = bend_rule(shop, material, thickness, None)
        plan = relieved(kind.plan(spec, rule), relief_width(rule, thickness))
        failed = any(f.severity is Severity.FAIL for f in check_part(plan, Limits(), shop))
    except (GeometryFault, LookupFault):
        return None
    if failed or not plan.bends or not sequence_of(plan, shop)[0].found:
        return None
    return Odd(plan, shop)


def _parameters(pick: random.Random, keys: type[Any]) -> dict[str, Any]:
    """Up to three of a kind's parameters: mostly about as they come, now and then anywhere in their bounds."""
    fields = {f.attribute: f.spec for f in spec_fields(keys)}
    out: dict[str, Any] = {}
    for name in pick.sample(sorted(fields), min(pick.choice((0, 1, 2, 3)), len(fields))):
        spec: Any = fields[name]
        usual: Any = getattr(keys(), name, None)
        if spec.kind == "choice":
            out[name] = pick.choice(spec.choices)
        elif spec.kind in ("length", "angle"):
            near = isinstance(usual, float) and pick.random() < 0.7
            value = (
                usual * pick.uniform(0.6, 1.6) if near else pick.uniform(spec.lo, min(spec.hi, spec.lo + 200))
            )
            out[name] = min(max(round(value, 3), spec.lo), spec.hi)
    return out


def _shop(pick: random.Random, material: str, thickness: float) -> Shop:
    gauge: dict[str, Any] = {k: pick.choice(v) for k, v in GAUGE.items() if pick.random() < 0.5}
    if pick.random() < 0.3:
        gauge["beam_behind_mm"] = pick.choice((60.0, 100.0, 200.0))
        if pick.random() < 0.5:
            gauge["beam_top_mm"] = pick.choice((-60.0, -20.0, 0.0, 20.0))
    brake: dict[str, Any] = {"gauge": BackGauge(**gauge)}
    if pick.random() < 0.4:
        brake["ram"] = _outline(pick)
    if pick.random() < 0.4:
        brake["table"] = tuple((-y, -z) for y, z in _outline(pick))
    if pick.random() < 0.4:
        brake["room_mm"] = pick.choice((0.0, 0.5, 2.0, 5.0))
    shop = Shop(brake=Brake(**brake), folder=Folder() if pick.random() < 0.25 else None)
    if pick.random() < 0.4:
        stock = Stock(
            material=material,
            thickness_mm=thickness,
            inside_radius_mm=round(thickness * pick.choice((0.8, 1.0, 1.5, 2.0)), 2),
            k_factor=pick.choice((None, 0.38, 0.42, 0.45)),
            die_opening_mm=pick.choice((None, thickness * 8, thickness * 10)),
            springback_rad=math.radians(pick.choice((0.0, 0.5, 1.5, 3.0))),
        )
        shop = replace(shop, stock=(stock,))
    return shop


def _outline(pick: random.Random) -> tuple[tuple[float, float], ...]:
    """A clamp and ram upward from its foot, plain or wider above; now and then not about the middle."""
    before, behind = round(pick.uniform(15, 60), 1), round(pick.uniform(15, 60), 1)
    if pick.random() < 0.5:
        return (-before, 0.0), (behind, 0.0), (behind, 800.0), (-before, 800.0)
    at, more, less = (round(pick.uniform(*ends), 1) for ends in ((40, 200), (0, 60), (0, 60)))
    right = (behind, 0.0), (behind, at), (behind + more, at), (behind + more, 800.0)
    return ((-before, 0.0), *right, (-before - less, 800.0), (-before - less, at), (-before, at))
