"""The content of ``shelf.toml``: its lists of things are made from what a spec can take of each."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import Any

from generators.errors import GeometryFault
from generators.model.spec import fields as key
from generators.model.spec.fields import METADATA_KEY, FieldSpec, spec_fields, toml_key
from generators.model.spec.fittings import Adapter, HoseEnd
from generators.model.spec.hydraulics import Master, Slave
from generators.model.spec.lines import Component, Spot
from generators.model.spec.pedal_shape import PedalShape
from generators.model.spec.shelf.things import THINGS, Place, Thing

_WHOLE = (Adapter, HoseEnd, Master, Slave, Component, PedalShape)
"""Tables that can be told from a thing alone to hold together."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """What is said of every thing of a shelf."""

    name: str = key.name("Name a spec takes it by, unique on the shelf")
    measured: str = key.date('Day it was measured, like "2026-03-14"')
    measured_by: str = key.text("What it was measured with, or whose figures these are", lo=3, hi=80)
    where: str = key.text("Where it lies, and how many there are", hi=80, default="")
    note: str = key.text("What else is to be known of it", hi=200, default="")


def _declared(spec: FieldSpec) -> Any:
    default: Any = () if spec.kind == "tables" else None
    return dataclasses.field(default=default, metadata={METADATA_KEY: spec})


def _require_sound(thing: Thing, self: Any) -> None:
    """Raise ``GeometryFault`` for what a thing says that contradicts itself, in any table that takes it."""
    for place in thing.places:
        if place.table in _WHOLE:
            _require_table(thing, place, self)


def _require_table(thing: Thing, place: Place, self: Any) -> None:
    given = {theirs: getattr(self, mine) for mine, theirs in place.gives.items()}
    given = {theirs: value for theirs, value in given.items() if value not in (None, ())}
    if place.table is Component:
        kind = given.get("kind", thing.is_)
        held = Spot(panel="panel", holes=("hole",)) if kind == "bulkhead" else Spot(at=(0.0, 0.0, 0.0))
        given |= {"kind": kind, "name": "thing", "on": held}
    if any(f.required and f.attribute not in given for f in spec_fields(place.table)):
        return  # the spec says the rest
    try:
        table = place.table(**given)
        if isinstance(table, PedalShape):
            table.require_shape()
    except GeometryFault as fault:
        back = {toml_key(theirs): toml_key(mine) for mine, theirs in place.gives.items() if theirs in given}
        # what is missing the spec can say
        if fault.parameter in back:
            raise GeometryFault(str(fault), back[fault.parameter]) from None


def _class_of(thing: Thing) -> type:
    fields = [(name, Any, _declared(spec)) for name, spec in thing.fields().items()]
    return dataclasses.make_dataclass(
        thing.name,
        fields,
        bases=(Measured,),
        namespace={"__post_init__": lambda self: _require_sound(thing, self), "__doc__": f"{thing.doc}."},
        frozen=True,
        kw_only=True,
    )


Shelf: type = dataclasses.make_dataclass(
    "Shelf",
    [(thing.name, tuple[Any, ...], key.tables(thing.doc, _class_of(thing), hi=200)) for thing in THINGS],
    namespace={"__doc__": "The content of ``shelf.toml``."},
    frozen=True,
    kw_only=True,
)
"""Things by kind, each list in the order of the file."""
