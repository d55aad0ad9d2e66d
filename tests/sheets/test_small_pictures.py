"""The small pictures beside steps: every hole a step names has its number there, and no words lie on others.

What is wanted of them is a reader's: who looks for hole G of the step finds it, and can read what stands there.
"""

from __future__ import annotations

from dataclasses import replace
from unittest.mock import create_autospec

import pytest
import shapely
from finished_words import Sheet
from shapely import LineString

from generators.drawing.paper.pen import Pen, text_width
from generators.geometry.contours import bounds, rectangle
from generators.jobs.make.line_sheets import lines_sheet
from generators.model.contour import Contour
from generators.model.plan import KeepOut
from generators.sheets.hose_views import HoseView, obstacle_corners
from generators.sheets.install.existing import panel_ways, side
from generators.sheets.panel_view import MARGIN_MM, PanelView

WIDE_MM = 60.0
"""Of a picture that stands beside another and a table: a third of an A4 page between its margins."""

AIR_MM = 1.0
"""A line that leads a name ends no further from its letters."""

CAPITAL = 0.7
"""Height of a capital over its letters' size: Helvetica 0.718, from its metrics."""


def written(pen: Pen) -> list[tuple[str, tuple[float, float, float, float]]]:
    """Every text with the box its capitals fill."""
    found = []
    for call in pen.text.call_args_list:  # type: ignore[attr-defined]
        x, y, words, size = call.args
        wide = text_width(words, size, bold=call.kwargs.get("bold", False))
        left = x - wide / 2 if call.kwargs.get("align") == "centre" else x
        found.append((words, (left, y, left + wide, y + CAPITAL * size)))
    return found


def test_every_hole_of_a_step_has_its_number_and_no_words_lie_on_others(sheet: Sheet) -> None:
    for layout in sheet.job.layouts:
        for part in {name for hole in layout.holes for name in hole.owners}:
            lit = tuple(hole.number for hole in layout.holes if part in hole.owners)
            view = PanelView(layout, width_mm=WIDE_MM, lit=lit, name_all=False)
            pen = create_autospec(Pen, instance=True)
            view.paint(pen)
            texts = written(pen)
            assert set(lit) <= {words for words, _box in texts}, (layout.panel, part)
            for k, (one, a) in enumerate(texts):
                assert a[0] >= 0, one
                assert a[2] <= WIDE_MM + 0.01, f"{one}: runs into what stands beside the picture"
                for two, b in texts[:k]:
                    apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
                    assert apart, (layout.panel, one, two)


@pytest.mark.parametrize("beyond", [(0.75, 1.9), (-0.9, 0.25)])
def test_what_goes_on_beyond_the_panel_is_named_within_the_picture(
    sheet: Sheet, beyond: tuple[float, float]
) -> None:
    """A pipe whose middle lies off the panel: its name ran over the picture's edge."""
    layout = replace(sheet.job.layouts[0], holes=(), keepouts=(), footprints=())
    u0, v0, u1, v1 = bounds(layout.contour)
    left, right = (u0 + share * (u1 - u0) for share in beyond)
    pipe = KeepOut(
        name="pipe",
        face="cab",
        contour=rectangle(left, (v0 + v1) / 2 - 60.0, right, (v0 + v1) / 2 + 60.0),
        gap_mm=20.0,
        depth_mm=40.0,
        reason="heater pipe",
    )
    pen = create_autospec(Pen, instance=True)
    PanelView(replace(layout, keepouts=(pipe,)), width_mm=WIDE_MM).paint(pen)
    (box,) = (box for words, box in written(pen) if words == "heater pipe")
    assert box[0] >= 0
    assert box[2] <= WIDE_MM


@pytest.mark.parametrize(
    ("facing", "cab", "engine"),
    [
        ("", "cab side", "engine side"),
        ("down", "cab side (here the lower one)", "engine side (here the upper one)"),
        ("up", "cab side (here the upper one)", "engine side (here the lower one)"),
        ("forward", "cab side (which looks forward)", "engine side"),
    ],
)
def test_a_panel_that_does_not_face_the_driver_says_which_side_is_meant(
    sheet: Sheet, facing: str, cab: str, engine: str
) -> None:
    """A face that looks down is the lower one: nobody under a dash finds its cab side by that word."""
    layout = replace(sheet.job.layouts[0], facing=facing)
    assert (side(layout, "cab"), side(layout, "engine")) == (cab, engine)
    words = " ".join(one.how for one in panel_ways(layout))
    for keepout in layout.keepouts:
        wanted = side(layout, keepout.face).replace(" (", ", ").removesuffix(")")
        assert keepout.bead or f"{keepout.reason} ({wanted})" in words


def test_a_grey_body_in_the_picture_of_a_hose_is_named(sheet: Sheet) -> None:
    """What moves or is hot is filled grey: each such body in sight has its name once, if there is room."""
    lines = lines_sheet(sheet.job.lines, sheet.job.file.job, sheet.job.file.units)
    grey = {o.name.replace("_", " ") for o in lines.obstacles if o.kind != "fixed" and obstacle_corners(o)}
    if not grey or not lines.hoses:
        return
    told: set[str] = set()
    for hose in lines.hoses:
        for view in ("side", "driver"):
            pen = create_autospec(Pen, instance=True)
            HoseView(lines, width_mm=85.0, view=view, lit=hose.spec.name).paint(pen)
            names = [words for words, _box in written(pen) if words in grey]
            assert len(names) == len(set(names))
            told |= set(names)
    assert told


def test_a_name_beside_a_thing_is_nearest_to_it_or_led_to_it(sheet: Sheet) -> None:
    """Two strips on one face, one close over the other: a name between them was taken for the wrong one."""
    layout = replace(sheet.job.layouts[0], holes=(), keepouts=(), footprints=())
    u0, v0, u1, v1 = bounds(layout.contour)
    wide, high = u1 - u0, v1 - v0
    strips = {
        "upper strip": rectangle(u0 + 0.15 * wide, v0 + 0.14 * high, u0 + 0.75 * wide, v0 + 0.17 * high),
        "lower strip": rectangle(u0, v0 + 0.05 * high, u1, v0 + 0.09 * high),
    }
    keepouts = tuple(
        KeepOut(name=name, face="cab", contour=contour, gap_mm=0.0, depth_mm=20.0, reason=name)
        for name, contour in strips.items()
    )
    pen = create_autospec(Pen, instance=True)
    view = PanelView(replace(layout, keepouts=keepouts), width_mm=WIDE_MM)
    view.paint(pen)
    boxes = {words: shapely.box(*at) for words, at in written(pen) if words in strips}
    # the panel is drawn from the margin up, at the picture's own scale
    there = {name: _drawn(contour, view, (u0, v0)) for name, contour in strips.items()}
    lines = [LineString([call.args[:2], call.args[2:4]]) for call in pen.line.call_args_list]  # type: ignore[attr-defined]
    assert boxes
    for name, words in boxes.items():
        other = next(x for x in strips if x != name)
        led = [one for one in lines if one.distance(words) < AIR_MM]
        if led:
            assert all(one.distance(there[name]) < 0.1 and not one.intersects(there[other]) for one in led)
        else:
            assert words.distance(there[name]) < words.distance(there[other])


def _drawn(contour: Contour, view: PanelView, low: tuple[float, float]) -> shapely.Polygon:
    corners = [
        (MARGIN_MM + (p.u - low[0]) * view.scale, MARGIN_MM + (p.v - low[1]) * view.scale)
        for p in contour.vertices
    ]
    return shapely.Polygon(corners)
