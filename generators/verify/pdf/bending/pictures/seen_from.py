"""From which end of the machine a step's picture is seen: the one with less in the way, and drawn so."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry import MultiPoint

from generators.geometry.contours import polyline
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Bend, PartPlan
from generators.sheetmetal.folding import bend_length
from generators.verify.pdf.bending.below import leg_frame, walked
from generators.verify.pdf.bending.blank import shown
from generators.verify.pdf.content import Word

BEYOND_MM, SLACK_MM2, SHARE = 0.1, 50.0, 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What was bent before: its name, its points along the bend, off its middle and up, and its leg."""

    name: str
    points: Matrix
    rear: bool
    left: bool
    right: bool


def end_problems(
    where: str, match: re.Match[str], bend: Bend, before: Iterable[str], plan: PartPlan
) -> Iterator[str]:
    """A picture from the end beyond which more of what was bent before stands, seen along the bend."""
    hidden = {True: 0.0, False: 0.0}
    for one in standing(match, bend, before, plan):
        area = MultiPoint(one.points[:, 1:]).convex_hull.area
        hidden[True] += area if one.right else 0.0
        hidden[False] += area if one.left else 0.0
    chosen, other = hidden[not match["left"]], hidden[bool(match["left"])]
    # outlines that are hollow are taken for whole ones
    if chosen - other > SLACK_MM2 + SHARE * chosen:
        end = "left" if match["left"] else "right"
        yield f"{where} is seen from the {end} end, where {chosen:.0f} mm2 of flanges stand before the bend"


def standing(match: re.Match[str], bend: Bend, before: Iterable[str], plan: PartPlan) -> Iterator[Standing]:
    """Flanges that do not lie in their leg's plane, and beyond which ends of the bend they stand."""
    made, long = {*before}, bend_length(bend)
    for child in (True, False):
        # a leg's own along, off and up are right-handed with the upper side up; x of the machine is with the
        # leg that lies toward the gauge
        rear = match["rear"] == shown(bend.child if child else bend.parent)
        with_x = rear == (bend.direction == "up")
        arcs: list[tuple[str, Matrix]] = []
        frame = leg_frame(plan, bend, child)
        for name, there, flat in walked(plan, bend.child if child else bend.parent, frame, bend, made, arcs):
            if flat:
                continue
            ring = np.array(polyline(plan.flange(name).contour, 0.5), dtype=float)
            faces = [np.column_stack([ring, np.full(len(ring), w)]) for w in (0.0, plan.thickness_mm)]
            points = apply(there, np.concatenate(faces))
            ends = float(points[:, 0].max()) > long + BEYOND_MM, float(points[:, 0].min()) < -BEYOND_MM
            right, left = ends if with_x else ends[::-1]
            yield Standing(name=name, points=points, rear=rear, left=left, right=right)


def side_problems(match: re.Match[str], plan: PartPlan, words: Sequence[Word]) -> Iterator[str]:
    """Names of legs that do not stand as the end has them that a picture is seen from; tools not named."""
    bend = next((b for b in plan.bends if shown(b.name) == match["bend"]), None)
    if bend is None:
        return
    places = {" ".join(w.text.split()): (w.box[0] + w.box[2]) / 2 for w in words}
    one, two = shown(bend.parent), shown(bend.child)
    if one not in places or two not in places:
        yield f"step {match['number']}: the picture does not name {one} and {two}"
        return
    if missing := [tool for tool in _tools(match) if tool not in places]:
        yield f"step {match['number']}: the picture does not name {', '.join(missing)}"
    rear, front = (one, two) if match["rear"] == one else (two, one)
    left = bool(match.groupdict().get("left"))
    if (places[rear] < places[front]) != left:
        yield f"step {match['number']}: the picture is not seen from the {'left' if left else 'right'} end"


def _tools(match: re.Match[str]) -> tuple[str, ...]:
    """What of a machine a picture names."""
    stopped = bool(match["stop"])
    if "front" in match.groupdict():
        return ("fingers", "leaf", *(("stop",) if stopped else ()))
    return ("punch", "die", *(("gauge",) if stopped else ()))
