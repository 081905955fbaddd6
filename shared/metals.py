"""Metals: density by name, and which wire carries zinc. The table names a source for every row."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from .fields import Fields

if TYPE_CHECKING:
    from typing import Any

with open(__file__[: -len("metals.py")] + "tables/metals.json") as _file:
    _TABLE: dict[str, Any] = json.load(_file)

METALS: list[dict[str, Any]] = _TABLE["metals"]
ZINC_CAUTION: str = _TABLE["zinc_caution"]
ZINC_SOURCE: str = _TABLE["zinc_source"]

ZINC_WORDS = ("zinc", "galvan")  # in a maker's own name for a wire

_BY_NAME: dict[str, dict[str, Any]] = {}
for _metal in METALS:
    for _name in [_metal["name"]] + _metal["also"]:
        _BY_NAME[_name] = _metal


def find(name: str) -> dict[str, Any] | None:
    """The table's row for a name as people write it: `Mild_Steel` is mild steel."""
    return _BY_NAME.get(" ".join(name.lower().replace("_", " ").replace("-", " ").split()))


def names() -> str:
    return ", ".join([m["name"] for m in METALS])


def density_of(f: Fields) -> tuple[str, float]:
    """(metal, g/cm3) from `metal` or the maker's own `density_g_cm3`, which goes first; ("", 0.0) if neither."""
    name = f.text("metal", example="mild steel") if f.has("metal") else ""
    row = find(name) if name else None
    if f.has("density_g_cm3"):
        own = f.number("density_g_cm3", 0.5, 25, example="7.85")
        return (row["name"] if row else name or "own density", own)
    if not name:
        return ("", 0.0)
    if row is None:
        raise f.bad(
            "metal", "No density is known for '" + name[:40] + "': give density_g_cm3, or one of: " + names() + "."
        )
    return (row["name"], float(row["density_g_cm3"]))


def is_zinced(f: Fields, metal: str) -> bool:
    """By the metal's name or by the maker's own `zinc: true`; a `zinc: false` does not take the coating off."""
    row = find(metal)
    named = row["zinc"] if row else any(word in metal.lower() for word in ZINC_WORDS)
    return f.flag("zinc") or bool(named)


def answer(q: Fields) -> dict[str, Any]:
    """`metals`: the table with its densities and sources, for a list to choose from."""
    return {"metals": METALS, "zinc_caution": ZINC_CAUTION, "zinc_source": ZINC_SOURCE}
