"""Rules on what a loaded bracket's bolts carry: the bolt itself, holes it bears on, sheets it pulls on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from generators.checks.rule import Rule, finding
from generators.figures import fixed
from generators.model.findings import Finding, Severity
from generators.model.limits import Limits
from generators.strength.joint.loads import HAND_RANGE, SOFT_HAND_RANGE
from generators.strength.joint.uses import SAME, BoltUse, JudgedBolt, JudgedLoad, use_of

BOLT_STRENGTH = Rule(
    code="bolt-strength",
    title="A bolt of a loaded bracket carries too much",
    meaning=(
        "Pull and shear of the bolt that carries most, with what the bent sheet pries, against the proof "
        "load of its class, by the factor asked for. By `stiffness` from the finite elements' reactions at "
        "each hole; by `check` the most of the elastic bolt group, tilting about the foot's edges and each "
        "half of the part on its own column of bolts; that was never below finite elements by more than "
        f"{HAND_RANGE:g} ({SOFT_HAND_RANGE:g} on a panel that gives) on hangers drawn at random "
        "(no other kind, first mesh), so what could be below the limit within that warns. Preload and slip "
        "are left out; a brake's 2000 N "
        "(structure only) warns below 1, where something breaks, by hand with the same range on top."
    ),
    formula="proof stress x stress area / sqrt((T + M/lever)^2 + 3 V^2) >= joint_factor (1.5)",
    source="ISO 898-1 and SAE J429 proof loads; von Mises; 14 CFR 23.303 factor 1.5 (from memory)",
    trust="M-high",
    mend="Take thicker or more bolts, or set their rows further apart.",
    limit_key="joint_factor",
)

BOLT_BEARING = Rule(
    code="bolt-bearing",
    title="A loaded bracket's bolt tears its hole long",
    meaning=(
        "The bolt's shear against what part and panel bear on its shank, as sheet (EN 1993-1-3 table 8.4) or "
        "from 3 mm on as plate (EN 1993-1-8 table 3.4), with the edge's distance; aluminium by the same form "
        "(EN 1999-1-1 table 8.5). Doublers round the same hole bear with the panel. Strengths already "
        "divided by 1.25; the factor on top is that of ultimate over limit load."
    ),
    formula="2.5 ab kt fu d t / 1.25, or k1 ab fu d t / 1.25; over the shear >= joint_factor (1.5)",
    source="EN 1993-1-3 table 8.4, EN 1993-1-8 table 3.4; 14 CFR 23.303 factor 1.5 (from memory)",
    trust="M-high",
    mend="A doubler, thicker bolts, more bolts, or more metal to the edge.",
    limit_key="joint_factor",
)

BOLT_PULL_THROUGH = Rule(
    code="bolt-pull-through",
    title="A loaded bracket's bolt pulls through its sheet",
    meaning=(
        "The bolt's pull, with what the bent sheet pries, against what a sheet holds under its head, nut or "
        "washer: panel and doublers on the far side of the panel under one, the part's own sheet under the "
        "other. Steel to 3/16 in: AISI S100 J4.4.2 for screws, whose limits S100 J3.4 asks of bolts too, "
        "0.50 x 1.5 t dw Fu, the washer counted as head + 2 washers' thickness + sheet, at most 19.05 mm; "
        "6 % under dw t fu / 1.25 of EN 1993-1-3 table 8.2. Thicker: punching, EN 1993-1-8 table 3.4, with "
        "the mean of across flats and corners and no washer; from 3 to 5.26 mm the smaller of both. "
        "Aluminium: 6.1 t fu sqrt(dw/22) / 1.25, EN 1999-1-4 8.3.3.1, from memory and unsure, and never "
        "more than steel's form. Ours, on the safe side: of sheets on one another the one under the head "
        "counts and half of the others, no less than the strongest alone; over a hole more than 1/16 in "
        "wider than its bolt only the ring left beside it, over a slot without its ends. Where nothing "
        "that counts is wider than the hole nothing holds. A sheet thinner than 0.5 mm lies "
        "outside all of them."
    ),
    formula="0.50 x 1.5 t dw Fu over the pull >= joint_factor (1.5)",
    source="AISI S100 J4.4.2, formula and factor in two transcriptions; 14 CFR 23.303 (from memory)",
    trust="M-high",
    mend="A larger washer or a doubler on the far side, a thicker doubler, or rows of bolts further apart.",
    limit_key="joint_factor",
)

RULES = (BOLT_STRENGTH, BOLT_BEARING, BOLT_PULL_THROUGH)
FAR_END = "at the far end"
SAID_OF = {BOLT_STRENGTH: "strength", BOLT_BEARING: "bearing", BOLT_PULL_THROUGH: "pull-through"}


def check_bolt_loads(
    part: str, loads: Sequence[JudgedLoad], bolts: Sequence[JudgedBolt], limits: Limits, low: float = 1.0
) -> Iterator[Finding]:
    """Findings on a bracket's bolts: of each rule the bolt and case nearest its limit.

    ``low`` is by what factor the loads may be below the real ones: 1 as solved, more by hand. What is below
    its limit as computed is a fail, what could be below it within that a warning. Structure-only cases warn
    where something would break: below 1. Raises nothing.
    """
    known = {bolt.hole: bolt for bolt in bolts}
    for structure in (False, True):
        uses = [
            use_of(known[force.hole], force, load.what)
            for load in loads
            if (load.kind == "structure") == structure
            for force in load.forces
            if force.hole in known
        ]
        for rule, key in (
            (BOLT_STRENGTH, "strength"),
            (BOLT_BEARING, "bearing"),
            (BOLT_PULL_THROUGH, "pull_through"),
        ):
            yield from _judged(part, rule, key, uses, known, limits.joint_factor, low, structure)
    yield from _unknown(part, bolts)


def _judged(
    part: str,
    rule: Rule,
    key: str,
    uses: Sequence[BoltUse],
    known: Mapping[str, JudgedBolt],
    least: float,
    low: float,
    structure: bool,
) -> Iterator[Finding]:
    """The use nearest its limit by one rule, where that is not sure to hold."""
    rows = [(float(value), use) for use in uses if (value := getattr(use, key)) is not None]
    if not rows:
        return
    value, use = min(rows, key=lambda row: row[0])
    if structure:
        least = min(least, 1.0)
    sure = least * low
    by_hand = low > 1
    if value >= sure - SAME:
        return
    bolt = known[use.hole]
    found, on = _words(rule, use, bolt)
    yield finding(
        rule,
        Severity.FAIL if value < least - SAME and not structure else Severity.WARN,
        f"part:{part} {use.hole.replace('_', ' ')}",
        value=value,
        limit=sure,
        unit="",
        found=f"factor {fixed(value, 2)}: {found}, {use.case}{', by hand' if by_hand else ''}",
        wanted=f"{least:g} on {on}" + (f", {sure:g} to be sure by hand" if sure > least else ""),
        advice=f"{rule.mend[0].lower()}{rule.mend[1:].rstrip('.')}"
        + ("; `pedalplate stiffness` knows better" if by_hand else ""),
        proposals=bolt.proposals if rule is BOLT_PULL_THROUGH and bolt.pulls_far(use) else (),
    )


def _words(rule: Rule, use: BoltUse, bolt: JudgedBolt) -> tuple[str, str]:
    """What was found and on what it is judged."""
    if rule is BOLT_STRENGTH:
        return (
            f"{use.pull_n:.0f} N pull and {use.shear_n:.0f} N shear on {use.words} ({bolt.grade})",
            f"its proof load of {bolt.proof_n or 0.0:.0f} N",
        )
    if rule is BOLT_BEARING:
        return (
            f"{use.shear_n:.0f} N shear on {use.words}",
            f"the {use.borne_n:.0f} N {use.rim} bears",
        )
    if use.held_n <= SAME:
        return (
            f"{use.words} holds nothing: its hole in {use.sheet} is as wide as what counts of head "
            "and washer",
            "a head, nut or washer wider than the hole",
        )
    return (
        f"{use.pull_n:.0f} N pull {use.words} through {use.sheet}",
        f"the {use.held_n:.0f} N it holds",
    )


def _unknown(part: str, bolts: Sequence[JudgedBolt]) -> Iterator[Finding]:
    """One note for each reason why bolts are not judged, naming what is not."""
    reasons: dict[tuple[str, str], list[str]] = {}
    for bolt in bolts:
        for key in _gaps(bolt):
            reasons.setdefault(key, []).append(bolt.hole.replace("_", " "))
    for (what, reason), holes in reasons.items():
        rule = next(r for r, words in SAID_OF.items() if what.startswith(words))
        yield finding(
            rule,
            Severity.NOTE,
            f"part:{part} {holes[0]}",
            found=f"{what} not judged at {', '.join(holes)}: {reason}",
            wanted="a fastener and a sheet of the tables",
            advice="judge the hole of what is bolted on by itself: it is not drawn here"
            if what.endswith(FAR_END)
            else "take the maker's own figure, or name the metal or the class",
        )


def _gaps(bolt: JudgedBolt) -> Iterator[tuple[str, str]]:
    """What of a bolt is not judged, and why: each sheet and class without a figure."""
    strength, bearing, through = SAID_OF[BOLT_STRENGTH], SAID_OF[BOLT_BEARING], SAID_OF[BOLT_PULL_THROUGH]
    if bolt.unknown:
        yield through, bolt.unknown
    if bolt.proof_n is None:
        yield strength, f"the class of {bolt.words} is not known" if bolt.thread else "no bolt is known there"
    far = () if bolt.unknown else bolt.pulled
    for sheet in dict.fromkeys((bolt.own, *bolt.bears, *far)):
        if sheet.tensile_mpa is not None:
            continue
        borne = bearing if sheet == bolt.own or sheet in bolt.bears else ""
        held = through if sheet == bolt.own or sheet in far else ""
        yield " and ".join(w for w in (borne, held) if w), f"the metal of {sheet.words} is not known"
    if bolt.thread and bolt.near.head_mm <= 0:
        yield through, f"what bears on {bolt.own.words} is not in the tables"
    if bolt.thread and not bolt.unknown and not bolt.pulled:
        yield f"{bearing} and {through} {FAR_END}", "what the part is bolted to is no sheet of the job"
    if bolt.thread and far and bolt.far.head_mm <= 0:
        yield through, f"what bears on {far[0].words} is not in the tables"
