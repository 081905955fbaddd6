"""How good are the forecasts? Prints the engine beside the spreadsheet way on invented makers.

    python tests/bench/judge.py [--makers 200] [--first 1] [--world all|usual|steady|wild] [--trial]
    [--due]

The spreadsheet way: items left x mean minutes so far (the guess where there are none), laid over
the mean hours a week so far; once bare, once with the best constant spread. Loss is the pinball
loss over 5, 10, ... 95 % (its double is the continuous ranked probability score: Gneiting and
Raftery, Strictly Proper Scoring Rules, 2007), averaged over makers, as a ratio to the bare way.

Below it the chances of the promised day by fifths, said beside come true: the bounds are 5 points
in the usual world
and 10 in the others, and nowhere more than 5 too hopeful. `--due` prints these alone, at less cost.
"""

from __future__ import annotations

import argparse
import json
import math
import sys
from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path
from statistics import NormalDist

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from shared.ask import answer
from tests.bench import makers

LEVELS = [0.025, *[round(0.05 * k, 2) for k in range(1, 20)], 0.975]
SCORED = range(1, 20)  # places of 5, 10 .. 95 % in LEVELS
BOUNDS = {"usual": 5.0, "steady": 10.0, "wild": 10.0}  # points; above 5 only towards the gloomy
WORLDS = {"usual": 1.0, "steady": 0.4, "wild": 2.0}
SPANS = {50: (0.25, 0.75), 80: (0.1, 0.9), 95: (0.025, 0.975)}
SPREADS = (
    0.2,
    0.55,
)  # of ln hours and ln days, the best for the spreadsheet way on makers 5001-5100

Forecasts = dict[str, dict]


def engine(q: dict) -> Forecasts:
    said = json.loads(answer(json.dumps(q)))
    if not said["ok"]:
        raise SystemExit(f"refused: {said['error']}")
    return {
        p["id"]: {"hours": p["hours_at"], "days": p["days_at"], "chance": p["p_due"]}
        for p in said["pieces"]
    }


def _ordinal(text: str) -> int:
    return date.fromisoformat(text).toordinal()


def spreadsheet(q: dict, spreads: tuple[float, float] = (0.0, 0.0)) -> Forecasts:
    rate = {}
    for s in q["steps"]:
        mine = [x for x in q["sittings"] if x["step"] == s["step"]]
        items, minutes = sum(x["items"] for x in mine), sum(x["minutes"] for x in mine)
        rate[s["step"]] = minutes / items if items and minutes else s["guess_min_per_item"]
    today = _ordinal(q["today"])
    days = max(7, today - _ordinal(q["record_from"]) + 1)
    a_day = max(0.01, sum(x["minutes"] for x in q["sittings"]) / 60 / days)
    left = [sum(n * rate[s] for s, n in p["to_go"].items()) / 60 for p in q["pieces"]]
    out = {}
    for i, p in enumerate(q["pieces"]):
        queue = (
            sum(left[: i + 1]) if q["queue"] == "in_order" else sum(min(x, left[i]) for x in left)
        )
        out[p["id"]] = _spread(
            left[i], max(1.0, queue / a_day), _ordinal(p["due"]) - today, spreads
        )
    return out


def _spread(hours: float, days: float, due: int, spreads: tuple[float, float]) -> dict:
    z = [NormalDist().inv_cdf(p) for p in LEVELS]
    chance = float(due >= days)
    if spreads[1] and due > 0:
        chance = NormalDist().cdf(math.log(due / days) / spreads[1])
    hours_at = [hours * math.exp(spreads[0] * x) for x in z]
    return {
        "hours": hours_at,
        "days": [days * math.exp(spreads[1] * x) for x in z],
        "chance": chance,
    }


def pinball(quantiles: list[float], came: float) -> float:
    total = 0.0
    for k in SCORED:
        miss = came - quantiles[k]
        total += max(LEVELS[k] * miss, (LEVELS[k] - 1) * miss)
    return total / len(SCORED)


def score(f: dict, hours: float, days: int, due: int) -> dict[str, float]:
    ln = [math.log(max(h, 0.05)) for h in f["hours"]]
    ln_days = [math.log1p(d) for d in f["days"]]
    out = {
        "ln hours": pinball(ln, math.log(max(hours, 0.05))),
        "days": pinball(f["days"], days),
        "ln days": pinball(ln_days, math.log1p(days)),
        "bias": ln[len(ln) // 2] - math.log(max(hours, 0.05)),
    }
    for name, (a, b) in SPANS.items():
        low, high = LEVELS.index(a), LEVELS.index(b)
        out[f"hours {name}"] = float(f["hours"][low] <= hours <= f["hours"][high])
        out[f"days {name}"] = float(f["days"][low] <= days <= f["days"][high])
    if due > 0:
        out["said"], out["kept"] = f["chance"], float(days <= due)
    return out


def scores(
    cases: Iterable[dict], way: Callable[[dict], Forecasts]
) -> list[tuple[int, dict[str, float]]]:
    out = []
    for c in cases:
        f, q = way(c["question"]), c["question"]
        for p in q["pieces"]:
            hours, days = c["came"][p["id"]]
            out.append(
                (
                    c["maker"],
                    score(f[p["id"]], hours, days, _ordinal(p["due"]) - _ordinal(q["today"])),
                )
            )
    return out


def promised(cases: Iterable[dict]) -> list[tuple[int, dict[str, float]]]:
    """The engine's chances of the promised days, and whether they were kept."""
    out = []
    for c in cases:
        f, q = engine(c["question"]), c["question"]
        for p in q["pieces"]:
            if _ordinal(p["due"]) > _ordinal(q["today"]):
                kept = _ordinal(q["today"]) + c["came"][p["id"]][1] <= _ordinal(p["due"])
                out.append((c["maker"], {"said": f[p["id"]]["chance"], "kept": float(kept)}))
    return out


def mean(rows: list[tuple[int, dict[str, float]]], key: str) -> float:
    """Each maker counts once."""
    by: dict[int, list[float]] = {}
    for maker, s in rows:
        if key in s:
            by.setdefault(maker, []).append(s[key])
    return sum(sum(v) / len(v) for v in by.values()) / max(1, len(by))


def promises(rows: list[tuple[int, dict[str, float]]]) -> list[tuple[float, float, int]]:
    """Due-date chances by fifths: said, came true, how many."""
    fifths: list[list[dict[str, float]]] = [[], [], [], [], []]
    for _, s in rows:
        if "said" in s:
            fifths[min(4, int(5 * s["said"]))].append(s)
    return [
        (
            sum(s["said"] for s in f) / max(1, len(f)),
            sum(s["kept"] for s in f) / max(1, len(f)),
            len(f),
        )
        for f in fifths
    ]


def cases(seeds: Iterable[int], world: str, levels: list[float], trials: bool) -> Iterable[dict]:
    return (c for seed in seeds for c in makers.cases(seed, WORLDS[world], levels, trials))


def judge(seeds: Iterable[int], world: str = "usual", trials: bool = False) -> dict[str, list]:
    known = list(cases(seeds, world, LEVELS, trials))
    return {
        "spreadsheet": scores(known, spreadsheet),
        "with spread": scores(known, lambda q: spreadsheet(q, SPREADS)),
        "ringwright": scores(known, engine),
    }


def table(out: dict[str, list]) -> list[str]:
    base = out["spreadsheet"]
    lines = [
        f"{'':12}{'ln hours':>9}{'days':>7}{'ln days':>9}   hours in 50/80/95 %   days in 50/80/95"
        " %    bias"
    ]
    for name, rows in out.items():
        ratios = [mean(rows, k) / mean(base, k) for k in ("ln hours", "days", "ln days")]
        spans = [
            "/".join(f"{100 * mean(rows, f'{x} {n}'):.0f}" for n in SPANS)
            for x in ("hours", "days")
        ]
        start = f"{name:12}{ratios[0]:9.3f}{ratios[1]:7.3f}{ratios[2]:9.3f}   "
        lines.append(start + f"{spans[0]:19}   {spans[1]:18} {mean(rows, 'bias'):+.3f}")
    return lines


def fifths(rows: list[tuple[int, dict[str, float]]], bound: float = BOUNDS["usual"]) -> list[str]:
    """The chances of the promised day, a line a fifth; a mark where said and come true are too far
    apart.
    """
    lines = ["due date   said  came true  off  forecasts"]
    for k, (said, came, n) in enumerate(promises(rows)):
        off = 100 * (came - said)
        mark = "" if -BOUNDS["usual"] <= off <= bound else "  out of bounds"
        lines.append(
            f"{20 * k:3}-{20 * k + 20:3} %  {100 * said:5.1f}      {100 * came:5.1f} {off:+5.1f} "
            f" {n}{mark}"
        )
    return lines


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--makers", type=int, default=200)
    parser.add_argument("--first", type=int, default=1)
    parser.add_argument("--world", choices=["all", *sorted(WORLDS)], default="all")
    parser.add_argument(
        "--trial", action="store_true", help="with ten timed minutes of each step at the start"
    )
    parser.add_argument("--due", action="store_true", help="only the chances of the promised day")
    a = parser.parse_args()
    seeds = range(a.first, a.first + a.makers)
    for world in ["usual", "wild", "steady"] if a.world == "all" else [a.world]:
        if a.due:
            lines, rows = [], promised(cases(seeds, world, [0.5], a.trial))
        else:
            out = judge(seeds, world, a.trial)
            lines, rows = table(out), out["ringwright"]
        print(f"{world} world, makers {a.first}-{a.first + a.makers - 1}, {len(rows)} forecasts")
        print("\n".join([*lines, *fifths(rows, BOUNDS[world])]), flush=True)


if __name__ == "__main__":
    main()
