"""Bracket kinds: one file each, and one explicit register."""

from __future__ import annotations

from typing import Any

from generators.parts.blanking_plate import KIND as BLANKING_PLATE
from generators.parts.carried_hanger import KIND as CARRIED_HANGER
from generators.parts.clamp_standoff import KIND as CLAMP_STANDOFF
from generators.parts.doubler import KIND as DOUBLER
from generators.parts.drill_guide import KIND as DRILL_GUIDE
from generators.parts.fitting_plate import KIND as FITTING_PLATE
from generators.parts.kind import Kind
from generators.parts.pedal_box import KIND as PEDAL_BOX
from generators.parts.pedal_hanger import KIND as PEDAL_HANGER
from generators.parts.reservoir_bracket import KIND as RESERVOIR_BRACKET
from generators.parts.reservoir_plate import KIND as RESERVOIR_PLATE
from generators.parts.slave_bracket import KIND as SLAVE_BRACKET
from generators.parts.stop_bracket import KIND as STOP_BRACKET
from generators.parts.throttle_pedal_bracket import KIND as THROTTLE_PEDAL_BRACKET
from generators.parts.twin_pedal_hanger import KIND as TWIN_PEDAL_HANGER

KINDS: tuple[Kind[Any], ...] = (
    FITTING_PLATE,
    RESERVOIR_BRACKET,
    PEDAL_HANGER,
    TWIN_PEDAL_HANGER,
    CARRIED_HANGER,
    PEDAL_BOX,
    THROTTLE_PEDAL_BRACKET,
    BLANKING_PLATE,
    RESERVOIR_PLATE,
    CLAMP_STANDOFF,
    SLAVE_BRACKET,
    STOP_BRACKET,
    DOUBLER,
    DRILL_GUIDE,
)

__all__ = ["KINDS", "Kind", "kind_named"]


def kind_named(name: str) -> Kind[Any]:
    """The kind of that name; raises ``KeyError``."""
    for item in KINDS:
        if item.name == name:
            return item
    raise KeyError(name)
