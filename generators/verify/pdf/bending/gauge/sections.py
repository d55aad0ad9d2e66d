"""Where planes square to a bend cut a flange: points of its faces that no rim has."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from generators.geometry.frames import Matrix

FINE_MM = 0.2


def of_face(ring: Matrix, at: Sequence[float]) -> Matrix:
    """Points of a flat face, n × 3, where it is so far along; ``ring`` are points of its rim in order."""
    after = np.roll(ring, -1, axis=0)
    out = [np.empty((0, 3))]
    for x in at:
        crossed = np.flatnonzero((ring[:, 0] > x) != (after[:, 0] > x))
        if not len(crossed):
            continue
        one, two = ring[crossed], after[crossed]
        share = (x - one[:, 0]) / (two[:, 0] - one[:, 0])
        ends = one + share[:, None] * (two - one)
        # it goes in at one and out at the next along the cut
        apart = ends - ends[0]
        ends = ends[np.argsort(apart @ apart[np.argmax(np.linalg.norm(apart, axis=1))])]
        for enter, leave in zip(ends[::2], ends[1::2], strict=True):
            count = max(int(np.linalg.norm(leave - enter) / FINE_MM), 1)
            out.append(enter + (leave - enter) * (np.arange(count + 1) / count)[:, None])
    return np.concatenate(out)


def of_arc(starts: Matrix, ends: Matrix, at: Sequence[float]) -> Matrix:
    """Points of a bend's lines, each from one of ``starts`` to its one of ``ends``, so far along."""
    out = [np.empty((0, 3))]
    for x in at:
        cut = np.flatnonzero((starts[:, 0] > x) != (ends[:, 0] > x))
        one, two = starts[cut], ends[cut]
        share = (x - one[:, 0]) / (two[:, 0] - one[:, 0])
        out.append(one + share[:, None] * (two - one))
    return np.concatenate(out)
