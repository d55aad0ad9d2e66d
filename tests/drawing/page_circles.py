"""Circles of a page, by a second reader."""

from typing import Any

PT = 72 / 25.4


def page_circles(page: Any) -> list[tuple[float, float, float, float, bool]]:
    """``(x, y, diameter, width, dashed)`` in mm from the lower left, of curves with equal sides."""
    found = []
    for c in page.curves:
        w, h = (c["x1"] - c["x0"]) / PT, (c["bottom"] - c["top"]) / PT
        if abs(w - h) < 0.01 and c["stroke"]:
            x, y = (c["x0"] + c["x1"]) / 2 / PT, (page.height - (c["top"] + c["bottom"]) / 2) / PT
            found.append((x, y, w, c["linewidth"] / PT, bool(c["dash"] and c["dash"][0])))
    return found
