"""What a pedal does to its hanger: the pedal as a free body, and the hanger's movement carried to the pad.

The pedal turns without friction on a rigid shaft in two bores, the rod is rigid. With the foot's force F
at the pad, the rod pushes the pin back with N along the rod's line, so that the moments about the
shaft vanish; the shaft passes F − N r on to the bores and the master passes N r on to its bolts (r: unit
vector from pin to seat). All vectors in the part's frame, mm and N.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.errors import GeometryFault
from generators.model.plan import Hole, Slot
from generators.strength.bores import Bore, BoreForce, Vector

Array = NDArray[np.float64]
ACROSS_FLATS = math.cos(math.radians(30))
"""A head's bearing circle over the circle through its corners."""
_SMALL = 1e-9
MOSTLY = 0.7
"""Of a force along a bore: about the sine of 45 degrees."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pose:
    """A pedal where it is when it is loaded. ``across`` is the unit vector of its shaft, ``press`` the
    direction the pad moves when pressed, ``axis`` of the cylinder, into it."""

    pivot: Vector
    pin: Vector
    pad: Vector
    seat: Vector
    across: Vector
    press: Vector
    axis: Vector


@dataclass(frozen=True, slots=True, kw_only=True)
class Reaction:
    """Forces on the hanger from a force at the pad: at the bores of the shaft and on the master's bolts.

    ``rod_n`` is the force along the rod, positive when it pushes the piston.
    """

    forces: tuple[BoreForce, ...]
    rod_n: float


def middle(bore: Bore) -> Array:
    """Middle of a bore, half through the sheet."""
    return np.asarray(np.array(bore.centre) + np.array(bore.axis) * bore.length_mm / 2)


def bearing_mm(opening: Hole | Slot) -> float:
    """Diameter of the circle a bolt's head bears on, mm; of an unknown bolt 1.5 times the opening, ours."""
    wide = opening.diameter_mm if isinstance(opening, Hole) else opening.width_mm
    return opening.fitting.nut_circle_mm * ACROSS_FLATS or 1.5 * wide


def pulls(bore: Bore, force: BoreForce) -> bool:
    """True for a force mostly along its bore: a bolt's, whose head the models do not have."""
    f = np.array(force.force)
    return bool(abs(float(f @ np.array(bore.axis))) > MOSTLY * float(np.linalg.norm(f)) > 0)


def _rod(pose: Pose) -> Array:
    gap = np.array(pose.seat) - np.array(pose.pin)
    return np.asarray(gap / np.linalg.norm(gap))


def evenly(master: Sequence[Bore]) -> tuple[float, ...]:
    """Every bolt's share when all take alike."""
    return (1 / len(master),) * len(master)


def reactions(
    pose: Pose,
    force: Vector,
    shaft: Sequence[Bore],
    master: Sequence[Bore],
    shares: Sequence[float] = (),
) -> Reaction:
    """What a force at the pad does to the bores.

    The shaft's force and moment go to its two bores as a rigid shaft takes them, what is along the shaft to
    both alike; of the rod's force each of the master's bolts takes its share, without ``shares`` all alike.
    The small moment of a rod at an angle about the master's flange is left out. Raises ``GeometryFault``
    unless there are two bores in one line.
    """
    if len(shaft) != 2:
        raise GeometryFault(f"a pedal shaft in {len(shaft)} bores; it takes two, one in each cheek")
    a, f, rod = np.array(pose.across), np.array(force), _rod(pose)
    pivot = np.array(pose.pivot)
    pad_arm, pin_arm = np.array(pose.pad) - pivot, np.array(pose.pin) - pivot
    rod_moment = float(a @ np.cross(pin_arm, rod))
    if abs(rod_moment) < _SMALL * float(np.linalg.norm(pin_arm)):
        raise GeometryFault("a rod through the pivot takes no force from the pedal")
    push = float(a @ np.cross(pad_arm, f)) / rod_moment
    total = f - push * rod
    moment = np.cross(pad_arm, f) - push * np.cross(pin_arm, rod)
    s1, s2 = _stations(shaft, pivot, a)
    along = float(total @ a) * a
    # s1 a×f1 + s2 a×f2 = M with f1 + f2 = F, all across the shaft
    second = (-np.cross(a, moment) - s1 * (total - along)) / (s2 - s1)
    first = total - along - second
    forces = [
        BoreForce(bore=bore.name, force=_v(part + along / 2))
        for bore, part in zip(shaft, (first, second), strict=True)
    ]
    forces += [
        BoreForce(bore=bore.name, force=_v(share * push * rod))
        for bore, share in zip(master, shares or evenly(master), strict=True)
    ]
    return Reaction(forces=tuple(forces), rod_n=push)


def _stations(shaft: Sequence[Bore], pivot: Array, across: Array) -> tuple[float, float]:
    s1, s2 = (float((middle(bore) - pivot) @ across) for bore in shaft)
    if abs(s2 - s1) < _SMALL:
        raise GeometryFault("both bores of the shaft in one place")
    return s1, s2


@dataclass(frozen=True, slots=True, kw_only=True)
class PadMovement:
    """How far the pad moves, mm, with the piston held in its barrel: along the press, across, and what
    of the first comes from the shaft's bores and from the master's bolts."""

    press_mm: float
    across_mm: float
    from_pivot_mm: float
    from_master_mm: float


def pad_movement(
    pose: Pose,
    shaft: Sequence[Bore],
    master: Sequence[Bore],
    moved: Mapping[str, Vector],
    shares: Sequence[float] = (),
) -> PadMovement:
    """The movement of the bores carried to the pad by a rigid pedal on a rigid shaft.

    ``moved`` is the mean movement of each bore; the seat moves as the master's bolts do, each by its share of
    the rod's force (a balance bar's middle by virtual work), without ``shares`` all alike. Small movements:
    the pedal follows the shaft and turns about it until rod and seat are as far apart as before.
    """
    a, rod, pivot = np.array(pose.across), _rod(pose), np.array(pose.pivot)
    u1, u2 = (np.array(moved[bore.name]) for bore in shaft)
    s1, s2 = _stations(shaft, pivot, a)
    turn = np.cross(a, u2 - u1) / (s2 - s1)
    along = float((u1 + u2) @ a) / 2
    at_pivot = u1 - s1 * np.cross(turn, a)
    at_pivot += (along - float(at_pivot @ a)) * a
    seat = np.zeros(3)
    for bore, share in zip(master, shares or (evenly(master) if master else ()), strict=True):
        seat = seat + share * np.array(moved[bore.name])
    pin_arm, pad_arm = np.array(pose.pin) - pivot, np.array(pose.pad) - pivot
    lever = float(rod @ np.cross(a, pin_arm))

    def pad(of_pivot: float, of_master: float) -> Array:
        shift, twist = of_pivot * at_pivot, of_pivot * turn
        swing = float(rod @ (of_master * seat - shift - np.cross(twist, pin_arm))) / lever
        return np.asarray(shift + np.cross(twist + swing * a, pad_arm))

    press = np.array(pose.press)
    whole = pad(1.0, 1.0)
    return PadMovement(
        press_mm=float(whole @ press),
        across_mm=float(whole @ a),
        from_pivot_mm=float(pad(1.0, 0.0) @ press),
        from_master_mm=float(pad(0.0, 1.0) @ press),
    )


def _v(values: Array) -> Vector:
    x, y, z = (float(v) for v in values)
    return x, y, z
