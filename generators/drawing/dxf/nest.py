"""A sheet with all blanks on it as a file for the cutting machine, in the form of the shop's flat files.

Cuts, bend lines and centre marks are on the layers of a single flat file. The sheet's own edges and the
remnant have a layer each: neither is cut with the blanks. X runs along the sheet, from its lower left corner.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from ezdxf.layouts.layout import Modelspace

from generators.drawing.dxf.file import CHAIN, CONTINUOUS_NARROW, DxfLayer, LineType, new_dxf, save_dxf
from generators.drawing.dxf.flat import (
    BURRS,
    NO_BEND_LINES,
    RELEASES,
    bend_line,
    draw_cuts,
    drill_note,
    etch_line,
    etch_note,
    kerf_note,
    layer_list,
    slot_note,
)
from generators.drawing.nest.words import remnant_name, remnant_size
from generators.geometry.contours import bounds
from generators.model.spec.shop import Cutting
from generators.model.spec.tools.rates import Nesting
from generators.nesting.nest import Blank, Box, Laid, LaidSheet, Nest, moved, stock_name
from generators.sheetmetal.cut_file import LayerNames, layer_names
from generators.sheetmetal.marking.etching import etching

LETTER_MM = 6.0
LEAST_LETTER_MM = 2.0
NOTE_MM = 14.0
LINE_STEP = 1.6


def write_nest_dxf(
    nest: Nest,
    sheet: LaidSheet,
    path: Path,
    *,
    job: str,
    revision: str,
    cutting: Cutting,
    rules: Nesting,
) -> None:
    """Write one sheet of a nest in the form a shop takes, in mm. Raises ``ExportError``."""
    letters = {b.plan.name: etching(b.plan, b.planned) for b in nest.blanks}
    layers = layer_names(cutting, etch=any(letters[laid.part] is not None for laid in sheet.laid))
    own = [DxfLayer(name=name, line=line) for name, line in _own_lines(rules).items()]
    doc = new_dxf(RELEASES[cutting.profile], [*layer_list(layers), *own])
    msp = doc.modelspace()
    whole = (0.0, 0.0, sheet.rack.length_mm, sheet.rack.width_mm)
    _box(msp, whole, rules.sheet_layer)
    if sheet.remnant is not None:
        _box(msp, sheet.remnant, rules.remnant_layer)
    for laid in sheet.laid:
        blank = nest.blank(laid.part)
        planned, cut = moved(blank.planned, laid.place), moved(blank.cut, laid.place)
        draw_cuts(msp, planned, cut, cutting, layers, blank.least_mm)
        etched = letters[laid.part]
        for stroke in etched.strokes if etched is not None else ():
            placed = tuple(laid.place.apply(*p) for p in stroke)
            etch_line(msp, placed, layers.etch, whole=cutting.profile == "polylines")
        if cutting.bend_lines:
            for strip in cut.bends:
                bend_line(msp, strip, layers)
        if cutting.notes:
            _name(msp, blank, laid, layers.notes)
    if cutting.notes:
        for number, line in enumerate(notes(nest, sheet, job, revision, cutting, layers)):
            _text(msp, line, 0.0, -NOTE_MM * (2 + number * LINE_STEP), NOTE_MM, layers.notes)
        if sheet.remnant is not None:
            u, v = sheet.remnant[:2]
            _text(msp, remnant_words(sheet, job), u + NOTE_MM, v + NOTE_MM, NOTE_MM, layers.notes)
    comment = f"nest {job}, sheet {sheet.number}, revision {revision}, units mm"
    save_dxf(doc, path, whole, comments=(comment,))


def _own_lines(rules: Nesting) -> dict[str, LineType]:
    return {rules.sheet_layer: CONTINUOUS_NARROW, rules.remnant_layer: CHAIN}


def remnant_words(sheet: LaidSheet, job: str) -> str:
    """``REMNANT van-1: 1414 x 1250 mm, S235 steel, 4 mm, grain along X``; sizes rounded down."""
    if sheet.remnant is None:
        return ""
    stock = f"{stock_name(sheet.rack)}, {grain_words(sheet)}"
    return f"REMNANT {remnant_name(sheet, job)}: {remnant_size(sheet)}, {stock}"


def grain_words(sheet: LaidSheet) -> str:
    """``grain along X``: X runs along the sheet."""
    return f"grain along {'X' if sheet.rack.grain == 'length' else 'Y'}"


def notes(
    nest: Nest, sheet: LaidSheet, job: str, revision: str, cutting: Cutting, layers: LayerNames
) -> list[str]:
    """What stands under the sheet: what it is, how many of which part, and what of it is not cut."""
    rack = sheet.rack
    named = f" ({rack.name})" if rack.name else ""
    lines = [
        f"Nest of {job}, sheet {sheet.number} of {len(nest.sheets)}, revision {revision}",
        f"{stock_name(rack)}{named}, {rack.length_mm:g} x {rack.width_mm:g} mm, {grain_words(sheet)}",
        f"UNITS: mm. Cut layer: {cutting.cut_layer}. Gap {nest.gap_mm:g} mm, margin {nest.margin_mm:g} mm. "
        "Upper side shown.",
        BURRS,
        kerf_note(cutting.kerf_mm),
    ]
    counts: dict[str, int] = {}
    for laid in sheet.laid:
        counts[laid.part] = counts.get(laid.part, 0) + 1
    lines += [f"{count} x {part}" for part, count in counts.items()]
    for blank in (nest.blank(part) for part in counts):
        lines += [f"{blank.plan.name}: {words}" for words in _part_notes(blank, layers)]
    if not cutting.bend_lines and any(nest.blank(part).plan.bends for part in counts):
        lines.append(NO_BEND_LINES)
    return lines


def _part_notes(blank: Blank, layers: LayerNames) -> Iterator[str]:
    """What the part's own flat file says of letters and centre marks; those lie elsewhere on every copy."""
    letters = etching(blank.plan, blank.planned)
    if letters is not None:
        words = etch_note(letters.text, layers.etch)
        yield words[0].lower() + words[1:]
    yield from (drill_note(h) for h in blank.planned.holes if h.diameter_mm < blank.least_mm)
    yield from (slot_note(s) for s in blank.planned.slots if s.width_mm < blank.least_mm)


def label(laid: Laid, blank: Blank) -> str:
    """``clutch_hanger 3/10``: the part, and which of how many."""
    return f"{laid.part} {laid.copy}/{blank.count}"


def _box(msp: Modelspace, box: Box, layer: str) -> None:
    u0, v0, u1, v1 = box
    corners = [(u0, v0), (u1, v0), (u1, v1), (u0, v1)]
    for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
        msp.add_line(a, b, dxfattribs={"layer": layer})


def _name(msp: Modelspace, blank: Blank, laid: Laid, layer: str) -> None:
    """The part's name in the middle of its blank's box, as large as the box allows."""
    words = label(laid, blank)
    u0, v0, u1, v1 = bounds(moved(blank.cut, laid.place).contour)
    height = max(LEAST_LETTER_MM, min(LETTER_MM, 0.8 * (u1 - u0) / len(words)))
    _text(msp, words, (u0 + u1 - height * len(words)) / 2, (v0 + v1 - height) / 2, height, layer)


def _text(msp: Modelspace, words: str, u: float, v: float, height: float, layer: str) -> None:
    msp.add_text(words, height=height, dxfattribs={"layer": layer, "insert": (u, v)})
