"""Kinds of things on a shelf: what is said of each, and which keys of a spec that gives."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from generators.model.spec import fields as key
from generators.model.spec.brakes import BrakeCircuit
from generators.model.spec.fields import FieldSpec
from generators.model.spec.fittings import Adapter, Elbow, HoseEnd
from generators.model.spec.hydraulics import Line, Master, Slave
from generators.model.spec.lines import Clamp, ClampRow, Component, Hose
from generators.model.spec.pedal_shape import PedalShape
from generators.model.words import ComponentKind

KEY, ARM_KEY = "shelf", "arm_shelf"
TAKEN_BY = (KEY, ARM_KEY)
"""Keys of a spec that name a thing of the shelf, or one of its own ``[shelf]`` table."""


def names_a_thing(path: str) -> bool:
    """True for a key path of a spec whose value names a thing of the shelf."""
    return path.rpartition(".")[2] in TAKEN_BY or path.startswith(f"{KEY}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A table of a spec that takes things of some kinds.

    ``at`` are the keys that lead to it, through every entry of a list; ``key`` names the thing. ``gives`` are
    attributes of the thing by the attribute they are in ``table``; ``within`` names a table inside that
    they go into, and only where the spec writes it if ``asked``.
    """

    at: tuple[str, ...]
    table: type
    gives: Mapping[str, str]
    key: str = KEY
    within: str = ""
    asked: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing:
    """One kind of thing, a list of the shelf's file. ``is_`` is the kind of component it is, if just one."""

    name: str
    doc: str
    places: tuple[Place, ...]
    is_: ComponentKind | None = None
    own: tuple[tuple[str, FieldSpec], ...] = ()

    def fields(self) -> dict[str, FieldSpec]:
        """What is said of such a thing, by attribute, in the order it is told."""
        out, own = dict[str, FieldSpec](), dict(self.own)
        for place in self.places:
            for mine, theirs in place.gives.items():
                if mine not in own:
                    out.setdefault(mine, key.like(place.table, theirs))
        return {**out, **own}


def _same(*attributes: str) -> dict[str, str]:
    return {name: name for name in attributes}


def _all(cls: type, *but: str) -> dict[str, str]:
    return _same(*(f.attribute for f in key.spec_fields(cls) if f.attribute not in (KEY, *but)))


_BODY = (
    "title",
    "port",
    "diameter_mm",
    "length_mm",
    "body_at",
    "body_along",
    "flange_mm",
    "flange_width_mm",
    "flange_height_mm",
)
_STROKE = _same("bore_mm", "stroke_mm", "dead_stroke_mm", "rating_mpa", "reservoir_mm3")
_BOLTS = (
    (
        "bolt_spacing_mm",
        FieldSpec(kind="length", doc="Between the two bolts of its flange or foot", lo=10.0, hi=300.0),
    ),
    ("bolt_thread", FieldSpec(kind="text", doc="Thread of those bolts, like M8 or 5/16", lo=1, hi=10)),
)
_NOSE = (
    (
        "nose_bore_mm",
        FieldSpec(
            kind="length", doc="Bore its nose goes through, with the clearance it wants", lo=5.0, hi=100.0
        ),
    ),
)


def _bolts(nose: str, spacing: str, thread: str) -> Place:
    """The part that carries a thing: parameters of its kind, those that the kind has."""
    gives = {"nose_bore_mm": nose} if nose else {}
    gives |= {"bolt_spacing_mm": spacing, "bolt_thread": thread}
    return Place(at=("part",), table=object, within="parameters", gives=gives)


def _component(*more: str) -> Place:
    return Place(at=("component",), table=Component, gives=_same(*_BODY, *more))


def _line(at: str) -> tuple[Place, ...]:
    """A fitting at either end of a hose."""
    table, gives = (HoseEnd, _all(HoseEnd, "toward")) if at == "end" else (Adapter, _all(Adapter))
    return tuple(Place(at=("hose", f"{end}_{at}"), table=table, gives=gives) for end in ("from", "to"))


_FITTINGS: tuple[ComponentKind, ...] = ("bulkhead", "tee", "line_end")
_CLAMP = _same("dash", "fastener", "thread")

THINGS: tuple[Thing, ...] = (
    Thing(
        name="master",
        doc="Master cylinders",
        is_="master",
        places=(
            _component(),
            Place(at=("pedal", "master"), table=Master, gives=_all(Master)),
            Place(at=("pedal", "brake", "front"), table=BrakeCircuit, gives=_STROKE),
            Place(at=("pedal", "brake", "rear"), table=BrakeCircuit, gives=_STROKE),
            _bolts("master_bore_mm", "master_spacing_mm", "master_thread"),
        ),
        own=(*_NOSE, *_BOLTS),
    ),
    Thing(
        name="slave",
        doc="Slave cylinders",
        is_="slave",
        places=(
            _component(),
            Place(at=("pedal", "slave"), table=Slave, gives=_all(Slave)),
            _bolts("nose_bore_mm", "flange_spacing_mm", "flange_thread"),
        ),
        own=(*_NOSE, *_BOLTS),
    ),
    Thing(
        name="reservoir",
        doc="Reservoirs",
        is_="reservoir",
        places=(_component("level_mm"), _bolts("", "pattern_width_mm", "pattern_thread")),
        own=_BOLTS,
    ),
    Thing(
        name="fitting",
        doc="Bulkhead fittings, tees and unions",
        places=(
            _component("kind", "dash", "seat_cab_mm", "seat_engine_mm"),
            Place(at=("component",), table=Elbow, within="elbow", asked=True, gives={"leg_mm": "leg_mm"}),
        ),
        own=(("kind", FieldSpec(kind="choice", doc="What it is", choices=_FITTINGS)),),
    ),
    Thing(name="adapter", doc="Adapters between a port and a hose", places=_line("adapter")),
    Thing(name="hose_end", doc="Hose ends", places=_line("end")),
    Thing(
        name="hose",
        doc="Hose and tube by the metre",
        places=(
            Place(
                at=("hose",),
                table=Hose,
                gives=_same("kind", "metal", "dash", "outside_mm", "radius_mm", "end_mm", "straight_mm"),
            ),
            Place(
                at=("pedal", "line"),
                table=Line,
                gives=_same("bore_mm", "expansion", "swell_mm2", "swell_at_mpa", "rating_mpa"),
            ),
        ),
    ),
    Thing(
        name="clamp",
        doc="Cushioned clamps",
        places=(
            Place(at=("clamp",), table=Clamp, gives={**_CLAMP, **_same("stand_off_mm", "aside_by_mm")}),
            Place(at=("clamp_row",), table=ClampRow, gives={**_CLAMP, **_same("hole_mm", "grip_mm")}),
        ),
    ),
    Thing(
        name="steel",
        doc="Steel for arms of pedals",
        places=(
            Place(
                at=("pedal",),
                table=PedalShape,
                key=ARM_KEY,
                gives={
                    "width_mm": "arm_width_mm",
                    "thickness_mm": "arm_thickness_mm",
                    "diameter_mm": "arm_diameter_mm",
                    "material": "arm_material",
                },
            ),
        ),
    ),
)


def takers(at: tuple[str, ...]) -> tuple[tuple[Thing, Place], ...]:
    """The kinds of things a table of a spec takes, with how."""
    return tuple((thing, place) for thing in THINGS for place in thing.places if place.at == at)


def given_keys(table: type) -> frozenset[str]:
    """Keys of a table of a spec that a thing of the shelf may give."""
    found = {
        key.toml_key(theirs)
        for thing in THINGS
        for place in thing.places
        if place.table is table and not place.within
        for theirs in place.gives.values()
    }
    return frozenset(found | ({"kind"} if table is Component else set()))
