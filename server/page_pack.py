"""The page as it travels: without comments, packed into two scripts and two style sheets instead of a
hundred files.

What the first screen needs is `app.js` and `first.css`; all else is `later.js` and `later.css`, which
are fetched while the first screen is drawn. Which modules and sheets belong to the first is what
`index.html` asks for without `fetchpriority="low"`. A module is a function in its pack, run when it
is first used; `use(name)` gives what it exports:

    add("format/numbers.js", () => { ...; return { figure, percent }; });
    add("screens/bench/pad.js", () => { const { figure } = use("format/numbers.js"); ... });

Each module keeps its own address too: a few lines that hand on what the pack's module exports, so
that `import("/store/store.js")` is the page's one store. A module of `vendor/` is imported as it is.
The pack holds no circles and no export that is assigned again: both are refused, the first by
dependency-cruiser, the second here. `ringwright serve --unpacked` sends every module by itself.
"""

from __future__ import annotations

import json
import posixpath
import re
from dataclasses import dataclass, field
from functools import lru_cache

import tree_sitter_javascript
from tree_sitter import Language, Node, Parser, Query, QueryCursor

APP, LATER = "app.js", "later.js"
APART = {"sw.js", "log/open.js", "engine/worker.js"}  # scripts that begin by themselves
PRELOAD = re.compile(
    r'^\s*<link rel="modulepreload" href="\./(?!vendor/)([^"]+)">\n', re.MULTILINE
)  # vendor's stay: the pack imports them as they are
FIRST_CSS, LATER_CSS = "css/first.css", "css/later.css"
SHEETS = {  # pack -> how the start page asks for a sheet of it
    FIRST_CSS: '<link rel="stylesheet" href="./{}">',
    LATER_CSS: '<link rel="preload" as="style" href="./{}" fetchpriority="low">',
}
_LANGUAGE = Language(tree_sitter_javascript.language())

Edits = list[tuple[int, int, str]]


class Unpackable(ValueError):
    """A module uses a form that the pack cannot carry; the text names it and what would do."""


@dataclass
class Module:
    """One module as a function's body: `code` runs and returns its exports, whose `names` are known."""

    name: str
    code: str = ""
    names: list[str] = field(default_factory=list)
    all_of: list[str] = field(default_factory=list)  # modules whose every export it hands on
    needs: set[str] = field(default_factory=set)  # modules it uses from its beginning
    vendor: dict[str, str] = field(default_factory=dict)  # address -> the pack's name for it


def first_modules(start_page: str) -> list[str]:
    """The modules that the start page preloads, in its order."""
    return PRELOAD.findall(start_page)


def sheets_of(start_page: str) -> dict[str, list[str]]:
    """`{"css/first.css": ["css/tokens.css", ...], ...}`: what each packed style sheet is made of."""
    return {
        name: re.findall(re.escape(link).replace(r"\{\}", '(css/[^"]+)'), start_page)
        for name, link in SHEETS.items()
    }


def style_sheets(start_page: str, sheets: dict[str, str]) -> dict[str, str]:
    """The two packed style sheets, of `sheets` by their names (`css/base.css`), without comments."""
    return {
        pack_name: re.sub(
            r"/\*.*?\*/|^\s+", "", "".join(sheets[n] for n in names), flags=re.M | re.S
        )
        for pack_name, names in sheets_of(start_page).items()
        if names
    }


def packed_start_page(start_page: str) -> str:
    """The start page of what is packed: `later.js` is asked for at once, and waits for its turn."""
    later = f'    <link rel="modulepreload" href="./{LATER}" fetchpriority="low">\n'
    bare, n = PRELOAD.sub("", start_page), start_page.find('    <link rel="modulepreload"')
    bare = bare[:n] + later + bare[n:] if n >= 0 else bare
    for pack_name, names in sheets_of(bare).items():
        link = f"    {SHEETS[pack_name]}\n"
        for name in names[1:]:
            bare = bare.replace(link.format(name), "")
        for name in names[:1]:
            bare = bare.replace(link.format(name), link.format(pack_name))
    return bare


def _found(query: str, node: Node) -> list[Node]:
    """Every node that the query names, in order."""
    names = QueryCursor(_query(query)).captures(node)
    return sorted((n for each in names.values() for n in each), key=lambda n: n.start_byte)


@lru_cache
def _query(text: str) -> Query:
    return Query(_LANGUAGE, text)


def _text(node: Node | None) -> str:
    return (node.text or b"").decode() if node is not None else ""


def _edited(source: bytes, edits: Edits) -> str:
    out, at = [], 0
    for start, end, text in sorted(edits):
        out.append(source[at:start].decode())
        out.append(text)
        at = end
    return "".join([*out, source[at:].decode()])


def _lean(source: str) -> str:
    """Without comments, indentation and empty lines; what lies in a template stays as it is."""
    data = source.encode()
    tree = Parser(_LANGUAGE).parse(data).root_node
    bare = _edited(data, [(n.start_byte, n.end_byte, "") for n in _found("(comment) @found", tree)])
    data = bare.encode()
    inside = [
        (n.start_point.row, n.end_point.row)
        for n in _found("(template_string) @found", Parser(_LANGUAGE).parse(data).root_node)
    ]
    kept = {row for first, last in inside for row in range(first + 1, last + 1)}
    lines = bare.split("\n")
    lean = [text if row in kept else text.strip() for row, text in enumerate(lines)]
    return "\n".join(text for row, text in enumerate(lean) if text or row in kept)


@lru_cache(maxsize=400)
def lean(source: str) -> str:
    """A script without comments, indentation and empty lines."""
    return _lean(source)


class _Reader:
    """Reads one module into a function's body."""

    def __init__(self, name: str, source: str, modules: set[str]) -> None:
        self.data = lean(source).encode()
        self.module = Module(name)
        self.modules = modules
        self.edits: Edits = []
        self.exports: list[tuple[str, str]] = []  # exported name, name within

    def _target(self, spec: str) -> str:
        return posixpath.normpath(posixpath.join(posixpath.dirname(self.module.name), spec))

    def _use(self, source: Node | None) -> str:
        target = self._target(_text(source)[1:-1])
        if target.startswith("vendor/"):
            return self.module.vendor.setdefault(target, "$" + re.sub(r"\W", "_", target))
        self.module.needs.add(target)
        return f"use({json.dumps(target)})"

    def _import(self, node: Node) -> str:
        used = self._use(node.child_by_field_name("source"))
        clause = next((c for c in node.named_children if c.type == "import_clause"), None)
        if clause is None:
            return f"{used};"
        part = clause.named_children[0]
        if part.type == "namespace_import":
            return f"const {_text(part.named_children[0])} = {used};"
        if part.type == "named_imports":
            return f"const {{ {self._pairs(part, 'import_specifier', ': ')} }} = {used};"
        raise Unpackable(f"{self.module.name}: import by name, not `{_text(clause)}`.")

    def _pairs(self, node: Node, kind: str, between: str) -> str:
        pairs = [(each, each.child_by_field_name("alias")) for each in node.named_children]
        return ", ".join(
            _text(each.child_by_field_name("name")) + (between + _text(alias) if alias else "")
            for each, alias in pairs
            if each.type == kind
        )

    def _export(self, node: Node) -> None:
        declared = node.child_by_field_name("declaration")
        if declared is not None:
            self.exports += [(name, name) for name in self._declared(declared)]
            self.edits.append((node.start_byte, declared.start_byte, ""))
            return
        source = node.child_by_field_name("source")
        clause = next((c for c in node.named_children if c.type == "export_clause"), None)
        text = ""
        if clause is not None and source is not None:
            held = f"$from{len(self.edits)}"
            text = f"const {held} = {self._use(source)};"
            self.exports += [(alias, f"{held}.{name}") for name, alias in self._specifiers(clause)]
        elif clause is not None:
            self.exports += [(alias, name) for name, alias in self._specifiers(clause)]
        elif source is not None:
            self.module.all_of.append(self._target(_text(source)[1:-1]))
            self.module.needs.add(self.module.all_of[-1])
        else:
            raise Unpackable(f"{self.module.name}: export by name, not by default.")
        self.edits.append((node.start_byte, node.end_byte, text))

    @staticmethod
    def _specifiers(clause: Node) -> list[tuple[str, str]]:
        out = []
        for each in clause.named_children:
            name = each.child_by_field_name("name")
            alias = each.child_by_field_name("alias")
            out.append((_text(name), _text(alias or name)))
        return out

    def _declared(self, node: Node) -> list[str]:
        if node.type == "lexical_declaration":
            if _text(node).startswith("let"):
                raise Unpackable(f"{self.module.name}: export a const or a function, not a let.")
            names = [
                c.child_by_field_name("name")
                for c in node.named_children
                if c.type == "variable_declarator"
            ]
            if any(name is None or name.type != "identifier" for name in names):
                raise Unpackable(f"{self.module.name}: export each const by its own name.")
            return [_text(name) for name in names]
        return [_text(node.child_by_field_name("name"))]

    def _call(self, node: Node) -> None:
        given = node.child_by_field_name("arguments")
        target = self._target(_text(given)[2:-2])
        if target in self.modules:
            self.edits.append((node.start_byte, node.end_byte, f"later({json.dumps(target)})"))

    def read(self) -> Module:
        tree = Parser(_LANGUAGE).parse(self.data).root_node
        if tree.has_error:
            raise Unpackable(f"{self.module.name}: this script could not be read.")
        for node in tree.children:
            if node.type == "import_statement":
                self.edits.append((node.start_byte, node.end_byte, self._import(node)))
            elif node.type == "export_statement":
                self._export(node)
        for node in _found("(call_expression function: (import)) @found", tree):
            self._call(node)
        for node in _found("(member_expression (meta_property)) @found", tree):
            if _text(node) == "import.meta.url":
                here = f'new URL("./{self.module.name}", import.meta.url).href'
                self.edits.append((node.start_byte, node.end_byte, here))
        given = [f"...use({json.dumps(name)})" for name in self.module.all_of]
        given += [out if out == within else f"{out}: {within}" for out, within in self.exports]
        self.module.names = [out for out, _ in self.exports]
        self.module.code = _edited(self.data, self.edits) + f"\nreturn {{ {', '.join(given)} }};"
        return self.module


def _added(module: Module) -> str:
    return f"add({json.dumps(module.name)}, () => {{\n{module.code}\n}});\n"


def _vendored(modules: list[Module]) -> str:
    found = {address: name for module in modules for address, name in module.vendor.items()}
    return "".join(f'import * as {found[a]} from "./{a}";\n' for a in sorted(found))


HEAD = """const makers = new Map(), made = new Map();
export const add = (name, make) => { makers.set(name, make); };
export const use = (name) => {
  if (!made.has(name)) made.set(name, makers.get(name)());
  return made.get(name);
};
let rest;
const later = async (name) => {
  if (!makers.has(name)) {
    rest ??= import("./later.js").catch((error) => { rest = null; throw error; });
    await rest;
  }
  return use(name);
};
export { later };
"""


@dataclass(frozen=True)
class Packed:
    """`scripts`: address below the page -> text, the two packs and each module's own address."""

    scripts: dict[str, str]


def _own_address(module: Module, names: list[str], first: bool) -> str:
    """What stands at a module's own address: it hands on the exports of the pack's module."""
    up = "../" * module.name.count("/") or "./"
    also = "" if first else f'import "{up}{LATER}";\n'
    given = f"const module = use({json.dumps(module.name)});\n"
    handed = "".join(f"export const {name} = module.{name};\n" for name in names)
    return f'import {{ use }} from "{up}{APP}";\n{also}{given}{handed}'


def _with_needs(names: list[str], modules: dict[str, Module]) -> list[Module]:
    """These modules and all they use from their beginning, in the order they were met."""
    found: list[Module] = []
    todo = [modules[name] for name in names if name in modules]
    while todo:
        module = todo.pop(0)
        if module not in found:
            found.append(module)
            todo.extend(modules[name] for name in sorted(module.needs) if name in modules)
    return found


@lru_cache(maxsize=4)
def pack(sources: tuple[tuple[str, str], ...], start_page: str) -> Packed:
    """`sources`: (name below the page, text) of every module but vendor's and those apart.

    Raises Unpackable where a module cannot be carried in a pack.
    """
    names = {name for name, _ in sources}
    modules = {name: _Reader(name, text, names).read() for name, text in sources}

    def exported(module: Module) -> list[str]:
        more = [name for other in module.all_of for name in exported(modules[other])]
        return sorted({*module.names, *more})

    first = _with_needs(first_modules(start_page), modules)
    rest = [module for name, module in sorted(modules.items()) if module not in first]
    scripts = {
        name: _own_address(module, exported(module), module in first)
        for name, module in modules.items()
        if name != APP
    }
    scripts[APP] = _vendored(first) + HEAD + "".join(map(_added, first)) + f'use("{APP}");\n'
    scripts[LATER] = (
        _vendored(rest)
        + f'import {{ add, later, use }} from "./{APP}";\n'
        + "".join(map(_added, rest))
    )
    return Packed(scripts)
