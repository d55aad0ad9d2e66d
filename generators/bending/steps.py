"""What is found for one bend: a line of the setup sheet, or why it cannot be made there."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from generators.model.spec.tools.machines import Machine

GaugeOn = Literal["edge", "flange", "line"]
Why = Literal["meets", "support", "tools", "pieces", "force", "opening", "trapped", "length"]


PastAt = Literal["beside", "over", "under", "behind"]
Face = Literal["front", "back"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Past:
    """How far a flange reaches past a stop, mm, and where it lies there to fingers that touch it.

    ``beside_mm`` is the air beside them; 0 for what is ``over``, ``under`` or ``behind`` them.
    """

    flange: str
    past_mm: float
    at: PastAt
    beside_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Square:
    """A stretch of a straight edge, square to the bend, that a square held against the die lies along, mm.

    ``x`` is where along the bend, ``low_y`` to ``high_y`` how far from the middle of the flat bend. The stock
    lies against the ``face`` of the die, from ``x`` on for ``stock_mm`` away from the sheet: ``way`` along
    the bend, 1 or -1. ``over``: the blade lies over the die; else out in front of it. From that face on it
    has room for ``free_mm``.
    """

    x: float
    low_y: float
    high_y: float
    way: int
    stock_mm: float
    face: Face = "front"
    over: bool = True
    free_mm: float = math.inf

    @property
    def long_mm(self) -> float:
        """How much of it the blade may lie along."""
        return self.high_y - self.low_y

    def die_span(self, bend_mm: float) -> tuple[float, float]:
        """From where to where along a bend so long the die lies under it and behind all the stock, mm."""
        end = self.x + self.way * self.stock_mm
        return min(end, 0.0), max(end, bend_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """What the back gauge touches, and where: ``distance_mm`` from the middle of the flat bend.

    ``on`` is a straight edge, the outer face of a flange bent before, or, where there is neither, the
    scribed bend line, set by eye. ``flange`` is what is touched. ``apart_mm`` is how far two fingers may
    stand apart on it, middle to middle; 0 where it is too short for two. ``clear_mm``: so far above the
    die's top, or below it, a bent flange's face begins to be flat. ``past``: what reaches past the stop.
    ``square`` is what a square is laid along where there is room for one finger alone; None: nothing is.
    ``stand``: from where to where along the bend fingers may stand; None: on what they touch alone.
    """

    on: GaugeOn
    flange: str
    distance_mm: float
    low_x: float
    high_x: float
    below: bool = False
    apart_mm: float = 0.0
    clear_mm: float = 0.0
    past: tuple[Past, ...] = ()
    square: Square | None = None
    stand: tuple[float, float] | None = None

    @property
    def long_mm(self) -> float:
        """How much of it may be touched."""
        return self.high_x - self.low_x

    @property
    def fingers_x(self) -> tuple[float, float]:
        """From where to where along the bend fingers may stand, mm."""
        return self.stand or (self.low_x, self.high_x)


@dataclass(frozen=True, slots=True, kw_only=True)
class SwingsOut:
    """A flange that swings through the place of a finger on the way: how far from the die's middle, mm."""

    flange: str
    far_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SwingsBy:
    """A flange that passes the stop on the way, beside the fingers, over or under them, mm.

    ``past_mm`` is how far, ``beside_mm`` the air beside them, ``low_mm`` how low over the top of the die what
    passes over them comes; 0 where it does neither.
    """

    flange: str
    past_mm: float
    at: PastAt
    beside_mm: float = 0.0
    low_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Fall:
    """How far a flange comes below the top of the die on the way, and how near to its middle there, mm.

    ``near_mm`` is 0 for one that comes down beside the die's end.
    """

    flange: str
    deep_mm: float
    near_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """How far the ram goes up, mm, before a part is slid along its punch: that flange hangs by the die."""

    flange: str
    up_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """From where to where a tool may stand along a bend that goes from 0 to its length, mm.

    ``left`` and ``right`` are the flanges beside it that end it there; empty where nothing does. ``swings``:
    which of them lie flat or stand as laid in and swing down there as their leg rises; the others hang there.
    """

    low: float = -math.inf
    high: float = math.inf
    left: str = ""
    right: str = ""
    swings: tuple[str, ...] = ()

    @property
    def most_mm(self) -> float:
        """The longest tool that goes in."""
        return self.high - self.low


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One bend of the sequence. Angles in rad, lengths in mm, force in N.

    ``angle_rad`` is what it is to have, the middle of its limits, ``pressed_rad`` what the ram goes to before
    it springs back.
    ``flipped``: the lower side is up. ``rear`` is the flange that lies toward the gauge. ``turned``: the
    punch is clamped the other way round. ``slide``: the part comes off sideways, ``lift`` is how far the ram
    goes up before that; None: it need not. ``tip_z`` is where the
    punch's tip ends over the top of the die. ``punch_reach`` and ``die_reach``: how far the tools may reach
    beside the bend before flanges bent earlier are in their way. ``bare``: a flange that does not reach the
    die all along the bend; empty where both do. ``degree_mm`` is how much deeper a degree more goes, 0
    where the die's ground makes the angle. ``falls``: what comes below the top of the die. ``swings_out``:
    what drives the gauge back; ``swings_by``: what passes the stop on the way beside fingers or over them.
    ``carried_mm``:
    how far from the middle the die's shoulders, which are rounded, begin to carry the flat sheet.
    ``metre_n`` is the force on a metre where bend and punch meet, ``punch_most_n`` and ``die_most_n`` what
    their marks let a metre of them take; None where nobody has told.
    """

    bend: str
    done: tuple[str, ...]
    angle_rad: float
    pressed_rad: float
    flipped: bool
    child_rear: bool
    rear: str
    punch: str
    turned: bool
    punch_pieces_mm: tuple[float, ...]
    die: str
    opening_mm: float
    carried_mm: float
    die_pieces_mm: tuple[float, ...]
    stop: Stop
    force_n: float
    metre_n: float
    depth_mm: float
    tip_z_mm: float
    slide: bool
    punch_reach: Reach = Reach()
    die_reach: Reach = Reach()
    bare: str = ""
    degree_mm: float = 0.0
    falls: tuple[Fall, ...] = ()
    swings_out: SwingsOut | None = None
    swings_by: tuple[SwingsBy, ...] = ()
    lift: Lift | None = None
    punch_most_n: float | None = None
    die_most_n: float | None = None

    @property
    def machine(self) -> Machine:
        """What makes this bend."""
        return "brake"

    @property
    def tools(self) -> tuple[str, str]:
        """What is put into the machine for it."""
        return self.punch, self.die


@dataclass(frozen=True, slots=True, kw_only=True)
class FoldStep:
    """One bend made on the folder. Angles in rad, lengths in mm; what is named as in ``Step`` means the same.

    ``rear`` is the flange under the fingers; ``stop`` is measured from the front of their noses.
    ``fingers_mm`` are widths of fingers side by side, ``reach`` how far they may stand beside the bend.
    ``line_mm`` is how far the middle of the flat bend, where its line is scribed, shows in front of the
    fingers; ``setback_mm`` from the front of the fingers to the face of the leaf when it stands upright.
    """

    bend: str
    done: tuple[str, ...]
    angle_rad: float
    pressed_rad: float
    flipped: bool
    child_rear: bool
    rear: str
    fingers_mm: tuple[float, ...]
    stop: Stop
    line_mm: float
    setback_mm: float
    slide: bool
    reach: Reach = Reach()

    @property
    def machine(self) -> Machine:
        """What makes this bend."""
        return "folder"

    @property
    def tools(self) -> tuple[str, str]:
        """What is put into the machine for it."""
        return "fingers", "+".join(f"{f:g}" for f in self.fingers_mm)


AnyStep = Step | FoldStep


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """Why a bend cannot be made when those of ``done`` are: in words, with what meets what at which angle."""

    bend: str
    done: tuple[str, ...]
    why: Why
    words: str
    flange: str = ""
    tool: str = ""
    angle_rad: float = 0.0
    machine: Machine = "brake"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sequence:
    """All bends of a part in an order that works (``found``); or none, and what stopped it furthest on.

    ``searched`` is False where there were too many ways to try them all: none is known then, and none proven.
    """

    found: bool
    steps: tuple[AnyStep, ...]
    refusals: tuple[Refusal, ...] = ()
    searched: bool = True

    @property
    def on_brake(self) -> tuple[Step, ...]:
        """Those of the steps that are made on the brake."""
        return tuple(step for step in self.steps if isinstance(step, Step))
