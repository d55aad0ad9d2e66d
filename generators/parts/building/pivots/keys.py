"""What the keys of pivots say that every hanger has."""

from __future__ import annotations

BUILD = (
    "How the pivot bores are made: `plain`, cut to size in the flat; `reamed`, a pilot cut smaller, both "
    "reamed in line after bending; `welded_boss`, a tube or turned ring welded on each cheek, then both "
    "reamed in line. Without it `reamed` for a bush, else `plain`"
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
