"""Parts to be bent, and a brake with one straight punch whose limits can be worked out by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from generators.bending.legs import PartShape
from generators.bending.search import Search
from generators.bending.setting import Machines
from generators.bending.steps import Refusal, Sequence, Step
from generators.bending.tools import plain_die
from generators.bending.trial import Setting, Trial
from generators.geometry.contours import rectangle
from generators.model.contour import Contour, Vertex
from generators.model.plan import Bend, Flange, PartPlan
from generators.model.spec.tools.folder import Folder
from generators.model.spec.tools.press import Brake, Punch

RIGHT = math.pi / 2
T, R, K = 3.0, 3.0, 0.43
PIECES = (10.0, 15.0, 20.0, 40.0, 50.0, 100.0, 100.0, 200.0, 300.0)
STRAIGHT = Punch(
    name="straight",
    height_mm=150.0,
    angle_rad=math.radians(85),
    tip_radius_mm=1.0,
    width_mm=16.0,
    segments_mm=PIECES,
)
GOOSE = replace(
    STRAIGHT,
    name="goose",
    height_mm=240.0,
    angle_rad=math.radians(80),
    width_mm=24.0,
    neck_depth_mm=50.0,
    neck_from_mm=90.0,
)
# a V 24 whose outside is 36 wide; 1 mm of air wanted
ONE = Brake(punch=(STRAIGHT,), die=(plain_die(24.0),))
TWO = replace(ONE, punch=(STRAIGHT, GOOSE))
MACHINES = Machines(brake=TWO, folder=Folder(), opening_mm=24.0)
ALLOWANCE = RIGHT * (R + K * T)


def order(plan: PartPlan, brake: Brake = ONE, **more: Any) -> Sequence:
    return Search(plan=plan, setting=Setting(brake=brake, tensile_mpa=370.0, opening_mm=24.0, **more)).run()


def bend(
    name: str, parent: str, child: str, start: tuple[float, float], end: tuple[float, float], **more: Any
) -> Bend:
    return Bend(
        **{
            "name": name,
            "parent": parent,
            "child": child,
            "start": start,
            "end": end,
            "angle_rad": RIGHT,
            "inside_radius_mm": R,
            "direction": "up",
            "k_factor": K,
            "k_source": "shop test bend",
            **more,
        }
    )


def plan_of(flanges: dict[str, tuple[float, float]], bends: list[Bend], thickness: float = T) -> PartPlan:
    """Flanges as rectangles of those sizes from their origins."""
    return PartPlan(
        name="p",
        kind="t",
        title="t",
        material="1008 steel",
        thickness_mm=thickness,
        flanges=tuple(Flange(name=n, contour=rectangle(0, 0, u, v)) for n, (u, v) in flanges.items()),
        bends=tuple(bends),
    )


def channel(flat: float, depth: float, long: float = 100.0, **second: Any) -> PartPlan:
    """A web ``flat`` wide between tangent lines with two cheeks ``depth`` behind theirs."""
    return plan_of(
        {"web": (flat, long), "right": (long, depth), "left": (long, depth)},
        [
            bend("r", "web", "right", (flat, 0.0), (flat, long)),
            bend("l", "web", "left", (0.0, long), (0.0, 0.0), **second),
        ],
    )


def zed(flat: float, hanging: float) -> PartPlan:
    """A web with a flange up on one side and one down on the other."""
    return channel(flat, hanging, direction="down")


def hat(flat: float, depth: float, brim: float, inward: bool = False) -> PartPlan:
    """A channel whose cheeks carry brims, outward, or inward to make a lipped channel."""
    plan = channel(flat, depth)
    way = "up" if inward else "down"
    edge = ((100.0, depth), (0.0, depth))
    return replace(
        plan,
        flanges=(
            *plan.flanges,
            Flange(name="right_brim", contour=rectangle(0, 0, 100, brim)),
            Flange(name="left_brim", contour=rectangle(0, 0, 100, brim)),
        ),
        bends=(
            *plan.bends,
            bend("rb", "right", "right_brim", *edge, direction=way),
            bend("lb", "left", "left_brim", *edge, direction=way),
        ),
    )


def box(width: float, length: float, depth: float, lip: float = 0.0, gap: float = 5.0) -> PartPlan:
    """A tray: a base with four sides up, ``gap`` short at the corners; lips turned in on the two long ones."""
    sides = {
        "front": ((gap, 0.0), (width - gap, 0.0)),
        "right": ((width, gap), (width, length - gap)),
        "back": ((width - gap, length), (gap, length)),
        "left": ((0.0, length - gap), (0.0, gap)),
    }
    sizes = {"base": (width, length)}
    bends = []
    for name, (start, end) in sides.items():
        sizes[name] = (math.dist(start, end), depth)
        bends.append(bend(f"b_{name}", "base", name, start, end))
    if lip:
        for name in ("right", "left"):
            long = sizes[name][0]
            sizes[f"{name}_lip"] = (long, lip)
            bends.append(bend(f"lip_{name}", name, f"{name}_lip", (long, depth), (0.0, depth)))
    return plan_of(sizes, bends)


def flagged(gap: float, both: bool = True) -> PartPlan:
    """A web with flanges hanging beside its bend ``r``, their tangent lines ``gap`` from that bend's ends.

    Its corners are notched 5 mm wide there. Not ``both``: only the front one hangs, and the bend goes to the
    other edge of the web.
    """
    high = 110.0 - gap if both else 110.0
    corners = [(0.0, 0.0), (115.0, 0.0), (115.0, gap), (120.0, gap), (120.0, high)]
    corners += [(115.0, high), (115.0, 110.0), (0.0, 110.0)] if both else [(0.0, 110.0)]
    sides = {"front": ((0.0, 0.0), (115.0, 0.0))} | ({"back": ((115.0, 110.0), (0.0, 110.0))} if both else {})
    plan = plan_of(
        {"web": (120.0, 110.0), "right": (high - gap, 40.0), **dict.fromkeys(sides, (115.0, 40.0))},
        [
            *(bend(n, "web", n, a, b, direction="down") for n, (a, b) in sides.items()),
            bend("r", "web", "right", (120.0, gap), (120.0, high)),
        ],
    )
    web = Contour(vertices=tuple(Vertex(u=u, v=v) for u, v in corners))
    return replace(plan, flanges=(Flange(name="web", contour=web), *plan.flanges[1:]))


def eared(gap: float, ear: float) -> PartPlan:
    """A bend ``r`` of 100 at the edge of a web that goes on ``ear`` past the bend's middle, ``gap`` beyond its end.

    The ear, 30 wide, stays flat with the web.
    """
    far = 80.0 + ALLOWANCE / 2 + ear
    corners = [(0.0, 0.0), (80.0, 0.0), (80.0, 100.0)]
    corners += [(80.0, 100.0 + gap), (far, 100.0 + gap), (far, 130.0 + gap), (0.0, 130.0 + gap)]
    plan = plan_of(
        {"web": (80.0, 130.0), "right": (100.0, 40.0)},
        [bend("r", "web", "right", (80.0, 0.0), (80.0, 100.0))],
    )
    web = Contour(vertices=tuple(Vertex(u=u, v=v) for u, v in corners))
    return replace(plan, flanges=(Flange(name="web", contour=web), *plan.flanges[1:]))


def last(plan: PartPlan, name: str, brake: Brake = ONE, **more: Any) -> list[Step | Refusal]:
    """What a bend gives both ways round when every other one is made."""
    shape, setting = PartShape(plan=plan), Setting(brake=brake, tensile_mpa=370.0, opening_mm=24.0, **more)
    this = next(b for b in plan.bends if b.name == name)
    done = frozenset(b.name for b in plan.bends) - {name}
    return [
        Trial(shape=shape, setting=setting, bend=this, bent=done, child_rear=rear).attempt()
        for rear in (True, False)
    ]
