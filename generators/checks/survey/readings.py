"""What is wrong with a set of readings, gravest first."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generators.checks.rule import Rule, finding, listed, mm, ordered
from generators.checks.survey.rules_survey import (
    HANDED_AGAINST,
    HOLE_UNSURE,
    READING_GROSS,
    READING_UNCHECKED,
    READINGS_DISAGREE,
    READINGS_MIRROR,
    READINGS_ON_LINE,
    READINGS_SCALE,
    READINGS_TOO_FEW,
    READINGS_TWO_PLACES,
    READINGS_UNCONNECTED,
)
from generators.measure.quality import UNCHECKED
from generators.measure.statistics import W_LIMIT
from generators.measure.survey import Survey
from generators.model.findings import Finding, Severity

CHANCE = 0.001
UNSURE_MM = 1.5
SHOWN = 6


def check_survey(survey: Survey) -> list[Finding]:
    """Findings of one survey. A fail means that the places shown are not to be used."""
    found = [*_freedom(survey), *_twins(survey), *_errors(survey)]
    if not survey.adjusted.free.shape[1]:
        found += _accuracy(survey)
    return ordered(found)


def _where(survey: Survey, what: str) -> str:
    return f"panel:{survey.readings.measure.panel} {what}"


def _say(
    survey: Survey, rule: Rule, severity: Severity, what: str, value: str, limit: str, advice: str
) -> Finding:
    return finding(rule, severity, _where(survey, what), value=value, limit=limit, advice=advice)


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
            f"{names[i]} at u {points[i][0]:.1f} v {points[i][1]:.1f} "
            f"or u {other[i][0]:.1f} v {other[i][1]:.1f}"
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
        value = f"{abs(worst.error_mm):.1f} mm too {too} (w {abs(survey.checks[worst.row].w):.1f})"
        if others:
            value += f"; or it is {listed(rows[s.row].label for s in others[:SHOWN])}"
        yield _say(
            survey,
            READING_GROSS,
            Severity.FAIL,
            f"reading {row.label}",
            value,
            f"w {W_LIMIT}",
            f"take it again: it says {row.value_mm:.1f} mm, "
            f"the others want {row.value_mm - worst.error_mm:.1f} mm",
        )
    if survey.freedom > 0 and survey.chance < CHANCE and not survey.suspects:
        yield _say(
            survey,
            READINGS_DISAGREE,
            Severity.FAIL,
            "all readings",
            f"residuals {math.sqrt(survey.adjusted.cost / survey.freedom):.1f} times what was stated",
            f"a chance of {CHANCE:.1%} or more",
            "take the readings with the largest w again, or state larger uncertainties",
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
            )
