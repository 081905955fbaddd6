"""The one door: a JSON question in, a JSON answer out.

`answer(text)` never raises. It adds `ok`; a refusal names the field and says why. The table
below is the whole list of questions; each is answered by the room that owns the noun.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from .base.errors import BadField, EngineError
from .base.fields import Fields, kind_of, unread
from .base.sentences import sentence
from .fabric import panel, pitch
from .forecast import forecast, summary
from .log import fold
from .material import gauges, metals, ring
from .money import price, stock
from .piece import piece, steps
from .progress import status
from .statistics import count_by_weight, yield_starts

if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import Any

EXAMPLE = '{"ask": "gauge", "gauge": 16}'
OWN_FAULT = "engine"  # the field named when the trouble is not in the question

# Fields that may hold years are used as they stand, and not searched for misspelt names.
WHOLE = {
    "forecast": ("sittings", "summary", "bench_days"),
    "pace": ("sittings", "summary", "bench_days"),
    "summarise": ("sittings", "summary", "steps"),
    "fold": ("changes",),
}

# question -> the function that answers it: fields in, JSON object out
ANSWERS: dict[str, Callable[[Fields], dict[str, Any]]] = {
    "forecast": forecast.answer,
    "pace": forecast.answer_pace,
    "summarise": summary.answer,
    "gauge": gauges.answer,
    "metals": metals.answer,
    "ring": ring.answer,
    "mandrel": ring.answer_mandrel,
    "fabric": pitch.answer,
    "panel": panel.answer,
    "weigh": count_by_weight.answer,
    "losses": yield_starts.answer,
    "fold": fold.answer,
    "steps": steps.answer,
    "piece": piece.answer,
    "stand": status.answer,
    "stock": stock.answer,
    "price": price.answer,
}


def reply(question: Any) -> dict[str, Any]:
    """The answer as an object; raises EngineError. What nothing in the question was read for is in
    `unread`.
    """
    q = Fields(question, like=EXAMPLE)
    name = q.data.get("ask")
    if not isinstance(name, str) or name not in ANSWERS:
        names = ", ".join(sorted(ANSWERS))
        raise BadField("ask", sentence("ask.unknown", names=names, kind=kind_of(name)))
    q.read = {"ask"}
    out = ANSWERS[name](q)
    left = unread(q, WHOLE.get(name, ()))
    if left:
        out["unread"] = left
    return out


def _no(field: str, why: str) -> str:
    return json.dumps({"ok": False, "error": {"field": field, "why": why}})


def answer(text: str) -> str:
    """One JSON question to one JSON answer, `{"ok": true, ...}` or `{"ok": false, "error": {..}}`,
    see `errors`.

    A byte order mark before the question, as some editors write one, is passed over.
    """
    try:
        question = json.loads(text[1:] if text[:1] == "\ufeff" else text)
    except (ValueError, RuntimeError):  # RecursionError is a RuntimeError: nested too deep
        return _no("question", sentence("ask.not_json", example=EXAMPLE))
    try:
        out = reply(question)
        out["ok"] = True
        return json.dumps(out)
    except EngineError as e:
        return json.dumps({"ok": False, "error": e.as_json()})
    except Exception as e:  # a fault of ours: a maker can do nothing with a trace
        return _no(OWN_FAULT, sentence("ask.own_fault", error=type(e).__name__))
