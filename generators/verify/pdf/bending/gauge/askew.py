"""How far a bend may be askew for what an inspection sheet asks along its fold: worked out from its rows."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from functools import lru_cache

from generators.model.plan import PartPlan
from generators.sheetmetal.folding import bend_length, flat_pattern
from generators.sheetmetal.seams import seams
from generators.verify.pdf.inspecting.ties import wanted_ties

TIED = re.compile(r"hole (\d+) to hole (\d+) along the fold of .+")
APART = re.compile(r"difference of (M\d+) and (M\d+): .+")
LEAST_MM = 1e-6

Point = tuple[float, float]


@lru_cache(maxsize=64)
def may_be_askew_rad(plan: PartPlan) -> dict[str, float]:
    """By bend: end to end by a bent length's limit, and by what its holes and welded edges allow, rad."""
    out = {bend.name: plan.bent_mm / bend_length(bend) for bend in plan.bends}
    for name, within, far in _rows(plan):
        if far > LEAST_MM:
            out[name] = min(out[name], within / far)
    return out


def _rows(plan: PartPlan) -> Iterator[tuple[str, float, float]]:
    """A bend, how far something on it may come out along the fold, and how far off the bend's line it is."""
    flat = flat_pattern(plan)
    lines = {strip.bend.child: (strip.bend.name, strip.middle) for strip in flat.bends}
    holes = [
        (flange.name, flat.placements[flange.name].apply(hole.u_mm, hole.v_mm))
        for flange in plan.flanges
        for hole in flange.holes
    ]
    ties: dict[str, tuple[str, float]] = {}
    for key, words, _, nominal, least, most in wanted_ties(plan):
        if (tied := TIED.fullmatch(words)) is not None:
            (_, first), (flange, own) = (holes[int(number) - 1] for number in tied.groups())
            name, line = lines[flange]
            ties[key] = name, abs(_off(line, own) - _off(line, first))
            yield name, min(most - nominal, nominal - least), ties[key][1]
        elif (pair := APART.fullmatch(words)) is not None:
            together = sum(ties[one][1] for one in pair.groups())
            for one in pair.groups():
                yield ties[one][0], most, together
    for _, seam in seams(plan):
        if seam is not None and seam.edge in lines:
            name, line = lines[seam.edge]
            far = max(abs(_off(line, flat.placements[seam.edge].apply(*end))) for end in seam.ends)
            yield name, plan.position_mm, far


def _off(line: tuple[Point, Point], at: Point) -> float:
    (au, av), (bu, bv) = line
    return ((bu - au) * (at[1] - av) - (bv - av) * (at[0] - au)) / math.hypot(bu - au, bv - av)
