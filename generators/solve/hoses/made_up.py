"""Hoses as a supplier makes them up: length seat to seat with its tolerance, the angle between two elbows.

The angle is measured as SAE J517 and MIL-DTL-83796/5 figure 3 say (R2, a public page of the latter): seen
from the near end, whose fitting points to six o'clock, counter-clockwise to the other fitting; within 3
degrees on assemblies up to 24 in, within 5 degrees on longer ones. Lengths: 1/8 in up to 12 in (R2, a trade
page), 3/16 in up to 18 in, 1/4 in up to 36 in, 1 % above (SAE J517, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.geometry.frames import turned_about
from generators.layout.spots import PlacedPort
from generators.model.hose_path import Arc, HosePath, Segment
from generators.model.spec.fittings import HoseEnd
from generators.model.spec.hydraulics import Line
from generators.model.spec.lines import Hose
from generators.solve.hoses.ends import hose_seats
from generators.solve.hoses.lines import LinesAnswer

INCH_MM = 25.4
LENGTHS_MM = ((12 * INCH_MM, INCH_MM / 8), (18 * INCH_MM, 3 * INCH_MM / 16), (36 * INCH_MM, INCH_MM / 4))
LONGER_RATIO = 0.01
ANGLE_TO_MM, ANGLE_RAD, LONGER_ANGLE_RAD = 24 * INCH_MM, math.radians(3), math.radians(5)
Vector = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeUp:
    """One hose to order, mm and radians.

    ``between_rad`` is the angle from the near elbow to the far one, None where there are not two.
    ``bore_mm`` and ``rating_mpa`` are the pedal's line of it; 0 and None where nothing is said of them.
    ``minus_mm`` is less than ``usual_mm`` where a shorter hose would be pulled tight.
    """

    spec: Hose
    outside_mm: float
    length_mm: float
    between_rad: float | None
    minus_mm: float
    plus_mm: float
    usual_mm: float
    angle_mm_rad: float
    bore_mm: float = 0.0
    rating_mpa: float | None = None


def usual_tolerance_mm(length_mm: float) -> float:
    """How far a made-up length may be out each way, mm, by its length seat to seat."""
    for most, tolerance in LENGTHS_MM:
        if length_mm <= most:
            return tolerance
    return LONGER_RATIO * length_mm


def angle_tolerance_rad(length_mm: float) -> float:
    """How far the angle between two elbows may be out each way."""
    return ANGLE_RAD if length_mm <= ANGLE_TO_MM else LONGER_ANGLE_RAD


def is_elbow(end: HoseEnd | None) -> bool:
    """True for a fitting whose leg is at an angle."""
    return end is not None and end.angle_rad > 0


def ordered_made_up(hose: Hose) -> bool:
    """True for a flexible hose with fittings on its ends; one that is pushed on is cut by hand."""
    return hose.kind == "hose" and not hose.pushed_on


def bought_as_it_is(hose: Hose) -> bool:
    """True for what is bought made up: pushed-on hose or a rigid line, nothing to cut or to order made."""
    return hose.made_up_mm is not None and (hose.pushed_on or hose.kind == "rigid")


def made_up_hoses(
    lines: LinesAnswer, outside_mm: Mapping[str, float], rated: Mapping[str, Line]
) -> tuple[MadeUp, ...]:
    """Every hose of which the length is known; others are measured on the vehicle.

    ``outside_mm`` and the lines of pedals that they are, by their names.
    """
    out = []
    for answer in lines.hoses:
        hose, length, path = answer.spec, answer.length, answer.path
        if not ordered_made_up(hose) or length is None or path is None or answer.measure_why:
            continue
        usual = usual_tolerance_mm(length.made_up_mm)
        seats = hose_seats(hose, lines.ports)
        line = rated.get(hose.name)
        both = is_elbow(hose.from_end) and is_elbow(hose.to_end)
        out.append(
            MadeUp(
                spec=hose,
                outside_mm=outside_mm[hose.name],
                length_mm=length.made_up_mm,
                between_rad=between_elbows(path, seats) if both else None,
                minus_mm=min(usual, max(0.0, length.spare_mm)),
                plus_mm=usual,
                usual_mm=usual,
                angle_mm_rad=angle_tolerance_rad(length.made_up_mm),
                bore_mm=0.0 if line is None else line.bore_mm,
                rating_mpa=None if line is None else line.rating_mpa,
            )
        )
    return tuple(out)


def between_elbows(path: HosePath, seats: tuple[PlacedPort, PlacedPort]) -> float:
    """The angle between both elbows of an untwisted hose; ``path`` begins and ends past their legs.

    The direction of the near fitting is carried along the hose without twist: across each arc it turns with
    the arc.
    """
    own = path.segments
    along, arrives = _tangent(own[0], at_end=False), _tangent(own[-1], at_end=True)
    near = _across(-np.array(seats[0].direction), along)
    for segment in own:
        if isinstance(segment, Arc):
            near = turned_about(near, np.array(segment.axis), segment.sweep_rad)
    near = _across(near, arrives)
    far = _across(-np.array(seats[1].direction), arrives)
    clockwise = math.atan2(float(np.cross(near, far) @ arrives), float(near @ far))
    return -clockwise % (2 * math.pi)


def _tangent(segment: Segment, *, at_end: bool) -> Vector:
    if not isinstance(segment, Arc):
        way = np.array(segment.end) - np.array(segment.start)
        return np.asarray(way / np.linalg.norm(way), dtype=np.float64)
    axis = np.array(segment.axis)
    way = np.cross(axis, np.array(segment.start) - np.array(segment.centre))
    way = way / np.linalg.norm(way)
    return turned_about(way, axis, segment.sweep_rad) if at_end else np.asarray(way, dtype=np.float64)


def _across(vector: Vector, along: Vector) -> Vector:
    across = vector - (vector @ along) * along
    return np.asarray(across / np.linalg.norm(across), dtype=np.float64)
