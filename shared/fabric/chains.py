"""Chains of one piece, and how far they have got: what a join has taken up, what lies loose.

A chain is (units, joins): k units need k - 1 joins, one or two more where its row closes on itself or
ends in a join; its first join takes two units, each further one takes one. Chains are made in order
and hang on the panel by one run of chain joins each, the first run hanging two. Runs are
[[size, times], ...]: [[20, 11]] is eleven of twenty. Derived here from the order of work that
assembly.py lays down.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    Runs = list[list[int]]
    Chain = tuple[int, int]


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


def total(runs: Runs) -> int:
    """Items in all."""
    return sum([size * times for size, times in runs])


def place(runs: Runs, n: int) -> tuple[int, int, int] | None:
    """Where item n + 1 falls: (group, item in it, size of it), all from 1; None when the runs are
    full.
    """
    group = 0
    for size, times in runs:
        if size and n < size * times:
            return group + n // size + 1, n % size + 1, size
        n -= size * times
        group += times
    return None


def chains_done(chains: list[Chain], joins: int, units: int) -> tuple[int, int, int]:
    """From joins made: (chains complete, units taken up by joins, joins in the chain under way).

    A chain of a single unit needs no join: it is complete as soon as its unit is there.
    """
    complete, taken = 0, 0
    for size, needed in chains:
        if joins < needed:
            return complete, taken + begun_units(size, joins), joins
        if not needed and units - taken < size:
            return complete, taken, 0
        complete += 1
        taken += size
        joins -= needed
    return complete, taken, joins


def begun_units(size: int, joins: int) -> int:
    """Units in a chain under way: its first join takes two."""
    return min(size, joins + 1) if joins else 0


def chains_hung(panels: list[tuple[int, Runs]], joins: int) -> int:
    """Chains that have gone into a panel, given the chain joins made; panels are (chains, hanging
    runs).

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


def hung_whole(chains: int, runs: Runs, joins: int) -> int:
    """Chains of one panel whose joins to it are all made.

    `runs`: the panel's chain joins, a run each for the second chain and every further one (and one
    more that closes a tube). Where there are none, no chain waits for any.
    """
    if not total(runs):
        return chains
    hung = 0
    for size, times in runs:
        full = min(times, joins // size) if size else times
        joins -= full * size
        hung += full
        if full < times:
            break
    return min(chains, hung + 1) if hung else 0


def alone(panels: list[tuple[int, Runs]], complete: int) -> int:
    """Of the chains complete, those that are a whole panel by themselves and wait for no join."""
    out = 0
    for chains, runs in panels:
        of_panel = min(complete, chains)
        out += 0 if total(runs) else of_panel
        complete -= of_panel
    return out


def joins_within(chains: list[Chain], first: int) -> int:
    """Unit joins that the first so many chains hold."""
    return sum([joins for _, joins in chains[:first]])
