"""Fabric laid ring by ring in the order of work, by its own rules: what the plan's sequences are
held against.
"""

from __future__ import annotations

from hypothesis import strategies as st

RING = {"wire_mm": 1.2, "inner_mm": 8, "lap_mm": 2.4, "metal": "iron"}
mm = st.integers(60, 300)
shapes = st.one_of(
    st.fixed_dictionaries(
        {"kind": st.just("panel"), "rows": st.integers(2, 16), "columns": st.integers(2, 14)}
    ),
    st.fixed_dictionaries(
        {"kind": st.just("tube"), "rows": st.integers(2, 16), "columns": st.integers(3, 14)}
    ),
    st.fixed_dictionaries(
        {
            "kind": st.just("taper"),
            "from_mm": mm,
            "to_mm": mm,
            "length_mm": st.integers(20, 200),
            "round": st.booleans(),
        }
    ),
    st.fixed_dictionaries(
        {
            "kind": st.just("taper"),
            "from_mm": mm,
            "to_mm": mm,
            "length_mm": mm,
            "rows_run": st.just("down"),
        }
    ),
    st.fixed_dictionaries(
        {
            "kind": st.just("tube"),
            "around_mm": mm,
            "length_mm": st.integers(20, 100),
            "rows_run": st.just("down"),
        }
    ),
    st.fixed_dictionaries(
        {
            "kind": st.just("collar"),
            "neck_mm": mm,
            "slant_mm": st.integers(20, 120),
            "angle_deg": st.integers(0, 90),
        }
    ),
    st.builds(
        lambda widths, round_: {
            "kind": "profile",
            "widths": [[60 * i, w] for i, w in enumerate(widths)],
            "round": round_,
        },
        st.lists(mm, min_size=2, max_size=5),
        st.booleans(),
    ),
)
split = st.sampled_from([None, None, 1, 2, 3, 5, 8])


def fives(got):
    """{open row: (rings more or fewer, places)}, both from 0."""
    out = {}
    for change in got["changes"]:
        by, at = out.get(change["row"] - 1, (0, []))
        out[change["row"] - 1] = (by + change["by"], at + [x - 1 for x in change["at"]])
    return out


def held(got, ringed):
    """{(row, place) of each open ring: the closed rings it goes through}, laid ring by ring."""
    rows, starts, changed, out = got["rows"], got.get("starts"), fives(got), {}
    for y in range(1, len(rows), 2):
        above, below = y - 1, (y + 1) % len(rows) if ringed else y + 1
        by, at = changed.get(y, (0, []))
        up = down = 0
        for x in range(rows[y]):
            if starts:
                out[y, x] = {(y + dy, starts[y] + x + dx) for dy in (-1, 1) for dx in (0, 1)}
                continue
            ups, downs = 2 + (by < 0 and x in at), 2 + (by > 0 and x in at)
            out[y, x] = {(above, (up + k) % rows[above]) for k in range(ups)}
            if below < len(rows):
                out[y, x] |= {(below, (down + k) % rows[below]) for k in range(downs)}
            up, down = up + ups - 1, down + downs - 1
    return out


class Maker:
    """Lays the open rings in the order of work and writes down what each takes along."""

    def __init__(self, got, rows, most):
        self.got, self.rows, self.most = got, rows, most
        self.fabric = held(got, rows.ringed)
        self.owner = {}  # closed ring -> the chain that took it up
        self.took = {"unit": [], "unit_join": [], "chain_join": [], "left_over": []}
        self.chains, self.hanging = [], []
        self.by = {}  # open ring -> (step, chain or hanging run, number in it)
        self.plain = (
            not rows.round
            and not got.get("starts")
            and not got["changes"]
            and got["rows"][0] % 2 == 1
        )
        self.paired = len(rows.closed) // 2 * 2
        for y in range(1, 2 * self.paired, 4):
            self.row_of_chains(y)
        if rows.ringed and len(rows.closed) == self.paired:
            self.hang([(len(got["rows"]) - 1, x) for x in range(self.width(len(got["rows"]) - 1))])
        self.rest()

    def width(self, y):
        return self.got["rows"][y] - (1 if self.plain else 0)

    def rivet(self, step, ring, chain):
        new = self.fabric[ring] - self.owner.keys()
        self.owner.update(dict.fromkeys(new, chain))
        self.took[step].append(len(new))

    def row_of_chains(self, y):
        n = self.width(y)
        units = n // 2 if self.rows.round else (n + 1) // 2
        waiting = [(y - 2, x) for x in range(self.width(y - 2))] if y > 1 else []
        closing = self.rows.round and self.most is not None and units > self.most
        for a in range(0, units, self.most or units):
            b, chain = min(units, a + (self.most or units)), len(self.chains)
            joins = list(range(2 * a + 1, 2 * b - 1, 2))
            if b == units:
                joins += list(range(2 * b - 1, n - 1 if closing else n))
            for number, k in enumerate(range(a, b)):
                self.by[y, 2 * k] = ("units", chain + 1, number + 1)
                self.rivet("unit", (y, 2 * k), chain)
            for number, x in enumerate(joins):
                self.by[y, x] = ("joins", chain + 1, number + 1)
                self.rivet("unit_join", (y, x), chain)
            self.chains.append((b - a, len(joins)))
            if chain:
                ends = [(y, 2 * a - 1)] if a else []
                ends += [(y, n - 1)] if closing and b == units else []
                reach = max(
                    x for (row, x), owner in self.owner.items() if row == y - 1 and owner == chain
                )
                over = [
                    r for r in waiting if b == units or max(x for _, x in self.lower(r)) <= reach
                ]
                waiting = waiting[len(over) :]
                self.hang(ends + over)

    def lower(self, ring):
        return [closed for closed in self.fabric[ring] if closed[0] == ring[0] + 1]

    def hang(self, rings):
        self.hanging.append(len(rings))
        for number, ring in enumerate(rings):
            self.by[ring] = ("rings", len(self.hanging) + 1, number + 1)
            self.rivet("chain_join", ring, -2)

    def rest(self):
        """The column, the row, the edge: in this order, each along itself."""
        rows, last = self.got["rows"], 2 * self.paired - 1
        odd = len(self.rows.closed) > self.paired
        done = set(self.by)
        column = [r for r in self.fabric if r not in done and self.plain and r[1] == rows[r[0]] - 1]
        edge = len(rows) - 1 if self.rows.edge else None
        column = [r for r in column if r[0] != edge and not (odd and r[0] >= last)]
        for ring in sorted(column) + sorted(
            r for r in self.fabric if r not in done and r not in column
        ):
            self.rivet("left_over", ring, -3)
