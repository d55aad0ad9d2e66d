"""Sheets of the job as the rules on bodies see them, and a place in the vehicle said in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from shapely.geometry import Point, Polygon

from generators.checks.space.moves import Movable
from generators.geometry.frames import Matrix
from generators.space.body import Body
from generators.space.pieces import Array, Point3

NEAR_MM = 400.0
"""Further off a panel than this a place is said in the vehicle's own frame: ours."""


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """A flat sheet in the vehicle: a panel or a flange, with the body that it is.

    ``pose`` has u, v and w; the metal lies from ``low_mm`` to ``high_mm`` along w. ``openings`` are round
    ones: u, v and diameter, mm.
    """

    body: str
    title: str
    pose: Matrix
    low_mm: float
    high_mm: float
    outline: tuple[tuple[float, float], ...]
    openings: tuple[tuple[float, float, float], ...] = ()
    panel: bool = False

    def local(self, point: Point3) -> Array:
        """The point in the sheet's own u, v and w."""
        return np.asarray((np.array(point) - self.pose[:3, 3]) @ self.pose[:3, :3])

    def over(self, u: float, v: float) -> bool:
        """True where (u, v) lies in the outline, openings or not."""
        return bool(Polygon(self.outline).covers(Point(u, v)))


@dataclass(frozen=True, kw_only=True)
class Ground:
    """What the rules on bodies need beside the bodies.

    ``carrier`` has, by owner, the part or the panel that a component or a pedal hangs on, ``movable`` by kind
    and owner (``part hanger``) what the user may move, ``undrilled`` the parts whose mount drills no holes.
    """

    sheets: tuple[Sheet, ...]
    carrier: dict[str, str]
    movable: Mapping[str, Movable] = field(default_factory=dict)
    undrilled: frozenset[str] = frozenset()

    def words(self, point: Point3) -> str:
        """A place as it is found on the vehicle: on or off the nearest panel, else in the vehicle's frame."""
        best: tuple[float, str] | None = None
        for sheet in self.sheets:
            if not sheet.panel:
                continue
            u, v, w = sheet.local(point).tolist()
            off = max(w - sheet.high_mm, sheet.low_mm - w, 0.0)
            if off > NEAR_MM or not sheet.over(u, v) or (best is not None and off >= best[0]):
                continue
            side = "cab" if w > (sheet.low_mm + sheet.high_mm) / 2 else "engine"
            where = f"{off:.0f} mm off its {side} face" if off > 0 else "in its metal"
            best = off, f"{sheet.title}, u {u:.0f} v {v:.0f}, {where}"
        if best is not None:
            return best[1]
        x, y, z = point
        return f"x {x:.0f} y {y:.0f} z {z:.0f}"


def one_title(bodies: Sequence[Body]) -> str:
    """What to call the bodies of one owner: the first, and how many more."""
    titles = list(dict.fromkeys(body.title for body in bodies))
    return titles[0] if len(titles) == 1 else f"{titles[0]} with {len(titles) - 1} more of it"
