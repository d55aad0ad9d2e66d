"""A fastener set taken apart into what is bought: bolt, washers, nut."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from generators.figures import format_short
from generators.model.joints.fasteners import FastenerSet
from generators.sheets.bolting.words import shaft_words, size_words, tightness_words
from generators.units import UnitSystem


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One thing to buy of a set: ``item`` as it is asked for, ``size`` what it is for."""

    item: str
    size: str = ""
    torque: str = ""
    quantity: int = 1


def pieces(made: FastenerSet, units: UnitSystem = "metric") -> Iterator[Piece]:
    """What one set is bought as, the bolt first; the torque stands beside the bolt, or the nut of a stud."""
    tight = tightness_words(made, units)
    if made.form == "shaft":
        size = shaft_words(made, lambda mm: format_short(mm, units, 3))
        yield Piece(item="pivot shaft with what holds its ends", size=size, torque=tight)
        return
    head = _bolt(made, tight, units)
    if head is not None:
        yield head
    for (large, standard), count in sorted(Counter((w.large, w.standard) for w in made.washers).items()):
        kind = "large washer" if large else "washer"
        yield Piece(item=f"{kind} {made.thread}, {standard}", quantity=count)
    if made.into == "locking nut":
        thread = made.thread if made.thread.startswith("M") else made.designation
        beside = head is not None and made.form != "stud"
        yield Piece(item=f"locking nut {thread}, {made.nut_standard}", torque="" if beside else tight)
    elif made.into == "jam nuts":
        yield Piece(item=f"nut {made.thread}", quantity=2)


def _bolt(made: FastenerSet, tight: str, units: UnitSystem) -> Piece | None:
    """The bolt, screw or stud of a set; None where what is fitted has a stud of its own."""
    if made.form == "stud" and made.part:
        return None  # it comes with the part
    if made.form == "stud":
        return Piece(
            item=f"weld stud {made.thread}, {format_short(made.stud_mm, units, 4)} long", size="off the panel"
        )
    if not made.standard:
        return None
    name = {"countersunk": "countersunk screw", "stop bolt": "stop bolt"}.get(made.form, "bolt")
    known = made.length_mm is not None
    length = "" if known else ", length as it needs"
    standard = f", {made.standard}" if made.form == "bolt" else ""
    held = made.held.thickness_mm if made.held is not None else 0.0
    how = "on its thread" if made.into in ("insert", "tapped hole") else "gripped"
    grip = f"{format_short(made.grip_mm + held, units, 1)} {how}" if known else "what it holds is not known"
    return Piece(item=f"{name} {size_words(made)}{length}{standard}", size=made.unfit or grip, torque=tight)
