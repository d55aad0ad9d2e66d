"""A finished panel template in DXF, measured from the file and compared with the layout."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

from ezdxf.document import Drawing
from ezdxf.entities.circle import Circle
from ezdxf.entities.line import Line
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.text import Text
from ezdxf.filemanagement import readfile

from generators.geometry.contours import stadium
from generators.model.contour import Contour
from generators.model.plan import PanelHole, PanelLayout
from generators.model.spec.shop import TemplateLayers
from generators.verify.dxf.faults import DXF_UNREADABLE
from generators.verify.dxf.line_types import TEMPLATE_LINES, line_problems
from generators.verify.pdf.template.works import table_work_problems
from generators.verify.readback import ReadBack

SAME_MM = 1e-6
NAME_MM = 25.0
"""No name of an axis begins further from it."""

LAYERS = frozenset(TEMPLATE_LINES)
OWN_NAMES = TemplateLayers()
STATUS_LAYERS = {
    "drill": "DRILL",
    "weld": "WELD",
    "datum": "EXISTING",
    "reuse": "EXISTING",
    "blank": "BLANK",
}
WAY_LAYERS = {"part": "DRILL_THROUGH", "guide": "DRILL_THROUGH", "hose": "DRILL_LAST"}
RING_LAYERS = ("DRILL", "DRILL_LAST", "DRILL_THROUGH", "WELD", "PILOT", "EXISTING", "BLANK")
BARS = (100.0, 100.0, 101.6, 101.6)
CAUTION_WORDS = (
    "licensed mechanic",
    "local codes",
    "Before drilling look behind the panel",
    "eye protection",
)
LIMITS = re.compile(r"may be (\d[\d.]*) to (\d[\d.]*) (mm|in)")
Ring = tuple[str, float, float, float]
Corner = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """The model space, sorted."""

    rings: tuple[Ring, ...]
    outlines: tuple[tuple[str, tuple[Corner, ...], bool], ...]
    lines: tuple[tuple[str, tuple[float, float], tuple[float, float]], ...]
    texts: tuple[str, ...]
    places: tuple[tuple[str, float, float], ...]
    problems: tuple[str, ...]


def read_template_dxf(
    path: Path,
    layout: PanelLayout,
    *,
    rel: str,
    revision: str = "",
    names: TemplateLayers = OWN_NAMES,
) -> ReadBack:
    """Measure a finished template DXF: units, layers, circles, closed outlines, fold lines, check bars.

    With a ``revision`` that must be written in it too. ``names`` are the shop's for the layers. A file that
    cannot be read is a problem.
    """
    wanted = {name.upper(): key.upper() for key, name in asdict(names).items()}
    try:
        doc = readfile(path)
        lacking = _own_names(doc, wanted)
        if lacking:
            return ReadBack(path=rel, problems=(f"lacks the layers {', '.join(lacking)}",))
        audit = doc.audit()
        found = _collect(doc)
        release, insunits = doc.dxfversion, int(doc.header.get("$INSUNITS", 0))
        measurement = int(doc.header.get("$MEASUREMENT", -1))
        layers = {layer.dxf.name for layer in doc.layers} - {"0", "Defpoints"}
        lines = list(line_problems(doc, TEMPLATE_LINES))
    except DXF_UNREADABLE as fault:
        return ReadBack(path=rel, problems=(f"is not a readable DXF: {fault}",))
    problems = [f"audit: {e.message}" for e in (*audit.errors, *audit.fixes)]
    if release != "AC1024":
        problems.append(f"is release {release}, not R2010")
    if (insunits, measurement) != (4, 1):
        problems.append(f"declares units {insunits} and measurement {measurement}, not mm (4) and metric (1)")
    if layers != LAYERS:
        problems.append(f"has layers it should not, or lacks some: {', '.join(sorted(layers ^ LAYERS))}")
    problems += lines
    problems += found.problems
    problems += _ring_problems(found.rings, layout)
    problems += _outline_problems(found, layout)
    problems += _line_problems(found, layout)
    problems += _axis_problems(found, layout)
    problems += _text_problems(found.texts, layout, revision)
    facts = (f"{len(found.rings)} circles equal to the plan, {len(found.outlines)} closed outlines, mm",)
    return ReadBack(path=rel, facts=facts, problems=tuple(problems))


def _own_names(doc: Drawing, wanted: Mapping[str, str]) -> list[str]:
    """Give the layers of a document in memory the names of what lies on them; those it lacks, if any."""
    found = {layer.dxf.name.upper(): layer for layer in doc.layers}
    lacking = [name for name in wanted if name not in found]
    strange = [name for name in found if name not in wanted and name not in ("0", "DEFPOINTS")]
    if lacking or strange:
        return lacking or [f"{name} is not one of them" for name in strange]
    for name in wanted:
        found[name].rename(f"READ_AS_{wanted[name]}")
    for own in wanted.values():
        doc.layers.get(f"READ_AS_{own}").rename(own)
    return []


def _collect(doc: Drawing) -> _Found:
    rings: list[Ring] = []
    outlines: list[tuple[str, tuple[Corner, ...], bool]] = []
    lines: list[tuple[str, tuple[float, float], tuple[float, float]]] = []
    texts: list[str] = []
    places: list[tuple[str, float, float]] = []
    problems: list[str] = []
    for entity in doc.modelspace():
        layer = entity.dxf.layer
        if isinstance(entity, Circle):
            centre = entity.dxf.center
            if layer not in RING_LAYERS:
                problems.append(f"a circle lies on layer {layer}")
            if entity.dxf.extrusion.z < 0:
                problems.append("a circle is drawn from behind")
            rings.append((layer, centre.x, centre.y, 2 * entity.dxf.radius))
        elif isinstance(entity, LWPolyline):
            corners = tuple((float(x), float(y), float(b)) for x, y, b in entity.get_points("xyb"))
            outlines.append((layer, corners, bool(entity.closed)))
        elif isinstance(entity, Line):
            a, b = entity.dxf.start, entity.dxf.end
            lines.append((layer, (a.x, a.y), (b.x, b.y)))
        elif isinstance(entity, Text):
            texts.append(entity.dxf.text)
            places.append((entity.dxf.text, entity.dxf.insert.x, entity.dxf.insert.y))
            if layer != "NOTES":
                problems.append(f"text on layer {layer}: {entity.dxf.text[:30]!r}")
        elif entity.dxftype() != "POINT":
            problems.append(f"has a {entity.dxftype()}, which is not measured")
    return _Found(
        rings=tuple(rings),
        outlines=tuple(outlines),
        lines=tuple(lines),
        texts=tuple(texts),
        places=tuple(places),
        problems=tuple(problems),
    )


def _same(a: Ring, b: Ring) -> bool:
    return a[0] == b[0] and all(abs(p - q) <= SAME_MM for p, q in zip(a[1:], b[1:], strict=True))


def _layer(hole: PanelHole) -> str:
    """The layer a hole must lie on: what is not drilled with its panel has its own."""
    made = STATUS_LAYERS[hole.status]
    return WAY_LAYERS.get(hole.work.how, made) if hole.status == "drill" else made


def _ring_problems(rings: Sequence[Ring], layout: PanelLayout) -> list[str]:
    wanted: list[tuple[str, Ring]] = []
    for h in layout.holes:
        layer = _layer(h)
        wanted.append((f"hole {h.number}", (layer, h.u_mm, h.v_mm, h.final_dia_mm)))
        if h.status == "drill" and h.work.punched and 0 < h.pilot_dia_mm < h.final_dia_mm - 0.5:
            wanted.append((f"pilot of hole {h.number}", ("PILOT", h.u_mm, h.v_mm, h.pilot_dia_mm)))
        if h.work.when == "open" and 0.5 < h.final_dia_mm - h.there_mm < h.final_dia_mm:
            wanted.append((f"hole {h.number} as it is", (layer, h.u_mm, h.v_mm, h.there_mm)))
    left = list(rings)
    problems: list[str] = []
    for name, ring in wanted:
        twin = next((r for r in left if _same(r, ring)), None)
        if twin is None:
            problems.append(
                f"{name} has no Ø{ring[3]:.2f} circle at {ring[1]:.3f}, {ring[2]:.3f} on {ring[0]}"
            )
        else:
            left.remove(twin)
    problems += [
        f"a circle of Ø{d:.2f} at {u:.3f}, {v:.3f} on {layer} is twice there or not in the plan"
        for layer, u, v, d in left
    ]
    return problems


def _equal_outlines(corners: Sequence[Corner], contour: Contour) -> bool:
    """The same corners and bulges in the same order, from whichever corner it begins."""
    wanted = [(p.u, p.v, p.bulge) for p in contour.vertices]
    if len(wanted) != len(corners):
        return False
    return any(
        all(math.dist(a, b) <= SAME_MM for a, b in zip(wanted, (*corners[k:], *corners[:k]), strict=True))
        for k in range(len(corners))
    )


def _outline_problems(found: _Found, layout: PanelLayout) -> list[str]:
    wanted = [("the panel's edge", "PANEL_EDGE", layout.contour)]
    wanted += [(f"keep-out {k.name}", f"KEEPOUT_{k.face.upper()}", k.contour) for k in layout.keepouts]
    wanted += [(f"part {f.part}", "PART_EDGE", f.contour) for f in layout.footprints]
    wanted += [
        (
            f"slot {h.number}",
            _layer(h),
            stadium(h.u_mm, h.v_mm, h.final_dia_mm, h.travel_mm, h.angle_rad),
        )
        for h in layout.holes
        if h.travel_mm
    ]
    left = [o for o in found.outlines if o[0] != "NOTES"]
    problems = [f"an outline on {layer} is open" for layer, _, closed in left if not closed]
    for name, layer, contour in wanted:
        twin = next((o for o in left if o[0] == layer and _equal_outlines(o[1], contour)), None)
        if twin is None:
            problems.append(f"{name} is not drawn as planned on {layer}")
        else:
            left.remove(twin)
    problems += [f"an outline on {layer} is twice there or not in the plan" for layer, _, _ in left]
    return problems


def _line_problems(found: _Found, layout: PanelLayout) -> list[str]:
    problems: list[str] = []
    bars = [(a, b) for layer, a, b in found.lines if layer == "CHECK_BAR"]
    if sorted(round(math.dist(a, b), 6) for a, b in bars) != sorted(BARS):
        problems.append("its check bars are not two of 100 mm and two of 101.6 mm")
    if sum(abs(a[0] - b[0]) < SAME_MM for a, b in bars) != 2:
        problems.append("its check bars are not two lying and two upright")
    folds = [(a, b) for layer, a, b in found.lines if layer == "FOLD"]
    for fold in layout.folds:
        if not any(
            math.dist(a, fold.start) <= SAME_MM and math.dist(b, fold.end) <= SAME_MM for a, b in folds
        ):
            problems.append(f"the fold to {fold.other} is not drawn as planned")
    if len(folds) != len(layout.folds):
        problems.append(f"{len(folds)} fold lines, not {len(layout.folds)}")
    return problems


def _axis_problems(found: _Found, layout: PanelLayout) -> list[str]:
    """u = 0 and v = 0 ticked and named on either side of a panel they cross; datum lines in their place."""
    corners = [(p.u, p.v) for p in layout.contour.vertices]
    marks = [(a, b) for layer, a, b in found.lines if layer == "DATUM"]
    problems: list[str] = []
    for axis, words in enumerate(("u = 0", "v = 0")):
        across, along = ([c[k] for c in corners] for k in (axis, 1 - axis))
        if not min(across) - SAME_MM <= 0.0 <= max(across) + SAME_MM:
            continue
        ticks = [
            (a[1 - axis] + b[1 - axis]) / 2
            for a, b in marks
            if abs(a[axis]) <= SAME_MM and abs(b[axis]) <= SAME_MM
        ]
        said = [at[1 - axis] for text, *at in found.places if text == words and abs(at[axis]) < NAME_MM]
        for places, what in ((ticks, "tick"), (said, "name")):
            if not (any(m < min(along) for m in places) and any(m > max(along) for m in places)):
                problems.append(f"does not {what} {words} on either side of the panel")
    for datum in layout.datums:
        if datum.kind == "point":
            continue
        axis = 0 if datum.kind == "vertical" else 1
        at = (datum.u_mm, datum.v_mm)[axis]
        if not any(abs(a[axis] - at) <= SAME_MM and abs(b[axis] - at) <= SAME_MM for a, b in marks):
            problems.append(f"does not draw datum {datum.name}")
    return problems


def _text_problems(texts: Sequence[str], layout: PanelLayout, revision: str) -> list[str]:
    whole = "\n".join(texts)
    wanted = ("UP", "CAB FACE", "check bar", *CAUTION_WORDS)
    problems = [f"does not say {word!r}" for word in wanted if word not in whole]
    if " ".join(layout.title.split()) not in whole:
        problems.append("does not name the panel")
    if revision and f"revision {revision}" not in whole:
        problems.append(f"does not say revision {revision}")
    for hole in layout.holes:
        own = [text for text in texts if text.startswith(f"{hole.number} ")]
        if not own:
            problems.append(f"does not label hole {hole.number}")
        if not any(" ".join(hole.tool.split()) in text for text in own):
            problems.append(f"does not say that hole {hole.number} takes a {hole.tool}")
        if hole.most_mm and not any(_says_limits(text, hole) for text in own):
            problems.append(f"does not say the limits of hole {hole.number}")
        said = ["".join(text.rsplit("; ", 1)[1].split()) for text in own if "; " in text]
        found = [table_work_problems(hole, text) for text in said]
        if not found or all(found):
            problems += found[0] if found else [f"does not say when and how hole {hole.number} is made"]
    return problems


def _says_limits(text: str, hole: PanelHole) -> bool:
    """True when a text gives the hole's limits in its own unit, rounded inward by less than one digit."""
    found = LIMITS.search(text)
    if found is None:
        return False
    one, digit = (25.4, 0.0254) if found[3] == "in" else (1.0, 0.01)
    low, high = float(found[1]) * one - hole.least_mm, hole.most_mm - float(found[2]) * one
    return all(-SAME_MM <= off <= digit + SAME_MM for off in (low, high))
