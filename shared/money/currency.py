"""Money in whole numbers of the currency's smallest unit, and which unit that is.

Codes and their digits after the point come from ISO 4217. Money is integers throughout:
an amount is rounded once, halves up, where it is made.
"""

from __future__ import annotations

import json

from ..base.fields import Fields, kind_of
from ..base.rounding import nearest, ratio

MOST = 10**13  # in the smallest unit: beyond any quotation, and still exact as a float

with open(__file__[: -len("money/currency.py")] + "tables/currencies.json") as _file:
    _UNITS = json.load(_file)["minor_units"]

DIGITS: dict[str, int] = {}
for _row in _UNITS:
    for _code in _row["codes"].split():
        DIGITS[_code] = _row["digits"]


def currency_of(q: Fields) -> tuple[str, int]:
    """(code, digits after the point)."""
    code = q.get("currency")
    if not isinstance(code, str) or code not in DIGITS:
        why = (
            "Give a currency by its three capital letters of ISO 4217, for example EUR, GBP, USD or"
            " JPY; it is "
        )
        raise q.bad("currency", why + kind_of(code) + ".")
    return code, DIGITS[code]


def exact(x: float) -> tuple[int, int]:
    """(a, b) with x = a / b, b a power of ten: the number as it was written, up to fifteen digits
    of it.

    A float holds 33.3 only nearly, so a half computed in floats may fall to either side.
    """
    places, whole = 9, 10**6
    while places and x >= whole:
        places, whole = places - 1, whole * 10
    return nearest(x * 10**places), 10**places


def amount(quantity: float, each: int) -> int:
    """So much of it (hours, kilograms, pieces) at so much each."""
    a, b = exact(quantity)
    return ratio(a * each, b)


def percent_of(base: int, percent: float) -> int:
    a, b = exact(percent)
    return ratio(base * a, 100 * b)


def without_share(cost: int, percent: float) -> int:
    """The sum that is left with `cost` when so many percent of the sum are taken away."""
    a, b = exact(percent)
    return ratio(cost * 100 * b, 100 * b - a)


def written(value: int, digits: int) -> str:
    """1234 with two digits is 12.34; a text for sentences."""
    if not digits:
        return str(value)
    sign, whole = ("-", -value) if value < 0 else ("", value)
    tail = str(whole % 10**digits)
    return sign + str(whole // 10**digits) + "." + "0" * (digits - len(tail)) + tail
