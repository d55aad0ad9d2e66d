"""What the report says of a brake pedal with one circuit lost."""

from __future__ import annotations

import math
from typing import Any

from generators.hydraulics.brake import BrakeResult
from generators.hydraulics.circuit_lost import CircuitLost
from generators.sheets.document import SMALL, heading, paragraph, table
from generators.sheets.pedal.words import mm, mpa, newton, pounds


def lost_story(result: BrakeResult, width: float) -> list[Any]:
    """What is left without each circuit, at the largest force that may come on the pad."""
    if not result.lost:
        return []
    force = result.most_force
    must = (
        "" if force.deceleration is None else f" What is left must then brake at {force.deceleration:g} m/s²."
    )
    return [
        *heading("One circuit lost"),
        paragraph(
            f"At {newton(result.most_n)} ({pounds(result.most_n)}) on the pad, the most that may come. "
            f"Source: {force.source}.{must} Brakes and load decide that: have it tested on the road by "
            "whoever is licensed to, with one circuit opened, before the vehicle is used.",
            SMALL,
        ),
        table(
            ("", *(f"{lost.lost} lost" for lost in result.lost)),
            lost_rows(result),
            [width * 0.4, *(width * 0.6 / len(result.lost) for _lost in result.lost)],
        ),
    ]


def lost_rows(result: BrakeResult) -> list[tuple[str, ...]]:
    """One row a quantity, one column a circuit that is lost."""
    whole = {c.name: c.most_mpa for c in result.circuits}

    def bar(lost: CircuitLost) -> str:
        angle = "" if lost.swing_rad is None else f", {math.degrees(lost.swing_rad):.1f}° of the bar"
        by = "held by its own bound" if lost.held else f"the {lost.lost} master at the end of its stroke"
        return f"{mm(lost.swing_mm)}{angle}, {by}"

    return [
        ("pad travel", *(mm(lost.pad_mm) for lost in result.lost)),
        ("pad travel to the floor", *(mm(result.linkage.travel_mm) for _lost in result.lost)),
        (
            "pressure left",
            *(
                f"{mpa(lost.left_mpa)} {lost.left}, {mpa(whole[lost.left])} when whole"
                for lost in result.lost
            ),
        ),
        ("one rod ahead of the other", *(bar(lost) for lost in result.lost)),
    ]
