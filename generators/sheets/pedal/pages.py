"""The pages of the report that answer for a pedal: at a glance first, the numbers behind it after."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import Any

from reportlab.platypus import CondPageBreak, PageBreak

from generators.figures import fixed
from generators.hydraulics.brake import BrakeResult, CircuitResult
from generators.hydraulics.linkage import Linkage
from generators.hydraulics.pedal_sheet import PedalSheet
from generators.hydraulics.ranking import FRONT, Ranking
from generators.hydraulics.result import ClutchResult
from generators.model.findings import Finding, Severity
from generators.sheets.document import (
    SMALL,
    body_height,
    boxed,
    gap,
    heading,
    paragraph,
    side_by_side,
    table,
    tall_mm,
    together,
)
from generators.sheets.pedal.brake_plots import BrakeBars, BrakeCurves
from generators.sheets.pedal.linkage_view import LinkageView
from generators.sheets.pedal.lost import lost_story
from generators.sheets.pedal.plots import Choice, PedalCurves, Waterfall
from generators.sheets.pedal.words import (
    MM_PER_IN,
    best_rows,
    bore_name,
    cubic_inches,
    floor_sentence,
    in_both,
    losing_rows,
    mm,
    mpa,
    newton,
    own_row,
    own_standing,
    pounds,
    psi,
    row_cells,
    state_name,
    stop_to_set,
    verdict,
)
from generators.units import UnitSystem

BEST_SHOWN = 10
_SKETCH_SHARE, _SKETCH_MM = 0.40, 96.0
_MOST_SAID = 3
_ON_FRONT = "best compromise"

_WHOLE_AND_PART = re.compile(r"([0-9]) ([0-9]+/[0-9]+) in")
"""A bore like 1 1/16 in, which must not be broken across lines: it would read as another bore."""

Row = tuple[str, str, str]


def pedal_story(sheet: PedalSheet, findings: Sequence[Finding], width: float, paper: str) -> list[Any]:
    """The pages of one pedal; ``findings`` of the whole job, of which its own are taken."""
    mine = [f for f in findings if f.where.split()[0] == f"pedal:{sheet.spec.name}"]
    fails = [f"FAIL {f.code}: {f.found}; limit {f.wanted}." for f in mine if f.severity is Severity.FAIL]
    said = _said([f for f in mine if f.severity is Severity.WARN])
    story: list[Any] = [
        PageBreak(),
        *heading(f"Pedal: {sheet.title}"),
        boxed([verdict(sheet), *fails], width),
    ]
    answer = sheet.clutch or sheet.brake
    if answer is not None:
        said = [paragraph(floor_sentence(answer.linkage, sheet.units), SMALL), *said]
    story += [*said, gap(2)]
    if sheet.clutch is not None:
        room = body_height(paper) - _height(story, width)
        story += _clutch_story(sheet, sheet.clutch, width, room)
    if sheet.brake is not None:
        story += _brake_story(sheet, sheet.brake, width)
    return story


def _height(story: Sequence[Any], width: float) -> float:
    """Height of the page's head, so that the pictures fill what is left, mm."""
    return tall_mm([item for item in story if not isinstance(item, PageBreak | CondPageBreak)], width)


def _said(warnings: Sequence[Finding]) -> list[Any]:
    lines = [
        paragraph(f"Warning {f.code}: {f.found}; limit {f.wanted}.", SMALL) for f in warnings[:_MOST_SAID]
    ]
    if len(warnings) > _MOST_SAID:
        lines.append(paragraph(f"and {len(warnings) - _MOST_SAID} more under “Findings”.", SMALL))
    return lines


def _clutch_story(sheet: PedalSheet, result: ClutchResult, width: float, height: float) -> list[Any]:
    tall = height - _SKETCH_MM - 4
    sketch = width * _SKETCH_SHARE
    stop = stop_to_set(result.window)
    story: list[Any] = [
        PedalCurves(result, width_mm=width, height_mm=tall),
        gap(2),
        side_by_side(
            Waterfall(result, width_mm=width - sketch - 4, height_mm=_SKETCH_MM - 4),
            LinkageView(
                result.linkage,
                reach_mm=result.at_stop.pad_mm if stop is None else min(stop, result.linkage.travel_mm),
                pressed="at the stop" if stop is not None else "at the first limit",
                bore_mm=result.setup.master.bore_mm,
                stroke_mm=result.setup.master.stroke_mm,
                width_mm=sketch,
                height_mm=_SKETCH_MM - 4,
            ),
            (width - sketch, sketch),
        ),
        PageBreak(),
        *heading(f"{sheet.title}: the numbers"),
        _in_two(clutch_rows(sheet, result), width, sheet.units),
        gap(1),
        paragraph("Without friction and return springs: the real pedal is somewhat heavier.", SMALL),
    ]
    if result.openers:
        rows = [
            (
                change.text,
                f"{change.earliest_mm:.0f} to {mm(change.latest_mm)}",
                newton(change.effort_n),
                "within" if change.kept else "over",
            )
            for change in result.openers
        ]
        shares = (0.46, 0.26, 0.14, 0.14)
        story += [
            *heading("Single changes that open the stop window"),
            table(("take", "stop from", "effort", "target"), rows, [width * s for s in shares]),
        ]
    if sheet.ranking is not None:
        story += _choice_story(sheet, sheet.ranking, width)
    return story


def _own_first(rows: Sequence[Row], system: UnitSystem) -> list[Row]:
    """The rows under their head, what people measure in before the other; where there is but one, that."""
    both = [("", "metric", "inch"), *rows]
    if system == "metric":
        return both
    return [(what, inch or metric, metric if inch else "") for what, metric, inch in both]


def _in_two(rows: Sequence[Row], width: float, system: UnitSystem) -> Any:
    """A long table as two short ones side by side."""
    head, *rows = _own_first(rows, system)
    half, part = math.ceil(len(rows) / 2), width / 2 - 3
    shares = (0.49, 0.325, 0.185) if system == "metric" else (0.49, 0.255, 0.255)
    left, right = (table(head, piece, [part * s for s in shares]) for piece in (rows[:half], rows[half:]))
    return side_by_side(left, right, (width / 2 + 3, part))


def clutch_rows(sheet: PedalSheet, result: ClutchResult) -> list[Row]:
    """The numbers of a clutch pedal: what, metric, inch."""
    window, stop = result.window, result.at_stop
    there = state_name(result)

    def length(what: str, value: float, tail: str = "") -> Row:
        in_mm, in_inches = in_both(value, sheet.units)
        return what, in_mm + tail, in_inches

    def margin(value: float) -> str:
        told = math.isfinite(value) and (window.given or not window.empty)
        return f" ({value:+.1f})" if told else ""

    rows = [
        length("rod, pin to seat", result.rod_length_mm),
        length("play of the rod at rest", result.rod_play_mm),
    ]
    # a floor that is right as the stop needs none beside it
    if window.recommended_mm is not None and not window.floor_stops:
        rows.append(length("recommended stop, pad travel", window.recommended_mm))
    if window.given:
        rows.append(length("stop of the spec", window.stop_mm))
    rows += [
        length("released with margin from", window.earliest_mm),
        length("just released from", window.releases_mm),
    ]
    rows += [length(limit.label, limit.pad_mm, margin(limit.margin_mm)) for limit in window.limits]
    rated = result.weakest
    rows += [
        length(f"master piston {there}", stop.piston_mm),
        length(f"slave {there}", stop.slave_mm),
        length(f"release travel {there}", stop.release_mm),
        (f"pad effort {there}", newton(stop.effort_n), pounds(stop.effort_n)),
        (
            f"peak effort (target {newton(result.effort_target_n)})",
            newton(result.peak_effort_n),
            pounds(result.peak_effort_n),
        ),
        (f"pressure {there}", mpa(stop.pressure_mpa), psi(stop.pressure_mpa)),
        (
            "peak pressure" + (f" ({rated[0]}: {rated[1]:g} MPa)" if rated else ""),
            mpa(result.peak_pressure_mpa),
            psi(result.peak_pressure_mpa),
        ),
        *ratio_rows(result.lever_ratio, result.rest_ratio, stop.ratio, result.peak_rod_angle_rad),
        ("peak side load on the piston", newton(result.peak_side_load_n), pounds(result.peak_side_load_n)),
        (
            "reservoir: wear and a stroke",
            f"{result.reservoir_needed_mm3 / 1000:.1f} cc",
            cubic_inches(result.reservoir_needed_mm3),
        ),
    ]
    return rows


def ratio_rows(lever: float, rest: float, pressed: float, rod_rad: float) -> list[Row]:
    """Pedal ratio and rod angle, the same in both columns of units."""
    return [
        (
            "ratio by lengths; at rest; pressed",
            f"{lever:.2f}; {rest:.2f}; {pressed:.2f}",
            "",
        ),
        ("largest angle of the rod", f"{math.degrees(rod_rad):.2f} deg", ""),
    ]


def _choice_story(sheet: PedalSheet, ranking: Ranking, width: float) -> list[Any]:
    own = own_row(ranking, sheet)
    best = best_rows(ranking, BEST_SHOWN)
    rows = [
        (
            f"{k + 1}" + (" now" if row == own else ""),
            *row_cells(ranking, row),
            _ON_FRONT if ranking.code[row] == FRONT else ranking.reason(row),
        )
        for k, row in enumerate(best)
    ]
    if own is not None and own not in best:
        standing = _WHOLE_AND_PART.sub("\\1\u00a0\\2\u00a0in", own_standing(ranking, own))
        rows.append(("NOW", *row_cells(ranking, own), standing))
    rows += [("worse", *row_cells(ranking, row), ranking.reason(row)) for row in losing_rows(ranking)]
    shares = (0.075, 0.09, 0.09, 0.08, 0.085, 0.08, 0.10, 0.40)
    count = len(ranking.travel_mm)
    return [
        together(
            [
                *heading("Which bores, which ratio"),
                paragraph(
                    f"{count} combinations of common bores and pedal ratios, strokes as in the spec, the "
                    f"pin moved for each ratio and the cylinder with it. Targets: "
                    f"{newton(ranking.effort_target_n)} and {mm(ranking.travel_target_mm)}. The best is "
                    "furthest inside both.",
                    SMALL,
                ),
                Choice(ranking, own, width_mm=width, height_mm=66.0),
            ]
        ),
        gap(1),
        table(
            ("", "master", "slave", "ratio", "travel", "effort", "pressure", "result"),
            rows,
            [width * s for s in shares],
        ),
    ]


def _brake_story(sheet: PedalSheet, result: BrakeResult, width: float) -> list[Any]:
    sketch = width * 0.42
    largest = max(result.circuits, key=lambda c: c.bore_mm)
    reach = min(result.at_effort_mm, result.linkage.travel_mm)
    head, *rows = _own_first(brake_rows(result, sheet.units), sheet.units)
    return [
        BrakeCurves(result, width_mm=width, height_mm=92.0),
        gap(2),
        side_by_side(
            BrakeBars(result, width_mm=width - sketch - 4, height_mm=56.0),
            _brake_sketch(result.linkage, reach, result, largest, sketch),
            (width - sketch, sketch),
        ),
        PageBreak(),
        *heading(f"{sheet.title}: the numbers"),
        table(head, rows, (width * 0.52, width * 0.26, width * 0.22)),
        *heading("Each circuit at the target effort"),
        table(
            ("", *(c.name for c in result.circuits)),
            circuit_rows(result.circuits),
            [width * 0.4, *(width * 0.6 / len(result.circuits) for _c in result.circuits)],
        ),
        *lost_story(result, width),
        gap(1),
        paragraph("Without friction and return springs: the real pedal is somewhat heavier.", SMALL),
    ]


def _brake_sketch(
    link: Linkage, reach_mm: float, result: BrakeResult, circuit: CircuitResult, width: float
) -> LinkageView:
    return LinkageView(
        link,
        reach_mm=reach_mm,
        pressed=f"at {newton(result.target_effort_n)}" if reach_mm < link.travel_mm else "at the floor",
        bore_mm=circuit.bore_mm,
        stroke_mm=circuit.stroke_mm,
        width_mm=width,
        height_mm=_SKETCH_MM - 4,
    )


def brake_rows(result: BrakeResult, units: UnitSystem = "metric") -> list[Row]:
    """The numbers of a brake pedal: what, metric, inch; ``units`` are those of the job."""
    effort = newton(result.target_effort_n)
    return [
        ("rod, pin to seat", *in_both(result.rod_length_mm, units)),
        ("play between rod and piston at rest", *in_both(result.rod_play_mm, units)),
        ("target effort", effort, pounds(result.target_effort_n)),
        ("largest force that may come", newton(result.most_n), pounds(result.most_n)),
        (f"pad travel at {effort}", *in_both(result.at_effort_mm, units)),
        ("pad travel to the floor", *in_both(result.linkage.travel_mm, units)),
        (f"rod force at {effort}", newton(result.rod_force_n), pounds(result.rod_force_n)),
        *ratio_rows(result.lever_ratio, result.rest_ratio, result.ratio, result.peak_rod_angle_rad),
        ("highest side load", newton(result.peak_side_load_n), pounds(result.peak_side_load_n)),
    ]


def circuit_rows(circuits: Sequence[CircuitResult]) -> list[tuple[str, ...]]:
    """One row a quantity, one column a circuit."""

    def both(metric: str, inch: str) -> str:
        return f"{metric} ({inch})" if inch else metric

    def wanted(c: CircuitResult) -> str:
        if c.wanted_mpa is None:
            return "nothing wanted"
        force = c.needed_effort_n if c.needed_effort_n is not None else math.inf
        return f"{mpa(c.wanted_mpa)}, which asks {newton(force)} on the pad"

    def bore(c: CircuitResult) -> str:
        if c.wanted_bore_mm is None:
            return ""
        common = f"take {c.standard_bore}" if c.standard_bore else "no common bore does"
        return f"{c.wanted_bore_mm:.2f} mm ({c.wanted_bore_mm / MM_PER_IN:.3f} in); {common}"

    def rating(c: CircuitResult) -> str:
        return f"{c.weakest[1]:g} MPa, {c.weakest[0]}" if c.weakest else "none given"

    def wear(c: CircuitResult) -> str:
        return "not given" if c.wear_mm3 is None else f"{fixed(c.wear_mm3 / 1000, 1)} cc"

    def needed(c: CircuitResult) -> str:
        # without the wear it is what the master moves, and no reservoir to buy by
        more = ", and the wear" if c.wear_mm3 is None else ""
        return f"{fixed(c.reservoir_needed_mm3 / 1000, 1)} cc{more}"

    return [
        ("master bore", *(bore_name(c.bore_mm, "master") for c in circuits)),
        ("share of the rod force", *(f"{c.share:.0%}" for c in circuits)),
        ("force on the piston", *(both(newton(c.force_n), pounds(c.force_n)) for c in circuits)),
        ("pressure", *(both(mpa(c.pressure_mpa), psi(c.pressure_mpa)) for c in circuits)),
        ("at the largest force on the pad", *(both(mpa(c.most_mpa), psi(c.most_mpa)) for c in circuits)),
        ("pressure wanted", *(wanted(c) for c in circuits)),
        ("bore that would give it", *(bore(c) for c in circuits)),
        (
            "piston travel",
            *(f"{mm(c.piston_mm)} of {mm(c.stroke_mm)}, {c.margin_mm:+.1f} left" for c in circuits),
        ),
        ("fluid moved", *(f"{fixed(c.volume_mm3 / 1000, 2)} cc" for c in circuits)),
        ("lowest rating", *(rating(c) for c in circuits)),
        ("without a rating", *(", ".join(c.unrated) or "none" for c in circuits)),
        ("fluid the worn linings take", *(wear(c) for c in circuits)),
        ("reservoir needed", *(needed(c) for c in circuits)),
    ]
