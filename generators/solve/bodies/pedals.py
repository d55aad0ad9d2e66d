"""A pedal as bodies that move: arm, pad, rod with clevis, and the bolt that stops them. Vehicle frame, mm.

Out and up are those of the pedal's frame, ``across = up × out`` is to the right. Arm and pad turn about the
pivot. The rod goes with its linkage: its pin on the pin's arc, its seat on the cylinder's axis.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from generators.geometry.frames import Matrix
from generators.hydraulics.linkage import Linkage, PedalFrame, motion, pressed_sense
from generators.layout.spots import point3
from generators.model.spec.hydraulics import Pedal
from generators.model.spec.pedal_shape import Driver
from generators.model.spec.titles import within
from generators.space.body import Body
from generators.space.motion import Motion, Mover
from generators.space.pieces import Array, Box, Piece, Point3, Rod, carried

FREE_SHAFT_MM = 40.0
"""Length of a pivot's shaft without a hanger (ours)."""
SHAFT_MM = 16.0
"""Its diameter without a hanger: the usual pivot bore of a hanger (ours)."""
PAST_PIN = 10 / 32
"""Clevis past its pin, of its length from the pin: DIN 71752, 8 mm, from memory."""
TOE_SHARE = 103 / 306
"""Ball to toe, of a shoe's length: 203 of 306 mm are heel to ball, SAE J826, from memory."""
_SAMPLES = 181
_SMALL_MM = 1e-6


def pedal_words(pedal: Pedal) -> str:
    """What a finding calls a pedal: its title within a sentence, or its name."""
    return within(pedal.title) if pedal.title else f"{pedal.name.replace('_', ' ')} pedal"


def pedal_name(pedal: str, piece: str) -> str:
    """Name of one body of a pedal."""
    return f"pedal:{pedal}.{piece}"


class PedalShapes:
    """One pedal's bodies at rest. Raises ``GeometryFault`` as ``pressed_sense`` does."""

    def __init__(self, pedal: Pedal, frame: PedalFrame) -> None:
        """Take its axes from its frame."""
        self.pedal, self.frame = pedal, frame
        self.sense = pressed_sense(pedal, frame)
        self.out, self.up = np.array(frame.out), np.array(frame.up)
        self.across = np.cross(self.up, self.out)
        self.pivot: Array = np.array(frame.pivot) + pedal.pin_side_mm * self.across
        self.title = pedal_words(pedal)

    @property
    def pad_radius_mm(self) -> float:
        """Pad to pivot in the plane it swings in."""
        return math.hypot(*self.pedal.pad)

    def at(self, place: tuple[float, float], side_mm: float = 0.0) -> Array:
        """A point given out and up from the pivot, and to the right of the arm's plane."""
        return np.asarray(self.pivot + place[0] * self.out + place[1] * self.up + side_mm * self.across)

    def pressed(self, place: tuple[float, float]) -> Array:
        """Unit direction in which a point goes when the pedal is pressed."""
        way = self.sense * (place[1] * self.out - place[0] * self.up)
        return np.asarray(way / np.linalg.norm(way))

    def turned(self, turn_rad: float) -> Matrix:
        """The pedal's pose (4×4) at a turn: about the pivot, as it is pressed."""
        c, s = math.cos(turn_rad), self.sense * math.sin(turn_rad)
        k = self.across
        cross = np.array([[0.0, -k[2], k[1]], [k[2], 0.0, -k[0]], [-k[1], k[0], 0.0]])
        out = np.eye(4)
        out[:3, :3] = c * np.eye(3) + s * cross + (1 - c) * np.outer(k, k)
        out[:3, 3] = self.pivot - out[:3, :3] @ self.pivot
        return out

    def pad(self) -> Body:
        """The pad: ``pad`` is the middle of its face, square to its arc; its thickness lies behind that."""
        width, height, thickness = self.pedal.pad_size_mm
        behind = self.pressed(self.pedal.pad)
        pose = np.eye(4)
        pose[:3, 0], pose[:3, 1], pose[:3, 2] = self.across, np.cross(behind, self.across), behind
        pose[:3, 3] = self.at(self.pedal.pad, self.pedal.pad_side_mm) + behind * thickness / 2
        return self._body("pad", "pad", [Box(pose=pose, half_mm=(width / 2, height / 2, thickness / 2))])

    def middle(self, radius_mm: float) -> Body:
        """The middle of the pad's face as a small ball."""
        at = point3(self.at(self.pedal.pad, self.pedal.pad_side_mm))
        return self._body("middle", "pad", [Rod(start=at, end=at, radius_mm=radius_mm, round_ends=True)])

    def shoe(self, driver: Driver) -> Body:
        """The front of a shoe, its ball on the pad's middle: down to the pad's edge, up to the toe."""
        into = self.pressed(self.pedal.pad)
        up = np.cross(into, self.across)
        # the toe points up, whether the pedal hangs or stands
        up = up if up[2] >= 0 else -up
        toe, heel = driver.shoe_length_mm * TOE_SHARE, self.pedal.pad_size_mm[1] / 2
        half = (driver.shoe_width_mm / 2, (toe + heel) / 2, driver.shoe_height_mm / 2)
        pose = np.eye(4)
        pose[:3, 0], pose[:3, 1], pose[:3, 2] = np.cross(up, -into), up, -into
        middle = self.at(self.pedal.pad, self.pedal.pad_side_mm)
        pose[:3, 3] = middle + up * (toe - heel) / 2 - into * driver.shoe_height_mm / 2
        body = self._body("shoe", "pad", [Box(pose=pose, half_mm=half)])
        return replace(body, what="room", title=f"a shoe on the {self.title}")

    def arm(self) -> Body:
        """The arm from pivot to the back of the pad, and its lug to the pin where that lies beside it."""
        points = [*self.line()]
        pieces: list[Piece] = []
        for k, (start, end) in enumerate(itertools.pairwise(points)):
            pieces.append(self._bar(start, end))
            if k:
                pieces.append(self._joint(start))
        pieces.append(self._joint(points[0]))
        pin = self.at(self.pedal.pin)
        if min(apart(pin, a, b) for a, b in itertools.pairwise(points)) > self.half_width_mm / 2:
            pieces.append(self._bar(points[0], pin))
        return self._body("arm", "pedal", pieces)

    @property
    def half_width_mm(self) -> float:
        """Half the arm's width in the plane it swings in."""
        round_mm = self.pedal.arm_diameter_mm
        return (self.pedal.arm_section_mm[0] if round_mm is None else round_mm) / 2

    def line(self) -> Iterator[Array]:
        """Middle line of the arm: in the pin's plane to its first bend, from there over to the pad's side."""
        pedal = self.pedal
        back = self.pressed(pedal.pad) * pedal.pad_size_mm[2]
        end = (pedal.pad[0] + float(back @ self.out), pedal.pad[1] + float(back @ self.up))
        plan = [(0.0, 0.0), *pedal.arm, end]
        if not pedal.arm and pedal.pad_side_mm:
            # a straight arm leaves the pin's plane below the pin
            share = min(math.hypot(*pedal.pin) / math.hypot(*end), 0.5)
            plan.insert(1, (end[0] * share, end[1] * share))
        steps = [0.0, *(math.dist(a, b) for a, b in itertools.pairwise(plan))]
        run = np.cumsum(steps)
        straight, whole = (run[1] if len(run) > 2 else 0.0), run[-1]
        last: Array | None = None
        for place, so_far in zip(plan, run, strict=True):
            side = pedal.pad_side_mm * max(so_far - straight, 0.0) / max(whole - straight, _SMALL_MM)
            point = self.at(place, side)
            if last is None or np.linalg.norm(point - last) > _SMALL_MM:
                yield point
            last = point

    def _bar(self, start: Array, end: Array) -> Piece:
        if self.pedal.arm_diameter_mm is not None:
            return Rod(start=point3(start), end=point3(end), radius_mm=self.pedal.arm_diameter_mm / 2)
        width, thickness = self.pedal.arm_section_mm
        length = float(np.linalg.norm(end - start))
        axis = (end - start) / length
        wide = np.cross(self.across, axis)
        if float(np.linalg.norm(wide)) < _SMALL_MM:
            wide = self.up
        wide = wide / np.linalg.norm(wide)
        pose = np.eye(4)
        pose[:3, 0], pose[:3, 1], pose[:3, 2] = axis, wide, np.cross(axis, wide)
        pose[:3, 3] = (start + end) / 2
        return Box(pose=pose, half_mm=(length / 2, width / 2, thickness / 2))

    def _joint(self, at: Array) -> Piece:
        """What fills the outside of a bend, and rounds the arm about its pivot."""
        if self.pedal.arm_diameter_mm is not None:
            return Rod(start=point3(at), end=point3(at), radius_mm=self.half_width_mm, round_ends=True)
        half = self.across * self.pedal.arm_section_mm[1] / 2
        return Rod(start=point3(at - half), end=point3(at + half), radius_mm=self.half_width_mm)

    def shaft(self, between_mm: float = FREE_SHAFT_MM, diameter_mm: float = SHAFT_MM) -> Body:
        """The pivot's shaft between the hanger's cheeks."""
        middle, half = np.array(self.frame.pivot), self.across * between_mm / 2
        rod = Rod(start=point3(middle - half), end=point3(middle + half), radius_mm=diameter_mm / 2)
        return self._body("shaft", "pedal", [rod])

    def stop(self, place: tuple[Point3, Point3] | None = None) -> Body | None:
        """The stop bolt, from the end that is met on: at ``place``, else where the spec puts it."""
        bolt = self.pedal.stop_bolt
        if bolt is None or (place is None and bolt.at is None):
            return None
        if place is None and bolt.at is not None:
            end = self.at(bolt.at, bolt.side_mm)
            place = point3(end), point3(end + bolt.length_mm * self.pressed(bolt.at))
        if place is None:
            return None
        body = self._body("stop", "stop", [Rod(start=place[0], end=place[1], radius_mm=bolt.diameter_mm / 2)])
        return replace(body, joined=body.joined | {f"part {bolt.part}"} if bolt.part else body.joined)

    def _body(self, piece: str, what: str, pieces: list[Piece]) -> Body:
        pedal = self.pedal.name
        return Body(
            name=pedal_name(pedal, piece),
            title=f"{self.title} {piece}",
            what="pad" if what == "pad" else "stop" if what == "stop" else "pedal",
            owner=pedal,
            forms=tuple(pieces),
            joined=frozenset({f"pedal {pedal}"}),
        )

    def swinging(self, body: Body, end_rad: float) -> Mover:
        """A body of the pedal on its way about the pivot."""
        reach = carried(body.pieces, point3(self.pivot))
        return Mover(
            body=body,
            motion=Motion(
                pose=self.turned,
                end_rad=end_rad,
                speed_mm=reach,
                about=point3(self.pivot),
                axis=point3(self.sense * self.across),
            ),
            pad_mm=self.pad_radius_mm,
        )

    def rod(self, link: Linkage, end_rad: float, apart_mm: float = 0.0) -> Mover:
        """The pushrod with its clevis on its own way; two, ``apart_mm``, on a balance bar through the pin."""
        way = _RodWay(link)
        pin, seat = way.ends(0.0)
        axis = (seat - pin) / np.linalg.norm(seat - pin)
        long_mm = min(self.pedal.clevis_length_mm, link.rod_length_mm * 0.9)
        past, half = PAST_PIN * self.pedal.clevis_length_mm, self.pedal.clevis_width_mm / 2
        radius = self.pedal.rod_diameter_mm / 2
        pieces: list[Piece] = []
        for side in (-apart_mm / 2, apart_mm / 2) if apart_mm else (0.0,):
            aside = side * self.across
            pose = way.frame(0.0)
            pose[:3, 3] = pin + aside + axis * (long_mm - past) / 2
            pieces.append(Box(pose=pose, half_mm=(half, half, (long_mm + past) / 2)))
            start = pin + aside + axis * long_mm
            pieces.append(Rod(start=point3(start), end=point3(seat + aside), radius_mm=radius))
        if apart_mm:
            ends = (pin - self.across * apart_mm / 2, pin + self.across * apart_mm / 2)
            pieces.append(Rod(start=point3(ends[0]), end=point3(ends[1]), radius_mm=radius))
        body = replace(self._body("rod", "pedal", pieces), what="rod", title=f"{self.title} pushrod")
        return Mover(
            body=body,
            motion=Motion(pose=way.pose, end_rad=end_rad, speed_mm=way.speed_mm(end_rad, past + 2 * half)),
            pad_mm=self.pad_radius_mm,
        )


class _RodWay:
    """The rod's pose by the pedal's turn: the pin on its arc, the seat on the axis, no turn about itself."""

    def __init__(self, link: Linkage) -> None:
        self._link = link
        self._across = np.array(link.across)
        self._arm = link.pin[0] * np.array(link.frame.out) + link.pin[1] * np.array(link.frame.up)
        self._swing = link.sense * np.cross(self._across, self._arm)
        self._centre = np.array(link.frame.pivot) + link.pin_side_mm * self._across
        self._home = np.linalg.inv(self.frame(0.0))

    def ends(self, turn_rad: float) -> tuple[Array, Array]:
        """Pin and seat."""
        link = self._link
        pin = self._centre + math.cos(turn_rad) * self._arm + math.sin(turn_rad) * self._swing
        piston = float(motion(link, np.array([turn_rad])).piston_mm[0])
        return pin, np.array(link.frame.seat) + piston * np.array(link.frame.axis)

    def frame(self, turn_rad: float) -> Matrix:
        """Origin at the pin, third axis toward the seat, first across."""
        pin, seat = self.ends(turn_rad)
        axis = (seat - pin) / np.linalg.norm(seat - pin)
        up = np.cross(axis, self._across)
        up /= np.linalg.norm(up)
        out = np.eye(4)
        out[:3, 0], out[:3, 1], out[:3, 2], out[:3, 3] = np.cross(up, axis), up, axis, pin
        return out

    def pose(self, turn_rad: float) -> Matrix:
        """From its place at rest to that at a turn, 4×4."""
        return np.asarray(self.frame(turn_rad) @ self._home)

    def speed_mm(self, end_rad: float, beside_mm: float) -> float:
        """No point goes faster, mm per rad: between the ends by the faster end, beside and past them by the
        rod's own turning as well."""
        link = self._link
        moved = motion(link, np.linspace(0.0, end_rad, _SAMPLES))
        seat = float(np.abs(moved.rate).max()) * link.pad_radius_mm
        turning = (link.pin_radius_mm + seat) / link.rod_length_mm
        return max(link.pin_radius_mm, seat) + turning * beside_mm


def apart(point: Array, start: Array, end: Array) -> float:
    """Distance of a point from a stretch."""
    along = end - start
    share = float(np.clip((point - start) @ along / (along @ along), 0.0, 1.0))
    return float(np.linalg.norm(point - start - share * along))
