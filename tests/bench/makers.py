"""Invented makers with known endings, for the judge: seeded, standard library only, no forecaster
in sight.

This world is made of habits, not of hours: a maker has favourite evenings, a usual length of
sitting, lazy and busy seasons, a trade learned to some degree, and guesses that lean one way.
Every figure here is an assumption (common sense, no published source); only ratios between two
ways of forecasting on the same makers mean anything.
"""

from __future__ import annotations

import math
import random
from datetime import date

# step, minutes an item of a middling maker, items for each 100 rings, counted in lots of
TRADE = (
    ("wind", 7.0, 0.6, 1),
    ("cut", 0.06, 100.0, 100),
    ("flatten", 0.08, 60.0, 40),
    ("pierce", 0.3, 60.0, 12),
    ("close", 0.5, 60.0, 1),
    ("unit", 3.0, 18.0, 1),
    ("unit_join", 1.2, 18.0, 1),
    ("panel_join", 2.0, 4.0, 1),
)
SHARES = (0.06, 0.15, 0.35, 0.6, 0.85)  # of all the work, where a forecast is asked for
MOST_DAYS = 5000
AGAIN = 0.4  # chance of a second sitting on a day at the bench


class Maker:
    """One maker at work, day by day; `wild` is 1 for most, 0.4 for a steady one, 2 for a wild one."""

    def __init__(self, seed: int, wild: float = 1.0) -> None:
        r = self.r = random.Random(9000000 + seed)
        self.wild = wild
        hand, hope = r.gauss(0, 0.3), r.gauss(-0.05, 0.3)
        self.true = [m * math.exp(hand + r.gauss(0, 0.3)) for _, m, _, _ in TRADE]
        self.guess = [t * math.exp(hope + r.gauss(0, 0.33)) for t in self.true]
        self.curve = math.log2(r.triangular(0.82, 1.0, 0.93)) * min(1.0, wild)
        past = 60 * math.exp(r.uniform(math.log(2), math.log(200)))
        self.past = [past * r.uniform(0.4, 1.8) / t for t in self.true]
        self.noise, self.swing = wild * r.uniform(0.1, 0.28), wild * r.uniform(0.02, 0.12)
        self.days = [r.random() ** 1.5 if d < 5 else r.random() ** 0.6 for d in range(7)]
        self.length = r.uniform(50, 150)
        self.often = r.uniform(0.55, 1.0)
        self.season = self.mood = 0.0
        self.away = 0
        self.push = r.choice((1.0, 1.0, 1.2, 1.4))
        self.day = date(2020, 1, 6).toordinal() + r.randrange(700)
        self.began = self.day + 1
        self.sittings: list[tuple[int, int, int, int, float, int]] = []
        self.made = [0.0] * len(TRADE)
        self.pieces: list[dict] = []
        for _ in range(r.choice((1, 1, 2, 3))):
            self.pieces.append(self._piece())
        self.in_order = r.random() < 0.5
        self.week = 7 * self._usual() * math.exp(r.gauss(0.08, 0.33))

    def _usual(self) -> float:
        """Hours of an average day."""
        return max(
            0.1,
            sum(min(0.9, d * self.often) for d in self.days) / 7 * (1 + AGAIN) * self.length / 60,
        )

    def _piece(self) -> dict:
        rings = int(math.exp(self.r.gauss(math.log(2500), 0.8))) + 300
        need = [max(1, math.ceil(rings * k / 100)) for _, _, k, _ in TRADE]
        hours = sum(n * t for n, t in zip(need, self.true, strict=True)) / 60
        days = hours / self._usual() * math.exp(self.r.gauss(0.1, 0.4))
        last = self.pieces[-1]["due"] if self.pieces else self.day
        lots = self.r.choice((1, 1, 2, 4, 8))
        jobs = [[s, max(1, n // lots)] for _ in range(lots) for s, n in enumerate(need)]
        for s, n in enumerate(need):
            jobs[-len(need) + s][1] = max(1, n - (lots - 1) * max(1, n // lots))
        return {
            "jobs": jobs,
            "at": 0,
            "part": 0.0,
            "shown": 0,
            "hours": 0.0,
            "end": None,
            "due": int(last + days) + 1,
        }

    def open(self) -> list[int]:
        return [i for i, p in enumerate(self.pieces) if p["end"] is None]

    def to_go(self, i: int) -> list[int]:
        out = [0] * len(TRADE)
        p = self.pieces[i]
        for k in range(p["at"], len(p["jobs"])):
            s, n = p["jobs"][k]
            out[s] += n - (p["shown"] if k == p["at"] else 0)
        return out

    def hours(self) -> float:
        return sum(p["hours"] for p in self.pieces)

    def live(self) -> None:
        """One day."""
        r = self.r
        self.day += 1
        self.season = 0.985 * self.season + 0.17 * r.gauss(0, 0.2 * self.wild)
        self.mood = 0.96 * self.mood + 0.28 * r.gauss(0, self.swing)
        if self.away > 0:
            self.away -= 1
            return
        if r.random() < 0.012 * self.wild:
            self.away = r.randrange(3, 20)
        keen = math.exp(self.season)
        near = self.pieces[self.open()[0]]["due"] - self.day
        keen *= self.push if 0 <= near <= 20 else 1.0
        start, day_noise = r.choice((540, 780, 1140)), r.gauss(0, 0.3 * self.noise)
        if r.random() >= min(0.95, self.days[(self.day - 1) % 7] * self.often * keen):
            return
        for _ in range(2 if r.random() < AGAIN else 1):
            if self.open():
                minutes = max(10.0, r.gauss(self.length, 0.35 * self.length))
                start = self._sit(start, minutes, day_noise) + r.randrange(4, 25)

    def _sit(self, start: int, minutes: float, day_noise: float) -> int:
        """One stretch: as many jobs of one piece as fit. Returns when it ended."""
        opened = self.open()
        i = opened[0] if self.in_order else opened[self.day % len(opened)]
        p = self.pieces[i]
        while minutes > 3 and p["end"] is None:
            s, want = p["jobs"][p["at"]]
            pace = self.true[s] * (1 + self.made[s] / self.past[s]) ** self.curve
            pace *= math.exp(self.mood + day_noise + self.r.gauss(0, self.noise))
            used = min(minutes, (want - p["part"]) * pace)
            p["part"] += used / pace
            self.made[s] += used / pace
            p["hours"] += used / 60
            self._write(i, s, start, used, want)
            start, minutes = start + int(used) + 2, minutes - used
        return start

    def _write(self, i: int, s: int, start: int, used: float, want: int) -> None:
        p, lot = self.pieces[i], TRADE[s][3]
        done = want if p["part"] >= want - 1e-6 else int(p["part"] // lot) * lot
        items, minutes = done - p["shown"], max(1.0, used)
        slip = self.r.random() / self.wild if self.wild else 1.0
        if slip < 0.008:
            minutes *= self.r.uniform(2, 5)
        elif slip < 0.016:
            items = items // 3
        self.sittings.append((s, i, self.day, start, round(minutes, 1), items))
        p["shown"] = done
        if done >= want:
            p["at"], p["part"], p["shown"] = p["at"] + 1, 0.0, 0
            p["end"] = self.day if p["at"] == len(p["jobs"]) else None


def _live_on(m: Maker, hours: float) -> None:
    for _ in range(MOST_DAYS):
        if not m.open() or m.hours() >= hours:
            return
        m.live()


def _question(m: Maker, levels: list[float], trials: bool) -> dict:
    names = [t[0] for t in TRADE]
    steps = [
        {"step": t[0], "guess_min_per_item": g, "lump": t[3]}
        for t, g in zip(TRADE, m.guess, strict=True)
    ]
    sittings = [
        {
            "step": names[s],
            "piece": str(i),
            "date": _iso(d),
            "start_min": a,
            "minutes": t,
            "items": n,
        }
        for s, i, d, a, t, n in m.sittings
    ]
    pieces = [
        {
            "id": str(i),
            "to_go": dict(zip(names, m.to_go(i), strict=True)),
            "due": _iso(m.pieces[i]["due"]),
        }
        for i in m.open()
    ]
    q = {
        "ask": "forecast",
        "today": _iso(m.day),
        "record_from": _iso(m.began),
        "steps": steps,
        "sittings": sittings,
    }
    q.update(
        {"week_hours": m.week, "queue": "in_order" if m.in_order else "in_turns", "pieces": pieces}
    )
    q["levels"] = levels
    if trials:
        r = random.Random(m.day)
        timed = [10 / (t * math.exp(r.gauss(0, m.noise))) for t in m.true]
        q["trials"] = [
            {"step": n, "minutes": 10, "items": k} for n, k in zip(names, timed, strict=True)
        ]
    return q


def _iso(day: int) -> str:
    return date.fromordinal(day).isoformat()


def cases(seed: int, wild: float, levels: list[float], trials: bool = False) -> list[dict]:
    """Questions along one maker's work, each with what came: {piece: (hours left, days left)}."""
    end = Maker(seed, wild)
    _live_on(end, math.inf)
    out = []
    m = Maker(seed, wild)
    for share in SHARES:
        _live_on(m, share * end.hours())
        if not m.open() or end.open():
            continue
        came = {
            str(i): (end.pieces[i]["hours"] - m.pieces[i]["hours"], end.pieces[i]["end"] - m.day)
            for i in m.open()
        }
        out.append({"maker": seed, "question": _question(m, levels, trials), "came": came})
    return out
