"""What a spec may be begun like, and the demos: names alone, quick to import."""

from __future__ import annotations

from types import MappingProxyType
from typing import Literal, get_args

Start = Literal["hanging_clutch", "carried_clutch", "clutch_and_brake", "floor_hinged", "bracket_only"]
STARTS: tuple[Start, ...] = get_args(Start)
FIRST: Start = "bracket_only"
"""What is written where nobody says like what."""

DEMOS = MappingProxyType(
    {
        "van": "wrenfield_van",
        "special": "tarn_special",
        "tractor": "dray_tractor",
        "bus": "ferrow_bus",
    }
)
"""Demos by what they are, and the file of each."""
