"""What the engine raises: one small tree, each error with the field, the reason and what would do.

EngineError
 ├─ BadField    a value in the question cannot be used
 └─ NoAnswer    the question is well formed, but the trade has no answer to it
"""

from __future__ import annotations


class EngineError(Exception):
    """`field` is the path in the question (`ring.wire_mm`), `why` a sentence for the maker."""

    def __init__(self, field: str, why: str) -> None:
        super().__init__(field + ": " + why)
        self.field = field
        self.why = why


class BadField(EngineError):
    """A value of the question cannot be used as it stands."""


class NoAnswer(EngineError):
    """Nothing is wrong with the writing, but no honest answer exists."""
