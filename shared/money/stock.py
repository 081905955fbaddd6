"""Does the wire reach, and when to order more: reels and rings on hand against what the pieces
still take.

Pieces are worked in the order given, each evenly from its first day to its last where these are
given, else at one pace for all, in calendar days. Rings on hand are taken first, then wire: while
they are worked no wire is drawn, so they put off the day it runs out by the work they stand for. An
order placed on `order_by` comes on the day the wire runs out. What a piece keeps in reserve is not
work and moves no date: it is wire to buy besides.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from ..base.rounding import days_words, figure, nearest
from ..material.metals import BARE, UNKNOWN, ZINC, caution_for, coating_of, density_of
from ..material.wire import g_per_m, wire_key
from .inventory import Reel, heaps_of

if TYPE_CHECKING:
    from typing import Any

    from ..base.fields import Fields
    from .inventory import Heap

LIKE = '{"metal": "steel", "wire_mm": 1.2, "gross_g": 5400, "empty_g": 400}'
FAR = 36500  # days: a century ahead is no date to plan by


class Want:
    """Wire that a piece still takes; `work` is in the unit of the pace, metres or rings.

    `ready` is the part of the work whose rings lie there already.
    """

    def __init__(self, q: Fields, piece: str, in_rings: bool) -> None:
        self.piece = piece
        self.wire_mm = q.number("wire_mm", 0.1, 10)
        self.metal, density = density_of(q)
        if not density:
            raise q.bad("metal", "Name the metal of this wire, or give density_g_cm3.")
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

    def fits(self, heap: Heap) -> bool:
        """Rings of this very size; of this kind too where it is said."""
        alike = self.inner_mm is not None and abs(heap.inner_mm - self.inner_mm) < 5e-4
        return (
            alike
            and wire_key(heap.metal, heap.wire_mm) == self.key()
            and self.kind in ("", heap.kind)
        )

    def take(self, heaps: list[Heap]) -> None:
        """Rings on hand need no wire; they still pass the other steps, so their work stays."""
        lying = 0
        for heap in heaps:
            if self.fits(heap):
                n = min(heap.n, self.rings - lying)
                heap.n -= n
                lying += n
        if lying:
            share = lying / self.rings
            self.ready = share * self.work
            self.metres -= share * self.metres
            self.reserve -= share * self.reserve

    def key(self) -> str:
        return wire_key(self.metal, self.wire_mm)


class Stretch:
    """The days of a piece, from today, and its work, which follows that of the pieces `before`.

    `end` is None where nothing is said of the piece's last day.
    """

    def __init__(self, before: float, work: float, begin: float, end: float | None) -> None:
        self.before, self.work, self.begin, self.end = before, work, begin, end

    def day(self, done: float) -> float | None:
        """The day on which so much work is done, in days from today."""
        if self.end is None or not self.work:
            return None
        return self.begin + (self.end - self.begin) * (done - self.before) / self.work


class Wire:
    """One metal and thickness: what is held, what is wanted, and how much work is done when it runs
    out.
    """

    def __init__(self, metal: str, wire_mm: float, gram: float) -> None:
        self.metal = metal
        self.wire_mm = wire_mm
        self.g_per_m = gram
        self.held = 0.0
        self.wanted = 0.0
        self.reserve = 0.0
        self.coatings: list[str] = []
        self.out_at: float | None = None  # work done before it runs out
        self.out_of: Stretch | None = None  # and in which piece

    @property
    def short(self) -> float:
        """Metres missing; a hair of rounding is none."""
        lack = self.wanted - self.held
        return lack if lack > 1e-9 * self.wanted else 0.0

    @property
    def buy(self) -> float:
        """Metres to buy: what is missing, and what is missing of the reserve."""
        return max(self.short, self.wanted + self.reserve - self.held, 0.0)

    @property
    def coating(self) -> str:
        for coating in (ZINC, UNKNOWN, BARE):
            if coating in self.coatings:
                return coating
        return UNKNOWN

    def want(self, want: Want, done: float, piece: Stretch) -> bool:
        """Takes the metres; True if they were all there. `done`: work before it, that of earlier
        pieces too.
        """
        before = self.held - self.wanted
        self.wanted += want.metres
        self.reserve += want.reserve
        self.coatings.append(want.coating)
        if not want.metres or not self.short:
            return True
        if self.out_at is None:
            share = max(0.0, before) / want.metres
            self.out_at = done + want.ready + share * (want.work - want.ready)
            self.out_of = piece
        return False


class Orders:
    """When to order, from `today`, the pace and the days of delivery."""

    def __init__(self, q: Fields) -> None:
        self.today = q.day("today")
        if not 1970 <= self.today.year <= 2500:
            raise q.bad("today", "Give today's date, for example 2026-05-17.")
        pace = q.maybe_part("pace")
        self.in_rings = bool(pace and pace.has("rings_per_day"))
        self.per_day: float | None = None
        if pace is not None:
            name, example = ("rings_per_day", "60") if self.in_rings else ("metres_per_day", "6")
            self.per_day = pace.number(name, 0, 10**6, above=True, example=example)
        self.delivery = q.integer("delivery_days", 0, 3650, 0)
        self.spare = q.integer("spare_days", 0, 3650, 0)

    def days(self, work: float, piece: Stretch | None) -> float | None:
        said = piece.day(work) if piece else None
        days = work / self.per_day if said is None and self.per_day else said
        return days if days is not None and days < FAR else None

    def span(self, piece: Fields, begin: float) -> tuple[float, float | None]:
        """First and last day of a piece, in days from today; it begins where the one before ends,
        unless said.
        """
        if piece.has("from"):
            begin = max(0.0, float((piece.day("from") - self.today).days))
        if not piece.has("until"):
            return begin, None
        return begin, max(begin, float((piece.day("until") - self.today).days))

    def dates(self, wire: Wire) -> dict[str, Any]:
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


def _wire(wires: list[Wire], key: str, metal: str, wire_mm: float, gram: float) -> Wire:
    for wire in wires:
        if wire_key(wire.metal, wire.wire_mm) == key:
            return wire
    wires.append(Wire(metal, wire_mm, gram))
    return wires[-1]


def _metres(m: float) -> str:
    """In words, with as many digits as it takes to be more than nothing."""
    places = 1
    while places < 3 and nearest(m * 10**places) == 0:
        places += 1
    return figure(m, places) + " m"


def _spare(wire: Wire) -> str:
    """The wire reaches: with how much to spare, and whether that is the whole reserve."""
    if not wire.wanted and not wire.reserve:
        return "No more of it is needed."
    left = wire.held - wire.wanted
    said = "It reaches, with " + figure(left, 1) + " m to spare"
    if wire.buy and figure(wire.buy, 1) != "0.0":
        return (
            said
            + ", less than the "
            + figure(wire.reserve, 1)
            + " m kept in reserve: buy "
            + figure(wire.buy, 1)
            + " m."
        )
    return said + "."


def _late(late: int, spare: int) -> str:
    """`late` days after the day to order, which leaves `spare` days between delivery and running
    out.
    """
    if late > spare:
        return "it runs out " + days_words(late - spare) + " before a delivery could come."
    if late == spare:
        return "a delivery would come on the day it runs out."
    return (
        "a delivery would come "
        + days_words(spare - late)
        + " before it runs out, not the "
        + str(spare)
        + " to spare."
    )


def _why(wire: Wire, dates: dict[str, Any], today: str, spare: int) -> str:
    if not wire.short:
        return _spare(wire)
    said = _metres(wire.short) + " are missing"
    said += (", " + _metres(wire.buy) + " with the reserve; ") if wire.buy > wire.short else "; "
    if dates["order_by"] is None:
        return said + "with a pace the day to order can be told."
    if dates["late_days"]:
        return said + "order now: " + _late(int(dates["late_days"]), spare)
    out = "it runs out on " if wire.held else "none is held, and it is wanted on "
    if dates["order_by"] == today:
        now = not wire.held and dates["runs_out"] == today
        return said + (
            "none is held: order now."
            if now
            else "order today: " + out + str(dates["runs_out"]) + "."
        )
    return said + "order by " + str(dates["order_by"]) + ": " + out + str(dates["runs_out"]) + "."


def _figures(wire: Wire, orders: Orders) -> dict[str, Any]:
    out = orders.dates(wire)
    why = _why(wire, out, orders.today.isoformat(), orders.spare)
    amounts = (
        ("held", wire.held),
        ("needed", wire.wanted),
        ("short", wire.short),
        ("reserve", wire.reserve),
    )
    for name, metres in amounts + (("buy", wire.buy),):
        out[name + "_m"], out[name + "_kg"] = metres, metres * wire.g_per_m / 1000
    out["left_m"] = max(0.0, wire.held - wire.wanted)
    out["metal"], out["wire_mm"], out["reaches"], out["why"] = (
        wire.metal,
        wire.wire_mm,
        not wire.short,
        why,
    )
    out["coating"] = wire.coating
    out["caution"] = caution_for(wire.coating)
    return out


def _worked(
    q: Fields, wires: list[Wire], heaps: list[Heap], orders: Orders
) -> list[dict[str, Any]]:
    """The pieces in order, each with whether the wire reaches for it."""
    out, done, last = [], 0.0, 0.0
    for number, piece in enumerate(q.parts("pieces", most=500)):
        name = piece.text("id", "piece " + str(number + 1), longest=120)
        wants = [Want(part, name, orders.in_rings) for part in piece.parts("wires", most=100)]
        begin, end = orders.span(piece, last)
        stretch = Stretch(done, sum([want.work for want in wants]), begin, end)
        last = begin if end is None else end
        reaches = True
        for want in wants:
            want.take(heaps)
            wire = _wire(wires, want.key(), want.metal, want.wire_mm, want.g_per_m)
            reaches = wire.want(want, done, stretch) and reaches
            done += want.work
        out.append({"id": name, "reaches": reaches})
    return out


def answer(q: Fields) -> dict[str, Any]:
    """Door question `stock`.

    `today`, `reels: [{wire_mm, metal, gross_g + empty_g | left_g | start_g + used_m/used_g}]`,
    `rings?: [{ring, n | grams}]`, `pieces?: [{id, wires: [{metal, wire_mm, metres | kg, reserve_m?,
    rings?,
    inner_mm?, kind?, zinc?}], from?, until?}]` in working order (the `sizes` of a piece's answer
    fit; `until`: the day
    it is likely done, `from`: else where the piece before ends), `pace?: {metres_per_day |
    rings_per_day}` for pieces
    without `until`, `delivery_days?`, `spare_days?`. Of each wire `needed_m` is what the pieces use
    up,
    `buy_m` what is missing of that and of the reserve.
    """
    orders = Orders(q)
    reels = [Reel(part, i + 1) for i, part in enumerate(q.parts("reels", most=500, like=LIKE))]
    heaps = heaps_of(q)
    shown = [heap.figures() for heap in heaps]
    wires: list[Wire] = []
    for reel in reels:
        wire = _wire(
            wires, wire_key(reel.metal, reel.wire_mm), reel.metal, reel.wire_mm, reel.g_per_m
        )
        wire.held += reel.metres
        wire.coatings.append(reel.coating)
    pieces = _worked(q, wires, heaps, orders)
    return {
        "reels": [reel.figures() for reel in reels],
        "rings": shown,
        "wires": [_figures(wire, orders) for wire in wires],
        "pieces": pieces,
        "warnings": [reel.warning for reel in reels if reel.warning],
    }
