"""The holes of a finished page against the layouts: each once, when and how, how wide, with what."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from generators.model.install import Guide, closed_at, drilled_at
from generators.model.plan import PanelHole, PanelLayout
from generators.verify.html.distances import CHECKS
from generators.verify.html.tree import Node
from generators.verify.pdf.template.works import table_work_problems

SAME_MM = 0.0051
"""Half of the last decimal a diameter is said with, and the rounding of its float."""

INCH = 25.4
ROUNDED_MM, SAME_LIMIT_MM = 1e-4, 0.0256
"""A limit is rounded inward, by no more than the last decimal of an inch, and never outward."""

NONE = "–"
"""What a cell says that has nothing to say: none is empty."""

_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_MM = re.compile(r"(-?\d+(?:\.\d+)?) mm")


def hole_problems(root: Node, layouts: Sequence[PanelLayout], guide: Guide) -> Iterator[str]:
    """What the tables of holes say wrong, hole by hole."""
    sections = [node for node in root.all("section") if node.attributes.get("id") == "holes"]
    tables = [t for t in sections[0].all("table") if CHECKS not in t.classes] if sections else []
    titles = [node.text for node in sections[0].all("h3")] if sections else []
    wanted = [layout for layout in layouts if layout.holes]
    if titles != [" ".join(layout.title.split()) for layout in wanted] or len(tables) != len(wanted):
        right = ", ".join(layout.title for layout in wanted)
        yield f"has holes of {', '.join(titles) or 'no panel'}, wanted {right or 'none'}"
        return
    at = drilled_at(guide)
    for table, layout in zip(tables, wanted, strict=True):
        rows = [
            {cell.attributes.get("data-head", ""): cell.text for cell in row.all("td")}
            for row in table.all("tr")
            if row.all("td")
        ]
        numbers = [row.get("hole", "") for row in rows]
        if numbers != [hole.number for hole in layout.holes]:
            yield f"has holes {', '.join(numbers)} of the {layout.title}, or in another order"
            continue
        for row, hole in zip(rows, layout.holes, strict=True):
            ref = (layout.panel, hole.number)
            for problem in _hole(row, hole, at.get(ref) or closed_at(guide, ref, hole.work)):
                yield f"{layout.title}, hole {hole.number}: {problem}"


def _hole(row: dict[str, str], hole: PanelHole, step: int | None) -> Iterator[str]:
    wide = [float(n) for n in _MM.findall(row.get("final", ""))]
    if len(wide) != 1 or abs(wide[0] - hole.final_dia_mm) > SAME_MM:
        yield f"says it is {row.get('final')!r}, wanted {hole.final_dia_mm:g} mm"
    limits = [float(n) for n in _NUMBER.findall(row.get("may be", ""))]
    scale = 1.0 if "mm" in row.get("may be", "") else INCH
    # two limits nearer than a digit cannot both be rounded inward
    over = ROUNDED_MM if hole.most_mm - hole.least_mm > 2 * SAME_LIMIT_MM else SAME_LIMIT_MM
    if hole.most_mm and not (
        len(limits) == 2
        and hole.least_mm - over <= min(limits) * scale
        and max(limits) * scale <= hole.most_mm + over
        and abs(max(limits) * scale - hole.most_mm) < SAME_LIMIT_MM
        and abs(min(limits) * scale - hole.least_mm) < SAME_LIMIT_MM
    ):
        yield f"says it may be {row.get('may be')!r}, wanted {hole.least_mm:.3f} to {hole.most_mm:.3f} mm"
    yield from table_work_problems(hole, "".join(row.get("when and how", "").split()))
    said = {"for": hole.purpose, "with": hole.tool, "step": "" if step is None else str(step)}
    for head, words in said.items():
        if row.get(head) != (" ".join(words.split()) or NONE):
            yield f"says {head} {row.get(head)!r}, wanted {words!r}"
