"""The distances to check of a finished page, against the layouts: what a steel rule reads."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence

from generators.model.plan import PanelHole, PanelLayout
from generators.model.words import NEW
from generators.verify.html.tree import Node
from generators.verify.pdf.template.words import RIM, ruled, ruled_from

CHECKS = "checks"
HEADS = ("from", "to", "distance")
ENOUGH = 2
"""Distances that fix a mark on a flat whose side is known."""

SAME_MM = {"mm": 0.0051, "in": 0.0128}
"""Half of the last decimal a distance is said with, and the rounding of its float, by its first unit."""

SENT = "distances of the hole table"
"""Words of a step that has its marks checked."""

_FIRST = re.compile(r"^(\d+(?:\.\d+)?) (mm|in)\b")
INCH = 25.4


def distance_problems(root: Node, layouts: Sequence[PanelLayout]) -> Iterator[str]:
    """Every distance true and from rims of what is there, and enough of them where a rule reaches."""
    found = {node.attributes.get("id", ""): node for node in root.all("table", class_=CHECKS)}
    wanted = {f"checks-{x.panel}": x for x in layouts if len(x.holes) > 1}
    yield from (f"has the distances {name!r} of no panel" for name in sorted(found.keys() - wanted.keys()))
    for name, layout in wanted.items():
        table = found.get(name)
        if table is not None:
            yield from (f"{layout.title}: {text}" for text in _table(table, layout))
        elif not layout.wraps and any(ruled_from(h, layout) for h in layout.holes if h.status in NEW):
            yield f"{layout.title}: has no distances to check"
    for step in root.all("li", class_="step"):
        leads = {a.attributes.get("href", "") for a in step.all("a")}
        if found and SENT in step.text and not any(href.startswith("#checks-") for href in leads):
            yield f"{step.attributes.get('id')}: does not lead to the distances it asks for"


def _table(table: Node, layout: PanelLayout) -> Iterator[str]:
    holes = {hole.number: hole for hole in layout.holes}
    times: Counter[str] = Counter()
    for row in (row for row in table.all("tr") if row.all("td")):
        cells = {cell.attributes.get("data-head", ""): cell.text for cell in row.all("td")}
        one, other, said = (cells.get(head, "") for head in HEADS)
        ends = [holes.get(text.removeprefix(RIM)) for text in (one, other)]
        a, b = ends
        if a is None or b is None:
            yield f"a check distance runs from {one!r} to {other!r}, which is no hole"
            continue
        times.update((a.number, b.number))
        if any(text.startswith(RIM) == (h.status in NEW) for text, h in ((one, a), (other, b))):
            yield f"the check distance {one} to {other} does not run from rims of what is there"
        if not _says(said, a, b):
            yield f"the check distance {one} to {other} says {said!r}, wanted {ruled(a, b):.3f} mm"
    for hole in layout.holes:
        if hole.status not in NEW or layout.wraps:
            continue
        least = min(ENOUGH, ruled_from(hole, layout))
        if times[hole.number] < least:
            yield f"hole {hole.number} has {times[hole.number]} check distances, wanted {least}"


def _says(said: str, a: PanelHole, b: PanelHole) -> bool:
    first = _FIRST.match(said)
    if first is None:
        return False
    mm = float(first[1]) * (INCH if first[2] == "in" else 1.0)
    return abs(mm - ruled(a, b)) <= SAME_MM[first[2]]
