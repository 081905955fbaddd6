"""The portable rules of shared/ as a table of checks over the syntax tree; each finding names its
rule.

1 imports  2 plain syntax  3 total sort keys  4 dict order  5 rounding and formatting
6 random, clock, special functions  7 JSON at the border  8 short calls  9 float sums  10 what
differs in silence
"""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterator
from pathlib import Path

MODULES = {"math", "json"}
STAR_OF_TIME = {"random", "time", "secrets", "uuid"}
FUNCTIONS_OF_MATH = {
    "lgamma", "gamma", "log1p", "hypot", "gcd", "lcm", "fsum", "comb", "perm", "prod", "dist",
    "isqrt", "isclose", "cbrt", "exp2", "nextafter", "ulp", "remainder",
}  # fmt: skip
MISSING_METHODS = {
    "strftime",
    "zfill",
    "ljust",
    "rjust",
    "title",
    "removeprefix",
    "removesuffix",
    "casefold",
    "bit_count",
}
KEYWORDS = {"key", "reverse", "start"}
BUILTINS = {
    "sorted", "sum", "min", "max", "int", "float", "str", "bool", "bytes", "list", "dict", "tuple", "set", "zip",
    "enumerate", "print", "pow", "open", "map", "filter", "abs", "len", "range", "reversed", "isinstance",
}  # fmt: skip
BUILTIN_METHODS = {
    "split",
    "rsplit",
    "splitlines",
    "encode",
    "decode",
    "sort",
    "format",
    "to_bytes",
    "update",
    "pop",
}
GENERIC = {"list", "dict", "tuple", "set"}
DICT_VIEWS = {"items", "keys", "values"}
UNITS = re.compile(r"(_mm|_g|_kg|_m|_h|_min|_m2|metres|kg|minutes|hours)$")
LOOP_STEPS = 100_000

Check = Callable[[ast.AST], str | None]


def _checking(node: ast.AST) -> bool:
    return (
        isinstance(node, ast.If)
        and isinstance(node.test, ast.Name)
        and node.test.id == "TYPE_CHECKING"
    )


def at_run_time(node: ast.AST) -> Iterator[ast.AST]:
    """Every node but those under TYPE_CHECKING and in annotations, which never run."""
    yield node
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns") or (_checking(node) and name == "body"):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield from at_run_time(child)


def _call(node: ast.AST, *names: str) -> bool:
    return isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in names


def _method(node: ast.AST, names: set[str]) -> str | None:
    if (
        isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr in names
    ):
        return node.func.attr
    return None


def _import(node: ast.AST) -> str | None:
    if isinstance(node, ast.Import):
        strange = [a.name for a in node.names if a.name not in MODULES | STAR_OF_TIME]
        return (
            f"only math, json and datetime are there at run time, not {strange[0]}"
            if strange
            else None
        )
    if not isinstance(node, ast.ImportFrom) or (
        node.level in (1, 2) and (node.level == 1 or node.module)
    ):
        return None  # another module of the engine; which room may use which is in pyproject.toml
    allowed = {
        "__future__": {"annotations"},
        "typing": {"TYPE_CHECKING"},
        "datetime": {"date", "timedelta"},
    }
    names = {a.name for a in node.names}
    if node.level == 0 and (
        node.module in MODULES | STAR_OF_TIME or names <= allowed.get(node.module or "", set())
    ):
        return None
    return f"from {'.' * node.level}{node.module or ''} nothing can be brought in at run time"


def _syntax(node: ast.AST) -> str | None:
    if isinstance(node, ast.Match):
        return "no match statement"
    if isinstance(node, (ast.List, ast.Tuple, ast.Set)) and any(
        isinstance(e, ast.Starred) for e in node.elts
    ):
        return "no star displays: add lists"
    if isinstance(node, ast.Dict) and None in node.keys:
        return "no ** in a dict display: copy by name"
    if isinstance(node, ast.arguments) and node.posonlyargs:
        return "no positional-only arguments"
    if isinstance(node, ast.ClassDef) and node.decorator_list:
        return "no class decorators such as dataclass: a plain class with __init__"
    return _subscripts(node)


def _subscripts(node: ast.AST) -> str | None:
    if isinstance(node, ast.Slice) and isinstance(node.step, ast.UnaryOp):
        return "no negative steps in slices: use reversed()"
    if (
        isinstance(node, ast.Subscript)
        and isinstance(node.value, ast.Name)
        and node.value.id in ("list", "dict", "tuple")
    ):
        return "types take no brackets at run time"
    return None


def _keywords(node: ast.AST) -> str | None:
    of_json = (
        isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and of_module(node.func, "json")
    )
    if not (_call(node, *BUILTINS) or _method(node, BUILTIN_METHODS) or of_json):
        return None
    assert isinstance(node, ast.Call)
    odd = [k.arg for k in node.keywords if k.arg not in KEYWORDS]
    return f"no keyword {odd[0]} to a built-in: only key, reverse, start" if odd else None


def _bases(node: ast.AST) -> str | None:
    names = (
        [b.id for b in node.bases if isinstance(b, ast.Name)]
        if isinstance(node, ast.ClassDef)
        else []
    )
    odd = {"Enum", "IntEnum", "NamedTuple", "TypedDict", "Protocol"} & set(names)
    return f"no {odd.pop()}: a plain class or a dict" if odd else None


def _sort_key(node: ast.AST) -> str | None:
    if not (_call(node, "sorted", "min", "max") or _method(node, {"sort"})):
        return None
    assert isinstance(node, ast.Call)
    if _call(node, "min", "max"):
        return None
    for keyword in node.keywords:
        body = keyword.value.body if isinstance(keyword.value, ast.Lambda) else None
        if (
            keyword.arg == "key"
            and body is not None
            and not isinstance(body, (ast.Tuple, ast.List))
        ):
            return (
                "sorting is not stable: the key must tell all items apart, as a tuple that ends in"
                " one's own place"
            )
    return None


def _views(node: ast.AST) -> str | None:
    loops = (ast.For, ast.comprehension)
    if isinstance(node, loops) and _method(node.iter, DICT_VIEWS):
        return (
            f"dicts keep no order: go through sorted names, not .{_method(node.iter, DICT_VIEWS)}()"
        )
    return None


def _rounding(node: ast.AST) -> str | None:
    if _call(node, "round"):
        return "no round(): (2 * a + b) // (2 * b), or figures.nearest"
    if _call(node, "repr", "format") or _method(node, {"format"}):
        return "no formatting of numbers in the engine: figures.figure, or raw numbers"
    if isinstance(node, ast.FormattedValue) and (
        node.format_spec is not None or node.conversion != -1
    ):
        return "no format in an f-string: figures.figure, or raw numbers"
    text = (
        isinstance(node, ast.BinOp)
        and isinstance(node.op, ast.Mod)
        and isinstance(node.left, (ast.Constant, ast.JoinedStr))
    )
    if (
        text
        and isinstance(node.left, ast.JoinedStr | ast.Constant)
        and isinstance(getattr(node.left, "value", ""), str)
    ):
        return "no % formatting: add texts"
    return None


def of_module(node: ast.AST, module: str) -> bool:
    return (
        isinstance(node, ast.Attribute)
        and isinstance(node.value, ast.Name)
        and node.value.id == module
    )


def _clock(node: ast.AST) -> str | None:
    if isinstance(node, ast.ImportFrom) and node.module == "math":
        return "take math whole, so that its use can be seen"
    if isinstance(node, (ast.Import, ast.ImportFrom)):
        named = (
            [node.module or ""]
            if isinstance(node, ast.ImportFrom) and node.level == 0
            else [a.name for a in node.names]
        )
        odd = set(named) & STAR_OF_TIME
        return f"no {odd.pop()}: chance and time come in as arguments" if odd else None
    if of_module(node, "math") and node.attr in FUNCTIONS_OF_MATH:  # type: ignore[attr-defined]
        return f"math.{node.attr} is missing or inexact there: write it out"  # type: ignore[attr-defined]
    if _method(node, {"today", "now", "utcnow"}) and ast.unparse(node.func.value).startswith(
        "date"
    ):  # type: ignore[attr-defined]
        return "no clock in the engine: today is an argument"
    return None


def _constants(node: ast.AST) -> str | None:
    if (
        isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and any(ord(c) > 0xFFFF for c in node.value)
    ):
        return "no letters beyond the first plane in texts: they decode wrongly"
    return None


def _long(node: ast.AST) -> str | None:
    ends = (
        [a.value for a in node.args if isinstance(a, ast.Constant)] if _call(node, "range") else []
    )  # type: ignore[attr-defined]
    if any(isinstance(n, int) and n > LOOP_STEPS for n in ends):
        return (
            "a call of more than 100,000 steps keeps its garbage for ever: a state object with"
            " step()"
        )
    endless = isinstance(node, ast.While) and isinstance(node.test, ast.Constant)
    return "no endless loop: say how many turns at most" if endless else None


def _float_sum(node: ast.AST) -> str | None:
    if not _call(node, "sum"):
        return None
    for part in ast.walk(node.args[0]):  # type: ignore[attr-defined]
        name = (
            part.attr
            if isinstance(part, ast.Attribute)
            else part.id
            if isinstance(part, ast.Name)
            else ""
        )
        name = (
            part.value if isinstance(part, ast.Constant) and isinstance(part.value, str) else name
        )
        divides = isinstance(part, ast.BinOp) and isinstance(part.op, ast.Div)
        if (
            divides
            or UNITS.search(name)
            or (isinstance(part, ast.Constant) and isinstance(part.value, float))
        ):
            return "sum() of floats differs between versions: figures.added, or a loop"
    return None


def _silent(node: ast.AST) -> str | None:
    if isinstance(node, ast.Assign) and any(
        isinstance(t, ast.Name) and t.id == "__slots__" for t in node.targets
    ):
        return "__slots__ is not enforced there"
    missing = _method(node, MISSING_METHODS)
    return f".{missing}() is not there" if missing else None


CHECKS: list[tuple[int, Check]] = [
    (1, _import), (2, _syntax), (2, _keywords), (2, _bases), (3, _sort_key), (4, _views), (5, _rounding),
    (6, _clock), (7, _constants), (8, _long), (9, _float_sum), (10, _silent),
]  # fmt: skip


def _opening(tree: ast.Module) -> list[tuple[int, int, str]]:
    """The first statement after the docstring brings in annotations."""
    body = [
        n for n in tree.body if not (isinstance(n, ast.Expr) and isinstance(n.value, ast.Constant))
    ]
    first = body[0] if body else None
    if first is None or (isinstance(first, ast.ImportFrom) and first.module == "__future__"):
        return []
    return [(first.lineno, 1, "begin with from __future__ import annotations")]


def _border(tree: ast.Module, at_the_border: bool) -> list[tuple[int, int, str]]:
    """JSON and files are for the door, and for tables while the module is brought in."""
    out = []
    for function in [n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef)]:
        for node in at_run_time(function):
            if of_module(node, "json") and not at_the_border:
                out.append((node.lineno, 7, "JSON text only at the door"))  # type: ignore[attr-defined]
            if _call(node, "open"):
                out.append(
                    (
                        node.lineno,
                        7,
                        "files are opened while a module is brought in, never in a call",
                    )
                )  # type: ignore[attr-defined]
    return out


def _dicts(scope: ast.AST) -> set[str]:
    """Names, and names on self, that are annotated as dicts."""
    out = set()
    for node in ast.walk(scope):
        named = (
            node.target
            if isinstance(node, ast.AnnAssign)
            else node
            if isinstance(node, ast.arg)
            else None
        )
        if (
            named is not None
            and node.annotation
            and ast.unparse(node.annotation).startswith("dict[")
        ):  # type: ignore[union-attr]
            out.add(ast.unparse(named) if not isinstance(named, ast.arg) else named.arg)
    return out


def _order(tree: ast.Module) -> list[tuple[int, int, str]]:
    """Loops straight over a dict, as far as annotations tell."""
    out = []
    for scope in [n for n in ast.walk(tree) if isinstance(n, (ast.FunctionDef, ast.ClassDef))]:
        known = _dicts(scope)
        for node in at_run_time(scope):
            if isinstance(node, (ast.For, ast.comprehension)) and ast.unparse(node.iter) in known:
                out.append((node.iter.lineno, 4, "dicts keep no order: go through sorted names"))
    return out


def findings(source: str, name: str = "x.py") -> list[str]:
    """`name:line: rule N: what would do instead`, in order of line."""
    tree = ast.parse(source)
    found = _opening(tree) + _border(tree, name == "ask.py") + _order(tree)
    for node in at_run_time(tree):
        for rule, check in CHECKS:
            why = check(node)
            if why:
                found.append((getattr(node, "lineno", 0), rule, why))
    return [f"{name}:{line}: rule {rule}: {why}" for line, rule, why in sorted(set(found))]


def of_folder(folder: Path) -> list[str]:
    return [
        f
        for path in sorted(folder.glob("*.py"))
        for f in findings(path.read_text(encoding="utf-8"), path.name)
    ]
