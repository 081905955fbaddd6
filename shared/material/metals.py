"""Metals: density by name, and which wire carries zinc. The table names a source for every row.

A row of the table tells whether it is coated. Any other name is the maker's own: where it names
zinc, in one of many languages or as the trade writes it ('GI', 'HDG', 'Z275'), the wire is
zinc-coated; else nobody knows. What is not known counts as zinc-coated until the maker gives `zinc:
false`.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from ..base.fields import Fields
from ..base.sentences import sentence

if TYPE_CHECKING:
    from typing import Any

# as bytes, so that no system's own alphabet comes between: the table is UTF-8
with open(__file__[: -len("material/metals.py")] + "tables/metals.json", "rb") as _file:
    _TABLE: dict[str, Any] = json.loads(_file.read().decode())

METALS: list[dict[str, Any]] = _TABLE["metals"]
ZINC_CAUTION: str = _TABLE["zinc_caution"]
ZINC_SOURCE: str = _TABLE["zinc_source"]
ZINC_NAMES: dict[str, list[str]] = _TABLE["zinc_names"]

# coatings; NO_METAL where no metal is named at all
ZINC, UNKNOWN, BARE, NO_METAL = "zinc", "unknown", "bare", ""
ALL_ZINC = "zinc"  # the metal itself: nothing takes the zinc off it

_BY_NAME: dict[str, dict[str, Any]] = {}
for _metal in METALS:
    for _name in [_metal["name"]] + _metal["also"]:
        _BY_NAME[_name] = _metal


def find(name: str) -> dict[str, Any] | None:
    """The table's row for a name as people write it: `Mild_Steel` is mild steel."""
    return _BY_NAME.get(" ".join(name.lower().replace("_", " ").replace("-", " ").split()))


def names() -> str:
    """The metals of the table, for a sentence."""
    return ", ".join([m["name"] for m in METALS])


def density_of(f: Fields) -> tuple[str, float]:
    """(metal, g/cm3) from `metal` or the maker's own `density_g_cm3`, which goes first; ("", 0.0)
    if neither.
    """
    name = f.text("metal", example="mild steel") if f.has("metal") else ""
    row = find(name) if name else None
    if f.has("density_g_cm3"):
        own = f.number("density_g_cm3", 0.5, 25, example="7.85")
        return (row["name"] if row else name or "own density", own)
    if not name:
        return ("", 0.0)
    if row is None:
        why = sentence("material.density_unknown", metal=name[:40], metals=names())
        raise f.bad("metal", why)
    return (row["name"], float(row["density_g_cm3"]))


def _words(name: str) -> list[str]:
    """Letters and digits as they stand together; a letter beyond ASCII is one too."""
    kept = ""
    for letter in name.lower():
        kept += letter if letter.isalpha() or letter.isdigit() or ord(letter) > 127 else " "
    return kept.split()


def _is_mark(word: str) -> bool:
    """A coating's mark with its mass in g/m2 (EN 10346), such as Z275 or AZ150."""
    for mark in ZINC_NAMES["marks"]:
        mass = word[len(mark) :]
        if word.startswith(mark) and mass.isdigit() and 2 <= len(mass) <= 3:
            return True
    return False


def names_zinc(name: str) -> bool:
    """Whether a maker's own name for a wire shows that it carries zinc. Short words count only
    whole: not 'magi'.
    """
    words = _words(name)
    text = " " + " ".join(words) + " "
    if any(word in ZINC_NAMES["words"] or _is_mark(word) for word in words):
        return True
    if any(" " + phrase + " " in text for phrase in ZINC_NAMES["phrases"]):
        return True
    return any(stem in text for stem in ZINC_NAMES["stems"])


def caution_for(coating: str) -> str:
    """The caution for wire that is not to be heated, with its source; "" for bare wire."""
    if coating not in (ZINC, UNKNOWN):
        return ""
    key = "material.zinc_caution" if coating == ZINC else "material.coating_unknown"
    return sentence(key, caution=ZINC_CAUTION, source=ZINC_SOURCE)


def coating_of(f: Fields, metal: str) -> tuple[str, str]:
    """(coating, the caution for it or "") by `zinc: true|false` and the metal's name as
    `density_of` gives it.

    `zinc: false` is believed, with the caution kept where the name speaks of zinc.
    """
    row = find(metal)
    named = bool(row["zinc"]) if row else names_zinc(metal)
    given = f.has("zinc")
    caution = caution_for(ZINC)
    if f.flag("zinc") or (named and (not given or metal == ALL_ZINC)):
        return ZINC, caution
    if given and named:
        return BARE, sentence("material.bare_named_zinc", metal=metal[:40], caution=caution)
    if given or row:
        return BARE, ""
    if not metal:
        return NO_METAL, ""
    return UNKNOWN, caution_for(UNKNOWN)


def answer(q: Fields) -> dict[str, Any]:
    """`metals`: the table with its densities and sources, for a list to choose from."""
    return {"metals": METALS, "zinc_caution": ZINC_CAUTION, "zinc_source": ZINC_SOURCE}
