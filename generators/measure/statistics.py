"""The few distributions an adjustment needs."""

from __future__ import annotations

import math

W_LIMIT = 3.29
"""Critical value of a standardised residual: normal, two-sided, 0.1 % (W. Baarda, A testing procedure
for use in geodetic networks, Netherlands Geodetic Commission, 1968)."""

ELLIPSE_95 = math.sqrt(-2.0 * math.log(0.05))
"""Semi-axes of the 95 % ellipse in standard deviations: chi-square with 2 degrees of freedom, 2.4477."""


def chi_square_above(value: float, freedom: int) -> float:
    """Probability that chi-square with ``freedom`` degrees exceeds ``value``; 1 for no freedom or value."""
    # with its numpy helpers this loads longer than a whole spec takes to check
    from scipy import special  # noqa: PLC0415

    return float(special.chdtrc(freedom, value)) if freedom > 0 and value > 0 else 1.0
