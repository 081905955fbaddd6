"""The nearest sizes of a shape that leave no ring over: each is planned as it would be asked, so that
it holds.

Chains are three rows tall and an open row joins each to the next, so rows come in fours less one:
r = 4 c - 1 (r = 4 c where the last row is joined to the first); a unit is two rings wide, so a flat
panel's columns are even. Of the r nearest below and above, and of columns - 1 and + 1 where they are
odd, those are offered that can be made, nearest first by mm of change. Derived here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..base.errors import EngineError
from ..base.rounding import nearest
from .shape import rows_of, rows_run, size_names

if TYPE_CHECKING:
    from typing import Any

    from ..base.fields import Fields
    from .pitch import Pitch
    from .rows import Rows

    Suggestion = dict[str, Any]

SIZES_TRIED = 6  # on each side, four rows apart
MANY_ROWS = 400  # a size of more rows takes a phone a while, so that fewer are tried
SIZES_TRIED_OF_MANY_ROWS = 2


def _plain(rows: Rows) -> bool:
    """An odd column is left over."""
    return not rows.round and not rows.starts and not rows.changes() and rows.closed[0] % 2 == 1


def _fits(rows: Rows) -> bool:
    return len(rows.closed) % 2 == 0 and not rows.edge and not _plain(rows)


def suggested(f: Fields, rows: Rows, pitch: Pitch | None) -> list[Suggestion]:
    """The nearest sizes without left-overs, nearest first; [] where nothing is left over, or none
    near can be made.

    `rows`, `columns` where they are alike, and the sizes in mm by the names they are asked by.
    """
    if _fits(rows):
        return []
    n, columns = rows.count, rows.closed[0]
    below = n - (n - (0 if rows.ringed else 3)) % 4
    wide = [columns - 1, columns + 1] if _plain(rows) else [columns]
    p, q = (pitch.column, pitch.row) if pitch else (1.0, 1.0)
    found: list[tuple[float, int, int, Suggestion]] = []
    for c in wide:
        for start, way in ((below, -4), (below if below == n else below + 4, 4)):
            suggestion = _first(f, rows, pitch, start, way, c)
            if suggestion is not None and not any(
                o["rows"] == suggestion["rows"] and k == c for _, _, k, o in found
            ):
                found.append(
                    (
                        abs(suggestion["rows"] - n) * q + abs(c - columns) * p,
                        suggestion["rows"],
                        c,
                        suggestion,
                    )
                )
    return [
        found[i][3]
        for i in sorted(range(len(found)), key=lambda i: (found[i][0], found[i][1], found[i][2], i))
    ]


def _first(
    f: Fields, rows: Rows, pitch: Pitch | None, start: int, way: int, c: int
) -> Suggestion | None:
    """The first from `start` on, four rows at a time, that can be made and leaves nothing over."""
    tries = SIZES_TRIED if rows.count <= MANY_ROWS else SIZES_TRIED_OF_MANY_ROWS
    for r in range(start, start + way * tries, way):
        if r < 3:
            return None
        asked = _asked(f, rows, pitch, r, c)
        try:
            got = rows_of(f.joined(asked, {}), pitch)
        except EngineError:
            continue
        if _fits(got):
            return _suggestion(f, got, pitch, asked)
    return None


def _asked(f: Fields, rows: Rows, pitch: Pitch | None, r: int, c: int) -> Suggestion:
    """The fields of the shape that so many rows (and columns) are asked by."""
    if f.has("rows") or f.has("columns") or pitch is None:
        return _by_count(f, rows, r, c)
    across, along = (r if rows.ringed else r - 1) * pitch.row, c * pitch.column
    if f.data["kind"] == "profile":
        return {"widths": _widths(f, rows, across, along)}
    if rows.sloped:
        out: Suggestion = {
            name: _within(f.data[name], rows, f, across) for name in ("from_mm", "to_mm")
        }
        if _plain(rows):
            out["length_mm"] = along
        return out
    first, last, name = size_names(f)
    out = {name: across}
    if not last or _plain(rows):
        out[first] = along
    if last and _plain(rows):
        out[last] = along
    return out


def _by_count(f: Fields, rows: Rows, r: int, c: int) -> Suggestion:
    if f.has("columns"):
        return {"rows": r, "columns": c}
    return {"rows": r, "from_columns": c, "to_columns": c} if _plain(rows) else {"rows": r}


def _within(width: float, rows: Rows, f: Fields, widest: float) -> float:
    """A width of a shape whose widest place becomes `widest`, in tenths of a millimetre."""
    was = (
        max([w for _, w in f.data["widths"]])
        if f.data["kind"] == "profile"
        else max(f.data["from_mm"], f.data["to_mm"])
    )
    return nearest(10 * (widest if width == was else min(width, widest))) / 10


def _widths(f: Fields, rows: Rows, across: float, along: float) -> list[list[float]]:
    """A profile made as long (rows running down: as wide) as its rows need, and where even as wide
    (as long).
    """
    points = f.data["widths"]
    top, length = points[0][0], points[-1][0] - points[0][0]
    even = _plain(rows)
    if rows_run(f) == "down":
        tall = along / length if even else 1.0
        return [[top + (at - top) * tall, _within(width, rows, f, across)] for at, width in points]
    return [[top + (at - top) * across / length, along if even else width] for at, width in points]


def _suggestion(f: Fields, got: Rows, pitch: Pitch | None, asked: Suggestion) -> Suggestion:
    """What was asked, and what it comes to under the same names."""
    out: Suggestion = {"rows": got.count}
    for name in sorted(asked):
        out[name] = asked[name]
    if pitch is None:
        return out
    along, across = (
        got.closed[0] * pitch.column,
        (got.count if got.ringed else got.count - 1) * pitch.row,
    )
    if got.sloped:
        out["widest_mm"] = across
        return out
    first, last, name = size_names(f)
    out[name] = across
    if not last:
        out["columns"], out[first] = got.closed[0], along
    return out
