"""Punches, dies, ram and table as outlines seen from the right end of the brake: y to the back gauge, z up.

All are the same along the whole bend, so that what stands in their way is judged in this plane (``shadow``).
The plain tools a shop has that names none are ours, invented; like those of many shops, but of nobody's list.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

from shapely.affinity import scale, translate
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from generators.geometry.joined import joined
from generators.model.spec.tools.press import Brake, Die, Punch

OURS = "ours, invented"
ARC_STEPS = 8
SAME_MM = 1e-6
SAME_RAD = 1e-6

PLAIN_PIECES = (10.0, 15.0, 20.0, 40.0, 50.0, 100.0, 100.0, 200.0, 300.0, 805.0)
"""Pieces one set of tools is sold in, ours: 10 to 1640 mm in steps of 5 with few gaps."""

PLAIN_PUNCHES = (
    Punch(
        name=f"straight punch ({OURS})",
        height_mm=150.0,
        angle_rad=math.radians(85),
        tip_radius_mm=1.0,
        width_mm=16.0,
        segments_mm=PLAIN_PIECES,
    ),
    Punch(
        name=f"gooseneck ({OURS})",
        height_mm=240.0,
        angle_rad=math.radians(80),
        tip_radius_mm=1.0,
        width_mm=24.0,
        neck_depth_mm=50.0,
        neck_from_mm=90.0,
        segments_mm=PLAIN_PIECES,
    ),
    Punch(
        name=f"acute punch ({OURS})",
        height_mm=150.0,
        angle_rad=math.radians(28),
        tip_radius_mm=1.0,
        width_mm=14.0,
        segments_mm=PLAIN_PIECES,
    ),
)
PLAIN_OPENINGS = (6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 24.0, 32.0, 40.0, 50.0, 63.0, 80.0, 100.0)


def plain_die(opening_mm: float, angle_rad: float = math.radians(80)) -> Die:
    """A die of that opening as this program makes one up: ours, invented."""
    kind = "" if angle_rad > math.radians(60) else "acute "
    depth = opening_mm / 2 / math.tan(angle_rad / 2)
    return Die(
        name=f"{kind}V {opening_mm:g} ({OURS})",
        opening_mm=opening_mm,
        angle_rad=angle_rad,
        shoulder_radius_mm=max(0.8, opening_mm / 16),
        width_mm=opening_mm + 2 * max(5.0, 0.25 * opening_mm),
        height_mm=max(80.0, math.ceil(depth + 15.0)),
        segments_mm=PLAIN_PIECES,
    )


@lru_cache(maxsize=64)
def dies_of(brake: Brake, opening_mm: float | None, thickness_mm: float) -> tuple[Die, ...]:
    """Dies for a sheet, best first: those of the shop's opening, else those nearest to eight thicknesses.

    Six to twelve thicknesses are taken, common practice without a source. Where the shop names no dies,
    plain ones (ours) are made up, of whatever opening it wants.
    """
    own = brake.die
    if not own:
        openings = PLAIN_OPENINGS if opening_mm is None else (opening_mm,)
        own = tuple(plain_die(v, a) for v in openings for a in (math.radians(80), math.radians(30)))
    if opening_mm is not None:
        return tuple(d for d in own if abs(d.opening_mm - opening_mm) < 0.01)
    fitting = [d for d in own if 6 * thickness_mm <= d.opening_mm <= 12 * thickness_mm]
    return tuple(sorted(fitting or own, key=lambda d: abs(d.opening_mm - 8 * thickness_mm))[:6])


BOTTOM_RAD = math.radians(2)
"""How far a bottoming die's angle may be from the bend's (common practice, no source): it is pressed home."""


def suits(tool: Punch | Die, bend_rad: float, pressed_rad: float, *, bottom: bool = False) -> bool:
    """True where a punch or die is sharp enough for a bend, or, bottoming, has the bend's own angle.

    ``pressed_rad`` is what the bend is pressed to in air. A bottomed bend comes out with the die's angle.
    """
    if bottom:
        return abs(math.pi - bend_rad - tool.angle_rad) <= BOTTOM_RAD + SAME_RAD
    return tool.angle_rad <= math.pi - pressed_rad + SAME_RAD


def punches_of(brake: Brake) -> tuple[Punch, ...]:
    """The shop's punches, or plain ones (ours)."""
    return brake.punch or PLAIN_PUNCHES


@lru_cache(maxsize=128)
def punch_outline(punch: Punch, turned: bool = False) -> Polygon:
    """A punch with its tip at the origin; ``turned`` the other way round in the clamp."""
    shape = Polygon(punch.profile) if punch.profile else Polygon(_punch_points(punch))
    return scale(shape, -1.0, 1.0, origin=(0.0, 0.0)) if turned else shape


def _punch_points(punch: Punch) -> list[tuple[float, float]]:
    half, r, h = punch.angle_rad / 2, punch.tip_radius_mm, punch.height_mm
    turn = math.pi / 2 - half
    tip = [
        (r * math.sin(turn * i / ARC_STEPS), r - r * math.cos(turn * i / ARC_STEPS))
        for i in range(ARC_STEPS + 1)
    ]
    at_y, at_z = tip[-1]
    nose = max(punch.width_mm / 2, at_y)
    if punch.neck_depth_mm > 0:
        nose = max(min(6.0, nose), at_y)
    shoulder = min(at_z + (nose - at_y) / math.tan(half), h)
    right = [*tip, (nose, shoulder)]
    left = [(-y, z) for y, z in reversed(right)][:-1]
    if punch.neck_depth_mm <= 0:
        return [*right, (nose, h), (-nose, h), *left]
    back, deep = punch.neck_depth_mm + punch.width_mm, punch.neck_depth_mm
    low = max(punch.neck_from_mm or shoulder, shoulder + 1.0)
    # its back stays inside the flank it has at the tip
    high = max(low, at_z + (back - at_y) / math.tan(half))
    if high >= h:
        high = max(low, h - 1.0)
    # over its neck it is back over the tip, where the clamp holds it and the ram presses
    tang, top = -punch.width_mm / 2, max(punch.throat_top_mm, low)
    return [*right, (back, high), (back, h), (tang, h), (tang, top), (deep, top), (deep, low), *left]


@lru_cache(maxsize=128)
def swept_up(punch: Punch, turned: bool, by_mm: float) -> BaseGeometry:
    """All a punch passes through while it rises."""
    shape = punch_outline(punch, turned)
    ring = list(shape.exterior.coords)
    quads = [
        Polygon([a, b, (b[0], b[1] + by_mm), (a[0], a[1] + by_mm)])
        for a, b in itertools.pairwise(ring)
        if abs(a[0] - b[0]) > SAME_MM
    ]
    return joined([shape, translate(shape, 0.0, by_mm), *(q if q.is_valid else q.buffer(0) for q in quads)])


@lru_cache(maxsize=64)
def ram_outline(brake: Brake, height_mm: float) -> Polygon:
    """Clamp and ram above a punch of that height."""
    return translate(Polygon(brake.ram), 0.0, height_mm)


def shoulder_centre(die: Die) -> float:
    """How far the middle of a shoulder's rounding lies from the middle of the die, mm."""
    slope = math.pi / 2 - die.angle_rad / 2
    return die.opening_mm / 2 + die.shoulder_radius_mm * math.tan(slope / 2)


@lru_cache(maxsize=64)
def die_outline(die: Die) -> Polygon:
    """A die with the middle of its top at the origin; its roundings are drawn inside the true arcs."""
    slope, r = math.pi / 2 - die.angle_rad / 2, die.shoulder_radius_mm
    centre, half = shoulder_centre(die), die.width_mm / 2
    arc = [
        (centre - r * math.sin(slope * i / ARC_STEPS), r * math.cos(slope * i / ARC_STEPS) - r)
        for i in range(ARC_STEPS + 1)
    ]
    depth = die.opening_mm / 2 / math.tan(die.angle_rad / 2)
    right = [(half, -die.height_mm), (half, 0.0), *(p for p in arc if p[0] < half), (0.0, -depth)]
    return Polygon([*right, *((-y, z) for y, z in reversed(right[:-1]))])


@lru_cache(maxsize=64)
def table_outline(brake: Brake, die_height_mm: float) -> Polygon:
    """The table under a die of that height."""
    return translate(Polygon(brake.table), 0.0, -die_height_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeUp:
    """Pieces of a punch or die side by side, longest first, and their length, mm."""

    pieces_mm: tuple[float, ...]

    @property
    def length_mm(self) -> float:
        """All of them together."""
        return math.fsum(self.pieces_mm)


def made_up(pieces_mm: Iterable[float], whole_mm: float, least_mm: float, most_mm: float) -> MadeUp | None:
    """The shortest set of pieces from ``least_mm`` to ``most_mm`` long, of as few pieces as that takes.

    Without pieces the tool is one of ``whole_mm``.
    """
    pieces = tuple(pieces_mm) or (whole_mm,)
    for total, used in _sums(pieces):
        if total > most_mm + SAME_MM:
            return None
        if total >= least_mm - SAME_MM:
            return MadeUp(pieces_mm=used)
    return None


@lru_cache(maxsize=64)
def _sums(pieces: tuple[float, ...]) -> tuple[tuple[float, tuple[float, ...]], ...]:
    """Every length the pieces make, rising, to 0.1 mm, each of the fewest pieces."""
    found: dict[int, tuple[float, ...]] = {0: ()}
    for piece in sorted(pieces, reverse=True):
        for total, used in list(found.items()):
            longer, more = total + round(piece * 10), (*used, piece)
            if longer not in found or len(more) < len(found[longer]):
                found[longer] = more
    return tuple((total / 10, used) for total, used in sorted(found.items()) if used)


def turns_of(punch: Punch) -> Iterator[bool]:
    """The ways a punch may be clamped."""
    yield False
    if punch.reversible and (punch.profile or punch.neck_depth_mm > 0):
        yield True
