"""What one change of the log must look like, as a table; `problem` walks it.

Only the shape is judged: whether an undo's target exists, or a step belongs to a piece,
is no matter here, since changes arrive in any order.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..base.fields import MOST, kind_of

if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import Any

    Check = Callable[[Any], bool]
    Shape = list[tuple[str, Check, bool]]

MOST_AT_ONCE = 1000000  # items in one change: more is a slip of the finger, not a day's work
LAST_MS = 4102444800000  # 2100-01-01; later clocks are broken clocks
MOST_TARGETS = 100  # values that one knowingly replaces; the page names one or two
NODES = 20000  # parts of one written-down value


def is_whole(value: Any) -> bool:
    return isinstance(value, int) and value is not True and value is not False


def _text(value: Any) -> bool:
    return isinstance(value, str) and 0 < len(value) <= 200


def _note(value: Any) -> bool:
    return isinstance(value, str) and len(value) <= 2000


def _seq(value: Any) -> bool:
    return is_whole(value) and 1 <= value <= MOST


def _natural(value: Any) -> bool:
    return is_whole(value) and 0 <= value <= MOST


def _ms(value: Any) -> bool:
    return is_whole(value) and 0 <= value <= LAST_MS


def _zone(value: Any) -> bool:
    return is_whole(value) and -1440 <= value <= 1440


def _version(value: Any) -> bool:
    return is_whole(value) and value == 1


def _items(value: Any) -> bool:
    return is_whole(value) and 1 <= abs(value) <= MOST_AT_ONCE


def _minutes(value: Any) -> bool:
    return (is_whole(value) or isinstance(value, float)) and 0 <= value <= 100000


def _yes(value: Any) -> bool:
    return value is True or value is False


def _target(value: Any) -> bool:
    return isinstance(value, dict) and _text(value.get("device")) and _seq(value.get("seq"))


def _targets(value: Any) -> bool:
    return (
        isinstance(value, list)
        and len(value) <= MOST_TARGETS
        and all(_target(each) for each in value)
    )


def _stamp(value: Any) -> bool:
    return (
        isinstance(value, list)
        and len(value) == 2
        and _ms(value[0])
        and is_whole(value[1])
        and 0 <= value[1] <= MOST
    )


def _how(value: Any) -> bool:
    return value in ("tap", "weigh", "hand", "stocktake", "correct")


def _event(value: Any) -> bool:
    return value in ("start", "pause", "go", "stop", "trim", "correct")


def _json(value: Any) -> bool:
    """Any JSON value of a fair size whose numbers are finite; without recursion, for deep nests."""
    heap, met = [value], 0
    while heap:
        one = heap.pop()
        met += 1
        if met > NODES:
            return False
        if isinstance(one, dict):
            heap.extend([one[k] for k in one])
        elif isinstance(one, list):
            heap.extend(one)
        elif isinstance(one, (int, float)) and not -1e300 < one < 1e300:
            return False
    return True


# check -> what would do, for the sentence
_WANTED: list[tuple[Check, str]] = [
    (_text, "a text of 1 to 200 letters"),
    (_note, "a text of at most 2,000 letters"),
    (_seq, "a whole number from 1 up"),
    (_natural, "a whole number from 0 up"),
    (_ms, "milliseconds since 1970, before the year 2100"),
    (_zone, "minutes east of UTC, -1440 to 1440"),
    (_version, "1: a newer schema needs a newer engine"),
    (_items, "a whole number, not 0, of at most 1,000,000 items"),
    (_minutes, "minutes from 0 to 100,000"),
    (_yes, "true or false"),
    (_target, "an object with device and seq"),
    (_targets, "a list of at most 100 objects with device and seq"),
    (_stamp, "[milliseconds, counter]"),
    (_how, "tap, weigh, hand, stocktake or correct"),
    (_event, "start, pause, go, stop, trim or correct"),
    (_json, "a JSON value with finite numbers and at most 20,000 parts"),
]

# field, check, needed
_HEAD: Shape = [
    ("device", _text, True),
    ("seq", _seq, True),
    ("at", _ms, True),
    ("tz", _zone, True),
    ("v", _version, True),
]
_COUNTED: Shape = [
    ("piece", _text, True),
    ("step", _text, True),
    ("n", _items, True),
    ("panel", _text, False),
    ("sitting", _text, False),
    ("undoes", _target, False),
]
SHAPES: dict[str, Shape] = {
    "count": _COUNTED
    + [
        ("how", _how, False),
        ("opens", _yes, False),
        ("holds", _target, False),
        ("found", _natural, False),
    ],
    "scrap": _COUNTED + [("why", _note, False)],
    "sitting": [
        ("sitting", _text, True),
        ("piece", _text, True),
        ("step", _text, True),
        ("event", _event, True),
        ("from_ms", _ms, False),
        ("to_ms", _ms, False),
        ("keep_min", _minutes, False),
        ("minutes", _minutes, False),
        ("to_piece", _text, False),
        ("to_step", _text, False),
        ("deleted", _yes, False),
        ("uncounted", _yes, False),
        ("stamp", _stamp, False),
    ],
    "set": [
        ("thing", _text, True),
        ("id", _text, True),
        ("field", _text, True),
        ("value", _json, False),
        ("stamp", _stamp, False),
        ("over", _targets, False),
    ],
    "hold": [
        ("piece", _text, True),
        ("step", _text, True),
        ("n", _items, True),
        ("why", _note, False),
        ("sitting", _text, False),
    ],
}


def _wanted(check: Check) -> str:
    for known, words in _WANTED:
        if known is check:
            return words
    return "something else"


def _walk(change: dict[str, Any], shape: Shape) -> str | None:
    for field, check, needed in shape:
        value = change.get(field)
        if value is None and not needed:
            continue
        if not check(value):
            return field + " must be " + _wanted(check) + "; it is " + kind_of(value) + "."
    return None


def _undo(change: dict[str, Any]) -> str | None:
    if change.get("undoes"):
        return (
            None if change["n"] < 0 else "n of an undo must be negative, as many as it takes back."
        )
    return (
        None
        if change["n"] > 0
        else "n may be negative only in an undo: say which change it undoes."
    )


def _count(change: dict[str, Any]) -> str | None:
    if change.get("how") == "correct":
        return _correction(change)
    return _stocktake(change) if change.get("how") == "stocktake" else _undo(change)


def _stocktake(change: dict[str, Any]) -> str | None:
    """What was found less what the log said, as a difference: it may be either way, and no work was
    done.
    """
    if change.get("undoes"):
        return None
    if change.get("found") is None:
        return "A stocktake needs found, the number that was counted."
    for name in ("sitting", "opens", "holds"):
        if change.get(name) is not None:
            return "A stocktake is no work at the bench: leave out " + name + "."
    return None


def _correction(change: dict[str, Any]) -> str | None:
    """Items of a sitting put right afterwards, more of them or fewer; or that taken back."""
    good = change.get("sitting") or change.get("undoes")
    return None if good else "A correction of items must name the sitting that it corrects."


CORRECTED = (
    "from_ms",
    "to_piece",
    "to_step",
    "deleted",
    "uncounted",
)  # what a `correct` can say of a sitting


def _sitting(change: dict[str, Any]) -> str | None:
    if change["event"] == "correct" and [f for f in CORRECTED if change.get(f) is not None] == []:
        return "A correction needs one of " + ", ".join(CORRECTED) + "."
    return _trim(change)


def _trim(change: dict[str, Any]) -> str | None:
    if change["event"] != "trim" or change.get("minutes") is not None:
        return None
    if (
        change.get("from_ms") is None
        or change.get("to_ms") is None
        or change.get("keep_min") is None
    ):
        return "A trim needs minutes, or from_ms, to_ms and keep_min."
    return None if change["from_ms"] <= change["to_ms"] else "to_ms must not be before from_ms."


_MORE: dict[str, Callable[[dict[str, Any]], str | None]] = {
    "count": _count,
    "scrap": _undo,
    "sitting": _sitting,
    "hold": lambda c: None if c["n"] > 0 else "n must be above 0.",
}


def problem(change: Any) -> str | None:
    """Why this change can never apply, in a sentence; None when its shape is good."""
    if not isinstance(change, dict):
        return "A change must be an object; it is " + kind_of(change) + "."
    kind = change.get("kind")
    if not isinstance(kind, str) or kind not in SHAPES:
        return "kind must be one of " + ", ".join(sorted(SHAPES)) + "; it is " + kind_of(kind) + "."
    why = _walk(change, _HEAD) or _walk(change, SHAPES[kind])
    if why or kind not in _MORE:
        return why
    return _MORE[kind](change)
