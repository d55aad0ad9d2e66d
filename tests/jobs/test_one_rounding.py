"""One figure, one rounding: what the terminal, a block to paste and a finding print of the same record agrees."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from jobs.printed_figures import Figure, misprints, occurrences, pedal_figures, pedal_lines

from generators.checks.rule import Rule, finding
from generators.cli.commands import asdrilled, measure, size
from generators.figures import fixed, format_short
from generators.jobs.asdrilled.weigh import as_drilled
from generators.jobs.measure.files import overlay_layout
from generators.jobs.measure.survey import measure as measured
from generators.measure.block import existing_block
from generators.model.findings import Finding, Severity
from generators.solve.job import prepare

SPECS = Path(__file__).parents[2] / "specs"
RULE = Rule(code="c", title="t", meaning="m", formula="f", source="s", trust="C", mend="m")


def said(findings: tuple[Finding, ...]) -> list[str]:
    return [f"{f.where}: {f.found}; limit {f.wanted}" for f in findings]


# ISO 80000-1 annex B, rule B (to the greater magnitude), its own examples, from memory, sure; then drills and sheets
# in inches, halves that binary numbers miss
@pytest.mark.parametrize(
    ("value", "places", "text"),
    [
        (12.25, 1, "12.3"),
        (12.35, 1, "12.4"),
        (12.223, 1, "12.2"),
        (12.275, 1, "12.3"),
        (-12.25, 1, "-12.3"),
        (3.175, 2, "3.18"),
        (3.1749999999, 2, "3.18"),
        (9.525, 2, "9.53"),
        (7.9375, 2, "7.94"),
        (-0.4449, 2, "-0.44"),
        (-0.001, 2, "0.00"),
    ],
)
def test_the_one_rounding(value: float, places: int, text: str) -> None:
    assert fixed(value, places) == text
    assert format_short(value, places=places) == f"{text.rstrip('0').rstrip('.') if '.' in text else text} mm"


def test_what_is_just_short_never_reads_as_enough() -> None:
    def texts(value: float, limit: float) -> tuple[str, str]:
        made = finding(RULE, Severity.FAIL, "here", value=value, limit=limit, advice="a")
        return made.found, made.wanted

    assert texts(7.99, 8.0) == ("7.99 mm", "8.00 mm")
    assert texts(7.996, 8.0) == ("7.996 mm", "8.000 mm")
    assert texts(7.99961, 8.0) == ("7.9996 mm", "8.0000 mm")
    words = finding(
        RULE,
        Severity.FAIL,
        "h",
        value=2.004,
        limit=2.0,
        found="2.00 mm over it",
        wanted="2.00 mm",
        advice="a",
    )
    assert (words.found, words.wanted) == ("2.004 mm over it", "2.000 mm")


def test_a_part_laid_on_drilled_holes() -> None:
    """Clearance left, sizes and places of each hole: in the table and in its finding."""
    answer = as_drilled(SPECS / "wrenfield_van.toml", SPECS / "wrenfield_hanger_readings.toml")
    figures = [Figure("", float(answer.fit.worst_mm))]
    for joint, left, off in zip(answer.joints, answer.fit.left_mm, answer.fit.off_mm, strict=True):
        sizes = (joint.shank_mm, joint.part_dia_mm, joint.panel_dia_mm, joint.clearance_mm)
        figures += [Figure(joint.name, float(x)) for x in (left, math.hypot(*off), *sizes)]
    lines = [*asdrilled.screen(answer), *said(answer.findings)]
    # lengths to a tenth are of another thing: how far a hole is to be filed
    lines = [line for line in lines if "lengthen" not in line]
    assert misprints(lines, figures) == []
    table, told = (
        {f.value for _, _, f, _ in occurrences(part, figures)}
        for part in (list(asdrilled.screen(answer)), said(answer.findings))
    )
    # three holes are short by one length, a fourth by another
    assert len(table & told) >= 2


def test_measured_holes() -> None:
    """Places and ellipses: in the table, in findings, on the overlay and in the block for the spec."""
    found = measured(SPECS / "wrenfield_readings.toml")
    figures, holes = [], found.file.readings.hole
    for k, hole in enumerate(holes):
        e, (u, v) = found.survey.ellipses[k], found.survey.points()[k]
        sizes = (e.major_mm, e.minor_mm, u, v, found.survey.diameters()[k])
        figures += [Figure(hole.name, float(x)) for x in sizes]
    blocks = [block.replace("\n", " ") for block in existing_block(found.survey).split("\n\n")]
    overlay = [f"{h.name}: {h.position_note}" for h in overlay_layout(found).holes]
    # of readings, a size as it was read stands beside the size found
    screen = [
        line
        for line in measure.screen(found)
        if not any(w in line for w in ("edges", "diameter of", "centres"))
    ]
    for lines, least in ((screen, 5), (blocks, 5), (overlay, 1)):
        assert len(list(occurrences(lines, figures))) >= least * len(holes)
        assert misprints(lines, figures) == []
    unsure = said(found.findings)
    assert len(list(occurrences(unsure, figures))) == 1
    assert misprints(unsure, figures) == []


@pytest.mark.parametrize("name", ["wrenfield_van", "tarn_special"])
def test_pedals_on_the_terminal(name: str) -> None:
    job = prepare(SPECS / f"{name}.toml")
    for answer in job.pedals:
        figures = pedal_figures(answer)
        found = answer.findings(job.file.job.limits)
        lines = pedal_lines([*size.screen(answer, found), *said(tuple(found))])
        assert len(list(occurrences(lines, figures))) >= 3
        assert misprints(lines, figures) == []
