"""What a sheet must say of rigid lines that do not go between two tight fittings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

import numpy as np

from generators.figures import fixed
from generators.model.hose_path import Point3
from generators.model.spec.lines import Hose

FLARE_DEG = 37.0


def loose_words(hoses: Iterable[Hose], ways: Mapping[str, Point3]) -> Iterator[str]:
    """The angle between the seats of each line that has no way onto both; ``ways`` out of the ports."""
    for hose in hoses:
        if hose.kind == "rigid" and hose.from_ in ways and hose.to in ways:
            a, b = np.array(ways[hose.from_]), np.array(ways[hose.to])
            turn = np.degrees(np.arctan2(np.linalg.norm(np.cross(a, b)), a @ b))
            # noise of the last bit asks for nothing
            if turn > 2 * FLARE_DEG + 1e-6:
                yield f"face {fixed(float(turn), 0)} degrees apart"
                yield "Last of all tighten the"
