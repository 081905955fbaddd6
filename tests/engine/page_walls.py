"""Which module of the page may bring in which: app -> screens -> store -> {journal, engine, sync}.

Read by its import lines; comments are left out, since types are named there. A helper beside
these is judged by what it reaches: one that reaches the store stands above it.
"""

from __future__ import annotations

import re
from pathlib import Path

COMMENT = re.compile(r"/\*.*?\*/|(?<![:'\"])//[^\n]*", re.DOTALL)
IMPORT = re.compile(
    r"""(?:^|[\s;])(?:import|export)\s+(?:[^'"();]*?\sfrom\s*)?["']([^"']+)["']|import\(\s*["']([^"']+)["']"""
)
DESK = ("screens/", "pictures/")
BELOW = {"journal.js", "looking.js", "transaction.js", "ahead.js", "database.js", "renewing.js", "sync.js",
         "workshop.js", "fold.js", "sitting.js", "engine.js", "engine-worker.js"}  # fmt: skip
# library -> the only modules that may know it
KNOWN_ONLY_BY = {"idb.js": {"transaction.js"}, "micropython.mjs": {"engine-worker.js"}}
# a module below the store -> what of the page's own it may bring in
MAY = {
    "journal.js": {"looking.js", "transaction.js", "fold.js", "ahead.js", "database.js"},
    "looking.js": {"transaction.js", "fold.js", "ahead.js"},
    "transaction.js": {"database.js", "fold.js"},
    "ahead.js": {"database.js"},
    "database.js": {"renewing.js"},
    "renewing.js": {"fold.js"},
    "engine.js": set(),
    "engine-worker.js": set(),
    "sync.js": {"journal.js", "workshop.js"},
    "workshop.js": {"journal.js", "transaction.js"},
    "fold.js": {"sitting.js"},
    "sitting.js": set(),
}


def imports(source: str) -> list[str]:
    """What a module names in its import lines."""
    return [a or b for a, b in IMPORT.findall(COMMENT.sub("", source))]


def resolved(importer: str, target: str) -> str:
    """A relative import as a path from the page's root; anything else as it stands."""
    if not target.startswith("."):
        return target
    parts = importer.split("/")[:-1]
    for part in target.split("/"):
        if part == "..":
            parts = parts[:-1] if parts else ["(outside)"]
        elif part != ".":
            parts.append(part)
    return "/".join(parts)


def modules(folder: Path) -> dict[str, str]:
    """The page's own modules: path from the root -> source."""
    found = [
        p
        for p in sorted(folder.rglob("*.js"))
        if not {"node_modules", "vendor"} & set(p.relative_to(folder).parts)
    ]
    return {
        p.relative_to(folder).as_posix(): p.read_text(encoding="utf-8")
        for p in found
        if p.name != "eslint.config.js"
    }


def _wall(importer: str, target: str) -> str | None:
    library = target.rsplit("/", 1)[-1]
    if not target.startswith("vendor/") and target.startswith(("http", "/", "(outside)")):
        return "the page brings in nothing from outside itself"
    if importer not in KNOWN_ONLY_BY.get(library, {importer}):
        return f"only {min(KNOWN_ONLY_BY[library])} knows {library}"
    if target == "app.js":
        return "nothing brings in app.js: it stands on top"
    if target.startswith(DESK) and not (importer == "app.js" or importer.startswith(DESK)):
        return "only app.js and the screens themselves bring in screens and pictures"
    if importer.startswith(DESK) and target in BELOW - {"fold.js", "sitting.js"}:
        return "a screen reaches journal, engine and sync through the store"
    own = not target.startswith("vendor/")
    if importer in MAY and own and target not in MAY[importer]:
        return f"{importer} stands below the store and stands on " + (
            ", ".join(sorted(MAY[importer])) or "nothing"
        )
    return None


def _circles(pages: dict[str, list[str]]) -> list[str]:
    """Modules outside the screens that reach themselves."""
    out = []
    for start in sorted(p for p in pages if not p.startswith(DESK)):
        seen: set[str] = set()
        todo = list(pages[start])
        while todo:
            here = todo.pop()
            if here == start:
                out.append(f"{start}: reaches itself through what it brings in")
                break
            if here not in seen:
                seen.add(here)
                todo.extend(pages.get(here, []))
    return out


def findings(sources: dict[str, str]) -> list[str]:
    """`importer: target: why`, one for each import that breaks a wall."""
    pages = {name: [resolved(name, t) for t in imports(source)] for name, source in sources.items()}
    out = []
    for name in sorted(pages):
        out += [f"{name}: {t}: {why}" for t in pages[name] if (why := _wall(name, t))]
    return out + _circles(pages)
