"""The place where a condition sets in, by halving, to rounding."""

# Ours and not scipy's: the places are arrays, out of reach is NaN, and scipy.optimize takes about as long to
# load as a third of all that `check` does.

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_HALVINGS = 64
_AT_ONCE = 63


def sets_in(holds: Callable[[Array], NDArray[np.bool_]], low: Array, high: Array) -> tuple[Array, Array]:
    """The last place where ``holds`` is not yet true and the first where it is, for each pair of bounds.

    It must be false below one place and true from there on; where it never is, both come out at ``high``.
    """
    low, high = np.array(low, dtype=np.float64), np.array(high, dtype=np.float64)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        there = holds(middle)
        high = np.where(there, middle, high)
        low = np.where(there, low, middle)
    return low, high


def sets_in_between(holds: Callable[[Array], NDArray[np.bool_]], low: float, high: float) -> float:
    """The last place between two where ``holds`` is not yet true, to rounding: many places are asked at once.

    It must be false below one place and true from there on; where it never is, ``high``.
    """
    for _ in range(-(-_HALVINGS // _AT_ONCE.bit_length())):
        places = np.linspace(low, high, _AT_ONCE + 2)
        there = np.append(holds(places[1:-1]), True)
        first = int(np.argmax(there))
        low, high = float(places[first]), float(places[first + 1])
    return low
