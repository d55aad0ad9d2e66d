"""The pictures of a brake pedal: pressure and travel by effort, the split, and the travel used."""

from __future__ import annotations

import math

import numpy as np

from generators.drawing.paper.pen import BLACK, MEDIUM, THIN, WHITE, Pen, fit_text
from generators.hydraulics.brake import INSPECTION_N, BrakeResult
from generators.sheets.document import Picture
from generators.sheets.pedal.words import mm, mpa, newton
from generators.sheets.plots import (
    BAR,
    DASHED,
    DOTTED,
    SMALL_MM,
    TEXT_MM,
    Array,
    Plot,
    draw_axes,
    draw_curve,
    draw_level,
    draw_tag,
    label_ends,
    span_of,
)

INSPECTION_SHARE = 0.8
"""Share of the travel that may be used at 50 lbf: 49 CFR 570.55(c)."""

_LEFT_MM, _RIGHT_MM, _FOOT_MM, _GAP_MM = 14.0, 26.0, 8.5, 3.5


class BrakeCurves(Picture):
    """Pressure of each circuit and pad travel, over the same effort."""

    def __init__(self, result: BrakeResult, *, width_mm: float, height_mm: float) -> None:
        super().__init__(width_mm, height_mm)
        self._result = result

    def paint(self, pen: Pen) -> None:
        """Two charts sharing the effort."""
        result = self._result
        pen.text(0, self.size[1] - 3, "Pressure at the pad force", TEXT_MM, bold=True)
        tall = (self.size[1] - 6 - _FOOT_MM - _GAP_MM) / 2
        width = self.size[0] - _LEFT_MM - _RIGHT_MM
        x = span_of(0.0, result.target_effort_n, 8)
        circuits: list[tuple[str, Array, tuple[float, float] | None]] = [("front", result.front_mpa, None)]
        if result.rear_mpa is not None:
            circuits.append(("rear", result.rear_mpa, DASHED))
        most = max(float(values.max()) for _name, values, _dash in circuits)
        wanted = [c for c in result.circuits if c.wanted_mpa is not None]
        most = max([most, *(c.wanted_mpa or 0.0 for c in wanted)])
        pressure = Plot(
            left=_LEFT_MM,
            bottom=_FOOT_MM + tall + _GAP_MM,
            width=width,
            height=tall,
            x=x,
            y=span_of(0.0, most * 1.08, 5),
        )
        floor = result.linkage.travel_mm
        reached = result.pad_mm[np.isfinite(result.pad_mm)]
        far = max([floor, *(float(pad) for pad in reached if pad < 1.5 * floor)])
        travel = Plot(
            left=_LEFT_MM, bottom=_FOOT_MM, width=width, height=tall, x=x, y=span_of(0.0, far * 1.05, 5)
        )
        draw_axes(pen, pressure, y_label="pressure, MPa", numbers=False)
        draw_axes(pen, travel, x_label="pad effort, N", y_label="pad travel, mm")
        for circuit in wanted:
            draw_level(
                pen,
                pressure,
                circuit.wanted_mpa or 0.0,
                f"{circuit.name} wants {mpa(circuit.wanted_mpa or 0)}",
            )
        draw_level(pen, travel, floor, f"floor {mm(floor)}")
        for _name, values, dash in circuits:
            draw_curve(pen, pressure, result.effort_n, values, dash=dash)
        draw_curve(pen, travel, result.effort_n, result.pad_mm)
        end = pressure.at_x(float(result.effort_n[np.isfinite(result.effort_n)][-1]))
        ends = [(float(values[-1]), f"{name} {mpa(float(values[-1]))}") for name, values, _dash in circuits]
        label_ends(pen, pressure, end, ends, pressure.at_y)
        if math.isfinite(result.at_effort_mm) and result.at_effort_mm <= travel.y.hi:
            label_ends(pen, travel, end, [(result.at_effort_mm, mm(result.at_effort_mm))], travel.at_y)
        if x.hi > INSPECTION_N:
            pen.stroke(THIN, BLACK, DOTTED)
            pen.line(travel.at_x(INSPECTION_N), travel.bottom, travel.at_x(INSPECTION_N), pressure.top)
            draw_tag(pen, travel.at_x(INSPECTION_N) + 1, travel.bottom + 1.2, "50 lbf")


class BrakeBars(Picture):
    """The balance bar's split, and how much of the pad travel is used."""

    def __init__(self, result: BrakeResult, *, width_mm: float, height_mm: float = 44.0) -> None:
        super().__init__(width_mm, height_mm)
        self._result = result

    def paint(self, pen: Pen) -> None:
        """Two bars for the split, two for the travel, each with its number."""
        result, width, height = self._result, self.size[0], self.size[1]
        left, bar = 30.0, 5.0
        y = height - 3.0
        if len(result.circuits) > 1:
            y = self._split(pen, left, y, width - left - 2, bar)
        pen.text(0, y, "Pad travel used", TEXT_MM, bold=True)
        y -= 7.5
        room = width - left - 26.0
        for name, share, limit in (
            ("at 50 lbf (222 N)", result.inspection_share, INSPECTION_SHARE),
            (f"at {newton(result.target_effort_n)}", result.travel_share, 1.0),
        ):
            pen.text(left - 2, y + 1.6, name, SMALL_MM, align="right")
            pen.stroke(MEDIUM, BLACK)
            pen.rect(left, y, room, bar, fill=WHITE)
            pen.rect(left, y, room * min(share, 1.0), bar, fill=BAR)
            pen.stroke(0.6, BLACK)
            pen.line(left + room * limit, y - 0.7, left + room * limit, y + bar + 0.7)
            words = f"{share:.0%}" if math.isfinite(share) else "never"
            pen.text(left + room + 2, y + 1.6, words, TEXT_MM, bold=True)
            pen.text(left + room + 11, y + 1.6, f"most {limit:.0%}", SMALL_MM)
            y -= bar + 1.8

    def _split(self, pen: Pen, left: float, y: float, room: float, bar: float) -> float:
        circuits = self._result.circuits
        total = sum(c.pressure_mpa for c in circuits) or 1.0
        pen.text(0, y, "Balance: front | rear", TEXT_MM, bold=True)
        y -= 7.5
        for name, shares in (
            ("rod force", [(c.share, newton(c.force_n)) for c in circuits]),
            ("pressure", [(c.pressure_mpa / total, mpa(c.pressure_mpa)) for c in circuits]),
        ):
            pen.text(left - 2, y + 1.6, name, SMALL_MM, align="right")
            at = left
            pen.stroke(MEDIUM, BLACK)
            for (share, words), grey in zip(shares, (BAR, WHITE), strict=True):
                pen.rect(at, y, room * share, bar, fill=grey)
                said = fit_text(f"{share:.0%}, {words}", SMALL_MM, room * share - 2)
                pen.text(at + 1.5, y + 1.6, said, SMALL_MM)
                at += room * share
            y -= bar + 1.8
        return y - 2.0
