"""Chains of one piece as runs, and how far they have got: what a join has taken up, what lies loose.

A run is [size, times]: [[20, 11]] is eleven chains of twenty. Chains are made in order; a
chain of k units needs k - 1 joins, and hangs on the panel by one run of chain joins.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from typing import Any

    Runs = list[list[int]]


def spread(total: int, parts: int) -> Runs:
    """`total` over `parts` as evenly as whole numbers allow, the larger ones first."""
    if parts <= 0:
        return []
    size, more = total // parts, total % parts
    return [run for run in ([size + 1, more], [size, parts - more]) if run[1]]


def runs_of(sizes: list[int]) -> Runs:
    """Equal neighbours gathered."""
    out: Runs = []
    for size in sizes:
        if out and out[-1][0] == size:
            out[-1][1] += 1
        else:
            out.append([size, 1])
    return out


def gathered(parts: list[Runs]) -> Runs:
    """Several lists of runs as one."""
    out: Runs = []
    for runs in parts:
        for size, times in runs:
            if out and out[-1][0] == size:
                out[-1][1] += times
            else:
                out.append([size, times])
    return out


def total(runs: Runs) -> int:
    return sum([size * times for size, times in runs])


def hanging_runs(panel: dict[str, Any]) -> Runs:
    """Joins that hang each further chain on the panel: the open rows between chains, where these are all."""
    rows, joins = panel["rows"], panel["chain_joins"]
    for less in (0, 1):  # an odd last column is left over, one ring of each row
        between = [rows[i] - less for i in range(3, len(rows), 4)]
        if between and sum(between) == joins:
            return runs_of(between)
        if len(between) > 1 and sum(between[:-1]) == joins:
            return runs_of(between[:-1])
    return spread(joins, panel["chains"] - 1)


def place(runs: Runs, n: int) -> tuple[int, int, int] | None:
    """Where item n + 1 falls: (group, item in it, size of it), all from 1; None when the runs are full."""
    group = 0
    for size, times in runs:
        if size and n < size * times:
            return group + n // size + 1, n % size + 1, size
        n -= size * times
        group += times
    return None


def chains_done(runs: Runs, joins: int, units: int) -> tuple[int, int, int]:
    """From joins made: (chains complete, units taken up by joins, joins in the chain under way).

    A chain of a single unit needs no join: it is complete as soon as its unit is there.
    """
    complete, taken = 0, 0
    for size, times in runs:
        if size == 1:
            full = min(times, max(0, units - taken))
        elif size:
            full = min(times, joins // (size - 1))
        else:
            full = times
        complete += full
        taken += full * size
        joins -= full * max(0, size - 1)
        if full < times:
            begun = joins if size > 1 else 0
            return complete, taken + (begun + 1 if begun else 0), begun
    return complete, taken, joins


def chains_hung(panels: list[tuple[int, Runs]], joins: int) -> int:
    """Chains that have gone into a panel, given the chain joins made; panels are (chains, hanging runs).

    The first join of a panel takes two chains. A panel of one chain needs none: see `alone`.
    """
    used = 0
    for chains, runs in panels:
        of_panel = total(runs)
        if joins <= 0 or not of_panel:
            continue
        if joins >= of_panel:
            used += chains
        else:
            spot = place(runs, joins - 1)
            used += min(chains, 1 + spot[0]) if spot else 0
        joins -= of_panel
    return used


def alone(panels: list[tuple[int, Runs]], complete: int) -> int:
    """Of the chains complete, those that are a whole panel by themselves and wait for no join."""
    out = 0
    for chains, runs in panels:
        of_panel = min(complete, chains)
        out += 0 if total(runs) else of_panel
        complete -= of_panel
    return out


def joins_within(runs: Runs, chains: int) -> int:
    """Unit joins that the first so many chains hold."""
    out = 0
    for size, times in runs:
        out += min(chains, times) * max(0, size - 1)
        chains -= min(chains, times)
    return out


def size_at(runs: Runs, group: int) -> int:
    """Size of a group counted from 1; 0 beyond the last."""
    for size, times in runs:
        if group <= times:
            return size
        group -= times
    return 0
