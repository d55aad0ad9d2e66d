"""What the load cases of pedals put on the ball bearings of their pivots."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from generators.checks.part.finishing.bearings import BearingLoad, check_bearing_loads
from generators.layout.mounting import PlacedPart
from generators.model.findings import Finding
from generators.solve.brackets.cases import Bracket


def bearing_loads(bracket: Bracket) -> Iterator[BearingLoad]:
    """The force on each bore of a shaft, across and along it: along it all that both bores share."""
    for case in bracket.cases:
        if case.pose is None:
            continue
        shaft, across = {bore.name for bore in case.shaft}, np.array(case.pose.across)
        forces = {f.bore: np.array(f.force) for f in case.forces if f.bore in shaft}
        along = abs(sum(float(force @ across) for force in forces.values()))
        for name, force in forces.items():
            radial = force - float(force @ across) * across
            yield BearingLoad(
                hole=name,
                pedal=case.pedal,
                kind=case.kind,
                across_n=float(np.linalg.norm(radial)),
                along_n=along,
            )


def bearing_findings(parts: Sequence[PlacedPart], loaded: Sequence[Bracket]) -> Iterator[Finding]:
    """What the rule says of every part with ball bearings, whether a pedal loads it or not."""
    for part in parts:
        own = [b for b in loaded if b.part.spec.name == part.spec.name]
        yield from check_bearing_loads(part.plan, [load for b in own for load in bearing_loads(b)])
