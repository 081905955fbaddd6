"""Money in whole numbers of a currency's smallest unit, and which unit that is.

Codes and their digits after the point are those of ISO 4217 (`tables/currencies.json`). An amount
is rounded once, halves up, where it is computed, and in integers: a quantity q is read back as the
fraction a / b that was written, so that

    cost = floor(a * each / b + 1/2)

is exact to the unit.
"""

from __future__ import annotations

import json

from ..base.fields import Fields, kind_of
from ..base.rounding import nearest, ratio
from ..base.sentences import sentence

MOST = 10**13  # in the smallest unit: beyond any quotation, and still exact as a float

with open(__file__[: -len("money/currency.py")] + "tables/currencies.json") as _file:
    _UNITS = json.load(_file)["minor_units"]

DIGITS: dict[str, int] = {}
for _row in _UNITS:
    for _code in _row["codes"].split():
        DIGITS[_code] = _row["digits"]


def currency_of(q: Fields) -> tuple[str, int]:
    """(code, digits after the point) of `currency`; raises BadField for an unknown one."""
    code = q.get("currency")
    if not isinstance(code, str) or code not in DIGITS:
        raise q.bad("currency", sentence("money.currency_unknown", kind=kind_of(code)))
    return code, DIGITS[code]


def as_fraction(x: float) -> tuple[int, int]:
    """(a, b) with x = a / b and b a power of ten: the number as written, to fifteen digits.

    A float holds 33.3 only nearly, so a half computed in floats may fall to either side.
    """
    places, whole = 9, 10**6
    while places and x >= whole:
        places, whole = places - 1, whole * 10
    return nearest(x * 10**places), 10**places


def cost_of(quantity: float, each: int) -> int:
    """The cost of a quantity (hours, kilograms, pieces) at `each` smallest units apiece."""
    a, b = as_fraction(quantity)
    return ratio(a * each, b)


def percent_of(base: int, percent: float) -> int:
    """So many percent of an amount, in smallest units."""
    a, b = as_fraction(percent)
    return ratio(base * a, 100 * b)


def without_share(cost: int, percent: float) -> int:
    """cost / (1 - percent / 100): the amount of which `cost` is left without that share."""
    a, b = as_fraction(percent)
    return ratio(cost * 100 * b, 100 * b - a)


def format_money(value: int, digits: int) -> str:
    """An amount in smallest units as text: 1234 with two digits is "12.34"."""
    if not digits:
        return str(value)
    sign, whole = ("-", -value) if value < 0 else ("", value)
    tail = str(whole % 10**digits)
    return sign + str(whole // 10**digits) + "." + "0" * (digits - len(tail)) + tail
