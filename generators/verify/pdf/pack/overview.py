"""The overview of a finished pack: it says that nobody drills by it, and its pictures have the true shape."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from generators.model.plan import PanelLayout
from generators.verify.pdf.content import Circle, Content, as_circle
from generators.verify.pdf.template.words import says

SAYS = ("NOT TO DRILL BY", "not 1:1")
SCALE = re.compile(r"scale 1 : ([\d.]+)")
WITHOUT = re.compile(r"no room for the numbers of (\d+) of its \d+ holes")
PLACE_MM = 0.1
LARGEST = 0.7
"""A picture as large as the panel would be taken for a template, whatever stands over it."""

SCALE_OUT = 0.02
ROUNDED = 0.05
"""A scale printed as 1 : 1.1 may be 1 : 1.05 to 1 : 1.15."""


def overview_problems(pages: Sequence[Content], layouts: Sequence[PanelLayout]) -> list[str]:
    """Words that are missing, a panel that is, or whose holes stand in another pattern, on all its pages."""
    problems = [f"does not say {text!r}" for text in SAYS if not all(says(page, text) for page in pages)]
    count = sum(len(SCALE.findall(page.text)) for page in pages)
    if count != len(layouts):
        problems.append(f"gives {count} scales for {len(layouts)} panels")
    for layout in layouts:
        shown = [page for page in pages if says(page, layout.title)]
        problems += [] if shown else [f"does not show {layout.title!r}"]
        if not any(_drawn(page, layout) for page in shown):
            problems.append(f"shows the holes of {layout.title!r} elsewhere than they are")
        numbers = {w.text.strip() for page in shown for w in page.words}
        lost = [h.number for h in layout.holes if h.number not in numbers]
        # where holes crowd, some numbers find no room: it says of how many
        told = [int(n) for page in shown for n in WITHOUT.findall(page.text)]
        if lost and max(told, default=0) < len(lost):
            named = len(layout.holes) - len(lost)
            problems.append(f"names {named} of {len(layout.holes)} holes and does not say so")
    return problems


def _drawn(page: Content, layout: PanelLayout) -> bool:
    """True when the panel's holes stand on that page as they do on the metal, at a scale it says."""
    scales = [float(text) for text in SCALE.findall(page.text)]
    circles = [c for c in map(as_circle, page.shapes) if c is not None and c.shape.stroked]
    return any(_there(layout, circles, 1 / scale) for scale in scales if scale >= 1 / LARGEST)


def _there(layout: PanelLayout, circles: Sequence[Circle], scale: float) -> bool:
    """True when circles stand as the holes do, somewhere on the page; the printed scale has one decimal."""
    if len(layout.holes) < 2:
        return bool(circles)
    a, b = max(
        ((a, b) for a in layout.holes for b in layout.holes),
        key=lambda pair: math.hypot(pair[0].u_mm - pair[1].u_mm, pair[0].v_mm - pair[1].v_mm),
    )
    span = math.hypot(a.u_mm - b.u_mm, a.v_mm - b.v_mm)
    for p in circles:
        for q in circles:
            found = math.hypot(p.x - q.x, p.y - q.y)
            if found == 0 or abs(found / span / scale - 1) > max(SCALE_OUT, ROUNDED * scale):
                continue
            true = found / span
            if all(
                any(
                    math.hypot(c.x - p.x - (h.u_mm - a.u_mm) * true, c.y - p.y - (h.v_mm - a.v_mm) * true)
                    <= PLACE_MM
                    for c in circles
                )
                for h in layout.holes
            ):
                return True
    return False
