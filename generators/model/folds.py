"""What a layout has beside holes and parts: folds, the strip paper goes round, places and areas drawn in."""

from __future__ import annotations

from dataclasses import dataclass

from generators.model.contour import Contour
from generators.model.words import Face


@dataclass(frozen=True, slots=True, kw_only=True)
class FoldLine:
    """A fold shared with another panel; ``start`` and ``end`` in this panel's frame."""

    other: str
    start: tuple[float, float]
    end: tuple[float, float]
    angle_rad: float
    inside_radius_mm: float
    other_title: str = ""

    @property
    def words(self) -> str:
        """What the other panel is called on paper."""
        return self.other_title or self.other.replace("_", " ")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wrap:
    """A fold that paper goes round: both tangent lines, and the ends of a length to check with a tape.

    The strip between the lines lies on the arc of the fold; the sheet turns by ``angle_rad`` there,
    ``toward`` the cab or the engine.
    """

    start: tuple[float, float]
    end: tuple[float, float]
    far_start: tuple[float, float]
    far_end: tuple[float, float]
    angle_rad: float
    inside_radius_mm: float
    toward: Face
    check: tuple[tuple[float, float], tuple[float, float]]

    def beyond(self, u: float, v: float) -> bool:
        """True for a point past the middle of the strip, as seen from the first panel."""
        du, dv = self.end[0] - self.start[0], self.end[1] - self.start[1]
        au, av = self.far_start[0] - self.start[0], self.far_start[1] - self.start[1]
        across = du * av - dv * au
        return (du * (v - self.start[1] - av / 2) - dv * (u - self.start[0] - au / 2)) * across > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Passing:
    """Something of the vehicle that goes through a panel: what it is in words, and its section there."""

    words: str
    contour: Contour


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceEllipse:
    """Where a measured centre lies with 95 % probability; the major axis turned from u by ``angle_rad``.

    ``major_mm`` and ``minor_mm`` are semi-axes.
    """

    hole: str
    u_mm: float
    v_mm: float
    major_mm: float
    minor_mm: float
    angle_rad: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ReachArea:
    """Where the marked point ``at`` of something may lie for a hose of given length, in the panel frame.

    ``rings`` bound the region, outer and inner ones alike; ``words`` say what it means.
    """

    name: str
    face: Face
    rings: tuple[Contour, ...]
    at: tuple[float, float]
    words: str
