"""One bend about to be made, whatever makes it: the part as it lies there, and what was found against it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import ClassVar

from shapely.geometry import LineString

from generators.bending.legs import Laid, PartShape
from generators.bending.shadow import ENDLESS, OFF_SHEET_MM, Shadow, crossing, dips, shadows
from generators.bending.steps import Reach, Refusal, Why
from generators.bending.stroke import Touch
from generators.model.plan import Bend
from generators.model.spec.tools.machines import Machine


def _hangs(shadow: Shadow) -> bool:
    """True for what is under the sheet as it is laid in."""
    return bool(shadow.shape.bounds[1] < -OFF_SHEET_MM)


@dataclass(slots=True, kw_only=True, eq=False)
class Attempt:
    """A part half bent on a machine. ``above`` and ``below`` are what of it stands off the sheet.

    ``over`` is flat metal past the bend's ends on the other leg's side: it swings down.
    """

    machine: ClassVar[Machine] = "brake"
    begins: ClassVar[str] = "before the stroke begins"
    shape: PartShape
    bend: Bend
    bent: frozenset[str]
    child_rear: bool
    laid: Laid = field(init=False)
    above: list[Shadow] = field(init=False)
    below: list[Shadow] = field(init=False)
    over: list[Shadow] = field(init=False)
    refused: list[Refusal] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.laid = self.shape.laid(self.bend, self.bent, self.child_rear)
        every = shadows(self.laid)
        t = self.shape.plan.thickness_mm
        self.above = [s for s in every if s.shape.bounds[3] > t + OFF_SHEET_MM]
        self.below = [s for s in every if dips(s)]
        self.over = crossing(self.laid, t)

    @property
    def front_flange(self) -> str:
        """The flange in front of the bend."""
        return self.bend.parent if self.child_rear else self.bend.child

    @property
    def short(self) -> float:
        """How much shorter than the bend a tool may be at either end, mm (one thickness, CP)."""
        return min(self.shape.plan.thickness_mm, self.laid.length / 4)

    def _refuse(self, why: Why, words: str, touch: Touch | None = None, tool: str = "") -> Refusal:
        out = Refusal(
            bend=self.bend.name,
            done=tuple(b.name for b in self.shape.plan.bends if b.name in self.bent),
            why=why,
            words=words,
            flange=touch.flange if touch else "",
            tool=tool,
            angle_rad=touch.angle_rad if touch else 0.0,
            machine=self.machine,
        )
        self.refused.append(out)
        return out

    def _met(self, touch: Touch, what: str, tool: str) -> None:
        angle = math.degrees(touch.angle_rad)
        when = f"at {angle:.0f} deg of the bend" if angle >= 1 else self.begins
        self._refuse("meets", f"flange {touch.flange} meets {what} {when}", touch, tool)

    def _between(self, low: float, high: float, *, above: bool) -> list[Shadow]:
        t = self.shape.plan.thickness_mm
        if above:
            return [s for s in shadows(self.laid, low, high) if s.shape.bounds[3] > t + OFF_SHEET_MM]
        return [*(s for s in shadows(self.laid, low, high) if dips(s)), *crossing(self.laid, t, low, high)]

    def _limits(
        self, touches: Callable[[Shadow], Touch | None], *, room_mm: float, above: bool, short: float = 0.0
    ) -> Reach:
        """How far a tool may reach to either side before what stands there meets it."""
        room, length = room_mm, self.laid.length
        left = [s for s in self._between(-ENDLESS, short, above=above) if touches(s)]
        right = [s for s in self._between(length - short, ENDLESS, above=above) if touches(s)]
        before = max(left, key=lambda s: s.high_x, default=None)
        behind = min(right, key=lambda s: s.low_x, default=None)
        return Reach(
            low=before.high_x + room if before else -math.inf,
            high=behind.low_x - room if behind else math.inf,
            left=before.flange if before else "",
            right=behind.flange if behind else "",
            swings=()
            if above
            else tuple(s.flange for s in (before, behind) if s is not None and not _hangs(s)),
        )

    def bare(self, rear_mm: float, front_mm: float) -> tuple[str, float]:
        """A flange that does not reach so far from the middle somewhere, and on how much of the bend, mm."""
        length = self.laid.length
        for leg, far, rear in ((self.laid.rear, rear_mm, True), (self.laid.front, -front_mm, False)):
            on = leg.flat.intersection(LineString([(0.0, far), (length, far)]))
            spans = sorted((p.bounds[0], p.bounds[2]) for p in getattr(on, "geoms", [on]) if not p.is_empty)
            at, gap = 0.0, 0.0
            for low, high in [*spans, (length, length)]:
                gap, at = max(gap, low - at), max(at, high)
            if gap > self.shape.plan.thickness_mm + 1e-3:
                return (self.laid.rear_flange if rear else self.front_flange), gap
        return "", 0.0
