"""When and how one hole of a panel is made: decided once, told alike by every sheet, table and file."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Protocol

from generators.figures import format_short, nearest_64th
from generators.model.words import Face, HoleWay, HoleWhen, Status
from generators.units import INCH_MM, UnitSystem


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleWork:
    """One status and one way of a hole.

    ``part`` is the name of the part or guide it is drilled through, or of the part that closes it, and
    ``part_title`` its title within a sentence; empty where there is none. ``task`` is the key of the task
    of the order of work in which it is made, empty for one nothing is done to; a hole that does not come with
    its panel is made after the step that settles its place, closed at the one that closes it: ``step`` is the
    number (0 for one that comes with its panel, and as long as the steps are not numbered).
    ``locates`` names the parts
    that are bolted on with it while their other holes are drilled; ``pilot_from`` is the face from which
    the pilot of such a hole is
    drilled by paper, when the rest of it waits for the part. ``spot`` is the drill that just goes through the
    part's own hole of ``guide_mm`` (0 where none leads it) and marks the panel, ``spot_mm`` wide; a hole too
    wide for one is ``scribed``. ``spoiled_mm`` is how far off a hand drill may start where neither
    this way nor the clearance takes it up; 0 where they do. ``off_mm`` is how far from its place a hole by
    paper is reckoned with, in all this: as far as its mark may be out. ``short_mm`` is, for a hole that is
    there and whose measured place does not suit its part, what places and tolerances ask of the clearance,
    how much of that is because the place is measured, and what the clearance is, all on the diameter.
    """

    when: HoleWhen = "now"
    how: HoleWay = "paper"
    part: str = ""
    part_title: str = ""
    task: str = ""
    step: int = 0
    locates: tuple[str, ...] = ()
    pilot_from: Face | None = None
    spot: str = ""
    spot_mm: float = 0.0
    guide_mm: float = 0.0
    spoiled_mm: float = 0.0
    opened_mm: float = 0.0
    off_mm: float = 0.0
    short_mm: tuple[float, float, float] | None = None

    @property
    def punched(self) -> bool:
        """True where the centre is punched through the cross on the paper, for the hole or its pilot."""
        return self.pilot_from is not None or (self.when, self.how) == ("now", "paper")

    @property
    def scribed(self) -> bool:
        """True where the part's own hole is too wide for a drill: its circle is scribed on the panel."""
        return self.how in ("part", "hose") and self.guide_mm > 0 and not self.spot

    def bared(self, final_mm: float) -> bool:
        """True where the part comes off between the mark and the size: a final tool would cut it."""
        return self.scribed or (self.how in ("part", "hose") and 0 < self.guide_mm < final_mm - SAME_MM)

    @property
    def after(self) -> str:
        """What it waits for, ``after step 23``, in words until there are numbers; empty where for nothing.

        One that is closed waits for nothing else: ``at step 31``.
        """
        if self.step:
            return f"{'at' if self.when == 'close' else 'after'} step {self.step}"
        if self.how == "part":
            return f"with the {self.part_title} bolted on"
        return "when its hose is on" if self.task.startswith("decided:") else ""

    @property
    def step_words(self) -> str:
        """When and how in one short phrase for a label; empty for what goes through the paper with its panel.

        ``after step 38: through the clutch pedal hanger``.
        """
        if self.how == "guide":
            return f"through the {self.part_title}"
        if self.when != "last":
            return self.after if self.when == "open" else ""
        if self.how == "hose":
            return f"last, {self.after}: where its hose puts it"
        words = f"{self.after}: {self._marked}through the {self.part_title}"
        return f"pilot now; {words}" if self.pilot_from else words

    @property
    def _marked(self) -> str:
        """What is done through the part where not all is: the size would cut it, or no drill is as wide."""
        if self.scribed:
            return "scribed "
        return "marked " if self.bared(self.opened_mm) else ""

    @property
    def way(self) -> str:
        """How its place is found, in a few words; empty for a hole that is there."""
        if self.how == "paper":
            return PAPER_WAY
        if self.how == "part":
            return f"{self._marked}through the {self.part_title}, bolted on"
        if self.how == "guide":
            return f"through the {self.part_title}"
        if self.how == "hose":
            return f"where its hose puts the {self.part_title}" if self.part else "where its hose puts it"
        return ""


def plain_work(status: Status, *, tooled: bool) -> HoleWork:
    """The work of a hole nothing else decides on; ``tooled`` when something is done to an existing one."""
    if status in ("drill", "weld"):
        return HoleWork()
    if status == "blank":
        return HoleWork(when="close", how="there")
    return HoleWork(when="open" if status == "reuse" and tooled else "never", how="there")


def when_words(work: HoleWork, final_mm: float, there_mm: float = 0.0, units: UnitSystem = "metric") -> str:
    """When a hole is made, in a few words; ``there_mm`` is the diameter of one that is there already."""
    after = f", {work.after}" if work.after else ""
    if work.when == "open":
        wider = there_mm and abs(there_mm - final_mm) > SAME_MM
        sizes = f": Ø{format_short(there_mm, units)} there → Ø{format_short(final_mm, units)}"
        return f"open up{sizes if wider else ''}{after}"
    said = {"now": "now", "last": "last", "never": "never, it is there", "close": "close it"}
    return said[work.when] + after


class Worked(Protocol):
    """A hole with its work: what the words are made from."""

    @property
    def work(self) -> HoleWork:
        """When and how it is made."""

    @property
    def final_dia_mm(self) -> float:
        """Its final diameter."""

    @property
    def there_mm(self) -> float:
        """Its diameter as it is there; 0 for a new one."""

    @property
    def drill_face(self) -> Face:
        """The face it is drilled from."""


def work_words(hole: Worked, units: UnitSystem = "metric") -> str:
    """When, how and from which face, for tables; a pilot that is drilled by paper is said first.

    ``last, after step 38, through the hanger, bolted on, cab side``.
    """
    work = hole.work
    words = [when_words(work, hole.final_dia_mm, hole.there_mm, units)]
    if work.pilot_from:
        words.insert(0, f"pilot now, {PAPER_WAY}, {work.pilot_from} side")
    if work.way:
        words.append(work.way)
    if work.when == "close" and work.part:
        words.append(f"with the {work.part_title}")
    if work.when in ("now", "last", "open"):
        words.append(f"{hole.drill_face} side")
    if work.bared(hole.final_dia_mm):
        words.append(f"{OFF_WORDS}, {hole.drill_face} side")
    return ", ".join(words)


PAPER_WAY = "marked through the paper"
"""Of a hole whose centre is punched through its cross: it is drilled with the paper off."""

OFF_WORDS = "then opened with it off"
"""Of a hole marked through a part whose own hole is narrower."""


SAME_MM = 0.005
"""Diameters no nearer than this are told apart: half the last figure printed."""


# ------------------------------------------------- how far out, and which distance rules
PANEL_OUT: Mapping[UnitSystem, str] = MappingProxyType({"metric": "2 mm", "inch": "1/16 in"})
"""A panel further out than this is not the one that was measured. Ours: a tape is good to half of it."""

READ_MM: Mapping[UnitSystem, float] = MappingProxyType({"metric": 0.5, "inch": INCH_MM / 64})
"""What one reads on a steel rule; common practice, no source."""

ON_TOP = "what that hole itself was out rim to rim on top"
"""Of a rim a mark is measured from; common practice, no source."""

RULES = (
    "Where two disagree, the distance between two marks rules over those from rims, as the part must go on "
    "both; of two rims the one that was right rim to rim."
)
"""Common practice, no source: what must fit a part rules over what only says where the part sits."""


def mark_off_mm(works: Iterable[HoleWork], units: UnitSystem = "metric") -> float:
    """How far a punched mark may be out, mm; 0 where nothing is punched.

    As far as the holes are reckoned to be off when it is decided how each is made, the least of them; down to
    what is read on a steel rule, which shows no less than half a millimetre or 1/64 in.
    """
    step = READ_MM[units]
    off = [work.off_mm for work in works if work.punched and work.off_mm > 0]
    return max(math.floor(min(off) / step + SAME_MM) * step, step) if off else 0.0


def out_words(mm: float, units: UnitSystem) -> str:
    """``0.5 mm``, ``1/64 in``."""
    return f"{mm:g} mm" if units == "metric" else f"{nearest_64th(mm / INCH_MM)} in"


def table_rules(works: Iterable[HoleWork], units: UnitSystem) -> str:
    """What stands over the check distances: how far each kind may be out, and which of them rules."""
    said = f"May be out: rim to rim {PANEL_OUT[units]}, more is another panel: stop."
    off = mark_off_mm(works, units)
    if not off:
        return f"{said} Where a mark differs, the rule is right."
    return (
        f"{said} Rim to mark {out_words(off, units)}, {ON_TOP}. Mark to mark {out_words(2 * off, units)}. "
        f"{RULES} Move a mark that is out further."
    )
