"""A pedal of the spec with its answer, as sheets and screens show it."""

from __future__ import annotations

from dataclasses import dataclass

from generators.hydraulics.brake import BrakeResult
from generators.hydraulics.ranking import Ranking
from generators.hydraulics.result import ClutchResult
from generators.model.spec.hydraulics import Pedal
from generators.units import UnitSystem


@dataclass(frozen=True, slots=True, kw_only=True)
class PedalSheet:
    """A pedal of the spec with its answer: ``clutch`` or ``brake``. ``ranking`` may be left out.

    ``units`` is what people measure in: it comes first. ``bar_mm`` is between the rods of a balance bar, 0
    where nobody says; ``cheeks_mm`` from the middle of the arm where it turns on its shaft to the inner face
    of the left and of the right cheek (of the flange of its bush, where it has one), as the driver sees
    them, None without a hanger that has cheeks.
    """

    spec: Pedal
    clutch: ClutchResult | None = None
    brake: BrakeResult | None = None
    ranking: Ranking | None = None
    units: UnitSystem = "metric"
    bar_mm: float = 0.0
    cheeks_mm: tuple[float, float] | None = None

    @property
    def title(self) -> str:
        """Its title, or its name."""
        return self.spec.title or f"{self.spec.name.replace('_', ' ')} pedal"

    @property
    def rod_length_mm(self) -> float:
        """Rod from pin to seat, mm. Raises ``ValueError`` for a sheet without an answer."""
        answer = self.clutch or self.brake
        if answer is None:
            raise ValueError(f"pedal {self.spec.name} has no result")
        return answer.rod_length_mm
