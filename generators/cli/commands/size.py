"""``pedalplate size``: which cylinder, what ratio, where the pedal stops, in one screen."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from generators.cli.options import input_argument, json_option, variant_option
from generators.cli.output import EXIT_CHECK, EXIT_OK, print_json, say_cautions, stdout

if TYPE_CHECKING:
    from generators.hydraulics.brake import BrakeResult
    from generators.hydraulics.pedal_sheet import PedalSheet
    from generators.hydraulics.ranking import Ranking
    from generators.hydraulics.result import ClutchResult
    from generators.hydraulics.window import StopWindow
    from generators.model.findings import Finding
    from generators.solve.job import Prepared
    from generators.solve.mends.rows import TriedRow
    from generators.solve.pedals import PedalAnswer
    from generators.units import UnitSystem

COLUMNS = 100
BEST_SHOWN = 5
FINDINGS_SHOWN = 2
_BAR = 40


@click.command()
@input_argument()
@variant_option()
@click.option(
    "--row",
    type=click.IntRange(1, BEST_SHOWN),
    help="Lines to type for that row of bores and ratios, and what comes of them, solved again.",
)
@json_option("Curves, window and ranking as JSON on stdout.")
def size(spec: Path, variant: str, row: int | None, as_json: bool) -> int:
    """Answer for the pedals of SPEC: release, stop, rod, effort, and which bores would do better.

    \b
    pedalplate size specs/wrenfield_van.toml
    pedalplate size specs/wrenfield_van.toml --row 1
    """
    from generators.issue.manifest import finding_json
    from generators.solve.job import prepare

    prepared = prepare(spec, variant=variant)
    if not prepared.pedals:
        raise click.UsageError(f"{spec} has no [[pedal]]: there is nothing to size")
    found = {
        p.spec.name: [f for f in prepared.findings if f.where.split()[0] == f"pedal:{p.spec.name}"]
        for p in prepared.pedals
    }
    failed = any(f.blocks for each in found.values() for f in each)
    if as_json:
        print_json(
            {
                "ok": not failed,
                "job": prepared.file.job.job.name,
                "revision": prepared.file.revision,
                "pedals": [
                    {
                        **_json(p),
                        "findings": [finding_json(f) for f in found[p.spec.name]],
                        **({} if row is None else {"row": _row_json(prepared, p, row)}),
                    }
                    for p in prepared.pedals
                ],
            }
        )
        return EXIT_CHECK if failed else EXIT_OK
    console = stdout()
    for index, answer in enumerate(prepared.pedals):
        if index:
            console.print()
        for line in screen(answer, found[answer.spec.name]):
            console.print(line[:COLUMNS].rstrip(), markup=False)
        if row is not None:
            for line in row_lines(prepared, answer, row):
                console.print(line, markup=False, soft_wrap=True)
    say_cautions()
    return EXIT_CHECK if failed else EXIT_OK


def screen(answer: PedalAnswer, findings: Sequence[Finding]) -> Iterator[str]:
    """The lines of one pedal, at most 40 of at most 100 characters."""
    import textwrap

    from generators.sheets.pedal.words import verdict

    ranking = answer.ranking()
    sheet = answer.sheet(ranking)
    yield from textwrap.wrap(f"{sheet.title}: {verdict(sheet)}", COLUMNS)
    loud = [f for f in findings if f.severity.value != "note"]
    for f in loud[:FINDINGS_SHOWN]:
        text = f"{f.severity.value:<5}{f.code}: {f.found}; limit {f.wanted}"
        yield from textwrap.wrap(text, COLUMNS, initial_indent="  ", subsequent_indent=" " * 7)
    if len(loud) > FINDINGS_SHOWN:
        yield f"  and {len(loud) - FINDINGS_SHOWN} more: pedalplate check"
    yield ""
    if sheet.clutch is not None:
        yield from _clutch_lines(sheet, sheet.clutch)
    if sheet.brake is not None:
        yield from _brake_lines(sheet, sheet.brake)
    if ranking is not None:
        yield ""
        yield from _ranking_lines(answer, sheet, ranking)


def _row(name: str, text: str) -> str:
    return f"  {name:<13}{text}"


def _clutch_lines(sheet: PedalSheet, result: ClutchResult) -> Iterator[str]:
    from generators.sheets.pedal.words import (
        both,
        floor_sentence,
        length,
        margin_name,
        mm,
        mpa,
        newton,
        pounds,
        psi,
        state_name,
        stop_to_set,
    )

    window, state = result.window, result.at_stop
    if window.empty:
        yield _row("stop window", f"none: released with margin at {mm(window.earliest_mm)} of pad travel")
    else:
        yield _row(
            "stop window",
            f"{window.earliest_mm:.1f} to {mm(window.latest_mm)} of pad travel "
            f"(just releases at {mm(window.releases_mm)})",
        )
    stop = stop_to_set(window)
    if stop is not None:
        yield _row(
            "stop",
            both(stop, sheet.units) + stop_is(window, stop),
        )
    told_floor = textwrap.wrap(floor_sentence(result.linkage, sheet.units).removeprefix("Floor "), 80)
    for k, text in enumerate(told_floor):
        yield _row("" if k else "floor", text)
    told = window.given or not window.empty
    for k, limit in enumerate(window.limits):
        far = math.isfinite(limit.margin_mm)
        # the floor that is the stop has no distance to itself
        far = far and not (window.by_floor and limit.key == "floor")
        margin = f"{limit.margin_mm:+8.1f} mm from {margin_name(window)}" if told and far else ""
        yield _row("" if k else "limits", f"{mm(limit.pad_mm):>9}{margin}  {limit.label}")
    yield _row(
        "rod",
        f"{both(result.rod_length_mm, sheet.units)} from pin to seat, "
        f"{length(result.rod_play_mm, sheet.units)} of play at rest",
    )
    there = state_name(result)
    yield _row(
        "effort",
        f"{newton(state.effort_n)} ({pounds(state.effort_n)}) {there}, peak {newton(result.peak_effort_n)} "
        f"({pounds(result.peak_effort_n)}), target {newton(result.effort_target_n)}",
    )
    rated = f", {result.weakest[0]} rated {result.weakest[1]:g} MPa" if result.weakest else ""
    yield _row(
        "pressure",
        f"{mpa(state.pressure_mpa)} ({psi(state.pressure_mpa)}) {there}, peak "
        f"{mpa(result.peak_pressure_mpa)} ({psi(result.peak_pressure_mpa)}){rated}",
    )
    yield _row(
        "ratio",
        f"{result.lever_ratio:.2f}:1 by lengths, {result.rest_ratio:.2f} at rest, {state.ratio:.2f} {there}; "
        f"rod angle up to {math.degrees(result.peak_rod_angle_rad):.2f} deg",
    )
    yield ""
    yield f"  where the stroke goes at {mm(state.pad_mm)} of pad travel, mm at the bearing"
    yield from _waterfall(result)


def stop_is(window: StopWindow, stop_mm: float) -> str:
    """What the stop to set is, with a comma before it."""
    if stop_mm == window.stop_mm and window.given:
        return ", the floor with its covering" if window.by_floor else ", the spec's"
    if window.by_floor:
        return (
            f", a bolt: right from {window.earliest_mm:.1f} to {window.bolt_latest_mm:.1f} mm, the bare "
            "floor is not"
        )
    return ", the middle"


def _waterfall(result: ClutchResult) -> Iterator[str]:
    budget, clutch = result.budget, result.setup.clutch
    wide = max(len(step.label) for step in budget)
    scale = _BAR / max(abs(step.mm) for step in budget) if budget[0].mm > 0 else 0.0
    reached = 0.0
    for k, step in enumerate(budget):
        whole = k in (0, len(budget) - 1)
        start, end = (0.0, step.mm) if whole else (reached, reached + step.mm)
        low, high = (round(x * scale) for x in sorted((start, end)))
        bar = " " * low + ("#" if whole else "-") * max(high - low, 1)
        tail = ""
        if k == len(budget) - 1:
            right = clutch.release_travel_mm + clutch.release_margin_mm
            tail = f"  right: {right:g} to {clutch.over_travel_mm:g}"
        yield f"    {step.label:<{wide}} {step.mm + 0.0:7.2f}  {bar}{tail}"
        reached = end


def row_lines(prepared: Prepared, answer: PedalAnswer, number: int) -> Iterator[str]:
    """One of the best rows as lines of the spec, and what the job says with them."""
    from generators.sheets.pedal.words import row_cells, verdict

    found = _row_tried(prepared, answer, number)
    if found is None:
        yield ""
        yield f"  row {number}: this pedal has no such row"
        return
    ranking, row, tried = found
    yield ""
    yield f"  row {number}, {', '.join(row_cells(ranking, row)[:3])}: type"
    yield from (f"    {edit.words}" for edit in tried.edits)
    if tried.answer is None:
        said = f"cannot be had so: {tried.why_not}"
        yield from textwrap.wrap(said, COLUMNS, initial_indent="    ", subsequent_indent="    ")
        return
    said = f"solved again with these: {verdict(tried.answer.sheet())}"
    yield from textwrap.wrap(said, COLUMNS, initial_indent="  ", subsequent_indent="    ")
    for f in tried.brings:
        text = f"brings {f.severity.value} {f.code} {f.where}: {f.found}; limit {f.wanted}"
        yield from textwrap.wrap(text, COLUMNS, initial_indent="    ", subsequent_indent="      ")
    if not tried.brings:
        yield "    brings no warning and no fail"


def _row_tried(prepared: Prepared, answer: PedalAnswer, number: int) -> tuple[Ranking, int, TriedRow] | None:
    from generators.sheets.pedal.words import best_rows
    from generators.solve.mends.rows import try_row

    ranking = answer.ranking()
    best = best_rows(ranking, BEST_SHOWN) if ranking is not None else []
    if ranking is None or number > len(best):
        return None
    return ranking, best[number - 1], try_row(prepared, answer, ranking, best[number - 1])


def _row_json(prepared: Prepared, answer: PedalAnswer, number: int) -> dict[str, Any] | None:
    from generators.issue.manifest import finding_json
    from generators.sheets.pedal.words import verdict

    found = _row_tried(prepared, answer, number)
    if found is None:
        return None
    tried = found[2]
    return {
        "number": number,
        "type": [edit.words for edit in tried.edits],
        "verdict": verdict(tried.answer.sheet()) if tried.answer is not None else "",
        "brings": [finding_json(f) for f in tried.brings],
        "why_not": tried.why_not,
    }


def _ranking_lines(answer: PedalAnswer, sheet: PedalSheet, ranking: Ranking) -> Iterator[str]:
    from generators.hydraulics.ranking import FRONT, stop_of_row
    from generators.sheets.pedal.words import best_rows, own_row, own_standing, row_cells

    own = own_row(ranking, sheet)
    count = len(ranking.travel_mm)
    yield (
        f"  bores and ratios, best of {count} inside {ranking.effort_target_n:.0f} N and "
        f"{ranking.travel_target_mm:.0f} mm (pin and cylinder moved for the ratio)"
    )
    yield "       master    slave     ratio   travel  effort  pressure   what to type: --row 1"

    def line(mark: str, row: int, words: str) -> str:
        master, slave, ratio, travel, effort, pressure = row_cells(ranking, row)
        return f"  {mark:<4} {master:<9} {slave:<9} {ratio:<7} {travel:<7} {effort:<7} {pressure:<9} {words}"

    best = best_rows(ranking, BEST_SHOWN)
    for k, row in enumerate(best):
        words = "" if ranking.code[row] == FRONT else ranking.reason(row)
        stop = row_stop(stop_of_row(answer.spec, answer.frame, ranking, row), sheet.units)
        yield line(str(k + 1), row, "now" if row == own else words or stop)
    if own is not None and own not in best:
        yield line("now", own, "")
        yield f"       {own_standing(ranking, own)}"


def row_stop(window: StopWindow | None, units: UnitSystem) -> str:
    """Of a row's stop window, what has to be done about the stop; empty where the stop in use is right."""
    from generators.sheets.pedal.words import length, stop_to_set

    stop = None if window is None else stop_to_set(window)
    if window is None or stop is None:
        return "no stop is right on this floor"
    if stop == window.stop_mm or not window.given:
        return ""
    return f"needs {'a stop bolt' if window.by_floor else 'the stop'} at {length(stop, units)}"


def _brake_lines(sheet: PedalSheet, result: BrakeResult) -> Iterator[str]:
    from generators.sheets.pedal.words import both, length, mm, mpa, newton, psi

    yield _row(
        "travel",
        f"{mm(result.at_effort_mm)} of {mm(result.linkage.travel_mm)} at {newton(result.target_effort_n)}; "
        f"at 50 lbf {_share(result.inspection_share)} of it (not over 80%)",
    )
    yield _row(
        "rod",
        f"{both(result.rod_length_mm, sheet.units)} from pin to seat, "
        f"{length(result.rod_play_mm, sheet.units)} of play at rest",
    )
    yield _row(
        "ratio",
        f"{result.lever_ratio:.2f}:1 by lengths, {result.rest_ratio:.2f} at rest, {result.ratio:.2f} "
        f"pressed; rod angle up to {math.degrees(result.peak_rod_angle_rad):.2f} deg",
    )
    for c in result.circuits:
        yield _row(
            c.name, f"{mpa(c.pressure_mpa)} ({psi(c.pressure_mpa)}) from {c.share:.0%} of the rod force"
        )
        yield _row("", f"piston {mm(c.piston_mm)} of {mm(c.stroke_mm)}, {c.margin_mm:+.1f} mm left")
        if c.wanted_mpa is not None and c.wanted_bore_mm is not None:
            needs = newton(c.needed_effort_n if c.needed_effort_n is not None else math.inf)
            bore = f"a bore of {c.wanted_bore_mm:.2f} mm, nearest {c.standard_bore}"
            yield _row("", f"wants {mpa(c.wanted_mpa)}: {needs} on the pad, or {bore}")


def _share(value: float) -> str:
    return f"{value:.0%}" if math.isfinite(value) else "never"


def _json(answer: PedalAnswer) -> dict[str, Any]:
    from generators.sheets.pedal.words import best_rows, own_row, own_standing, stop_to_set, verdict

    ranking = answer.ranking()
    sheet = answer.sheet(ranking)
    out: dict[str, Any] = {
        "name": answer.spec.name,
        "kind": answer.spec.kind,
        "verdict": verdict(sheet),
        "rod_length_mm": sheet.rod_length_mm,
    }
    if sheet.clutch is not None:
        out["stop_to_set_mm"] = stop_to_set(sheet.clutch.window)
        out["result"] = asdict(sheet.clutch)
    if sheet.brake is not None:
        out["result"] = asdict(sheet.brake)
    if ranking is not None:
        own = own_row(ranking, sheet)
        out["ranking"] = {
            **asdict(ranking),
            "reason": [ranking.reason(row) for row in range(len(ranking.travel_mm))],
            "top": best_rows(ranking, 2 * BEST_SHOWN),
            "own": own,
            "own_standing": own_standing(ranking, own) if own is not None else "",
        }
    plain: dict[str, Any] = _plain(out)
    return plain


def _plain(value: Any) -> Any:
    """Numpy and tuples to plain lists and numbers; what is not finite becomes null."""
    if isinstance(value, dict):
        return {key: _plain(inner) for key, inner in value.items()}
    if hasattr(value, "tolist"):
        return _plain(value.tolist())
    if isinstance(value, list | tuple):
        return [_plain(inner) for inner in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value
