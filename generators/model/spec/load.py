"""The ``[[load]]`` tables of a spec and how a part is held: what stiffness and strength are judged by."""

from __future__ import annotations

from dataclasses import dataclass

from generators.errors import GeometryFault
from generators.model.spec import fields as key
from generators.model.words import HOLD_BY, LOAD_CASES, HoldBy, LoadCase, Toward

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
        "The bolt fills the bore, or head and washer clamp a ring around it",
        HOLD_BY,
        default="bore",
    )
    flex_mm_per_n: float = key.flex(
        "How far the panel gives along each bolt, seen from the part", hi=0.1, default=0.0
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
