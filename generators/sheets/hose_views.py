"""The hose layout from the side and as the driver sees it, and the height along each run."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from generators.drawing.paper.pen import BLACK, GREY, LIGHT, MEDIUM, THICK, THIN, WHITE, Pen, wrap_text
from generators.drawing.template.callouts import LINE, PAD, Line, Placer
from generators.drawing.template.taken import along, ring
from generators.model.hose_path import Box3, Cylinder3, HosePath, Obstacle3, Panel3, Point3, Prism3
from generators.model.hose_results import RiseProfile
from generators.model.spec.titles import capital
from generators.routing.paths.curves import at_station, sampled
from generators.sheets.document import Picture
from generators.sheets.hose_words import LinesSheet, end_words, title_of
from generators.sheets.plots import Plot, draw_axes, draw_curve, draw_level, draw_point, draw_tag, span_of

Array = NDArray[np.float64]
Flat = list[tuple[float, float]]

MARGIN_MM = 2.0
HEAD_MM = 5.0
AROUND_MM = 70.0
"""What is shown round the hoses, in the vehicle."""

TALLEST_MM = 118.0
TALLEST_LIT_MM = 48.0
PALE = 0.72
LEAST_HOSE_MM = 0.7
LABEL_MM = 2.5
MARK_MM, DOT_MM = 1.4, 0.6
LEAST_BAND_MM2 = 6.0
"""A grey body of which less is in the picture has no name in it. Ours."""

NARROW, NARROWER = 0.8, 0.5
"""Of the picture's width: how wide a label in lines may be."""

STEP_MM = 4.0
VIEWS = {
    "side": (0, 2, "From the vehicle's left, front on the left"),
    "driver": (1, 2, "As the driver sees it"),
}
"""Vehicle axes drawn to the right and up, and what the view is called."""

LEAST_TALL_MM = 24.0
"""A hose picture is no lower: a name in four lines fits. Ours."""


class HoseView(Picture):
    """Panels, cylinders, what is in the way, and the hoses as wide as they are, to one scale.

    With ``lit``, a hose's name, it is the view of that hose: what is round it, its ends and clamps named,
    all others pale.
    """

    def __init__(
        self, lines: LinesSheet, *, width_mm: float, view: str, lit: str = "", headed: bool = True
    ) -> None:
        """Without ``headed`` its words are left to whoever shows it."""
        self.crowded = False
        """Whether a name it painted lies on something for want of room."""
        self._lines = lines
        self._headed = headed
        self._lit = lit
        right, up, self._seen = VIEWS[view]
        self._axes = (right, up)
        self._paths = [
            (hose, np.asarray(sampled(hose.path, STEP_MM)[1])[:, [right, up]])
            for hose in lines.hoses
            if hose.path is not None
        ]
        shown = [points for hose, points in self._paths if lit in ("", hose.spec.name)]
        if not lit:
            shown += [self._flat(place)[None, :] for place in lines.ports.values()]
        cloud = np.vstack(shown)
        self._low, high = cloud.min(axis=0) - AROUND_MM, cloud.max(axis=0) + AROUND_MM
        wide, tall = (float(v) for v in high - self._low)
        across = width_mm - 2 * MARGIN_MM
        self._scale = min(across / wide, (TALLEST_LIT_MM if lit else TALLEST_MM) / tall)
        # a narrow run is shown with more of what is beside it: names need the room
        self._low[0] -= (across / self._scale - wide) / 2
        # nor is a flat run lower than a name of several lines
        spare = max(LEAST_TALL_MM / self._scale - tall, 0.0)
        self._low[1] -= spare / 2
        tall += spare
        super().__init__(width_mm, tall * self._scale + (HEAD_MM if headed else 0.0) + 2 * MARGIN_MM)
        self._box = (MARGIN_MM, MARGIN_MM, across, tall * self._scale)

    @property
    def words(self) -> str:
        """From where it is seen."""
        return self._seen

    def _flat(self, place: Point3) -> Array:
        return np.array([place[self._axes[0]], place[self._axes[1]]])

    def _page(self, points: Array) -> Flat:
        moved = (points - self._low) * self._scale + MARGIN_MM
        return [(x, y) for x, y in moved.tolist()]

    def _hull(self, corners: Sequence[Point3]) -> Flat:
        page = self._page(np.array(corners)[:, list(self._axes)])
        hull = shapely.convex_hull(shapely.multipoints(page))
        if isinstance(hull, Polygon):
            return [(float(x), float(y)) for x, y in hull.exterior.coords]
        return [(float(x), float(y)) for x, y in hull.coords]

    def paint(self, pen: Pen) -> None:
        """Back to front: panels, obstacles, cylinders, hoses, names."""
        lines = self._lines
        self.crowded = False
        if self._headed:
            words = f"{self._seen}; about 1 : {1 / self._scale:.1f}"
            pen.text(MARGIN_MM, self.size[1] - 3.2, words, 2.6, grey=GREY)
        x, y, wide, tall = self._box
        with pen.clipped(x, y, wide, tall):
            for panel in lines.panels:
                pen.stroke(MEDIUM, GREY)
                pen.polygon(self._hull(panel_corners(panel)), fill=0.97)
            for obstacle in lines.obstacles:
                corners = obstacle_corners(obstacle)
                if corners:
                    pen.stroke(THIN, GREY, (0.8, 0.6) if obstacle.kind == "fixed" else None)
                    pen.polygon(self._hull(corners), fill=None if obstacle.kind == "fixed" else LIGHT)
            for hose, points in self._paths:
                if self._lit in ("", hose.spec.name):
                    self._rod(pen, points, hose.outside_mm, hose.spec.kind == "rigid")
                else:
                    pen.stroke(max(hose.outside_mm * self._scale, LEAST_HOSE_MM), PALE)
                    pen.polygon(self._page(points), closed=False)
            for place in self._ports().values():
                px, py = self._page(self._flat(place)[None, :])[0]
                pen.stroke(THIN, BLACK)
                pen.circle(px, py, MARK_MM, fill=WHITE)
        pen.stroke(THIN, GREY)
        pen.rect(x, y, wide, tall)
        self._names(pen)

    def _ports(self) -> dict[str, Point3]:
        """The ports that are marked: all, or the two of the hose that is lit."""
        if not self._lit:
            return dict(self._lines.ports)
        spec = self._lines.hose(self._lit).spec
        return {name: self._lines.ports[name] for name in (spec.from_, spec.to)}

    def _rod(self, pen: Pen, points: Array, outside_mm: float, rigid: bool) -> None:
        wide = max(outside_mm * self._scale, LEAST_HOSE_MM)
        pen.stroke(wide, 0.15)
        pen.polygon(self._page(points), closed=False)
        if not rigid:
            pen.stroke(wide * 0.45, 0.75)
            pen.polygon(self._page(points), closed=False)

    def _names(self, pen: Pen) -> None:
        x, y, wide, tall = self._box
        placer = Placer((x, y, x + wide, y + tall))
        pages = [self._page(points) for _, points in self._paths]
        for page in pages:
            if len(page) > 1:
                placer.keep_clear(along(page))
        for place in self._ports().values():
            px, py = self._page(self._flat(place)[None, :])[0]
            placer.keep_clear(ring(px, py, MARK_MM / 2))
        if self._lit:
            self._lit_names(pen, placer)
            return
        for number, page in enumerate(pages, 1):
            px, py = page[len(page) // 2]
            self._label(pen, placer, px, py, f"{number} {self._paths[number - 1][0].title}", bold=True)
        for component in self._lines.components:
            ports = [at for name, at in self._lines.ports.items() if name.split(".")[0] == component.name]
            if ports:
                px, py = self._page(np.mean([self._flat(p) for p in ports], axis=0)[None, :])[0]
                self._label(pen, placer, px, py, title_of(component))

    def _lit_names(self, pen: Pen, placer: Placer) -> None:
        hose = self._lines.hose(self._lit)
        for name, place in self._ports().items():
            px, py = self._page(self._flat(place)[None, :])[0]
            self._label(pen, placer, px, py, capital(end_words(self._lines, name)), bold=True)
        if hose.path is not None:
            self._held(pen, placer, hose.path)
        self._bands(pen, placer)

    def _held(self, pen: Pen, placer: Placer, path: HosePath) -> None:
        """Clamps and grommets of the hose, with their names."""
        for support in path.supports[1:-1]:
            if support.kind in ("clamp", "grommet"):
                at, _way = at_station(path, support.station_mm)
                px, py = self._page(self._flat(at)[None, :])[0]
                pen.stroke(MEDIUM, BLACK)
                pen.rect(px - MARK_MM / 2, py - MARK_MM / 2, MARK_MM, MARK_MM, fill=WHITE)
                self._label(pen, placer, px, py, support.name.replace("_", " "))

    def _bands(self, pen: Pen, placer: Placer) -> None:
        """The name of each grey body: what moves, is hot or is the steering lies in sight for a reason."""
        x, y, wide, tall = self._box
        frame = shapely.box(x, y, x + wide, y + tall)
        bodies: dict[str, list[Polygon]] = {}
        for obstacle in self._lines.obstacles:
            corners = obstacle_corners(obstacle) if obstacle.kind != "fixed" else ()
            if corners:
                seen = Polygon(self._hull(corners)).intersection(frame)
                if isinstance(seen, Polygon) and seen.area >= LEAST_BAND_MM2:
                    bodies.setdefault(obstacle.name.replace("_", " "), []).append(seen)
        for name, pieces in bodies.items():
            at = max(pieces, key=lambda piece: piece.area).representative_point()
            self._label(pen, placer, at.x, at.y, name, dot=True)

    def _label(
        self,
        pen: Pen,
        placer: Placer,
        x: float,
        y: float,
        words: str,
        *,
        bold: bool = False,
        dot: bool = False,
    ) -> None:
        # in a narrow picture the words stand in lines: what runs over its edge cannot be read
        texts = [[Line(words, LABEL_MM, bold=bold)]]
        for share in (NARROW, NARROWER):
            lines = wrap_text(words, LABEL_MM, share * self._box[2], bold=bold)
            texts.append([Line(text, LABEL_MM, bold=bold) for text in lines])
        texts = [lines for k, lines in enumerate(texts) if lines not in texts[:k]]
        label = placer.callout(x, y, MARK_MM / 2, texts)
        if label is None and bold:
            # an end of the hose is named in any case
            label = placer.beside(x, y, MARK_MM / 2, texts[-1])
            self.crowded = self.crowded or label.bare
        if label is None:
            return
        left, low, right, high = label.box
        # the place beside a mark that touches least may lie beyond the edge
        x0, y0, wide, tall = self._box
        across = max(x0 - left, 0.0) + min(x0 + wide - right, 0.0)
        up_by = max(y0 - low, 0.0) + min(y0 + tall - high, 0.0)
        left, low, right, high = left + across, low + up_by, right + across, high + up_by
        if label.leader is not None:
            pen.stroke(THIN, GREY)
            pen.line(*label.leader[0], *label.leader[1])
        if dot:
            pen.circle(x, y, DOT_MM, fill=GREY, edge=False)
        pen.rect(left, low, right - left, high - low, fill=WHITE, edge=False)
        for k, line in enumerate(label.lines, 1):
            up = (len(label.lines) - k) * LABEL_MM * LINE
            pen.text(left + PAD, low + PAD + up, line.text, LABEL_MM, bold=bold)


def panel_corners(panel: Panel3) -> list[Point3]:
    """Corners of a panel's cab face in the vehicle, mm."""
    return [_at(panel.origin, panel.u, panel.v, u, v) for u, v in panel.outline]


def _at(origin: Point3, u: Point3, v: Point3, a: float, b: float, w: Point3 = (0.0, 0.0, 0.0)) -> Point3:
    x, y, z = (o + a * p + b * q + r for o, p, q, r in zip(origin, u, v, w, strict=True))
    return x, y, z


# every picture of a job shows the same obstacles
@lru_cache(maxsize=1024)
def obstacle_corners(obstacle: Obstacle3) -> tuple[Point3, ...]:
    """Points whose hull is what an obstacle covers in any view; none for a pedal in motion."""
    if isinstance(obstacle, Prism3):
        normal = np.cross(np.array(obstacle.u), np.array(obstacle.v))
        out = []
        for height in (obstacle.low_mm, obstacle.high_mm):
            rise = tuple(float(c) * height for c in normal)
            out += [
                _at(obstacle.origin, obstacle.u, obstacle.v, u, v, (rise[0], rise[1], rise[2]))
                for u, v in obstacle.outline
            ]
        return tuple(out)
    if isinstance(obstacle, Box3):
        u, v = np.array(obstacle.u), np.array(obstacle.v)
        w, half = np.cross(u, v), obstacle.half_mm
        signs = [(a, b, c) for a in (-1, 1) for b in (-1, 1) for c in (-1, 1)]
        corners = [
            np.array(obstacle.centre) + a * half[0] * u + b * half[1] * v + c * half[2] * w
            for a, b, c in signs
        ]
        return tuple((float(p[0]), float(p[1]), float(p[2])) for p in corners)
    if isinstance(obstacle, Cylinder3):
        return tuple(_cylinder_corners(obstacle))
    return ()


def _cylinder_corners(body: Cylinder3) -> list[Point3]:
    start, end = np.array(body.start), np.array(body.end)
    way = (end - start) / np.linalg.norm(end - start)
    side = np.cross(way, np.eye(3)[int(np.argmin(np.abs(way)))])
    side /= np.linalg.norm(side)
    other = np.cross(way, side)
    turns = np.linspace(0.0, 2 * np.pi, 24, endpoint=False)
    rim = body.radius_mm * (np.outer(np.cos(turns), side) + np.outer(np.sin(turns), other))
    return [(float(p[0]), float(p[1]), float(p[2])) for p in np.vstack([start + rim, end + rim])]


class RiseChart(Picture):
    """Height along one run from the slave to the reservoir, with every trap named."""

    def __init__(
        self,
        lines: LinesSheet,
        names: Sequence[str],
        profile: RiseProfile,
        level_mm: float | None,
        width_mm: float,
    ) -> None:
        super().__init__(width_mm, 62.0)
        self._hoses = [lines.hose(name) for name in names]
        self._profile = profile
        self._level = level_mm

    def paint(self, pen: Pen) -> None:
        """Axes, the curve, the joints between hoses, the fluid level and the traps."""
        heights: list[float] = [point.height_mm for point in self._profile.points]
        if self._level is not None:
            heights.append(self._level)
        plot = Plot(
            left=14.0,
            bottom=11.0,
            width=self.size[0] - 18.0,
            height=self.size[1] - 20.0,
            x=span_of(0.0, self._profile.length_mm, 10),
            y=span_of(min(heights), max(heights), 6),
        )
        words = "distance from the slave along the middle of the hoses, mm"
        draw_axes(pen, plot, x_label=words, y_label="height z, mm")
        gone = 0.0
        for number, hose in enumerate(self._hoses, 1):
            if hose.path is None:
                continue
            stations, points, _ways = sampled(hose.path, STEP_MM)
            draw_curve(pen, plot, np.asarray(stations) + gone, np.asarray(points)[:, 2], width=THICK)
            start, gone = gone, gone + hose.path.length_mm
            pen.stroke(THIN, GREY, (0.8, 0.6))
            pen.line(plot.at_x(gone), plot.bottom, plot.at_x(gone), plot.top)
            stagger = 1.2 + 3.2 * (number % 2)
            draw_tag(pen, plot.at_x((start + gone) / 2), plot.top + stagger, hose.title, align="centre")
        if self._level is not None:
            draw_level(pen, plot, self._level, "lowest fluid level")
        for trap in self._profile.traps:
            x, y = plot.at_x(trap.high.station_mm), plot.at_y(trap.high.height_mm)
            draw_point(pen, x, y)
            draw_tag(pen, x + 1.5, y + 1.5, f"air stays here ({trap.mend_mm:.0f} mm)", bold=True)
