"""What holds and loads a part at its bores, as plain data: for the quick answer and the solver alike.

Everything is in the part's own frame (that of its root flange), mm, N, MPa.
"""

from __future__ import annotations

from dataclasses import dataclass

Vector = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bore:
    """A round opening: ``centre`` at its lower end, unit ``axis`` through the sheet and a boss on it.

    A ``slotted`` one is a slot: it has no round wall, and its radius is that of the head's ring about its
    middle, by which alone it is held and pushed, on both faces.
    """

    name: str
    centre: Vector
    axis: Vector
    radius_mm: float
    length_mm: float
    slotted: bool = False

    @property
    def ends(self) -> tuple[Vector, Vector]:
        """Where its axis meets both faces of the sheet."""
        x, y, z = (c + a * self.length_mm for c, a in zip(self.centre, self.axis, strict=True))
        return self.centre, (x, y, z)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """A bolt that holds the part.

    ``ring_mm`` is the diameter of head and washer that clamp both faces, 0 for a bore held all over.
    ``flex_mm_per_n`` is how far what the bolt goes into gives along it; across it is rigid.
    """

    bore: str
    ring_mm: float = 0.0
    flex_mm_per_n: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BoreForce:
    """A force on one bore: across its axis as a pin bears, along it evenly spread."""

    bore: str
    force: Vector


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """What a part does to a bolt: force, N, and moment about the middle of its bore, N mm."""

    force: Vector
    moment: Vector
