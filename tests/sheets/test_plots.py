"""Axes are round and cover what they show; labels keep their distance."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import cast

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from generators.drawing.paper.pen import Pen
from generators.sheets.plots import Plot, Span, draw_curve, round_step, span_of, spread

SIZES = st.floats(1e-3, 1e6)


@given(SIZES, st.integers(1, 15))
def test_a_step_is_1_2_or_5_and_never_too_many(span: float, most: int) -> None:
    step = round_step(span, most)
    mantissa = step / 10 ** math.floor(math.log10(step) + 1e-9)
    assert min(abs(mantissa - m) for m in (1, 2, 5, 10)) < 1e-9
    assert span / step <= most * (1 + 1e-6)
    assert span / step > most / 2.5 * (1 - 1e-6), "a coarser step than needed"


@pytest.mark.parametrize("span", [0.0, -1.0, math.inf, math.nan])
def test_no_step_for_no_span(span: float) -> None:
    with pytest.raises(ValueError, match="no ticks"):
        round_step(span, 5)


@given(st.floats(-1e4, 1e4), st.floats(-1e4, 1e4), st.integers(2, 12))
def test_a_span_covers_what_it_shows_and_ticks_both_ends(a: float, b: float, most: int) -> None:
    span = span_of(a, b, most)
    assert span.lo <= min(a, b) + 1e-6 * span.step
    assert span.hi >= max(a, b) - 1e-6 * span.step
    assert span.ticks[0] == span.lo
    assert span.ticks[-1] == pytest.approx(span.hi, abs=1e-6 * span.step)
    assert len(span.ticks) <= most + 3


def test_tick_numbers_have_the_decimals_their_step_needs() -> None:
    assert [Span(lo=0, hi=1, step=0.5).label(v) for v in (0, 0.5, 1)] == ["0.0", "0.5", "1.0"]
    assert Span(lo=0, hi=200, step=50).label(150) == "150"
    assert Span(lo=0, hi=0.1, step=0.02).label(0.02) == "0.02"
    assert Span(lo=-1, hi=1, step=1).label(-0.0) == "0"


def test_a_plot_places_ends_and_middle() -> None:
    plot = Plot(
        left=10, bottom=5, width=100, height=40, x=Span(lo=0, hi=200, step=50), y=Span(lo=-1, hi=1, step=1)
    )
    assert (plot.at_x(0), plot.at_x(100), plot.at_x(200)) == (10, 60, 110)
    assert (plot.at_y(-1), plot.at_y(0), plot.at_y(1)) == (5, 25, 45)


class FakePen:
    """Remembers the polylines it is asked for."""

    def __init__(self) -> None:
        self.lines: list[list[tuple[float, float]]] = []

    def stroke(self, *args: object) -> None:
        pass

    def clipped(self, *args: float) -> FakePen:
        return self

    def __enter__(self) -> None:
        pass

    def __exit__(self, *args: object) -> None:
        pass

    def polygon(self, points: list[tuple[float, float]], *, closed: bool) -> None:
        assert not closed
        self.lines.append(points)


def test_a_curve_leaves_out_what_is_not_finite() -> None:
    plot = Plot(
        left=0, bottom=0, width=10, height=10, x=Span(lo=0, hi=10, step=1), y=Span(lo=0, hi=10, step=1)
    )
    pen = FakePen()
    xs = np.array([0.0, 1.0, np.inf, 3.0, 4.0])
    ys = np.array([0.0, np.nan, 2.0, 3.0, np.inf])
    draw_curve(cast(Pen, pen), plot, xs, ys)
    assert pen.lines == [[(0.0, 0.0), (3.0, 3.0)]]
    draw_curve(cast(Pen, pen), plot, xs[:1], ys[:1])
    assert len(pen.lines) == 1


@given(st.lists(st.floats(-50, 150), min_size=1, max_size=8), st.floats(0.5, 10))
def test_labels_keep_order_distance_and_place(places: list[float], gap: float) -> None:
    moved = spread(places, gap, 0.0, 100.0)
    assert all(-1e-9 <= m <= 100 + 1e-9 for m in moved)
    ranked = sorted(range(len(places)), key=lambda i: places[i])
    for a, b in pairwise(ranked):
        assert moved[b] - moved[a] >= gap - 1e-6


def test_labels_with_room_stay_where_they_are() -> None:
    assert spread([10.0, 30.0, 20.0], 5.0, 0.0, 100.0) == [10.0, 30.0, 20.0]
    assert spread([], 5.0, 0.0, 100.0) == []
