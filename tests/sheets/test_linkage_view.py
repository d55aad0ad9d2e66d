"""The sketch is the linkage: same lengths, same turn, one scale."""

from __future__ import annotations

import math

import pytest
from sheet_pages import prepared

from generators.hydraulics.linkage import Linkage
from generators.sheets.pedal.linkage_view import LinkageView, pose, side_of, turned


@pytest.fixture(scope="module")
def link(tmp_path_factory: pytest.TempPathFactory) -> Linkage:
    return prepared(tmp_path_factory.mktemp("link"), "right").pedals[0].linkage


def distance(a: tuple[float, float], b: tuple[float, float]) -> float:
    return math.hypot(a[0] - b[0], a[1] - b[1])


@pytest.mark.parametrize("angle", [0.0, 0.1, 0.3, 0.5])
def test_the_rod_keeps_its_length_and_the_seat_its_axis(link: Linkage, angle: float) -> None:
    # the pin lies in the plane of the cylinder's axis, so the rod shows its true length from the side
    at = pose(link, angle)
    assert distance(at.pin, at.seat) == pytest.approx(link.rod_length_mm, rel=1e-12)
    assert at.seat[1] == pytest.approx(-62.0, abs=1e-9)
    assert distance(at.pin, (0, 0)) == pytest.approx(math.hypot(14, 60), rel=1e-12)
    assert distance(at.pad, (0, 0)) == pytest.approx(math.hypot(60, 330), rel=1e-12)


def test_pressing_moves_the_pad_forward_along_its_arc(link: Linkage) -> None:
    rest, down = turned(link, (60.0, -330.0), 0.0), turned(link, (60.0, -330.0), 0.01)
    assert rest == (60.0, -330.0)
    assert down[0] < rest[0]
    assert distance(rest, down) == pytest.approx(2 * math.hypot(60, 330) * math.sin(0.005), rel=1e-9)


def test_the_pivot_is_the_origin_of_the_picture(link: Linkage) -> None:
    assert side_of(link, link.frame.pivot) == (0.0, 0.0)
    assert side_of(link, link.frame.seat) == pytest.approx((-103.0, -62.0))


@pytest.mark.parametrize("box", [(60.0, 60.0), (72.0, 92.0), (180.0, 90.0)])
def test_everything_is_drawn_to_the_scale_it_says_and_inside_its_box(
    link: Linkage, box: tuple[float, float]
) -> None:
    view = LinkageView(
        link,
        reach_mm=148.5,
        pressed="at the stop",
        bore_mm=19.05,
        stroke_mm=35.56,
        width_mm=box[0],
        height_mm=box[1],
    )
    at = pose(link, 148.5 / link.pad_radius_mm)
    for a, b in ((at.pin, at.seat), ((0.0, 0.0), at.pad), (link.pad, at.pad)):
        assert distance(view.place(a), view.place(b)) * view.scale == pytest.approx(distance(a, b), rel=1e-9)
    for point in ((0.0, 0.0), link.pad, at.pad, at.seat, link.pin):
        x, y = view.place(point)
        assert 0 < x < box[0]
        assert 0 < y < box[1]
