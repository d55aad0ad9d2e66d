"""What is changed at single holes of a part after it was planned: as a rescue of holes drilled wrong."""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.model.spec import fields as key


@dataclass(frozen=True, slots=True, kw_only=True)
class Rework:
    """One hole of the root flange, changed. `pedalplate asdrilled` writes these."""

    hole: str = key.name("Hole of the flange that lies on the panel")
    slot_mm: float = key.length("Lengthened into a slot by this much", hi=100.0, default=0.0)
    toward_rad: float = key.angle(
        "Which way it is lengthened, counter-clockwise from the flange's u",
        lo=-math.pi,
        hi=math.pi,
        default=0.0,
    )
    diameter_mm: float | None = key.length("Opened to this diameter", lo=1.0, hi=200.0, default=None)
    move: tuple[float, float] = key.point(
        "Moved by this much in the flange's u and v", hi=200.0, default=(0.0, 0.0)
    )
