"""What is filed or opened at the bench after holes went wrong, as plain data: each cut with its own view.

Lengths in mm, angles in radians, in the frame the view is seen in: of a part its root flange's, seen from the
side away from the panel; of a panel its own, seen from the cab.
"""

from __future__ import annotations

from dataclasses import dataclass

from generators.model.contour import Contour


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A round hole, or a slot with ``travel_mm`` between its end centres, turned by ``angle_rad``."""

    name: str
    at: tuple[float, float]
    width_mm: float
    travel_mm: float = 0.0
    angle_rad: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """One hole as it is, ``before``, and as it is to be, ``after``.

    ``thing`` is what it is in, in words, ``seen`` from where; ``order`` says what to do, ``edge`` which rim
    and how far. ``outlines`` and ``others`` are what lies round it.
    """

    thing: str
    seen: str
    order: str
    edge: str
    before: Opening
    after: Opening
    outlines: tuple[Contour, ...]
    others: tuple[Opening, ...]
