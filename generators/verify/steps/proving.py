"""How a job is proven before it is driven: held under pressure, run on stands, inspected, then rolled."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from generators.figures import fixed
from generators.units import INCH_MM, UnitSystem
from generators.verify.pdf.content import plain
from generators.verify.steps.text import says

HOLD, RUN, PROVE, WALK = (
    "Press and hold for a full minute.",
    "Run the engine and try the gears",
    "Prove before driving.",
    "Only when it has been inspected: at walking pace,",
)
HELD = ("the pedal may not sink", "no joint may be wet", "do not drive")
RUNS = (
    "still on stands",
    "engage without noise",
    "let the pedal up slowly",
    "once more gives what was noted",
)
WALKS = ("brake first", "the foot brake is tried before anything else", "local codes")
UNSOURCED = "(Common practice, no source.)"
LBF_N = 4.4482216152605


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """One pedal: the force it is held with, N, and where its clutch is held again, mm of pad travel.

    ``releases_mm`` is None for a brake and where no stop lets it release; ``drives`` False where no stop is
    right, so that nobody may drive.
    """

    kind: Literal["clutch", "brake"]
    force_n: float
    releases_mm: float | None = None
    drives: bool = True
    units: UnitSystem = "metric"

    @property
    def force(self) -> str:
        """The force in the unit that comes first."""
        return f"{self.force_n:.0f} N" if self.units == "metric" else f"{self.force_n / LBF_N:.0f} lbf"

    @property
    def release(self) -> tuple[str, ...]:
        """Where the clutch is held again, as it stands in the step by hand too; nothing where not known."""
        if self.releases_mm is None:
            return ()
        mm = self.releases_mm
        return (f"{fixed(mm, 1)} mm" if self.units == "metric" else f"{fixed(mm / INCH_MM, 3)} in",)


def proof_problems(steps: Sequence[str], proofs: Sequence[Proof]) -> Iterator[str]:
    """What ``steps``, texts without blanks, lack of the tests of their pedals, and what is out of order."""
    if not proofs:
        return
    drives = all(proof.drives for proof in proofs)
    clutches = [proof for proof in proofs if proof.kind == "clutch"]
    wanted: list[tuple[str, list[tuple[str, ...]]]] = [
        (HOLD, [(*HELD, proof.force, UNSOURCED) for proof in proofs]),
        (RUN, [(*RUNS, *proof.release, UNSOURCED) for proof in clutches] if drives else []),
        (PROVE, [("inspected",)]),
        (WALK, [(*WALKS, UNSOURCED)] if drives else []),
    ]
    last = -1
    for head, each in wanted:
        at = [k for k, step in enumerate(steps) if step.startswith(plain(head))]
        if len(at) != len(each):
            yield f"has {len(at)} steps {head!r}, wanted {len(each)}"
            continue
        for k, words in zip(at, each, strict=True):
            yield from (f"does not say {w!r} in the step {head!r}" for w in words if not says(steps[k], w))
        if at and at[0] < last:
            yield f"has the step {head!r} before what must be proven first"
        last = at[-1] if at else last
