"""The template of a panel as DXF, 1:1 in mm as the cab sees it, for a plotter or a router."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path

from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment

from generators.drawing.dxf.file import (
    CHAIN,
    CONTINUOUS_NARROW,
    CONTINUOUS_WIDE,
    DASHED,
    DOUBLE_CHAIN,
    DxfLayer,
    new_dxf,
    rename_layers,
    save_dxf,
)
from generators.drawing.paper.signs import sign_of
from generators.drawing.paper.waived import LEAD, MARK, TITLE, grouped
from generators.drawing.template.hole_words import ACTIONS, diameter, drilling, limits_words
from generators.figures import format_short
from generators.geometry.contours import bounds, stadium
from generators.model.contour import Contour
from generators.model.findings import Waived
from generators.model.hole_work import work_words
from generators.model.plan import PanelHole, PanelLayout
from generators.model.spec.shop import TemplateLayers
from generators.model.spec.titles import within
from generators.model.words import CAUTIONS
from generators.units import UnitSystem

LAYERS = (
    DxfLayer(name="DRILL", line=CONTINUOUS_WIDE),
    DxfLayer(name="DRILL_LAST", line=CHAIN),
    DxfLayer(name="DRILL_THROUGH", line=CONTINUOUS_NARROW),
    DxfLayer(name="WELD", line=CONTINUOUS_NARROW),
    DxfLayer(name="PILOT", line=CONTINUOUS_NARROW),
    DxfLayer(name="EXISTING", line=DASHED),
    DxfLayer(name="BLANK", line=DOUBLE_CHAIN),
    DxfLayer(name="PANEL_EDGE", line=CONTINUOUS_WIDE),
    DxfLayer(name="FOLD", line=CHAIN),
    DxfLayer(name="KEEPOUT_CAB", line=DOUBLE_CHAIN),
    DxfLayer(name="KEEPOUT_ENGINE", line=DASHED),
    DxfLayer(name="PART_EDGE", line=CONTINUOUS_NARROW),
    DxfLayer(name="DATUM", line=CHAIN),
    DxfLayer(name="NOTES", line=CONTINUOUS_NARROW),
    DxfLayer(name="CHECK_BAR", line=CONTINUOUS_WIDE),
)
HOLE_LAYERS = {"drill": "DRILL", "weld": "WELD", "datum": "EXISTING", "reuse": "EXISTING", "blank": "BLANK"}
OWN_NAMES = TemplateLayers()
BARS = (100.0, 101.6)
TEXT_MM = 3.5
LIST_MM = 5.0
CAUTION_MM = 4.0


def write_template_dxf(
    layout: PanelLayout,
    path: Path,
    *,
    job: str,
    revision: str,
    waived: Sequence[Waived] = (),
    names: TemplateLayers = OWN_NAMES,
) -> None:
    """Write the panel as the driver sees it: u is x and v is y, in mm, on the shop's layers.

    Raises ``ExportError``.
    """
    doc = new_dxf("R2010", LAYERS)
    u0, v0, u1, v1 = _extent(layout)
    _outline(doc, layout.contour, "PANEL_EDGE")
    for keepout in layout.keepouts:
        _outline(doc, keepout.contour, f"KEEPOUT_{keepout.face.upper()}")
        corner = bounds(keepout.contour)
        near = format_short(keepout.gap_mm, layout.units, 4).rpartition(" ")[0]
        depth = f"{near} to {format_short(keepout.gap_mm + keepout.depth_mm, layout.units, 4)} off the panel"
        # a bead is on both faces, one upon the other: one name will do
        side = "both sides" if keepout.bead else f"{keepout.face} side"
        if not (keepout.bead and keepout.face == "engine"):
            _text(doc, corner[0] + 2, corner[1] + 2, f"{keepout.reason}, {side}, {depth}")
    for footprint in layout.footprints:
        _outline(doc, footprint.contour, "PART_EDGE")
        corner = bounds(footprint.contour)
        _text(doc, corner[0] + 2, corner[3] - 6, f"part {footprint.words}, {footprint.face} side")
    for fold in layout.folds:
        _line(doc, fold.start, fold.end, "FOLD")
        middle = ((fold.start[0] + fold.end[0]) / 2, (fold.start[1] + fold.end[1]) / 2)
        radius = format_short(fold.inside_radius_mm, layout.units, 4)
        words = f"fold to {within(fold.words)}, {math.degrees(fold.angle_rad):g} deg, R {radius}"
        _text(doc, middle[0], middle[1] + 2, words)
    _datums(doc, layout, (u0, v0, u1, v1))
    _axes(doc, (u0, v0, u1, v1))
    for hole in layout.holes:
        _hole(doc, hole, layout.units)
    low = min(_check_bars(doc, u0, v0), _hole_list(doc, layout, u0 + 80, v0 - 20))
    for line in CAUTIONS:
        low -= 7.0
        _text(doc, u0 + 80, low, line, CAUTION_MM)
    _title(doc, layout, u0, v1, job, revision, waived)
    rename_layers(doc, {key.upper(): name for key, name in asdict(names).items()})
    save_dxf(doc, path, (u0 - 20, low - 5.0, u1, v1 + 60 + 7 * (len(waived) + 1)))


def _extent(layout: PanelLayout) -> tuple[float, float, float, float]:
    """Bounds of panel and holes, mm."""
    u0, v0, u1, v1 = bounds(layout.contour)
    for h in layout.holes:
        r = h.final_dia_mm / 2
        u0, v0 = min(u0, h.u_mm - r), min(v0, h.v_mm - r)
        u1, v1 = max(u1, h.u_mm + r), max(v1, h.v_mm + r)
    return u0, v0, u1, v1


def _outline(doc: Drawing, contour: Contour, layer: str) -> None:
    points = [(p.u, p.v, p.bulge) for p in contour.vertices]
    doc.modelspace().add_lwpolyline(points, format="xyb", close=True, dxfattribs={"layer": layer})


def _line(doc: Drawing, a: tuple[float, float], b: tuple[float, float], layer: str) -> None:
    doc.modelspace().add_line(a, b, dxfattribs={"layer": layer})


def _text(doc: Drawing, u: float, v: float, text: str, height: float = TEXT_MM) -> None:
    # a caret or a percent pair would be read as a control code
    plain = " ".join(text.split()).replace("^", "").replace("%%", "%")
    entity = doc.modelspace().add_text(plain, height=height, dxfattribs={"layer": "NOTES"})
    entity.set_placement((u, v), align=TextEntityAlignment.LEFT)


def _layer(hole: PanelHole) -> str:
    """The layer of a hole's circle: what is not made with its panel has one of its own."""
    if hole.status == "drill" and hole.work.how in ("part", "guide"):
        return "DRILL_THROUGH"
    if hole.status == "drill" and hole.work.how == "hose":
        return "DRILL_LAST"
    return HOLE_LAYERS[hole.status]


def _hole(doc: Drawing, hole: PanelHole, units: UnitSystem) -> None:
    msp = doc.modelspace()
    centre = (hole.u_mm, hole.v_mm)
    radius = hole.final_dia_mm / 2
    layer = _layer(hole)
    msp.add_circle(centre, radius, dxfattribs={"layer": layer})
    inner = sign_of(hole).inner_mm
    if inner:
        pilot = "PILOT" if hole.status == "drill" else layer
        msp.add_circle(centre, inner / 2, dxfattribs={"layer": pilot})
    if hole.travel_mm:
        slot = stadium(hole.u_mm, hole.v_mm, hole.final_dia_mm, hole.travel_mm, hole.angle_rad)
        _outline(doc, slot, layer)
    # next to the hole only what tells it apart; the list below the panel has room for the rest
    lift = radius * math.sqrt(0.5) + 0.8
    size = diameter(hole.final_dia_mm, units).replace("Ø", "%%c")
    wait = f" {hole.work.after}" if hole.work.after else ""
    _label(doc, hole.u_mm + lift, hole.v_mm + lift, f"{hole.number} {size}{wait}", 2.5)


def _label(doc: Drawing, u: float, v: float, text: str, height: float) -> None:
    """Text whose control codes are meant."""
    entity = doc.modelspace().add_text(text, height=height, dxfattribs={"layer": "NOTES"})
    entity.set_placement((u, v), align=TextEntityAlignment.LEFT)


def _hole_list(doc: Drawing, layout: PanelLayout, u: float, v: float) -> float:
    """Every hole in words, line by line from ``(u, v)`` down; the lowest y."""
    _text(doc, u, v, "HOLES", 5.0)
    for row, hole in enumerate(layout.holes, 1):
        size = drilling(hole, layout.units).replace("→", "then").replace("Ø", "%%c")
        made = ", ".join(text for text in (limits_words(hole, layout.units), hole.tool) if text)
        if hole.status == "drill":
            words = f"{hole.purpose}, {made}"
        else:
            side = f", on the {hole.drill_face} side" if hole.status == "weld" else ""
            words = f"{ACTIONS[hole.status]}: {hole.purpose}{side}" + (f", {made}" if made else "")
        words += f"; {work_words(hole, layout.units)}".replace("→", "to")
        plain = " ".join(words.split()).replace("^", "").replace("%%", "%").replace("Ø", "%%c")
        _label(doc, u, v - 2 - LIST_MM * row, f"{hole.number}  {size}  {plain}", 3.0)
    return v - 6 - LIST_MM * len(layout.holes)


def _datums(doc: Drawing, layout: PanelLayout, box: tuple[float, float, float, float]) -> None:
    u0, v0, u1, v1 = box
    for datum in layout.datums:
        if datum.kind == "point":
            doc.modelspace().add_point((datum.u_mm, datum.v_mm), dxfattribs={"layer": "DATUM"})
            _text(doc, datum.u_mm + 2, datum.v_mm + 2, f"datum {datum.words}: {datum.what}")
        elif datum.kind == "vertical":
            _line(doc, (datum.u_mm, v0 - 10), (datum.u_mm, v1 + 10), "DATUM")
            _text(doc, datum.u_mm + 2, v1 + 4, f"datum {datum.name}: {datum.what}")
        else:
            _line(doc, (u0 - 10, datum.v_mm), (u1 + 10, datum.v_mm), "DATUM")
            _text(doc, u1 + 12, datum.v_mm, f"datum {datum.name}: {datum.what}")


def _axes(doc: Drawing, box: tuple[float, float, float, float]) -> None:
    """u = 0 and v = 0 where they leave the panel: a tick outside it on either side, and its words."""
    u0, v0, u1, v1 = box
    if u0 <= 0.0 <= u1:
        for a, b in ((v0 - 14, v0 - 7), (v1 + 7, v1 + 14)):
            _line(doc, (0.0, a), (0.0, b), "DATUM")
        _text(doc, 1.5, v0 - 14, "u = 0")
        _text(doc, 1.5, v1 + 10.5, "u = 0")
    if v0 <= 0.0 <= v1:
        for a, b in ((u0 - 14, u0 - 7), (u1 + 7, u1 + 14)):
            _line(doc, (a, 0.0), (b, 0.0), "DATUM")
        _text(doc, u0 - 17, 1.5, "v = 0")
        _text(doc, u1 + 7, 1.5, "v = 0")


def _check_bars(doc: Drawing, u0: float, v0: float) -> float:
    """Bars of 100 mm and 4 in, lying and upright, left of and below the panel; the lowest y."""
    x, y = u0 - 60, v0 - 30
    for k, (length, name) in enumerate(zip(BARS, ("100 mm", "4 in"), strict=True)):
        _line(doc, (x, y - 15 * k), (x + length, y - 15 * k), "CHECK_BAR")
        _text(doc, x, y - 15 * k + 2, f"{name} check bar")
        _line(doc, (x - 15 * k, y + 15), (x - 15 * k, y + 15 + length), "CHECK_BAR")
    return y - 30


def _title(
    doc: Drawing,
    layout: PanelLayout,
    u0: float,
    v1: float,
    job: str,
    revision: str,
    waived: Sequence[Waived],
) -> None:
    thick = format_short(layout.thickness_mm, layout.units, 4)
    lines = [
        f"{layout.title}: CAB FACE, {layout.seen('cab')}. Mirror it for its other face.",
        f"{job}, revision {revision}",
        f"Drawn in mm, 1:1. {thick} {layout.material}. Measure the check bars before use.",
        "UP is +y.",
    ]
    if waived:
        lines.append(f"{MARK} above")
        for k, (codes, reason) in enumerate(reversed(grouped(waived))):
            _text(doc, u0 + 20, v1 + 60 + 7 * k, f"{codes}: {reason}", 5.0)
        _text(doc, u0 + 20, v1 + 60 + 7 * len(grouped(waived)), f"{TITLE}. {LEAD}", 5.0)
    for k, line in enumerate(lines):
        _text(doc, u0 + 20, v1 + 50 - 7 * k, line, 5.0)
    tip = (u0 + 6, v1 + 55)
    arrow = [tip, (tip[0] - 5, tip[1] - 12), (tip[0] + 5, tip[1] - 12)]
    doc.modelspace().add_lwpolyline(arrow, close=True, dxfattribs={"layer": "NOTES"})
    _line(doc, (tip[0], tip[1] - 12), (tip[0], tip[1] - 35), "NOTES")
    _text(doc, tip[0] - 4, tip[1] - 42, "UP", 6.0)
