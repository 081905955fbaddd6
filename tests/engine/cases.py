"""The case table: questions with their answers, run in CPython here and in the page's Python in the
browser.

A case is {name, source, question, expect: {path: value}} or {.., refuse: field, says?: [words],
example?:
what would do in a field left empty}; paths are
`rings`, `pitch_mm.column`, `steps[0].start`, and `len(rows)` for a length. Numbers agree at
a relative 1e-9 unless the case says otherwise in `rel` (its source says why).
"""

from __future__ import annotations

import json
import math
import re
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent / "cases"
REL = 1e-9
_MISSING = object()


def load_cases(folder: Path = FOLDER) -> list[dict[str, Any]]:
    """Every case of every file, with `id` = file: name."""
    out = []
    for path in sorted(folder.glob("*.json")):
        for case in json.loads(path.read_text(encoding="utf-8")):
            out.append({**case, "id": f"{path.stem}: {case['name']}"})
    return out


def look_up(answer: Any, path: str) -> Any:
    """The value at a path, or a marker where there is none."""
    if path.startswith("len(") and path.endswith(")"):
        found = look_up(answer, path[4:-1])
        return found if found is _MISSING else len(found)
    here = answer
    for name, index in re.findall(r"([^.\[\]]+)|\[(-?\d+)\]", path):
        try:
            here = here[name] if name else here[int(index)]
        except (KeyError, IndexError, TypeError):
            return _MISSING
    return here


def same(got: Any, wanted: Any, rel: float) -> bool:
    """Equal in kind and value; numbers at the relative tolerance."""
    if isinstance(wanted, bool) or wanted is None or isinstance(wanted, str):
        return type(got) is type(wanted) and got == wanted
    if isinstance(wanted, (int, float)):
        number = isinstance(got, (int, float)) and not isinstance(got, bool)
        return number and math.isclose(got, wanted, rel_tol=rel, abs_tol=rel * 1e-3)
    if isinstance(wanted, list):
        return (
            isinstance(got, list)
            and len(got) == len(wanted)
            and all(map(same, got, wanted, [rel] * len(got)))
        )
    return (
        isinstance(got, dict)
        and got.keys() == wanted.keys()
        and all(same(got[k], wanted[k], rel) for k in wanted)
    )


def check(answer: dict[str, Any], case: dict[str, Any]) -> list[str]:
    """What differs between the answer and the case; [] when all is as it should be."""
    if "refuse" in case:
        if answer.get("ok") is not False:
            return [f"answered, but {case['refuse']} should have been refused"]
        error = answer["error"]
        wrong = (
            []
            if error["field"] == case["refuse"]
            else [f"refused {error['field']}: {error['why']}"]
        )
        if "example" in case and (
            not error.get("missing") or error.get("example") != case["example"]
        ):
            wrong.append(f"told as missing with {case['example']!r}: {error}")
        return wrong + [
            f"'{w}' is not in: {error['why']}"
            for w in case.get("says", [])
            if w not in error["why"]
        ]
    if answer.get("ok") is not True:
        return [f"refused {answer['error']['field']}: {answer['error']['why']}"]
    rel = case.get("rel", REL)
    out = []
    for path, wanted in case["expect"].items():
        got = look_up(answer, path)
        if got is _MISSING or not same(got, wanted, rel):
            out.append(f"{path}: {'missing' if got is _MISSING else got!r}, not {wanted!r}")
    return out
