"""Which of two changes of one value wins: the last writer, on every device alike.

A stamp is a hybrid logical clock, `[milliseconds, counter]` (Kulkarni and others, "Logical
Physical Clocks", 2014). Changes are ordered by (milliseconds, counter, device, seq); the greatest
wins. The order is total, since (device, seq) is a change's key, so it does not matter in which
order changes arrive. A change without a stamp has `[at, 0]`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from typing import Any

    StampKey = tuple[int, int, str, int]


def stamp_key(change: dict[str, Any]) -> StampKey:
    """(milliseconds, counter, device, seq) of a checked change, to sort by."""
    ms, n = change.get("stamp") or [change["at"], 0]
    return (ms, n, change["device"], change["seq"])


def later(a: dict[str, Any], b: dict[str, Any]) -> dict[str, Any]:
    """The one of two changes that wins."""
    return b if stamp_key(b) > stamp_key(a) else a
