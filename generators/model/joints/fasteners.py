"""What holds a job together, as plain data: one set of bolt, washers and nut for every place that is bolted.

Every length is mm, forces N, torques N·m. A stack has a low and a high side: of a panel its engine face and
its cab face, of a flange its lower side (w = 0) and its upper one.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Side2 = Literal["low", "high"]
FastenerForm = Literal["bolt", "countersunk", "stud", "stop bolt", "shaft"]
"""What it is: a hexagon bolt, a countersunk screw, a stud welded on, the bolt a pedal stops on, a pivot."""

ThreadIn = Literal["locking nut", "insert", "weld nut", "press nut", "tapped hole", "jam nuts", "nothing"]
"""What its thread goes into."""

INTO_THREAD: tuple[ThreadIn, ...] = ("insert", "weld nut", "press nut", "tapped hole")
"""A bolt into one of these has its head where a spanner turns, and no nut."""

ON_SPACER = "it clamps the cheeks on the spacer tube; the pedal turns on the tube"
ON_BEARINGS = "it clamps the bearings' inner rings on the hub, shims between them; the pedal turns with it"
CLAMPED_ON = {
    ON_SPACER: "its ends clamp the cheeks on the spacer tube",
    ON_BEARINGS: "its ends clamp the bearings' inner rings on the hub, with shims to what was measured",
}
"""Why a pivot's shaft is tightened after all, and what its ends then do."""

Known = Literal["given", "assumed", "open"]
"""How thick what it holds is: the spec says it, it is a figure of ours, or nobody knows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WasherUse:
    """A washer on one side of the stack; ``thickest_mm`` is what the length is worked out with."""

    side: Side2
    large: bool
    standard: str
    outside_mm: float
    thickest_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """What a fastener holds beside the sheets of the job: a flange, a foot, a clamp's band, a brace.

    ``outside`` is what the job does not bring; of that ``absent`` is a brace, which it has no more than the
    hole for, ``counted`` where stiffness and strength are worked out with it,
    ``ends_on`` what its far end is bolted to, empty where nobody said it.
    """

    words: str
    thickness_mm: float = 0.0
    known: Known = "given"
    side: Side2 = "high"
    outside: bool = False
    absent: bool = False
    counted: bool = False
    ends_on: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tightening:
    """How hard it is done up. ``torque_nm`` is None where no figure is given, and ``why`` says why; else
    ``why`` says what limits the preload. ``bearing`` is, in words, the sheet that bears less than its bolt
    would give: others of its size have more."""

    torque_nm: float | None
    preload_n: float | None
    why: str
    bearing: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FastenerSet:
    """One fastener with all that goes with it.

    ``key`` is the name of its body. ``panel`` with ``hole`` is the panel's hole and its number, ``part`` with
    ``opening`` a hole no panel has. ``task`` is the key of the step that uses it. ``grip_mm`` is all sheets
    together. ``length_mm`` is None where it cannot be said: what it holds is not known, or no stock length is
    long enough; ``least_mm`` is what it has to be at least, without what is ``open``. ``past_mm`` is the
    thread past the nut, ``stud_mm`` how far a stud stands off. ``hole_mm`` is given only for a hole that no
    panel and no part of the job has. ``nuts`` are the sides a nut or spanner turns on, ``head`` the side its
    head goes on, None for what has none. Across flats are those
    a spanner is for, 0 for none. A stud with a ``part`` is pressed into that part by the shop: only its nut
    is bought for the place. ``ends`` says of a shaft what holds them, in the spec's words, ``between_mm`` how
    far its cheeks are apart.
    """

    key: str
    task: str
    bag: str
    purpose: str
    form: FastenerForm
    into: ThreadIn
    thread: str
    designation: str
    diameter_mm: float
    panel: str = ""
    hole: str = ""
    part: str = ""
    opening: str = ""
    quantity: int = 1
    grade: str = ""
    standard: str = ""
    length_mm: float | None = None
    length_text: str = ""
    least_mm: float = 0.0
    grip_mm: float = 0.0
    held: Held | None = None
    washers: tuple[WasherUse, ...] = ()
    nut_standard: str = ""
    nut_height_mm: float = 0.0
    nut_bearing_mm: float = 0.0
    past_mm: float = 0.0
    stud_mm: float = 0.0
    head_af_mm: float = 0.0
    nut_af_mm: float = 0.0
    hole_mm: float = 0.0
    hole_drill: str = ""
    ends: str = ""
    between_mm: float = 0.0
    nuts: tuple[Side2, ...] = ()
    head: Side2 | None = None
    tighten: Tightening = Tightening(torque_nm=None, preload_n=None, why="")
    unfit: str = ""

    @property
    def own_thread(self) -> bool:
        """True for a thread that is on the thing itself: it takes a nut and is no article of a standard."""
        return self.form not in ("shaft", "stud") and not self.standard

    @property
    def most_held_mm(self) -> float:
        """How thick what it holds may be for the length it has, two pitches kept past the nut."""
        if self.held is None or self.length_mm is None:
            return 0.0
        return self.held.thickness_mm + self.length_mm - self.least_mm

    def washer_mm(self, side: Side2) -> float:
        """Thickness of the washer on a side; 0 for none."""
        return next((w.thickest_mm for w in self.washers if w.side == side), 0.0)


def fasteners_for(sets: Iterable[FastenerSet], task: str) -> tuple[FastenerSet, ...]:
    """What the step of a task uses, by the task's key: ``part:NAME``, ``component:NAME`` and so on."""
    return tuple(s for s in sets if s.task == task)


def on_own_studs(sets: Iterable[FastenerSet], task: str) -> bool:
    """True for what studs of its own alone hold: nothing is drawn out of its holes, only nuts come off."""
    mine = fasteners_for(sets, task)
    return bool(mine) and all(made.own_thread for made in mine)
