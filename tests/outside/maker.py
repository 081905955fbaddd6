"""A maker at the bench: boxes of rings and a fabric that grows ring by ring, knowing nothing of the
plan's sums.

From the plan come only the rows, the places of the changes and the length of the chains, as a maker
reads them off the drawing. Which rings an open ring holds follows from the weave; what it takes out
of the box is what does not hang in the fabric yet. Order of work: chain by chain from the start
edge. A finished chain is hung at once: by the ring to the chain beside it, in a round row by the
ring that closes it, then by the open row above as far as the chain reaches. What is left over comes
last: the column, the row, the open edge.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import networkx as nx

Ring = tuple[
    Any, ...
]  # panel, row, place in the row (from 0); joins of panels: "join", number, place
Item = tuple[
    str, Ring, int
]  # the step that rivets this open ring, the ring, its chain (from 0; -1: none)

RINGS = ("cut", "soften", "flatten", "soften_again", "pierce")
BEFORE = dict(zip(RINGS[1:], RINGS, strict=False))
WEAVING = ("unit", "unit_join", "chain_join", "left_over", "panel_join")


class Cloth:
    """The weave of one panel: `holds[open ring]` are the closed rings it goes through, `items` the
    work in order.
    """

    def __init__(
        self, name: int, plan: dict[str, Any], most: int, goes_round: bool, down: bool
    ) -> None:
        self.name, self.rows, self.most, self.round = name, plan["rows"], most, goes_round
        self.starts = plan.get("starts")
        self.ringed = down and goes_round
        if self.ringed:
            self.round = False
        self.fives = _fives(plan)
        closed = (len(self.rows) + 1) // 2
        self.in_chains = closed // 2 * 2
        self.odd = closed % 2 == 1
        self.plain = self._plain()
        self.holds: dict[Ring, list[Ring]] = {}
        for y in range(1, len(self.rows), 2):
            self._weave(y)
        self.chains: list[int] = []  # units of each
        self.items = list(self._work())

    def _plain(self) -> bool:
        same = set(self.rows[::2])
        return not self.round and not self.starts and len(same) == 1 and self.rows[0] % 2 == 1

    def named(self, change: dict[str, Any]) -> list[Ring]:
        """The open rings that an entry of the changes names, in words of the work and counted from
        1.
        """
        if change["part"] == "left_over":
            return [(self.name, change["row"] - 1, n - 1) for n in change["rings"]]
        if change["part"] == "chain_join":
            run = self._of("chain_join", change["to"])
            return [run[n - 1] for n in change["rings"]]
        units, joins = self._of("unit", change["chain"]), self._of("unit_join", change["chain"])
        return [units[n - 1] for n in change["units"]] + [joins[n - 1] for n in change["joins"]]

    def _of(self, step: str, chain: int) -> list[Ring]:
        return [ring for s, ring, owner in self.items if s == step and owner == chain - 1]

    def _weave(self, y: int) -> None:
        rows = self.rows
        above, below = y - 1, (y + 1) % len(rows) if self.ringed else y + 1
        if self.starts:
            begin = max(self.starts[above], self.starts[below])
            for x in range(rows[y]):
                both = [
                    (row, begin + x + dx - self.starts[row])
                    for row in (above, below)
                    for dx in (0, 1)
                ]
                self.holds[self.name, y, x] = [(self.name, *place) for place in both]
            return
        places, by = self.fives.get(y, (set(), 0))
        up = down = 0
        for x in range(rows[y]):
            ups = 3 if x in places and by < 0 else 2
            downs = 3 if x in places and by > 0 else 2
            held = [(self.name, above, (up + i) % rows[above]) for i in range(ups)]
            if below < len(rows):
                held += [(self.name, below, (down + i) % rows[below]) for i in range(downs)]
            self.holds[self.name, y, x] = held
            up, down = up + ups - 1, down + downs - 1

    def _item(self, step: str, y: int, x: int, chain: int = -1) -> Item:
        return step, (self.name, y, x), chain

    def _work(self) -> Iterator[Item]:
        for r in range(self.in_chains // 2):
            yield from self._three_rows(4 * r + 1)
        if self.ringed and not self.odd:
            y = len(self.rows) - 1
            yield from (self._item("chain_join", y, x) for x in range(self.rows[y] - self.plain))
        yield from self._left_over()

    def _three_rows(self, y: int) -> Iterator[Item]:
        n = self.rows[y] - self.plain
        units = n // 2 if self.round else (n + 1) // 2
        most = self.most or units
        spans = [range(a, min(a + most, units)) for a in range(0, units, most)]
        hung = 0  # rings of the open row above, so far
        made = [self._chain(y, n, span, spans) for span in spans]
        for t, (own, ends) in enumerate(made):
            chain = len(self.chains)
            self.chains.append(len(spans[t]))
            yield from (self._item(step, y, x, chain) for step, x in own)
            if not chain:
                continue
            yield from (self._item("chain_join", y, x, chain) for x in ends)
            later = {ring for more in made[t + 1 :] for ring in self._taken(y, more)}
            while (
                y > 1
                and hung < self.rows[y - 2] - self.plain
                and not later & set(self.holds[self.name, y - 2, hung])
            ):
                yield self._item("chain_join", y - 2, hung, chain)
                hung += 1

    def _chain(
        self, y: int, n: int, span: range, spans: list[range]
    ) -> tuple[list[tuple[str, int]], list[int]]:
        """(step, place) of a chain's own open rings, and the places of those that join it to its
        neighbours.
        """
        own = [("unit", 2 * k) for k in span] + [("unit_join", 2 * k + 1) for k in span[:-1]]
        ends = [2 * span[0] - 1] if span is not spans[0] else []
        if span is spans[-1]:
            beyond = list(range(2 * span[-1] + 1, n))
            if self.round and len(spans) > 1:
                ends.append(beyond.pop())
            own += [("unit_join", x) for x in beyond]
        return own, ends

    def _taken(self, y: int, made: tuple[list[tuple[str, int]], list[int]]) -> set[Ring]:
        own, ends = made
        # the ring to the chain before also goes through that chain's own last rings: they are no
        # later ones
        inside = {ring for _, x in own for ring in self.holds[self.name, y, x]}
        extra = [self.holds[self.name, y, x] for x in ends]
        return inside | {ring for held in extra for ring in held if self._only(y, ring, ends)}

    def _only(self, y: int, ring: Ring, ends: list[int]) -> bool:
        """No other open ring of this row goes through it: an extra ring at the end of a chain."""
        return not any(
            ring in self.holds[self.name, y, x] for x in range(self.rows[y]) if x not in ends
        )

    def _left_over(self) -> Iterator[Item]:
        last = 2 * self.in_chains - 1  # the open row below the last closed row that is in a chain
        top = last if self.odd else len(self.rows)
        edge = len(self.rows) - 1 if len(self.rows) % 2 == 0 and not self.ringed else None
        if self.plain:
            for y in range(1, len(self.rows), 2):
                if y < top and y != edge:
                    yield self._item("left_over", y, self.rows[y] - 1)
        rest = range(max(1, top), len(self.rows), 2) if self.odd else []
        for y in [y for y in rest if y != edge] + ([] if edge is None else [edge]):
            yield from (self._item("left_over", y, x) for x in range(self.rows[y]))


def _fives(plan: dict[str, Any]) -> dict[int, tuple[set[int], int]]:
    """Row -> the places that hold five, and whether the row below is wider (1) or narrower (-1);
    both from 0.
    """
    out: dict[int, tuple[set[int], int]] = {}
    for change in plan["changes"]:
        places, _ = out.setdefault(change["row"] - 1, (set(), change["by"]))
        places |= {place - 1 for place in change["at"]}
    return out


class Impossible(AssertionError):
    """The maker was sent to do what cannot be done with what lies on the bench."""


class Maker:
    """Boxes and fabric. `count` is what the maker would have counted; `fabric` holds every closed
    ring hung.
    """

    def __init__(self, cloths: list[Cloth], joins: dict[Ring, list[Ring]], per_coil: int) -> None:
        self.cloths, self.per_coil = cloths, per_coil
        self.holds = {ring: held for cloth in cloths for ring, held in cloth.holds.items()} | joins
        work = [item for cloth in cloths for item in cloth.items]
        work += [("panel_join", ring, -1) for ring in joins]
        self.work = {step: [item for item in work if item[0] == step] for step in WEAVING}
        self.count = dict.fromkeys(("wind", *RINGS, "close", *WEAVING), 0)
        self.apart = any(cloth.starts for cloth in cloths)
        self.spoiled = dict.fromkeys(self.count, 0)
        self.coils = self.in_coil = self.rivets = 0
        self.box = dict.fromkeys((*RINGS, "close"), 0)
        self.fabric = nx.Graph()
        self.woven = dict.fromkeys(WEAVING, 0)
        self.chains = [
            chain for cloth in cloths for chain in self._chains(cloth)
        ]  # those not hung yet
        # a single chain that no chain join hangs is the panel itself as soon as it is whole
        panels = [
            cloth for cloth in cloths if not any(step == "chain_join" for step, _, _ in cloth.items)
        ]
        self.panels = [chain for cloth in panels for chain in self._chains(cloth)]

    @staticmethod
    def _chains(cloth: Cloth) -> list[set[Ring]]:
        """The open rings of each chain."""
        return [
            {
                ring
                for step, ring, owner in cloth.items
                if owner == chain and step in ("unit", "unit_join")
            }
            for chain in range(len(cloth.chains))
        ]

    def do(self, step: str, n: int, bad: int = 0) -> None:
        """So many items of a step; the last `bad` of them are spoiled: what they were made of is gone,
        but for the closed rings that an open one was to hold."""
        for i in range(n):
            self._one(step, i >= n - bad)
        self.count[step] += n
        self.spoiled[step] += bad

    def _one(self, step: str, bad: bool) -> None:
        good = 0 if bad else 1
        if step == "wind":
            self.coils += good
        elif step == "cut":
            self._turn()
            self.box["cut"] += good
        elif step in BEFORE:
            self._take(BEFORE[step], 1, step)
            self.box[step] += good
        else:
            self._take("pierce", 1, step)
            self.rivets += 1
            if step == "close":
                self.box["close"] += good
            elif good:
                self._rivet_in_place(step)

    def _take(self, box: str, n: int, step: str) -> None:
        if self.box[box] < n:
            raise Impossible(f"{step}: {n} of {box} wanted, {self.box[box]} there")
        self.box[box] -= n

    def _turn(self) -> None:
        """A turn off the coil under way, or off the next one."""
        if not self.in_coil:
            if not self.coils:
                raise Impossible("cut: no coil")
            self.coils, self.in_coil = self.coils - 1, self.per_coil
        self.in_coil -= 1

    def _rivet_in_place(self, step: str) -> None:
        done = self.woven[step]
        if done == len(self.work[step]):
            raise Impossible(f"{step}: nothing left to do")
        _, ring, _ = self.work[step][done]
        held = self.holds[ring]
        new = [closed for closed in held if closed not in self.fabric]
        if step == "unit" and len(new) != len(held):
            raise Impossible(f"unit {ring}: its closed rings hang already")
        if step not in ("unit", "left_over") and len(new) == len(held) and not self.apart:
            raise Impossible(f"{step} {ring}: hangs on nothing")
        self._take("close", len(new), step)
        self.woven[step] += 1
        self.fabric.add_edges_from((ring, closed) for closed in held)

    # — what lies on the bench —
    def in_hand(self) -> dict[str, int]:
        units, chains = self._loose()
        lying = {"wind": self.coils, **self.box, "unit": units}
        # where rows begin apart, a chain may at first hang on single rings only, beside the chains
        # above it: whether those chains still lie loose is then a matter of words
        if self.apart:
            return lying
        return lying | {"unit_join": chains}

    def _loose(self) -> tuple[int, int]:
        """Units that hang on nothing else, and whole chains not hung yet, read off the fabric.

        A unit that is a chain by itself lies with the units until its turn has come."""
        units, whole, hung, turn = 0, 0, [], True
        for chain in self.chains:
            made = [ring for ring in chain if ring in self.fabric]
            if any(
                set(self.fabric[closed]) - chain for ring in made for closed in self.fabric[ring]
            ):
                hung.append(chain)
            elif len(made) == len(chain) and (turn or len(chain) > 1):
                whole += chain not in self.panels
            else:
                turn = False
                units += len(
                    [
                        ring
                        for ring in made
                        if all(len(self.fabric[c]) == 1 for c in self.fabric[ring])
                    ]
                )
        self.chains = [chain for chain in self.chains if chain not in hung]
        return units, whole
