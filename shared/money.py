"""Money in whole numbers of the currency's smallest unit, and which unit that is.

Codes and their digits after the point come from ISO 4217. No float is ever kept as money:
an amount is rounded once, halves up, where it is made.
"""

from __future__ import annotations

import json

from .fields import Fields, kind_of
from .figures import nearest

MOST = 10**13  # in the smallest unit: beyond any quotation, and still exact as a float

with open(__file__[: -len("money.py")] + "tables/currencies.json") as _file:
    _UNITS = json.load(_file)["minor_units"]

DIGITS: dict[str, int] = {}
for _row in _UNITS:
    for _code in _row["codes"].split():
        DIGITS[_code] = _row["digits"]


def currency_of(q: Fields) -> tuple[str, int]:
    """(code, digits after the point)."""
    code = q.get("currency")
    if not isinstance(code, str) or code not in DIGITS:
        why = "Give a currency by its three capital letters of ISO 4217, for example EUR, GBP, USD or JPY; it is "
        raise q.bad("currency", why + kind_of(code) + ".")
    return code, DIGITS[code]


def amount(value: float) -> int:
    """A computed sum as money."""
    return nearest(value)


def percent_of(base: int, percent: float) -> int:
    return nearest(base * percent / 100)


def written(value: int, digits: int) -> str:
    """1234 with two digits is 12.34; a text for sentences."""
    if not digits:
        return str(value)
    sign, whole = ("-", -value) if value < 0 else ("", value)
    tail = str(whole % 10**digits)
    return sign + str(whole // 10**digits) + "." + "0" * (digits - len(tail)) + tail
