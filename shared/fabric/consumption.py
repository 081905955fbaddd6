"""What the items of a step use up of an earlier one, in the order of work: how much the n-th uses, and
all up to it.

Kept as runs of like items [[items, used], ...], so that a garment of many thousand rings stays a
short list. The first n items use U(n) = sum of the runs before + floor(m u / k) of the run (k, u) that
n lies m items deep in: exact wherever a run's items are alike. Derived here.
"""

from __future__ import annotations


class Consumption:
    """Items of one step in the order of work, and the closed rings each takes along.

    `runs`: [[items, closed], ...]; `items` and `closed` are their sums.
    """

    def __init__(self) -> None:
        self.runs: list[list[int]] = []
        self.items = 0
        self.closed = 0

    def add(self, items: int, each: int) -> None:
        """So many items that take `each`."""
        if items <= 0:
            return
        self.items += items
        self.closed += items * each
        last = self.runs[-1] if self.runs else None
        if last is not None and last[1] == each * last[0]:
            last[0] += items
            last[1] += items * each
        else:
            self.runs.append([items, items * each])

    def add_spotted(self, items: int, each: int, spots: list[int]) -> None:
        """So many items; those at `spots` (from 0, ascending, each once) take one more."""
        done = 0
        for spot in spots:
            self.add(spot - done, each)
            self.add(1, each + 1)
            done = spot + 1
        self.add(items - done, each)

    def add_counted(self, items: int, takers: list[int]) -> None:
        """So many items; each entry of `takers` (from 0, ascending) is one closed ring taken by
        that item.
        """
        done = at = 0
        while at < len(takers):
            spot, n = takers[at], 0
            while at < len(takers) and takers[at] == spot:
                at, n = at + 1, n + 1
            self.add(spot - done, 0)
            self.add(1, n)
            done = spot + 1
        self.add(items - done, 0)


class CumulativeUse:
    """Runs [[items, used], ...] read both ways: what the first n items have used up, what the next
    ones want.

    Within a run the use is spread evenly, which is exact wherever its items are alike. Beyond the
    last run items go on using at the average.
    """

    def __init__(self, runs: list[list[int]]) -> None:
        self.items = [0]
        self.used = [0]
        for items, used in runs:
            self.items.append(self.items[-1] + items)
            self.used.append(self.used[-1] + used)

    def used_by(self, n: int, up: bool = False) -> int:
        """What the first n items have used up; part of an uneven run is rounded down, or `up`."""
        total, all_used = self.items[-1], self.used[-1]
        if n >= total:
            return all_used + (_part(n - total, all_used, total, up) if total else 0)
        low, high = 0, len(self.items) - 1  # items[low] <= n < items[high]
        while high - low > 1:
            middle = (low + high) // 2
            if self.items[middle] <= n:
                low = middle
            else:
                high = middle
        size, used = self.items[high] - self.items[low], self.used[high] - self.used[low]
        return self.used[low] + _part(n - self.items[low], used, size, up)


def _part(n: int, used: int, size: int, up: bool) -> int:
    return (n * used + (size - 1 if up else 0)) // size
