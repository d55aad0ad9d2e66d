"""The frame of a pedal in its hanger, drawn: where ``pivot``, ``pin``, ``pad`` and ``seat`` are measured."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from generators.drawing.paper.dimensions import TEXT_MM, Clutter, Point, arrow, place_label
from generators.drawing.paper.pen import GREY, MEDIUM, THIN, Pen
from generators.drawing.part.body import Body
from generators.drawing.part.folded_view import PAPER_STEP_MM, draw_strokes
from generators.drawing.part.named_view import NamedView
from generators.drawing.part.views import RIGHT, Camera, extent, view
from generators.model.pedal_place import PedalPlace

_Page = Callable[[Point], Point]
_Seen = Callable[[float, float], Point]
"""Paper place, mm of the part, of what is so far up and out from the masters' axis at its panel."""

NAME = "A PEDAL IN IT, RIGHT SIDE"
PIN_OUT_MM, PAD_OUT_MM, PAD_DOWN_MM, SEAT_MM = 16.0, 75.0, 150.0, 10.0
PANEL_MM, CYLINDER_MM, BORE_MM = 3.0, 45.0, 16.0
ARROW_MM = 13.0
ROUND_MM = 1.0

WORDS = (
    "pin and pad are written [out, up], from the pivot, pedal at rest: out is square to the panel toward the "
    "driver, up lies along the panel; on a panel that leans, both lean with it. seat is the rod's seat "
    "in the piston, from the panel's near face into the cylinder (negative: short of it). Where the part "
    "itself carries the master, its web's front face stands for the panel. A pedal without a "
    "hanger gives pivot, seat_at and axis_to in the vehicle (rearward, right, up); its out is then rearward "
    "and its up is up."
)
"""The same in words, for under the picture."""


def pedal_view(body: Body, pivot: Point, place: PedalPlace | None = None) -> NamedView:
    """A view of the hanger with an example pedal; ``pivot`` is (up, out) from the masters' axis, mm.

    ``place`` is where a part that carries masters elsewhere than on its panel hangs its pedals. A pivot below
    the axis is a floor pedal's: its pad is drawn above it.
    """
    up, out = pivot
    rest = {
        "pivot": (up, out),
        "pin": (0.0, out + PIN_OUT_MM),
        "pad": (up - math.copysign(PAD_DOWN_MM, up), out + PAD_OUT_MM),
        "seat": (0.0, -SEAT_MM),
    }
    camera, seen = _camera(place)
    places = {name: seen(*at) for name, at in rest.items()}
    xs = [x for x, _ in places.values()] + [seen(0.0, -CYLINDER_MM)[0]]
    ys = [y for _, y in places.values()]
    x0, y0, x1, y1 = extent(body, camera)
    box = (min(*xs, x0), min(*ys, y0), max(*xs, x1), max(*ys, y1))

    def draw(pen: Pen, clutter: Clutter, scale: float, shift: Point) -> None:
        def page(p: Point) -> Point:
            return p[0] * scale + shift[0], p[1] * scale + shift[1]

        draw_strokes(pen, view(body, camera, PAPER_STEP_MM / scale), scale, shift, clutter=clutter)
        if place is None:
            _panel(pen, clutter, page, seen, box)
        _pedal(pen, clutter, {name: page(p) for name, p in places.items()})
        _cylinder(pen, page, seen, PANEL_MM if place is None else 0.0)
        at = page(places["pivot"])
        for name, turn in (("out", math.pi), ("up", math.pi / 2)):
            _arrow(pen, clutter, at, turn, name)
        _words(pen, clutter, {name: page(p) for name, p in places.items()})

    return NamedView(name=NAME, box=box, draw=draw)


def _camera(place: PedalPlace | None) -> tuple[Camera, _Seen]:
    """The view from the driver's right, and where it shows a place of the pedal's plane."""
    if place is None:
        camera, origin, up_way, out_way = (
            RIGHT,
            np.zeros(3),
            np.array([0.0, 1.0, 0.0]),
            np.array([0.0, 0.0, 1.0]),
        )
    else:
        origin, up_way = np.array(place.centre), np.array(place.up)
        out_way = np.cross(np.array(place.right), up_way)
        camera = Camera(RIGHT.name, -out_way, up_way, np.array(place.right))

    def seen(up: float, out: float) -> Point:
        x, y = camera.project((origin + up * up_way + out * out_way)[None, :])[0].tolist()
        return x, y

    return camera, seen


def _panel(
    pen: Pen, clutter: Clutter, page: _Page, seen: _Seen, box: tuple[float, float, float, float]
) -> None:
    """The panel's section, from below the hanger to above it."""
    (near, _), (far, _) = seen(0.0, 0.0), seen(0.0, -PANEL_MM)
    corners = [page(p) for p in ((near, box[1]), (far, box[1]), (far, box[3] + 6), (near, box[3] + 6))]
    pen.stroke(THIN, GREY)
    pen.polygon(corners)
    clutter.add_line([corners[0], corners[3]], 1.0)
    foot = page((far, box[1]))
    pen.text(foot[0] + 1.0, foot[1] + 1.0, "panel", TEXT_MM, grey=GREY)


def _pedal(pen: Pen, clutter: Clutter, at: dict[str, Point]) -> None:
    """Arm, rod and pad as lines; the pivot and the pin as circles."""
    pen.stroke(MEDIUM)
    for first, second in (("pivot", "pin"), ("pivot", "pad"), ("pin", "seat")):
        pen.line(*at[first], *at[second])
        clutter.add_line([at[first], at[second]], 1.5)
    for name in ("pivot", "pin", "seat"):
        pen.circle(*at[name], ROUND_MM)
    (px, py), (dx, dy) = at["pivot"], at["pad"]
    length = math.hypot(dx - px, dy - py)
    along = ((dx - px) / length * 5.0, (dy - py) / length * 5.0)
    pen.line(dx - along[0], dy - along[1], dx + along[0], dy + along[1])


def _cylinder(pen: Pen, page: _Page, seen: _Seen, behind_mm: float) -> None:
    """The cylinder's outline and its axis, beyond the panel."""
    low, high = page(seen(-BORE_MM, -behind_mm)), page(seen(BORE_MM, -CYLINDER_MM))
    pen.stroke(THIN, GREY)
    pen.polygon([low, (high[0], low[1]), high, (low[0], high[1])])
    pen.stroke(THIN, GREY, dash=(4.0, 1.0))
    pen.line(*page(seen(0.0, 10.0)), *page(seen(0.0, -CYLINDER_MM)))
    pen.stroke(THIN)


def _arrow(pen: Pen, clutter: Clutter, at: Point, turn: float, name: str) -> None:
    tip = at[0] + ARROW_MM * math.cos(turn), at[1] + ARROW_MM * math.sin(turn)
    pen.stroke(THIN)
    pen.line(*at, *tip)
    arrow(pen, tip, turn)
    clutter.add_line([at, tip], 1.5)
    pen.text(
        tip[0] - (5.5 if name == "out" else -1.2), tip[1] - (1.0 if name == "out" else 2.0), name, TEXT_MM
    )


def _words(pen: Pen, clutter: Clutter, at: dict[str, Point]) -> None:
    for name, text in (
        ("pivot", "pivot"),
        ("pin", "pin = [out, up]"),
        ("pad", "pad = [out, up]"),
        ("seat", "seat"),
    ):
        place_label(pen, clutter, at[name], ROUND_MM, text)
