"""What is each constant and mechanism of the forecast worth? Prints the judge's scores without it.

    python tests/bench/ablation.py [--makers 40] [--first 240001] [--world all|usual|steady|wild]
    [--only PART_OF_NAME] [--processes 2]

On every world of `makers.py` the engine as it is comes first, then the same engine with one thing
taken out: a constant set to where it does nothing, a function replaced by one that does nothing.
Ratios are those of `judge.py`, differences to the whole engine in thousandths with the standard
error of a mean over makers (the same makers with and without, so that most of the chance cancels).
A mark stands where the rest is worse by .005 in a ratio and twice its standard error, or by two
points in a span's coverage, or a chance of the due date is more than 5 points too hopeful where the
whole engine's is not. The last lines name what no world marks, each with the tests that fail without
it: what only counts where the judge never looks (a real diary, a step without a guess, an absurd
count, an evening's work) is claimed there. What neither a world nor a test holds can go.
"""

from __future__ import annotations

import argparse
import math
import multiprocessing
import os
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from types import ModuleType

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import pytest

from shared.forecast import (
    aggregate,
    calendar_model,
    diagnostics,
    fit,
    forecast,
    observations,
    pace_model,
    remaining_hours,
    summary,
)
from tests.bench import judge

Rows = list[tuple[int, dict[str, float]]]
Changes = dict[str, object]

MODULES: list[ModuleType] = [
    aggregate, calendar_model, diagnostics, fit, forecast, observations, pace_model,
    remaining_hours, summary,
]  # fmt: skip
RATIOS = ("ln hours", "days", "ln days")
WORSE = 0.005  # of a ratio
POINTS = 2.0  # of a span's coverage
NOTHING = 1e-9  # where 0 cannot be divided by
WHOLE = "the whole engine"
HEADING = "hours, days in 50/80/95 %  due chances said>came true  worse in"

# The tests of what is claimed of a forecast; not the table of cases, which any change alters.
CLAIMS = [
    str(Path(__file__).resolve().parents[1] / part)
    for part in ("engine/forecast", "outside/test_diary.py")
]
# name -> what is set to what; a name of a module's is changed in every module that brings it in
WITHOUT: dict[str, Changes] = {
    # observations
    "ENOUGH_MIN: rows of any length": {"ENOUGH_MIN": 0.1},
    "EDGES_MIN": {"EDGES_MIN": 0.0},
    "ITEM_SCATTER": {"ITEM_SCATTER": NOTHING},
    "LUMP_SCATTER": {"LUMP_SCATTER": 0.0},
    "MOST_TIMES_GUESS": {"MOST_TIMES_GUESS": 1e9},
    "shorten_overlaps": {"shorten_overlaps": lambda sittings: None},
    # aggregate
    "slips: every row is sound": {"sound_chance": lambda r, v: 1.0},
    "SLIP: as often too short": {"SLIP": 0.0},
    "SLIP_SD: as wide as two": {"SLIP_SD": 1.2},
    "SLIP_SHARE: half of it": {"SLIP_SHARE": 0.015},
    "merge_old_rows": {"merge_old_rows": lambda rows, today: rows},
    # pace_model
    "GUESS_ALL: guesses err apart": {"GUESS_ALL": NOTHING, "GUESS_OWN": 0.245},
    "GUESS_OWN: twice": {"GUESS_OWN": 0.25},
    "LEARN: nobody learns": {"LEARN": (0.0, NOTHING)},
    "LEARN: mean 0": {"LEARN": (0.0, 0.02)},
    "PRACTICE_H: 4 h": {"PRACTICE_H": dict.fromkeys(pace_model.PRACTICE_H, 4.0)},
    "PRACTICE_H: 100 h": {"PRACTICE_H": dict.fromkeys(pace_model.PRACTICE_H, 100.0)},
    "FORM": {"FORM": 1e-4},
    "FORM_DAYS: form never fades": {"FORM_DAYS": 1000.0},
    "variance_ratio: form apart from sittings": {"variance_ratio": lambda s2: 1.0},
    # fit
    "TURNS: one": {"TURNS": 1},
    "SPREAD_ROWS": {"SPREAD_ROWS": NOTHING},
    "FORM_BLOCKS": {"FORM_BLOCKS": NOTHING},
    "LEAST_S2": {"LEAST_S2": NOTHING},
    "FIRST_V: first weights 1": {"FIRST_V": 1e9},
    "BLOCK_ENDS: one": {"BLOCK_ENDS": (350,), "BLOCK_OF": [0] * 350},
    # remaining_hours
    "WIDER": {"WIDER": 1.0},
    "LOWER: the median": {"LOWER": 0.5},
    # calendar_model
    "HALF_LIFE: nothing fades": {"FADES": [1.0] * calendar_model.LOOK_BACK},
    "CV2_WEEKS": {"CV2_WEEKS": NOTHING},
    "DRIFT": {"DRIFT": 0.0},
    "HOPE": {"HOPE": 0.0},
    "HOPE_SD: the statement counts for nothing": {"HOPE_SD": 1000.0},
    "SHAPE_WEEKS: all weekdays alike": {"SHAPE_WEEKS": 1e9},
    "SHAPE_WEEKS": {"SHAPE_WEEKS": NOTHING},
    "gaps: none": {"find_gaps": lambda days, hours, wait: [], "IDLE": 0.0, "GAP_CV2": 0.0},
    "find_gaps": {"find_gaps": lambda days, hours, wait: []},
    "GAP_WAITS": {"GAP_WAITS": 0.0},
    "IDLE": {"IDLE": 0.0},
    "usual_idle: gaps come alike to all": {"usual_idle": lambda varied: calendar_model.IDLE},
    "GAP_CV2": {"GAP_CV2": 0.0},
    "IDLE_DAYS": {"IDLE_DAYS": 1.0},
    "half_wait": {"half_wait": lambda wait: 0.0},
    "changeability: all weeks alike": {"changeability": lambda varied: 1.0},
    "BEND: ln-normal": {"BEND": 1e-6},
    "BEND: normal": {"BEND": 1.0},
    "SHORT_WEEKS": {"SHORT_WEEKS": 0.0},
    "MOST_DAY_H": {"MOST_DAY_H": 1e9},
}


@contextmanager
def changed(changes: Changes) -> Iterator[None]:
    """The engine with these names set to other values."""
    before: list[tuple[ModuleType, str, object]] = []
    for name in changes:
        found = [m for m in MODULES if hasattr(m, name)]
        if not found:
            raise SystemExit(f"{name} is no name of the forecast's")
        before += [(m, name, getattr(m, name)) for m in found]
    try:
        for module, name, _ in before:
            setattr(module, name, changes[name])
        yield
    finally:
        for module, name, value in before:
            setattr(module, name, value)


def run(job: tuple[str, int, int, list[str]]) -> dict[str, Rows]:
    """The scores of makers first .. first + count - 1 by way: spreadsheet, whole, each without."""
    world, first, count, names = job
    cases = list(judge.cases(range(first, first + count), world, judge.LEVELS, trials=False))
    out = {"spreadsheet": judge.scores(cases, judge.spreadsheet)}
    # hours a week for a due date are not judged, and take a third of the time
    unjudged: Changes = {"_stated_hours_for": lambda load, of_day, days: None}
    for name in [WHOLE, *names]:
        with changed({**unjudged, **WITHOUT.get(name, {})}):
            out[name] = judge.scores(cases, judge.engine)
    return out


def _by_maker(rows: Rows, key: str) -> dict[int, float]:
    by: dict[int, list[float]] = {}
    for maker, s in rows:
        by.setdefault(maker, []).append(s[key])
    return {maker: sum(v) / len(v) for maker, v in by.items()}


def difference(rows: Rows, whole: Rows, base: Rows, key: str) -> tuple[float, float]:
    """Of two ratios to the spreadsheet way, with the standard error of the mean over makers."""
    a, b = _by_maker(rows, key), _by_maker(whole, key)
    each = [a[m] - b[m] for m in sorted(a)]
    n, size = len(each), judge.mean(base, key)
    mean = sum(each) / n
    square = sum((e - mean) ** 2 for e in each) / max(1, n - 1)
    return mean / size, math.sqrt(square / n) / size


def spans(rows: Rows) -> dict[str, float]:
    """Coverage in percent of each span of hours and days."""
    keys = [f"{of} {n}" for of in ("hours", "days") for n in judge.SPANS]
    return {key: 100 * judge.mean(rows, key) for key in keys}


def too_hopeful(rows: Rows) -> list[bool]:
    return [100 * (said - came) > 5 for said, came, _ in judge.promises(rows)]


def marks(out: dict[str, Rows], name: str) -> list[str]:
    """In what the engine without it is worse."""
    rows, whole = out[name], out[WHOLE]
    found = []
    for key in RATIOS:
        mean, error = difference(rows, whole, out["spreadsheet"], key)
        if mean >= WORSE and mean > 2 * error:
            found.append(key)
    for (key, a), b in zip(spans(rows).items(), spans(whole).values(), strict=True):
        named = float(key.split()[1])
        if abs(a - named) - abs(b - named) >= POINTS:
            found.append(key)
    if any(a and not b for a, b in zip(too_hopeful(rows), too_hopeful(whole), strict=True)):
        found.append("due")
    return found


def line(out: dict[str, Rows], name: str) -> str:
    rows, base = out[name], out["spreadsheet"]
    s = list(spans(rows).values())
    covered = "/".join(f"{v:.0f}" for v in s[:3]) + "  " + "/".join(f"{v:.0f}" for v in s[3:])
    due = " ".join(f"{100 * said:.0f}>{100 * came:.0f}" for said, came, _ in judge.promises(rows))
    if name == WHOLE:
        ratios = "".join(f"{judge.mean(rows, k) / judge.mean(base, k):12.3f}" for k in RATIOS)
        return f"{name:42}{ratios}   {covered}  {due}"
    apart = ""
    for key in RATIOS:
        mean, error = difference(rows, out[WHOLE], base, key)
        apart += f"{1000 * mean:+7.1f}±{1000 * error:<4.1f}"
    return f"{name:42}{apart}   {covered}  {due}  {', '.join(marks(out, name))}"


def collect(
    world: str, a: argparse.Namespace, names: list[str], map_: Callable[..., Iterator]
) -> dict[str, Rows]:
    out: dict[str, Rows] = {}
    last = a.first + a.makers
    jobs = [(world, k, min(5, last - k), names) for k in range(a.first, last, 5)]
    for part in map_(run, jobs):
        for name, rows in part.items():
            out.setdefault(name, []).extend(rows)
    return out


class Failed:
    """A plugin of pytest's: the tests whose own claims failed. That an answer is not as it was, which
    `tests/engine/conftest.py` says behind a test, is no claim about what is right.
    """

    def __init__(self) -> None:
        self.names: list[str] = []

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.when == "call" and report.failed:
            self.names.append(report.nodeid.rpartition("::")[2])


def held_by(name: str) -> list[str]:
    """The tests that fail without it, run in a process of their own."""
    failed = Failed()
    with changed(WITHOUT[name]), open(os.devnull, "w") as nowhere:
        os.dup2(nowhere.fileno(), 1)
        os.dup2(nowhere.fileno(), 2)
        pytest.main(["-p", "no:cacheprovider", *CLAIMS], plugins=[failed])
    return failed.names


def _alone(name: str) -> list[str]:
    with ProcessPoolExecutor(1, multiprocessing.get_context("fork")) as pool:
        return pool.submit(held_by, name).result()


def shown_held(names: list[str], processes: int) -> None:
    with ThreadPoolExecutor(processes) as pool:
        for name, tests in zip(names, pool.map(_alone, names), strict=True):
            print(f"{name:42}{'; '.join(tests) or 'NOTHING HOLDS IT'}", flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--makers", type=int, default=40, help="of each world")
    parser.add_argument("--first", type=int, default=240001)
    parser.add_argument("--world", choices=["all", *sorted(judge.WORLDS)], default="all")
    parser.add_argument("--only", default="", help="what has this in its name")
    parser.add_argument("--held", action="store_true", help="only the tests that hold each")
    parser.add_argument("--processes", type=int, default=2)
    a = parser.parse_args()
    names = [name for name in WITHOUT if a.only in name]
    if a.held:
        shown_held(names, a.processes)
        return
    needed: set[str] = set()
    with ProcessPoolExecutor(a.processes) as pool:
        for world in ["usual", "wild", "steady"] if a.world == "all" else [a.world]:
            out = collect(world, a, names, pool.map)
            print(f"{world} world, makers {a.first}-{a.first + a.makers - 1}")
            print(f"{'':42}{''.join(f'{k:>12}' for k in RATIOS)}   {HEADING}")
            print("\n".join(line(out, name) for name in [WHOLE, *names]), flush=True)
            needed |= {name for name in names if marks(out, name)}
    print("Marked in no world, and the tests that fail without it:")
    shown_held([name for name in names if name not in needed], a.processes)


if __name__ == "__main__":
    main()
