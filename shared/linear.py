"""Small symmetric systems: Cholesky, inverse, products. Lists of lists, no pivoting: the matrices are positive."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    Matrix = list[list[float]]


def cholesky(a: Matrix) -> Matrix:
    n = len(a)
    low = [[0.0] * n for _ in range(n)]
    for i in range(n):
        for j in range(i + 1):
            s = a[i][j]
            for k in range(j):
                s -= low[i][k] * low[j][k]
            low[i][j] = math.sqrt(max(s, 1e-12)) if i == j else s / low[j][j]
    return low


def inverse(a: Matrix) -> tuple[Matrix, float]:
    """Of a symmetric positive matrix, and ln of its determinant."""
    n = len(a)
    low = cholesky(a)
    size = 0.0
    for i in range(n):
        size += 2 * math.log(low[i][i])
    inv = [[0.0] * n for _ in range(n)]
    for j in range(n):
        for i in range(j, n):
            s = 1.0 if i == j else 0.0
            for k in range(j, i):
                s -= low[i][k] * inv[k][j]
            inv[i][j] = s / low[i][i]
    out = [[0.0] * n for _ in range(n)]
    for i in range(n):
        for j in range(i + 1):
            s = 0.0
            for k in range(i, n):
                s += inv[k][i] * inv[k][j]
            out[i][j] = out[j][i] = s
    return out, size


def dot(a: list[float], b: list[float]) -> float:
    s = 0.0
    for x, y in zip(a, b):
        s += x * y
    return s


def times(m: Matrix, v: list[float]) -> list[float]:
    return [dot(row, v) for row in m]
