"""What is asked for, as rows: panel, tube, taper, collar and profile, by size or by count.

With column pitch p and row pitch q in mm, a width w becomes nearest(w / p) rings of a closed row, a
length l becomes nearest(l / (2 q)) steps from closed row to closed row. A collar of neck n and slant
s whose side leans by an angle a from straight down measures n + 2 pi s sin(a) around its lower edge
(a cone's development; derived here). Between the heights of a profile widths run straight. `along` is
the direction of the rows, `across` the other; rows that run round the body lie along its width, rows
that run down it along its height.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ..base.errors import BadField, NoAnswer
from ..base.fields import Fields, plain
from ..base.rounding import nearest
from ..base.sentences import sentence
from .rows import Rows, even_steps, interpolate, limit_changes
from .stepped_rows import has_waist, stepped_rows

if TYPE_CHECKING:
    from collections.abc import Callable

    from .pitch import Pitch

    Reader = Callable[[Fields, "Pitch | None"], Rows]

MOST_MM = 20000
MOST_ROWS = 4001
MOST_COLUMNS = 20000
MOST_RINGS = 2000000
MOST_CHANGES = 10000
MOST_POINTS = 20000  # rows times widths of a profile


def _required_pitch(f: Fields, pitch: Pitch | None) -> Pitch:
    if pitch is None:
        raise BadField("ring", sentence("fabric.size_needs_ring"))
    return pitch


def _rings(f: Fields, name: str, mm: float, pitch: Pitch, least: int) -> int:
    """Rings in a width, the nearest number."""
    n = nearest(mm / pitch.column)
    if n < least:
        size = plain(nearest(least * pitch.column))
        from_mm = plain(math.ceil((least - 0.5) * pitch.column))
        why = sentence("fabric.width_small", from_mm=from_mm, rings=least, size_mm=size)
        raise f.bad(name, why)
    if n > MOST_COLUMNS:
        raise f.bad(name, sentence("fabric.columns_many", most=MOST_COLUMNS))
    return n


def _steps(f: Fields, name: str, mm: float, pitch: Pitch, least: int = 1) -> int:
    """Steps from closed row to closed row in a length."""
    n = nearest(mm / (2 * pitch.row))
    if n < least:
        rows = 2 * least + (0 if least > 1 else 1)
        size = plain(nearest(2 * least * pitch.row))
        from_mm = plain(math.ceil((2 * least - 1) * pitch.row))
        why = sentence("fabric.length_small", from_mm=from_mm, rows=rows, size_mm=size)
        raise f.bad(name, why)
    if 2 * n + 1 > MOST_ROWS:
        raise f.bad(name, sentence("fabric.rows_many", most=MOST_ROWS))
    return n


def _mm(f: Fields, name: str, example: str) -> float:
    return f.number(name, 0, MOST_MM, above=True, example=example)


def rows_run(f: Fields) -> str:
    """Which way the rows run on the body: "round" or "down"."""
    return f.choice("rows_run", ("round", "down"), "round")


# the names of a size, rows running round: first row, last row, from first to last row
NAMES = {
    "panel": ("width_mm", "", "height_mm"),
    "tube": ("around_mm", "", "length_mm"),
    "taper": ("from_mm", "to_mm", "length_mm"),
    "collar": ("neck_mm", "lower_mm", "slant_mm"),
    "profile": ("from_mm", "to_mm", "length_mm"),
}


def size_names(f: Fields) -> tuple[str, str, str]:
    """The names of the first row's size, the last row's ("" where they are one) and the size across
    the rows.
    """
    first, last, across = NAMES[f.choice("kind", KINDS)]
    return (across, last, first) if rows_run(f) == "down" else (first, last, across)


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
        why = sentence("fabric.tube_rows_even", fewer=rows - 1, more=rows + 1)
        raise f.bad("rows", why)
    return Rows([f.integer("columns", 2, MOST_COLUMNS, example="24")] * (rows // 2), ringed=True)


def _chains(f: Fields) -> Rows:
    """By chains and the units of each: 4c - 1 rows of 2k rings."""
    chains = f.integer("chains", 1, MOST_ROWS // 4, example="3")
    units = f.integer("units_per_chain", 1, MOST_COLUMNS // 2, example="5")
    return Rows([2 * units] * (2 * chains))


def _panel(f: Fields, pitch: Pitch | None) -> Rows:
    if f.has("rows") or f.has("columns"):
        return _counted(f, False)
    if f.has("chains"):
        return _chains(f)
    names = ("height_mm", "width_mm") if rows_run(f) == "down" else ("width_mm", "height_mm")
    along, across = _mm(f, names[0], "500"), _mm(f, names[1], "600")
    pitch = _required_pitch(f, pitch)
    n, steps = _rings(f, names[0], along, pitch, 2), _steps(f, names[1], across, pitch)
    return sized([n] * (steps + 1), [along] * (steps + 1))


def _tube(f: Fields, pitch: Pitch | None) -> Rows:
    if f.has("rows") or f.has("columns"):
        return _ring_of_rows(f) if rows_run(f) == "down" else _counted(f, True)
    around, length = _mm(f, "around_mm", "400"), _mm(f, "length_mm", "500")
    pitch = _required_pitch(f, pitch)
    if rows_run(f) == "down":
        n, steps = (
            _rings(f, "length_mm", length, pitch, 2),
            _steps(f, "around_mm", around, pitch, 3),
        )
        return sized([n] * steps, [length] * steps, ringed=True)
    n, steps = _rings(f, "around_mm", around, pitch, 3), _steps(f, "length_mm", length, pitch)
    return sized([n] * (steps + 1), [around] * (steps + 1), round=True)


def sized(
    closed: list[int], wanted: list[float], round: bool = False, ringed: bool = False
) -> Rows:
    """A row plan beside the widths wanted, mm, one a closed row."""
    rows = Rows(closed, round=round, ringed=ringed)
    rows.wanted = wanted
    return rows


def _only_round(f: Fields) -> None:
    if rows_run(f) == "down":
        raise NoAnswer(f.at("rows_run"), sentence("fabric.round_narrows"))


def _downward(f: Fields, name: str, widths: list[tuple[float, float]], pitch: Pitch | None) -> Rows:
    """Rows that run down a flat shape with sloping sides; `name` is the field that its widest place
    stands in.
    """
    if f.has("max_change"):
        raise f.bad("max_change", sentence("fabric.max_change_down"))
    pitch = _required_pitch(f, pitch)
    steps = _steps(f, name, max([width for _, width in widths]), pitch)
    if (steps + 1) * len(widths) > MOST_POINTS:
        raise f.bad(name, sentence("fabric.widths_many"))
    rows = stepped_rows(widths, pitch.column, steps)
    if len(rows.closed) < 2:
        raise f.bad(name, sentence("fabric.no_two_rows"))
    return rows


def _taper(f: Fields, pitch: Pitch | None) -> Rows:
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
            even_steps(first, f.integer("to_columns", least, MOST_COLUMNS, example="32"), steps),
            round=round,
        )
    first_mm, last_mm, length = (
        _mm(f, "from_mm", "420"),
        _mm(f, "to_mm", "220"),
        _mm(f, "length_mm", "550"),
    )
    if rows_run(f) == "down":
        wide = "from_mm" if first_mm >= last_mm else "to_mm"
        return _downward(f, wide, [(0.0, first_mm), (length, last_mm)], pitch)
    pitch = _required_pitch(f, pitch)
    steps = _steps(f, "length_mm", length, pitch)
    return _sloped(
        f, ("from_mm", "to_mm"), lambda t: first_mm + (last_mm - first_mm) * t, steps, pitch, round
    )


def _sloped(
    f: Fields,
    ends: tuple[str, str],
    width: Callable[[float], float],
    steps: int,
    pitch: Pitch,
    round: bool,
) -> Rows:
    """Each closed row as near as whole rings come to the width at its height, 0 to 1 of the way."""
    wanted = [width(i / steps) for i in range(steps + 1)]
    least = 3 if round else 2
    closed = [_rings(f, ends[1] if i else ends[0], w, pitch, least) for i, w in enumerate(wanted)]
    return sized(closed, wanted, round=round)


def lower_edge(neck: float, slant: float, angle_deg: float) -> float:
    """mm around the lower edge of a collar whose side leans `angle_deg` from straight down (90 =
    flat).
    """
    return neck + 2 * math.pi * slant * math.sin(math.radians(angle_deg))


def _collar(f: Fields, pitch: Pitch | None) -> Rows:
    _only_round(f)
    neck, slant = _mm(f, "neck_mm", "450"), _mm(f, "slant_mm", "250")
    lower = lower_edge(neck, slant, f.number("angle_deg", 0, 90, example="45"))
    pitch = _required_pitch(f, pitch)
    steps = _steps(f, "slant_mm", slant, pitch)
    return _sloped(
        f, ("neck_mm", "slant_mm"), lambda t: neck + (lower - neck) * t, steps, pitch, True
    )


def widths_of(f: Fields) -> list[tuple[float, float]]:
    """The profile's [[at_mm, width_mm], ...], heights rising from 0 or from anywhere."""
    out: list[tuple[float, float]] = []
    for i, pair in enumerate(f.entries("widths", least=2, most=200, like="[0, 500], [450, 380]")):
        where = "widths[" + str(i) + "]"
        if not isinstance(pair, list) or len(pair) != 2:
            raise f.bad(where, sentence("fabric.width_pair", example="[0, 450]"))
        both = Fields({"at_mm": pair[0], "width_mm": pair[1]}, f.at(where))
        at, width = both.number("at_mm", 0, MOST_MM), _mm(both, "width_mm", "450")
        if out and at <= out[-1][0]:
            why = sentence("fabric.heights_rise", at_mm=plain(at), before_mm=plain(out[-1][0]))
            raise f.bad(where, why)
        out.append((at, width))
    return out


def _profile(f: Fields, pitch: Pitch | None) -> Rows:
    round = f.flag("round")
    if round:
        _only_round(f)
    widths = widths_of(f)
    if rows_run(f) == "down":
        if has_waist(widths):
            raise NoAnswer(f.at("rows_run"), sentence("fabric.waist_down"))
        return _downward(f, "widths", widths, pitch)
    pitch = _required_pitch(f, pitch)
    start, length = widths[0][0], widths[-1][0] - widths[0][0]
    steps = _steps(f, "widths", length, pitch)
    for i, (_, width) in enumerate(widths):
        _rings(f, "widths[" + str(i) + "]", width, pitch, 3 if round else 2)
    return _sloped(
        f,
        ("widths", "widths"),
        lambda t: interpolate(widths, start + length * t),
        steps,
        pitch,
        round,
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
        closed = limit_changes(rows.closed, most)
        rows.clipped = closed != rows.closed
        rows.closed = closed
    i = rows.steep()
    if i is not None:
        rings, change = rows.open_row(i), abs(rows.change(i))
        raise BadField(f.path, sentence("fabric.too_steep", change=change, rings=rings))
    if sum([abs(rows.change(i)) for i in range(rows.steps)]) > MOST_CHANGES:
        raise BadField(f.path, sentence("fabric.changes_many", most=MOST_CHANGES))


def rows_of(f: Fields, pitch: Pitch | None) -> Rows:
    """The rows of the shape described by these fields; `pitch` may be None where rows and columns
    are given. Raises BadField or NoAnswer.
    """
    rows = _READERS[f.choice("kind", KINDS)](f, pitch)
    _limit(f, rows)
    if rows.rings > MOST_RINGS:
        raise BadField(f.path, sentence("fabric.rings_many", most=MOST_RINGS))
    return rows
