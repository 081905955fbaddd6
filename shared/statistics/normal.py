"""The standard normal distribution: chance below a point, density, and the point for a chance.

    cdf(z) = erfc(-z / sqrt 2) / 2,   density(z) = exp(-z^2 / 2) / sqrt(2 pi)

The quantile is found by Newton's steps on cdf, begun at the logistic approximation
z = ln(p / (1 - p)) / 1.702 (Haley 1952); neither runtime has one of its own. No units.
"""

from __future__ import annotations

import math

ROOT_TWO = math.sqrt(2.0)
ROOT_TWO_PI = math.sqrt(2.0 * math.pi)
LOGISTIC_SCALE = 1.702  # brings the logistic curve nearest to the normal one (Haley 1952)


def cdf(z: float) -> float:
    """Chance that a standard normal value lies below z; beyond 37 deviations that of 37."""
    return 0.5 * math.erfc(-max(-37.0, min(37.0, z)) / ROOT_TWO)


def density(z: float) -> float:
    """Density of the standard normal distribution at z."""
    return math.exp(-0.5 * z * z) / ROOT_TWO_PI


def quantile(p: float) -> float:
    """The z with `cdf(z) == p`, for 1e-6 <= p <= 1 - 1e-6 (nearer the ends it stays there).

    To about 1e-13. The upper half is searched, where p loses no digits.
    """
    p = max(1e-6, min(1.0 - 1e-6, p))
    if p < 0.5:
        return -quantile(1.0 - p)
    z = math.log(p / (1.0 - p)) / LOGISTIC_SCALE
    for _ in range(12):
        z += max(-0.5, min(0.5, (p - cdf(z)) / density(z)))
    return z
