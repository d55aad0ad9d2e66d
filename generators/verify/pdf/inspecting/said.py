"""What a row of an inspection sheet says is measured, and with what: held against the plan."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence

from generators.model.plan import Hole, PartPlan, Slot
from generators.sheetmetal.folding import FlatPattern
from generators.sheetmetal.in_line import pivot_pairs
from generators.standards import CUT_HOLE, HoleTolerance
from generators.units import UnitSystem
from generators.verify.pdf.inspecting.edges import stands_on
from generators.verify.pdf.inspecting.finishes import wanted_rows
from generators.verify.pdf.inspecting.leaning import leaning_rows, stacked
from generators.verify.pdf.inspecting.rows import BETWEEN, EDGE, HEIGHT, SLOT_EDGE, Row
from generators.verify.pdf.rebuild.sheet_lengths import sold_words
from generators.verify.pdf.rebuild.weld_gaps import sheet_off_mm, sheet_words

FINE_MM = 0.05
PIN_MM = 10.0
ROUND_MM = 0.12
"""Four times what inside jaws read a round hole to. Common practice, no source."""

TAPE, TAPE_FROM_MM, TAPE_WITHIN_MM = "steel rule or tape", 300.0, 2.0
"""What is longer than that is read with a tape where it may be off by four times half a millimetre."""

REACH_MM = (
    (150.0, "caliper"),
    (300.0, "long caliper"),
    (600.0, "600 mm caliper"),
    (1000.0, "1 m caliper"),
    (math.inf, TAPE),
)
STANDS_MM = (
    (300.0, "height gauge, edge down"),
    (600.0, "height gauge 600, on edge"),
    (1000.0, "height gauge 1 m, on edge"),
    (math.inf, "square on that edge, tape"),
)
"""What measures up to which length, and pins below which width. Common practice, no source."""

V_WORDS = "was over the V; dress up to most"

INCH_MM, NOISE_MM = 25.4, 1e-6
ROUNDED_MM = 0.013


def said_problems(row: Row, plan: PartPlan, flat: FlatPattern, units: UnitSystem) -> Iterator[str]:
    """A row that names another thing than its number stands for, or an instrument that is not for it."""
    words = _words(row.key, plan, flat)
    if words is not None and not _same(row.what, words):
        yield f"item {row.key}: {row.what!r}, by the plan {words!r}"
    if match := HEIGHT.fullmatch(row.what):
        root = plan.flanges[0].name.replace("_", " ")
        kind = "hole" if int(match[1]) <= len(flat.holes) else "slot"
        if row.key != f"H{match[1]}" or match[2] != root or not row.what.startswith(f"centre of {kind} "):
            yield f"item {row.key}: {row.what!r} is another opening's, or not over {root}"
        owner = _owner(plan, int(match[1]))
        if bool(match[3]) != (kind == "slot" or stacked(plan, owner)):
            yield f"item {row.key}: {row.what!r}; the middle of a slot is taken from both its ends"
        if bool(match[4]) != stacked(plan, owner):
            yield f"item {row.key}: {row.what!r}; in a flange that leans the outer side is measured"
    using = _instrument(row, plan, flat, units)
    if row.using != using:
        yield f"item {row.key}: measured with {row.using!r}, it takes {using!r}"


def _owner(plan: PartPlan, number: int) -> str:
    """The flange an opening is in; the root's for a number that none has."""
    owners = [f.name for f in plan.flanges for _ in f.holes] + [f.name for f in plan.flanges for _ in f.slots]
    return owners[number - 1] if 1 <= number <= len(owners) else plan.flanges[0].name


def _same(found: str, wanted: str) -> bool:
    """True for the same letters, however lines break; those the plain font lacks are not looked for."""
    shown = "".join(c if c.encode("cp1252", "ignore") else "\0" for c in wanted)
    pieces = [re.escape("".join(piece.split())) for piece in shown.split("\0")]
    return re.fullmatch(".*".join(pieces), "".join(found.split())) is not None


def _inside(wide_mm: float, tolerance: HoleTolerance) -> str:
    """What measures a hole: the less it may be off, the less jaws will do."""
    within = tolerance.upper_mm - tolerance.lower_mm
    if within < FINE_MM:
        return "plug gauge, go and not go"
    if wide_mm < PIN_MM:
        return "pins"
    return "bore gauge" if within < ROUND_MM else "caliper"


def _within_mm(row: Row, units: UnitSystem) -> float:
    """From least to most as printed, mm; endless where nothing is."""
    try:
        return (float(row.most) - float(row.least)) * (1.0 if units == "metric" else INCH_MM)
    except ValueError:
        return math.inf


def _by_tape(row: Row, units: UnitSystem) -> bool:
    """Whether a length may be off by enough for a tape; in inches print hides on which side of it one is."""
    within = _within_mm(row, units)
    if units == "inch" and abs(within - TAPE_WITHIN_MM) <= 2 * ROUNDED_MM:
        return row.using == TAPE
    return within >= TAPE_WITHIN_MM - NOISE_MM


def _words(key: str, plan: PartPlan, flat: FlatPattern) -> str | None:
    """What stands beside a number; None where the words themselves say what is measured."""
    made = wanted_rows(plan).get(key)
    return made.words if made is not None else _usual_words(key, plan, flat)


def _usual_words(key: str, plan: PartPlan, flat: FlatPattern) -> str | None:
    items: list[Hole | Slot] = [*flat.holes, *flat.slots]
    blank = "blank" if plan.bends else "plate"
    fixed = {
        "T": _sheet_words(plan),
        "S1": f"{blank} over all, across",
        "S2": f"{blank} over all, up",
    }
    if key in fixed:
        return fixed[key]
    match = re.fullmatch(r"([FPR]?)(\d+)(L?)", key)
    if match is None:
        return None
    number = int(match[2])
    if match[1] == "P":
        pairs = [pair for pair in pivot_pairs(plan) if pair.pivots]
        if not 1 <= number <= len(pairs):
            return "nothing"
        ends = set(zip(pairs[number - 1].flanges, pairs[number - 1].holes, strict=True))
        made = [(f.name, h.name) for f in plan.flanges for h in f.holes]
        one, other = (n for n, end in enumerate(made, 1) if end in ends)
        return f"shaft through bores {one} and {other}, by hand, turns freely"
    if not 1 <= number <= len(items):
        return "nothing"
    item = items[number - 1]
    if match[1] == "F":
        holes = [h for f in plan.flanges for h in f.holes]
        finish = holes[number - 1].finish if number <= len(holes) else None
        return "nothing" if finish is None else f"Ø of hole {number} {finish.kind}: {item.purpose}"
    kind = "width of slot" if isinstance(item, Slot) else "Ø of hole"
    cut = f"{kind} {number}: {item.purpose}"
    if match[1] == "R":
        cut = f"{kind} {number} again, narrowest: {V_WORDS}"
    return f"length of slot {number} over all" if match[3] else cut


def _sheet_words(plan: PartPlan) -> str:
    """What the sheet's limits are for."""
    held = sheet_words(plan)
    limits = f"that hold {held}" if held else "half way to the next stock sheet"
    sold = sold_words(plan, sheet_off_mm(plan)) if held else ""
    return (
        f"thickness, before it is cut; limits {limits}; do not cut this part of a sheet outside them"
        f"{': ask, be it within ' if sold else ''}{sold}"
    )


def _instrument(row: Row, plan: PartPlan, flat: FlatPattern, units: UnitSystem) -> str:
    """What it is measured with."""
    made = wanted_rows(plan).get(row.key)
    if made is not None and made.using:
        return made.using
    leaning = leaning_rows(plan).get(row.what)
    return _usual_instrument(row, plan, flat, units) if leaning is None else leaning[0]


def _usual_instrument(row: Row, plan: PartPlan, flat: FlatPattern, units: UnitSystem) -> str:
    rims = re.fullmatch(r"H(\d+)", row.key) is not None and (
        int(row.key[1:]) > len(flat.holes) or stacked(plan, _owner(plan, int(row.key[1:])))
    )
    stood = "height gauge, both rims" if rims else "height gauge, pin in hole"
    tried = {"G": "thread gauge or new screw", "P": "the shaft, or a bar of its Ø", "H": stood}
    if row.key[:1] in tried:
        return tried[row.key[:1]]
    if BETWEEN.fullmatch(row.what):
        square = row.nominal.rstrip("°") in ("90.0", "90")
        return "protractor or square" if square else "protractor"
    items: list[Hole | Slot] = [*flat.holes, *flat.slots]
    made = [h for f in plan.flanges for h in f.holes]
    own = row.key.removeprefix("R")
    if own.isdigit() and 1 <= int(own) <= len(items):
        item = items[int(own) - 1]
        wide = item.diameter_mm if isinstance(item, Hole) else item.width_mm
        return _inside(wide, item.tolerance or CUT_HOLE)
    if re.fullmatch(r"F\d+", row.key) and int(row.key[1:]) <= len(made):
        finish = made[int(row.key[1:]) - 1].finish
        tolerance = CUT_HOLE if finish is None or finish.tolerance is None else finish.tolerance
        return _inside(made[int(row.key[1:]) - 1].diameter_mm, tolerance)
    try:
        long = float(row.nominal) * (1.0 if units == "metric" else INCH_MM)
    except ValueError:
        return ""
    if far := EDGE.fullmatch(row.what) or SLOT_EDGE.fullmatch(row.what):
        # edge and far rim look the same way: no jaws close on them
        return _reaching(STANDS_MM, long, row) if stands_on(flat, far[2]) else "height gauge, angle plate"
    if long > TAPE_FROM_MM + ROUNDED_MM and _by_tape(row, units):
        return TAPE
    return _reaching(REACH_MM, long, row)


def _reaching(reaches: Sequence[tuple[float, str]], long_mm: float, row: Row) -> str:
    """What reaches so far; as printed a size may lie on either side of a reach, and then both will do."""
    ends = [
        next((name for most, name in reaches if long_mm + by <= most), "") for by in (-ROUNDED_MM, ROUNDED_MM)
    ]
    return row.using if row.using in ends else ends[0]
