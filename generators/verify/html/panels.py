"""The small pictures of panels on a page: each number at its own hole, and no word over a picture's edge."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence

import numpy as np
from PIL import ImageFont

from generators.model.install import Guide, PanelPicture
from generators.model.plan import PanelLayout
from generators.verify.html.tree import Node

SAME_MM = 0.02
"""How far a disc may lie from its hole in the picture: two roundings of its numbers."""

NEARER_MM = 0.2
"""By how much a number without a leader must be nearer to its own hole than to any other. Ours."""

AT_MM, ENDS_MM = 0.3, 0.9
"""How near a leader begins to the rim of its hole, and ends at its number: a third of a figure. Ours."""

CAPITAL, DEEP = 0.72, 0.21
"""Over and under the base line, of the size: capitals and descenders of Helvetica (Adobe Core 14 metrics)."""

LOOSE = 0.95
"""Of the width reckoned: the letters of the font measured with are a little wider than those shown."""

_MOVED = re.compile(r"translate\((-?[\d.]+) (-?[\d.]+)\)(?: rotate\((-?[\d.]+)\))?")
_LETTERS = ImageFont.load_default(100)

Box = tuple[float, float, float, float]


def picture_problems(root: Node, layouts: Sequence[PanelLayout], guide: Guide) -> Iterator[str]:
    """What the pictures of the steps say wrong."""
    by_name = {layout.panel: layout for layout in layouts}
    for picture in root.all("svg"):
        yield from (f"{_called(picture)}: {text}" for text in _over_edges(picture))
    sections = root.all("section", class_="phase")
    for section, phase in zip(sections, guide.phases, strict=False):
        drawn = section.all("svg")
        wanted = [*phase.pictures, *(one for step in phase.steps for one in step.pictures)]
        for node, said in zip(drawn, wanted, strict=False):
            if isinstance(said, PanelPicture) and said.panel in by_name:
                told = _panel(node, by_name[said.panel], said)
                yield from (f"{phase.title}, {_called(node)}: {text}" for text in told)


def _called(picture: Node) -> str:
    return f"the picture {picture.attributes.get('aria-label', '')!r}"


def _over_edges(picture: Node) -> Iterator[str]:
    box = [float(v) for v in picture.attributes.get("viewbox", "").split()]
    if len(box) != 4:
        yield "has no size"
        return
    for node in picture.all("text"):
        x0, y0, x1, y1 = _text_box(node)
        if x0 < box[0] or y0 < box[1] or x1 > box[0] + box[2] or y1 > box[1] + box[3]:
            yield f"the words {node.text!r} run over its edge"


def _text_box(node: Node) -> Box:
    """Where a text is, in mm of the picture, downward."""
    size = float(node.attributes.get("font-size", "0"))
    wide = LOOSE * _LETTERS.getlength(node.text) * size / 100.0
    anchor = {"middle": 0.5, "end": 1.0}.get(node.attributes.get("text-anchor", ""), 0.0)
    found = _MOVED.match(node.attributes.get("transform", ""))
    x, y, turn = (float(v or 0) for v in found.groups()) if found else (math.nan,) * 3
    cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    corners = [
        (x + a * cos - b * sin, y + a * sin + b * cos)
        for a in (-anchor * wide, (1 - anchor) * wide)
        for b in (-CAPITAL * size, DEEP * size if set(node.text) & set("gjpqy,()") else 0.0)
    ]
    return (
        min(c[0] for c in corners),
        min(c[1] for c in corners),
        max(c[0] for c in corners),
        max(c[1] for c in corners),
    )


def _panel(picture: Node, layout: PanelLayout, wanted: PanelPicture) -> Iterator[str]:
    discs = [
        (float(n.attributes["cx"]), float(n.attributes["cy"]), float(n.attributes["r"]))
        for n in picture.all("circle")
    ]
    if len(discs) != len(layout.holes):
        yield f"has {len(discs)} holes, wanted {len(layout.holes)}"
        return
    if len(discs) > 1 and not _lie(discs, layout, -1.0 if wanted.face == "engine" else 1.0):
        yield "has holes that do not lie as they do in the panel"
    own = {hole.number: disc for hole, disc in zip(layout.holes, discs, strict=True)}
    texts = [node for node in picture.all("text") if node.text in own]
    for number in wanted.lit:
        if number not in {node.text for node in texts}:
            yield f"does not name hole {number}"
    lines = [
        [(float(n.attributes[f"x{k}"]), float(n.attributes[f"y{k}"])) for k in (1, 2)]
        for n in picture.all("line")
    ]
    for node in texts:
        box = _text_box(node)
        gaps = {number: _gap(box, disc[0], disc[1]) - disc[2] for number, disc in own.items()}
        mine = gaps.pop(node.text)
        x, y, r = own[node.text]
        led = any(
            abs(math.dist(a, (x, y)) - r) < AT_MM and _gap(box, *b) < ENDS_MM
            for line in lines
            for a, b in (line, line[::-1])
        )
        if not led and gaps and mine + NEARER_MM > min(gaps.values()):
            near = min(gaps, key=lambda number: gaps[number])
            yield f"the number {node.text} stands at hole {near} and has no leader to its own"


def _lie(discs: Sequence[tuple[float, float, float]], layout: PanelLayout, side: float) -> bool:
    """Whether one scale and one shift bring each hole onto its disc; ``side`` -1 from the engine bay."""
    true = np.array([(side * h.u_mm, -h.v_mm) for h in layout.holes])
    seen = np.array([disc[:2] for disc in discs])
    a, b = true - true.mean(axis=0), seen - seen.mean(axis=0)
    spread = float((a * a).sum())
    scale = float((a * b).sum()) / spread if spread else 1.0
    return scale > 0 and float(np.abs(scale * a - b).max()) < SAME_MM


def _gap(box: Box, x: float, y: float) -> float:
    """From a point to a box, 0 inside."""
    x0, y0, x1, y1 = box
    return math.hypot(max(x0 - x, x - x1, 0.0), max(y0 - y, y - y1, 0.0))
