"""Which inputs matter: first-order and total indices by SALib (A. Saltelli and others 2010).

A row of ``[spread]`` counts as one input, however many numbers it is (SALib's groups). What is looked at is
whether all goes together, 1 or 0, and the least room left anywhere, mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from generators.errors import SolverMissing
from generators.measure.chance.draws import values
from generators.measure.chance.kit import Kit
from generators.measure.chance.run import installs
from generators.measure.equations import Array

SAMPLES = 1024
"""Rows of the base sample: a power of two, as the Sobol sequence wants."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """How much of the spread of an answer is due to one group: alone, and with all it acts together with.

    The second numbers are half the 95 % interval by SALib's bootstrap. ``of_room`` are the same for the least
    room, ``of_going`` for whether all goes together.
    """

    group: str
    of_going: tuple[float, float, float, float]
    of_room: tuple[float, float, float, float]


def shares(kit: Kit, seed: int, samples: int = SAMPLES) -> tuple[Share, ...]:
    """The indices of each group that varies at all. Raises ``SolverMissing`` without SALib."""
    try:
        from SALib.analyze import sobol as analyse  # noqa: PLC0415 - an extra, and slow to load
        from SALib.sample import sobol as sample  # noqa: PLC0415 - the same
    except ImportError:
        said = "shares of inputs need SALib: pip install 'pedalplate[sweep]'"
        raise SolverMissing(said) from None
    live = [k for k, c in enumerate(kit.columns) if c.scale > 0]
    names = [kit.groups[kit.columns[k].group].name for k in live]
    if not live:
        return ()
    problem: dict[str, Any] = {
        "num_vars": len(live),
        "names": [f"x{k}" for k in live],
        "bounds": [[0.0, 1.0]] * len(live),
        "groups": names,
    }
    if len(set(names)) == 1:
        whole = (1.0, 0.0, 1.0, 0.0)
        return (Share(group=names[0], of_going=whole, of_room=whole),)
    drawn = np.asarray(sample.sample(problem, samples, calc_second_order=False, seed=seed))
    inputs = np.zeros((len(drawn), len(kit.columns)))
    inputs[:, live] = values(drawn, [kit.columns[k] for k in live])
    done = installs(kit, inputs)
    going = done.together.astype(float)
    room = done.room_mm.min(axis=1) if done.room_mm.shape[1] else np.zeros(len(drawn))
    found = [_indices(analyse, problem, answer, seed) for answer in (going, room)]
    order = list(dict.fromkeys(names))
    return tuple(Share(group=g, of_going=found[0][k], of_room=found[1][k]) for k, g in enumerate(order))


def _indices(
    analyse: Any, problem: dict[str, Any], answer: Array, seed: int
) -> Sequence[tuple[float, float, float, float]]:
    groups = list(dict.fromkeys(problem["groups"]))
    if float(np.ptp(answer)) == 0:
        return [(0.0, 0.0, 0.0, 0.0)] * len(groups)
    said = analyse.analyze(problem, answer, calc_second_order=False, seed=seed, print_to_console=False)
    rows = zip(said["S1"], said["S1_conf"], said["ST"], said["ST_conf"], strict=True)
    return [(float(a), float(b), float(c), float(d)) for a, b, c, d in rows]
