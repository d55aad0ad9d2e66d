"""The order on the brake of a part that is bent on the folder, and where the blank's K-factor comes from."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from generators.model.plan import Bend, PartPlan
from generators.verify.pdf.bending.blank import in_mm, shown

NONE = "ON THE BRAKE ALONE no order of its bends was found: "
ALL = "Steps on the brake instead make all bends where there is no folder"
K = re.compile(
    r"K (?P<k>0\.\d+)(?: of bends (?P<names>[a-z0-9 ,]+))?: (?P<source>shop test bend|[^.:]+?), "
    r"(?:over V (?P<v>[\d./ ]+) (?P<unit>mm|in) of the brake: over another V(?P<folder>, or on the folder,)? "
    r"bend|the shop has not told on which machine: bend|no test bend: bend)"
)
MEASURED, NEAR_MM = "shop test bend", 0.21


def orders_of(steps: Sequence[re.Match[str]]) -> list[list[re.Match[str]]]:
    """The steps of the order, then those on the brake instead, if there are any."""
    first = [m for m in steps if not m.groupdict().get("instead")]
    second = [m for m in steps if m.groupdict().get("instead")]
    return [first, second] if second else [first]


def in_turn(
    steps: Sequence[re.Match[str]], plan: PartPlan
) -> Iterator[tuple[re.Match[str], Bend, frozenset[str]]]:
    """Each step whose bend the plan has, with its bend and the names of those made before it in its order."""
    bends = {shown(b.name): b for b in plan.bends}
    for order in orders_of(steps):
        before: frozenset[str] = frozenset()
        for match in order:
            if bend := bends.get(match["bend"]):
                yield match, bend, before
                before |= {bend.name}


def instead_problems(text: str, steps: Sequence[re.Match[str]]) -> Iterator[str]:
    """A folder's part that says nothing of a brake, or a part that says so and needs none."""
    whole, orders = " ".join(text.split()), orders_of(steps)
    on_folder = any("front" in m.groupdict() for m in orders[0])
    second, none = len(orders) > 1, NONE in whole
    if on_folder and second == none:
        yield "the sheet does not say whether a brake alone bends what its folder does"
    if not on_folder and (second or none):
        yield "the sheet has an order on the brake instead of a folder that it does not use"
    if second and ALL not in whole:
        yield "the sheet does not say that its steps on the brake stand instead of all others"


def k_problems(
    text: str, steps: Sequence[re.Match[str]], plan: PartPlan, opening_mm: float | None
) -> Iterator[str]:
    """Each bend's K with where it comes from; of a test bend with the V it was made over."""
    whole = " ".join(text.split())
    folder = any("front" in m.groupdict() for m in steps)
    every = {shown(b.name): b for b in plan.bends}
    told: set[str] = set()
    for said in K.finditer(whole):
        names = said["names"].split(", ") if said["names"] else list(every)
        told |= set(names)
        for bend in (every[n] for n in names if n in every):
            if abs(float(said["k"]) - bend.k_factor) > 0.00051 or said["source"] != bend.k_source:
                yield f"the sheet has K {said['k']} by {said['source']} for bend {shown(bend.name)}"
            measured = bend.k_source == MEASURED and opening_mm is not None
            if (said["v"] is not None) != measured:
                yield f"the sheet is wrong about the V that K {said['k']} was measured over"
        if said["v"] is not None and opening_mm is not None:
            if abs(in_mm(said["v"], said["unit"]) - opening_mm) > NEAR_MM:
                has = f"K {said['k']} over V {said['v']} {said['unit']}"
                yield f"{has}; the shop's test bend is V {opening_mm:g}"
            if bool(said["folder"]) != folder:
                yield "the sheet is wrong about a K-factor of the brake on the folder"
    if missing := sorted(set(every) - told):
        yield f"the sheet does not say where K of bends {', '.join(missing)} comes from"
