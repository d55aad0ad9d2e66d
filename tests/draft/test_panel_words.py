"""Words and pins of a drafted panel: none over the head, and a name off its part has a line to it."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely

from generators.drawing.pack.first_page import nowhere
from generators.geometry.contours import bounds, polygon
from generators.jobs.draft.pins import pinned
from generators.sheets.draft.panel import PanelDraft
from generators.sheets.panel_view import HEAD_MM
from generators.solve.job import Prepared


def test_a_pin_of_the_whole_panel_lies_below_the_head(prepared: Prepared) -> None:
    layout = next(x for x in prepared.layouts if x.panel == "firewall")
    u0, _v0, _u1, v1 = bounds(layout.contour)
    pin = replace(pinned(prepared)[0], spots=(("firewall", u0, v1),))
    for face in ("cab", "engine"):
        picture = PanelDraft(layout, face, room=(182.0, 205.0), pins=(pin,))
        picture.paint(nowhere())
        ((_number, _left, low, _width, height),) = picture.pinned_at
        assert low + height <= picture.size[1] - HEAD_MM


def test_a_name_off_its_part_is_led_to_its_rim(prepared: Prepared) -> None:
    layout = next(x for x in prepared.layouts if x.panel == "firewall")
    # drawn 1:5 the part is 6 mm by 4 mm: no room for 30 letters of 2.3 mm in it
    small = replace(layout.footprints[0], contour=polygon([(300, 300), (330, 300), (330, 320), (300, 320)]))
    picture = PanelDraft(replace(layout, footprints=(small,)), "cab", room=(182.0, 205.0))
    picture.paint(nowhere())
    x0, y0, per_u, per_v = picture.frame
    part = shapely.box(x0 + 300 * per_u, y0 + 300 * per_v, x0 + 330 * per_u, y0 + 320 * per_v)
    ((start, end),) = picture.led
    assert part.exterior.distance(shapely.Point(end)) == pytest.approx(0.0, abs=1e-6)
    assert part.distance(shapely.Point(start)) == pytest.approx(
        shapely.Point(start).distance(shapely.Point(end))
    )
