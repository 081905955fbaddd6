"""Small symmetric systems: Cholesky, inverse, products. Lists of lists, no pivoting: the matrices
are positive.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    Matrix = list[list[float]]


def cholesky(a: Matrix) -> Matrix:
    n = len(a)
    low = [[0.0] * n for _ in range(n)]
    for i in range(n):
        mine, given = low[i], a[i]
        for j in range(i):
            other, s = low[j], given[j]
            for k in range(j):
                s -= mine[k] * other[k]
            mine[j] = s / other[j]
        s = given[i]
        for k in range(i):
            s -= mine[k] * mine[k]
        mine[i] = math.sqrt(max(s, 1e-12))
    return low


def inverse(a: Matrix) -> tuple[Matrix, float]:
    """Of a symmetric positive matrix, and ln of its determinant."""
    n = len(a)
    low = cholesky(a)
    size = 0.0
    for i in range(n):
        size += 2 * math.log(low[i][i])
    inv = [[0.0] * n for _ in range(n)]  # column j of the inverse of `low` in row j
    for j in range(n):
        column = inv[j]
        for i in range(j, n):
            row, s = low[i], 1.0 if i == j else 0.0
            for k in range(j, i):
                s -= row[k] * column[k]
            column[i] = s / row[i]
    out = [[0.0] * n for _ in range(n)]
    for i in range(n):
        mine = inv[i]
        for j in range(i + 1):
            other, s = inv[j], 0.0
            for k in range(i, n):
                s += mine[k] * other[k]
            out[i][j] = out[j][i] = s
    return out, size


def dot(a: list[float], b: list[float]) -> float:
    s = 0.0
    for x, y in zip(a, b):
        s += x * y
    return s


def times(m: Matrix, v: list[float]) -> list[float]:
    return [dot(row, v) for row in m]
