"""Two invented months at the bench, day by day, as changes of one device's log.

What is made next, and from what, is asked of the engine, so that the counts agree with the
plans. The same seed gives the same months; only the dates move with today.
"""

from __future__ import annotations

import random
from datetime import date, datetime, time, timedelta
from typing import Any

import workshop

from shared.ask import reply

Change = dict[str, Any]
DAYS = 62
SEED = 1192
WORTH_MIN = 8
# weekday -> chance of an evening at the bench, minutes from and to, hour of the start
WEEK = [(0.6, 55, 100, 19)] * 5 + [(0.85, 110, 190, 14), (0.3, 60, 110, 10)]
PIECES = [("aventail", 0.72), ("sleeve", 0.18), ("voiders", 0.1)]
# step -> (items a press of the pad counts, 0 = the whole lot at once; largest lot of a sitting)
PRESS = {"wind": (1, 6), "cut": (0, 600), "soften": (0, 600), "flatten": (20, 600), "soften_again": (0, 600),
         "pierce": (10, 400), "close": (5, 160)}  # fmt: skip
SPOILED = {"pierce": 0.012, "close": 0.008, "unit": 0.01}
SOURCE = {
    "soften": "cut",
    "flatten": "soften",
    "soften_again": "flatten",
    "pierce": "soften_again",
    "close": "pierce",
}


class Months:
    """Writes the log; `changes` is all of it, in order."""

    def __init__(self, today: date) -> None:
        self.chance = random.Random(SEED)
        self.today = today
        self.changes: list[Change] = []
        self.journal: dict[str, dict[str, dict[str, int]]] = {piece: {} for piece, _ in PIECES}
        self.sittings: list[dict[str, Any]] = []
        self.plans = {piece: reply(workshop.piece_question(piece)) for piece, _ in PIECES}
        self.own = {step: self.chance.uniform(0.82, 1.25) for step in self._guesses()}

    def _guesses(self) -> dict[str, float]:
        steps = [s for plan in self.plans.values() for s in plan["steps"]]
        return {s["step"]: workshop.GUESSES.get(s["step"], s["guess_min_per_item"]) for s in steps}

    # — the log —
    def say(self, at: datetime, kind: str, **fields: Any) -> Change:
        local = at.astimezone()
        offset = local.utcoffset() or timedelta()
        change = {
            "device": "demo", "seq": len(self.changes) + 1, "at": int(local.timestamp() * 1000),
            "tz": int(offset.total_seconds() // 60), "v": 1, "kind": kind,
        }  # fmt: skip
        self.changes.append(change | fields)
        return self.changes[-1]

    def write_down(self, at: datetime, thing: str, name: str, fields: dict[str, Any]) -> None:
        for field, value in fields.items():
            change = self.say(at, "set", thing=thing, id=name, field=field, value=value)
            change["stamp"] = [change["at"], change["seq"]]

    # — the bench —
    def stand(self, piece: str) -> dict[str, Any]:
        return reply(
            workshop.piece_question(piece) | {"ask": "stand", "journal": self.journal[piece]}
        )

    def lot(self, piece: str, minutes: float) -> tuple[str, int, float]:
        """What the next sitting makes: the step, how many, and the minutes each will take."""
        standing = self.stand(piece)
        rows = {row["step"]: row for row in standing["steps"]}
        asked, wanted = standing["next"]["step"], standing["next"]["n"]
        if asked not in PRESS:
            return self._fitting(asked, wanted, minutes)
        order = list(PRESS)
        lots = []
        for step in reversed(order[: order.index(asked) + 1]):
            n = min(
                rows[step]["to_go"], self._at_hand(piece, step, rows), max(wanted, PRESS[step][1])
            )
            lots.append(self._fitting(step, n, minutes))
        # too small a lot is not worth the fire or the setting up: rather more of a step before it
        worth = [lot for lot in lots if lot[1] * lot[2] > WORTH_MIN]
        return (worth or lots)[0]

    def _fitting(self, step: str, n: int, minutes: float) -> tuple[str, int, float]:
        each = self._guesses()[step] * self.own[step] * self.chance.lognormvariate(0, 0.1)
        return step, max(1, min(n, int(minutes / each))), each

    def _at_hand(self, piece: str, step: str, rows: dict[str, Any]) -> int:
        """How many items the step before has ready for this one."""
        if step == "wind":
            return int(rows[step]["to_go"])
        if step != "cut":
            return int(rows[SOURCE[step]]["in_hand"])
        ring = {"ask": "ring", "ring": workshop.engine_ring(workshop.PIECES[piece]["ring"])}
        return int(
            rows["wind"]["in_hand"] * reply(ring | {"mandrel_length_mm": 260})["rings_per_coil"]
        )

    def day(self, day: date) -> None:
        likely, least, most, hour = WEEK[day.weekday()]
        if self.chance.random() > likely:
            return
        names, weights = zip(*PIECES, strict=True)
        piece = self.chance.choices(names, weights)[0]
        left = self.chance.uniform(least, most)
        now = datetime.combine(
            day, time(hour, self.chance.randrange(50), self.chance.randrange(60))
        )
        while left > 12 and self.stand(piece)["next"]:
            spent = self.sit(piece, now, left)
            left -= spent
            now += timedelta(minutes=spent + self.chance.uniform(1, 4))

    def sit(self, piece: str, start: datetime, minutes: float) -> float:
        """One sitting at one step; returns its minutes."""
        step, n, each = self.lot(piece, minutes)
        name = f"demo-{len(self.sittings) + 1}"
        where = {"sitting": name, "piece": piece, "step": step}
        self.say(start, "sitting", event="start", **where)
        spent = n * each
        pause = self.chance.uniform(5, 12) if spent > 60 else 0.0
        self._press(start, spent, pause, n, where)
        self._spoil(start + timedelta(minutes=spent + pause), n, where)
        self.say(start + timedelta(minutes=spent + pause), "sitting", event="stop", **where)
        row = {
            "step": step,
            "piece": piece,
            "date": start.date().isoformat(),
            "start_min": start.hour * 60 + start.minute,
        }
        self.sittings.append(row | {"minutes": spent, "items": n})
        return spent + pause

    def _press(
        self, start: datetime, spent: float, pause: float, n: int, where: dict[str, str]
    ) -> None:
        """The counts of a sitting, spread over its time, with the pause in its middle."""
        size = PRESS.get(where["step"], (1, 0))[0] or n
        done, paused = 0, pause == 0
        while done < n:
            press = min(size, n - done)
            done += press
            if not paused and done > n / 2:
                half = start + timedelta(minutes=spent * (done - press) / n)
                self.say(half, "sitting", event="pause", **where)
                self.say(half + timedelta(minutes=pause), "sitting", event="go", **where)
                paused = True
            at = start + timedelta(minutes=spent * done / n + (pause if paused else 0))
            how = (
                "tap"
                if (press == size and size < n) or n == 1
                else "weigh"
                if press > 40
                else "hand"
            )
            counted = self.say(at, "count", n=press, how=how, **where)
            if self.chance.random() < 0.012:
                self._twice(at, counted)
        total = self.journal[where["piece"]].setdefault(where["step"], {"done": 0, "spoiled": 0})
        total["done"] += n

    def _twice(self, at: datetime, counted: Change) -> None:
        """A press too many, taken back at once."""
        same = {name: counted[name] for name in ("piece", "step", "sitting", "how", "n")}
        extra = self.say(at, "count", **same)
        back = same | {"n": -counted["n"], "undoes": {"device": "demo", "seq": extra["seq"]}}
        self.say(at + timedelta(seconds=2), "count", **back)

    def _spoil(self, at: datetime, n: int, where: dict[str, str]) -> None:
        bad = sum(self.chance.random() < SPOILED.get(where["step"], 0) for _ in range(n))
        if bad and n > bad:
            self.say(
                at,
                "scrap",
                n=bad,
                why=self.chance.choice(["split at the hole", "rivet sheared"]),
                **where,
            )
            self.journal[where["piece"]][where["step"]]["spoiled"] += bad

    # — what was forecast —
    def foresee(self, day: date) -> None:
        """The forecast as the page would have kept it that evening."""
        answer = reply(self.forecast_question(day))
        at = datetime.combine(day, time(22))
        for piece in answer["pieces"]:
            said = {name: piece[name] for name in ("hours", "finish", "p_due")}
            self.write_down(at, "forecast", f"{piece['id']}:{day.isoformat()}", {"said": said})

    def forecast_question(self, day: date) -> dict[str, Any]:
        guesses = self._guesses()
        pieces = [{"id": piece, "to_go": self.stand(piece)["to_go"]} for piece, _ in PIECES]
        dues = [workshop.due(piece, self.today) for piece, _ in PIECES]
        return {
            "ask": "forecast", "today": day.isoformat(), "week_hours": 7, "queue": "in_order",
            "steps": [{"step": s, "guess_min_per_item": guesses[s], "lump": 1} for s in sorted(guesses)],
            "sittings": self.sittings, "off_days": workshop.off_days(self.today),
            "pieces": [p | ({"due": due} if due else {}) for p, due in zip(pieces, dues, strict=True)],
        }  # fmt: skip


def log_of(today: date) -> list[Change]:
    """All changes of the two months before `today`."""
    months = Months(today)
    first = today - timedelta(days=DAYS)
    for thing, name, fields in workshop.things(today):
        months.write_down(datetime.combine(first, time(9)), thing, name, fields)
    for n in range(DAYS):
        months.day(first + timedelta(days=n))
        if n % 7 == 6:
            months.foresee(first + timedelta(days=n))
    return months.changes
