"""The ``[spread]`` table of a spec: how vehicles differ from it, and how far people and machines err."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, get_args

from generators.model.spec import fields as key

SpreadOf = Literal[
    "existing",
    "hole_size",
    "panel_angle",
    "obstacle",
    "component",
    "paper",
    "drill",
    "print_scale",
    "cut",
    "bend_angle",
    "hose_length",
]
"""What varies: six of the vehicle's own are told apart from what people and machines do by ``OF_VEHICLE``."""

SPREAD_OF: tuple[SpreadOf, ...] = get_args(SpreadOf)
OF_VEHICLE: frozenset[SpreadOf] = frozenset({"existing", "hole_size", "panel_angle", "obstacle", "component"})
BY_TURN: frozenset[SpreadOf] = frozenset({"panel_angle", "bend_angle"})
BY_SHARE: frozenset[SpreadOf] = frozenset({"print_scale"})

Shape = Literal["normal", "uniform", "triangular"]
SHAPES: tuple[Shape, ...] = get_args(Shape)

SPRUNG_MM = 3.0
"""How far a rigid line's end is brought into its seat by hand. Common practice, no source."""

GUESS = "our guess"


@dataclass(frozen=True, slots=True, kw_only=True)
class SpreadInput:
    """One row: a thing, or all of its kind, and how far it is off what the spec says.

    A place is off by ``off`` along each of its axes, each on its own.
    """

    of: SpreadOf = key.choice(
        "What: places of existing holes, their diameters, how a panel leans, places of obstacles and of "
        "components that are free in the vehicle; or how far the paper is laid off its mark, a drill starts "
        "off its mark, the print is off its scale, a part's hole is cut off its place, a bend is off its "
        "angle, a hose is made up off its length",
        SPREAD_OF,
    )
    things: tuple[str, ...] = key.features(
        "Which: holes, panels, obstacles, components, parts or hoses by name, `panel.hole` where two panels "
        "have one; none for all of the kind that have no row of their own",
        hi=100,
        default=(),
    )
    shape: Shape = key.choice("How it is spread", SHAPES, default="normal")
    off_mm: float | None = key.length(
        "How far, a length: one standard deviation of a normal spread, half the width of a uniform or "
        "triangular one",
        lo=0.0,
        hi=200.0,
        default=None,
    )
    turn_rad: float | None = key.angle(
        "How far, of an angle (panel_angle, bend_angle)", lo=0.0, hi=math.radians(20), default=None
    )
    share: float | None = key.number("How far, of a scale (print_scale)", lo=0.0, hi=0.1, default=None)
    source: str = key.text("Where the figure comes from", lo=3, hi=120, default=GUESS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """How the next vehicle and the next pair of hands differ, for ``spread``, ``form`` and ``fits``."""

    note: str = key.text("Printed with the figure", hi=200, default="")
    wanted: float = key.number(
        "The chance that all goes together first time that is wanted", lo=0.5, hi=0.9999, default=0.95
    )
    sprung_mm: float = key.length(
        "How far the end of a rigid line is brought into its seat by hand (common practice, no source)",
        hi=20.0,
        default=SPRUNG_MM,
    )
    input: tuple[SpreadInput, ...] = key.tables("What varies, and how far", SpreadInput, hi=200)
