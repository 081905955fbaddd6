"""The first minutes of a record: a few taps in a row, tried out or tapped afterwards, do not
overturn a forecast.

Derived: the forecast before any record is the usual figures'; two minutes of taps cannot know
better by half.
"""

from __future__ import annotations

from typing import Any

import pytest

from shared.ask import reply

TO_GO = {"wind": 92, "cut": 10203, "close": 5196, "unit": 1287, "chain_join": 2500}
USUAL = {
    "wind": (4.0, 1),
    "cut": (0.05, 100),
    "close": (0.8, 1),
    "unit": (2.0, 1),
    "chain_join": (1.6, 1),
}


def hours(*sittings: tuple[str, float, int]) -> float:
    """Even hours of a piece, after sittings of (step, minutes, items) on the first day."""
    steps = [
        {"step": s, "guess_min_per_item": g, "usual": True, "lump": n}
        for s, (g, n) in USUAL.items()
    ]
    rows = [
        {
            "step": step,
            "date": "2026-11-26",
            "start_min": 600 + k,
            "minutes": minutes,
            "items": items,
        }
        for k, (step, minutes, items) in enumerate(sittings)
    ]
    day = {"today": "2026-11-26", "record_from": "2026-11-26"}
    pieces = [{"id": "p", "to_go": TO_GO}]
    out: dict[str, Any] = reply(
        {"ask": "forecast", **day, "steps": steps, "sittings": rows, "pieces": pieces}
    )
    return float(out["pieces"][0]["hours"]["p50"])


@pytest.mark.parametrize("minutes", [0.1, 0.2, 0.4])
def test_a_few_taps_tried_out_leave_the_forecast_where_it_was(minutes: float) -> None:
    tried = hours(
        ("wind", minutes, 4), ("cut", minutes, 200), ("unit", minutes, 3), ("close", minutes, 10)
    )
    assert tried == pytest.approx(hours(), rel=0.06)


@pytest.mark.parametrize("minutes", [0.2, 0.5, 1, 1.5, 2, 3])
def test_the_first_rings_of_a_usual_maker_do_not_shake_the_forecast(minutes: float) -> None:
    assert hours(("close", minutes, max(1, round(minutes / 0.8)))) == pytest.approx(
        hours(), rel=0.12
    )


def test_an_evening_tells_of_the_pace() -> None:
    assert hours(("close", 120, 300)) < 0.8 * hours()
