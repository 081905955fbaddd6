"""The page's fold and the engine's fold: two writings of one rule, held together by random logs.

Outside check of both: the totals are also summed here straight from the rule 'a count that is no
undo and is not undone counts its n, where its sitting was corrected to; of those that answer one
hold, only the first' (derived).
"""

from __future__ import annotations

import random
from typing import Any

import pytest

from shared.log.fold import fold
from tests.page.modules import Modules

Change = dict[str, Any]

DEVICES = ["aaaa", "bbbb", "cccc"]
PIECES = ["coif", "shirt"]
STEPS = ["close", "unit", "pierce"]
START_MS = 1790000000000

FOLD_ALL = """async (logs) => {
  const { apply } = await import("/log/fold.js");
  const { benchMinutes, stands, whenOf, stateOf } = await import("/log/sitting.js");
  const keyOf = { changes: (c) => `${c.device}:${c.seq}`, sittings: (r) => r.sitting };
  return Promise.all(logs.map(async (log) => {
    const stores = {};
    for (const name of ["changes", "totals", "things", "sittings", "undone", "holds"]) stores[name] = new Map();
    const copy = (row) => (row === undefined ? undefined : structuredClone(row));
    const rows = {
      get: async (name, key) => copy(stores[name].get(Array.isArray(key) ? key.join(":") : key)),
      put: (name, row) => { stores[name].set((keyOf[name] ?? ((r) => r.key))(row), copy(row)); },
    };
    for (const change of log) {
      if (await rows.get("changes", [change.device, change.seq])) continue;
      rows.put("changes", change);
      await apply(rows, change);
    }
    return {
      totals: [...stores.totals.values()],
      sittings: [...stores.sittings.values()].filter(stands).map((s) => ({
        sitting: s.sitting, piece: s.piece, step: s.step, ...whenOf(s), minutes: benchMinutes(s),
        items: s.items, untimed: s.untimed,
        open: stateOf(s) !== "stopped" })),
      things: [...stores.things.values()].map((t) => ({ thing: t.thing, id: t.id,
        fields: Object.fromEntries(Object.entries(t.fields).map(([name, f]) => [name, f.value])) })),
      holds: [...stores.holds.values()].map((h) => h.change).filter(Boolean).map((c) => [c.device, c.seq]),
    };
  }));
}"""


class Bench:
    """Says changes the way devices do: seq upward on each, everything else at random."""

    def __init__(self, rng: random.Random) -> None:
        self.rng = rng
        self.seq = dict.fromkeys(DEVICES, 0)
        self.log: list[Change] = []

    def say(self, kind: str, **fields: Any) -> Change:
        device = self.rng.choice(DEVICES)
        self.seq[device] += 1
        at = START_MS + self.rng.randrange(0, 6 * 3600_000, 1000)
        tz = self.rng.choice([-300, 0, 60, 345])
        change = {
            "device": device,
            "seq": self.seq[device],
            "at": at,
            "tz": tz,
            "v": 1,
            "kind": kind,
            **fields,
        }
        self.log.append(change)
        return change

    def lane(self) -> dict[str, str]:
        return {"piece": self.rng.choice(PIECES), "step": self.rng.choice(STEPS)}

    def sitting(self) -> dict[str, str]:
        """Any sitting; its lane follows from its name, as on a real bench."""
        number = self.rng.randrange(6)
        return {"sitting": f"s{number}", "piece": PIECES[number % 2], "step": STEPS[number % 3]}

    def count(self) -> None:
        lane: dict[str, Any] = self.sitting() if self.rng.random() < 0.7 else self.lane()
        if self.rng.random() < 0.3:
            lane["panel"] = self.rng.choice(["front", "back"])
        if self.rng.random() < 0.1:
            lane["opens"] = True
        held = [c for c in self.log if c["kind"] == "hold"]
        if held and self.rng.random() < 0.3:
            target = self.rng.choice(held[-2:])
            lane["holds"] = {"device": target["device"], "seq": target["seq"]}
        self.say(
            "count",
            n=self.rng.choice([1, 1, 1, 7, 150]),
            how=self.rng.choice(["tap", "weigh", "hand"]),
            **lane,
        )

    def take_stock(self) -> None:
        """Found less, or more, than the log said: of no sitting."""
        n = self.rng.choice([-40, -3, 2, 60])
        self.say("count", n=n, how="stocktake", found=self.rng.randrange(500), **self.lane())

    def scrap(self) -> None:
        self.say(
            "scrap",
            n=self.rng.randint(1, 4),
            **(self.sitting() if self.rng.random() < 0.5 else self.lane()),
        )

    def undo(self) -> None:
        """Often the same target twice, from two devices; sometimes one nobody has seen."""
        counted = [c for c in self.log if c["kind"] in ("count", "scrap") and "undoes" not in c]
        if not counted:
            return
        target = self.rng.choice(counted[-4:])
        key = {
            "device": target["device"],
            "seq": target["seq"] + (1000 if self.rng.random() < 0.05 else 0),
        }
        how = {"how": target["how"]} if target.get("how") in ("correct", "stocktake") else {}
        self.say(
            target["kind"],
            piece=target["piece"],
            step=target["step"],
            n=-target["n"],
            undoes=key,
            **how,
        )

    def clock(self) -> None:
        event = self.rng.choice(["start", "start", "pause", "go", "stop", "stop"])
        fields: dict[str, Any] = {"event": event, **self.sitting()}
        if self.rng.random() < 0.3:
            fields["from_ms"] = START_MS + self.rng.randrange(0, 6 * 3600_000, 1000)
        self.say("sitting", **fields)

    def trim(self) -> None:
        if self.rng.random() < 0.15:
            self.say("sitting", event="trim", minutes=self.rng.randrange(0, 200), **self.sitting())
            return
        a = START_MS + self.rng.randrange(0, 5 * 3600_000, 1000)
        span = self.rng.randrange(60_000, 2 * 3600_000, 1000)
        keep = self.rng.choice([0, 5, span // 60_000, 500])
        self.say(
            "sitting", event="trim", from_ms=a, to_ms=a + span, keep_min=keep, **self.sitting()
        )

    def correct(self) -> None:
        """One field of a sitting put right, or several at once; some stamps are equal, some are
        missing.
        """
        sitting = self.sitting()
        said = {
            "from_ms": START_MS - self.rng.randrange(0, 40 * 86_400_000, 1000),
            "to_step": self.rng.choice(STEPS),
            "to_piece": self.rng.choice(PIECES),
            "deleted": self.rng.random() < 0.5,
            "uncounted": self.rng.random() < 0.5,
        }
        fields: dict[str, Any] = {
            name: said[name] for name in self.rng.sample(sorted(said), self.rng.randint(1, 2))
        }
        if self.rng.random() < 0.8:
            fields["stamp"] = [START_MS + self.rng.randrange(3), self.rng.randrange(2)]
        self.say("sitting", event="correct", **fields, **sitting)

    def more_or_fewer(self) -> None:
        self.say("count", how="correct", n=self.rng.choice([-3, -1, 2, 40]), **self.sitting())

    def set(self) -> None:
        stamp = [START_MS + self.rng.randrange(4), self.rng.randrange(3)]
        value: Any = self.rng.choice([1, 2.5, "wide", None, True, ["a", 1], {"b": 2}])
        field = self.rng.choice(["name", "width_mm", "deleted"])
        self.say(
            "set",
            thing="panel",
            id=self.rng.choice(["p1", "p2"]),
            field=field,
            value=value,
            stamp=stamp,
        )

    def hold(self) -> None:
        self.say("hold", n=1, why="bounce", **self.lane())


def random_log(rng: random.Random, length: int) -> list[Change]:
    bench = Bench(rng)
    doings = (
        [bench.count] * 6
        + [bench.undo] * 2
        + [bench.clock] * 5
        + [bench.trim, bench.correct] * 2
        + [bench.more_or_fewer]
        + [bench.scrap, bench.set, bench.set, bench.hold, bench.take_stock]
    )
    for _ in range(length):
        rng.choice(doings)()
    return bench.log


def disordered(rng: random.Random, log: list[Change]) -> list[Change]:
    """Any order, a quarter of it said again."""
    out = log + rng.sample(log, len(log) // 4)
    rng.shuffle(out)
    return out


def corrected(log: list[Change], sitting: str | None, field: str) -> Any:
    """What the latest correction of a sitting says of a field."""
    said = [
        c for c in log if c.get("event") == "correct" and c["sitting"] == sitting and field in c
    ]
    rank = lambda c: (*c.get("stamp", [c["at"], 0]), c["device"], c["seq"])  # noqa: E731
    return max(said, key=rank)[field] if said else None


def by_rule(log: list[Change]) -> dict[tuple[str, str, str, str], int]:
    """Each lane's sum straight from the rule, without any fold."""
    undone = {(c["undoes"]["device"], c["undoes"]["seq"]) for c in log if "undoes" in c}
    out: dict[tuple[str, str, str, str], int] = {}
    answered: set[tuple[str, int]] = set()
    for c in sorted(log, key=lambda c: (c["device"], c["seq"])):
        if (
            c["kind"] in ("count", "scrap")
            and "undoes" not in c
            and (c["device"], c["seq"]) not in undone
        ):
            if "holds" in c:
                hold = (c["holds"]["device"], c["holds"]["seq"])
                if hold in answered:
                    continue
                answered.add(hold)
            to = {
                name: corrected(log, c.get("sitting"), name)
                for name in ("to_piece", "to_step", "uncounted")
            }
            piece, step = to["to_piece"] or c["piece"], to["to_step"] or c["step"]
            lane = (piece, step, c.get("panel", "") if piece == c["piece"] else "", c["kind"])
            out[lane] = out.get(lane, 0) + (0 if to["uncounted"] else c["n"])
    return {lane: n for lane, n in out.items() if n}


def totals(folded: dict[str, Any]) -> dict[tuple[str, str, str, str], int]:
    rows = [
        (r, kind, r[what])
        for r in folded["totals"]
        for kind, what in (("count", "done"), ("scrap", "spoiled"))
    ]
    return {(r["piece"], r["step"], r.get("panel") or "", kind): n for r, kind, n in rows if n}


def stocktakes(folded: dict[str, Any]) -> dict[tuple[str, str, str], int]:
    found = {
        (r["piece"], r["step"], r.get("panel") or ""): r.get("stocktake") or 0
        for r in folded["totals"]
    }
    return {row: n for row, n in found.items() if n}


def sittings(folded: dict[str, Any]) -> dict[str, tuple[Any, ...]]:
    names = ("piece", "step", "date", "start_min", "items", "untimed", "open")
    return {s["sitting"]: tuple(s[n] for n in names) for s in folded["sittings"]}


def things(folded: dict[str, Any]) -> dict[tuple[str, str], Any]:
    return {(t["thing"], t["id"]): t["fields"] for t in folded["things"]}


def random_logs() -> list[list[Change]]:
    rng = random.Random(20261125)
    return [random_log(rng, rng.randint(1, 90)) for _ in range(200)]


def test_page_and_engine_fold_any_log_alike(modules: Modules) -> None:
    rng = random.Random(7)
    logs = random_logs()
    for log, there in zip(
        logs, modules.evaluate(FOLD_ALL, [disordered(rng, log) for log in logs]), strict=True
    ):
        here = fold(log)
        assert here["refused"] == []
        assert totals(there) == totals(here) == by_rule(log)
        assert stocktakes(there) == stocktakes(here)
        assert sittings(there) == sittings(here)
        minutes = {s["sitting"]: s["minutes"] for s in here["sittings"]}
        assert {s["sitting"]: s["minutes"] for s in there["sittings"]} == pytest.approx(
            minutes, rel=1e-9
        )
        assert things(there) == things(here)
        assert sorted(map(tuple, there["holds"])) == [
            (h["device"], h["seq"]) for h in here["holds"]
        ]


def twice(log: list[Change]) -> int:
    """How many counts answer a hold that another one answers too."""
    answers = [(c["holds"]["device"], c["holds"]["seq"]) for c in log if "holds" in c]
    return len(answers) - len(set(answers))


def test_the_random_logs_are_worth_folding() -> None:
    """Undos, trims by hand, corrections, lost values and open sittings must all occur, or the
    agreement says little.
    """
    logs = random_logs()
    folded = [fold(log) for log in logs]
    assert sum("undoes" in c for log in logs for c in log) > 500
    assert sum(twice(log) for log in logs) > 100
    assert sum(len(stocktakes(f)) for f in folded) > 50
    assert sum(c.get("event") == "trim" and "minutes" in c for log in logs for c in log) > 50
    assert sum(c.get("event") == "correct" for log in logs for c in log) > 200
    assert sum(bool(corrected(log, f"s{n}", "uncounted")) for log in logs for n in range(6)) > 50
    assert sum(c.get("how") == "correct" and c["n"] < 0 for log in logs for c in log) > 100
    assert sum(len(t["lost"]) for f in folded for t in f["things"]) > 200
    assert sum(s["open"] for f in folded for s in f["sittings"]) > 100


@pytest.mark.parametrize(
    ("first", "second", "stands_open"),
    [
        (("a", 1, "stop"), ("b", 1, "start"), True),
        (("a", 1, "start"), ("b", 1, "stop"), False),
        (("a", 9, "stop"), ("b", 1, "start"), True),  # the device goes before the number
        (("a", 9, "start"), ("b", 1, "stop"), False),
        (("a", 1, "start"), ("a", 2, "stop"), False),
        (("a", 1, "stop"), ("a", 2, "start"), True),
    ],
)
def test_events_of_one_moment_go_by_device_then_number(
    modules: Modules, first: Any, second: Any, stands_open: bool
) -> None:
    lane = {"kind": "sitting", "sitting": "s", "piece": "coif", "step": "close"}
    log = [
        {"device": device, "seq": seq, "at": START_MS, "tz": 0, "v": 1, "event": event, **lane}
        for device, seq, event in (first, second)
    ]
    for there in modules.evaluate(FOLD_ALL, [log, log[::-1]]):
        assert [s["open"] for s in there["sittings"]] == [stands_open]
    assert [s["open"] for s in fold(log)["sittings"]] == [stands_open]
