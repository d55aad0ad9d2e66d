"""What a flat DXF says of its zero against the drawing's, and of the layers that are never cut."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence

from generators.geometry.contours import bounds
from generators.model.spec.shop import Cutting
from generators.sheetmetal.folding import FlatPattern
from generators.verify.dxf.flat_marks import Sheet

ZERO = re.compile(
    r"The drawing's X 0 \((?P<of_x>[^)]+)\) is X (?P<x>-?[\d.]+) of this file, its Y 0 "
    r"\((?P<of_y>[^)]+)\) is Y (?P<y>-?[\d.]+)\."
)
NEVER = re.compile(r"NEVER CUT what is on (?P<names>.+)\.")
ROUNDED_MM = 0.0051


def heading_problems(
    sheet: Sheet, planned: FlatPattern, names: Sequence[str], cut: str, shop: Cutting
) -> Iterator[str]:
    """What is wrong with both in a file that has notes; ``names`` are its layers, ``cut`` that of cuts."""
    if shop.notes:
        yield from zero_problems(sheet, planned)
        yield from uncut_problems(sheet, names, cut)


def zero_problems(sheet: Sheet, planned: FlatPattern) -> Iterator[str]:
    """A zero that is not where the blank has the edge, the hole or the middle it is said to be."""
    said = next((m for text, _ in sheet.texts if (m := ZERO.fullmatch(text))), None)
    if said is None:
        yield "no note says where the drawing's zero lies in this file"
        return
    low_u, low_v, high_u, high_v = bounds(planned.contour)
    for axis, words, low, high, edge in (
        ("x", said["of_x"], low_u, high_u, "the left edge"),
        ("y", said["of_y"], low_v, high_v, "the lower edge"),
    ):
        hole = re.fullmatch(r"the centre of hole (\d+)", words)
        wanted = math.nan
        if words == edge:
            wanted = low
        elif hole and 0 < int(hole[1]) <= len(planned.holes):
            one = planned.holes[int(hole[1]) - 1]
            wanted = one.u_mm if axis == "x" else one.v_mm
        elif words == "the middle of the blank":
            wanted = (low + high) / 2
        if not abs(float(said[axis]) - wanted) < ROUNDED_MM:
            has = f"{axis.upper()} {said[axis]}"
            yield f"the drawing's zero ({words}) is said to be at {has}, not {wanted:.2f}"


def uncut_problems(sheet: Sheet, names: Sequence[str], cut: str) -> Iterator[str]:
    """Layers beside that of the cuts that no note says are never cut, or the cuts' own among them."""
    said = next((m for text, _ in sheet.texts if (m := NEVER.fullmatch(text))), None)
    told = set(said["names"].split(", ")) if said else set()
    # layer 0 is in every file and, unless it is named for something, empty
    others = {name for name in names if name != cut and name.upper() not in ("0", "DEFPOINTS")}
    if missing := sorted(others - told):
        yield f"no note says that {', '.join(missing)} is never cut"
    if cut in told:
        yield f"the layer of the cuts, {cut}, is said to be never cut"
