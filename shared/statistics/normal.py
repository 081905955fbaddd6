"""The normal distribution: chance below a point, and the point for a chance.

Plain numbers in and out; own quantile, since neither runtime has one.
"""

from __future__ import annotations

import math

ROOT_TWO = math.sqrt(2.0)
ROOT_TWO_PI = math.sqrt(2.0 * math.pi)


def below(z: float) -> float:
    """Chance that a standard normal value lies below z."""
    return 0.5 * math.erfc(-max(-37.0, min(37.0, z)) / ROOT_TWO)


def density(z: float) -> float:
    return math.exp(-0.5 * z * z) / ROOT_TWO_PI


def point(p: float) -> float:
    """The z with `below(z) == p`, for 1e-6 <= p <= 1 - 1e-6 (nearer the ends it stays there).

    Newton's steps on the upper half, from the logistic curve's point; to about 1e-13.
    """
    p = max(1e-6, min(1.0 - 1e-6, p))
    if p < 0.5:
        return -point(1.0 - p)
    z = math.log(p / (1.0 - p)) / 1.702
    for _ in range(12):
        z += max(-0.5, min(0.5, (p - below(z)) / density(z)))
    return z
