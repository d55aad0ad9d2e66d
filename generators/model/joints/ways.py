"""Typed words of how holes of a part are made and finished."""

from __future__ import annotations

from typing import Literal, get_args

SheetSide = Literal["upper", "lower"]
"""A side of a sheet: the upper one is w = thickness of its flange's frame."""

SHEET_SIDES: tuple[SheetSide, ...] = get_args(SheetSide)

FinishKind = Literal[
    "reamed",
    "tapped",
    "countersunk",
    "extruded",
    "flow_drilled",
    "press_nut",
    "weld_nut",
    "press_stud",
]
"""How a hole of a part is finished after it was cut."""

PatternHoles = Literal[
    "clearance",
    "tapped",
    "countersunk",
    "extruded",
    "flow_drilled",
    "press_nut",
    "weld_nut",
    "press_stud",
]
"""What a shared pattern's holes are in a part."""

PATTERN_HOLES: tuple[PatternHoles, ...] = get_args(PatternHoles)

PivotBuild = Literal["", "plain", "reamed", "welded_boss"]
"""How the pivot bores of a hanger are made; empty where nobody has said: reamed for a bush, else plain."""

PIVOT_BUILDS: tuple[PivotBuild, ...] = get_args(PivotBuild)

BossSide = Literal["outside", "inside"]
"""The face of a cheek a boss is welded on: away from the other cheek, or toward it."""

BOSS_SIDES: tuple[BossSide, ...] = get_args(BossSide)

PivotClass = Literal["H7", "H8"]
PIVOT_CLASSES: tuple[PivotClass, ...] = get_args(PivotClass)

BearingClass = Literal["", "H7", "J7", "K7", "M7", "N7", "P7"]
"""Class of the bore of a ball bearing; empty where nobody has said: J7 for a kept one, else P7."""

BEARING_CLASSES: tuple[BearingClass, ...] = get_args(BearingClass)

BearingKept = Literal["press", "circlip", "shoulder"]
"""What keeps a bearing's outer ring from moving out: the press alone, a circlip in its bore, a shoulder."""

BEARING_KEPT: tuple[BearingKept, ...] = get_args(BearingKept)
