"""The masters behind a brake pedal, and what its brakes take."""

from __future__ import annotations

from dataclasses import dataclass

from generators.errors import GeometryFault
from generators.model.spec import fields as key
from generators.model.words import BRAKED_AXLES, HANDS, LINING_KINDS, BrakedAxles, Circuit, Hand, LiningKind

WORN_MM = 25.4 / 32
"""A bonded lining is worn 1/32 in above its shoe or plate (FMVSS 105 S7.18(c), from memory)."""


def require_strokes(stroke_mm: float, dead_stroke_mm: float) -> None:
    """Raise ``GeometryFault`` when the port would close no earlier than the piston bottoms."""
    if dead_stroke_mm >= stroke_mm:
        raise GeometryFault(
            f"a dead stroke of {dead_stroke_mm:g} mm in a stroke of {stroke_mm:g} mm", "dead_stroke"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Linings:
    """The linings of one circuit and the pistons behind them: how much fluid follows them as they wear."""

    kind: LiningKind = key.choice(
        "How they are pressed: a floating caliper has pistons on one side, a fixed one on both", LINING_KINDS
    )
    brakes: int = key.integer("Wheel brakes of this circuit", lo=1, hi=8, default=2)
    pistons: int = key.integer(
        "Pistons in each: of a fixed caliper those of both sides, of a drum those of all its cylinders",
        lo=1,
        hi=12,
    )
    piston_mm: float = key.length("Bore of these pistons", lo=10.0, hi=150.0)
    lining_mm: float = key.length("Thickness of a new lining, without its plate or shoe", lo=1.0, hi=40.0)
    worn_mm: float = key.length(
        "What is left of it when worn out: 1/32 in above the plate, or above the rivets 0 mm",
        hi=20.0,
        default=WORN_MM,
    )

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` for a lining that is worn out when it is new."""
        if self.worn_mm >= self.lining_mm:
            raise GeometryFault(f"a lining of {self.lining_mm:g} mm, worn out at {self.worn_mm:g} mm", "worn")


@dataclass(frozen=True, slots=True, kw_only=True)
class BrakeCircuit:
    """One brake circuit: its master and what its brakes take."""

    shelf: str = key.shelf("Master of the shop's shelf that it has")
    bore_mm: float = key.length("Bore of its master", lo=5.0, hi=80.0)
    stroke_mm: float = key.length("Stroke of its master", lo=5.0, hi=150.0)
    dead_stroke_mm: float = key.length("Piston travel before the port closes", hi=50.0, default=1.5)
    volume_mm3: float = key.volume("Fluid its brakes take until they grip", hi=1e6)
    pressure_mpa: float | None = key.pressure("Pressure wanted, if any", lo=0.1, hi=50.0, default=None)
    rating_mpa: float | None = key.pressure(
        "Highest working pressure of its weakest piece, if known", lo=0.1, hi=200.0, default=None
    )
    wear_mm3: float | None = key.volume(
        "Fluid that follows the pads or shoes as they wear, where linings does not say it; 0 cc where an "
        "adjuster takes up all of it",
        hi=1e6,
        default=None,
    )
    linings: Linings | None = key.table(
        "Its linings and pistons, from which that fluid is computed", Linings, default=None
    )
    reservoir_mm3: float | None = key.volume(
        "Usable volume of its reservoir, if known", lo=100.0, hi=5e6, default=None
    )

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` for strokes that do not fit each other."""
        require_strokes(self.stroke_mm, self.dead_stroke_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Brake:
    """The masters behind a brake pedal: one, or two with a balance bar."""

    front: BrakeCircuit = key.table("Front circuit, or the only one", BrakeCircuit)
    rear: BrakeCircuit | None = key.table("Rear circuit, with a balance bar", BrakeCircuit, default=None)
    front_share: float = key.number(
        "Share of the rod force the balance bar gives the front master", lo=0.05, hi=0.95, default=0.5
    )
    front_side: Hand = key.choice(
        "Which of a hanger's two brake masters is the front's, as the driver sees them",
        HANDS,
        default="left",
    )
    bar_span_mm: float | None = key.length(
        "Between the two rods on the balance bar, for the angle it swings to", lo=10.0, hi=300.0, default=None
    )
    bar_swing_mm: float | None = key.length(
        "How far one rod may get ahead of the other before the bar's own bound holds it; without it, a lost "
        "circuit's master runs to the end of its stroke",
        lo=0.0,
        hi=200.0,
        default=None,
    )
    tandem: bool = key.flag(
        "The one master is a tandem cylinder, two circuits in one bore: front then holds what both take, and "
        "all lines count, since the rod moves the fluid of both; its component has an outlet for each",
        default=False,
    )
    axles: BrakedAxles = key.choice(
        "What this pedal brakes; with one circuit for both axles nothing is left when a line bursts",
        BRAKED_AXLES,
        default="both",
    )
    single_circuit: str = key.text(
        "Why one circuit alone may brake both axles: the vehicle was built so and local codes allow it, in "
        "your words; they stand on every sheet",
        hi=200,
        default="",
    )

    def circuit_at(self, hand: Hand) -> Circuit:
        """The circuit of the one of two masters on that hand, as the driver sees them."""
        return "front" if hand == self.front_side else "rear"

    def circuit_of(self, hole: str) -> Circuit | None:
        """The circuit of the master in a hanger's hole, which says left or right; None for any other."""
        at = next((hand for hand in HANDS if hole.startswith(f"brake_{hand}_")), None)
        return self.circuit_at(at) if at is not None else None

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` for what belongs to one master, or to two."""
        if self.rear is not None and (self.tandem or self.single_circuit or self.axles != "both"):
            name = "tandem" if self.tandem else "single_circuit" if self.single_circuit else "axles"
            raise GeometryFault("words for a single master beside a rear circuit", name)
        for name, value in (("bar_span", self.bar_span_mm), ("bar_swing", self.bar_swing_mm)):
            if self.rear is None and value is not None:
                raise GeometryFault("a balance bar of a single master", name)
