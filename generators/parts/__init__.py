"""Bracket families: one file each, and one explicit register."""

from __future__ import annotations

from generators.parts.blanking_plate import FAMILY as BLANKING_PLATE
from generators.parts.bulkhead_plate import FAMILY as BULKHEAD_PLATE
from generators.parts.clamp_standoff import FAMILY as CLAMP_STANDOFF
from generators.parts.doubler import FAMILY as DOUBLER
from generators.parts.drill_guide import FAMILY as DRILL_GUIDE
from generators.parts.family import Family
from generators.parts.pedal_hanger import FAMILY as PEDAL_HANGER
from generators.parts.reservoir_bracket import FAMILY as RESERVOIR_BRACKET
from generators.parts.reservoir_plate import FAMILY as RESERVOIR_PLATE
from generators.parts.slave_bracket import FAMILY as SLAVE_BRACKET
from generators.parts.stop_bracket import FAMILY as STOP_BRACKET
from generators.parts.throttle_pedal_bracket import FAMILY as THROTTLE_PEDAL_BRACKET
from generators.parts.twin_pedal_hanger import FAMILY as TWIN_PEDAL_HANGER

FAMILIES: tuple[Family, ...] = (
    BULKHEAD_PLATE,
    RESERVOIR_BRACKET,
    PEDAL_HANGER,
    TWIN_PEDAL_HANGER,
    THROTTLE_PEDAL_BRACKET,
    BLANKING_PLATE,
    RESERVOIR_PLATE,
    CLAMP_STANDOFF,
    SLAVE_BRACKET,
    STOP_BRACKET,
    DOUBLER,
    DRILL_GUIDE,
)

__all__ = ["FAMILIES", "Family", "family"]


def family(name: str) -> Family:
    """The family of that name; raises ``KeyError``."""
    for item in FAMILIES:
        if item.name == name:
            return item
    raise KeyError(name)
