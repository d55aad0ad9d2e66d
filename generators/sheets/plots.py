"""Small charts drawn with a ``Pen``: round ticks, labels with units, and no colour to tell lines apart.

Printed in grey, photocopied and read at arm's length: so lines differ by dash and carry their own names.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.drawing.paper.pen import BLACK, LIGHT, MEDIUM, THIN, WHITE, Pen, text_width

Array = NDArray[np.float64]

TEXT_MM, SMALL_MM = 2.7, 2.4
GRID, BAND, BAR = LIGHT, 0.93, 0.74
DASHED, DOTTED, CHAIN = (2.0, 1.0), (0.5, 0.9), (4.0, 1.0, 0.7, 1.0)
_TICK_MM = 1.2
_HALO_MM = 0.4


def round_step(span: float, most: int) -> float:
    """The smallest 1, 2 or 5 times a power of ten that goes into ``span`` at most ``most`` times.

    Raises ``ValueError`` for a span that is not a positive number.
    """
    if not (math.isfinite(span) and span > 0):
        raise ValueError(f"no ticks on a span of {span}")
    rough = span / most
    power = 10.0 ** math.floor(math.log10(rough))
    for factor in (1.0, 2.0, 5.0):
        if factor * power >= rough * (1 - 1e-9):
            return factor * power
    return 10.0 * power


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """What an axis shows: from ``lo`` to ``hi`` with a tick every ``step``, all round numbers."""

    lo: float
    hi: float
    step: float

    @property
    def ticks(self) -> tuple[float, ...]:
        """The places of the ticks, rising."""
        count = round((self.hi - self.lo) / self.step)
        return tuple(self.lo + n * self.step for n in range(count + 1))

    def label(self, value: float) -> str:
        """A tick's number with just the decimals its step needs."""
        places = max(0, -math.floor(math.log10(self.step) + 1e-9))
        return f"{value + 0.0:.{places}f}"


def span_of(low: float, high: float, most: int = 6) -> Span:
    """Round ends around ``low`` and ``high``; an axis of nothing shows one step."""
    low, high = min(low, high), max(low, high)
    if high - low <= 1e-9 * max(abs(high), 1.0):
        high = low + max(abs(low), 1.0)
    step = round_step(high - low, most)
    return Span(lo=math.floor(low / step + 1e-9) * step, hi=math.ceil(high / step - 1e-9) * step, step=step)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """A plotting box on the page, mm, with what its axes show."""

    left: float
    bottom: float
    width: float
    height: float
    x: Span
    y: Span

    @property
    def right(self) -> float:
        """Right edge, mm."""
        return self.left + self.width

    @property
    def top(self) -> float:
        """Top edge, mm."""
        return self.bottom + self.height

    def at_x(self, value: float) -> float:
        """Where an x value lies, mm."""
        return self.left + (value - self.x.lo) / (self.x.hi - self.x.lo) * self.width

    def at_y(self, value: float) -> float:
        """Where a y value lies, mm."""
        return self.bottom + (value - self.y.lo) / (self.y.hi - self.y.lo) * self.height


def draw_axes(pen: Pen, plot: Plot, *, x_label: str = "", y_label: str = "", numbers: bool = True) -> None:
    """Frame, faint grid, ticks and labels; without ``numbers`` the x axis belongs to a chart below."""
    pen.stroke(THIN, GRID)
    for value in plot.y.ticks[1:-1]:
        pen.line(plot.left, plot.at_y(value), plot.right, plot.at_y(value))
    pen.stroke(MEDIUM, BLACK)
    pen.line(plot.left, plot.bottom, plot.right, plot.bottom)
    pen.line(plot.left, plot.bottom, plot.left, plot.top)
    pen.stroke(THIN, BLACK)
    for value in plot.y.ticks:
        y = plot.at_y(value)
        pen.line(plot.left - _TICK_MM, y, plot.left, y)
        pen.text(plot.left - _TICK_MM - 0.6, y - 0.85, plot.y.label(value), SMALL_MM, align="right")
    for value in plot.x.ticks:
        x = plot.at_x(value)
        pen.line(x, plot.bottom - _TICK_MM, x, plot.bottom)
        if numbers:
            pen.text(x, plot.bottom - _TICK_MM - 2.6, plot.x.label(value), SMALL_MM, align="centre")
    if x_label:
        pen.text(plot.left + plot.width / 2, plot.bottom - _TICK_MM - 6.2, x_label, TEXT_MM, align="centre")
    if y_label:
        pen.text(
            plot.left - 9.5,
            plot.bottom + plot.height / 2,
            y_label,
            TEXT_MM,
            align="centre",
            angle_deg=90.0,
        )


def draw_curve(
    pen: Pen,
    plot: Plot,
    xs: Array,
    ys: Array,
    *,
    width: float = 0.5,
    dash: Sequence[float] | None = None,
    grey: float = BLACK,
) -> None:
    """A line through the finite points, cut at the box. A single point draws nothing."""
    good = np.isfinite(xs) & np.isfinite(ys)
    points = [(plot.at_x(float(x)), plot.at_y(float(y))) for x, y in zip(xs[good], ys[good], strict=True)]
    if len(points) < 2:
        return
    pen.stroke(width, grey, dash)
    with pen.clipped(plot.left, plot.bottom, plot.width, plot.height):
        pen.polygon(points, closed=False)


def draw_band(pen: Pen, plot: Plot, low: float, high: float, grey: float = BAND) -> None:
    """A light upright band between two x values, behind everything drawn after it."""
    x0, x1 = (plot.at_x(min(max(v, plot.x.lo), plot.x.hi)) for v in (low, high))
    if x1 > x0:
        pen.rect(x0, plot.bottom, x1 - x0, plot.height, fill=grey, edge=False)


def draw_tag(
    pen: Pen,
    x: float,
    y: float,
    text: str,
    *,
    size: float = SMALL_MM,
    bold: bool = False,
    align: str = "left",
    grey: float = BLACK,
) -> None:
    """Text on a white ground, so that a line behind it does not run through the letters."""
    wide = text_width(text, size, bold=bold)
    left = x - {"left": 0.0, "centre": wide / 2, "right": wide}[align]
    pen.rect(left - _HALO_MM, y - 0.5, wide + 2 * _HALO_MM, size * 0.95, fill=WHITE, edge=False)
    pen.text(x, y, text, size, bold=bold, align=align, grey=grey)


def draw_point(pen: Pen, x: float, y: float, *, filled: bool = True, size: float = 1.5) -> None:
    """A round mark."""
    pen.stroke(MEDIUM, BLACK)
    pen.circle(x, y, size, fill=BLACK if filled else WHITE)


def draw_level(pen: Pen, plot: Plot, value: float, label: str) -> None:
    """A thin dashed line across the box at a y value, named at its left end."""
    if plot.y.lo <= value <= plot.y.hi:
        y = plot.at_y(value)
        pen.stroke(THIN, BLACK, DASHED)
        pen.line(plot.left, y, plot.right, y)
        draw_tag(pen, plot.left + 2, y - 0.85, label)


def spread(places: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """The places moved apart to ``gap``, each as little as it needs, kept between ``low`` and ``high``.

    Order is kept. Places that do not fit lie closer than ``gap``. Raises nothing.
    """
    order = sorted(range(len(places)), key=lambda i: places[i])
    if not order:
        return []
    gap = min(gap, (high - low) / max(len(order) - 1, 1))
    moved = [min(max(places[i], low), high) for i in order]
    for k in range(1, len(moved)):
        moved[k] = max(moved[k], moved[k - 1] + gap)
    moved[-1] = min(moved[-1], high)
    for k in range(len(moved) - 2, -1, -1):
        moved[k] = min(moved[k], moved[k + 1] - gap)
    out = [0.0] * len(places)
    for k, i in enumerate(order):
        out[i] = moved[k]
    return out


def label_ends(
    pen: Pen, plot: Plot, x: float, ends: Sequence[tuple[float, str]], place: Callable[[float], float]
) -> None:
    """Names of lines beside their ends at page ``x``; ``ends`` are y values with names."""
    wanted = [place(value) - 0.85 for value, _name in ends]
    places = spread(wanted, 3.0, plot.bottom - 0.5, plot.top - 1.5)
    for y, (_value, name) in zip(places, ends, strict=True):
        draw_tag(pen, x + 1.2, y, name)
