"""What is welded onto a flange, with its fillets, on the flat blank: where nothing may be etched."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from shapely.geometry import LineString, MultiPoint
from shapely.geometry.base import BaseGeometry

from generators.geometry.frames import apply
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import FlatPattern, folded_frames
from generators.sheetmetal.seams import seams


def welded_on(plan: PartPlan, flat: FlatPattern, name: str) -> Iterator[BaseGeometry]:
    """Where the flange ``name`` is covered or burnt by welds between flanges, in blank coordinates, mm.

    Under another flange: the footprint of that one's edge and its leg on either side, whichever face it
    stands on. Beside its own welded edge: the leg. Both sides of a joint count.
    """
    place = flat.placements[name]
    for _, seam in seams(plan):
        if seam is None:
            continue
        if name == seam.onto:
            frames = folded_frames(plan)
            into = np.linalg.inv(frames[seam.onto]) @ frames[seam.edge]
            foot = apply(into, np.array([(*end, w) for end in seam.ends for w in (0.0, plan.thickness_mm)]))
            yield MultiPoint([place.apply(u, v) for u, v, _ in foot]).convex_hull.buffer(seam.leg_mm)
        if name == seam.edge:
            yield LineString([place.apply(*end) for end in seam.ends]).buffer(seam.leg_mm)
