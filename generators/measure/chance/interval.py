"""How sure a share is that was counted."""

from __future__ import annotations

import math

Z_95 = 1.959963984540054
"""Normal deviate of 97.5 %: two-sided 95 %."""


def wilson(hits: int, tries: int, z: float = Z_95) -> tuple[float, float]:
    """The 95 % interval of a share, E. B. Wilson (1927), sound near 0 and 1. Raises ``ValueError`` for none.

    (p + z²/2n ± z √(p(1 − p)/n + z²/4n²)) / (1 + z²/n)
    """
    if tries < 1 or not 0 <= hits <= tries:
        raise ValueError(f"{hits} of {tries}")
    p, z2 = hits / tries, z * z
    middle = (p + z2 / (2 * tries)) / (1 + z2 / tries)
    half = z / (1 + z2 / tries) * math.sqrt(p * (1 - p) / tries + z2 / (4 * tries * tries))
    low = 0.0 if hits == 0 else max(0.0, middle - half)
    return low, 1.0 if hits == tries else min(1.0, middle + half)
