"""One panel, whole: rows, changes, rings, links, the work in units and joins, the size reached.

The shape gives rows (shape.py), rows give the order of assembly (assembly.py); here they are put
beside the size that was asked for. With column pitch p and row pitch q: a row of n rings is n p long,
r rows are (r - 1) q from middle to middle (r q where the last is joined to the first), and

    error of the width   max_i |n_i p - w_i|          w_i the width wanted at closed row i
    area                 rings * p q                  each ring covers p q

Derived here. Also the weight, and the nearest sizes that leave nothing over.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..base.fields import Fields
from ..base.sentences import sentence
from ..material.ring import Ring, ring_beside
from . import chains, change_positions
from .assembly import STEPS, AssemblyOrder
from .pitch import Pitch, extent, pitch_of
from .rows import Rows
from .shape import KINDS, NAMES, lower_edge, rows_of, rows_run, size_names
from .size_suggestions import suggested

if TYPE_CHECKING:
    from typing import Any

LIKE = '{"kind": "panel", "width_mm": 500, "height_mm": 600}'


def across_mm(rows: Rows, pitch: Pitch) -> float:
    """Middle of the first row to middle of the last; all the way round where they meet."""
    n = rows.count
    return (n if rows.ringed else n - 1) * pitch.row


def _sloped_size(rows: Rows, pitch: Pitch) -> dict[str, float]:
    """Rows run down: how long the panel is, how wide from the first to the last row that reaches
    each edge.
    """
    starts = rows.starts or [0] * len(rows.closed)
    ends = [start + n for start, n in zip(starts, rows.closed)]
    upper, lower = starts.count(0), ends.count(max(ends))
    wide = 2 * pitch.row
    return {
        "length_mm": max(ends) * pitch.column,
        "from_mm": (upper - 1) * wide,
        "to_mm": (lower - 1) * wide,
    }


def _size(f: Fields, rows: Rows, pitch: Pitch) -> dict[str, float]:
    """The size reached, under the names it was asked by."""
    if rows.sloped:
        return _sloped_size(rows, pitch)
    first, last, across = size_names(f)
    out = {first: rows.closed[0] * pitch.column, across: across_mm(rows, pitch)}
    if last:
        out[last] = rows.closed[-1] * pitch.column
    return out


def _edge_to_edge(rows: Rows, pitch: Pitch) -> dict[str, float | None]:
    """Over all, in the widest row and across the rows: null in a direction that goes round and has
    no edge.
    """
    along = (max(rows.closed) - 1) * pitch.column + extent(pitch.ring)
    across = across_mm(rows, pitch) + pitch.ring.outer_mm
    return {"along_mm": None if rows.round else along, "across_mm": None if rows.ringed else across}


def _asked(f: Fields) -> dict[str, float]:
    """The size asked for, under the same names; {} where rows were counted."""
    kind = f.data["kind"]
    if kind == "profile":
        ends = (f.data["widths"][0], f.data["widths"][-1])
        return {"from_mm": ends[0][1], "to_mm": ends[1][1], "length_mm": ends[1][0] - ends[0][0]}
    out = {name: f.data[name] for name in NAMES[kind] if name and f.has(name)}
    if kind == "collar":
        out["lower_mm"] = lower_edge(out["neck_mm"], out["slant_mm"], f.data["angle_deg"])
    return out


def _errors(f: Fields, rows: Rows, pitch: Pitch) -> dict[str, Any]:
    """`error_mm`: the furthest any closed row is from the width asked; `size_error_mm`: reached
    less asked.
    """
    if not rows.wanted:
        return {"error_mm": 0.0, "size_error_mm": {}}
    size, asked = _size(f, rows, pitch), _asked(f)
    return {
        "error_mm": max([abs(n * pitch.column - w) for n, w in zip(rows.closed, rows.wanted)]),
        "size_error_mm": {name: size[name] - asked[name] for name in sorted(size)},
    }


def _warnings(rows: Rows, assembly: AssemblyOrder) -> list[str]:
    out = list(rows.remarks)
    if rows.edge:
        n = rows.count
        out.append(sentence("fabric.edge_open", fewer=n - 1, more=n + 1))
    if assembly.row[0]:
        out.append(sentence("fabric.row_left_over"))
    if assembly.column[0]:
        out.append(sentence("fabric.column_left_over"))
    if rows.clipped:
        out.append(sentence("fabric.slope_clipped"))
    return out


def _count(f: Fields) -> dict[str, Any]:
    """A free count: so many rings, or items of each step by name; nothing is known of its rows."""
    items = f.counts("items", 10**7)
    joins = {step: items.get(step, 0) for step in STEPS}
    closed = items.get("close", 0)
    in_place = sum([joins[step] for step in STEPS])
    if f.has("rings") or not items:
        rings = f.integer("rings", 0, 10**7, example="500")
        in_place = f.integer("open", 0, rings, in_place if in_place <= rings else 0)
        closed = rings - in_place
    left = {"closed": 0, "open": joins["left_over"]}
    return {
        "rows": [],
        "changes": [],
        "rings": closed + in_place,
        "closed": closed,
        "open": in_place,
        "links": 0,
        "units": joins["unit"],
        "chains": items.get("chain", 0),
        "chain_units": [],
        "unit_joins": joins["unit_join"],
        "chain_joins": joins["chain_join"],
        "left_over": left,
        "left_over_rings": left["open"],
        "closing_rings": 0,
        "error_mm": 0.0,
        "size_error_mm": {},
        "suggest": [],
        "items": items,
        "chain_runs": [],
        "unit_join_runs": [],
        "hanging_runs": chains.spread(joins["chain_join"], items.get("chain", 0) - 1),
        "notes": [],
        "warnings": [],
    }


def _planned(f: Fields, rows: Rows, pitch: Pitch | None, assembly: AssemblyOrder) -> dict[str, Any]:
    out = assembly.as_json()
    out["rows"] = rows.rows
    out["changes"] = change_positions.changes(assembly)
    out["chain_runs"] = chains.runs_of(assembly.chain_units)
    out["unit_join_runs"] = chains.runs_of([joins for _, joins in assembly.chains])
    out["hanging_runs"] = chains.runs_of(assembly.hanging)
    out["suggest"] = suggested(f, rows, pitch)
    out["rows_run"] = rows_run(f)
    out["clipped"] = rows.clipped
    out["notes"] = [sentence("fabric.grain_" + rows_run(f))]
    if rows.starts:
        out["starts"] = rows.all_starts
        out["notes"].append(sentence("fabric.sides_stepped"))
    out["warnings"] = _warnings(rows, assembly)
    out["error_mm"] = 0.0
    out["size_error_mm"] = {}
    if pitch:
        out["size_mm"] = _size(f, rows, pitch)
        out["edge_to_edge_mm"] = _edge_to_edge(rows, pitch)
        errors = _errors(f, rows, pitch)
        for name in sorted(errors):
            out[name] = errors[name]
        _add_pitch(out, pitch)
    return out


def _add_pitch(out: dict[str, Any], pitch: Pitch) -> None:
    out["pitch_mm"] = pitch.as_json()["pitch_mm"]
    out["basis"] = pitch.basis
    out["state"] = pitch.state
    out["area_m2"] = out["rings"] * pitch.area_per_ring_mm2 / 1000000
    out["notes"].extend(pitch.notes)
    out["warnings"].extend(pitch.warnings)


def _ring(q: Fields, ring: Ring | None) -> Ring | None:
    return ring_beside(q, weighed=False) if ring is None and q.has("ring") else ring


def panel_of(q: Fields, ring: Ring | None = None) -> tuple[dict[str, Any], AssemblyOrder | None]:
    """The panel described by `shape`, `swatch?`, `state?` and, unless `ring` is handed in, the
    question's own ring.

    Beside its figures the order of assembly behind them; None where only items are counted. Raises
    BadField or NoAnswer.
    """
    f = shaped(q)
    kind = f.choice("kind", KINDS + ("count",))
    ring = _ring(q, ring)
    pitch = pitch_of(q, ring) if ring else None
    assembly = None if kind == "count" else assembly_of(f, rows_of(f, pitch))
    out = _planned(f, assembly.rows, pitch, assembly) if assembly else _count(f)
    out["weight_g"] = out["rings"] * ring.mass_g if ring and ring.density else None
    return out, assembly


def assembly_of(f: Fields, rows: Rows) -> AssemblyOrder:
    """The order of assembly of these rows, with chains of at most `units_per_chain` units."""
    return AssemblyOrder(rows, f.maybe_integer("units_per_chain", 1, 10000) or 0)


def shaped(q: Fields) -> Fields:
    """The shape, with what stands beside it in a panel: units_per_chain, rows_run, max_change."""
    shape = q.part("shape", like=LIKE)
    beside = [
        n for n in ("units_per_chain", "rows_run", "max_change") if q.has(n) and not shape.has(n)
    ]
    return shape.joined({n: q.get(n) for n in beside}, {n: q.at(n) for n in beside})


def answer(q: Fields) -> dict[str, Any]:
    """Door question `panel`: `shape`, `ring?`, `swatch?`, `state?`; see the module's head."""
    ring = _ring(q, None)
    out, _ = panel_of(q, ring)
    if ring:
        out["warnings"].extend(ring.warnings)
    return out
