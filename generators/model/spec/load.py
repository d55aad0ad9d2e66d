"""The ``[[load]]`` tables of a spec, how a part is held and its panel carried: what strength is judged by."""

from __future__ import annotations

from dataclasses import dataclass

from generators.errors import GeometryFault
from generators.model.spec import fields as key
from generators.model.words import (
    HOLD_BY,
    HOLD_WASHERS,
    LOAD_CASES,
    PLATE_EDGES,
    HoldBy,
    HoldWashers,
    LoadCase,
    PlateEdges,
    Toward,
)

TOWARD: dict[Toward, tuple[float, float, float]] = {
    "right": (1.0, 0.0, 0.0),
    "left": (-1.0, 0.0, 0.0),
    "up": (0.0, 1.0, 0.0),
    "down": (0.0, -1.0, 0.0),
    "out": (0.0, 0.0, 1.0),
    "in": (0.0, 0.0, -1.0),
}
"""Directions as a part's root flange has them: out is away from what it lies on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """How a part is held."""

    holes: tuple[str, ...] = key.names(
        "Holes with the bolts that hold it; without any, all that are bolted down and its braces",
        hi=50,
        default=(),
    )
    by: HoldBy = key.choice(
        "The bolt fills the bore, or its washer, as large as it is, clamps a ring around it",
        HOLD_BY,
        default="bore",
    )
    flex_mm_per_n: float | None = key.flex(
        "How far the panel gives along each bolt, seen from the part, 0 for not at all; left out, what is "
        "computed of a panel with a carried table",
        hi=0.1,
        default=None,
    )
    washers: HoldWashers = key.choice(
        "Washers of the bolts that hold it: what the sheet under them needs to be done up on, or large ones",
        HOLD_WASHERS,
        default="as needed",
    )

    def counts_on(self, hole: str) -> bool:
        """True where stiffness and strength are worked out with the bolt in that hole."""
        return not self.holes or hole in self.holes


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """One load case: a foot on a pad, or a force on a hole."""

    name: str = key.name("Name")
    part: str = key.name("The part it is for")
    case: LoadCase = key.choice(
        "Of a pad: normal, limit, structure (a brake's 2000 N, as structure only) or side; of a hole: force",
        LOAD_CASES,
        default="force",
    )
    pedal: str = key.name("Pedal whose pad is pushed", default="")
    hole: str = key.name("Hole the force acts on", default="")
    force_n: float | None = key.force(
        "The force; of a pad without it, the published figure of its case", lo=0.1, hi=20_000.0, default=None
    )
    toward: Toward = key.choice(
        "Which way the force on a hole points, as the part's first flange has it",
        tuple(TOWARD),
        default="down",
    )

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` for a case without its place or its force."""
        if self.case == "force":
            if not self.hole or self.pedal:
                raise GeometryFault("a force that does not act on just a hole", "hole")
            if self.force_n is None:
                raise GeometryFault("a force without its size", "force")
        elif not self.pedal or self.hole:
            raise GeometryFault(f"a {self.case} case that does not act on just a pedal's pad", "pedal")


@dataclass(frozen=True, slots=True, kw_only=True)
class Bead:
    """A pressed stiffening bead: no hole within its width."""

    name: str = key.name("Name, unique in the panel")
    start: tuple[float, float] = key.point("One end of its middle line", hi=5_000.0)
    end: tuple[float, float] = key.point("The other end", hi=5_000.0)
    width_mm: float = key.length("Width", lo=1.0, hi=200.0)
    depth_mm: float = key.length(
        "How far it stands off the sheet, either way; 0 adds no stiffness to the panel", hi=50.0, default=0.0
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """How a panel is carried, for how far it gives under the bolts of a loaded part: a rectangle between its
    supports. Without corner and size it is the box round the outline."""

    edges: PlateEdges = key.choice(
        "Its edges rest on what is under them, or are clamped there (welded to a box, folded deep)",
        PLATE_EDGES,
        default="rest",
    )
    corner: tuple[float, float] | None = key.point(
        "Lower left corner of the free field between supports", hi=5_000.0, default=None
    )
    size: tuple[float, float] | None = key.point("Its width and height", hi=5_000.0, default=None)

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` for a field that is no rectangle."""
        if (self.corner is None) != (self.size is None):
            raise GeometryFault("a field with a corner and no size, or a size and no corner", "size")
        if self.size is not None and min(self.size) <= 0:
            raise GeometryFault("a field without width or height", "size")
