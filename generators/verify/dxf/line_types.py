"""Layers of a finished DXF by colour, line type and line weight, read from its tables.

What each operation is drawn with is written down here once more, apart from the writer: colour 7, the
patterns of ISO 128-2 in line weights (from memory), 0.5 mm for what is cut or drilled and 0.25 mm else.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from ezdxf.document import Drawing
from ezdxf.entities.ltype import Linetype

from generators.sheetmetal.cut_file import LayerNames

SAME_RATIO = 1e-6
NEUTRAL = 7
BY_LAYER_COLOR, BY_LAYER_WEIGHT = 256, -1
NARROW_MM, WIDE_MM = 0.25, 0.5
PATTERNS: Mapping[str, tuple[float, ...]] = MappingProxyType(
    {
        "continuous": (),
        "dashed": (12, -3),
        "chain": (24, -3, 0.5, -3),
        "double chain": (24, -3, 0.5, -3, 0.5, -3),
    }
)
Line = tuple[str, float]
TEMPLATE_LINES: Mapping[str, Line] = MappingProxyType(
    {
        **dict.fromkeys(("DRILL", "PANEL_EDGE", "CHECK_BAR"), ("continuous", WIDE_MM)),
        **dict.fromkeys(("WELD", "PILOT", "DRILL_THROUGH", "PART_EDGE", "NOTES"), ("continuous", NARROW_MM)),
        **dict.fromkeys(("EXISTING", "KEEPOUT_ENGINE"), ("dashed", NARROW_MM)),
        **dict.fromkeys(("BLANK", "KEEPOUT_CAB"), ("double chain", NARROW_MM)),
        **dict.fromkeys(("FOLD", "DATUM", "DRILL_LAST"), ("chain", NARROW_MM)),
    }
)


def flat_lines(layers: LayerNames) -> dict[str, Line]:
    """Line type and weight (mm) by layer of a flat file; a layer of several operations is plain."""
    lines = {layers.cut: ("continuous", WIDE_MM)}
    marks = (layers.mark, layers.notes, layers.grain, layers.etch, layers.corners)
    for name in (layers.bend_up, layers.bend_down, *marks):
        lines[name] = ("continuous", NARROW_MM)
    lines.pop("", None)
    if layers.bend_up not in (layers.bend_down, layers.mark):
        lines[layers.bend_up] = ("chain", NARROW_MM)
    if layers.bend_down not in (layers.bend_up, layers.mark):
        lines[layers.bend_down] = ("dashed", NARROW_MM)
    return lines


def line_problems(doc: Drawing, wanted: Mapping[str, Line]) -> Iterator[str]:
    """Layers that are coloured, or drawn with another line than their operation's; entities that differ
    from their layer. R12 has no line weights, so there only colour and pattern count."""
    weighs = doc.dxfversion != "AC1009"
    for name, (kind, weight) in wanted.items():
        if name not in doc.layers:
            yield f"the layer {name} is not in the file's table"
            continue
        layer = doc.layers.get(name)
        if layer.color != NEUTRAL or layer.dxf.hasattr("true_color"):
            yield f"the layer {name} has colour {layer.color}, not {NEUTRAL}"
        if weighs and layer.dxf.lineweight != round(100 * weight):
            yield f"the layer {name} has line weight {layer.dxf.lineweight / 100:g} mm, not {weight:g} mm"
        lengths = _lengths(doc, layer.dxf.linetype)
        if not _same(lengths, tuple(x * weight for x in PATTERNS[kind])):
            yield f"the layer {name} has line type {layer.dxf.linetype}, not the {kind} line of ISO 128-2"
    for entity in doc.modelspace():
        own = entity.dxf.get("color", BY_LAYER_COLOR) != BY_LAYER_COLOR or entity.dxf.hasattr("true_color")
        own = own or entity.dxf.get("linetype", "BYLAYER").upper() != "BYLAYER"
        if own or entity.dxf.get("lineweight", BY_LAYER_WEIGHT) != BY_LAYER_WEIGHT:
            yield f"a {entity.dxftype()} on {entity.dxf.layer} has a colour or line of its own"


def _lengths(doc: Drawing, name: str) -> tuple[float, ...]:
    """Dashes and gaps of a line type in mm; empty for a continuous one."""
    found = doc.linetypes.get(name) if name in doc.linetypes else None
    if not isinstance(found, Linetype):
        return () if name.upper() == "CONTINUOUS" else (0.0,)
    return tuple(float(tag.value) for tag in found.pattern_tags.tags if tag.code == 49)


def _same(found: tuple[float, ...], wanted: tuple[float, ...]) -> bool:
    return len(found) == len(wanted) and all(
        abs(a - b) <= SAME_RATIO * abs(b) for a, b in zip(found, wanted, strict=True)
    )
