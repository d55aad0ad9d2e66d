"""Hoses on the install sheet: the list of lengths, and one step for each hose."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from generators.model.hose_path import Arc, HosePath
from generators.sheets.document import gap, heading, paragraph, table, together
from generators.sheets.hose_words import FLATS, HoseLine, LinesSheet, end_words, kind_words, length_words
from generators.sheets.install_drill import Steps
from generators.units import format_length

SLACK = "5 to 8 % more than the string"
LEAST_TURN_RAD = math.radians(0.5)


def cut_list(lines: LinesSheet, number: Steps, width: float) -> list[Any]:
    """Which hose is how long and from which step that may be believed. Call when all steps are counted."""
    if not lines.hoses:
        return []
    rows = []
    for hose in lines.hoses:
        at = number.first.get(f"hose:{hose.spec.name}")
        if at is None:
            said, when = "not released", "no order of work: see the frame"
        elif hose.released:
            said = length_words(hose)
            when = "now" if hose.spec.made_up_mm is not None else f"when step {at - 1} is done"
        else:
            said, when = f"measure at step {at}", hose.measure_why or "no path was found"
        rows.append((hose.title, kind_words(hose), said, when))
    shares = (0.22, 0.22, 0.34, 0.22)
    return [
        *heading("Hoses and lines"),
        paragraph(
            "Lengths are seat to seat along the middle. Cut nothing before its step: both ends must be "
            "bolted down. If the vehicle says otherwise than this sheet, the vehicle is right; measure again."
        ),
        table(("hose", "what", "length", "released"), rows, [width * share for share in shares]),
    ]


def hose_story(hose: HoseLine, lines: LinesSheet, number: Steps, width: float) -> list[Any]:
    """Cutting, leading and tightening one hose or line."""
    spec = hose.spec
    ends = f"{end_words(lines, spec.from_)} to {end_words(lines, spec.to)}"
    clamps = ", ".join(name.replace("_", " ") for name in spec.clamps)
    story: list[Any] = []
    if hose.measure_why or hose.length is None:
        story.append(
            number(
                f"Measure the {hose.title.lower()} now: {ends}.",
                f"String along the path, through its clamps, seat to seat; the hose is {SLACK}. "
                f"Never bend it tighter than {format_length(hose.radius_mm)} to its middle.",
            )
        )
    lead = f"Through {clamps}, in that order. " if clamps else ""
    if spec.kind == "rigid":
        text = (
            f"{lead}{kind_words(hose)}. {length_words(hose).capitalize()} plus the flares. Bend as the table "
            "says, try it in place before flaring, sleeves and nuts on first. It must drop into both seats "
            "by hand: a line pulled straight by its nuts cracks."
        )
    else:
        text = (
            f"{lead}{kind_words(hose)}. {length_words(hose).capitalize()}. Bends no tighter than "
            f"{format_length(hose.radius_mm)} to its middle, straight where it leaves each fitting. The "
            "stripe printed on the hose must not wind round it: hold the hose while its nut turns."
        )
    step = number(f"Fit the {hose.title.lower()}: {ends}.", text + _tighten(spec.dash, spec.service))
    bends = _bend_table(hose.path, width) if spec.kind == "rigid" and hose.path is not None else []
    story.append(together([step, *bends]))
    return story


def _tighten(dash: int, service: str) -> str:
    if service == "feed":
        return " Both hose clips past the bead of the pipe."
    flats = FLATS.get(dash)
    turn = f"{flats} flats" if flats else "the turn its maker gives"
    return f" Finger tight, then {turn} more; a second spanner holds the fitting. Then close the clamps."


def _bend_table(path: HosePath, width: float) -> list[Any]:
    """Straights and bends of a rigid line in order, each bend's plane against the one before."""
    rows: list[Sequence[str]] = []
    last: Arc | None = None
    run = 0.0
    for segment in path.segments:
        if isinstance(segment, Arc) and segment.sweep_rad >= LEAST_TURN_RAD:
            turn = (
                "" if last is None else f"plane turned {_turned(last, segment):.0f} deg from the bend before"
            )
            rows.append(
                (
                    f"{run:.1f} mm",
                    f"{math.degrees(segment.sweep_rad):.1f} deg",
                    f"{segment.radius_mm:.4g} mm",
                    turn,
                )
            )
            last = segment
        run += segment.length_mm
    if not rows:
        return [paragraph("It is straight from end to end.")]
    shares = (0.2, 0.14, 0.16, 0.5)
    head = ("bend begins at", "by", "radius", "")
    return [table(head, rows, [width * share for share in shares]), gap(2)]


def _turned(a: Arc, b: Arc) -> float:
    cosine = sum(x * y for x, y in zip(a.axis, b.axis, strict=True))
    return math.degrees(math.acos(max(-1.0, min(1.0, cosine))))
