"""Panels with their openings and folds, and the flanges of parts with their bends, as sheets and strips."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from generators.geometry.contours import circle, polyline, stadium
from generators.geometry.frames import Matrix, apply, panel_frame
from generators.layout.mounting import PlacedPart, part_matrix
from generators.layout.spots import point3
from generators.model.contour import Contour
from generators.model.folds import FoldLine
from generators.model.joints.ways import SheetSide
from generators.model.plan import Bend, Flange, PanelHole, PanelLayout
from generators.model.spec.job import Panel
from generators.model.spec.titles import within
from generators.sheetmetal.folding import bend_length, fold_step, folded_frames
from generators.sheetmetal.in_line import inner_sides, proud_mm
from generators.sheetmetal.lying import lying
from generators.solve.bodies.draft import ARC_MM, Draft, flat_word
from generators.space.pieces import Rod
from generators.space.plates import Form, Plate, Strip


def region(outline: Contour, openings: Iterable[Contour]) -> BaseGeometry:
    """The metal of a flat sheet."""
    metal = Polygon(polyline(outline, ARC_MM))
    holes = [Polygon(np.array(polyline(o, ARC_MM))) for o in openings]
    return metal.difference(shapely.union_all(holes)) if holes else metal


def steps(radius_mm: float, angle_rad: float) -> int:
    """Chords for an arc that stays within ``ARC_MM`` of them."""
    if radius_mm <= ARC_MM:
        return 1
    return max(1, math.ceil(angle_rad / (2 * math.acos(1 - ARC_MM / radius_mm))))


def flange_openings(flange: Flange) -> Iterator[Contour]:
    """Outlines of holes and slots, in the flange's frame."""
    for hole in flange.holes:
        yield circle(hole.u_mm, hole.v_mm, hole.diameter_mm)
    for slot in flange.slots:
        yield stadium(slot.u_mm, slot.v_mm, slot.width_mm, slot.travel_mm, slot.angle_rad)


def bend_strip(bend: Bend, thickness_mm: float, parent: Matrix) -> Strip:
    """The strip of a bend, chord by chord; ``parent`` is the frame of the flange it leaves."""
    count = steps(bend.inside_radius_mm + thickness_mm, bend.angle_rad)
    ends = np.array([[u, 0.0, w] for u in (0.0, bend_length(bend)) for w in (0.0, thickness_mm)])
    return Strip(
        rows=tuple(apply(parent @ fold_step(bend, thickness_mm, i / count), ends) for i in range(count + 1))
    )


def panel_metal(panel: Panel, layout: PanelLayout, panels: Mapping[str, Panel]) -> BaseGeometry:
    """The flat of a panel as it ends up, between the tangent lines of its folds."""
    metal = region(layout.contour, (circle(h.u_mm, h.v_mm, h.final_dia_mm) for h in open_holes(layout)))
    for fold in layout.folds:
        metal = metal.difference(_Turn(panel, fold, panels[fold.other]).beside)
    return metal


def open_holes(layout: PanelLayout) -> list[PanelHole]:
    """Its holes as it ends up: what is to be closed is closed."""
    return [h for h in layout.holes if h.status not in ("blank", "weld")]


def panel_body(draft: Draft, panel: Panel, layout: PanelLayout, panels: Mapping[str, Panel]) -> None:
    """A panel between the tangent lines of its folds; the strips belong to the first of two panels."""
    pose = panel_frame(panel.origin, panel.tilt_rad, panel.turn_rad)
    metal = panel_metal(panel, layout, panels)
    strips = [
        _Turn(panel, fold, panels[fold.other]).strip(pose)
        for fold in layout.folds
        if [*panels].index(panel.name) < [*panels].index(fold.other)
    ]
    draft.add(
        f"panel:{panel.name}",
        within(panel.title),
        "panel",
        panel.name,
        [Plate(metal=metal, pose=pose, low_mm=-panel.thickness_mm, high_mm=0.0), *strips],
        # holes, nuts and parts beside a fold have rules of their own
        [flat_word(panel.name), *(flat_word(fold.other) for fold in layout.folds)],
    )


class _Turn:
    """A fold as its first panel meets it: the sheet is flat to the tangent line, then runs round an arc.

    Cab faces meet in the sharp line; the tangent line lies ``radius on the cab face × tan(angle / 2)``
    before it (two tangents of a circle).
    """

    def __init__(self, panel: Panel, fold: FoldLine, other: Panel) -> None:
        self._thickness, self._angle = panel.thickness_mm, fold.angle_rad
        corners = np.array(panel.outline)
        after = np.roll(corners, -1, axis=0)
        left = float((corners[:, 0] * after[:, 1] - after[:, 0] * corners[:, 1]).sum()) > 0
        start, end = np.array(fold.start), np.array(fold.end)
        along = (end - start) / np.linalg.norm(end - start)
        out = np.array([along[1], -along[0]]) * (1.0 if left else -1.0)
        self._hollow = self._toward_cab(panel, other)
        radius = fold.inside_radius_mm
        on_cab = radius if self._hollow else radius + self._thickness
        back = -out * on_cab * math.tan(fold.angle_rad / 2)
        self._radius, self._out, self._line = radius, out, (start + back, end + back)
        self.beside = Polygon([start + out, end + out, end + back, start + back])

    @staticmethod
    def _toward_cab(panel: Panel, other: Panel) -> bool:
        """True where the other panel stands on the cab side of this one."""
        pose = panel_frame(panel.origin, panel.tilt_rad, panel.turn_rad)
        flat = np.array([(u, v, 0.0) for u, v in other.outline])
        space = apply(panel_frame(other.origin, other.tilt_rad, other.turn_rad), flat)
        heights = (space - pose[:3, 3]) @ pose[:3, 2]
        return bool(heights[np.argmax(np.abs(heights))] > 0)

    def strip(self, pose: Matrix) -> Strip:
        """The strip, chord by chord."""
        sign = 1.0 if self._hollow else -1.0
        axis = self._radius if self._hollow else -self._thickness - self._radius
        count = steps(self._radius + self._thickness, self._angle)
        rows = []
        for i in range(count + 1):
            turn = self._angle * i / count
            row = []
            for end in self._line:
                for w in (0.0, -self._thickness):
                    far = abs(w - axis)
                    at = end + self._out * far * math.sin(turn)
                    row.append((at[0], at[1], axis - sign * far * math.cos(turn)))
            rows.append(apply(pose, np.array(row)))
        return Strip(rows=tuple(rows))


def part_name(part: str, flange: str = "") -> str:
    """Name of the body of a part's root, or of one of its folded flanges."""
    return f"part:{part}.{flange}" if flange else f"part:{part}"


def part_word(part: str) -> str:
    """The word of all that is of one part."""
    return f"part {part}"


def part_title(part: PlacedPart) -> str:
    """What a sheet calls a part."""
    return within(part.plan.title or part.spec.name.replace("_", " "))


def flanges_in_vehicle(part: PlacedPart, panel: Panel) -> dict[str, Matrix]:
    """The frames of a part's flanges in the vehicle, the root first; none without a mount."""
    if part.mount is None:
        return {}
    pose = part_matrix(panel, part.mount, part.lift_mm)
    return {name: np.asarray(pose @ frame) for name, frame in folded_frames(part.plan).items()}


def rings_on(flange: Flange, thickness_mm: float, frame: Matrix) -> Iterator[Form]:
    """The collars and bosses of a flange: metal of the part that stands round its holes."""
    for hole in flange.holes:
        finish = hole.finish
        if finish is None or (ring := finish.ring) is None:
            continue
        low, high = _stands(finish.side, thickness_mm, ring.height_mm)
        bore = max(hole.diameter_mm, hole.fitting.shank_mm)
        metal = region(circle(hole.u_mm, hole.v_mm, ring.outside_mm), [circle(hole.u_mm, hole.v_mm, bore)])
        yield Plate(metal=metal, pose=frame, low_mm=low, high_mm=high)


def _stands(side: SheetSide, thickness_mm: float, height_mm: float) -> tuple[float, float]:
    """Between which w something that stands on a side of a sheet is, mm."""
    return (thickness_mm, thickness_mm + height_mm) if side == "upper" else (-height_mm, 0.0)


def fitted_bodies(draft: Draft, part: PlacedPart, flange: Flange, frame: Matrix, body: str) -> None:
    """Nuts, studs, flanged bushes and bearings that stand out, each fixed to its flange, ``body``."""
    plan = part.plan
    joined = next(b.joined for b in draft.bodies if b.name == body)
    inner = inner_sides(plan) if plan.bush is not None else {}
    for hole in flange.holes:
        found: tuple[SheetSide, float, float, str] | None = None
        toward = inner.get((flange.name, hole.name))
        if hole.finish is not None and (fitted := hole.finish.fitted) is not None:
            wide = hole.fitting.shank_mm if hole.fitting.kind == "stud" else fitted.outside_mm
            found = hole.finish.side, fitted.height_mm, wide, fitted.item
        elif toward is not None and (proud := proud_mm(plan, hole)):
            away: SheetSide = "lower" if toward == "upper" else "upper"
            found = away, proud, hole.diameter_mm, "ball bearing"
        elif (
            plan.bush is not None
            and toward is not None
            and plan.bush.flange_mm
            and hole.tolerance == plan.bush.fit
        ):
            found = toward, plan.bush.flange_thick_mm, plan.bush.flange_mm, "flange of the bush"
        if found is None:
            continue
        side, high, wide, what = found
        low, top = _stands(side, plan.thickness_mm, high)
        if hole.finish is not None and hole.finish.ring is not None and hole.finish.side == side:
            off = hole.finish.ring.height_mm * (1 if side == "upper" else -1)
            low, top = low + off, top + off
        spots = [(hole.u_mm, hole.v_mm, w) for w in (low, top)]
        ends = apply(frame, np.array(spots))
        rod = Rod(start=point3(ends[0]), end=point3(ends[1]), radius_mm=wide / 2)
        name = f"{FITTED}{part.spec.name}.{hole.name}.fitted"
        title = f"{what} in {hole.name.replace('_', ' ')} of the {part_title(part)}"
        draft.add(name, title, "bolt", part.spec.name, [rod], joined)
        draft.fix(name, [body])


FITTED = "bolt:"
"""How names of bodies begin that are fitted into a part or stand between its cheeks."""


def spacer_body(draft: Draft, part: PlacedPart, frames: Mapping[str, Matrix]) -> None:
    """The tube between a hanger's cheeks."""
    plan = part.plan
    if plan.spacer is None:
        return
    half = plan.thickness_mm / 2
    spots = [
        apply(frames[f.name], np.array([(h.u_mm, h.v_mm, half)]))[0]
        for f in plan.flanges
        for h in f.holes
        if h.name.startswith("pivot")
    ]
    middle, along = (spots[0] + spots[1]) / 2, spots[1] - spots[0]
    reach = along / np.linalg.norm(along) * plan.spacer.length_mm / 2
    rod = Rod(start=point3(middle - reach), end=point3(middle + reach), radius_mm=plan.spacer.outside_mm / 2)
    name = f"{FITTED}{part.spec.name}.pivot_spacer"
    title = f"spacer tube of the {part_title(part)}"
    draft.add(name, title, "bolt", part.spec.name, [rod], [part_word(part.spec.name)])


def part_bodies(draft: Draft, part: PlacedPart, panel: Panel) -> None:
    """The flanges of a mounted part, each folded one with the bend that leads to it."""
    plan = part.plan
    frames = flanges_in_vehicle(part, panel)
    bends = {bend.child: bend for bend in plan.bends}
    on_panel = {flange.name for flange, _ in lying(plan)}
    for index, flange in enumerate(plan.flanges if frames else ()):
        frame = frames[flange.name]
        metal = region(flange.contour, flange_openings(flange))
        forms: list[Form] = [Plate(metal=metal, pose=frame, low_mm=0.0, high_mm=plan.thickness_mm)]
        forms += rings_on(flange, plan.thickness_mm, frame)
        words = {part_word(part.spec.name)}
        title = part_title(part)
        if flange.name in on_panel:
            words.add(flat_word(panel.name))
        if index:
            bend = bends[flange.name]
            forms.append(bend_strip(bend, plan.thickness_mm, frames[bend.parent]))
            title += f" ({flange.name.replace('_', ' ')})"
        name = part_name(part.spec.name, flange.name if index else "")
        draft.add(name, title, "part", part.spec.name, forms, words)
        fitted_bodies(draft, part, flange, frame, name)
    if frames:
        spacer_body(draft, part, frames)
