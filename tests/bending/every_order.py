"""Parts drawn at random, and whether any order of their bends works, tried one by one."""

from __future__ import annotations

import itertools
import math
import random

from bent_parts import bend, plan_of

from generators.bending.search import Search
from generators.bending.steps import Refusal
from generators.model.plan import PartPlan


def any_order_works(search: Search) -> bool:
    """Every permutation of the bends, each bend either way round: no memory of sets, no order of preference."""
    for names in itertools.permutations(search.plan.bends):
        done: frozenset[str] = frozenset()
        for each in names:
            if not any(not isinstance(search.tried(done, each, rear), Refusal) for rear in (True, False)):
                break
            done |= {each.name}
        else:
            return True
    return False


def random_part(seed: int) -> PartPlan:
    """A chain or tree of rectangles round a base, square bends up and down, three to six of them."""
    draw = random.Random(seed)
    sizes = {"f0": (80.0, draw.choice((50.0, 70.0, 90.0)))}
    free = [("f0", side) for side in range(4)]
    bends = []
    for i in range(draw.randint(3, 6)):
        parent, side = free.pop(draw.randrange(len(free)))
        u, v = sizes[parent]
        corners = [(0.0, 0.0), (u, 0.0), (u, v), (0.0, v)]
        start, end = corners[side], corners[(side + 1) % 4]
        long = math.dist(start, end)
        # narrower than the side, so that neighbours and corners stay apart
        eu, ev = (end[0] - start[0]) / long, (end[1] - start[1]) / long
        start, end = (start[0] + 8 * eu, start[1] + 8 * ev), (end[0] - 8 * eu, end[1] - 8 * ev)
        name = f"f{i + 1}"
        sizes[name] = (long - 16.0, draw.choice((18.0, 30.0, 55.0, 80.0)))
        bends.append(bend(f"b{i + 1}", parent, name, start, end, direction=draw.choice(("up", "up", "down"))))
        if sizes[name][0] > 40.0:
            free += [(name, 2)]
    return plan_of(sizes, bends)
