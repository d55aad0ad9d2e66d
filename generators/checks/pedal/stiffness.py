"""The rules of a loaded bracket, on the quick answer or on finite elements."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from generators.checks.rule import SAME_MM, Rule, finding
from generators.model.changes import Proposal
from generators.model.findings import Finding, Severity
from generators.model.limits import Limits
from generators.model.words import LoadCase
from generators.strength.plates import MOVED_RANGE, STRESS_RANGE

if TYPE_CHECKING:
    from generators.strength.result import BracketResult

DEFLECTION_KINDS: tuple[LoadCase, ...] = ("normal", "force")
YIELD_KINDS: tuple[LoadCase, ...] = ("normal", "limit", "side", "structure", "force")
SAME_FACTOR = 1e-9

BRACKET_DEFLECTION = Rule(
    code="bracket-deflection",
    title="Bracket gives too much",
    meaning=(
        "At everyday effort the hanger lets the pad move by more than the limit with the piston held still, "
        "or a loaded hole moves by more than its limit. This movement neither releases the clutch nor "
        "presses the brake. By `check` a quick answer: thin plates joined at their bends, by Ritz's method "
        f"(Timoshenko and Woinowsky-Krieger), judged as {MOVED_RANGE:g} times what it says, so that nothing "
        "passes that the solver would not pass; by `stiffness` and `make --stiffness` finite elements on the "
        "solid: what moves too far by them is a fail, what may with their stated error on top a warning. "
        "Nothing published gives a limit: ours."
    ),
    formula="movement at the pad <= pad_flex (3 mm); at a loaded hole <= hole_flex (1 mm)",
    source="limits ours; folded plates (Timoshenko and Woinowsky-Krieger), or linear elasticity",
    trust="CP",
    mend="Take the stiffest cheap change `pedalplate stiffness` ranks, or thicker sheet.",
    limit_key="pad_flex_mm",
)

BRACKET_YIELD = Rule(
    code="bracket-yield",
    title="Bracket yields at the limit load",
    meaning=(
        "The yield stress of the material table over the largest von Mises stress of every case: everyday "
        "effort, limit load, from the side, away from held bolts and sharp inner corners. Past yield the "
        "bracket stays bent, so by finite elements this is a fail. Everyday effort comes a million times, so "
        "it has a factor of its own, everyday_factor. `check` has a quick answer (thin plates), whose stress "
        f"was never below finite elements' by more than a factor of {STRESS_RANGE:g} on hangers and "
        "small brackets drawn at random: what is below the limit by it is a fail, what could be below it "
        "within that factor a warning, until `stiffness` or `make --stiffness` has shown that it holds. What "
        "holds there only by less than the peak may still rise on finer meshes, or by a peak of which that "
        "is not known, is a warning too. A brake's 2000 N (structure only) warns: its rule asks that nothing "
        "breaks. 14 CFR 23.305(a) asks for no harmful lasting "
        "deformation at the limit load (from memory, sure); the brake's 2000 N is Formula SAE 2019 T.5.1.10b "
        "(R1)."
    ),
    formula="yield / peak stress >= yield_factor (1); at everyday effort >= everyday_factor (1.5, ours)",
    source="14 CFR 23.305(a)",
    trust="M-high",
    mend="Thicker sheet, washers under the bolts, bolts nearer the cheeks, a doubler, or stronger material.",
    limit_key="yield_factor",
)

BRACKET_GAUGE = Rule(
    code="bracket-gauge",
    title="Gauge still to be chosen, or none stiff enough",
    meaning=(
        'The part asks for gauge = "stiff enough": the thinnest sheet on the rack of its material that keeps '
        "its movement under the limit and its stress below yield by the factor each case asks for, computed "
        "by finite elements. Until that is done its files are drawn "
        "with the thickness given; where no sheet on the rack is stiff enough, with the thickest tried."
    ),
    formula="movement at the pad of the chosen sheet <= pad_flex, and no case below its factor on yield",
    source="linear elasticity on the solid; limit ours",
    trust="CP",
    mend="Run `pedalplate make SPEC --stiffness`, or put thicker sheet on the rack in shop.toml.",
)

BRACKET_UNSETTLED = Rule(
    code="bracket-unsettled",
    title="Nobody has shown that a loaded bracket holds",
    meaning=(
        "A part is released when every case that may come is shown to keep its movement and its factor on "
        "yield, and its bolts theirs: by the quick answer with its whole range on top, or by finite elements "
        "with their stated error. `make` and `nest` solve by finite elements what the quick answer leaves "
        "open, where the solver is installed, and keep what it gave in stiffness.json. What is still open "
        "then is a fail: nothing says that the part breaks, and nothing that it holds. Loads that are "
        "structure only hold nothing back."
    ),
    formula="sure factor >= limit and sure movement <= limit in every case but structure only",
    source="the rules bracket-yield, bracket-deflection, bolt-strength, bolt-bearing, bolt-pull-through",
    trust="CP",
    mend="Install the solver (pip install 'pedalplate[stiffness]') and make again; or thicker sheet, "
    "stronger metal, bolts further apart, until the quick answer is sure.",
)

RULES = (
    BRACKET_DEFLECTION,
    BRACKET_YIELD,
    BRACKET_GAUGE,
    BRACKET_UNSETTLED,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedCase:
    """One case as a rule sees it: movement (mm), peak stress and yield stress (MPa)."""

    name: str
    kind: LoadCase
    what: str
    moved_mm: float
    stress_mpa: float
    yield_mpa: float


def check_estimate(part: str, cases: Sequence[JudgedCase], limits: Limits) -> Iterator[Finding]:
    """Findings on the quick answer: what it passes holds even where it errs by its whole range,
    ``MOVED_RANGE`` and ``STRESS_RANGE``; a fail is what yields by it as it is."""
    for case in cases:
        yield from _deflection(
            part,
            replace(case, moved_mm=MOVED_RANGE * case.moved_mm),
            limits,
            f"at most by the quick answer ({case.moved_mm:.2f} times {MOVED_RANGE:g})",
            "run `pedalplate stiffness` to know better",
        )
        least = least_factor(case.kind, limits)
        factor = case.yield_mpa / case.stress_mpa if case.stress_mpa > 0 else math.inf
        severity = yielding(case.kind, factor / STRESS_RANGE, factor, least)
        if severity:
            yield finding(
                BRACKET_YIELD,
                severity,
                f"part:{part} case {case.name}",
                value=factor,
                limit=STRESS_RANGE * least,
                unit="",
                found=f"factor {factor:.2f} by the quick answer ({case.stress_mpa:.0f} MPa), {case.what}",
                wanted=f"{least:g}, to be sure {STRESS_RANGE * least:g} by the quick answer",
                advice="run `pedalplate stiffness` to know; else thicker sheet or stronger material",
            )


def check_unsettled(part: str, open_words: str, proposals: Sequence[Proposal] = ()) -> Finding:
    """What holds back a part of which nobody has shown that it holds; ``open_words`` say what is open."""
    return finding(
        BRACKET_UNSETTLED,
        Severity.FAIL,
        f"part:{part}",
        found=open_words,
        wanted="a factor and a movement that are sure",
        advice="install the finite-element solver and make again, or make the part stronger",
        proposals=proposals,
    )


def check_unknown(part: str) -> Finding:
    """What is said of a loaded part the quick answer cannot judge."""
    return finding(
        BRACKET_YIELD,
        Severity.WARN,
        f"part:{part}",
        found="no quick answer",
        wanted="a factor on yield",
        advice="run `pedalplate stiffness`",
    )


def check_results(results: Sequence[BracketResult], limits: Limits) -> Iterator[Finding]:
    """Findings on what finite elements gave."""
    for result in results:
        best = result.changes[0].text if result.changes else "thicker sheet"
        for solved in result.cases:
            case = JudgedCase(
                name=solved.name,
                kind=solved.kind,
                what=solved.what,
                moved_mm=solved.moved_mm,
                stress_mpa=solved.peak_mpa,
                yield_mpa=result.yield_mpa,
            )
            moved, error = f"{solved.moved_mm:.2f}", f"{100 * solved.error:.1f} %"
            how = f"at most by finite elements ({moved} and an error of {error})"
            yield from _deflection(
                result.part,
                replace(case, moved_mm=solved.most_moved_mm),
                limits,
                how,
                f"most per gram: {best}",
                sure_mm=solved.moved_mm,
            )
            least = least_factor(case.kind, limits)
            severity = yielding(case.kind, solved.least_factor, solved.factor, least)
            unsure = f", which finer meshes may raise by {solved.more_words}"
            if severity:
                yield finding(
                    BRACKET_YIELD,
                    severity,
                    f"part:{result.part} case {case.name}",
                    value=solved.factor,
                    limit=least,
                    unit="",
                    found=f"factor {solved.factor:.2f} ({solved.peak_mpa:.0f} MPa"
                    f"{unsure if solved.factor >= least - SAME_FACTOR else ''}), {case.what}",
                    wanted=f"{least:g}",
                    advice=f"thicker sheet or stronger material; stiffest per gram: {best}",
                )
        if result.gauges and not any(g.enough for g in result.gauges):
            yield finding(
                BRACKET_GAUGE,
                Severity.WARN,
                f"part:{result.part}",
                value=result.gauges[-1].moved_mm,
                found=f"{result.gauges[-1].moved_mm:.2f} mm and factor {result.gauges[-1].factor:.2f} with "
                f"{result.gauges[-1].thickness_mm:g} mm sheet",
                limit=result.limit_mm,
                advice="put thicker sheet on the rack, or change the part",
            )


def least_factor(kind: LoadCase, limits: Limits) -> float:
    """The least factor on yield of a kind of case: a larger one where the load comes every day."""
    return max(limits.everyday_factor, limits.yield_factor) if kind == "normal" else limits.yield_factor


def holds(kind: LoadCase, factor: float, limits: Limits) -> bool:
    """True when a case does not fail by yield, as the rule has it: the structural figure only warns."""
    return yielding(kind, factor, factor, least_factor(kind, limits)) is not Severity.FAIL


def check_gauge_waiting(part: str, thickness_mm: float) -> Finding:
    """The note on a part whose gauge is not chosen yet."""
    return finding(
        BRACKET_GAUGE,
        Severity.NOTE,
        f"part:{part}",
        value=thickness_mm,
        found=f"drawn with the {thickness_mm:g} mm given",
        wanted="the thinnest sheet that is stiff enough",
        advice="run `pedalplate make SPEC --stiffness` to choose it",
    )


def yielding(kind: LoadCase, at_worst: float, likely: float, least: float) -> Severity | None:
    """How grave a factor on yield is: ``at_worst`` at the bad end of its range, ``likely`` as it is."""
    if kind not in YIELD_KINDS or at_worst >= least - SAME_FACTOR:
        return None
    sure = likely < least - SAME_FACTOR
    return Severity.FAIL if sure and kind != "structure" else Severity.WARN


def _deflection(
    part: str, case: JudgedCase, limits: Limits, how: str, advice: str, sure_mm: float = 0.0
) -> Iterator[Finding]:
    """A movement past its limit: a fail where it is so by ``sure_mm``, a warning where it may be."""
    limit = limits.hole_flex_mm if case.kind == "force" else limits.pad_flex_mm
    if case.kind in DEFLECTION_KINDS and case.moved_mm > limit + SAME_MM:
        yield finding(
            BRACKET_DEFLECTION,
            Severity.FAIL if sure_mm > limit + SAME_MM else Severity.WARN,
            f"part:{part} case {case.name}",
            value=case.moved_mm,
            found=f"{case.moved_mm:.2f} mm {how}, {case.what}",
            limit=limit,
            advice=advice,
        )
