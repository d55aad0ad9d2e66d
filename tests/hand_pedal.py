"""Pedals worked by hand: plane trigonometry and one volume balance, in plain scalar arithmetic.

Nothing of the program is used. The pedal hangs at (``across``, ``above``) from the rod's seat, x toward the
driver and z up, the cylinder's axis along -x. Pressed by an angle t, a point (x, z) of the pedal comes to
(x cos t + z sin t, z cos t - x sin t). With the pin there and a rod of length L the piston has gone
sqrt(L² - z²) - x; the pad has gone t times its distance from the pivot.

Swell of a hose: largest expansion allowed by FMVSS 106 table I (from memory), straight lines from nothing to
1,000 psi and on to 1,500 psi. Fluid: 1/1500 of its volume per MPa. Air at rest under 0.101325 MPa: what is lost
is its volume times p / (p + 0.101325) (Boyle).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

PSI_MPA = 4.4482216152605 / 25.4**2
LOW_1_8 = (0.33, 0.42)
"""cc per ft at 1,000 and 1,500 psi, 1/8 in, low expansion."""


def circle(bore: float) -> float:
    """Area of a circle, mm²."""
    return math.pi / 4 * bore**2


def root(rising: Callable[[float], float], low: float, high: float) -> float:
    """Where a rising function is nought, by halving."""
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (low, middle) if rising(middle) >= 0 else (middle, high)
    return (low + high) / 2


@dataclass(frozen=True)
class HandLinkage:
    """Pivot over the seat, pin and pad from the pivot, mm."""

    across: float
    above: float
    pin: tuple[float, float]
    pad: tuple[float, float]
    play: float = 0.5
    given_rod: float | None = None

    @property
    def rod(self) -> float:
        """Length that leaves the play between rod and piston at rest."""
        if self.given_rod is not None:
            return self.given_rod
        return math.hypot(self.across + self.pin[0] - self.play, self.above + self.pin[1])

    @property
    def lever(self) -> float:
        """Pad to pivot."""
        return math.hypot(*self.pad)

    def piston(self, pad_mm: float) -> float:
        """Piston travel for a pad travel; negative is play."""
        t = pad_mm / self.lever
        x = self.across + self.pin[0] * math.cos(t) + self.pin[1] * math.sin(t)
        z = self.above + self.pin[1] * math.cos(t) - self.pin[0] * math.sin(t)
        return math.sqrt(self.rod**2 - z**2) - x

    def pad_of(self, piston_mm: float) -> float:
        """Pad travel for a piston travel."""
        return root(lambda pad: self.piston(pad) - piston_mm, 0.0, 300.0)

    def ratio(self, pad_mm: float) -> float:
        """Pad travel per piston travel there, by central differences."""
        return 0.02 / (self.piston(pad_mm + 0.01) - self.piston(pad_mm - 0.01))


@dataclass(frozen=True)
class HandClutch:
    """Master, slave, hoses as (length, bore), tubes as (length, bore), load as (release, N) points; mm, N."""

    link: HandLinkage
    master: float
    master_stroke: float
    slave: float
    slave_stroke: float
    load: Sequence[tuple[float, float]]
    hoses: Sequence[tuple[float, float]]
    tubes: Sequence[tuple[float, float]] = ()
    fork: float = 1.6
    free_play: float = 1.5
    releases: float = 7.5
    margin: float = 0.5
    over_travel: float = 10.5
    dead: float = 1.5
    air: float = 200.0
    flex: float = 0.3e-3
    bulk: float = field(default=1500.0)

    def load_at(self, release: float) -> float:
        """Load at the bearing, straight between its points; the last one's goes on."""
        points = list(self.load)
        for (r0, f0), (r1, f1) in itertools.pairwise(points):
            if release <= r1:
                return f0 + (f1 - f0) * (release - r0) / (r1 - r0)
        return points[-1][1]

    def pressure(self, release: float) -> float:
        """MPa in the line."""
        return self.load_at(release) / self.fork / circle(self.slave)

    def piston(self, release: float) -> float:
        """What the rod must ask of the piston to release so far: dead stroke, fluid, losses, bracket."""
        p, area = self.pressure(release), circle(self.master)
        moved = circle(self.slave) * self.fork * (self.free_play + release)
        low, high = LOW_1_8
        at = p / (1000 * PSI_MPA)
        per_foot = low * at if at <= 1 else low + (high - low) * (at - 1) / 0.5
        swell = sum(length for length, _ in self.hoses) / 304.8 * per_foot * 1000
        fluid = area * self.master_stroke + circle(self.slave) * self.slave_stroke
        fluid += sum(length * circle(bore) for length, bore in (*self.hoses, *self.tubes))
        squeezed = fluid * p / self.bulk + self.air * p / (p + 0.101325)
        # a rod too long holds the piston in already at rest
        closes = max(self.dead, self.link.piston(0.0))
        return closes + (moved + swell + squeezed) / area + self.flex * p * area

    def pad(self, release: float) -> float:
        """Pad travel that releases so far."""
        return self.link.pad_of(self.piston(release))

    def release(self, pad_mm: float) -> float:
        """How far it is released at a pad travel."""
        return root(lambda r: self.pad(r) - pad_mm, 0.0, 30.0)

    @property
    def earliest(self) -> float:
        """Pad travel that releases with the margin."""
        return self.pad(self.releases + self.margin)

    @property
    def fingers(self) -> float:
        """Pad travel at which the release fingers over-travel."""
        return self.pad(self.over_travel)

    def peak_effort(self, last_pad: float) -> float:
        """Largest pad force from contact to a pad travel, N; friction left out."""
        last = self.release(last_pad)
        forces = []
        for step in range(201):
            r = last * step / 200
            forces.append(self.pressure(r) * circle(self.master) / self.link.ratio(self.pad(r)))
        return max(forces)


@dataclass(frozen=True)
class HandBrake:
    """Masters as (share of the rod force, bore, stroke, fluid its brakes take); mm, mm³."""

    link: HandLinkage
    circuits: Sequence[tuple[float, float, float, float]]
    dead: float = 1.5
    bulk: float = 1500.0

    def pressures(self, rod: float) -> list[float]:
        """MPa in each circuit."""
        return [share * rod / circle(bore) for share, bore, _, _ in self.circuits]

    def pistons(self, rod: float) -> list[float]:
        """Travel of each piston: dead stroke, what the brakes take, fluid squeezed."""
        out = []
        for (_, bore, stroke, taken), p in zip(self.circuits, self.pressures(rod), strict=True):
            squeezed = (circle(bore) * stroke + taken) * p / self.bulk
            out.append(self.dead + (taken + squeezed) / circle(bore))
        return out

    def rod_for(self, effort: float) -> float:
        """Rod force of a pad force: the bar's middle moves by the shares of the pistons (virtual work)."""

        def over(rod: float) -> float:
            middle = sum(c[0] * y for c, y in zip(self.circuits, self.pistons(rod), strict=True))
            return rod / self.link.ratio(self.link.pad_of(middle)) - effort

        return root(over, 0.0, 20_000.0)
