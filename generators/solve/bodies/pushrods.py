"""Pushrods at rest, for the rule on what goes through metal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from generators.layout.spots import point3
from generators.solve.pedals import PedalAnswer
from generators.space.body import Body
from generators.space.pieces import Rod

ROD_MM = 8.0
"""Diameter of a pushrod: ours, as the spec does not say."""


def pushrods(pedals: Sequence[PedalAnswer]) -> Iterator[Body]:
    """The rod of each pedal from its pin to its seat in the cylinder."""
    for answer in pedals:
        link = answer.linkage
        frame = link.frame
        pin = np.array(frame.pivot) + link.pin_side_mm * np.array(link.across)
        pin = pin + link.pin[0] * np.array(frame.out) + link.pin[1] * np.array(frame.up)
        yield Body(
            name=f"rod:{answer.spec.name}",
            title=f"pushrod of the {(answer.spec.title or answer.spec.name).lower()}",
            what="rod",
            owner=answer.spec.name,
            pieces=(Rod(start=point3(pin), end=frame.seat, radius_mm=ROD_MM / 2),),
        )
