"""The panel under a part, seen from the part: for kinds whose shape follows what is there.

Everything is in the part's root frame, in mm and radians; ``w = 0`` is the face the part lies on and
the panel's metal lies below it.
"""

from __future__ import annotations

from dataclasses import dataclass

from generators.model.contour import Contour
from generators.model.plan import Fitting
from generators.model.words import Face, Status
from generators.units import UnitSystem


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleUnder:
    """One opening of the panel under a part.

    ``name``, ``number``, ``status`` and ``owners`` are those of the ``PanelHole``; ``drill_near`` is
    true when the drill starts on the face the part lies on, ``by_twist_drill`` when an ordinary drill makes
    its final size. In ``fitting``, near is the part's side.
    """

    name: str
    number: str
    u_mm: float
    v_mm: float
    diameter_mm: float
    pilot_dia_mm: float
    status: Status
    owners: tuple[str, ...]
    purpose: str
    fitting: Fitting
    drill_near: bool = True
    by_twist_drill: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class LineUnder:
    """A fold of the panel, or a datum edge, from ``start`` to ``end``."""

    name: str
    start: tuple[float, float]
    end: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class PointUnder:
    """A point datum of the panel; existing holes are not repeated here."""

    name: str
    u_mm: float
    v_mm: float
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PartUnder:
    """Where another part covers the panel; ``near`` when it lies on the same face."""

    name: str
    near: bool
    contour: Contour


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelUnder:
    """A panel as the part on it needs it.

    ``face`` is the panel's face the part lies on. The part's own holes are not among ``holes``.
    ``units`` is what people measure in. ``beads`` stand proud of either face.
    ``edges`` are the straight datum lines of the panel.
    """

    panel: str
    face: Face
    thickness_mm: float
    contour: Contour
    holes: tuple[HoleUnder, ...] = ()
    folds: tuple[LineUnder, ...] = ()
    edges: tuple[LineUnder, ...] = ()
    points: tuple[PointUnder, ...] = ()
    beads: tuple[Contour, ...] = ()
    parts: tuple[PartUnder, ...] = ()
    units: UnitSystem = "metric"

    def named(self, name: str) -> tuple[HoleUnder, ...]:
        """The holes of that name, or all holes of the part of that name; empty for neither."""
        exact = tuple(h for h in self.holes if h.name == name)
        return exact or tuple(h for h in self.holes if name in h.owners)
