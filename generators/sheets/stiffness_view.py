"""Pictures of a solved part: stress in grey bands, and the shape it takes, much enlarged.

Everything is drawn from the solver's skin of triangles, seen square from two sides, far triangles first.
Greys only, dark for high stress, so a copy in black and white says the same.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from generators.drawing.paper.pen import Pen
from generators.figures import fixed
from generators.sheets.document import Picture
from generators.strength.bores import Vector
from generators.strength.problem import Surface

Array = NDArray[np.float64]
Whole = NDArray[np.int64]

FRONT = (0.62, 0.42, 0.66)
BACK = (0.5, 0.3, -0.81)
"""Toward the eye in the part's frame: from the side away from the panel, and from the panel's."""
BANDS = 7
LIGHTEST, DARKEST = 0.96, 0.12
CREASE = math.cos(math.radians(32))
HAIR_MM = 0.06
ROOM_MM = 5.0
WORDS_FROM = 0.77
"""Where the words begin, as a share of the width."""
LARGEST_SHARE = 0.08
"""The largest movement is drawn as this share of the part's size."""


def nice(value: float) -> float:
    """The largest of 1, 2 or 5 times a power of ten that is not above ``value``."""
    if value <= 0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(value))
    return max(step * power for step in (1.0, 2.0, 5.0) if step * power <= value * (1 + 1e-9))


def band_top(peak_mpa: float) -> float:
    """Top of the scale, MPa: just over the peak that counts, in even steps; what is above is as dark."""
    step = nice(max(peak_mpa, 1e-6) / BANDS)
    return next(s * BANDS for s in (step, 1.5 * step, 2 * step, 2.5 * step) if s * BANDS >= peak_mpa)


def shade(band: int) -> float:
    """Grey of a band, light for low stress."""
    return LIGHTEST + (DARKEST - LIGHTEST) * band / (BANDS - 1)


def above(piece: Sequence[tuple[float, float, float]], level: float) -> list[tuple[float, float, float]]:
    """The part of a polygon of (x, y, value) whose value is at least ``level`` (Sutherland and Hodgman)."""
    out: list[tuple[float, float, float]] = []
    for i, b in enumerate(piece):
        a = piece[i - 1]
        if (a[2] >= level) != (b[2] >= level):
            t = (level - a[2]) / (b[2] - a[2])
            out.append((a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), level))
        if b[2] >= level:
            out.append(b)
    return out


def _unit(values: Sequence[float] | Array) -> Array:
    v = np.asarray(values, dtype=np.float64)
    return np.asarray(v / np.linalg.norm(v))


class _View:
    """A direction of sight with its place on the paper."""

    def __init__(self, look: Sequence[float]) -> None:
        self.toward = _unit(look)
        self.right = _unit(np.cross([0.0, 1.0, 0.0], self.toward))
        self.up = np.cross(self.toward, self.right)
        self.scale = 1.0
        self.shift: Array = np.zeros(2)

    def flat(self, points: Array) -> Array:
        """Points (n, 3) as seen, (n, 2), in the part's mm."""
        return np.column_stack([points @ self.right, points @ self.up])

    def on_paper(self, points: Array) -> Array:
        """The same on the paper."""
        return np.asarray(self.flat(points) * self.scale + self.shift)

    def span(self, points: Array) -> tuple[Array, Array]:
        """Lower left and upper right of the points as seen."""
        flat = self.flat(points)
        return flat.min(axis=0), flat.max(axis=0)


def _normals(points: Array, triangles: Whole) -> Array:
    corners = points[triangles]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    return np.asarray(normals / np.maximum(np.linalg.norm(normals, axis=1), 1e-12)[:, None])


class _Skin:
    """A surface seen in one view: its visible triangles far to near, and the edges worth a line."""

    def __init__(self, surface: Surface, points: Array, view: _View) -> None:
        self.triangles: Whole = np.array(surface.triangles)
        normals = _normals(points, self.triangles)
        depth = (points[self.triangles] @ view.toward).mean(axis=1)
        facing = normals @ view.toward > 1e-6
        seen = np.nonzero(facing)[0]
        self.order = seen[np.argsort(depth[seen], kind="stable")]
        self.light = np.clip(normals @ _unit(view.toward + 0.6 * view.up - 0.3 * view.right), 0, 1)
        self.creases = _creases(self.triangles, normals, facing)

    def lines(self, pen: Pen, index: int, flat: Array) -> None:
        """The edges of one triangle that are worth a line."""
        pen.stroke(0.18)
        for a, b in self.creases.get(index, ()):
            pen.line(float(flat[a][0]), float(flat[a][1]), float(flat[b][0]), float(flat[b][1]))


def _creases(triangles: Whole, normals: Array, facing: NDArray[np.bool_]) -> dict[int, list[tuple[int, int]]]:
    """Edges between triangles that meet at an angle, or of which one faces away (the outline of a round),
    by triangle."""
    first: dict[tuple[int, int], int] = {}
    out: dict[int, list[tuple[int, int]]] = {}
    for index, triangle in enumerate(triangles):
        a, b, c = (int(i) for i in triangle)
        for p, q in ((a, b), (b, c), (c, a)):
            key = (min(p, q), max(p, q))
            other = first.setdefault(key, index)
            if other == index:
                continue
            if facing[other] != facing[index] or float(normals[other] @ normals[index]) < CREASE:
                out.setdefault(index, []).append(key)
                out.setdefault(other, []).append(key)
    return out


class _Part(Picture):
    """Shared by both pictures: the part from two sides at one scale, and room for words at the right."""

    def __init__(self, surface: Surface, case: int, width_mm: float, height_mm: float) -> None:
        super().__init__(width_mm, height_mm)
        self.surface, self.case = surface, case
        self.points: Array = np.array(surface.points)
        self.views = (_View(FRONT), _View(BACK))
        spans = [view.span(self.points) for view in self.views]
        wide = sum(float(high[0] - low[0]) for low, high in spans)
        tall = max(float(high[1] - low[1]) for low, high in spans)
        scale = min((width_mm * WORDS_FROM - 3 * ROOM_MM) / wide, (height_mm - 2 * ROOM_MM) / tall)
        x = ROOM_MM
        for view, (low, high) in zip(self.views, spans, strict=True):
            view.scale = scale
            view.shift = np.array([x, height_mm / 2]) - scale * np.array([low[0], (low[1] + high[1]) / 2])
            x += scale * float(high[0] - low[0]) + ROOM_MM


class StressPicture(_Part):
    """Von Mises stress in bands; the peak that counts is ringed in the view that faces it."""

    def __init__(
        self, surface: Surface, case: int, peak_at: Vector, peak_mpa: float, width_mm: float, height_mm: float
    ) -> None:
        super().__init__(surface, case, width_mm, height_mm)
        self.peak_at, self.peak_mpa = np.array(peak_at), peak_mpa

    def paint(self, pen: Pen) -> None:
        """Draw."""
        stress = np.array(self.surface.stress_mpa[self.case])
        top = band_top(self.peak_mpa)
        levels = [top * k / BANDS for k in range(BANDS)]
        for view in self.views:
            self._bands(pen, view, stress, levels)
        self._legend(pen, levels, top)
        self._ring(pen)

    def _bands(self, pen: Pen, view: _View, stress: Array, levels: Sequence[float]) -> None:
        skin, flat = _Skin(self.surface, self.points, view), view.on_paper(self.points)
        for index in skin.order:
            piece = [(float(flat[i][0]), float(flat[i][1]), float(stress[i])) for i in skin.triangles[index]]
            lowest = min(p[2] for p in piece)
            for k, level in enumerate(levels):
                # a band that the next one covers whole need not be drawn
                if k + 1 < BANDS and lowest >= levels[k + 1]:
                    continue
                part = piece if lowest >= level else above(piece, level)
                if len(part) < 3:
                    break
                pen.stroke(HAIR_MM, shade(k))
                pen.polygon([(x, y) for x, y, _ in part], fill=shade(k))
            skin.lines(pen, int(index), flat)

    def _ring(self, pen: Pen) -> None:
        """The peak, in the view its skin looks at."""
        at = int(np.argmin(np.linalg.norm(self.points - self.peak_at, axis=1)))
        triangles: Whole = np.array(self.surface.triangles)
        normal = _normals(self.points, triangles[(triangles == at).any(axis=1)]).sum(axis=0)
        view = max(self.views, key=lambda v: float(v.toward @ normal))
        x, y = (float(v) for v in view.on_paper(self.peak_at[None, :])[0])
        for width, grey in ((1.0, 1.0), (0.4, 0.0)):
            pen.stroke(width, grey)
            pen.circle(x, y, 5.0)
        tx, ty = self.size[0] * WORDS_FROM, self.size[1] - 8
        pen.stroke(0.25)
        # up and along above both views, not across them
        pen.line(x, y + 2.5, x, ty + 1)
        pen.line(x, ty + 1, tx - 1, ty + 1)
        pen.text(tx, ty, f"peak that counts {self.peak_mpa:.0f} MPa", 2.7, bold=True)

    def _legend(self, pen: Pen, levels: Sequence[float], top: float) -> None:
        x, y = self.size[0] * WORDS_FROM, ROOM_MM
        for k, level in enumerate(levels):
            pen.stroke(0.18)
            pen.rect(x, y + 6 * k, 7, 6, fill=shade(k))
            upper = f"to {top * (k + 1) / BANDS:.4g}" if k + 1 < BANDS else "and more"
            pen.text(x + 9, y + 6 * k + 2, f"{level:.4g} {upper}", 2.6)
        pen.text(x, y + 6 * BANDS + 2.5, "von Mises, MPa", 2.8, bold=True)


class ShapePicture(_Part):
    """The part as it is in outline, and as it bends, enlarged."""

    def paint(self, pen: Pen) -> None:
        """Draw."""
        moved = np.array(self.surface.moved[self.case])
        size = float(np.linalg.norm(np.ptp(self.points, axis=0)))
        most = float(np.linalg.norm(moved, axis=1).max())
        factor = nice(LARGEST_SHARE * size / max(most, 1e-9))
        bent = self.points + factor * moved
        for view in self.views:
            skin, flat = _Skin(self.surface, bent, view), view.on_paper(bent)
            for index in skin.order:
                grey = 0.66 + 0.3 * float(skin.light[index])
                pen.stroke(HAIR_MM, grey)
                pen.polygon([(float(x), float(y)) for x, y in flat[skin.triangles[index]]], fill=grey)
                skin.lines(pen, int(index), flat)
            rest, still = _Skin(self.surface, self.points, view), view.on_paper(self.points)
            pen.stroke(0.18, 0.35, dash=(1.2, 0.9))
            for a, b in sorted({edge for index in rest.order for edge in rest.creases.get(int(index), ())}):
                pen.line(float(still[a][0]), float(still[a][1]), float(still[b][0]), float(still[b][1]))
        x = self.size[0] * WORDS_FROM
        pen.text(x, ROOM_MM + 10, f"movement x {factor:g}", 2.8, bold=True)
        pen.text(x, ROOM_MM + 5, f"largest {fixed(most, 2)} mm", 2.6)
        pen.text(x, ROOM_MM, "dashed: at rest", 2.6)
