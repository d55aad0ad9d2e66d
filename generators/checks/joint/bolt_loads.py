"""Rules on what a loaded bracket's bolts carry: the bolt itself, holes it bears on, sheets it pulls on."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from generators.checks.rule import Rule, finding
from generators.model.changes import Proposal
from generators.model.findings import Finding, Severity
from generators.model.limits import Limits
from generators.model.words import LoadCase
from generators.strength.joint.bearing import (
    bearing_n,
    bolt_load_n,
    prying_n,
    pull_over_mm,
    pull_through_n,
    soft_pull_through_n,
)
from generators.strength.joint.loads import HAND_RANGE, SOFT_HAND_RANGE, BoltForce

BOLT_STRENGTH = Rule(
    code="bolt-strength",
    title="A bolt of a loaded bracket carries too much",
    meaning=(
        "Pull and shear of the bolt that carries most, with what the bent sheet pries, against the proof "
        "load of its class, by the factor asked for. By `stiffness` from the finite elements' reactions at "
        "each hole; by `check` the most of the elastic bolt group, tilting about the foot's edges and each "
        "half of the part on its own column of bolts; that was never below finite elements by more than "
        f"{HAND_RANGE:g} ({SOFT_HAND_RANGE:g} on a panel that gives) on hangers drawn at random, so what "
        "could be below the limit within that warns. Preload and slip are left out; a brake's 2000 N "
        "(structure only) warns below 1, where something breaks."
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
        "6 % under dw t fu / 1.25 of EN 1993-1-3 table 8.2. Thicker: punching, EN 1993-1-8 table 3.4. "
        "Aluminium: 6.1 t fu sqrt(dw/22) / 1.25, EN 1999-1-4 8.3.3.1, from memory and unsure, and never "
        "more than steel's form. A sheet thinner than 0.5 mm lies outside all of them."
    ),
    formula="0.50 x 1.5 t dw Fu over the pull >= joint_factor (1.5)",
    source="AISI S100 J4.4.2, formula and factor in two transcriptions; 14 CFR 23.303 (from memory)",
    trust="M-high",
    mend="A larger washer or a doubler on the far side, a thicker doubler, or rows of bolts further apart.",
    limit_key="joint_factor",
)

RULES = (BOLT_STRENGTH, BOLT_BEARING, BOLT_PULL_THROUGH)
SAME = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A sheet a bolt goes through. ``tensile_mpa`` is None where nobody knows its metal; ``edge_mm`` from the
    hole's middle to the nearest edge."""

    words: str
    thickness_mm: float
    tensile_mpa: float | None
    soft: bool
    hole_mm: float
    edge_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Under:
    """What bears on a sheet: head or nut ``head_mm`` wide, a washer's thickness and diameter (0 for none)."""

    head_mm: float
    washer_mm: float = 0.0
    outside_mm: float = 0.0

    def diameter_mm(self, sheet_mm: float) -> float:
        """What counts of it on a sheet."""
        return pull_over_mm(self.head_mm, self.washer_mm, sheet_mm, self.outside_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedBolt:
    """One bolt with what it goes through.

    ``proof_n`` is None for a bolt of no known class. ``own`` is the part's sheet, ``pulled`` what the far
    end pulls on: panel and doublers beyond it; ``bears`` what resists it sideways under the part. ``unknown``
    says why the far end is not judged. ``lever_mm`` is that of prying.
    """

    hole: str
    words: str
    thread: str
    bolt_mm: float
    proof_n: float | None
    grade: str
    lever_mm: float
    own: Sheet
    near: Under
    far: Under
    pulled: tuple[Sheet, ...] = ()
    bears: tuple[Sheet, ...] = ()
    unknown: str = ""
    proposals: tuple[Proposal, ...] = ()

    def pulls_far(self, use: BoltUse) -> bool:
        """True where it is the far end that gives first: what spreads the pull there helps."""
        return use.sheet != self.own.words


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedLoad:
    """A load case with what each bolt carries in it."""

    name: str
    kind: LoadCase
    what: str
    forces: tuple[BoltForce, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltUse:
    """How a bolt is used in one case: what it carries, N, and each factor; None where one is not judged."""

    hole: str
    words: str
    case: str
    pull_n: float
    shear_n: float
    strength: float | None
    bearing: float | None
    pull_through: float | None
    held_n: float
    sheet: str

    @property
    def least(self) -> float:
        """The least of its factors."""
        return min(
            (f for f in (self.strength, self.bearing, self.pull_through) if f is not None), default=math.inf
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class JointSheet:
    """What the report says of a bracket's bolts: of each the case nearest its limits.

    ``low`` is by what factor the loads may be below the real ones: 1 as solved, more by hand.
    ``structure`` is the same of a brake's structure-only case, empty without one. ``give`` says how far the
    panel gives, where that is computed.
    """

    part: str
    title: str
    low: float
    limit: float
    uses: tuple[BoltUse, ...]
    structure: tuple[BoltUse, ...] = ()
    give: str = ""


def worst_uses(loads: Sequence[JudgedLoad], bolts: Sequence[JudgedBolt]) -> tuple[BoltUse, ...]:
    """Of each bolt the use with its least factor, in the bolts' order."""
    out = []
    for bolt in bolts:
        uses = [
            use_of(bolt, force, load.what)
            for load in loads
            for force in load.forces
            if force.hole == bolt.hole
        ]
        if uses:
            out.append(min(uses, key=lambda use: use.least))
    return tuple(out)


def holds_n(sheets: Sequence[Sheet], under: Under) -> float | None:
    """What sheets together hold of a head pulled against them, N; None where one's metal is not known."""
    total = 0.0
    for sheet in sheets:
        if sheet.tensile_mpa is None:
            return None
        dw = under.diameter_mm(sheet.thickness_mm)
        if sheet.soft:
            total += soft_pull_through_n(sheet.thickness_mm, dw, sheet.tensile_mpa)
        else:
            total += pull_through_n(sheet.thickness_mm, dw, sheet.tensile_mpa)
    return total if sheets else None


def bears_n(sheets: Sequence[Sheet], bolt_mm: float) -> float | None:
    """What sheets round one hole bear together, N; None where one's metal is not known."""
    if not sheets or any(s.tensile_mpa is None for s in sheets):
        return None
    return sum(bearing_n(bolt_mm, s.thickness_mm, s.tensile_mpa or 0.0, s.edge_mm, s.hole_mm) for s in sheets)


def use_of(bolt: JudgedBolt, force: BoltForce, case: str) -> BoltUse:
    """Factors of one bolt under one load."""
    pull = max(0.0, force.pull_n + prying_n(force.bend_nmm, bolt.lever_mm))
    shear = force.shear_n
    whole = bolt_load_n(pull, shear)
    sides = [(holds_n([bolt.own], bolt.near), bolt.own.words)]
    if not bolt.unknown:
        sides.append((holds_n(bolt.pulled, bolt.far), " and ".join(s.words for s in bolt.pulled)))
    known = [(held, words) for held, words in sides if held is not None]
    held, sheet = min(known, default=(0.0, ""))
    borne = [
        b for b in (bears_n([bolt.own], bolt.bolt_mm), bears_n(bolt.bears, bolt.bolt_mm)) if b is not None
    ]
    return BoltUse(
        hole=bolt.hole,
        words=bolt.words,
        case=case,
        pull_n=pull,
        shear_n=shear,
        strength=None if bolt.proof_n is None else _factor(bolt.proof_n, whole),
        bearing=_factor(min(borne), shear) if borne else None,
        pull_through=_factor(held, pull) if known else None,
        held_n=held,
        sheet=sheet,
    )


def _factor(bears: float, load: float) -> float:
    return bears / load if load > SAME else math.inf


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
        least, low = min(least, 1.0), 1.0
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
        found=f"factor {value:.2f}: {found}, {use.case}{', by hand' if by_hand else ''}",
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
        return f"{use.shear_n:.0f} N shear on {use.words}", "what the thinner sheet bears"
    return (
        f"{use.pull_n:.0f} N pull {use.words} through {use.sheet}",
        f"the {use.held_n:.0f} N it holds",
    )


def _unknown(part: str, bolts: Sequence[JudgedBolt]) -> Iterator[Finding]:
    """One note for each reason why bolts are not judged at their far end."""
    reasons: dict[str, list[str]] = {}
    for bolt in bolts:
        if bolt.unknown:
            reasons.setdefault(bolt.unknown, []).append(bolt.hole.replace("_", " "))
        elif any(s.tensile_mpa is None for s in bolt.pulled):
            words = f"the metal of {bolt.pulled[0].words} is not known"
            reasons.setdefault(words, []).append(bolt.hole.replace("_", " "))
    for reason, holes in reasons.items():
        yield finding(
            BOLT_PULL_THROUGH,
            Severity.NOTE,
            f"part:{part} {holes[0]}",
            found=f"pull-through not judged at {', '.join(holes)}: {reason}",
            wanted="a fastener and a sheet of the tables",
            advice="take the maker's own figure, or name the metal",
        )
