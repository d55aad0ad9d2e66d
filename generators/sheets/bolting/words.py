"""One wording of a fastener set for steps, lists and the bill: what it is, how hard it is done up.

``units`` says which of both comes first.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from generators.figures import format_length, nearest_64th
from generators.model.joints.fasteners import CLAMPED_ON, FastenerSet, Side2, WasherUse
from generators.model.spec.titles import within
from generators.strength.preload import NUT_FACTOR_DRY, NUT_FACTOR_SLIPPERY, PROOF_SHARE
from generators.units import INCH_MM, UnitSystem

LBF_FT_NM = 1.3558179483314004
"""Newton metres in one pound-force foot, exact: 0.3048 m x 4.4482216152605 N."""

WHOLE_FROM = 10
"""From here a torque is printed in whole N·m, or in lbf·ft and not lbf·in (ours)."""

SNUG = "snug, then lock"
NOTES = (
    f"Torque is for clean, dry, plain steel threads: T = K D P with K = {NUT_FACTOR_DRY:g} (NASA RP-1228) at "
    f"{PROOF_SHARE:.0%} of the proof load (ISO 898-1, SAE J429), less where the sheet under the washer bears "
    f"less. So for bolts used dry, as bare steel comes; plated, waxed or oiled ones, as supplied or by you: "
    f"{NUT_FACTOR_SLIPPERY / NUT_FACTOR_DRY:.0%} of it. What the locking nut "
    "takes to turn before it meets its washer comes on top: feel it and add it.",
    f"'{SNUG.capitalize()}' has no figure: turn until the washers no longer move by hand, then stop; the "
    "locking nut keeps it. A maker's own figure, for a cylinder or a fitting, comes before any of these.",
    "Locking nuts with a nylon ring stand about 120 °C: where the metal is hot enough, engine warm, for a "
    "drop of water to boil off it, take all-metal ones. A nut that can be run down by hand over "
    "its ring is worn: take a new one.",
)
"""What stands once over the list of bolts. 120 °C: ISO 2320, from memory; wear: common
practice."""


def torque_text(torque_nm: float, units: UnitSystem = "metric") -> str:
    """A torque in both units: ``25 N·m (18 lbf·ft)``; small ones in pound-inches.

    The second is worked out from the first as it is printed, so that like figures always stand together.
    """
    if units == "inch":
        said, feet = _pounds(torque_nm / LBF_FT_NM)
        return f"{said} ({_newton(feet * LBF_FT_NM)[0]})"
    said, newton = _newton(torque_nm)
    return f"{said} ({_pounds(newton / LBF_FT_NM)[0]})"


def _as_printed(torque_nm: float, units: UnitSystem) -> float:
    """What the first figure of ``torque_text`` says, in N·m: a share of it is checked against that."""
    if units == "inch":
        return _pounds(torque_nm / LBF_FT_NM)[1] * LBF_FT_NM
    return _newton(torque_nm)[1]


def _newton(torque_nm: float) -> tuple[str, float]:
    """A torque as printed, and what that is in N·m."""
    digits = 0 if torque_nm >= WHOLE_FROM else 1
    return f"{torque_nm:.{digits}f} N·m", round(torque_nm, digits)


def _pounds(feet: float) -> tuple[str, float]:
    """A torque in lbf·ft as printed, and what that is in lbf·ft."""
    if feet >= WHOLE_FROM:
        return f"{feet:.0f} lbf·ft", float(round(feet))
    return f"{feet * 12:.0f} lbf·in", round(feet * 12) / 12


ONCE = ", once that is there"
"""Of the bolt of a brace that is no part of the job."""


def tightness_words(made: FastenerSet, units: UnitSystem = "metric") -> str:
    """How hard: the torque, or why there is none."""
    if made.tighten.torque_nm is not None:
        once = ONCE if absent_words(made) else ""
        # read on its own, at the step: nobody turns back for the share
        slippery = _as_printed(made.tighten.torque_nm, units) * NUT_FACTOR_SLIPPERY / NUT_FACTOR_DRY
        plated = f"; plated, waxed or oiled {torque_text(slippery, units)}"
        # beside a bolt of its size that is turned harder this would read as a slip
        less = f"; not more: {made.tighten.bearing}" if made.tighten.bearing else ""
        return f"{torque_text(made.tighten.torque_nm, units)} dry{plated}{less}{once}"
    if made.form == "shaft":
        return f"{SNUG} ({made.tighten.why})" if made.tighten.why in CLAMPED_ON else "not clamped"
    return f"{SNUG} ({made.tighten.why})"


ENDS_OPEN = "ends as the workshop makes them: ask"
"""Of a shaft of which the spec does not say what holds its ends."""


def shaft_words(made: FastenerSet, say: Callable[[float], str]) -> str:
    """A pivot shaft: how thick, how long, and what holds its ends; ``say`` is how lengths in mm are said."""
    if made.ends:
        ends = f"ends: {made.ends}"
    elif made.tighten.why in CLAMPED_ON:
        ends = CLAMPED_ON[made.tighten.why]
    else:
        ends = ENDS_OPEN
    whole = "" if made.length_mm is None else f", {say(made.length_mm)} long"
    return f"{say(made.diameter_mm)}{whole}, {say(made.least_mm)} over the cheeks; {ends}"


def own_studs(sets: Sequence[FastenerSet]) -> str:
    """``with its own studs, 2 × M8``: what a thing is bolted by that is on it; nothing for one with holes."""
    own: dict[str, int] = {}
    for made in sets:
        if made.own_thread and made.into == "locking nut":
            own[made.thread] = own.get(made.thread, 0) + made.quantity
    said = ", ".join(f"{n} × {thread}" for thread, n in own.items())
    return f"with its own studs, {said}" if said else ""


def absent_words(made: FastenerSet) -> str:
    """What a fastener waits for that is no part of the job, a brace: nothing for any other."""
    held = made.held
    if held is None or not held.absent:
        return ""
    what = "a brace" if held.known == "open" else f"the {within(held.words)}"
    return f"only for {what}, not part of this job"


LATER = "Till it is there the hole stays empty and the bolt in its bag."
"""Of the hole for a brace that is no part of the job."""

OWN_STEP = "It has a step of its own, before the pedal is loaded; do not drive without it"


def brace_words(made: FastenerSet) -> str:
    """What is done about a brace that is no part of the job, by whether the report counts on it."""
    later = LATER
    if made.held is not None and made.held.counted:
        return (
            f"{later} Stiffness and strength of the part are worked out with it: have it made, and fit it "
            "before the pedal is loaded, that is before bleeding; do not drive without it"
        )
    return f"{later} Stiffness and strength of the part are worked out without it"


def size_words(made: FastenerSet) -> str:
    """Thread, length and class as asked for over a counter: ``M8×25 8.8``, ``5/16-18 × 1 in grade 5``."""
    metric = made.thread.startswith("M")
    thread = made.thread if metric else made.designation
    long = ""
    if made.length_text:
        long = f"×{made.length_text}" if metric else f" × {made.length_text} in"
    return f"{thread}{long}{f' {made.grade}' if made.grade else ''}"


def _named(made: FastenerSet, use: WasherUse) -> str:
    if made.panel:
        return "engine side" if use.side == "low" else "cab side"
    if made.held is not None and made.held.side == use.side:
        return f"on the {made.held.words}" if made.held.known != "open" else "on what it holds"
    return "on the sheet"


def washer_words(made: FastenerSet) -> str:
    """``2 washers``, or which of them is large and where it goes."""
    large = [use for use in made.washers if use.large]
    plain = len(made.washers) - len(large)
    words = [f"{plain} washer{'s' if plain > 1 else ''}"] if plain else []
    if len(large) == 1:
        words.append(f"a large washer {_named(made, large[0])}")
    elif large:
        words.append(f"{len(large)} large washers")
    return ", ".join(words)


def way_words(made: FastenerSet) -> str:
    """Which way round it goes in: ``head on the cab side, nut on the engine side``; empty for a shaft."""
    if made.form == "shaft":
        return ""
    if not made.panel and not made.part:
        return "head on the clamp, nut behind the metal" if made.into == "locking nut" else ""
    if made.form == "stop bolt" or made.into == "jam nuts":
        return "head to the pedal, a nut on each face of the sheet"
    if made.head is None:
        nut = made.nuts[0] if len(made.nuts) == 1 else _behind(made)
        return f"nut {_on_side(made, nut)}" if nut is not None else "nut on the free end of the stud"
    head = _on_side(made, made.head)
    if made.into == "locking nut":
        return f"head {head}, nut {_on_side(made, _OTHER[made.head])}"
    return f"in from {head.removeprefix('on ')}"


def held_words(made: FastenerSet) -> str:
    """What it holds to the part that is of no table of the job: ``flange of the bell housing``."""
    return within(made.held.words) if made.held is not None and made.held.outside else ""


def held_by_words(sets: Iterable[FastenerSet], panel: str, holes: Iterable[str]) -> str:
    """The bolts of some holes of a panel by size and way round, for a step before they are done up for good.

    ``hole 10: M5×16 8.8, head on the cab side, nut on the engine side``; nothing where none is known.
    """
    wanted = set(holes)
    mine = [made for made in sets if made.panel == panel and made.hole in wanted and made.standard]
    said = [f"{_where(group)}: {size}, {way}" for (size, way), group in _alike(mine).items()]
    return "; ".join(said)


def _alike(sets: Iterable[FastenerSet]) -> dict[tuple[str, str], list[FastenerSet]]:
    groups: dict[tuple[str, str], list[FastenerSet]] = {}
    for made in sets:
        groups.setdefault((size_words(made), way_words(made)), []).append(made)
    return groups


_OTHER: Mapping[Side2, Side2] = MappingProxyType({"low": "high", "high": "low"})


def _behind(made: FastenerSet) -> Side2 | None:
    return None if made.held is None else _OTHER[made.held.side]


def _on_side(made: FastenerSet, side: Side2) -> str:
    if made.panel:
        return "on the engine side" if side == "low" else "on the cab side"
    if made.held is not None:
        what = f"the {within(made.held.words)}" if made.held.known != "open" else "what it holds"
        return f"on {what}" if side == made.held.side else "on the far face of the sheet"
    return "on either face" if side == made.head else "on the other"


def _lock(made: FastenerSet) -> str:
    return {
        "locking nut": "locking nut",
        "insert": "thread locker, into the insert",
        "weld nut": "thread locker, into the weld nut",
        "press nut": "thread locker, into the press nut of the part",
        "tapped hole": "thread locker, into the thread of the part",
        "jam nuts": "two nuts, one on each side, locked against each other",
        "nothing": "",
    }[made.into]


def _open_length(made: FastenerSet) -> str:
    """What to buy where nobody knows how thick what it holds is."""
    if made.thread.startswith("M"):
        more = f"{math.ceil(made.least_mm)} mm"
    else:
        more = f"{nearest_64th(math.ceil(made.least_mm / INCH_MM * 16) / 16)} in"
    rail = made.held is not None and made.held.thickness_mm > 0
    what = "the metal it is bolted to" if rail else "what it holds"
    return f"as long as {what} is thick and {more} more, or the next length up"


def set_words(made: FastenerSet, units: UnitSystem = "metric") -> str:
    """All that goes in one place, without its torque."""
    if made.form == "shaft":
        return f"pivot shaft, {shaft_words(made, lambda mm: format_length(mm, units))}"
    tail = ", ".join(words for words in (washer_words(made), _lock(made)) if words)
    if made.form == "stud":
        what = "on the part's stud" if made.part else "weld stud"
        return f"{what} {made.thread}, {made.stud_mm:g} mm: {tail}"
    if not made.standard:
        return f"on its own {made.thread} stud: {tail}"
    what = {"countersunk": "countersunk screw ", "stop bolt": "stop bolt "}.get(made.form, "")
    words = f"{what}{size_words(made)}"
    if made.unfit:
        return f"{words}: NONE FITS, {made.unfit}"
    if made.length_mm is None:
        words += f", {_open_length(made)}"
    words = f"{words}, {tail}"
    if made.held is not None and made.held.known == "assumed" and made.length_mm is not None:
        words += (
            f" ({made.held.words} taken as {made.held.thickness_mm:g} mm: measure it, this length does up to "
            f"{made.most_held_mm:.1f} mm)"
        )
    if made.hole_mm:
        words += f"; its hole: {made.hole_drill}"
    return words


def key_words(made: FastenerSet, units: UnitSystem = "metric") -> Iterator[str]:
    """What a finished sheet must say of a set: its size and its torque."""
    if made.length_text:
        yield size_words(made)
    if made.tighten.torque_nm is not None and made.standard:
        yield torque_text(made.tighten.torque_nm, units)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lot:
    """Like fasteners of one step: how many, what each is, how hard, in which holes, what each waits for, and
    which way round it goes."""

    count: int
    words: str
    tight: str
    where: str
    way: str = ""
    waits: str = ""

    @property
    def sentence(self) -> str:
        """All of it: ``4 × M8×25 8.8, 2 washers, locking nut, 25 N·m (19 lbf·ft)``."""
        return f"{self.count} × {self.words}, {self.tight}"


def _where(sets: Sequence[FastenerSet]) -> str:
    numbers = [s.hole for s in sets if s.panel]
    others = [s.opening.replace("_", " ") for s in sets if s.part and s.form != "shaft"]
    words = [f"hole{'s' if len(numbers) > 1 else ''} {', '.join(numbers)}"] if numbers else []
    words += [", ".join(others)] if others else []
    return "; ".join(words)


def lots(sets: Iterable[FastenerSet], units: UnitSystem = "metric") -> Iterator[Lot]:
    """Sets that are alike, together, in the order they come."""
    groups: dict[tuple[str, str, str, str, str], list[FastenerSet]] = {}
    for made in sets:
        waits = absent_words(made)
        alike = made.panel, set_words(made, units), tightness_words(made, units), waits, way_words(made)
        groups.setdefault(alike, []).append(made)
    for (_panel, words, tight, _waits, way), group in groups.items():
        absent = absent_words(group[0])
        counted = group[0].held is not None and group[0].held.counted
        waits = f"{absent}. {f'{LATER} {OWN_STEP}' if counted else brace_words(group[0])}" if absent else ""
        count = sum(s.quantity for s in group)
        yield Lot(count=count, words=words, tight=tight, where=_where(group), way=way, waits=waits)


def spanner_words(sets: Iterable[FastenerSet]) -> str:
    """Spanners for heads and nuts, each size once: metric then inch; ISO 272 and ASME across flats."""
    sizes: dict[float, str] = {}
    for made in sets:
        metric = made.thread.startswith("M")
        for af in (made.head_af_mm, made.nut_af_mm):
            if af:
                sizes[round(af, 3)] = f"{af:g} mm" if metric else f"{nearest_64th(af / INCH_MM)} in"
    metric_sizes = [text for _af, text in sorted(sizes.items()) if text.endswith("mm")]
    inch_sizes = [text for _af, text in sorted(sizes.items()) if text.endswith("in")]
    return ", ".join([*metric_sizes, *inch_sizes])
