"""The few distributions an adjustment needs, in closed form."""

from __future__ import annotations

import math

W_LIMIT = 3.29
"""Critical value of a standardised residual: normal, two-sided, 0.1 % (W. Baarda, A testing procedure
for use in geodetic networks, Netherlands Geodetic Commission, 1968)."""

ELLIPSE_95 = math.sqrt(-2.0 * math.log(0.05))
"""Semi-axes of the 95 % ellipse in standard deviations: chi-square with 2 degrees of freedom, 2.4477."""


def chi_square_above(value: float, freedom: int) -> float:
    """Probability that chi-square with ``freedom`` degrees exceeds ``value``.

    Finite sums: M. Abramowitz and I. Stegun, Handbook of Mathematical Functions, 26.4.4 and 26.4.5.
    """
    if freedom <= 0 or value <= 0:
        return 1.0
    half = value / 2
    if freedom % 2 == 0:
        term = total = 1.0
        for k in range(1, freedom // 2):
            term *= half / k
            total += term
        return math.exp(-half) * total if half < 700 else 0.0
    total = math.erfc(math.sqrt(half))
    if half >= 700:
        return 0.0
    term = math.exp(-half) * math.sqrt(value) * math.sqrt(2 / math.pi)
    for k in range(1, (freedom + 1) // 2):
        total += term
        term *= value / (2 * k + 1)
    return min(1.0, total)
