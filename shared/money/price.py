"""What to ask for a piece: labour, material, overhead, profit, tax and deposit.

Every line has two amounts: `p50` for the hours that are as likely to be too few as too many, `p80`
for the hours that are enough four times in five. With labour L, material M and percentages o
(overhead), m (margin) or u (mark-up), t (tax), d (deposit):

    cost  = (L + M) * (1 + o)
    net   = cost / (1 - m)   or   cost * (1 + u)
    total = net * (1 + t),   deposit = total * d

A margin is a share of the price, a mark-up a share of the cost: 25 % margin is 33 1/3 % mark-up,
so the answer shows both. Money is whole numbers of the smallest unit; each line is rounded once,
and the lines add up to the total exactly.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..base.fields import is_number, plain
from ..base.rounding import figure
from ..base.sentences import sentence
from .currency import MOST, cost_of, currency_of, format_money, percent_of, without_share

if TYPE_CHECKING:
    from typing import Any

    from ..base.fields import Fields

    Line = dict[str, Any]


LIKE = {
    "wire": '{"kg": 7.5, "per_kg": 900}',
    "consumables": '{"name": "gas", "amount": 3, "unit": "kg", "per_unit": 450}',
}


def _line(name: str, p50: int, p80: int, why: str) -> Line:
    return {"name": name, "p50": p50, "p80": p80, "why": why}


def _hours(q: Fields) -> tuple[float, float]:
    """The forecast's 50 and 80 % hours; one number stands for both."""
    if is_number(q.get("hours")):
        hours = q.number("hours", 0, 1000000, example="120")
        return hours, hours
    part = q.part("hours", like='{"p50": 120, "p80": 150}, or one number')
    p50 = part.number("p50", 0, 1000000, example="120")
    p80 = part.number("p80", 0, 1000000, example="150")
    if p80 < p50:
        raise part.bad("p80", sentence("money.hours_order"))
    return p50, p80


def _labour(q: Fields) -> Line:
    p50, p80 = _hours(q)
    rate = q.integer("rate", 0, 10**9, example="2500 for 25.00 an hour")
    why = sentence("money.labour_why", p50=figure(p50, 1), p80=figure(p80, 1))
    return _line(sentence("money.labour"), cost_of(p50, rate), cost_of(p80, rate), why)


def _bought(q: Fields, name: str, quantity: str, default: str) -> list[Line]:
    """Lines of material, each a quantity at a price each, or one line for an amount of all."""
    code, digits = currency_of(q)
    lines = []
    if is_number(q.get(name)):
        cost = q.integer(name, 0, 10**12, example="3000 for 30.00")
        return [_line(default, cost, cost, sentence("money.as_given"))]
    for part in q.parts(name, most=200, like=LIKE[name]):
        much = part.number(quantity, 0, 10**9)
        each = part.integer("per_" + ("kg" if quantity == "kg" else "unit"), 0, 10**9)
        unit = part.text("unit", "kg" if quantity == "kg" else "", longest=20)
        values = {"quantity": figure(much, 3), "each": format_money(each, digits), "code": code}
        if unit:
            why = sentence("money.bought_unit", unit=unit, **values)
        else:
            why = sentence("money.bought", **values)
        cost = cost_of(much, each)
        lines.append(_line(part.text("name", default, longest=80), cost, cost, why))
    return lines


def _others(q: Fields) -> list[Line]:
    return [
        _line(
            p.text("name", longest=80, example="leather"),
            p.integer("amount", 0, 10**12),
            p.integer("amount", 0, 10**12),
            sentence("money.as_given"),
        )
        for p in q.parts("other", most=200)
    ]


def _sum(lines: list[Line]) -> Line:
    return _line("", sum([n["p50"] for n in lines]), sum([n["p80"] for n in lines]), "")


def _share(name: str, base: Line, percent: float, why: str) -> Line:
    return _line(name, percent_of(base["p50"], percent), percent_of(base["p80"], percent), why)


def _margin(q: Fields, name: str) -> float:
    """In percent; 0.25 is refused, since it is meant as 25."""
    percent = q.number(name, 0, 1000, 0.0, example="25")
    if 0 < percent < 1 and name == "margin":
        raise q.bad(name, sentence("money.margin_share", percent=plain(100 * percent)))
    return percent


def _profit(q: Fields, cost: Line) -> Line:
    """A margin is a share of the price, so the price is cost / (1 - margin)."""
    if q.has("margin") and q.has("margin_percent"):
        raise q.bad("margin", sentence("money.margin_twice"))
    name = "margin" if q.has("margin") else "margin_percent"
    percent = _margin(q, name)
    profit, shown = sentence("money.profit"), figure(percent, 1)
    if q.choice("margin_on", ("price", "cost"), "price") == "cost":
        return _share(profit, cost, percent, sentence("money.profit_markup", percent=shown))
    if percent > 95:
        raise q.bad(name, sentence("money.margin_high"))
    p50, p80 = [without_share(cost[p], percent) - cost[p] for p in ("p50", "p80")]
    return _line(profit, p50, p80, sentence("money.profit_margin", percent=shown))


def _ratio(part: int, whole: int) -> float | None:
    return 100 * part / whole if whole else None


def _bounded(q: Fields, total: Line) -> None:
    if total["p80"] > MOST:
        raise q.bad("rate", sentence("money.total_too_large"))


def _deposit(q: Fields, total: Line) -> tuple[dict[str, int], dict[str, int]]:
    """(deposit, balance), which add up to the total."""
    percent = q.number("deposit_percent", 0, 100, 0.0)
    deposit = {p: percent_of(total[p], percent) for p in ("p50", "p80")}
    return deposit, {p: total[p] - deposit[p] for p in ("p50", "p80")}


def _costed(q: Fields) -> tuple[list[Line], Line, Line]:
    """All lines before tax, with the cost and the profit among them."""
    lines = [_labour(q)] + _bought(q, "wire", "kg", sentence("money.wire"))
    lines += _bought(q, "consumables", "amount", sentence("money.consumables")) + _others(q)
    overhead = q.number("overhead_percent", 0, 1000, 0.0)
    why = sentence("money.overhead_why", percent=figure(overhead, 1))
    lines.append(_share(sentence("money.overhead"), _sum(lines), overhead, why))
    cost = _sum(lines)
    lines.append(_profit(q, cost))
    return lines, cost, lines[-1]


def answer(q: Fields) -> dict[str, Any]:
    """Answer the question `price`; every amount in and out is in the currency's smallest unit.

    `currency` (ISO 4217), `hours: {p50, p80}` or a number, `rate` an hour,
    `wire: [{name?, kg, per_kg}]`, `consumables: [{name?, amount, unit?, per_unit}]` (each also as
    one amount), `other: [{name, amount}]`; `overhead_percent` on labour and material,
    `margin_percent` (or `margin`) with `margin_on: price|cost`, `tax_percent` on the net price,
    `deposit_percent` of the total. Raises BadField.
    """
    code, digits = currency_of(q)
    lines, cost, profit = _costed(q)
    net = _sum(lines)
    tax_percent = q.number("tax_percent", 0, 100, 0.0)
    why = sentence("money.tax_why", percent=figure(tax_percent, 1))
    lines.append(_share(sentence("money.tax"), net, tax_percent, why))
    total = _sum(lines)
    _bounded(q, total)
    deposit, balance = _deposit(q, total)
    return {
        "currency": code,
        "digits": digits,
        "lines": lines,
        "cost": _pair(cost),
        "net": _pair(net),
        "total": _pair(total),
        "deposit": deposit,
        "balance": balance,
        "margin_percent": _ratio(profit["p50"], net["p50"]),
        "markup_percent": _ratio(profit["p50"], cost["p50"]),
        "note": _note(cost),
    }


def _pair(line: Line) -> dict[str, int]:
    return {"p50": line["p50"], "p80": line["p80"]}


def _note(cost: Line) -> str:
    return sentence("money.note_one" if cost["p50"] == cost["p80"] else "money.note_two")
