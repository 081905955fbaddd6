"""What is asked for, as rows: panel, tube, taper, collar and profile, by size or by count.

Widths turn into rings of the closed rows by the column pitch, lengths into steps of two
row pitches. `along` is the direction of the rows, `across` the other; rows that run round
the body lie along its width, rows that run down it along its height.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ..base.errors import BadField, NoAnswer
from ..base.fields import Fields, plain
from ..base.rounding import nearest
from .rows import Rows, between, limited, straight
from .stepped_rows import cut, waisted

if TYPE_CHECKING:
    from collections.abc import Callable

    from .pitch import Weave

    Reader = Callable[[Fields, "Weave | None"], Rows]

MOST_MM = 20000
MOST_ROWS = 4001
MOST_COLUMNS = 20000
MOST_RINGS = 2000000
MOST_CHANGES = 10000
MOST_POINTS = 20000  # rows times widths of a profile


def _pitch(f: Fields, weave: Weave | None) -> Weave:
    if weave is None:
        raise BadField(
            "ring", "A size in millimetres needs the ring: give ring.wire_mm and ring.inner_mm."
        )
    return weave


def _rings(f: Fields, name: str, mm: float, weave: Weave, least: int) -> int:
    """Rings in a width, the nearest number."""
    n = nearest(mm / weave.column)
    if n < least:
        raise f.bad(
            name,
            _too_small((least - 0.5) * weave.column, plain(least) + " rings", least * weave.column),
        )
    if n > MOST_COLUMNS:
        raise f.bad(
            name, "More than " + plain(MOST_COLUMNS) + " rings in a row: plan it as several panels."
        )
    return n


def _too_small(from_mm: float, what: str, size_mm: float) -> str:
    """One rule along the rows and across them: a size comes out as the nearest that can be woven,
    never as another.
    """
    said = (
        "Too small for this ring: from " + plain(math.ceil(from_mm)) + " mm on it can be woven, as "
    )
    return said + what + ", " + plain(nearest(size_mm)) + " mm."


def _steps(f: Fields, name: str, mm: float, weave: Weave, least: int = 1) -> int:
    """Steps from closed row to closed row in a length."""
    n = nearest(mm / (2 * weave.row))
    if n < least:
        rows = plain(2 * least + (0 if least > 1 else 1)) + " rows"
        raise f.bad(name, _too_small((2 * least - 1) * weave.row, rows, 2 * least * weave.row))
    if 2 * n + 1 > MOST_ROWS:
        raise f.bad(name, "More than " + plain(MOST_ROWS) + " rows: plan it as several panels.")
    return n


def _mm(f: Fields, name: str, example: str) -> float:
    return f.number(name, 0, MOST_MM, above=True, example=example)


def runs(f: Fields) -> str:
    return f.choice("rows_run", ("round", "down"), "round")


# the names of a size, rows running round: first row, last row, from first to last row
NAMES = {
    "panel": ("width_mm", "", "height_mm"),
    "tube": ("around_mm", "", "length_mm"),
    "taper": ("from_mm", "to_mm", "length_mm"),
    "collar": ("neck_mm", "lower_mm", "slant_mm"),
    "profile": ("from_mm", "to_mm", "length_mm"),
}


def names_of(f: Fields) -> tuple[str, str, str]:
    """The names of the first row's size, the last row's ("" where they are one) and the size across
    the rows.
    """
    first, last, across = NAMES[f.choice("kind", KINDS)]
    return (across, last, first) if runs(f) == "down" else (first, last, across)


def _counted(f: Fields, round: bool) -> Rows:
    """By rows and columns; an even number of rows ends in an open edge row."""
    least = 3 if round else 2
    rows = f.integer("rows", 2, MOST_ROWS, example="11")
    columns = f.integer("columns", least, MOST_COLUMNS, example="24")
    return Rows([columns] * ((rows + 1) // 2), round=round, edge=rows % 2 == 0)


def _ring_of_rows(f: Fields) -> Rows:
    """A tube by rows and columns whose rows run down: its last row is joined to its first, so they
    are even.
    """
    rows = f.integer("rows", 6, MOST_ROWS, example="12")
    if rows % 2:
        why = "Rows of a tube that run down are even, since the last is joined to the first: "
        raise f.bad("rows", why + plain(rows - 1) + " or " + plain(rows + 1) + " would do.")
    return Rows([f.integer("columns", 2, MOST_COLUMNS, example="24")] * (rows // 2), ringed=True)


def _chains(f: Fields) -> Rows:
    """By chains and the units of each: 4c - 1 rows of 2k rings."""
    chains = f.integer("chains", 1, MOST_ROWS // 4, example="3")
    units = f.integer("units_per_chain", 1, MOST_COLUMNS // 2, example="5")
    return Rows([2 * units] * (2 * chains))


def _panel(f: Fields, weave: Weave | None) -> Rows:
    if f.has("rows") or f.has("columns"):
        return _counted(f, False)
    if f.has("chains"):
        return _chains(f)
    names = ("height_mm", "width_mm") if runs(f) == "down" else ("width_mm", "height_mm")
    along, across = _mm(f, names[0], "500"), _mm(f, names[1], "600")
    weave = _pitch(f, weave)
    n, steps = _rings(f, names[0], along, weave, 2), _steps(f, names[1], across, weave)
    return sized([n] * (steps + 1), [along] * (steps + 1))


def _tube(f: Fields, weave: Weave | None) -> Rows:
    if f.has("rows") or f.has("columns"):
        return _ring_of_rows(f) if runs(f) == "down" else _counted(f, True)
    around, length = _mm(f, "around_mm", "400"), _mm(f, "length_mm", "500")
    weave = _pitch(f, weave)
    if runs(f) == "down":
        n, steps = (
            _rings(f, "length_mm", length, weave, 2),
            _steps(f, "around_mm", around, weave, 3),
        )
        return sized([n] * steps, [length] * steps, ringed=True)
    n, steps = _rings(f, "around_mm", around, weave, 3), _steps(f, "length_mm", length, weave)
    return sized([n] * (steps + 1), [around] * (steps + 1), round=True)


def sized(
    closed: list[int], wanted: list[float], round: bool = False, ringed: bool = False
) -> Rows:
    rows = Rows(closed, round=round, ringed=ringed)
    rows.wanted = wanted
    return rows


def _only_round(f: Fields) -> None:
    if runs(f) == "down":
        why = (
            "A round shape that narrows is planned with rows that run round; with rows that run"
            " down, plan flat parts "
        )
        raise NoAnswer(
            f.at("rows_run"),
            why + "that narrow: they end in steps at their sides, and are joined there.",
        )


def _downward(f: Fields, name: str, widths: list[tuple[float, float]], weave: Weave | None) -> Rows:
    """Rows that run down a flat shape with sloping sides; `name` is the field that its widest place
    stands in.
    """
    if f.has("max_change"):
        why = (
            "With rows that run down no ring is added or taken away, the rows end in steps: leave"
            " max_change out."
        )
        raise f.bad("max_change", why)
    weave = _pitch(f, weave)
    steps = _steps(f, name, max([width for _, width in widths]), weave)
    if (steps + 1) * len(widths) > MOST_POINTS:
        raise f.bad(
            name,
            "Too many widths for so many rows: give fewer of them, or plan it as several panels.",
        )
    rows = cut(widths, weave.column, steps)
    if len(rows.closed) < 2:
        raise f.bad(
            name,
            "Too small for this ring: no two rows of two rings would come of it. A larger piece"
            " would do.",
        )
    return rows


def _taper(f: Fields, weave: Weave | None) -> Rows:
    """A sleeve is a round taper. By size, or by `from_columns`, `to_columns` and an odd number of
    `rows`.
    """
    round = f.flag("round")
    if round or f.has("from_columns") or f.has("to_columns"):
        _only_round(f)
    least = 3 if round else 2
    if f.has("from_columns") or f.has("to_columns"):
        steps = f.integer("rows", 3, MOST_ROWS, example="21") // 2
        first = f.integer("from_columns", least, MOST_COLUMNS, example="60")
        return Rows(
            straight(first, f.integer("to_columns", least, MOST_COLUMNS, example="32"), steps),
            round=round,
        )
    first_mm, last_mm, length = (
        _mm(f, "from_mm", "420"),
        _mm(f, "to_mm", "220"),
        _mm(f, "length_mm", "550"),
    )
    if runs(f) == "down":
        wide = "from_mm" if first_mm >= last_mm else "to_mm"
        return _downward(f, wide, [(0.0, first_mm), (length, last_mm)], weave)
    weave = _pitch(f, weave)
    steps = _steps(f, "length_mm", length, weave)
    return _sloped(
        f, ("from_mm", "to_mm"), lambda t: first_mm + (last_mm - first_mm) * t, steps, weave, round
    )


def _sloped(
    f: Fields,
    ends: tuple[str, str],
    width: Callable[[float], float],
    steps: int,
    weave: Weave,
    round: bool,
) -> Rows:
    """Each closed row as near as whole rings come to the width at its height, 0 to 1 of the way."""
    wanted = [width(i / steps) for i in range(steps + 1)]
    least = 3 if round else 2
    closed = [_rings(f, ends[1] if i else ends[0], w, weave, least) for i, w in enumerate(wanted)]
    return sized(closed, wanted, round=round)


def lower_edge(neck: float, slant: float, angle_deg: float) -> float:
    """Around the lower edge of a collar whose side leans `angle_deg` from straight down (90 =
    flat).
    """
    return neck + 2 * math.pi * slant * math.sin(math.radians(angle_deg))


def _collar(f: Fields, weave: Weave | None) -> Rows:
    _only_round(f)
    neck, slant = _mm(f, "neck_mm", "450"), _mm(f, "slant_mm", "250")
    lower = lower_edge(neck, slant, f.number("angle_deg", 0, 90, example="45"))
    weave = _pitch(f, weave)
    steps = _steps(f, "slant_mm", slant, weave)
    return _sloped(
        f, ("neck_mm", "slant_mm"), lambda t: neck + (lower - neck) * t, steps, weave, True
    )


def widths_of(f: Fields) -> list[tuple[float, float]]:
    """The profile's [[at_mm, width_mm], ...], heights rising from 0 or from anywhere."""
    out: list[tuple[float, float]] = []
    for i, pair in enumerate(f.entries("widths", least=2, most=200, like="[0, 500], [450, 380]")):
        where = "widths[" + str(i) + "]"
        if not isinstance(pair, list) or len(pair) != 2:
            raise f.bad(
                where,
                "Two numbers are needed: the height and the width there, for example [0, 450].",
            )
        both = Fields({"at_mm": pair[0], "width_mm": pair[1]}, f.at(where))
        at, width = both.number("at_mm", 0, MOST_MM), _mm(both, "width_mm", "450")
        if out and at <= out[-1][0]:
            raise f.bad(
                where, "Heights must rise: " + plain(at) + " comes after " + plain(out[-1][0]) + "."
            )
        out.append((at, width))
    return out


def _profile(f: Fields, weave: Weave | None) -> Rows:
    round = f.flag("round")
    if round:
        _only_round(f)
    widths = widths_of(f)
    if runs(f) == "down":
        if waisted(widths):
            why = (
                "Narrower in the middle than above and below, rows that run down would be cut in"
                " two near the sides: "
            )
            raise NoAnswer(
                f.at("rows_run"),
                why + "plan two panels that meet at the narrowest place, or let them run round.",
            )
        return _downward(f, "widths", widths, weave)
    weave = _pitch(f, weave)
    start, length = widths[0][0], widths[-1][0] - widths[0][0]
    steps = _steps(f, "widths", length, weave)
    for i, (_, width) in enumerate(widths):
        _rings(f, "widths[" + str(i) + "]", width, weave, 3 if round else 2)
    return _sloped(
        f, ("widths", "widths"), lambda t: between(widths, start + length * t), steps, weave, round
    )


KINDS = ("panel", "tube", "taper", "collar", "profile")
_READERS: dict[str, Reader] = {
    "panel": _panel,
    "tube": _tube,
    "taper": _taper,
    "collar": _collar,
    "profile": _profile,
}


def _limit(f: Fields, rows: Rows) -> None:
    """Holds every step to `max_change`; refuses a slope that no row can carry."""
    most = f.maybe_integer("max_change", 1, MOST_COLUMNS)
    if most is not None:
        closed = limited(rows.closed, most)
        rows.clipped = closed != rows.closed
        rows.closed = closed
    i = rows.steep()
    if i is not None:
        rings, change = plain(rows.open_row(i)), plain(abs(rows.change(i)))
        why = (
            "Too steep: "
            + change
            + " rings more or fewer in one step, where the row has only "
            + rings
            + " to hang them on. "
        )
        raise BadField(
            f.path, why + "A longer piece, or max_change " + rings + " or less, would do."
        )
    if sum([abs(rows.change(i)) for i in range(rows.steps)]) > MOST_CHANGES:
        raise BadField(
            f.path,
            "More than "
            + plain(MOST_CHANGES)
            + " increases and decreases: plan it as several panels.",
        )


def rows_of(f: Fields, weave: Weave | None) -> Rows:
    """The rows of the shape described by these fields; `weave` may be None where rows and columns
    are given.
    """
    rows = _READERS[f.choice("kind", KINDS)](f, weave)
    _limit(f, rows)
    if rows.rings > MOST_RINGS:
        raise BadField(
            f.path, "More than " + plain(MOST_RINGS) + " rings: plan it as several panels."
        )
    return rows
