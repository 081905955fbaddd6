"""Gauges against the `fluids` package, which has its own tables (its SWG is US Steel, its BSWG
British).
"""

from __future__ import annotations

import json

import pytest
from fluids.piping import t_from_gauge

from shared.ask import answer

NAMES = {"awg": "AWG", "british_swg": "BSWG", "us_steel": "SWG", "birmingham": "BWG"}
DIFFER = {
    ("us_steel", 21),
    ("british_swg", 28),
}  # 0.0317 or 0.0318 in, 0.0148 or 0.0149 in: the sources differ


def systems(**question):
    got = json.loads(answer(json.dumps({"ask": "gauge", **question})))
    return {row["system"]: row for row in got["systems"]}


@pytest.mark.parametrize("gauge", range(37))
def test_every_gauge_agrees_with_fluids(gauge):
    """AWG is printed there to 0.0001 in, the others exactly."""
    for system, row in systems(gauge=gauge).items():
        wanted = 1000 * t_from_gauge(gauge, True, NAMES[system])
        near = 0.000051 * 25.4 if system == "awg" else 0.00002 * 25.4
        if (system, gauge) in DIFFER:
            near = 0.00011 * 25.4
        assert row["wire_mm"] == pytest.approx(wanted, abs=near), system


@pytest.mark.parametrize("gauge", range(37))
def test_a_wire_goes_back_to_its_gauge(gauge):
    for system, row in systems(gauge=gauge).items():
        back = systems(wire_mm=row["wire_mm"])[system] if 0.1 <= row["wire_mm"] <= 10 else row
        assert back["gauge"] == gauge, system


def test_sixteen_gauge_is_four_wires():
    """Mass of a metre at 16: British over American 1.586, US Steel over American 1.513 (derived
    from the tables).
    """
    rows = systems(gauge=16)
    assert (rows["british_swg"]["wire_mm"] / rows["awg"]["wire_mm"]) ** 2 == pytest.approx(
        1.586, abs=0.001
    )
    assert (rows["us_steel"]["wire_mm"] / rows["awg"]["wire_mm"]) ** 2 == pytest.approx(
        1.513, abs=0.001
    )
    assert len({row["wire_mm"] for row in rows.values()}) == 4
