"""What to ask for a piece: labour from the forecast at 50 and 80 %, material, overhead, profit,
tax, deposit.

Every line stands twice, `p50` for hours as likely over as under, `p80` for hours kept four
times in five. Money is whole numbers of the smallest unit; the lines add up to the total
exactly. Profit is either a margin (a share of the price) or a mark-up (a share of the
cost): 25 % margin is 33 1/3 % mark-up, so the answer always shows both.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..base.fields import is_number, plain
from ..base.rounding import figure
from .currency import MOST, amount, currency_of, percent_of, without_share, written

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
    """The forecast's 50 and 80 % figures; one number is a span of none."""
    if is_number(q.get("hours")):
        told = q.number("hours", 0, 1000000, example="120")
        return told, told
    hours = q.part("hours", like='{"p50": 120, "p80": 150}, or one number')
    p50 = hours.number("p50", 0, 1000000, example="120")
    p80 = hours.number("p80", 0, 1000000, example="150")
    if p80 < p50:
        raise hours.bad(
            "p80", "The 80 % figure cannot be below the 50 % figure: it is the more careful one."
        )
    return p50, p80


def _labour(q: Fields) -> Line:
    p50, p80 = _hours(q)
    rate = q.integer("rate", 0, 10**9, example="2500 for 25.00 an hour")
    why = figure(p50, 1) + " h at 50 %, " + figure(p80, 1) + " h at 80 %, at the rate an hour"
    return _line("Labour", amount(p50, rate), amount(p80, rate), why)


def _bought(q: Fields, name: str, quantity: str, default: str) -> list[Line]:
    """Lines of material: so much of it, at so much each, or one amount for all; the same in both
    columns.
    """
    code, digits = currency_of(q)
    lines = []
    if is_number(q.get(name)):
        cost = q.integer(name, 0, 10**12, example="3000 for 30.00")
        return [_line(default, cost, cost, "as given")]
    for part in q.parts(name, most=200, like=LIKE[name]):
        much = part.number(quantity, 0, 10**9)
        each = part.integer("per_" + ("kg" if quantity == "kg" else "unit"), 0, 10**9)
        unit = part.text("unit", "kg" if quantity == "kg" else "", longest=20)
        why = (figure(much, 3) + " " + unit).strip() + " at " + written(each, digits) + " " + code
        cost = amount(much, each)
        lines.append(_line(part.text("name", default, longest=80), cost, cost, why))
    return lines


def _others(q: Fields) -> list[Line]:
    return [
        _line(
            p.text("name", longest=80, example="leather"),
            p.integer("amount", 0, 10**12),
            p.integer("amount", 0, 10**12),
            "as given",
        )
        for p in q.parts("other", most=200)
    ]


def _sum(lines: list[Line]) -> Line:
    return _line("", sum([n["p50"] for n in lines]), sum([n["p80"] for n in lines]), "")


def _share(name: str, base: Line, percent: float, why: str) -> Line:
    return _line(name, percent_of(base["p50"], percent), percent_of(base["p80"], percent), why)


def _margin(q: Fields, name: str) -> float:
    """In percent, and nobody means a quarter of one."""
    percent = q.number(name, 0, 1000, 0.0, example="25")
    if 0 < percent < 1 and name == "margin":
        raise q.bad(
            name,
            "A margin is given in percent: "
            + plain(100 * percent)
            + " for this share of the price.",
        )
    return percent


def _profit(q: Fields, cost: Line) -> Line:
    """A margin is a share of the price, so the price is cost / (1 - margin)."""
    if q.has("margin") and q.has("margin_percent"):
        raise q.bad(
            "margin", "The margin is given twice: leave margin out, margin_percent is enough."
        )
    name = "margin" if q.has("margin") else "margin_percent"
    percent = _margin(q, name)
    said = figure(percent, 1) + " % "
    if q.choice("margin_on", ("price", "cost"), "price") == "cost":
        return _share("Profit", cost, percent, said + "of the cost (mark-up)")
    if percent > 95:
        raise q.bad(
            name,
            "A margin is a share of the price: 95 % at most. A larger one is a mark-up on the"
            " cost.",
        )
    p50, p80 = [without_share(cost[p], percent) - cost[p] for p in ("p50", "p80")]
    return _line("Profit", p50, p80, said + "of the price (margin)")


def _ratio(part: int, whole: int) -> float | None:
    return 100 * part / whole if whole else None


def _bounded(q: Fields, total: Line) -> None:
    if total["p80"] > MOST:
        raise q.bad(
            "rate",
            "This comes to more than a quotation can hold: check hours, rate and amounts (smallest"
            " unit).",
        )


def _parted(q: Fields, total: Line) -> tuple[Line, Line]:
    """Deposit and balance, exactly adding up."""
    percent = q.number("deposit_percent", 0, 100, 0.0)
    deposit = _share("Deposit", total, percent, figure(percent, 1) + " % of the total")
    rest = _line(
        "Balance", total["p50"] - deposit["p50"], total["p80"] - deposit["p80"], "due at the end"
    )
    return deposit, rest


def _costed(q: Fields) -> tuple[list[Line], Line, Line]:
    """All lines before tax, with the cost and the profit among them."""
    lines = [_labour(q)] + _bought(q, "wire", "kg", "Wire")
    lines += _bought(q, "consumables", "amount", "Consumables") + _others(q)
    overhead = q.number("overhead_percent", 0, 1000, 0.0)
    lines.append(
        _share("Overhead", _sum(lines), overhead, figure(overhead, 1) + " % of labour and material")
    )
    cost = _sum(lines)
    lines.append(_profit(q, cost))
    return lines, cost, lines[-1]


def answer(q: Fields) -> dict[str, Any]:
    """Door question `price`: `currency`, `hours: {p50, p80}` or a number, `rate` an hour, material
    and percentages.

    `wire: [{name?, kg, per_kg}]`, `consumables: [{name?, amount, unit?, per_unit}]` (each also as
    one amount),
    `other: [{name, amount}]`; `overhead_percent` on labour and material, `margin_percent` (or
    `margin`) with
    `margin_on: price|cost`, `tax_percent` on the net price, `deposit_percent` of the total. Every
    amount in and
    out is in the smallest unit.
    """
    code, digits = currency_of(q)
    lines, cost, profit = _costed(q)
    net = _sum(lines)
    tax_percent = q.number("tax_percent", 0, 100, 0.0)
    lines.append(_share("Tax", net, tax_percent, figure(tax_percent, 1) + " % of the net price"))
    total = _sum(lines)
    _bounded(q, total)
    parted = _parted(q, total)
    return {
        "currency": code,
        "digits": digits,
        "lines": lines,
        "cost": _pair(cost),
        "net": _pair(net),
        "total": _pair(total),
        "deposit": _pair(parted[0]),
        "balance": _pair(parted[1]),
        "margin_percent": _ratio(profit["p50"], net["p50"]),
        "markup_percent": _ratio(profit["p50"], cost["p50"]),
        "note": _note(cost, total),
    }


def _pair(line: Line) -> dict[str, int]:
    return {"p50": line["p50"], "p80": line["p80"]}


def _note(cost: Line, total: Line) -> str:
    if cost["p50"] == cost["p80"]:
        return "Both columns are alike: the hours given have no spread."
    return (
        "Half of all such pieces take more work than the 50 % price covers, one in five more than"
        " the 80 % price."
    )
