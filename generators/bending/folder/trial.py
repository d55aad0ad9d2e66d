"""One bend tried on the folder, in one state of the part and one way round."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from shapely.geometry import Polygon

from generators.bending.attempt import Attempt
from generators.bending.folder.swing import Swing, front_touch, leaf_touch
from generators.bending.folder.tools import (
    beam_outline,
    bears_mm,
    bed_outline,
    finger_outline,
    freed,
    leaf_outline,
)
from generators.bending.force import aimed_angle, pressed_angle
from generators.bending.gauging.stops import edges_of, touched_at, whose
from generators.bending.legs import PartShape
from generators.bending.shadow import OFF_SHEET_MM, SKIN_MM, Shadow, crossing
from generators.bending.steps import FoldStep, Reach, Refusal, Stop
from generators.bending.stroke import Touch
from generators.bending.tools import MadeUp, made_up
from generators.model.plan import Bend
from generators.model.spec.tools.folder import Folder
from generators.model.spec.tools.machines import Machine
from generators.model.spec.tools.press import BackGauge
from generators.sheetmetal.folding import bend_allowance

ROUNDING = 1e-6
LEG_STEP_RAD = math.radians(2)
"""How often the flat of the front leg is looked at on its way."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FolderSetting:
    """What folds a sheet: the machine, the sheet's strength, and springback of the shop's test bend."""

    folder: Folder
    tensile_mpa: float
    springback_rad: float = 0.0

    def tried(
        self, shape: PartShape, bend: Bend, bent: frozenset[str], child_rear: bool
    ) -> FoldStep | Refusal:
        """What that bend gives on the folder."""
        return FoldTrial(shape=shape, setting=self, bend=bend, bent=bent, child_rear=child_rear).attempt()

    brief = tried
    """Nothing of it is for words alone."""

    def least_leg_mm(self, bend: Bend, thickness_mm: float) -> float:
        """How far a leg must reach behind its tangent line for the leaf to take it, mm."""
        return self.folder.least_leaf_mm


@dataclass(slots=True, kw_only=True, eq=False)
class FoldTrial(Attempt):
    """A bend about to be made on the folder. ``attempt`` gives the step, or what is against it."""

    machine: ClassVar[Machine] = "folder"
    begins: ClassVar[str] = "before the leaf turns"
    setting: FolderSetting

    @property
    def swing(self) -> Swing:
        """The way of leaf and front leg."""
        t, bend = self.shape.plan.thickness_mm, self.bend
        return Swing(
            angle_rad=pressed_angle(aimed_angle(self.shape.plan, bend), self.setting.springback_rad),
            radius_mm=bend.inside_radius_mm,
            thickness_mm=t,
            neutral_mm=bend.inside_radius_mm + bend.k_factor * t,
            start_mm=bend_allowance(bend, t) / 2,
        )

    def attempt(self) -> FoldStep | Refusal:
        """The step, or the refusal that came furthest."""
        step = self._attempt()
        return step if step is not None else max(self.refused, key=lambda r: r.angle_rad)

    def _attempt(self) -> FoldStep | None:
        swing = self.swing
        if not (self._machine_can(swing) and self._held(swing) and self._clear(swing)):
            return None
        reach = self._reach(swing)
        pieces = self._pieces(reach) if reach is not None else None
        if reach is None or pieces is None:
            return None
        low = min(max((self.laid.length - pieces.length_mm) / 2, reach.low), reach.high - pieces.length_mm)
        rise = self._rise(low, low + pieces.length_mm)
        if rise is None:
            return None
        slide = self._trapped(swing, rise, low, low + pieces.length_mm)
        if slide and reach.left and reach.right:
            self._refuse("trapped", "the part stays round the fingers: it comes off neither way")
            return None
        folder, t = self.setting.folder, self.shape.plan.thickness_mm
        return FoldStep(
            bend=self.bend.name,
            done=tuple(b.name for b in self.shape.plan.bends if b.name in self.bent),
            angle_rad=aimed_angle(self.shape.plan, self.bend),
            pressed_rad=swing.angle_rad,
            flipped=self.laid.flipped,
            child_rear=self.child_rear,
            rear=self.laid.rear_flange,
            fingers_mm=pieces.pieces_mm,
            stop=self._stop(swing),
            line_mm=swing.start_mm - folder.nose_radius_mm,
            setback_mm=swing.radius_mm + t - folder.nose_radius_mm,
            slide=slide,
            reach=reach,
        )

    def _machine_can(self, swing: Swing) -> bool:
        """Length, sheet, angle and radius."""
        folder, t, length = self.setting.folder, self.shape.plan.thickness_mm, self.laid.length
        if length > folder.length_mm + ROUNDING:
            return not self._refuse(
                "length", f"it is {length:.0f} mm long, the folder {folder.length_mm:.0f} mm"
            )
        bears = bears_mm(folder, t, self.setting.tensile_mpa)
        if length > bears + ROUNDING:
            sheet = f"{t:g} mm of {self.setting.tensile_mpa:.0f} MPa"
            most = f"over {bears:.0f} mm at most" if bears else "at no length"
            return not self._refuse("force", f"the folder bends {sheet} {most}; it is {length:.0f} mm long")
        if swing.angle_rad > folder.leaf_angle_rad + ROUNDING:
            turns = math.degrees(folder.leaf_angle_rad)
            wanted = math.degrees(swing.angle_rad)
            return not self._refuse("tools", f"the leaf turns {turns:.0f} deg, {wanted:.0f} are wanted")
        if swing.radius_mm < folder.nose_radius_mm - ROUNDING:
            return not self._refuse("tools", f"no nose of R {swing.radius_mm:g} or less")
        return True

    def _held(self, swing: Swing) -> bool:
        """True where fingers and leaf reach both legs all along the bend, and the rear one goes in."""
        folder, start = self.setting.folder, swing.start_mm
        flange, gap = self.bare(start + folder.least_clamped_mm, start + folder.least_leaf_mm)
        if flange:
            rear = flange == self.laid.rear_flange
            least = folder.least_clamped_mm if rear else folder.least_leaf_mm
            what = "under the fingers" if rear else "on the leaf"
            part = f"on {gap:.0f} of {self.laid.length:.0f} mm"
            return not self._refuse("support", f"flange {flange} does not lie {least:g} mm {what} {part}")
        deep = [self.laid.rear.flat.bounds[3], *(s.shape.bounds[2] for s in self._standing() if s.rear)]
        if max(deep) - start > folder.throat_mm + ROUNDING:
            back = f"{max(deep) - start:.0f} mm lie behind the bend"
            return not self._refuse("opening", f"{back}, the throat takes {folder.throat_mm:.0f} mm")
        return True

    def _standing(self) -> list[Shadow]:
        return [*self.above, *(s for s in self.below if s not in self.above)]

    def _clear(self, swing: Swing) -> bool:
        """True where what is bent keeps clear of bed, beam and leaf, which are as long as the machine."""
        for touch, name, tool in self._touches(swing):
            self._met(touch, name, tool)
            return False
        return True

    def _touches(self, swing: Swing) -> Iterator[tuple[Touch, str, str]]:
        folder, t = self.setting.folder, self.shape.plan.thickness_mm
        room = folder.room_mm
        bed, beam, leaf = bed_outline(folder), beam_outline(folder, t), leaf_outline(folder)
        for shadow in self.below:
            touch = self._stands(swing, shadow, bed, room)
            if touch:
                yield touch, "the bed", "bed"
            # what lies on the leaf touches it with its outer face
            if shadow.rear or shadow.shape.bounds[1] < -OFF_SHEET_MM:
                touch = leaf_touch(swing, shadow, leaf, room)
                if touch:
                    yield touch, "the leaf", "leaf"
        for shadow in self.above:
            touch = self._stands(swing, shadow, beam, room)
            if touch:
                yield touch, "the clamping beam", "beam"
        # flat metal past the bend's ends on the other leg's side: the leaf cannot pass it, nor it the bed
        for shadow in crossing(self.laid, t, past_mm=-swing.start_mm):
            if shadow.rear and (touch := leaf_touch(swing, shadow, leaf, 0.0)):
                yield touch, "the leaf", "leaf"
            elif not shadow.rear and (touch := front_touch(swing, shadow, bed, 0.0)):
                yield touch, "the bed", "bed"
        if touch := self._leg_touch(swing, beam):
            yield touch, "the clamping beam", "beam"

    def _stands(self, swing: Swing, shadow: Shadow, tool: Polygon, room_mm: float) -> Touch | None:
        """Where what stands off a leg comes too near to what does not move."""
        if not shadow.rear:
            return front_touch(swing, shadow, tool, room_mm)
        gap = float(swing.laid(shadow.shape).distance(tool))
        return Touch(flange=shadow.flange, angle_rad=0.0, gap_mm=gap) if gap < room_mm - ROUNDING else None

    def _leg_touch(self, swing: Swing, tool: Polygon) -> Touch | None:
        """Where the flat metal on the leaf swings into something."""
        far = swing.start_mm - self.laid.front.flat.bounds[1]
        count = math.ceil(swing.angle_rad / LEG_STEP_RAD)
        for angle in (swing.angle_rad * i / count for i in range(1, count + 1)):
            if far - angle * swing.neutral_mm > 2 * SKIN_MM and swing.leg(far, SKIN_MM, angle).intersects(
                tool
            ):
                return Touch(flange=self.front_flange, angle_rad=angle, gap_mm=0.0)
        return None

    def _reach(self, swing: Swing) -> Reach | None:
        """How far the fingers may stand along the bend; None where they have no room over it."""
        folder, t = self.setting.folder, self.shape.plan.thickness_mm
        finger = finger_outline(folder, t)
        if touch := self._leg_touch(swing, finger):
            self._met(touch, "the fingers", "fingers")
            return None

        def touches(shadow: Shadow) -> Touch | None:
            return self._stands(swing, shadow, finger, folder.room_mm)

        if not any(touches(s) for s in self.above):
            return Reach()
        for shadow in self._between(self.short, self.laid.length - self.short, above=True):
            if touch := touches(shadow):
                self._met(touch, "the fingers", "fingers")
                return None
        return self._limits(touches, room_mm=folder.room_mm, above=True, short=self.short)

    def _pieces(self, reach: Reach) -> MadeUp | None:
        """Fingers as long as the bend or more; between what stands beside it, a little less."""
        length, folder = self.laid.length, self.setting.folder
        pieces = None
        if reach.low <= ROUNDING and reach.high >= length - ROUNDING:
            pieces = made_up(folder.fingers, folder.length_mm, length, reach.most_mm)
        least, most = length - 2 * self.short, min(reach.most_mm, length)
        pieces = pieces or made_up(folder.fingers, folder.length_mm, least, most)
        if pieces is None:
            self._refuse("pieces", f"no fingers make {least:.0f} to {most:.0f} mm")
        return pieces

    def _rise(self, low: float, high: float) -> float | None:
        """How far the fingers must lift for the part to come in and out under them, mm; None: too far."""
        folder, t = self.setting.folder, self.shape.plan.thickness_mm
        under = [s.shape.bounds[3] - t for s in self._between(low, high, above=True) if s.rear]
        # what stands beside the fingers goes in under the beam alone
        beside = [s.shape.bounds[3] - t - folder.finger_height_mm for s in self.above if s.rear]
        most = max([*under, *beside], default=0.0)
        if most <= 0:
            return 0.0
        if most + folder.room_mm > folder.lift_mm + ROUNDING:
            tall = max(s.shape.bounds[3] for s in self.above if s.rear)
            lift = f"the beam lifts {folder.lift_mm:.0f} mm and {most + folder.room_mm:.0f} are wanted"
            self._refuse("opening", f"what stands behind is {tall:.0f} mm high: {lift}")
            return None
        return most + folder.room_mm

    def _trapped(self, swing: Swing, rise_mm: float, low: float, high: float) -> bool:
        """True where the part cannot be drawn forward, nor pushed in, with the fingers lifted so far."""
        folder, t = self.setting.folder, self.shape.plan.thickness_mm
        ways = (
            (freed(finger_outline(folder, t), rise_mm), self._between(low, high, above=True)),
            (freed(beam_outline(folder, t), rise_mm), self.above),
        )
        return any(
            swing.moved(swing.laid(shadow.shape), angle).intersects(way)
            for way, shadows in ways
            for shadow in shadows
            if not shadow.rear
            for angle in (0.0, swing.angle_rad)
        )

    def _stop(self, swing: Swing) -> Stop:
        """The nearest straight edge of the rear leg that the stop touches; else the scribed line."""
        back, nose = self.setting.folder.stop, self.setting.folder.nose_radius_mm - swing.start_mm
        gauge = BackGauge(
            finger_width_mm=back.width_mm, finger_height_mm=back.height_mm, finger_length_mm=back.depth_mm
        )
        for y, low, high in sorted(
            edges_of(self.laid), key=lambda e: (-min(e[2] - e[1], 5 * back.width_mm), e[0])
        ):
            if not back.nearest_mm <= y + nose <= back.reach_mm:
                continue
            seat = touched_at(self.laid, gauge, y, (low, high), (0.0, back.height_mm), 0.0)
            if seat:
                touched, _ = seat
                flange = whose(self.laid, y, touched)
                return Stop(
                    on="edge", flange=flange, distance_mm=y + nose, low_x=touched[0], high_x=touched[1]
                )
        return Stop(on="line", flange=self.bend.name, distance_mm=0.0, low_x=0.0, high_x=self.laid.length)
