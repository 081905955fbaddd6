"""What the engine raises: one small tree, each error with the field, the reason and what would do.

EngineError
 ├─ BadField    a value in the question cannot be used
 └─ NoAnswer    the question is well formed, but the trade has no answer to it
"""

from __future__ import annotations


class EngineError(Exception):
    """`field` is the path in the question (`ring.wire_mm`), `why` a sentence for the maker.

    `example` is given where the field was left empty: a value that would do, "" where there is none
    to name.
    """

    def __init__(self, field: str, why: str, example: str | None = None) -> None:
        super().__init__(field + ": " + why)
        self.field = field
        self.why = why
        self.example = example

    def as_json(self) -> dict[str, str | bool]:
        """`{field, why}`, and for a field left empty `missing: true` with an `example` if there is
        one.
        """
        out: dict[str, str | bool] = {"field": self.field, "why": self.why}
        if self.example is not None:
            out["missing"] = True
            if self.example:
                out["example"] = self.example
        return out


class BadField(EngineError):
    """A value of the question cannot be used as it stands."""


class NoAnswer(EngineError):
    """Nothing is wrong with the writing, but no honest answer exists."""
