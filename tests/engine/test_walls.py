"""The walls of the house: the engine's portable rules, and who may bring in whom."""

from __future__ import annotations

import ast
import json
import sys
from pathlib import Path

import pytest

from shared.ask import answer
from shared.log.fold import Log
from tests.engine import portable

ROOT = Path(__file__).parents[2]
FUTURE = "from __future__ import annotations\n"


def test_the_engine_keeps_the_portable_rules():
    assert portable.of_folder(ROOT / "shared") == []


# rule -> source that breaks it
BROKEN = [
    (1, "import os"),
    (1, "import itertools"),
    (1, "from datetime import datetime"),
    (1, "from typing import Any"),
    (1, "from collections import OrderedDict"),
    (1, "from .. import server"),
    (1, "def f():\n    import statistics"),
    (2, "match x:\n    case 1:\n        pass"),
    (2, "y = [*x, 1]"),
    (2, "y = {**x}"),
    (2, "def f(a, /):\n    pass"),
    (2, "@dataclass\nclass A:\n    pass"),
    (2, "class A(NamedTuple):\n    pass"),
    (2, "class A(Enum):\n    pass"),
    (2, "y = x[::-1]"),
    (2, "y = list[int]()"),
    (2, "y = zip(a, b, strict=True)"),
    (2, "y = json.loads(t, parse_constant=no)"),
    (2, "y = text.split(sep=',')"),
    (2, "y = max(a, default=0)"),
    (3, "y = sorted(x, key=lambda p: p.due)"),
    (3, "x.sort(key=lambda p: p['due'])"),
    (4, "for k in d.items():\n    pass"),
    (4, "y = [v for v in d.values()]"),
    (4, "def f(d: dict[str, int]):\n    for k in d:\n        pass"),
    (
        4,
        (
            "class A:\n    def f(self):\n        self.d: dict[str, int] = {}\n        return [k for"
            " k in self.d]"
        ),
    ),
    (5, "y = round(x, 2)"),
    (5, "y = round(x)"),
    (5, "y = f'{x:.2f}'"),
    (5, "y = f'{x!r}'"),
    (5, "y = '%d' % x"),
    (5, "y = '{}'.format(x)"),
    (5, "y = repr(x)"),
    (6, "import random"),
    (6, "import time"),
    (6, "y = math.lgamma(x)"),
    (6, "y = math.hypot(a, b)"),
    (6, "y = math.fsum(x)"),
    (6, "y = date.today()"),
    (7, "def f(x):\n    return json.dumps(x)"),
    (7, "def f(x):\n    return open(x)"),
    (7, "y = 'hammer \U0001f528'"),
    (8, "for i in range(3000000):\n    pass"),
    (8, "while True:\n    pass"),
    (9, "y = sum([n / each for n in x])"),
    (9, "y = sum([w['metres'] for w in x])"),
    (9, "y = sum(r.mass_g for r in x)"),
    (9, "y = sum(x, 0.5) + sum([0.5])"),
    (10, "y = text.zfill(2)"),
    (10, "y = day.strftime('x')"),
    (10, "y = text.removeprefix('a')"),
    (10, "class A:\n    __slots__ = ('a',)"),
]


@pytest.mark.parametrize(("rule", "source"), BROKEN, ids=lambda v: str(v)[:40])
def test_the_checker_finds_what_breaks_a_rule_and_names_it(rule, source):
    found = portable.findings(FUTURE + source)
    assert any(f": rule {rule}: " in f for f in found), found
    assert all(f.startswith("x.py:") for f in found)


def test_every_rule_the_tree_can_show_has_a_check_and_a_breach_that_tests_it():
    assert (
        {rule for rule, _ in portable.CHECKS} == {rule for rule, _ in BROKEN} == set(range(1, 11))
    )


def test_a_module_must_begin_with_annotations_from_the_future():
    assert "rule 1" in portable.findings('"""Doc."""\nimport math')[0]


FINE = [
    "import math\nimport json\nfrom datetime import date, timedelta\nfrom .fields import Fields",
    (
        "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from typing import Any\n    Row ="
        " dict[str, Any]"
    ),
    (
        "x: dict[str, list[int]] = {}\ndef f(a: list[int], *, b: int = 1) -> tuple[int, int]:\n   "
        " return a[0], b"
    ),
    "y = sorted(x, key=lambda p: (p.due, p.place))\nz = sorted(d)\nfor k in sorted(d):\n    pass",
    "y = f'{n} rings' + str(n)\nz = (2 * a + b) // (2 * b)\nr = a % b",
    "y = sum([n for n, _ in coils])\nz = added([w / 2 for w in x])",
    "with open(__file__[:-4] + 't.json') as f:\n    T = json.load(f)",
    "while x > 1:\n    x = x // 2\nfor i in range(1000):\n    pass",
]


@pytest.mark.parametrize("source", FINE)
def test_the_checker_lets_plain_portable_code_be(source):
    assert portable.findings(FUTURE + source) == []


def test_json_is_read_and_written_at_the_door_alone():
    source = FUTURE + "def f(x):\n    return json.dumps(x)"
    assert portable.findings(source, "ask.py") == [] and portable.findings(source, "ring.py") != []


RING = {"wire_mm": 1.2, "inner_mm": 8, "lap_mm": 2.4, "metal": "iron", "mandrel_length_mm": 200}
GARMENT = {"ring": RING, "panels": [{"shape": {"kind": "panel", "rows": 151, "columns": 200}}]}
LOSSES = {"losses": {step: {"good": 480, "bad": 20} for step in ("cut", "pierce", "close")}}
JOURNAL = {"journal": {"cut": {"done": 15000}, "close": {"done": 5000}, "unit": {"done": 900}}}


def lines_run(work):
    """How many lines of the engine a call runs: a bound on its loop steps, the same on any machine."""
    count = 0

    def trace(frame, event, _):
        nonlocal count
        inside = "/shared/" in frame.f_code.co_filename
        count += event == "line" and inside
        return trace if inside else None

    before = sys.gettrace()
    sys.settrace(trace)
    try:
        work()
    finally:
        sys.settrace(before)
    return count


@pytest.mark.parametrize(
    "question",
    [
        {"ask": "piece", **GARMENT},
        {"ask": "piece", **GARMENT, **LOSSES},
        {"ask": "stand", **GARMENT, **LOSSES, **JOURNAL},
    ],
    ids=["piece", "piece with losses", "stand with losses"],
)
def test_a_garment_of_thirty_thousand_rings_stays_under_a_hundred_thousand_steps(question):
    """Portable rule 8: no garbage is collected while a call runs."""
    text = json.dumps(question)
    assert json.loads(answer(text))["ok"]
    assert lines_run(lambda: answer(text)) < portable.LOOP_STEPS


def test_the_work_grows_with_rows_and_not_with_rings():
    wide = {**GARMENT, "panels": [{"shape": {"kind": "panel", "rows": 151, "columns": 2000}}]}
    texts = [json.dumps({"ask": "piece", **g}) for g in (GARMENT, wide)]
    narrow, broad = (lines_run(lambda text=text: answer(text)) for text in texts)
    assert broad < 1.2 * narrow


def test_a_portion_of_five_hundred_changes_stays_far_below_the_limit():
    tap = {
        "device": "a",
        "at": 5,
        "tz": 0,
        "v": 1,
        "kind": "count",
        "piece": "p",
        "step": "cut",
        "n": 1,
    }
    taps = [{**tap, "seq": i + 1} for i in range(500)]
    assert lines_run(lambda: Log().add(taps)) < portable.LOOP_STEPS


def brought_in(path):
    """(module, names) of every import, those inside functions too."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((alias.name, set()) for alias in node.names)
        if isinstance(node, ast.ImportFrom):
            yield node.module or "", {alias.name for alias in node.names}


def rooms(path):
    return {module.split(".")[0] for module, _ in brought_in(path)} & {"tests", "server", "shared"}


def test_the_server_knows_the_engine_but_not_the_tests():
    assert [p.name for p in sorted((ROOT / "server").rglob("*.py")) if "tests" in rooms(p)] == []


def test_the_engine_knows_neither_server_nor_tests():
    assert [p.name for p in sorted((ROOT / "shared").rglob("*.py")) if rooms(p)] == []


# what the server may take from the engine: its door, and what a change of the log must look like
OF_THE_ENGINE = {"shared.ask", "shared.log.schema"}


def test_the_server_takes_only_the_door_and_the_log_from_the_engine():
    for path in sorted((ROOT / "server").rglob("*.py")):
        strange = {
            module for module, _ in brought_in(path) if module.split(".")[0] == "shared"
        } - OF_THE_ENGINE
        assert strange == set(), path.name


def arithmetic(source):
    """Uses of math beyond asking whether a number is finite."""
    out, asking = [], ("isfinite", "isnan", "isinf")
    for node in ast.walk(ast.parse(source)):
        if portable.of_module(node, "math") and node.attr not in asking:
            out.append(node.attr)
        if isinstance(node, ast.ImportFrom) and node.module == "math":
            out += [alias.name for alias in node.names]
    return out


def test_the_server_does_no_mail_arithmetic():
    found = {
        p.name: arithmetic(p.read_text(encoding="utf-8"))
        for p in sorted((ROOT / "server").rglob("*.py"))
    }
    assert [name for name in found if found[name]] == []


def test_arithmetic_in_the_server_would_be_found():
    assert arithmetic("import math\nx = math.pi * 8") == ["pi"]
    assert arithmetic("from math import sqrt") == ["sqrt"]
    assert arithmetic("import math\nmath.isfinite(x)") == []
