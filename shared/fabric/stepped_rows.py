"""Rows that run down a panel whose sides slope: each as long as the panel is there, cut short in steps.

No ring is added or taken away inside: a row ends where the side is, and what it is longer than one
neighbour hangs on the other. With s steps and W the widest place, row i stands for an even strip of
it, so that the area is kept, and is as long as the panel is at the middle of the strip:

    w_i = |2 i - s| W / (s + 1),   row i = {h : width(h) >= w_i}

rounded to whole rings of the column pitch. Heights in mm from the first one given. Derived here,
checked by fabrics built ring by ring (tests/outside/test_slope.py).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..base.rounding import nearest
from ..base.sentences import sentence
from .rows import Rows

if TYPE_CHECKING:
    Widths = list[tuple[float, float]]  # (height, width), heights rising
    Span = tuple[int, int]  # rings from the upper edge: where a row begins, where it ends

LEAST_RINGS = 2  # rings of a row that an open row can still hold


def has_waist(widths: Widths) -> bool:
    """Narrower somewhere than above and below: a row near the side would be in two pieces."""
    fallen = False
    for (_, upper), (_, lower) in zip(widths, widths[1:]):
        if lower > upper and fallen:
            return True
        fallen = fallen or lower < upper
    return False


def span_at_width(widths: Widths, wide: float) -> tuple[float, float]:
    """(from, to): where the panel is at least so wide; not wider than its widest place, no waist."""
    ends: list[float] = []
    for (a, upper), (b, lower) in zip(widths, widths[1:]):
        if max(upper, lower) >= wide:
            ends.append(a if upper >= wide else a + (b - a) * (wide - upper) / (lower - upper))
            ends.append(b if lower >= wide else a + (b - a) * (upper - wide) / (upper - lower))
    return min(ends), max(ends)


def _supported(spans: list[Span]) -> list[Span]:
    """No row reaches beyond both of its neighbours: nothing would hold its end."""
    out = list(spans)
    for i, (begin, end) in enumerate(spans):
        beside = [out[j] for j in (i - 1, i + 1) if 0 <= j < len(out)]
        if beside:
            out[i] = (
                max(begin, min([s[0] for s in beside])),
                min(end, max([s[1] for s in beside])),
            )
    return out


def _spans(widths: Widths, column: float, steps: int) -> tuple[list[Span], list[float]]:
    """Each row's rings and the length wanted there, mm: what the panel measures in the middle of
    the row's strip.
    """
    widest, top = max([width for _, width in widths]), widths[0][0]
    spans, wanted = [], []
    for i in range(steps + 1):
        begin, end = span_at_width(widths, abs(2 * i - steps) * widest / (steps + 1))
        spans.append((nearest((begin - top) / column), nearest((end - top) / column)))
        wanted.append(end - begin)
    return spans, wanted


def stepped_rows(widths: Widths, column: float, steps: int) -> Rows:
    """The rows of a panel, from side to side; `column` is the pitch along them, `steps` from closed
    row to closed row.

    Fewer rows come back where the outermost would be too short to hold; none where all are.
    """
    spans, wanted = _spans(widths, column, steps)
    remarks = []
    while spans and spans[0][1] - spans[0][0] < LEAST_RINGS:
        spans, wanted = spans[1:-1], wanted[1:-1]
        remarks = [sentence("fabric.outer_rows_short")]
    held = _supported(spans)
    rows = Rows([end - begin for begin, end in held])
    rows.sloped, rows.wanted = True, wanted
    rows.remarks = remarks + ([sentence("fabric.point_blunt")] if held != spans else [])
    if held != held[:1] * len(held):
        first = min([begin for begin, _ in held])
        rows.starts = [begin - first for begin, _ in held]
    return rows
