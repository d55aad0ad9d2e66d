"""The other hand of a whole job: everything in the vehicle seen in a mirror left for right.

The vehicle's y changes its sign. A panel's u runs to the right as seen from in front of it, so in the mirror
what lay at u lies at -u of the same panel, whose origin went to the other side. A part is made the other way
round (``mirror``), and its root lies where the mirror puts it. Names stay: they say which thing it is; only
the names a part gives its own holes and flanges (``left_1``) follow its hand, as for any opposite hand.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any, TypeVar, cast

from generators.model.spec.fields import spec_fields
from generators.model.spec.fittings import Body3, Elbow, HoseEnd, PortSpec
from generators.model.spec.hydraulics import Pedal
from generators.model.spec.job import (
    ExistingHole,
    HoleSpec,
    Job,
    Mount,
    Obstacle,
    Panel,
    PanelPattern,
    PartSpec,
    Position,
)
from generators.model.spec.lines import Clamp, ClampRow, Component, Hose, Spot
from generators.model.spec.load import Bead, Carried, Load
from generators.model.spec.rework import Rework
from generators.model.words import other_hand
from generators.reading.keys.datums import EDGES

Point2 = tuple[float, float]
Point3 = tuple[float, float, float]
W = TypeVar("W", bound=str)

_WORDS: Mapping[str, str] = MappingProxyType({"left": "right", "right": "left"})


def other_word(word: W) -> W:
    """``left`` for ``right`` and the other way round; any other word as it is."""
    # every list of typed words has both or neither
    return cast("W", _WORDS.get(word, word))


def _minus(value: float) -> float:
    return -value + 0.0  # no negative zero


def _flat(point: Point2) -> Point2:
    return _minus(point[0]), point[1]


def _flat_or(point: Point2 | None) -> Point2 | None:
    return None if point is None else _flat(point)


def _space(point: Point3) -> Point3:
    """A place in the vehicle, or of a component (out, right, up): its second number is across."""
    return point[0], _minus(point[1]), point[2]


def _space_or(point: Point3 | None) -> Point3 | None:
    return None if point is None else _space(point)


def _round(points: tuple[Point2, ...]) -> tuple[Point2, ...]:
    """Corners, in the order that keeps their sense of turning."""
    return tuple(_flat(point) for point in reversed(points))


def _corner(corner: Point2 | None, size: Point2 | None) -> Point2 | None:
    return None if corner is None or size is None else (_minus(corner[0] + size[0]), corner[1])


def mirrored_job(job: Job, as_bought: Collection[str] = ()) -> Job:
    """The other hand of a job that was read and spelled out; that of the other hand is the job again.

    ``as_bought`` names components whose ports and bodies stay as they are.
    """
    return replace(
        job,
        panel=tuple(_panel(panel) for panel in job.panel),
        part=tuple(_part(part) for part in job.part),
        pedal=tuple(_pedal(pedal) for pedal in job.pedal),
        load=tuple(_load(load) for load in job.load),
        component=tuple(_component(c, same=c.name in as_bought) for c in job.component),
        clamp=tuple(_clamp(clamp) for clamp in job.clamp),
        clamp_row=tuple(_row(row) for row in job.clamp_row),
        hose=tuple(_hose(hose) for hose in job.hose),
        obstacle=tuple(_body(body) for body in job.obstacle),
    )


def _position(at: Position) -> Position:
    def edge(name: str) -> str:
        return other_word(name) if name in EDGES else name

    return replace(
        at, u_mm=_minus(at.u_mm), from_=edge(at.from_), u_from=edge(at.u_from), v_from=edge(at.v_from)
    )


def _panel(panel: Panel) -> Panel:
    return replace(
        panel,
        origin=_space(panel.origin),
        turn_rad=_minus(panel.turn_rad),
        outline=_round(panel.outline),
        datum=tuple(replace(d, at=_flat(d.at)) for d in panel.datum),
        existing=tuple(_existing(hole) for hole in panel.existing),
        hole=tuple(_hole(hole) for hole in panel.hole),
        pattern=tuple(_pattern(use) for use in panel.pattern),
        obstacle=tuple(_obstacle(o) for o in panel.obstacle),
        bead=tuple(_bead(b) for b in panel.bead),
        carried=None if panel.carried is None else _carried(panel.carried),
    )


def _existing(hole: ExistingHole) -> ExistingHole:
    return replace(
        hole, at=_flat(hole.at), angle_rad=_minus(hole.angle_rad), serves_hole=other_hand(hole.serves_hole)
    )


def _hole(hole: HoleSpec) -> HoleSpec:
    return replace(hole, at=_position(hole.at))


def _pattern(use: PanelPattern) -> PanelPattern:
    # a mirror, then a turn back, is the turn, then the mirror
    return replace(use, at=_position(use.at), rotate_rad=_minus(use.rotate_rad), flip=not use.flip)


def _obstacle(o: Obstacle) -> Obstacle:
    return replace(
        o,
        corner=_corner(o.corner, o.size),
        centre=_flat_or(o.centre),
        outline=None if o.outline is None else _round(o.outline),
    )


def _bead(bead: Bead) -> Bead:
    return replace(bead, start=_flat(bead.start), end=_flat(bead.end))


def _carried(carried: Carried) -> Carried:
    return replace(carried, corner=_corner(carried.corner, carried.size))


def _mount(mount: Mount) -> Mount:
    return replace(mount, at=_position(mount.at), rotate_rad=_minus(mount.rotate_rad))


def _part(part: PartSpec[Any]) -> PartSpec[Any]:
    return replace(
        part,
        mirror=not part.mirror,
        parameters=_parameters(part.parameters),
        mount=None if part.mount is None else _mount(part.mount),
        hold=replace(part.hold, holes=tuple(other_hand(name) for name in part.hold.holes)),
        held=tuple(replace(h, holes=tuple(other_hand(name) for name in h.holes)) for h in part.held),
        rework=tuple(_rework(r) for r in part.rework),
    )


def _parameters(parameters: Any) -> Any:
    """A part's own numbers are of the hand its kind draws, but holes of other parts go by their new names."""
    changed = {
        f.attribute: tuple(_feature(name) for name in getattr(parameters, f.attribute))
        for f in spec_fields(type(parameters))
        if f.spec.kind == "features"
    }
    return replace(parameters, **changed) if changed else parameters


def _feature(name: str) -> str:
    owner, dot, hole = name.partition(".")
    return f"{owner}{dot}{other_hand(hole)}"


def _rework(rework: Rework) -> Rework:
    return replace(
        rework,
        hole=other_hand(rework.hole),
        toward_rad=math.remainder(math.pi - rework.toward_rad, 2 * math.pi)
        if rework.slot_mm
        else rework.toward_rad,
        move=_flat(rework.move),
    )


def _pedal(pedal: Pedal) -> Pedal:
    bolt, brake = pedal.stop_bolt, pedal.brake
    return replace(
        pedal,
        brake=None if brake is None else replace(brake, front_side=other_word(brake.front_side)),
        pivot=_space_or(pedal.pivot),
        seat_at=_space_or(pedal.seat_at),
        axis_to=_space_or(pedal.axis_to),
        pin_side_mm=_minus(pedal.pin_side_mm),
        pad_side_mm=_minus(pedal.pad_side_mm),
        stop_bolt=None if bolt is None else replace(bolt, side_mm=_minus(bolt.side_mm)),
    )


def _load(load: Load) -> Load:
    return replace(load, hole=other_hand(load.hole), toward=other_word(load.toward))


def _spot(spot: Spot) -> Spot:
    return replace(
        spot,
        holes=tuple(other_hand(name) for name in spot.holes) if spot.part else spot.holes,
        side=other_word(spot.side),
        at=_space_or(spot.at),
        facing=other_word(spot.facing),
        toward=_space_or(spot.toward),
    )


def _component(component: Component, *, same: bool) -> Component:
    moved = replace(component, on=_spot(component.on))
    if same:
        return moved
    return replace(
        moved,
        port=tuple(_port(port) for port in component.port),
        elbow=None if component.elbow is None else _elbow(component.elbow),
        other_elbow=None if component.other_elbow is None else _elbow(component.other_elbow),
        body_at=_space_or(component.body_at),
        body_along=other_word(component.body_along),
    )


def _port(port: PortSpec) -> PortSpec:
    return replace(port, at=_space(port.at), facing=other_word(port.facing), toward=_space_or(port.toward))


def _elbow(elbow: Elbow) -> Elbow:
    return replace(elbow, toward=other_word(elbow.toward))


def _clamp(clamp: Clamp) -> Clamp:
    return replace(clamp, on=_spot(clamp.on), run=other_word(clamp.run), aside=other_word(clamp.aside))


def _row(row: ClampRow) -> ClampRow:
    return replace(
        row,
        start=_flat_or(row.start),
        end=_flat_or(row.end),
        start_at=_space_or(row.start_at),
        end_at=_space_or(row.end_at),
        facing=other_word(row.facing),
        offset_mm=_minus(row.offset_mm),
        aside=other_word(row.aside),
    )


def _hose(hose: Hose) -> Hose:
    def end(fitting: HoseEnd | None) -> HoseEnd | None:
        return None if fitting is None else replace(fitting, toward=other_word(fitting.toward))

    return replace(hose, from_end=end(hose.from_end), to_end=end(hose.to_end))


def _body(body: Body3) -> Body3:
    corner = body.corner
    if corner is not None and body.size is not None:
        corner = (corner[0], _minus(corner[1] + body.size[1]), corner[2])
    return replace(body, start=_space_or(body.start), end=_space_or(body.end), corner=corner)
