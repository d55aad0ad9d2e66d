"""The pictures of a clutch pedal: curves under the stop window, the release budget, the choice of bores."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from generators.drawing.paper.pen import BLACK, GREY, MEDIUM, THICK, THIN, WHITE, Pen, fit_text, text_width
from generators.hydraulics.ranking import Ranking
from generators.hydraulics.result import ClutchResult
from generators.hydraulics.window import StopLimit, StopWindow
from generators.sheets.document import Picture
from generators.sheets.pedal.words import (
    SAME_MM,
    margin_name,
    mm,
    mpa,
    newton,
    own_row,
    releasing,
    stop_to_set,
)
from generators.sheets.plots import (
    BAND,
    BAR,
    CHAIN,
    DASHED,
    DOTTED,
    SMALL_MM,
    TEXT_MM,
    Array,
    Plot,
    Span,
    draw_axes,
    draw_band,
    draw_curve,
    draw_level,
    draw_point,
    draw_tag,
    label_ends,
    span_of,
)

LEFT_MM, RIGHT_MM = 14.0, 16.0
_ROW_MM, _HEAD_MM, _FOOT_MM, _GAP_MM = 4.4, 8.5, 8.5, 3.0
_FURTHEST = 1.5


def pad_span(window: StopWindow, floor_mm: float) -> Span:
    """The pad travels a picture shows: all limits, but nothing far beyond floor and stop."""
    places = [floor_mm, window.stop_mm, window.earliest_mm, *(limit.pad_mm for limit in window.limits)]
    most = _FURTHEST * max(floor_mm, window.stop_mm)
    return span_of(0.0, min(max(p for p in places if math.isfinite(p)), most) * 1.01, 13)


class PedalCurves(Picture):
    """Stop window and limits as bars; below them effort, pressure and travels over the same pad travel."""

    def __init__(self, result: ClutchResult, *, width_mm: float, height_mm: float) -> None:
        super().__init__(width_mm, height_mm)
        self._result = result
        self._span = pad_span(result.window, result.linkage.travel_mm)

    def paint(self, pen: Pen) -> None:
        """The bars on top, three charts below, and the lines of stop and limits through all of them."""
        window, rows = self._result.window, 1 + len(self._result.window.limits)
        width = self.size[0] - LEFT_MM - RIGHT_MM
        strip = Plot(
            left=LEFT_MM,
            bottom=self.size[1] - _HEAD_MM - rows * _ROW_MM,
            width=width,
            height=rows * _ROW_MM,
            x=self._span,
            y=Span(lo=0.0, hi=float(rows), step=1.0),
        )
        tall = (strip.bottom - _FOOT_MM - 3 * _GAP_MM) / 3
        peaks = self._tops()
        charts = [
            Plot(
                left=LEFT_MM,
                bottom=_FOOT_MM + (2 - k) * (tall + _GAP_MM),
                width=width,
                height=tall,
                x=self._span,
                y=span_of(0.0, peaks[k], 5),
            )
            for k in range(3)
        ]
        for plot in (strip, *charts):
            if not window.empty:
                draw_band(pen, plot, window.earliest_mm, window.latest_mm)
        for k, (plot, label) in enumerate(
            zip(charts, ("pad effort, N", "pressure, MPa", "travel, mm"), strict=True)
        ):
            draw_axes(pen, plot, y_label=label, x_label="pad travel, mm" if k == 2 else "", numbers=k == 2)
        self._bars(pen, strip)
        self._lines(pen, strip, charts[-1].bottom)
        self._names(pen, strip)
        self._curves(pen, charts)

    def _tops(self) -> tuple[float, float, float]:
        result, line = self._result, self._result.curves
        effort = float(np.nanmax(line.effort_n)) * 1.2
        if result.effort_target_n < 2 * effort:
            effort = max(effort, result.effort_target_n * 1.1)
        pressure = float(np.nanmax(line.pressure_mpa)) * 1.2
        if result.weakest is not None and result.weakest[1] < 2 * pressure:
            pressure = max(pressure, result.weakest[1] * 1.1)
        travel = max(float(np.nanmax(line.slave_mm)), float(np.nanmax(line.bearing_mm))) * 1.1
        return effort, pressure, travel

    def _bars(self, pen: Pen, strip: Plot) -> None:
        """Grey is where the pedal must not stop: too early in the first row, past a limit in the others."""
        window = self._result.window
        pen.stroke(MEDIUM, BLACK)
        pen.line(strip.left, strip.bottom, strip.left, strip.top)
        early = strip.at_x(min(window.earliest_mm, strip.x.hi))
        bars = [(strip.left, early)]
        for limit in window.limits:
            bars.append((strip.at_x(min(max(limit.pad_mm, 0.0), strip.x.hi)), strip.right))
        for k, (x0, x1) in enumerate(bars):
            if x1 > x0:
                y = strip.at_y(strip.y.hi - 1 - k) + 0.3
                pen.rect(x0, y, x1 - x0, _ROW_MM - 0.6, fill=BAR, edge=False)

    def _names(self, pen: Pen, strip: Plot) -> None:
        window = self._result.window
        text = "not released here: never with its margin"
        if math.isfinite(window.earliest_mm):
            text = f"just released at {mm(window.releases_mm)}, with its margin at {mm(window.earliest_mm)}"
        pen.text(strip.left + 1.5, strip.at_y(strip.y.hi - 1) + 1.4, text, SMALL_MM)
        for k, limit in enumerate(window.limits):
            draw_tag(pen, strip.left + 1.5, strip.at_y(strip.y.hi - 2 - k) + 1.4, self._name(limit))

    def _name(self, limit: StopLimit) -> str:
        window = self._result.window
        where = f"at {mm(limit.pad_mm)}" if math.isfinite(limit.pad_mm) else "never"
        if not math.isfinite(limit.margin_mm) or (window.empty and not window.given):
            return f"{limit.label} {where}"
        over = "past" if limit.margin_mm >= 0 else "BEFORE"
        return f"{limit.label} {where}, {abs(limit.margin_mm):.1f} mm {over} {margin_name(window)}"

    def _lines(self, pen: Pen, strip: Plot, foot: float) -> None:
        window = self._result.window
        pen.stroke(THIN, BLACK, DOTTED)
        for k, limit in enumerate(window.limits):
            if 0 <= limit.pad_mm < strip.x.hi:
                x = strip.at_x(limit.pad_mm)
                pen.line(x, strip.at_y(strip.y.hi - 1 - k), x, foot)
        if window.earliest_mm < strip.x.hi:
            x = strip.at_x(window.earliest_mm)
            pen.line(x, strip.top, x, foot)
        head = strip.top + 5.0
        if window.empty:
            pen.text(strip.left, head, "Stop window: none", TEXT_MM, bold=True)
        else:
            words = f"Stop window (shaded): {window.earliest_mm:.1f} to {mm(window.latest_mm)} of pad travel"
            pen.text(strip.left, head, words, TEXT_MM, bold=True)
        stop = stop_to_set(window)
        marks: list[tuple[float, str, tuple[float, ...]]] = []
        if stop is not None:
            marks.append((stop, f"stop {mm(stop)}", CHAIN))
        if window.given and (stop is None or abs(window.stop_mm - stop) > SAME_MM):
            marks.append((window.stop_mm, f"the spec's {mm(window.stop_mm)}", DASHED))
        middle = window.recommended_mm
        if (
            not marks[1:]
            and not window.floor_stops
            and stop is not None
            and middle is not None
            and abs(middle - stop) > SAME_MM
        ):
            marks.append((middle, f"recommended {mm(middle)}", DASHED))
        marks = [mark for mark in marks if mark[0] <= strip.x.hi]
        for k, (place, words, dash) in enumerate(sorted(marks)):
            x = strip.at_x(place)
            pen.stroke(MEDIUM if dash is CHAIN else THIN, BLACK, dash)
            pen.line(x, strip.top + 0.8, x, foot)
            align = "centre" if len(marks) == 1 else ("right", "left")[k]
            nudge = 0.0 if len(marks) == 1 else (-0.4, 0.4)[k]
            pen.text(x + nudge, strip.top + 1.4, words, TEXT_MM, bold=dash is CHAIN, align=align)

    def _curves(self, pen: Pen, charts: Sequence[Plot]) -> None:
        result, line = self._result, self._result.curves
        stop = stop_to_set(result.window)
        effort, pressure, travel = charts
        draw_level(pen, effort, result.effort_target_n, f"target {newton(result.effort_target_n)}")
        if result.weakest is not None:
            draw_level(
                pen, pressure, result.weakest[1], f"{result.weakest[0]}, rated {result.weakest[1]:g} MPa"
            )
        for plot, ys, say in ((effort, line.effort_n, newton), (pressure, line.pressure_mpa, mpa)):
            draw_curve(pen, plot, line.pad_mm, ys)
            top = int(np.argmax(ys))
            x, y = plot.at_x(float(line.pad_mm[top])), plot.at_y(float(ys[top]))
            draw_tag(pen, x, y + 1.3, f"peak {say(float(ys[top]))}", align="centre")
            draw_point(pen, x, y, filled=False)
        moves: list[tuple[Array, str, tuple[float, float] | None]] = [(line.slave_mm, "slave", None)]
        if float(np.abs(line.slave_mm - line.bearing_mm).max()) < SAME_MM:
            moves = [(line.slave_mm, "slave = bearing", None)]
        else:
            moves.append((line.bearing_mm, "bearing", DASHED))
        for ys, _name, dash in moves:
            draw_curve(pen, travel, line.pad_mm, ys, dash=dash)
        end = travel.at_x(float(line.pad_mm[-1]))
        label_ends(pen, travel, end, [(float(ys[-1]), name) for ys, name, _dash in moves], travel.at_y)
        if stop is None:
            return
        marks = [(effort, line.effort_n, newton), (pressure, line.pressure_mpa, mpa)]
        for plot, ys, say in (*marks, *((travel, move[0], mm) for move in moves)):
            self._at_stop(pen, plot, line.pad_mm, ys, stop, say(float(np.interp(stop, line.pad_mm, ys))))

    @staticmethod
    def _at_stop(pen: Pen, plot: Plot, xs: Array, ys: Array, stop: float, words: str) -> None:
        value = float(np.interp(stop, xs, ys))
        rising = value >= float(np.interp(stop * 0.95, xs, ys))
        x, y = plot.at_x(stop), plot.at_y(value)
        draw_tag(pen, x + 1.4, y + (-3.0 if rising else 1.3), words, bold=True)
        draw_point(pen, x, y)


class Waterfall(Picture):
    """The release budget: stroke in, losses off, release travel left, each with its mm at the bearing."""

    def __init__(self, result: ClutchResult, *, width_mm: float, height_mm: float) -> None:
        super().__init__(width_mm, height_mm)
        self._result = result

    def paint(self, pen: Pen) -> None:
        """One bar a step, from where the one above ended."""
        clutch, budget = self._result.setup.clutch, self._result.budget
        width, height = self.size
        pen.text(0, height - 3, "Where the stroke goes", TEXT_MM, bold=True)
        pen.text(
            0,
            height - 6.6,
            f"at {mm(self._result.at_stop.pad_mm)} of pad travel, mm at the bearing",
            SMALL_MM,
        )
        left = max(text_width(step.label, SMALL_MM) for step in budget) + 3
        most = max([clutch.over_travel_mm, *(abs(step.mm) for step in budget)])
        plot = Plot(
            left=left,
            bottom=13.0,
            width=width - left - 12,
            height=height - 22.5,
            x=span_of(0.0, most * 1.001, 7),
            y=Span(lo=0.0, hi=float(len(budget)), step=1.0),
        )
        right = clutch.release_travel_mm + clutch.release_margin_mm
        last = Plot(
            left=plot.left,
            bottom=plot.bottom,
            width=plot.width,
            height=plot.height / len(budget),
            x=plot.x,
            y=plot.y,
        )
        draw_band(pen, last, right, clutch.over_travel_mm, 0.88)
        self._axis(pen, plot)
        reached = 0.0
        for k, step in enumerate(budget):
            whole = step.mm > 0 or k in (0, len(budget) - 1)
            start, end = (0.0, step.mm) if whole else (reached, reached + step.mm)
            y = plot.at_y(len(budget) - 1 - k)
            tall = plot.height / len(budget)
            self._bar(pen, plot, (start, end), y, tall, whole=whole)
            pen.text(left - 2, y + tall / 2 - 0.85, step.label, SMALL_MM, align="right", grey=BLACK)
            label = f"{round(step.mm, 2) + 0.0:.2f}"
            draw_tag(pen, plot.at_x(max(start, end)) + 1.2, y + tall / 2 - 0.85, label, bold=whole)
            reached = end
            if k < len(budget) - 1:
                pen.stroke(THIN, GREY)
                pen.line(plot.at_x(reached), y + tall * 0.18, plot.at_x(reached), y - tall * 0.18)
        words = (
            f"Release travel needs {clutch.release_travel_mm:g}, with margin {right:g}; fingers take at most "
        )
        words += f"{clutch.over_travel_mm:g} (shaded: right)"
        pen.text(0, 1.2, fit_text(words, SMALL_MM, width), SMALL_MM)

    @staticmethod
    def _axis(pen: Pen, plot: Plot) -> None:
        pen.stroke(MEDIUM, BLACK)
        pen.line(plot.left, plot.bottom, plot.left, plot.top)
        pen.line(plot.left, plot.bottom, plot.right, plot.bottom)
        pen.stroke(THIN, BLACK)
        for value in plot.x.ticks:
            x = plot.at_x(value)
            pen.line(x, plot.bottom - 1.2, x, plot.bottom)
            pen.text(x, plot.bottom - 3.8, plot.x.label(value), SMALL_MM, align="centre")
        pen.text(plot.left + plot.width / 2, plot.bottom - 7.2, "mm at the bearing", SMALL_MM, align="centre")

    @staticmethod
    def _bar(pen: Pen, plot: Plot, ends: tuple[float, float], y: float, tall: float, *, whole: bool) -> None:
        x0, x1 = sorted(plot.at_x(end) for end in ends)
        pen.stroke(THIN, BLACK)
        pen.rect(x0, y + tall * 0.18, max(x1 - x0, 0.25), tall * 0.64, fill=0.35 if whole else BAR)


class Choice(Picture):
    """Effort against travel of every combination that releases, with the front and the spec's own."""

    def __init__(self, ranking: Ranking, own: int | None, *, width_mm: float, height_mm: float) -> None:
        super().__init__(width_mm, height_mm)
        self._ranking = ranking
        self._own = own

    def paint(self, pen: Pen) -> None:
        """Dots, the front as a line, the targets as a box."""
        ranking = self._ranking
        shown = releasing(ranking) & np.isfinite(ranking.travel_mm) & np.isfinite(ranking.effort_n)
        target_n, target_mm = ranking.effort_target_n, ranking.travel_target_mm
        shown &= (ranking.effort_n <= 1.6 * target_n) & (ranking.travel_mm <= 1.4 * target_mm)
        if self._own is not None:
            shown[self._own] = bool(np.isfinite(ranking.travel_mm[self._own]))
        travel, effort = ranking.travel_mm[shown], ranking.effort_n[shown]
        plot = Plot(
            left=LEFT_MM,
            bottom=_FOOT_MM,
            width=self.size[0] - LEFT_MM - 6,
            height=self.size[1] - _FOOT_MM - 8,
            x=span_of(float(min([*travel, target_mm])) * 0.95, float(max([*travel, target_mm])) * 1.02, 8),
            y=span_of(0.0, float(max([*effort, target_n])) * 1.05, 7),
        )
        pen.text(
            0,
            self.size[1] - 3,
            f"Pad travel that releases, and its effort: {len(travel)} of {len(ranking.travel_mm)} choices",
            TEXT_MM,
            bold=True,
        )
        x, y = plot.at_x(target_mm), plot.at_y(target_n)
        pen.rect(plot.left, plot.bottom, x - plot.left, y - plot.bottom, fill=BAND, edge=False)
        draw_axes(pen, plot, x_label="pad travel to release with margin, mm", y_label="pad effort, N")
        pen.stroke(THIN, BLACK, DASHED)
        pen.line(plot.left, y, x, y)
        pen.line(x, plot.bottom, x, y)
        pen.stroke(THIN, GREY)
        for t, e in zip(travel, effort, strict=True):
            pen.circle(plot.at_x(float(t)), plot.at_y(float(e)), 0.7, fill=0.6, edge=False)
        front = shown & ranking.on_front
        order = np.argsort(ranking.travel_mm[front], kind="stable")
        xs, ys = ranking.travel_mm[front][order], ranking.effort_n[front][order]
        draw_curve(pen, plot, xs, ys, width=MEDIUM)
        for t, e in zip(xs, ys, strict=True):
            pen.circle(plot.at_x(float(t)), plot.at_y(float(e)), 1.0, fill=BLACK, edge=False)
        self._legend(pen, plot)
        draw_tag(pen, plot.left + 1.5, plot.bottom + 1.5, "within both targets", grey=0.3)
        marks = [(ranking.best, "best")] if ranking.best is not None else []
        if self._own is not None and shown[self._own]:
            same = self._own == ranking.best
            marks = [(self._own, "now, and best")] if same else [*marks, (self._own, "now")]
        for row, name in marks:
            t, e = plot.at_x(float(ranking.travel_mm[row])), plot.at_y(float(ranking.effort_n[row]))
            pen.stroke(THICK, BLACK)
            pen.circle(t, e, 3.0, fill=WHITE if name == "best" else None)
            draw_point(pen, t, e, size=1.2)
            below = name == "best"
            draw_tag(
                pen,
                t + (-2.2 if below else 2.2),
                e + (-3.4 if below else 1.4),
                name,
                size=TEXT_MM,
                bold=True,
                align="right" if below else "left",
            )

    @staticmethod
    def _legend(pen: Pen, plot: Plot) -> None:
        words = ("best compromises: no other is both lighter and shorter", "another that releases")
        x = plot.right - max(text_width(w, SMALL_MM) for w in words) - 2
        for k, text in enumerate(words):
            y = plot.top - 3.5 - 3.6 * k
            draw_tag(pen, x, y, text)
            if k == 0:
                pen.stroke(MEDIUM, BLACK)
                pen.line(x - 6, y + 0.8, x - 1, y + 0.8)
            pen.circle(x - 3.5, y + 0.8, 0.7 if k else 1.0, fill=0.6 if k else BLACK, edge=False)


__all__ = ["Choice", "PedalCurves", "Waterfall", "own_row", "pad_span"]
