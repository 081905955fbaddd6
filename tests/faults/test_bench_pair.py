"""Random schedules of taps, bad links and put-back copies: every tap once, everywhere, in the end.

300 schedules here; the large run: RINGWRIGHT_SCHEDULES=10000 pytest tests/faults/test_bench_pair.py
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.faults.bench_pair import BenchPair

SCHEDULES = int(os.environ.get("RINGWRIGHT_SCHEDULES", "300"))
PARTS = 10  # a failing part names its seed; the others go on


@pytest.mark.parametrize("part", range(PARTS))
async def test_no_schedule_of_taps_and_faults_loses_or_doubles_a_tap(
    tmp_path: Path, part: int
) -> None:
    for seed in range(part, SCHEDULES, PARTS):
        folder = tmp_path / str(seed)
        folder.mkdir()
        async with BenchPair.opened(folder / "w", seed) as pair:
            await pair.run(40)
            await pair.settle()
            pair.check()


async def test_a_missing_tap_and_a_doubled_one_are_named_by_their_weights(tmp_path: Path) -> None:
    """The check itself: a change taken off a device, and one counted under a second name."""
    async with BenchPair.opened(tmp_path / "w", 1) as pair:
        a, b = pair.devices[:2]
        for _ in range(12):
            pair.tap(a)
        await pair.settle()
        pair.check()
        lost = b.heard.pop((a.name, 3))
        assert pair.wrong(b.totals()) == [f"{lost['step']} {lost['n']} of {a.name} is missing"]
        b.heard[(a.name, 3)] = lost
        b.heard[("x", 1)] = lost | {"device": "x", "seq": 1}
        assert pair.wrong(b.totals())
