"""The pedal as a slider-crank in space: pivot, pin, pushrod, piston on the cylinder's axis.

With the pin at B(θ) on a circle about the pivot, the rod of length L and the seat Q = Q0 + s d on the
axis of direction d, |Q - B| = L gives, for w = B - Q0,

    s = w·d + sqrt(L² - |w - (w·d) d|²)        ds/dθ = ρ·B' / ρ·d,  ρ = Q - B

and for a known s the equation is one of a cosine in θ, so both ways are closed forms. ``s`` is measured
from the seat at rest: negative while the rod still has play.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from generators.errors import GeometryFault
from generators.geometry.frames import cross
from generators.model.spec.hydraulics import Pedal

Array = NDArray[np.float64]
Point3 = tuple[float, float, float]

_SAMPLES = 721
_SMALL_MM = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorFound:
    """Where a pedal's travel ends, computed; pad travel, mm.

    ``bare_mm`` is where pad or arm meets metal, ``travel_mm`` the same with the covering whole; infinite
    where nothing is met. ``by`` says which of pad and arm it is, ``point_mm`` is where the mere middle of the
    pad's face would get to metal. ``what`` is the title of what is met, ``body`` its name, ``at`` the place
    in the vehicle, ``where`` in words and ``uv_mm`` on the panel, where it is one; ``beside`` is the nearest
    hole that panel has already: what it is, and u and v from its middle. ``covering_mm`` is None where none
    was given, ``open_`` tells that there could be one. ``wall`` tells that what is met stands upright,
    so that the spec has no floor there.
    """

    travel_mm: float
    bare_mm: float
    what: str = ""
    where: str = ""
    uv_mm: tuple[float, float] | None = None
    beside: tuple[str, float, float] | None = None
    at: Point3 = (0.0, 0.0, 0.0)
    body: str = ""
    by: str = ""
    point_mm: float = math.inf
    covering_mm: float | None = None
    open_: bool = False
    wall: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PedalFrame:
    """Where a pedal hangs, vehicle frame, mm: ``out``, ``up`` and ``axis`` are unit vectors.

    ``axis`` points into the cylinder; ``seat`` is the rod's seat in the piston at rest. The pivot lies
    along ``up × out``. ``floor`` is what was computed of the floor and ``stop_mm`` the pad travel at which
    the arm meets its stop bolt, where they were.
    """

    pivot: Point3
    out: Point3
    up: Point3
    seat: Point3
    axis: Point3
    floor: FloorFound | None = None
    stop_mm: float | None = None

    @property
    def floor_words(self) -> str:
        """What the floor is, for people."""
        return "nothing" if self.floor is None else self.floor.what


@dataclass(frozen=True, slots=True, kw_only=True)
class Linkage:
    """A pedal linkage at rest. Lengths mm, angles rad; ``sense`` is +1 or -1 about ``across``.

    ``rest_mm`` is the piston position the rod asks for at rest: minus the play, or the stroke a long
    rod already takes. ``travel_mm`` is the pad travel to the floor, its covering whole, ``bare_mm`` the same
    with the covering gone; ``floor_rad`` is the pedal's turn at the floor.
    """

    frame: PedalFrame
    across: Point3
    sense: float
    pin: tuple[float, float]
    pin_side_mm: float
    pin_radius_mm: float
    pad: tuple[float, float]
    pad_radius_mm: float
    rod_length_mm: float
    rest_mm: float
    travel_mm: float
    bare_mm: float
    floor_rad: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """The linkage at some turns of the pedal; arrays of one shape. mm, rad, mm/mm.

    ``piston_mm`` is what the rod asks of the piston (negative: play). ``rate`` is piston travel per pad
    travel, ``force_ratio`` axial piston force per pad force by the balance of moments; friction is left
    out. ``side_ratio`` is the force across the axis at the piston per axial force.
    """

    angle_rad: Array
    pad_mm: Array
    piston_mm: Array
    rate: Array
    force_ratio: Array
    rod_angle_rad: Array
    side_ratio: Array

    @property
    def ratio(self) -> Array:
        """Pad travel per piston travel, the instantaneous pedal ratio."""
        return np.asarray(1.0 / self.rate)


def unit(vector: Point3, parameter: str) -> Point3:
    """The vector scaled to length 1. Raises ``GeometryFault`` for one without a direction."""
    length = math.sqrt(sum(c * c for c in vector))
    if length < _SMALL_MM:
        raise GeometryFault("two points in one place give no axis", parameter)
    return vector[0] / length, vector[1] / length, vector[2] / length


def explicit_frame(pedal: Pedal) -> PedalFrame:
    """The frame of a pedal without a hanger: out is +x, up is +z, the pivot lies along y.

    Raises ``GeometryFault`` when a place is missing or the axis has no direction.
    """
    if pedal.pivot is None or pedal.seat_at is None or pedal.axis_to is None:
        raise GeometryFault("no hanger and no pivot, seat_at and axis_to", "pivot")
    (sx, sy, sz), (tx, ty, tz) = pedal.seat_at, pedal.axis_to
    return PedalFrame(
        pivot=pedal.pivot,
        out=(1.0, 0.0, 0.0),
        up=(0.0, 0.0, 1.0),
        seat=pedal.seat_at,
        axis=unit((tx - sx, ty - sy, tz - sz), "axis_to"),
    )


def pressed_sense(pedal: Pedal, frame: PedalFrame) -> float:
    """Which way about ``up × out`` a pressed pedal turns, +1 or -1.

    Raises ``GeometryFault`` naming ``pin`` or ``pad`` for a pedal that cannot be pressed.
    """
    pin_radius = math.hypot(*pedal.pin)
    if pin_radius < _SMALL_MM:
        raise GeometryFault("a pin in the pivot", "pin")
    if math.hypot(*pedal.pad) < _SMALL_MM:
        raise GeometryFault("a pad in the pivot", "pad")
    out, up, axis = np.array(frame.out), np.array(frame.up), np.array(frame.axis)
    arm = pedal.pin[0] * out + pedal.pin[1] * up
    push = float(cross(cross(up, out), arm) @ axis)
    if abs(push) < 1e-9 * pin_radius:
        raise GeometryFault("a pin at its dead point: turning the pedal does not move the rod", "pin")
    sense = math.copysign(1.0, push)
    _require_pressed(pedal, sense)
    return sense


def travel_to_floor(pedal: Pedal, frame: PedalFrame) -> float:
    """Pad travel to the floor, mm: the spec's or the computed, whichever ends first.

    Raises ``GeometryFault`` naming ``travel`` where neither ends it.
    """
    found = math.inf if frame.floor is None else frame.floor.travel_mm
    if found <= 0:
        if pedal.travel_mm is None:
            raise GeometryFault(f"pad or arm in {frame.floor_words} already at rest", "pad")
        # a rule says what it is in; the rest of the answer is for the travel that was meant
        return pedal.travel_mm
    travel = min(math.inf if pedal.travel_mm is None else pedal.travel_mm, found)
    if math.isinf(travel):
        raise GeometryFault(
            "no travel, and neither pad nor arm meets a panel, part or obstacle of this job", "travel"
        )
    return travel


def build_linkage(pedal: Pedal, frame: PedalFrame) -> Linkage:
    """The linkage of a pedal in its frame.

    Raises ``GeometryFault`` naming ``pin``, ``pad``, ``travel`` or ``rod_length`` when it cannot exist or
    stops pushing before the floor.
    """
    sense = pressed_sense(pedal, frame)
    travel = travel_to_floor(pedal, frame)
    bare = travel
    if frame.floor is not None and math.isfinite(frame.floor.bare_mm):
        # a travel typed nearer is metal that the job does not know
        bare = max(travel, frame.floor.bare_mm) if travel >= frame.floor.travel_mm else travel
    pin_radius, pad_radius = math.hypot(*pedal.pin), math.hypot(*pedal.pad)
    out, up, axis = np.array(frame.out), np.array(frame.up), np.array(frame.axis)
    across = cross(up, out)
    arm = pedal.pin[0] * out + pedal.pin[1] * up
    pin = np.array(frame.pivot) + pedal.pin_side_mm * across + arm
    gap = pin - np.array(frame.seat)
    along = float(gap @ axis)
    aside = math.sqrt(max(float(gap @ gap) - along * along, 0.0))
    if along + pedal.rod_play_mm >= 0 and pedal.rod_length_mm is None:
        raise GeometryFault("a pin at or beyond the rod seat leaves no room for a rod", "pin")
    length = pedal.rod_length_mm
    if length is None:
        length = math.hypot(along + pedal.rod_play_mm, aside)
    if length <= aside:
        raise GeometryFault(
            f"a rod of {length:g} mm, shorter than the gap of {aside:.2f} mm from pin to cylinder axis",
            "rod_length",
        )
    link = Linkage(
        frame=frame,
        across=(float(across[0]), float(across[1]), float(across[2])),
        sense=sense,
        pin=pedal.pin,
        pin_side_mm=pedal.pin_side_mm,
        pin_radius_mm=pin_radius,
        pad=pedal.pad,
        pad_radius_mm=pad_radius,
        rod_length_mm=length,
        rest_mm=along + math.sqrt(length * length - aside * aside),
        travel_mm=travel,
        bare_mm=bare,
        floor_rad=travel / pad_radius,
    )
    _require_push(link)
    return link


def _require_pressed(pedal: Pedal, sense: float) -> None:
    """Refuse a pedal whose pad comes toward the driver when the rod is pushed: it would have to be pulled.

    The pad's speed is ``sense (across × pad)``; with across = up × out that turns out into −up and up
    into out.
    """
    toward, rising = sense * pedal.pad[1], -sense * pedal.pad[0]
    if toward > 0 and toward >= -rising:
        raise GeometryFault(
            "a pad that comes toward the driver when the rod is pushed: pin and pad are on opposite sides "
            "of the pivot, or the pivot is on the wrong side of the cylinder",
            "pad",
        )


def _require_push(link: Linkage) -> None:
    """Refuse a rod that comes off its line, or a pin that turns back, anywhere before the floor."""
    angle = np.linspace(0.0, link.floor_rad, _SAMPLES)
    rod, speed, aside = _rod(link, angle)
    if bool((aside >= link.rod_length_mm).any()):
        worst = float(aside.max())
        raise GeometryFault(
            f"a rod of {link.rod_length_mm:g} mm, shorter than the gap of {worst:.2f} mm from pin to "
            "cylinder axis on the way to the floor",
            "rod_length",
        )
    push = np.einsum("ij,ij->i", rod, speed)
    if bool((push <= 1e-9 * link.rod_length_mm * link.pin_radius_mm).any()):
        turned = float(angle[int(np.argmax(push <= 1e-9 * link.rod_length_mm * link.pin_radius_mm))])
        raise GeometryFault(
            f"a pin that crosses its dead point at {turned * link.pad_radius_mm:.1f} mm of pad travel, "
            f"before the floor at {link.travel_mm:g} mm",
            "pin",
        )
    if float(motion(link, np.array([link.floor_rad])).piston_mm[0]) <= 0:
        raise GeometryFault(
            f"a rod of {link.rod_length_mm:g} mm, shorter than the gap: it does not reach its seat before "
            "the floor",
            "rod_length",
        )


@lru_cache(maxsize=64)
def _basis(link: Linkage) -> tuple[Array, Array]:
    """Unit vectors of the pin's arm at rest and of its motion when the pedal is pressed."""
    out, up, across = np.array(link.frame.out), np.array(link.frame.up), np.array(link.across)
    arm = (link.pin[0] * out + link.pin[1] * up) / link.pin_radius_mm
    return arm, link.sense * cross(across, arm)


def pad_at_rest(link: Linkage, side_mm: float) -> Array:
    """The middle of the pad's face at rest, vehicle frame, mm; ``side_mm`` along ``across``."""
    out, up = np.array(link.frame.out), np.array(link.frame.up)
    pivot, across = np.array(link.frame.pivot), np.array(link.across)
    return np.asarray(pivot + link.pad[0] * out + link.pad[1] * up + side_mm * across)


@lru_cache(maxsize=64)
def _centre(link: Linkage) -> Array:
    return np.asarray(np.array(link.frame.pivot) + link.pin_side_mm * np.array(link.across))


def _rod(link: Linkage, angle: Array) -> tuple[Array, Array, Array]:
    """Rod vector pin to seat (n, 3), pin velocity per rad (n, 3), distance of the pin from the axis (n,)."""
    arm, swing = _basis(link)
    c, s = np.cos(angle)[:, None], np.sin(angle)[:, None]
    radius = link.pin_radius_mm
    pin = _centre(link) + radius * (c * arm + s * swing)
    speed = radius * (c * swing - s * arm)
    axis, seat = np.array(link.frame.axis), np.array(link.frame.seat)
    gap = pin - seat
    along = gap @ axis
    across = gap - along[:, None] * axis
    aside = np.sqrt(np.einsum("ij,ij->i", across, across))
    reach = np.sqrt(np.maximum(link.rod_length_mm**2 - aside**2, 0.0))
    return reach[:, None] * axis - across, speed, aside


def motion(link: Linkage, angle_rad: Array) -> Motion:
    """The linkage at ``angle_rad`` (n,), 0 at rest. Raises nothing within the travel it was built for."""
    angle = np.asarray(angle_rad, dtype=np.float64)
    rod, speed, aside = _rod(link, angle)
    axis = np.array(link.frame.axis)
    reach = rod @ axis
    arm, swing = _basis(link)
    c, s = np.cos(angle)[:, None], np.sin(angle)[:, None]
    pin = _centre(link) + link.pin_radius_mm * (c * arm + s * swing)
    # Moments about the pivot: the rod pushes the pin back along its own line, the foot pushes the pad.
    moment = link.sense * (cross(pin - _centre(link), rod) @ np.array(link.across))
    with np.errstate(divide="ignore", invalid="ignore"):
        return Motion(
            angle_rad=angle,
            pad_mm=angle * link.pad_radius_mm,
            piston_mm=(pin - np.array(link.frame.seat)) @ axis + reach,
            rate=np.einsum("ij,ij->i", rod, speed) / reach / link.pad_radius_mm,
            force_ratio=reach * link.pad_radius_mm / moment,
            rod_angle_rad=np.arctan2(aside, reach),
            side_ratio=aside / reach,
        )


def angle_of_piston(link: Linkage, piston_mm: Array) -> Array:
    """Turn of the pedal (rad) at which the rod asks for ``piston_mm``; NaN where it never does.

    |B(θ) - Q|² = L² is A cos θ + B sin θ = K; of its two roots the one before the dead point pushes.
    """
    arm, swing = _basis(link)
    piston = np.asarray(piston_mm, dtype=np.float64)
    far = _centre(link) - np.array(link.frame.seat) - piston[..., None] * np.array(link.frame.axis)
    radius = link.pin_radius_mm
    a, b = far @ arm, far @ swing
    k = (link.rod_length_mm**2 - np.einsum("...i,...i->...", far, far) - radius**2) / (2 * radius)
    with np.errstate(divide="ignore", invalid="ignore"):
        turn = np.arctan2(b, a) + np.arccos(k / np.hypot(a, b))
    # into (-π, π], leaving NaN alone
    return np.asarray(np.arctan2(np.sin(turn), np.cos(turn)))


def pad_of_piston(link: Linkage, piston_mm: Array) -> Array:
    """Pad travel (mm, along its arc) for a piston position; infinite where the linkage never gets there."""
    pad = angle_of_piston(link, piston_mm) * link.pad_radius_mm
    return np.asarray(np.where(np.isnan(pad), np.inf, pad))


def rod_for_play(link: Linkage, play_mm: float) -> float:
    """The rod length that leaves ``play_mm`` between rod and piston at rest, mm."""
    rod, _speed, aside = _rod(link, np.zeros(1))
    reach = float((rod @ np.array(link.frame.axis))[0])
    return math.hypot(reach - link.rest_mm - play_mm, float(aside[0]))


def moved_pin(pedal: Pedal, frame: PedalFrame, scale: float) -> tuple[Pedal, PedalFrame]:
    """The pedal with its pin radius scaled and the cylinder moved along, so that the rod keeps its line.

    The rod is then as long as its play asks. Raises nothing.
    """
    pin = (pedal.pin[0] * scale, pedal.pin[1] * scale)
    shift = (pin[0] - pedal.pin[0]) * np.array(frame.out) + (pin[1] - pedal.pin[1]) * np.array(frame.up)
    axis = np.array(frame.axis)
    seat = np.array(frame.seat) + shift - (shift @ axis) * axis
    return (
        replace(pedal, pin=pin, rod_length_mm=None),
        replace(frame, seat=(float(seat[0]), float(seat[1]), float(seat[2]))),
    )
