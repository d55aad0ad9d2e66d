"""What the keys of pivots say that every hanger has."""

from __future__ import annotations

BUILD = (
    "How the pivot bores are made: `plain`, cut to size in the flat; `reamed`, a pilot cut smaller, both "
    "reamed in line after bending; `welded_boss`, a tube or turned ring welded on each cheek, then both "
    "reamed in line. Without it `reamed` for a bush or bearing, else `plain`"
)
BOSS_OUTSIDE = "Outside diameter of each welded boss; without it the bore and 5 mm all round"
BOSS_HEIGHT = (
    "How far each welded boss stands off its cheek; without it, so that boss and sheet are as long as the "
    "bore is wide"
)
BOSS_SIDE = "Face of the cheek the welded boss is on"
BUSH_FLANGE = (
    "Outside diameter of that bush's flange, if it has one; it lies against the inner face of the cheek"
)
SHAFT_LENGTH = "Whole length of the shaft that goes through both, for the list it is packed by"
SHAFT_ENDS = "What holds that shaft's ends and who makes it, in words, for the same list"
SPACER = (
    "Outside diameter of a spacer tube between the cheeks, if there is one: the pivot bolt clamps the cheeks "
    "on it, and the pedal turns on the tube"
)
BEARING = (
    "Deep-groove ball bearing of ISO 15 pressed into each pivot bore, by its number of series 60, 62, 618 or "
    "619 (`6003`); `pivot_bore` is its outside diameter"
)
BEARING_CLASS = (
    "Tolerance class of that bearing's bore (ISO 286). Without it `J7` where something keeps the bearing, "
    "for a load that stands still on the outer ring and goes back to nothing, else `P7`, which the press "
    "alone holds"
)
BEARING_KEPT = (
    "What keeps that bearing's outer ring from moving outward: the `press` alone; a `circlip` in a groove "
    "of the bore (DIN 472), for which a welded boss is made longer; a `shoulder`, a plate or cover of yours "
    "over the edge of the ring. Inward the inner ring meets the hub"
)
BEARING_STATIC = "Static load rating C0 of that bearing as its maker has it (ISO 76)"
