"""The head of a spec: what the job is called, for whom it is, and how it is read."""

from __future__ import annotations

from dataclasses import dataclass

from generators.model.spec import fields as key
from generators.model.words import VEHICLE_CATEGORIES, VehicleCategory
from generators.units import UNIT_SYSTEMS, UnitSystem


@dataclass(frozen=True, slots=True, kw_only=True)
class JobHead:
    """The ``[job]`` table."""

    name: str = key.name("Name; also the output folder")
    title: str = key.text("In words, printed on every sheet", lo=1, hi=60)
    note: str = key.text("Printed on the report", hi=300, default="")
    contact: str = key.text(
        "Who answers questions, with telephone or address: on the sheets the customer works from",
        hi=80,
        default="",
    )
    date: str = key.date(
        'Day these sheets are of, like "2026-11-30": beside the revision on the sheets of every part',
        default="",
    )
    take_out: str = key.text(
        "Old parts that come out of the vehicle before anything is drilled, a list in words",
        hi=300,
        default="",
    )
    shop: str = key.text("The shop file, beside the spec", hi=80, default="shop.toml")
    shelf: str = key.text(
        "File of what the shop has on its shelf, beside the spec", hi=80, default="shelf.toml"
    )
    units: UnitSystem | None = key.choice(
        "What people measure in and buy drills by: it is printed first; not given, the shop's",
        UNIT_SYSTEMS,
        default=None,
    )
    category: VehicleCategory = key.choice(
        "UN category of the vehicle: M1 a passenger car, M2 and M3 larger for people, N1 to N3 for goods; "
        "other than M1, or not given, brakes are judged at the larger force on the pedal",
        VEHICLE_CATEGORIES,
        default="",
    )
