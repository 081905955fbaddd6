"""A time as a maker writes it."""

from __future__ import annotations

from typing import Any

import pytest

from tests.page.modules import Modules


@pytest.mark.parametrize(
    ("typed", "unit", "minutes"),
    [
        ("40", "s", 40 / 60),
        ("40", "min", 40),
        ("40 s", "min", 40 / 60),
        ("40 sec", "min", 40 / 60),
        ("1 second", "min", 1 / 60),
        ("90 seconds", "min", 1.5),
        ("1.5 min", "s", 1.5),
        ("1,5 m", "s", 1.5),
        ("1 minute", "s", 1),
        ("2 minutes.", "s", 2),
        ("2h", "s", 120),
        ("1 hour", "min", 60),
        ("1.5 Hours", "min", 90),
        ("1:30", "s", 1.5),  # minutes and seconds, whatever the field's unit
        (" 12:05 ", "min", 12 + 5 / 60),
        ("0:00", "min", 0),
        ("0", "s", 0),
    ],
)
def test_a_time_is_read_in_the_unit_it_names_else_in_the_fields(
    modules: Modules, typed: str, unit: str, minutes: float
) -> None:
    found: Any = modules.call("format/parse-time.js", "typedTime", typed, unit)
    assert found == pytest.approx(minutes)


@pytest.mark.parametrize("typed", ["", "soon", "1:60", "1:5", "5 days", "s", "1.234.5", "4 s 5"])
def test_what_is_no_time_is_none(modules: Modules, typed: str) -> None:
    assert modules.call("format/parse-time.js", "typedTime", typed, "s") is None
