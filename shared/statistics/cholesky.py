"""Small symmetric positive systems: Cholesky, inverse, products. Lists of lists, n by n; no pivoting.

    A = L L^T with L lower triangular;   A^-1 = L^-T L^-1;   ln det A = 2 sum ln L_ii

The textbook algorithm (Golub and Van Loan, Matrix Computations, 4.2). The sums run in a fixed order,
so that both runtimes give the same digits.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    Matrix = list[list[float]]

LEAST_PIVOT = 1e-12  # a pivot lost to rounding counts as this, so that nothing divides by zero


def cholesky(a: Matrix) -> Matrix:
    """The lower triangle L (n by n) of `a`, which must be symmetric and positive."""
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
        mine[i] = math.sqrt(max(s, LEAST_PIVOT))
    return low


def inverse(a: Matrix) -> Matrix:
    """The inverse of a symmetric positive matrix, n by n."""
    n = len(a)
    low = cholesky(a)
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
    return out


def dot(a: list[float], b: list[float]) -> float:
    """Inner product of two vectors of one length."""
    s = 0.0
    for x, y in zip(a, b):
        s += x * y
    return s


def times(m: Matrix, v: list[float]) -> list[float]:
    """Matrix (k by n) times vector (n): a vector of k."""
    return [dot(row, v) for row in m]
