"""Whether the wire on hand is enough for the pieces, and when to order more.

Pieces are worked on in the order given: each evenly from its first to its last day where these are
given, else all at one pace; days are calendar days. With W(d) the work done by day d and w the work
at which the wire on hand is used up,

    runs_out = the day d with W(d) = w,   order_by = runs_out - delivery_days - spare_days

Rings on hand are used first. While they last no wire is drawn, so they put off the day it runs out
by the work they stand for. What a piece keeps in reserve is wire to buy, but not work, so it moves
no date.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from ..base.rounding import days_words, figure, nearest
from ..base.sentences import sentence
from ..material.metals import BARE, UNKNOWN, ZINC, caution_for, coating_of, density_of
from ..material.wire import g_per_m, wire_key
from .inventory import Reel, read_ring_lots

if TYPE_CHECKING:
    from typing import Any

    from ..base.fields import Fields
    from .inventory import RingLot

LIKE = '{"metal": "steel", "wire_mm": 1.2, "gross_g": 5400, "empty_g": 400}'
FAR_DAYS = 36500  # a century ahead is no date to plan by
SAME_MM = 5e-4  # rings whose insides differ by less are of one size
ROUNDING = 1e-9  # of the metres needed: a smaller lack is none


class WireNeed:
    """Wire that one piece still takes of one metal and thickness.

    `metres` and `reserve` in metres; `work` in the unit of the pace, metres or rings; `ready` is
    the part of the work whose rings are already made. Raises BadField naming the field.
    """

    def __init__(self, q: Fields, in_rings: bool) -> None:
        self.wire_mm = q.number("wire_mm", 0.1, 10)
        self.metal, density = density_of(q)
        if not density:
            raise q.bad("metal", sentence("money.wire_metal"))
        self.g_per_m = g_per_m(self.wire_mm, density)
        self.coating = coating_of(q, self.metal)[0]
        self.inner_mm = q.maybe("inner_mm", 0.3, 200)
        self.kind = q.text("kind", "", longest=20)
        by_kg = q.has("kg") and not q.has("metres")
        self.metres = (
            q.number("kg", 0, 10000) * 1000 / self.g_per_m
            if by_kg
            else q.number("metres", 0, 10**7, example="600")
        )
        self.reserve = q.number("reserve_m", 0, 10**7, 0.0)
        self.rings = q.integer("rings", 0, 10**8) if q.has("rings") or in_rings else 0
        self.work = float(self.rings) if in_rings else self.metres
        self.ready = 0.0

    def fits(self, lot: RingLot) -> bool:
        """Whether these rings are of the size needed, and of the kind where one is named."""
        alike = self.inner_mm is not None and abs(lot.inner_mm - self.inner_mm) < SAME_MM
        return (
            alike and wire_key(lot.metal, lot.wire_mm) == self.key() and self.kind in ("", lot.kind)
        )

    def use_rings(self, lots: list[RingLot]) -> None:
        """Take rings on hand out of their lots: they need no wire, but the work on them stays."""
        used = 0
        for lot in lots:
            if self.fits(lot):
                n = min(lot.n, self.rings - used)
                lot.n -= n
                used += n
        if used:
            share = used / self.rings
            self.ready = share * self.work
            self.metres -= share * self.metres
            self.reserve -= share * self.reserve

    def key(self) -> str:
        """Equal for needs of the same metal and thickness."""
        return wire_key(self.metal, self.wire_mm)


class PieceDays:
    """The days of one piece, counted from today, and its work.

    `before` is the work of the pieces before it; `end` is None where its last day is not given.
    """

    def __init__(self, before: float, work: float, begin: float, end: float | None) -> None:
        self.before, self.work, self.begin, self.end = before, work, begin, end

    def day(self, done: float) -> float | None:
        """The day by which so much work is done, in days from today; None if not known."""
        if self.end is None or not self.work:
            return None
        return self.begin + (self.end - self.begin) * (done - self.before) / self.work


class Wire:
    """One metal and thickness: metres on hand, needed and in reserve, and when it runs out.

    `out_at` is the work done by then and `out_of` the piece it happens in; None where it does not.
    """

    def __init__(self, metal: str, wire_mm: float, gram_per_m: float) -> None:
        self.metal = metal
        self.wire_mm = wire_mm
        self.g_per_m = gram_per_m
        self.on_hand = 0.0
        self.needed = 0.0
        self.reserve = 0.0
        self.coatings: list[str] = []
        self.out_at: float | None = None
        self.out_of: PieceDays | None = None

    @property
    def short(self) -> float:
        """Metres missing; what only rounding makes missing is none."""
        lack = self.needed - self.on_hand
        return lack if lack > ROUNDING * self.needed else 0.0

    @property
    def buy(self) -> float:
        """Metres to buy: what is missing, and what is missing of the reserve."""
        return max(self.short, self.needed + self.reserve - self.on_hand, 0.0)

    @property
    def coating(self) -> str:
        """The most dangerous coating among its reels and needs: zinc, unknown, bare."""
        for coating in (ZINC, UNKNOWN, BARE):
            if coating in self.coatings:
                return coating
        return UNKNOWN

    def add_need(self, need: WireNeed, done: float, piece: PieceDays) -> bool:
        """Add what a piece needs; True if the wire is enough for it.

        `done`: the work before it, that of earlier pieces included.
        """
        before = self.on_hand - self.needed
        self.needed += need.metres
        self.reserve += need.reserve
        self.coatings.append(need.coating)
        if not need.metres or not self.short:
            return True
        if self.out_at is None:
            share = max(0.0, before) / need.metres
            self.out_at = done + need.ready + share * (need.work - need.ready)
            self.out_of = piece
        return False


class OrderDates:
    """When to order, from `today`, the pace and the days of delivery; raises BadField."""

    def __init__(self, q: Fields) -> None:
        self.today = q.day("today")
        if not 1970 <= self.today.year <= 2500:
            raise q.bad("today", sentence("money.today"))
        pace = q.maybe_part("pace")
        self.in_rings = bool(pace and pace.has("rings_per_day"))
        self.per_day: float | None = None
        if pace is not None:
            name, example = ("rings_per_day", "60") if self.in_rings else ("metres_per_day", "6")
            self.per_day = pace.number(name, 0, 10**6, above=True, example=example)
        self.delivery = q.integer("delivery_days", 0, 3650, 0)
        self.spare = q.integer("spare_days", 0, 3650, 0)

    def days(self, work: float, piece: PieceDays | None) -> float | None:
        """Days from today until so much work is done; None if not known or a century off."""
        days = piece.day(work) if piece else None
        if days is None and self.per_day:
            days = work / self.per_day
        return days if days is not None and days < FAR_DAYS else None

    def span(self, piece: Fields, begin: float) -> tuple[float, float | None]:
        """(first day, last day or None) of a piece, in days from today.

        Without `from` it begins on `begin`, where the piece before it ends.
        """
        if piece.has("from"):
            begin = max(0.0, float((piece.day("from") - self.today).days))
        if not piece.has("until"):
            return begin, None
        return begin, max(begin, float((piece.day("until") - self.today).days))

    def dates(self, wire: Wire) -> dict[str, Any]:
        """`{runs_out, order_by, late_days}`: ISO days and a number, or None where not known."""
        out: dict[str, Any] = {"runs_out": None, "order_by": None, "late_days": None}
        days = None if wire.out_at is None else self.days(wire.out_at, wire.out_of)
        if days is None:
            return out
        runs_out = self.today + timedelta(days=int(days))
        by = runs_out - timedelta(days=self.delivery + self.spare)
        out["runs_out"] = runs_out.isoformat()
        out["late_days"] = max(0, (self.today - by).days)
        out["order_by"] = max(by, self.today).isoformat()
        return out


def _wire(wires: list[Wire], key: str, metal: str, wire_mm: float, gram_per_m: float) -> Wire:
    """The wire of this key, added to the list where it is not there yet."""
    for wire in wires:
        if wire_key(wire.metal, wire.wire_mm) == key:
            return wire
    wires.append(Wire(metal, wire_mm, gram_per_m))
    return wires[-1]


def _metres(m: float) -> str:
    """Metres in words, with as many digits as it takes to be more than nothing."""
    places = 1
    while places < 3 and nearest(m * 10**places) == 0:
        places += 1
    return figure(m, places) + " m"


def _enough_sentence(wire: Wire) -> str:
    if not wire.needed and not wire.reserve:
        return sentence("money.none_needed")
    spare = figure(wire.on_hand - wire.needed, 1) + " m"
    buy = figure(wire.buy, 1)
    if wire.buy and buy != "0.0":
        reserve = figure(wire.reserve, 1) + " m"
        return sentence("money.reserve_short", spare=spare, reserve=reserve, buy=buy + " m")
    return sentence("money.enough", spare=spare)


def _late_sentence(late: int, spare: int) -> str:
    """`late` days after the day to order, which leaves `spare` days before the wire runs out."""
    if late > spare:
        return sentence("money.order_too_late", days=days_words(late - spare))
    if late == spare:
        return sentence("money.order_same_day")
    days = days_words(spare - late)
    return sentence("money.order_little_spare", days=days, spare=days_words(spare))


def _order_sentence(wire: Wire, dates: dict[str, Any], today: str, spare: int) -> str:
    by, runs_out = dates["order_by"], str(dates["runs_out"])
    if by is None:
        return sentence("money.order_no_pace")
    if dates["late_days"]:
        return _late_sentence(int(dates["late_days"]), spare)
    if by == today and not wire.on_hand and runs_out == today:
        return sentence("money.order_now_none")
    key = "money.order_today" if by == today else "money.order_by"
    return sentence(key if wire.on_hand else key + "_none", by=str(by), day=runs_out)


def _why(wire: Wire, dates: dict[str, Any], today: str, spare: int) -> str:
    """One or two sentences: whether the wire is enough, and when to order."""
    if not wire.short:
        return _enough_sentence(wire)
    key = "money.short_with_reserve" if wire.buy > wire.short else "money.short"
    short = sentence(key, metres=_metres(wire.short), buy=_metres(wire.buy))
    return short + " " + _order_sentence(wire, dates, today, spare)


def _wire_row(wire: Wire, orders: OrderDates) -> dict[str, Any]:
    out = orders.dates(wire)
    why = _why(wire, out, orders.today.isoformat(), orders.spare)
    amounts = (
        ("held", wire.on_hand),
        ("needed", wire.needed),
        ("short", wire.short),
        ("reserve", wire.reserve),
    )
    for name, metres in amounts + (("buy", wire.buy),):
        out[name + "_m"], out[name + "_kg"] = metres, metres * wire.g_per_m / 1000
    out["left_m"] = max(0.0, wire.on_hand - wire.needed)
    out["metal"], out["wire_mm"] = wire.metal, wire.wire_mm
    out["reaches"], out["why"] = not wire.short, why
    out["coating"] = wire.coating
    out["caution"] = caution_for(wire.coating)
    return out


def _work_pieces(
    q: Fields, wires: list[Wire], lots: list[RingLot], orders: OrderDates
) -> list[dict[str, Any]]:
    """Work through the pieces in order; for each `{id, reaches}`."""
    out, done, last = [], 0.0, 0.0
    for number, piece in enumerate(q.parts("pieces", most=500)):
        unnamed = sentence("money.piece_name", number=number + 1)
        name = piece.text("id", unnamed, longest=120)
        needs = [WireNeed(part, orders.in_rings) for part in piece.parts("wires", most=100)]
        begin, end = orders.span(piece, last)
        days = PieceDays(done, sum([need.work for need in needs]), begin, end)
        last = begin if end is None else end
        reaches = True
        for need in needs:
            need.use_rings(lots)
            wire = _wire(wires, need.key(), need.metal, need.wire_mm, need.g_per_m)
            reaches = wire.add_need(need, done, days) and reaches
            done += need.work
        out.append({"id": name, "reaches": reaches})
    return out


def answer(q: Fields) -> dict[str, Any]:
    """Answer the question `stock`; raises BadField.

    `today`, `reels: [{wire_mm, metal, gross_g + empty_g | left_g | start_g + used_m/used_g}]`,
    `rings?: [{ring, n | grams}]`, `pieces?: [{id, wires: [{metal, wire_mm, metres | kg, reserve_m?,
    rings?, inner_mm?, kind?, zinc?}], from?, until?}]` in working order (the `sizes` of a piece's
    answer fit; `until`: the day it is likely done; `from`: else the day the piece before ends),
    `pace?: {metres_per_day | rings_per_day}` for pieces without `until`, `delivery_days?`,
    `spare_days?`. Of each wire `needed_m` is what the pieces use up, `buy_m` what is missing of
    that and of the reserve.
    """
    orders = OrderDates(q)
    reels = [Reel(part, i + 1) for i, part in enumerate(q.parts("reels", most=500, like=LIKE))]
    lots = read_ring_lots(q)
    ring_rows = [lot.row() for lot in lots]
    wires: list[Wire] = []
    for reel in reels:
        key = wire_key(reel.metal, reel.wire_mm)
        wire = _wire(wires, key, reel.metal, reel.wire_mm, reel.g_per_m)
        wire.on_hand += reel.metres
        wire.coatings.append(reel.coating)
    pieces = _work_pieces(q, wires, lots, orders)
    return {
        "reels": [reel.row() for reel in reels],
        "rings": ring_rows,
        "wires": [_wire_row(wire, orders) for wire in wires],
        "pieces": pieces,
        "warnings": [reel.warning for reel in reels if reel.warning],
    }
