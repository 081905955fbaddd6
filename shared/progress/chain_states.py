"""How far each chain of a piece has got: ahead, begun, joined, or hung in its panel.

Units and joins are taken in the order of work, so the counts alone decide it. With u units, j unit
joins and h chain joins good, and chain k of (u_k, j_k) behind chains that need U units:

    units made of chain k    min(u_k, max(0, u - U))
    joined                   all joins of chains 1..k are made; a chain of one unit: its unit is
    hung                     joined, and the runs of chain joins up to its own are made

The first run of a panel hangs its first two chains; a chain that is a panel by itself is hung as
soon as it is joined. Derived here from the order of work that `fabric.assembly` lays down.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..fabric import chains

if TYPE_CHECKING:
    from typing import Any

    from .work_in_progress import Counts

    Row = dict[str, Any]


def chain_states(counts: Counts) -> list[Row]:
    """Each panel's chains in the order of work.

    `[{name, chains, joined, hung, chain_states: [{units, made, state, chains}]}]`: `state` is
    `ahead`, `begun`, `joined` or `hung`; a row of `chain_states` stands for so many like chains, one
    after the other. Panels whose items are only counted have no chains to show.
    """
    complete = counts.chains_done()[0]
    units, joins = counts.good_of("unit"), counts.good_of("chain_join")
    out = []
    for part in counts.piece.parts:
        joined = min(complete, len(part.chains))
        hung = min(joined, chains.hung_whole(len(part.chains), part.hanging_runs, joins))
        rows = _rows([size for size, _ in part.chains], units, joined, hung)
        out.append(
            {
                "name": part.name,
                "chains": len(part.chains),
                "joined": joined,
                "hung": hung,
                "chain_states": rows,
            }
        )
        complete -= joined
        units = max(0, units - sum([size for size, _ in part.chains]))
        joins = max(0, joins - chains.total(part.hanging_runs))
    return out


def _rows(sizes: list[int], units: int, joined: int, hung: int) -> list[Row]:
    """Like neighbours in one row: `{units, made, state, chains}`."""
    out: list[Row] = []
    for k, size in enumerate(sizes):
        made = max(0, min(size, units))
        units -= made
        if k < hung:
            state = "hung"
        elif k < joined:
            state = "joined"
        else:
            state = "begun" if made else "ahead"
        last = out[-1] if out else None
        if last and (last["units"], last["made"], last["state"]) == (size, made, state):
            last["chains"] += 1
        else:
            out.append({"units": size, "made": made, "state": state, "chains": 1})
    return out
