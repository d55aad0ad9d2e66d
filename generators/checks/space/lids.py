"""The rule on a reservoir's lid: can it be taken off, and the reservoir be filled, where it sits?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from generators.checks.rule import SAME_MM, Rule, finding, mm, mm_up, more
from generators.checks.space.clash import TOUCH_MM
from generators.checks.space.ground import Ground
from generators.checks.space.moves import moved_out
from generators.model.changes import Later
from generators.model.findings import Finding, Severity
from generators.space.body import Body
from generators.space.distance import Space
from generators.space.pieces import Point3, Rod

RESERVOIR_LID = Rule(
    code="reservoir-lid",
    title="No room over a reservoir's lid",
    meaning=(
        "The lid is turned off by hand and fluid is poured in from a bottle: over the reservoir, as wide as "
        "it is, nothing may stand as high as that takes. One whose body lies is opened at its middle. Only "
        "what the job knows is looked at, and what is moved aside for good is not: a bonnet or a cover is in "
        "no spec unless it stands there as an obstacle. A reservoir without a body is not judged."
    ),
    formula="free height over the reservoir's top >= lid_room",
    source="50 mm for a hand on the lid and the neck of a bottle: common practice, no source",
    trust="CP",
    mend="Move the reservoir or what stands over it, or fill it by a funnel with a hose.",
    limit_key="lid_room_mm",
)

RULES = (RESERVOIR_LID,)

_STEEP = float(np.sqrt(0.5))
_HALVINGS = 12


@dataclass(frozen=True, kw_only=True)
class Lid:
    """The room over one reservoir: ``free_mm`` of the ``room_mm`` wanted, then ``below``.

    ``met`` are the bodies in that room, the lowest first, ``column`` the room itself.
    """

    reservoir: Body
    column: Body
    room_mm: float
    free_mm: float
    met: tuple[Body, ...] = ()

    @property
    def free(self) -> bool:
        """True where all of the room wanted is free."""
        return self.free_mm >= self.room_mm - SAME_MM

    @property
    def below(self) -> str:
        """What stands lowest over it, in words; empty where nothing does."""
        return self.met[0].title if self.met else ""


def lids(bodies: Sequence[Body], room_mm: float) -> Iterator[Lid]:
    """The room over every reservoir that has a body. Raises nothing."""
    for body in bodies:
        rods = [form for form in body.forms if isinstance(form, Rod)]
        if body.what != "reservoir" or not rods or room_mm <= 0:
            continue
        foot, way = _top(rods[0])
        column = _column(body, foot, way, rods[0].radius_mm, room_mm)
        low, high = column.box
        near = [
            other
            for other in bodies
            if other.owner != body.owner
            and other.what != "room"
            and bool(np.all(other.box[0] < high) and np.all(other.box[1] > low))
        ]
        found = [(_free(body, foot, way, rods[0].radius_mm, room_mm, other), other) for other in near]
        met = sorted(((mm_free, o) for mm_free, o in found if mm_free < room_mm), key=lambda each: each[0])
        yield Lid(
            reservoir=body,
            column=column,
            room_mm=room_mm,
            free_mm=met[0][0] if met else room_mm,
            met=tuple(other for _, other in met),
        )


def check_lids(bodies: Sequence[Body], ground: Ground, room_mm: float) -> Iterator[Finding]:
    """A finding for each reservoir whose lid has less room than ``room_mm``."""
    for lid in lids(bodies, room_mm):
        if lid.free:
            continue
        mine, theirs = (
            ground.movable.get(f"reservoir {lid.reservoir.owner}"),
            ground.movable.get(f"{lid.met[0].what} {lid.met[0].owner}"),
        )
        things = [(thing, k == 0) for k, thing in enumerate((mine, theirs)) if thing is not None]
        yield finding(
            RESERVOIR_LID,
            Severity.WARN,
            f"component:{lid.reservoir.owner}",
            value=lid.free_mm,
            limit=room_mm,
            found=f"{mm(lid.free_mm)} over its top, then {lid.below}",
            wanted=f"{mm_up(room_mm)} free over its lid",
            advice=f"move one of them {more(room_mm - lid.free_mm)} apart, or fill it through a hose",
            # on one part neither is moved out of the other
            proposals=()
            if mine is theirs
            else Later(partial(moved_out, [(lid.column, o) for o in lid.met], things)),
        )


def _top(rod: Rod) -> tuple[Point3, Point3]:
    """Where the room begins and its way: along a body that stands, up from the middle of another."""
    axis = np.array(rod.axis)
    if abs(axis[2]) >= _STEEP:
        up = axis if axis[2] > 0 else -axis
        end = np.array(rod.end if axis[2] > 0 else rod.start)
    else:
        up = np.array([0.0, 0.0, 1.0])
        across = float(np.sqrt(1.0 - axis[2] ** 2))
        end = (np.array(rod.start) + np.array(rod.end)) / 2 + up * rod.radius_mm / across
    (x, y, z), (a, b, c) = end.tolist(), up.tolist()
    return (x, y, z), (a, b, c)


def _column(body: Body, foot: Point3, way: Point3, radius_mm: float, high_mm: float) -> Body:
    x, y, z = (np.array(foot) + np.array(way) * high_mm).tolist()
    return Body(
        name=f"{body.name}.lid",
        title=f"{body.title} (lid)",
        what="room",
        owner=body.owner,
        forms=(Rod(start=foot, end=(x, y, z), radius_mm=radius_mm),),
    )


def _free(body: Body, foot: Point3, way: Point3, radius_mm: float, room_mm: float, other: Body) -> float:
    """How high over the lid is free of one body, to a hundredth of a millimetre; at most all of the room."""

    def meets(high_mm: float) -> bool:
        gap = Space([_column(body, foot, way, radius_mm, high_mm), other]).gap(0, 1, -TOUCH_MM)
        return gap is not None and gap.gap_mm < -TOUCH_MM

    if not meets(room_mm):
        return room_mm
    low, high = 0.0, room_mm
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (low, middle) if meets(middle) else (middle, high)
    # what only touches does not meet: it stands that much higher than the room is deep in it
    return max(low - TOUCH_MM, 0.0)
