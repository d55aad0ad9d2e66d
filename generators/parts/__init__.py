"""Bracket families: one file each, and one explicit register."""

from __future__ import annotations

from generators.parts.bulkhead_plate import FAMILY as BULKHEAD_PLATE
from generators.parts.family import Family
from generators.parts.pedal_hanger import FAMILY as PEDAL_HANGER
from generators.parts.reservoir_bracket import FAMILY as RESERVOIR_BRACKET

FAMILIES: tuple[Family, ...] = (BULKHEAD_PLATE, RESERVOIR_BRACKET, PEDAL_HANGER)

__all__ = ["FAMILIES", "Family", "family"]


def family(name: str) -> Family:
    """The family of that name; raises ``KeyError``."""
    for item in FAMILIES:
        if item.name == name:
            return item
    raise KeyError(name)
