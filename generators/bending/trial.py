"""One bend tried on the shop's tools, in one state of the part and one way round."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import Polygon

from generators.bending.attempt import Attempt
from generators.bending.force import aimed_angle, bending_force, made_radius, pressed_angle
from generators.bending.gauging.draws_back import swings_by, swings_out
from generators.bending.gauging.square import needs_square, squared
from generators.bending.gauging.stops import nearest_finger, stop_for
from generators.bending.legs import PartShape
from generators.bending.shadow import SKIN_MM, Shadow
from generators.bending.steps import Reach, Refusal, Step, Stop
from generators.bending.stroke import Stroke, Touch, falling, first_touch, lifted
from generators.bending.tools import (
    MadeUp,
    die_outline,
    dies_of,
    made_up,
    punch_outline,
    punches_of,
    ram_outline,
    shoulder_centre,
    suits,
    swept_up,
    table_outline,
    turns_of,
)
from generators.model.plan import Bend
from generators.model.spec.tools.press import Brake, Die, Punch
from generators.sheetmetal.allowance import setback
from generators.sheetmetal.die import shoulder

ROUNDING = 1e-6
SHARPEST_DEG = 10.0  # the least a die's key takes


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What bends a sheet: the brake, the die's opening and springback of the shop's test bend, its strength.

    A bend may be pressed ``over_rad`` further than that: so far nothing may meet. ``opening_mm`` None: any
    die that suits. ``supported`` False leaves out whether the die carries the sheet, ``let_off`` does so for
    those bends.
    """

    brake: Brake
    tensile_mpa: float
    opening_mm: float | None = None
    springback_rad: float = 0.0
    over_rad: float = 0.0
    supported: bool = True
    let_off: frozenset[str] = frozenset()

    def tried(self, shape: PartShape, bend: Bend, bent: frozenset[str], child_rear: bool) -> Step | Refusal:
        """What that bend gives on the brake."""
        return Trial(shape=shape, setting=self, bend=bend, bent=bent, child_rear=child_rear).attempt()

    def brief(self, shape: PartShape, bend: Bend, bent: frozenset[str], child_rear: bool) -> Step | Refusal:
        """The same without what only words need: what falls below the die, what swings past the stop."""
        this = Trial(shape=shape, setting=self, bend=bend, bent=bent, child_rear=child_rear, brief=True)
        return this.attempt()

    def least_leg_mm(self, bend: Bend, thickness_mm: float) -> float:
        """How far a leg must reach behind its tangent line to be carried, mm."""
        carried = shoulder(self.opening_mm or 8 * thickness_mm, bend.angle_rad)
        return carried - setback(bend.angle_rad, bend.inside_radius_mm, thickness_mm)


def _makes(die: Die, punch: Punch, radius_mm: float) -> bool:
    """True where a punch on a die makes that inside radius: such a one goes first."""
    low, high = made_radius(die.opening_mm, punch.tip_radius_mm, bottom=die.way == "bottom")
    return low - ROUNDING <= radius_mm <= high + ROUNDING


@dataclass(slots=True, kw_only=True, eq=False)
class Trial(Attempt):
    """A bend about to be made. ``attempt`` gives the step, or the refusal that came furthest."""

    setting: Setting
    brief: bool = False

    def attempt(self) -> Step | Refusal:
        """The first die and punch that make the bend."""
        brake, aimed = self.setting.brake, aimed_angle(self.shape.plan, self.bend)
        pressed = pressed_angle(aimed, self.setting.springback_rad)
        t, r = self.shape.plan.thickness_mm, self.bend.inside_radius_mm
        if self.laid.length > brake.length_mm + ROUNDING:
            return self._refuse(
                "length", f"it is {self.laid.length:.0f} mm long, the brake {brake.length_mm:.0f} mm"
            )
        dies = dies_of(brake, self.setting.opening_mm, t)
        bent = self.bend.angle_rad
        open_enough = [d for d in dies if suits(d, bent, pressed, bottom=d.way == "bottom")]
        fit = {b: [p for p in punches_of(brake) if suits(p, bent, pressed, bottom=b)] for b in (False, True)}
        punches = [p for p in (*fit[False], *fit[True]) if p.tip_radius_mm <= r + ROUNDING]
        inner = math.degrees(math.pi - pressed)
        if not open_enough:
            if inner < SHARPEST_DEG:
                return self._refuse("tools", f"no die is sharp enough: {max(inner, 0.0):.0f} deg are wanted")
            wanted = f"V {self.setting.opening_mm:g}" if self.setting.opening_mm else "a V for this sheet"
            return self._refuse("tools", f"no die {wanted} of {inner:.0f} deg or sharper")
        if not punches:
            what = f"with a tip of R {r:g} or less" if fit[False] else f"of {inner:.0f} deg or sharper"
            return self._refuse("tools", f"no punch {what}")
        for die in (
            sorted(open_enough, key=lambda d: -d.angle_rad) if self.setting.opening_mm else open_enough
        ):
            bottom = die.way == "bottom"
            stroke = Stroke(
                angle_rad=bent if bottom else pressed,
                radius_mm=r,
                thickness_mm=t,
                neutral_mm=r + self.bend.k_factor * t,
                die=die,
                over_rad=0.0 if bottom else self._over(die, pressed),
            )
            own = sorted((p for p in punches if p in fit[bottom]), key=lambda p: not _makes(die, p, r))
            if not own:
                angle = f"{math.degrees(math.pi - bent):.0f} deg"
                self._refuse("tools", f"no punch of {angle} for the {die.name}")
                continue
            step = self._on(die, stroke, own)
            if step is not None:
                return step
        return max(self.refused, key=lambda x: x.angle_rad)

    def _over(self, die: Die, pressed: float) -> float:
        """How much further it may be pressed, rad: no further than the die's own flanks let it."""
        return max(min(self.setting.over_rad, math.pi - die.angle_rad - pressed), 0.0)

    def _on(self, die: Die, stroke: Stroke, punches: Sequence[Punch]) -> Step | None:
        judged = self.setting.supported and self.bend.name not in self.setting.let_off
        if judged and not self._carried(stroke):
            return None
        reach = self._die_reach(die, stroke)
        pieces = self._die_pieces(die, reach) if reach is not None else None
        if reach is None or pieces is None:
            return None
        brake, t = self.setting.brake, self.shape.plan.thickness_mm
        force = bending_force(self.setting.tensile_mpa, self.laid.length, t, die)
        if force > brake.force_n + ROUNDING:
            over = f"over V {die.opening_mm:g}, the brake has {brake.force_n / 1000:.0f} kN"
            self._refuse("force", f"it takes {force / 1000:.0f} kN {over}")
            return None
        on_a_metre = force / self.laid.length * 1000
        if not self._bears(die, on_a_metre):
            return None
        for punch in punches:
            if not self._bears(punch, on_a_metre):
                continue
            for turned in turns_of(punch):
                step = self._under(punch, turned, die, stroke, pieces, reach, force)
                if step is not None:
                    return step
        return None

    def _on_a_metre(self, force: float, pieces: MadeUp) -> float:
        """Force on a metre where bend and punch meet, N."""
        return force / min(pieces.length_mm, self.laid.length) * 1000

    def _bears(self, tool: Punch | Die, on_a_metre: float) -> bool:
        """True where a tool bears so many N on a metre, or nothing is said of it."""
        most = tool.force_per_m_n
        if most is None or on_a_metre <= most + ROUNDING:
            return True
        words = f"it takes {on_a_metre / 1000:.0f} kN on a metre, {tool.name} bears {most / 1000:.0f} kN"
        return not self._refuse("force", words, tool="die" if isinstance(tool, Die) else "punch")

    def _carried(self, stroke: Stroke) -> bool:
        """True where the flat metal of both legs reaches the shoulders all along the bend."""
        flange, gap = self._bare(stroke)
        if flange:
            part = f"on {gap:.0f} of {self.laid.length:.0f} mm"
            words = f"flange {flange} does not reach the shoulder of V {stroke.die.opening_mm:g} {part}"
            self._refuse("support", words)
        return not flange

    def _bare(self, stroke: Stroke) -> tuple[str, float]:
        """A flange that does not reach its shoulder somewhere, and over how much of the bend, mm."""
        return self.bare(stroke.most_need, stroke.most_need)

    def _die_reach(self, die: Die, stroke: Stroke) -> Reach | None:
        """How far the die may reach beside the bend; None where what hangs keeps it from under all of it.

        So does flat metal past the bend's end that swings down. It lies on the die: only what digs in counts.
        """
        room, length = self.setting.brake.room_mm, self.laid.length
        table, shape = table_outline(self.setting.brake, die.height_mm), die_outline(die)

        def touches(shadow: Shadow) -> Touch | None:
            return first_touch(stroke, shadow, shape, to_punch=False, room_mm=0.0 if shadow.lies else room)

        beside = [*self.below, *self.over]
        for shadow in beside:
            if touch := first_touch(stroke, shadow, table, to_punch=False, room_mm=room):
                self._met(touch, "the table", "table")
                return None
        if not any(touches(s) for s in beside):
            return Reach()
        for shadow in self._between(0.0, length, above=False):
            if touch := touches(shadow):
                self._met(touch, f"the die {die.name}", "die")
                return None
        reach = self._limits(touches, room_mm=room, above=False)
        for short, flange in ((reach.low, reach.left), (length - reach.high, reach.right)):
            if short > ROUNDING:
                at = Touch(flange=flange, angle_rad=0.0, gap_mm=room - short)
                self._met(at, f"the die {die.name} at the bend's end", "die")
                return None
        return reach

    def _die_pieces(self, die: Die, reach: Reach) -> MadeUp | None:
        """The die as long as the bend or little more."""
        length = self.laid.length
        made = made_up(die.segments_mm, self.setting.brake.length_mm, length, reach.most_mm)
        if made is None:
            self._refuse("pieces", f"no pieces of die {die.name} make {length:.0f} mm or little more")
        return made

    def _under(
        self,
        punch: Punch,
        turned: bool,
        die: Die,
        stroke: Stroke,
        die_pieces: MadeUp,
        die_reach: Reach,
        force: float,
    ) -> Step | None:
        reach = self._clear_of(punch, turned, stroke)
        if reach is None:
            return None
        pieces = self._punch_pieces(punch, reach)
        if pieces is None or not self._opens(punch, die, stroke):
            return None
        # a punch shorter than the bend has more on a metre of it, and the die under it
        on_a_metre = self._on_a_metre(force, pieces)
        if not (self._bears(die, on_a_metre) and self._bears(punch, on_a_metre)):
            return None
        brake, t = self.setting.brake, self.shape.plan.thickness_mm
        up = max(brake.open_mm - punch.height_mm - die.height_mm - t, 1.0)
        low = (self.laid.length - pieces.length_mm) / 2
        low = min(max(low, reach.low), reach.high - pieces.length_mm)
        slide = self._trapped(punch, turned, stroke, up, low, low + pieces.length_mm)
        if slide and reach.left and reach.right:
            words = f"the part stays round the punch {punch.name}: it comes off neither down nor sideways"
            self._refuse("trapped", words)
            return None
        dips = [*self.below, *self.over] if slide else []
        lift = lifted(stroke, dips, brake.room_mm, self.bend.angle_rad)
        goes = brake.open_mm - punch.height_mm - die.height_mm - stroke.tip_z(stroke.half)
        if lift is not None and lift.up_mm > goes:
            hangs = f"hangs by the die: to slide it takes {lift.up_mm:.0f} mm, the ram goes up {goes:.0f} mm"
            self._refuse("trapped", f"the part stays round the punch {punch.name} and {hangs}")
            return None
        nearest = nearest_finger(punch_outline(punch, turned), brake, t)
        stop = stop_for(self.laid, brake, die, t, nearest)
        if stop is not None and needs_square(self.shape.plan, stop, self.bend.name):
            stop, die_pieces = squared(
                self.laid, self.shape.plan, self.bend, stop, (brake, die), (die_pieces, die_reach)
            )
        step = self._step(punch, turned, die, stroke, pieces, die_pieces, stop, force, slide)
        step = replace(step, punch_reach=reach, die_reach=die_reach, bare=self._bare(stroke)[0], lift=lift)
        if stop is not None and not self.brief:
            out = swings_out(self.laid, stroke, stop, brake.gauge, brake.room_mm)
            by = swings_by(self.laid, stroke, stop, brake.gauge, brake.room_mm, out)
            step = replace(step, swings_out=out, swings_by=by)
        falls = () if self.brief else tuple(falling(stroke, [*self.below, *self.over], die.width_mm))
        return replace(step, falls=falls)

    def _clear_of(self, punch: Punch, turned: bool, stroke: Stroke) -> Reach | None:
        """How far a punch may reach along the bend; None where punch or ram meet the part over the bend."""
        brake = self.setting.brake
        outline, ram = punch_outline(punch, turned), ram_outline(brake, punch.height_mm)
        what, over = f"the punch {punch.name}", f"the ram above {punch.name}"
        for shape, name, tool in ((outline, what, "punch"), (ram, over, "ram")):
            if touch := self._dug(stroke, shape):
                self._met(touch, name, tool)
                return None
        for shadow in self.above:
            if touch := first_touch(stroke, shadow, ram, to_punch=True, room_mm=brake.room_mm):
                self._met(touch, over, "ram")
                return None

        def touches(shadow: Shadow) -> Touch | None:
            return first_touch(stroke, shadow, outline, to_punch=True, room_mm=brake.room_mm)

        if not any(touches(s) for s in self.above):
            return Reach()
        for shadow in self._between(self.short, self.laid.length - self.short, above=True):
            if touch := touches(shadow):
                self._met(touch, what, "punch")
                return None
        return self._limits(touches, room_mm=brake.room_mm, above=True, short=self.short)

    def _punch_pieces(self, punch: Punch, reach: Reach) -> MadeUp | None:
        """Pieces as long as the bend or a little more; where that is not free, a little less."""
        length, whole, free = self.laid.length, self.setting.brake.length_mm, reach.most_mm
        pieces = None
        if reach.low <= ROUNDING and reach.high >= length - ROUNDING:
            pieces = made_up(punch.segments_mm, whole, length, free)
        least = length - 2 * self.short
        pieces = pieces or made_up(punch.segments_mm, whole, least, min(free, length))
        if pieces is None:
            self._refuse(
                "pieces", f"no pieces of {punch.name} make {least:.0f} to {min(free, length):.0f} mm"
            )
        return pieces

    def _opens(self, punch: Punch, die: Die, stroke: Stroke) -> bool:
        """True where the stroke ends low enough, and what stands behind goes in under the raised punch."""
        brake, t = self.setting.brake, self.shape.plan.thickness_mm
        gap = brake.open_mm - punch.height_mm - die.height_mm
        shut = punch.height_mm + die.height_mm + stroke.tip_z(stroke.half)
        if shut < brake.open_mm - brake.stroke_mm:
            self._refuse("opening", f"{punch.name} on {die.name} is too low: the stroke ends above it")
            return False
        behind = [s.shape.bounds for s in (*self.above, *self.below) if s.rear]
        tall = max([b[3] for b in behind] + [t]) - min([b[1] for b in behind] + [0.0])
        if tall + brake.room_mm > gap:
            words = f"what stands behind is {tall:.0f} mm high, {gap:.0f} mm are open under {punch.name}"
            self._refuse("opening", words)
            return False
        return True

    def _dug(self, stroke: Stroke, tool: Polygon) -> Touch | None:
        """Flat metal of a leg that a tool would dig into at the end of the stroke."""
        t, from_y = self.shape.plan.thickness_mm, stroke.half * stroke.neutral_mm
        for leg, rear, name in (
            (self.laid.rear, True, self.laid.rear_flange),
            (self.laid.front, False, self.front_flange),
        ):
            far = leg.flat.bounds[3] if rear else -leg.flat.bounds[1]
            if far <= from_y + 2 * SKIN_MM:
                continue
            side, low, high = 1.0 if rear else -1.0, SKIN_MM, t - SKIN_MM
            near, end = side * (from_y + SKIN_MM), side * (far - SKIN_MM)
            plain = np.array([(near, low), (end, low), (end, high), (near, high)])
            ring = stroke.moved_points(plain, rear, stroke.half, stroke.radius_mm)
            if shapely.intersects(shapely.polygons(ring), tool):
                return Touch(flange=name, angle_rad=stroke.angle_rad, gap_mm=0.0)
        return None

    def _trapped(
        self, punch: Punch, turned: bool, stroke: Stroke, up: float, low: float, high: float
    ) -> bool:
        """True when the punch, from ``low`` to ``high``, cannot come straight down, or straight up again."""
        path = swept_up(punch, turned, up)
        for shadow in self._between(low, high, above=True) if self.above else ():
            for h in (0.0, stroke.half):
                if stroke.moved(shadow.shape, shadow.rear, h, stroke.radius_mm).intersects(path):
                    return True
        return False

    def _step(
        self,
        punch: Punch,
        turned: bool,
        die: Die,
        stroke: Stroke,
        pieces: MadeUp,
        die_pieces: MadeUp,
        stop: Stop | None,
        force: float,
        slide: bool,
    ) -> Step:
        by_eye = Stop(on="line", flange=self.bend.name, distance_mm=0.0, low_x=0.0, high_x=self.laid.length)
        return Step(
            bend=self.bend.name,
            done=tuple(b.name for b in self.shape.plan.bends if b.name in self.bent),
            angle_rad=self.bend.angle_rad if die.way == "bottom" else aimed_angle(self.shape.plan, self.bend),
            pressed_rad=stroke.angle_rad,
            flipped=self.laid.flipped,
            child_rear=self.child_rear,
            rear=self.laid.rear_flange,
            punch=punch.name,
            turned=turned,
            punch_pieces_mm=pieces.pieces_mm,
            die=die.name,
            opening_mm=die.opening_mm,
            carried_mm=shoulder_centre(die),
            die_pieces_mm=die_pieces.pieces_mm,
            stop=stop or by_eye,
            force_n=force,
            metre_n=self._on_a_metre(force, pieces),
            punch_most_n=punch.force_per_m_n,
            die_most_n=die.force_per_m_n,
            depth_mm=stroke.depth,
            degree_mm=0.0 if stroke.die.way == "bottom" else stroke.degree_mm,
            tip_z_mm=stroke.tip_z(stroke.half),
            slide=slide,
        )
