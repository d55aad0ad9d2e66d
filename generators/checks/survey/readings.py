"""What is wrong with a set of readings, gravest first."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from generators.checks.rule import Rule, finding, listed, mm, ordered
from generators.checks.survey.inside import check_inside
from generators.figures import fixed
from generators.measure.quality import UNCHECKED
from generators.measure.statistics import W_LIMIT
from generators.measure.survey import Survey
from generators.model.findings import Finding, Severity

CHANCE = 0.001
"""Readings that disagree this much come by chance once in 1000: the level of W. Baarda's test of one reading,
0.1 % (see ``W_LIMIT``), taken for all of them together; ours."""

UNSURE_MM = 1.5
"""A centre less sure than this is not drilled for: half of what a coarse M10 leaves, 3 mm (ISO 273); ours."""

SHOWN = 6


READINGS_UNCONNECTED = Rule(
    code="readings-unconnected",
    title="Groups of holes no reading ties together",
    meaning=(
        "No reading leads from one group of holes to the other, so one can lie anywhere and any way round "
        "beside the other. Two groups of two or more holes need three distances between them."
    ),
    formula="holes are joined by readings; an edge or a known hole joins what is measured from it",
    source="rank of the design matrix",
    trust="C",
    mend="Take distances across: each group to two holes of the other.",
)

READINGS_TOO_FEW = Rule(
    code="readings-too-few",
    title="Readings leave a hole free to move",
    meaning=(
        "A hole or a group can move while every reading stays as it is: a hole with one distance swings on "
        "it, four holes in a ring fold like a gate. Any place shown for it would be made up."
    ),
    formula="rank(design matrix with constraints) = unknown coordinates; its null space is what moves",
    source="rank of the design matrix",
    trust="C",
    mend="Take the reading the advice names.",
)

READINGS_MIRROR = Rule(
    code="readings-mirror",
    title="Readings do not tell left from right",
    meaning=(
        "Distances fit the mirror image of the holes just as well. A template made from the wrong one looks "
        "right and fits only from the other face."
    ),
    formula="mirrored places fit within chi-square 10.83 (1 degree of freedom, 0.1 %)",
    source="congruence of distances under reflection",
    trust="C",
    mend='Add one [[handed]]: hole C is left (or right) of the line from A to B, "seen from" a face.',
)

READINGS_TWO_PLACES = Rule(
    code="readings-two-places",
    title="A hole fits in two places",
    meaning=(
        "A hole tied by two distances lies on either side of the line through the other two holes; a group "
        "that hangs on two holes folds over as a whole. Both places fit the readings."
    ),
    formula="folded places fit within chi-square 10.83 (1 degree of freedom, 0.1 %)",
    source="adjusted again from every fold",
    trust="C",
    mend="Take the reading the advice names, or add a [[handed]] for that hole.",
)

READINGS_ON_LINE = Rule(
    code="readings-on-line",
    title="All holes on one line",
    meaning=(
        "The readings fit with every hole on one straight line. Along it the places are good; across it "
        "distances say almost nothing: an offset h over a length L changes a distance by only h²/2L."
    ),
    formula="fit with all holes on one line within chi-square 10.83 of the best; sagitta h²/2L",
    source="second-order term of a distance",
    trust="C",
    mend="Measure offsets from a straightedge along the row, or distances to an edge or a hole beside it.",
)

READING_GROSS = Rule(
    code="reading-gross-error",
    title="A reading is out by more than chance allows",
    meaning=(
        "One reading disagrees with the others by more than its uncertainty allows: a slip of 10 mm or an "
        "inch, a rim taken for a centre, the wrong hole. Its residual, over the residual's own standard "
        "deviation, is tested; each suspect is then left out and everything adjusted again."
    ),
    formula="|w| = |v| / (sigma·sqrt(r)) <= 3.29, two-sided 0.1 %; error = v / r, r the redundancy",
    source="W. Baarda 1968, A testing procedure for use in geodetic networks",
    trust="M-high",
    mend="Take that reading again; leave it out only when it cannot be repeated and the others agree.",
)

READINGS_DISAGREE = Rule(
    code="readings-disagree",
    title="Readings disagree as a whole",
    meaning=(
        "Taken together the residuals are larger than the stated uncertainties allow, and no single reading "
        "is to blame: several are wrong, or the uncertainties are too small for this work."
    ),
    formula="chi-square of the residuals, probability >= 0.1 %",
    source="global model test, W. Baarda 1968",
    trust="M-high",
    mend="Take the readings with the largest w again; state an honest uncertainty.",
)

READING_UNCHECKED = Rule(
    code="reading-unchecked",
    title="No other reading checks this one",
    meaning=(
        "A slip in such a reading moves the hole and shows nowhere. Its redundancy number is next to nothing."
    ),
    formula="r = 1 - variance of the adjusted reading / variance of the reading < 0.02",
    source="redundancy numbers, W. Baarda 1968",
    trust="M-high",
    mend="Take one more reading to each hole concerned.",
)

READINGS_SCALE = Rule(
    code="readings-scale",
    title="One instrument's readings fit another scale better",
    meaning=(
        "All lengths of one instrument fit better when each is multiplied by the same factor. Nothing is "
        "corrected with it: a scale other than 1 means a print that was not 1:1, a stretched or cut tape, "
        "or inches read as something else."
    ),
    formula="|scale - 1| <= 3.29 sigma of the scale; the scale is one more unknown of the adjustment",
    source="common practice; test level as for a single reading",
    trust="CP",
    mend="Check the instrument against a steel rule; if a print was measured, print it again.",
)

HANDED_AGAINST = Rule(
    code="handed-against",
    title="A hole lies on the other side",
    meaning="A handedness reading contradicts the places that fit the distances.",
    formula="sign of the cross product of the line and the step to the hole",
    source="plane geometry",
    trust="C",
    mend="Look again, and from which face; check the names of the three holes.",
)

HOLE_UNSURE = Rule(
    code="hole-unsure",
    title="A hole is not known well enough to drill to",
    meaning=(
        "The 95 % ellipse of the centre is larger than a fastener's clearance usually forgives. A hand drill "
        "wanders on top of that."
    ),
    formula="major semi-axis of the 95 % ellipse = 2.448 standard deviations <= 1.5 mm",
    source="chi-square with 2 degrees of freedom; limit ours",
    trust="CP",
    mend="Take the reading the advice names.",
)

RULES = (
    READINGS_UNCONNECTED,
    READINGS_TOO_FEW,
    READINGS_MIRROR,
    READINGS_TWO_PLACES,
    READINGS_ON_LINE,
    READING_GROSS,
    READINGS_DISAGREE,
    READING_UNCHECKED,
    READINGS_SCALE,
    HANDED_AGAINST,
    HOLE_UNSURE,
)


def check_survey(survey: Survey) -> list[Finding]:
    """Findings of one survey. A fail means that the places shown are not to be used."""
    found = [*_freedom(survey), *_twins(survey), *_errors(survey)]
    if not survey.adjusted.free.shape[1]:
        found += _accuracy(survey)
        outline = survey.readings.measure.outline
        if outline is not None:
            found += check_inside(survey, outline)
    return ordered(found)


def _where(survey: Survey, what: str) -> str:
    return f"panel:{survey.readings.measure.panel} {what}"


def _say(
    survey: Survey,
    rule: Rule,
    severity: Severity,
    what: str,
    found: str,
    wanted: str,
    advice: str,
    **numbers: Any,
) -> Finding:
    where = _where(survey, what)
    return finding(rule, severity, where, found=found, wanted=wanted, advice=advice, **numbers)


def _next(survey: Survey, otherwise: str) -> str:
    advice = survey.advice
    return f"measure {advice.label}: {advice.why}" if advice is not None else otherwise


def _freedom(survey: Survey) -> Iterator[Finding]:
    names = survey.problem.names
    if len(survey.groups) > 1:
        sets = [" ".join(names[i] for i in group) for group in survey.groups]
        yield _say(
            survey,
            READINGS_UNCONNECTED,
            Severity.FAIL,
            f"holes {listed(sets[1:])}",
            f"{len(sets)} groups: {'; '.join(sets[:SHOWN])}",
            "one group",
            _next(survey, "take distances from each group to two holes of the other"),
            value=len(sets),
            limit=1,
            unit="",
        )
    split = {i for group in survey.groups[1:] for i in group} if len(survey.groups) > 1 else set()
    loose = [(i, way) for i, way in survey.loose if i not in split]
    if loose and not split and survey.on_line is None:
        moves = [
            f"{names[i]} can move {'any way' if way is None else f'along {math.degrees(way):.0f} deg'}"
            for i, way in loose
        ]
        yield _say(
            survey,
            READINGS_TOO_FEW,
            Severity.FAIL,
            f"holes {listed(names[i] for i, _ in loose)}",
            "; ".join(moves[:SHOWN]),
            "no hole can move",
            _next(survey, "take more distances to these holes, or to an edge"),
        )
    if survey.on_line is not None:
        yield _say(
            survey,
            READINGS_ON_LINE,
            Severity.FAIL,
            f"holes {listed(names[i] for i in survey.on_line.holes)}",
            f"across the line each may be up to about {survey.on_line.across_mm:.0f} mm off",
            "readings that tell across the line",
            "measure to an edge, or to a hole beside the row",
            value=survey.on_line.across_mm,
        )


def _twins(survey: Survey) -> Iterator[Finding]:
    names, points = survey.problem.names, survey.points()
    for k in survey.handed_against:
        h = survey.readings.handed[k]
        yield _say(
            survey,
            HANDED_AGAINST,
            Severity.FAIL,
            f"hole {h.hole}",
            f"read {h.side} of {h.from_} to {h.to} from the {h.seen_from}; the distances say the other side",
            "the side read",
            "look again from that face, and check the three names",
        )
    if survey.on_line is not None:
        return
    for twin in survey.twins:
        if twin.mirror:
            trio = [*survey.frame, *(n for n in names if n not in survey.frame)][:3]
            yield _say(
                survey,
                READINGS_MIRROR,
                Severity.FAIL,
                "all holes",
                "the mirror image fits as well",
                "one handedness reading",
                f"say whether {trio[-1]} is left or right of the line from {trio[0]} to {trio[1]}",
            )
            continue
        other = twin.adjusted.points()
        places = [
            f"{names[i]} at u {fixed(points[i][0], 1)} v {fixed(points[i][1], 1)} "
            f"or u {fixed(other[i][0], 1)} v {fixed(other[i][1], 1)}"
            for i in twin.moved
        ]
        yield _say(
            survey,
            READINGS_TWO_PLACES,
            Severity.FAIL,
            f"holes {listed(names[i] for i in twin.moved)}",
            "; ".join(places[:SHOWN]),
            "one place",
            _next(survey, "say with a [[handed]] on which side it lies"),
        )


def _errors(survey: Survey) -> Iterator[Finding]:
    rows = survey.problem.rows
    scale = max(survey.scales, key=lambda s: abs(s.test), default=None)
    wants = scale is not None and abs(scale.test) > W_LIMIT
    if survey.suspects and survey.worst is not None:
        worst = survey.suspects[0]
        others = survey.suspects[1:]
        row = rows[worst.row]
        too = "long" if worst.error_mm > 0 else "short"
        value = f"{abs(worst.error_mm):.1f} mm too {too} (w {fixed(abs(survey.checks[worst.row].w), 1)})"
        if others:
            value += f"; or it is {listed(rows[s.row].label for s in others[:SHOWN])}"
        yield _say(
            survey,
            READING_GROSS,
            Severity.FAIL,
            f"reading {row.label}",
            value,
            f"w {W_LIMIT}",
            f"take it again: it says {fixed(row.value_mm, 1)} mm, "
            f"the others want {row.value_mm - worst.error_mm:.1f} mm",
            value=abs(survey.checks[worst.row].w),
            limit=W_LIMIT,
            unit="",
        )
    if survey.freedom > 0 and survey.chance < CHANCE and not survey.suspects:
        yield _say(
            survey,
            READINGS_DISAGREE,
            Severity.FAIL,
            "all readings",
            f"residuals {fixed(math.sqrt(survey.adjusted.cost / survey.freedom), 1)} times what was stated",
            f"a chance of {CHANCE:.1%} or more",
            "take the readings with the largest w again, or state larger uncertainties",
            value=survey.chance,
            limit=CHANCE,
            unit="",
        )
    if wants and scale is not None:
        yield _say(
            survey,
            READINGS_SCALE,
            Severity.FAIL,
            f"readings by {scale.instrument}",
            f"fit best with a scale of {scale.scale:.4f} ± {scale.sigma:.4f}",
            "1 within 3.29 standard uncertainties",
            "find out why before using any of them: a wrong print or tape",
            value=scale.scale,
            limit=1.0,
            unit="",
        )


def _accuracy(survey: Survey) -> Iterator[Finding]:
    bare = [
        survey.problem.rows[k].label
        for k, c in enumerate(survey.checks)
        if c.redundancy < UNCHECKED and not survey.problem.rows[k].label.startswith("diameter")
    ]
    if bare:
        more = f" and {len(bare) - SHOWN} more" if len(bare) > SHOWN else ""
        yield _say(
            survey,
            READING_UNCHECKED,
            Severity.NOTE,
            f"readings {listed(bare[:SHOWN])}{more}",
            "a slip would not show",
            f"redundancy {UNCHECKED}",
            _next(survey, "take one more reading to these holes"),
        )
    for name, ellipse in zip(survey.problem.names, survey.ellipses, strict=True):
        if ellipse.major_mm > UNSURE_MM:
            yield _say(
                survey,
                HOLE_UNSURE,
                Severity.WARN,
                f"hole {name}",
                f"95 % within {mm(ellipse.major_mm)} along {math.degrees(ellipse.angle_rad):.0f} deg",
                mm(UNSURE_MM),
                _next(survey, "measure it from more holes"),
                value=ellipse.major_mm,
                limit=UNSURE_MM,
            )
