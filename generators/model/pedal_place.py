"""Where a part hangs its pedals."""

from __future__ import annotations

from dataclasses import dataclass

from generators.model.joints.ways import BearingKept
from generators.standards import Circlip, HoleTolerance


@dataclass(frozen=True, slots=True, kw_only=True)
class PedalPlace:
    """Where a part hangs its pedals, in its root flange's frame, mm.

    ``centre`` is on the masters' axis, on the face their flanges lie against; ``right`` and ``up`` are unit
    vectors as the driver sees them. Out is ``right × up``, toward the driver, and the cylinders point the
    other way. The pivot is ``pivot_up_mm`` and ``pivot_out_mm`` from the centre.
    """

    centre: tuple[float, float, float]
    right: tuple[float, float, float]
    up: tuple[float, float, float]
    pivot_up_mm: float
    pivot_out_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PressedBearing:
    """What a ball bearing has that a bush has not, mm and N.

    ``chamfer_mm`` is the least edge of its rings; ``kept`` says what keeps the outer ring, ``clip`` is the
    circlip that does. ``shaft`` is the class of what goes through it. ``static_n`` is its static load rating
    C0, None where nobody has said it. ``clear`` is true where it needs more play inside than class Normal.
    """

    number: str
    width_mm: float
    chamfer_mm: float
    kept: BearingKept
    shaft: HoleTolerance
    clip: Circlip | None = None
    static_n: float | None = None
    clear: bool = False

    @property
    def deep_mm(self) -> float:
        """How deep a bore holds the whole of it, mm: its width, and a circlip's groove with its rim."""
        return self.width_mm + (self.clip.takes_mm if self.clip is not None else 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class PressedBush:
    """A bush pressed into a part's pivot bores, mm: its name's inside diameter, ``bore_mm`` the least it is
    inside once in, its outside ``least_mm`` to ``most_mm`` before, and the tolerance of its bores. One with a
    flange has it ``flange_mm`` across and ``flange_thick_mm`` thick, against the inner face of its cheek.
    A ball bearing in its place has ``bearing``.
    """

    inside_mm: float
    bore_mm: float
    least_mm: float
    most_mm: float
    length_mm: float
    fit: HoleTolerance
    source: str
    flange_mm: float = 0.0
    flange_thick_mm: float = 0.0
    bearing: PressedBearing | None = None

    @property
    def what(self) -> str:
        """A bush or a bearing, in a word or two."""
        return "bush" if self.bearing is None else "ball bearing"

    def interference_mm(self, bore_mm: float) -> tuple[float, float]:
        """Least and greatest interference in a bore of that nominal size, mm: outside less bore."""
        least, most = self.fit.limits_mm(bore_mm)
        return self.least_mm - most, self.most_mm - least


@dataclass(frozen=True, slots=True, kw_only=True)
class Spacer:
    """A tube between the cheeks that the pivot bolt clamps them on, mm; the pedal turns on it."""

    outside_mm: float
    inside_mm: float
    length_mm: float
