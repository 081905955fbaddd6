"""A whole piece: its panels' bill of rings, wire, rivets and weight, and what each step must give.

`need` is what the finished piece holds; `to_make` what a step must hand on good, `start` how many to
begin with, both with the losses of the maker's record (requirements.py). Weight is of the rings;
rivets are given beside it, since the swaged metal stays.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..base.fields import Fields, good_and_bad, plain
from ..base.rounding import added, figure
from ..base.sentences import sentence
from ..fabric import chains
from ..material.metals import BARE, UNKNOWN, ZINC
from ..material.ring import CUTS
from .bill_of_materials import Bill, mandrel_of
from .joins import joins_of
from .parts import HEATED, MANDREL_MM, part_of
from .requirements import NetRequirements
from .steps import KEYS, rows_for, step_json
from .wire_needs import consumables_of, reserve_of, rivets_of, sizes_of, starts_per_ring, wires_of

if TYPE_CHECKING:
    from typing import Any

    from ..material.ring import Ring
    from .parts import Part
    from .requirements import Seen

    Row = dict[str, Any]

MOST_PANELS = 60
RIVETED = ("close", "unit", "unit_join", "chain_join", "left_over", "panel_join")
# step -> which runs of a panel its items gather in, and what those are
UNHEATED = ((ZINC, "piece.unheated_zinc"), (UNKNOWN, "piece.unheated_unknown"))
GROUPS = {"unit": "chain", "unit_join": "chain", "chain_join": "hanging"}


class Piece:
    """A piece's question, worked out: parts, bill, flow and the plan's rolling back."""

    def __init__(self, q: Fields) -> None:
        panels = q.parts("panels", most=MOST_PANELS, like='{"ring": {..}, "shape": {..}}')
        self.q = q
        self.mandrel_mm = q.maybe("mandrel_length_mm", 1, 5000)
        self.parts = [part_of(q, panel, i + 1) for i, panel in enumerate(panels)]
        self.chains = [chain for part in self.parts for chain in part.chains]
        self.joins = joins_of(q, self.parts)
        self.rows = rows_for(q)
        self._rings()
        self.bill = Bill(self.parts, self.joins, self.rows)
        self.structure = self.bill.structure()
        self.seen = losses_of(q, self.rows)
        self.sure = q.number("sure", 0.5, 0.999, 0.95)
        self.known: dict[str, int] = {}
        self.plan = NetRequirements(
            self.structure, self.structure.demand, {}, self.seen, self.sure, self.known
        )
        self.lossless = NetRequirements(self.structure, self.structure.demand, {}, {}, self.sure)
        if not any(self.lossless.to_go[s] for s in self.structure.order):
            raise q.bad("panels", sentence("piece.nothing_to_make"))

    def _rings(self) -> None:
        for part in self.parts:
            for ring in part.rings:
                ring.mandrel_length_mm = ring.mandrel_length_mm or self.mandrel_mm or 0.0
                if ring.kind != "solid" and ring.rings_per_coil(mandrel_of(ring)) < 1:
                    raise self.q.bad("mandrel_length_mm", sentence("piece.mandrel_short"))

    @property
    def coating(self) -> str:
        """What matters most before the fire: `zinc` if any ring is coated, `bare` only if all are
        known to be.
        """
        found = [ring.coating for part in self.parts for ring in part.rings]
        if ZINC in found:
            return ZINC
        known = (
            found
            and all(part.rings for part in self.parts)
            and all(coating == BARE for coating in found)
        )
        return BARE if known else UNKNOWN

    def row(self, step: str) -> Row:
        """The step's row of the table, with what this piece changes."""
        return self.rows[self.structure.order.index(step)]

    def need(self, step: str) -> int:
        """Items of the step that the finished piece takes, losses aside."""
        return self.lossless.to_go[step]

    def start(self, step: str) -> int:
        """Items of the step to begin with, losses allowed for."""
        return self.plan.to_go[step]

    def runs(self, step: str) -> chains.Runs:
        """Sizes of the groups a step's items gather in, one after the other; [] where they do not."""
        if step in ("unit", "unit_join"):
            return chains.runs_of([chain[0 if step == "unit" else 1] for chain in self.chains])
        if step == "chain_join":
            return [run for part in self.parts for run in part.hanging_runs]
        return []

    def needed(self) -> list[str]:
        """Steps with anything to do, and the piece's own ones, in making order."""
        return [s for s in self.structure.order if self.need(s) or s not in KEYS]


def losses_of(q: Fields, rows: list[Row]) -> Seen:
    """`losses: {step: {done, spoiled}}`, the maker's record of the steps."""
    part = q.maybe_part("losses")
    if part is None:
        return {}
    keys = [row["step"] for row in rows]
    out = {}
    for step in sorted(part.data):
        if step not in keys:
            names = ", ".join(keys[:20])
            raise part.bad(step, sentence("piece.no_such_step", names=names))
        one = part.part(step, like='{"done": 50, "spoiled": 2}')
        out[step] = good_and_bad(one)
    return out


def _uses(piece: Piece, step: str, rivets: bool) -> list[Row]:
    """What the items started use up: of earlier steps, and from the shelf (`step` null; wire has no
    number here).
    """
    out: list[Row] = []
    for use in piece.row(step)["uses"]:
        what, source = use["what"], use["step"]
        if use["how"] == "rivet" and rivets:
            out.append({"what": what, "step": None, "n": piece.start(step)})
        elif use["how"] == "wire":
            out.append({"what": what, "step": None, "n": None})
        elif use["how"] in ("chain", "panel"):
            n = (
                piece.need("unit")
                if use["how"] == "chain"
                else sum([p.panel["chains"] for p in piece.parts])
            )
            out.append({"what": what, "step": source, "n": n})
    for usage in piece.structure.uses_by(step):
        row = piece.row(usage.source)
        good = piece.plan.to_make[step]
        n = (
            piece.start("wind")
            if usage.source == "wind"
            else usage.wanted(0, good, piece.start(step) - good)
        )
        out.append({"what": row["yields"]["what"], "step": usage.source, "n": n})
    return out


def _wound(piece: Piece) -> list[Ring]:
    """The sorts of ring that are wound and cut here."""
    return [batch.ring for batch in piece.bill.batches if batch.made and batch.rings]


def _coil_notes(piece: Piece, step: str) -> list[str]:
    """The mandrel to wind on and the rings to cut, for each sort of ring."""
    out = []
    for ring in _wound(piece):
        size = {"inner_mm": plain(ring.inner_mm), "wire_mm": plain(ring.wire_mm)}
        if step == "wind":
            key = "piece.mandrel" if ring.springback else "piece.mandrel_unmeasured"
            out.append(sentence(key, mandrel_mm=figure(ring.mandrel_mm, 2), **size))
        if step == "cut":
            length = mandrel_of(ring)
            n = ring.rings_per_coil(length)
            out.append(sentence("piece.coil_gives", coil_mm=plain(length), n=n, **size))
    return out


def _step(piece: Piece, step: str) -> Row:
    ways = [ring.cut for ring in _wound(piece)]
    out = step_json(piece.row(step), [cut for cut in CUTS if cut in ways or not ways])
    out["notes"] = out["notes"] + _coil_notes(piece, step)
    out["need"], out["start"] = piece.need(step), piece.start(step)
    out["to_make"] = piece.plan.to_make[step]
    runs = piece.runs(step)
    if runs and chains.total(runs):
        out["group"] = {"of": GROUPS[step], "runs": runs}
        if len(piece.parts) > 1:  # groups are counted within their panel
            out["group"]["panels"] = [[part.name, _groups(part, step)] for part in piece.parts]
    return out


def _groups(part: Part, step: str) -> int:
    """How many groups this step's items gather in, in one panel."""
    return (
        sum([times for _, times in part.hanging_runs]) if step == "chain_join" else len(part.chains)
    )


def _panel(part: Any) -> Row:
    out = {key: part.panel[key] for key in part.panel}
    out["name"] = part.name
    out["weight_g"] = part.weight_g()
    return out


def _warnings(piece: Piece, times: float) -> list[str]:
    out: list[str] = []
    by_part = [
        [w for ring in part.rings for w in ring.warnings] + part.panel["warnings"]
        for part in piece.parts
    ]
    for texts in by_part + [join.warnings for join in piece.joins]:
        for text in texts:
            if text not in out:
                out.append(text)
    if any(s in piece.structure.order for s in HEATED):
        for coating, key in UNHEATED:
            if any(ring.coating == coating for part in piece.parts for ring in part.rings):
                out.append(sentence(key))
    if any(not ring.density for part in piece.parts for ring in part.rings):
        out.append(sentence("piece.no_metal"))
    if any(not part.rings for part in piece.parts):
        out.append(sentence("piece.no_ring"))
    if times and any(b.made and not b.ring.mandrel_length_mm for b in piece.bill.batches):
        out.append(sentence("piece.no_mandrel_length", coil_mm=plain(MANDREL_MM)))
    for step in piece.plan.thin_records:
        out.append(sentence("piece.record_thin", step=step))
    return out


def _sums(piece: Piece) -> Row:
    panels = [p.panel for p in piece.parts]
    joins = sum([j.rings for j in piece.joins])
    out: Row = {}
    for name in ("closed", "open", "links", "units", "chains", "unit_joins", "chain_joins"):
        out[name] = sum([p[name] for p in panels])
    out["left_over_rings"] = sum([p["left_over_rings"] for p in panels])
    out["left_over"] = out["left_over_rings"]  # its name until now
    out["open"] += joins
    out["links"] += sum([j.links for j in piece.joins])
    out["panel_joins"] = joins
    out["rings"] = out["closed"] + out["open"]
    return out


def _material(piece: Piece) -> Row:
    times = starts_per_ring(piece.bill, piece.plan.to_go)
    reel_kg = piece.q.maybe("reel_kg", 0.001, 10000) or 0.0
    reserve, basis = reserve_of(piece.q)
    wires = wires_of(piece.bill, times, reel_kg, reserve)
    reels = [w["reels"] for w in wires]
    riveted = sum([piece.start(s) for s in RIVETED if s in piece.structure.order])
    out: Row = rivets_of(piece.bill, riveted)
    out["wires"] = wires
    out["sizes"] = sizes_of(piece.bill, times, reserve)
    for name, field in (
        ("wire_m", "metres"),
        ("wire_ends_m", "ends_m"),
        ("wire_reserve_m", "reserve_m"),
        ("wire_buy_m", "buy_m"),
    ):
        out[name] = added([w[field] for w in wires])
    weighed = None not in [w["kg"] for w in wires]
    for name, field in (("wire_g", "kg"), ("wire_buy_g", "buy_kg")):
        out[name] = added([w[field] for w in wires]) * 1000 if weighed else None
    out["reserve_percent"], out["reserve_basis"] = reserve, basis
    out["reels"] = sum(reels) if reels and None not in reels else None
    out["coils"] = piece.plan.to_go.get("wind", 0)
    weights = [p.weight_g() for p in piece.parts]
    lost = [j for j in piece.joins if j.part.open_ring is None]
    out["weight_g"] = None
    if None not in weights and not lost:
        out["weight_g"] = added([b.rings * b.ring.mass_g for b in piece.bill.batches])
    out["consumables"] = consumables_of(
        piece.q, (times or 1.0) * sum([b.rings for b in piece.bill.batches])
    )
    out["warnings"] = _warnings(piece, times)
    return out


def answer(q: Fields) -> dict[str, Any]:
    """Door question `piece`; see the module's head. Its answer is the plan that `stand` and the
    page read.

    A panel's `chain_runs`, `unit_join_runs` and `hanging_runs` are [[size, times], ...] in the order
    of work: units and unit joins of each chain, chain joins that hang each chain from the second on.
    """
    piece = Piece(q)
    out = _sums(piece)
    material = _material(piece)
    for key in sorted(material):
        out[key] = material[key]
    out["steps"] = []
    for step in piece.needed():
        row = _step(piece, step)
        row["uses"] = _uses(piece, step, out["rivets"] > 0)
        out["steps"].append(row)
    out["panels"] = [_panel(p) for p in piece.parts]
    out["joins"] = [{"name": j.name, "rings": j.rings, "links": j.links} for j in piece.joins]
    out["coating"] = piece.coating
    out["sure"] = piece.sure
    return out
