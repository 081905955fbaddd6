"""How long a pause may be before the maker is asked about it."""

from __future__ import annotations

import pytest

from tests.page.modules import Modules


@pytest.mark.parametrize(
    ("per_tap", "gap"),
    [
        (0, 10),  # nothing known of the step: ten minutes
        (3, 10),
        (4, 12),  # thrice what a tap takes, where that is longer
        (25, 75),
    ],
)
def test_a_gap_is_asked_about_after_ten_minutes_or_three_taps_time(
    modules: Modules, per_tap: float, gap: float
) -> None:
    assert modules.call("store/sitting-clock.js", "usualGapMinutes", per_tap) == gap


def test_only_a_longer_gap_than_usual_is_one(modules: Modules) -> None:
    script = """async (min) => {
      const { SittingClock } = await import("/store/sitting-clock.js");
      const clock = new SittingClock(null, () => 12), at = 1.79e12;
      clock.tap("p", "unit", "s", at);
      const gap = clock.gap(at + min * 60000);
      return gap && gap.minutes;
    }"""
    assert modules.evaluate(script, 12) is None
    assert modules.evaluate(script, 12.1) == pytest.approx(12.1)
