"""Pedals with things just too near and just far enough, for the register's test.

The pedal is the plain one of the hydraulics tests: pivot at (95, 0, 62), pad 60 out and 330 down at rest, 75 mm
wide, so its sides are 37.5 mm to either side of y = 0 wherever it is on its way.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np

from generators.checks.pedal.defaults import check_defaults
from generators.checks.space.floor import check_floor
from generators.checks.space.pads import Footed, check_column, check_foot, check_height, check_spacing
from generators.checks.space.swing import Moving, check_swing
from generators.checks.unsaid import check_unsaid
from generators.hydraulics.linkage import FloorFound
from generators.model.findings import Finding
from generators.model.spec.hydraulics import Pedal
from generators.model.spec.job import Job
from generators.model.spec.lines import Clamp, Spot
from generators.model.spec.pedal_shape import Driver
from generators.model.words import BodyKind
from generators.solve.bodies.pedals import PedalShapes
from generators.space.body import Body
from generators.space.pieces import Box

sys.path.insert(0, str(Path(__file__).parents[1] / "hydraulics"))

from pedal_samples import FRAME, clutch_pedal

Case = Callable[[], list[Finding]]
HALF_PAD_MM = 37.5
HALF_SHOE_MM = 57.5
END_RAD = 0.4


def block(name: str, low: tuple[float, ...], high: tuple[float, ...], what: BodyKind = "obstacle") -> Body:
    """A box by two corners."""
    pose = np.eye(4)
    pose[:3, 3] = (np.array(low) + np.array(high)) / 2
    x, y, z = ((h - w) / 2 for w, h in zip(low, high, strict=True))
    return Body(name=name, title=name, what=what, owner=name, forms=(Box(pose=pose, half_mm=(x, y, z)),))


def unsaid(metal: str) -> list[Finding]:
    """A clamp on the vehicle itself, of which the spec says what it is bolted to, or does not."""
    clamp = Clamp(name="c", dash=4, on=Spot(at=(0.0, 0.0, 0.0)), metal=metal)
    job = SimpleNamespace(part=(), component=(), hose=(), clamp=(clamp,), job=SimpleNamespace(contact=""))
    return list(check_unsaid(cast("Job", job), ()))


def beside(y_mm: float) -> Body:
    """A wall to the right of the pedal's whole way, from the height of the pad down."""
    return block("wall", (-200, y_mm, -320), (300, y_mm + 50, -150))


def shapes(y_mm: float = 0.0, **changes: Any) -> PedalShapes:
    frame = replace(FRAME, pivot=(95.0, y_mm, 62.0), seat=(-8.0, y_mm, 0.0))
    return PedalShapes(clutch_pedal(**changes), frame)


def moving(pedal: PedalShapes) -> Moving:
    """Arm and pad alone."""
    movers = (pedal.swinging(pedal.arm(), END_RAD), pedal.swinging(pedal.pad(), END_RAD))
    return Moving(pedal=pedal.pedal.name, movers=movers, apart={}, through={})


def swing(*standing: Body, **changes: Any) -> list[Finding]:
    return list(check_swing([moving(shapes(**changes))], standing, 6.0))


def footed(pedal: PedalShapes) -> Footed:
    return Footed(
        pedal=pedal.pedal.name,
        pad=pedal.swinging(pedal.pad(), END_RAD),
        shoe=pedal.swinging(pedal.shoe(Driver()), END_RAD),
        middle=pedal.middle(0.01),
    )


def spaced(gap_mm: float) -> list[Finding]:
    pads = [footed(shapes()), footed(shapes(2 * HALF_PAD_MM + gap_mm, name="brake"))]
    return list(check_spacing(pads, 50.0))


def column(gap_mm: float) -> list[Finding]:
    return list(check_column(footed(shapes()), [beside(HALF_PAD_MM + gap_mm)], 50.0))


def height(height_mm: float) -> list[Finding]:
    top = 62.0 - 330.0 - height_mm
    floor = block("floor", (0, -100, top - 5), (400, 100, top), "panel")
    return list(check_height(footed(shapes()), [(floor, 0.0)], 203.0))


def floored(travel_mm: float, pedal: Pedal | None = None, stop_mm: float | None = None) -> list[Finding]:
    floor = FloorFound(travel_mm=travel_mm, bare_mm=travel_mm, what="toe board", where="u 1 mm", by="pad")
    return list(check_floor(pedal or clutch_pedal(), floor, stop_mm))


GIVEN = {
    "bracket_flex": "0.3 mm/kN",
    "clutch": {"free_play": "1.5 mm"},
    "arm_diameter": "16 mm",
    "pad_width": "75 mm",
    "pad_height": "50 mm",
    "pad_thickness": "12 mm",
}

PEDAL_SPACE_CASES: dict[str, tuple[Case, Case]] = {
    # known to 0.1 mm: a travel of 170 mm
    "pedal-floor": (lambda: floored(169.89), lambda: floored(169.91)),
    "pedal-stop-place": (
        lambda: floored(170.0, clutch_pedal(stop=150.0), 148.99),
        lambda: floored(170.0, clutch_pedal(stop=150.0), 149.01),
    ),
    "pedal-swing": (
        lambda: swing(beside(HALF_PAD_MM + 5.99)),
        lambda: swing(beside(HALF_PAD_MM + 6.01)),
    ),
    "pad-spacing": (lambda: spaced(49.99), lambda: spaced(50.01)),
    "pad-column": (lambda: column(49.99), lambda: column(50.01)),
    "pad-height": (lambda: height(203.1), lambda: height(202.9)),
    "foot-room": (
        lambda: list(check_foot(footed(shapes()), [beside(HALF_SHOE_MM - 0.1)])),
        lambda: list(check_foot(footed(shapes()), [beside(HALF_SHOE_MM + 0.1)])),
    ),
    "pedal-default": (
        lambda: list(check_defaults(clutch_pedal(), {}, None)),
        lambda: list(
            check_defaults(
                clutch_pedal(), GIVEN, FloorFound(travel_mm=math.inf, bare_mm=math.inf, open_=True)
            )
        ),
    ),
    "paper-asks": (lambda: unsaid(""), lambda: unsaid("the frame rail, 5 mm")),
}
