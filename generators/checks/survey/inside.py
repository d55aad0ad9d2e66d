"""Whether measured holes lie in the panel they were measured on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import shapely

from generators.checks.rule import Rule, finding, listed, mm
from generators.figures import fixed
from generators.measure.quality import UNCHECKED
from generators.measure.survey import Survey
from generators.model.findings import Finding, Severity

READINGS_OUTSIDE = Rule(
    code="readings-outside",
    title="A measured hole would lie outside its panel",
    meaning=(
        "A hole in a sheet has metal all round it, so its rim lies inside the sheet's outline. Where the "
        "places of the readings say otherwise, a reading nothing checks is wrong, a hole was placed on the "
        "wrong side, or nothing ties the holes to the panel. It fails when the centre is outside or the rim "
        "is, beyond what the 95 % ellipse leaves open; it warns when the ellipse could explain it."
    ),
    formula="distance of the centre inside the outline - radius >= 0 (warn), >= -major semi-axis (fail)",
    source="plane geometry; chi-square with 2 degrees of freedom for the ellipse",
    trust="C",
    mend="Take the reading the advice names; check the outline's numbers too.",
)

RULES = (READINGS_OUTSIDE,)


def check_inside(survey: Survey, outline: Sequence[tuple[float, float]]) -> Iterator[Finding]:
    """Findings on holes that are not wholly inside ``outline``, corners in mm. Raises nothing."""
    sheet = shapely.Polygon(outline)
    for k, name in enumerate(survey.problem.names):
        centre = shapely.Point(*survey.points()[k])
        deep = sheet.exterior.distance(centre) * (1.0 if sheet.contains(centre) else -1.0)
        short = float(survey.diameters()[k]) / 2 - deep
        if short <= 0:
            continue
        open_mm = survey.ellipses[k].major_mm
        u, v = survey.points()[k]
        yield finding(
            READINGS_OUTSIDE,
            Severity.FAIL if deep < 0 or short > open_mm else Severity.WARN,
            f"panel:{survey.readings.measure.panel} hole {name}",
            value=-short,
            limit=0.0,
            found=f"at u {fixed(u, 1)} v {fixed(v, 1)}, its rim {mm(short)} beyond the panel's edge",
            wanted="all of it inside the outline",
            advice=_advice(survey, k, name),
        )


def _advice(survey: Survey, k: int, name: str) -> str:
    """What to measure, or to measure again."""
    if survey.closed:
        return (
            f"no edge ties the holes down: measure {name} to two edges of the panel (a [[line]] each), or "
            "say in [frame] where the first hole is"
        )
    bare = [
        row.label
        for row, check in zip(survey.problem.rows, survey.checks, strict=True)
        if k in (row.a, row.b) and check.redundancy < UNCHECKED and not row.label.startswith("diameter")
    ]
    again = (
        f"take again {listed(bare)}, which nothing checks" if bare else f"take the readings of {name} again"
    )
    more = survey.advice
    return f"{again}; then measure {more.label}" if more is not None else again
