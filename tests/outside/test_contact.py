"""The pitches against a search over rigid rings: two rings a cell, rows leaning in turn, no wire
through another.

Nothing of the engine's formulas is used: scipy moves pitch and lean, the gaps between
circles are measured. Derived; no published pitch formula was found to compare with.
"""

from __future__ import annotations

import json

import numpy as np
import pytest
from scipy.optimize import minimize

from shared.ask import answer

AROUND = np.linspace(0, 2 * np.pi, 180, endpoint=False)
MIRROR = np.array([-1.0, 1.0, 1.0])


def points(centre, normal, radius, angles):
    across = (
        np.array([normal[1], -normal[0], 0.0])
        if abs(normal[2]) < 1 - 1e-12
        else np.array([1.0, 0.0, 0.0])
    )
    across = across / np.linalg.norm(across)
    up = np.cross(normal, across)
    return centre + radius * (np.cos(angles)[:, None] * across + np.sin(angles)[:, None] * up)


def to_circle(found, centre, normal, radius):
    """Distance of points from a circle, exactly."""
    arm = found - centre
    height = arm @ normal
    out = np.sqrt(np.maximum(0, (arm * arm).sum(1) - height * height))
    return np.hypot(height, out - radius)


def gap(centre, first, second, radius):
    """Least distance between a circle at the origin and one at `centre`, narrowed down three times."""
    best, width = 0.0, np.pi
    angles = AROUND
    for _ in range(4):
        found = to_circle(points(np.zeros(3), first, radius, angles), centre, second, radius)
        best, width = angles[found.argmin()], width / 12
        angles = np.linspace(best - width, best + width, 25)
    return found.min()


def cell(x):
    """Normals of both leans, and where the neighbours of a ring lie: linked ones first."""
    column, row, lean = x
    one = np.array([np.sin(lean), 0.0, np.cos(lean)])
    two = one * MIRROR
    places = [(column / 2, row, two), (-column / 2, row, two), (column, 0, one), (0, 2 * row, one)]
    return one, [*places, (1.5 * column, row, two), (-1.5 * column, row, two)]


def gaps(x, radius):
    one, places = cell(x)
    return np.array([gap(np.array([a, b, 0.0]), one, normal, radius) for a, b, normal in places])


def linked(x, radius):
    """Both upper neighbours pass once through the ring's disc."""
    one, places = cell(x)
    for a, b, normal in places[:2]:
        found = points(np.array([a, b, 0.0]), normal, radius, AROUND)
        height = found @ one
        crossing = np.sign(height) != np.sign(np.roll(height, -1))
        inside = np.sqrt(np.maximum(0, (found * found).sum(1) - height * height)) < radius
        if (crossing & inside).sum() != 1:
            return False
    return True


def furthest(aspect, goal, column=None):
    """The best (column, row) in wires over seeded starts."""
    radius, chance = (aspect + 1) / 2, np.random.default_rng(7)
    low, high = np.array([2.0, aspect / 2 + 0.9, 0.1]), np.array([1.8 * aspect, aspect + 1, 1.5])
    rules = [{"type": "ineq", "fun": lambda x: gaps(x, radius) - 1}]
    if column is not None:
        rules.append({"type": "eq", "fun": lambda x: x[0] - column})
    best, tried = None, 0
    while tried < 9:
        start = low + (high - low) * chance.random(3)
        if column is not None:
            start[0] = column
        if not linked(start, radius):
            continue
        tried += 1
        x = minimize(
            lambda x: -goal(x),
            start,
            bounds=list(zip(low, high, strict=True)),
            constraints=rules,
            method="SLSQP",
        ).x
        sound = np.isfinite(x).all() and gaps(x, radius).min() > 1 - 1e-4 and linked(x, radius)
        if sound and (best is None or goal(x) > goal(best)):
            best = x
    return best[0], best[1]


def pitch(aspect, state):
    ring = {"wire_mm": 1.0, "inner_mm": aspect, "lap_mm": 2.0}
    got = json.loads(answer(json.dumps({"ask": "fabric", "ring": ring, "state": state})))
    return got["pitch_mm"]["column"], got["pitch_mm"]["row"]


@pytest.mark.parametrize("aspect", [4.0, 5.0, 6.667])
def test_pulled_along_the_rows_no_ring_goes_further_than_across(aspect):
    assert furthest(aspect, lambda x: x[0]) == pytest.approx(pitch(aspect, "across"), rel=1e-3)


@pytest.mark.parametrize("aspect", [4.0, 5.0, 6.667])
def test_pulled_across_the_rows_no_ring_goes_further_than_hang(aspect):
    assert furthest(aspect, lambda x: x[1]) == pytest.approx(pitch(aspect, "hang"), rel=3e-3)


@pytest.mark.parametrize("aspect", [5.0, 6.667])
def test_spread_both_ways_no_area_is_larger_than_flat(aspect):
    column, row = furthest(aspect, lambda x: x[0] * x[1] / 20)
    assert column * row == pytest.approx(np.prod(pitch(aspect, "flat")), rel=3e-3)


def test_half_way_between_the_longest_rows_are_relaxed():
    column, row = pitch(5.0, "relaxed")
    assert furthest(5.0, lambda x: x[1], column)[1] == pytest.approx(row, rel=3e-3)


def test_below_the_tightest_aspect_no_ring_passes():
    """At 2.7 wires four links in one hole cannot keep their distance wherever they are put."""
    radius = (2.7 + 1) / 2
    grid = [
        (c, r, t)
        for c in np.linspace(1.8, 3.2, 12)
        for r in np.linspace(1.8, 2.8, 12)
        for t in np.linspace(0.1, 1.4, 14)
    ]
    assert max(gaps(x, radius).min() for x in grid if linked(x, radius)) < 0.97
