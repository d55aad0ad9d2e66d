"""How far a fastener as bought stands off the sheets on either side: for bodies and panel rules alike."""

from __future__ import annotations

from generators.model.joints.fasteners import FastenerSet, Side2
from generators.solve.fasteners.choose import PITCHES
from generators.standards import fastener


def off_mm(made: FastenerSet, side: Side2) -> float:
    """How far head or nut is off the sheet on a side: what is held there, and the washer."""
    held = made.held.thickness_mm if made.held is not None and made.held.side == side else 0.0
    return held + made.washer_mm(side)


def past_mm(made: FastenerSet) -> float:
    """Thread past the nut: of the length bought, or what is kept at least where none can be said."""
    return max(made.past_mm, 0.0) if made.length_mm is not None else PITCHES * fastener(made.thread).pitch_mm


def rise_mm(made: FastenerSet, *, nut: bool) -> float:
    """How far it rises over its seat, nut with thread or head."""
    row = fastener(made.thread)
    return made.nut_height_mm + past_mm(made) if nut else row.head_height_mm


def stands_mm(made: FastenerSet, side: Side2) -> float:
    """How far it stands off the sheets on a side; where the nut may be on either, as far as with it there."""
    return off_mm(made, side) + rise_mm(made, nut=side in made.nuts)
