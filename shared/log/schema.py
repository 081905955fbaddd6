"""The schema of one change of the log, as a table; `problem` checks a change against it.

Only the shape is checked. Whether an undo's target exists, or a step belongs to a piece, cannot be:
changes arrive in any order.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..base.fields import MAX_INTEGER, kind_of
from ..base.sentences import sentence

if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import Any

    Check = Callable[[Any], bool]
    Shape = list[tuple[str, Check, bool]]

MOST_AT_ONCE = 1000000  # items in one change: more is a slip of the finger, not a day's work
LAST_MS = 4102444800000  # 2100-01-01; a clock beyond that is set wrong
MOST_TARGETS = 100  # values that one change replaces knowingly; the page names one or two
NODES = 20000  # parts of one written-down value


def is_whole(value: Any) -> bool:
    """Whether this is an integer; true and false are none."""
    return isinstance(value, int) and value is not True and value is not False


def _text(value: Any) -> bool:
    return isinstance(value, str) and 0 < len(value) <= 200


def _note(value: Any) -> bool:
    return isinstance(value, str) and len(value) <= 2000


def _seq(value: Any) -> bool:
    return is_whole(value) and 1 <= value <= MAX_INTEGER


def _natural(value: Any) -> bool:
    return is_whole(value) and 0 <= value <= MAX_INTEGER


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
        and 0 <= value[1] <= MAX_INTEGER
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


# check -> key of the words for what would do
_WANTED: list[tuple[Check, str]] = [
    (_text, "log.wanted_text"),
    (_note, "log.wanted_note"),
    (_seq, "log.wanted_seq"),
    (_natural, "log.wanted_natural"),
    (_ms, "log.wanted_ms"),
    (_zone, "log.wanted_zone"),
    (_version, "log.wanted_version"),
    (_items, "log.wanted_items"),
    (_minutes, "log.wanted_minutes"),
    (_yes, "log.wanted_yes"),
    (_target, "log.wanted_target"),
    (_targets, "log.wanted_targets"),
    (_stamp, "log.wanted_stamp"),
    (_how, "log.wanted_how"),
    (_event, "log.wanted_event"),
    (_json, "log.wanted_json"),
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

# kind -> its whole shape, and the names of every field of it
WHOLE: dict[str, Shape] = {kind: _HEAD + SHAPES[kind] for kind in SHAPES}
FIELDS: dict[str, set[str]] = {
    kind: {"kind"} | {field for field, _, _ in WHOLE[kind]} for kind in SHAPES
}


def _wanted(check: Check) -> str:
    """What this check lets pass, in words."""
    for known, key in _WANTED:
        if known is check:
            return sentence(key)
    raise KeyError(check)  # a check without its words is a fault of the table


def _check_shape(change: dict[str, Any], shape: Shape) -> str | None:
    for field, check, needed in shape:
        value = change.get(field)
        if (value is not None or needed) and not check(value):
            values = {"field": field, "wanted": _wanted(check), "kind": kind_of(value)}
            return sentence("log.bad_field", **values)
    return None


def _undo(change: dict[str, Any]) -> str | None:
    if change.get("undoes"):
        return None if change["n"] < 0 else sentence("log.undo_positive")
    return None if change["n"] > 0 else sentence("log.negative_without_undo")


def _count(change: dict[str, Any]) -> str | None:
    if change.get("how") == "correct":
        return _correction(change)
    return _stocktake(change) if change.get("how") == "stocktake" else _undo(change)


def _stocktake(change: dict[str, Any]) -> str | None:
    """`n` is what was found less what the log had: of either sign, and no work was done for it."""
    if change.get("undoes"):
        return None
    if change.get("found") is None:
        return sentence("log.stocktake_found")
    for name in ("sitting", "opens", "holds"):
        if change.get(name) is not None:
            return sentence("log.stocktake_no_work", field=name)
    return None


def _correction(change: dict[str, Any]) -> str | None:
    """Items of a sitting corrected afterwards, up or down; or such a correction undone."""
    good = change.get("sitting") or change.get("undoes")
    return None if good else sentence("log.correction_sitting")


# the fields of a sitting that a `correct` can change
CORRECTED = ("from_ms", "to_piece", "to_step", "deleted", "uncounted")


def _sitting(change: dict[str, Any]) -> str | None:
    if change["event"] == "correct" and [f for f in CORRECTED if change.get(f) is not None] == []:
        return sentence("log.correction_empty", fields=", ".join(CORRECTED))
    return _trim(change)


def _trim(change: dict[str, Any]) -> str | None:
    if change["event"] != "trim" or change.get("minutes") is not None:
        return None
    if (
        change.get("from_ms") is None
        or change.get("to_ms") is None
        or change.get("keep_min") is None
    ):
        return sentence("log.trim_empty")
    return None if change["from_ms"] <= change["to_ms"] else sentence("log.trim_order")


_MORE: dict[str, Callable[[dict[str, Any]], str | None]] = {
    "count": _count,
    "scrap": _undo,
    "sitting": _sitting,
    "hold": lambda c: None if c["n"] > 0 else sentence("log.hold_positive"),
}


def problem(change: Any) -> str | None:
    """Why this change can never apply, as a sentence that names the field; None if it is good.

    Takes anything that JSON can hold and never raises.
    """
    if not isinstance(change, dict):
        return sentence("log.no_object", kind=kind_of(change))
    kind = change.get("kind")
    if not isinstance(kind, str) or kind not in SHAPES:
        kinds = ", ".join(sorted(SHAPES))
        return sentence("log.bad_kind", kinds=kinds, kind=kind_of(kind))
    why = _check_shape(change, WHOLE[kind])
    if why or kind not in _MORE:
        return why
    return _MORE[kind](change)


def trimmed(change: dict[str, Any]) -> dict[str, Any]:
    """This change without the fields that its kind does not have; of an unknown kind as it is.

    What a newer schema number says is not for us to judge, so it stays whole too.
    """
    kind = change.get("kind")
    if not isinstance(kind, str) or kind not in FIELDS or not _version(change.get("v")):
        return change
    known = FIELDS[kind]
    if set(change) <= known:
        return change
    return {name: change[name] for name in change if name in known}
