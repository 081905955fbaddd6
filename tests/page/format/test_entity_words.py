"""Rings, shapes and weights as a maker says them."""

from __future__ import annotations

from typing import Any

import pytest

from tests.page.modules import Modules


@pytest.mark.parametrize(
    ("ring", "words"),
    [
        ({"wire_mm": 1.6, "inner_mm": 8}, "of 1.6 mm wire, 8 mm inside"),
        ({"wire_mm": 1.6}, "of 1.6 mm wire"),
    ],
)
def test_a_ring_is_told_by_its_size(modules: Modules, ring: dict[str, Any], words: str) -> None:
    assert modules.call("format/entity-words.js", "ringSizeWords", ring) == words


@pytest.mark.parametrize(
    ("ring", "words"),
    [
        (
            {"metal": "mild steel", "wire_mm": 1.6, "inner_mm": 8.04},
            "mild steel wire 1.60 mm, inside 8.0 mm",
        ),
        ({"wire_mm": 1.25, "inner_mm": 8}, "wire 1.25 mm, metal not named, inside 8.0 mm"),
    ],
)
def test_a_ring_on_its_own_is_named_with_its_metal(
    modules: Modules, ring: dict[str, Any], words: str
) -> None:
    assert modules.call("format/entity-words.js", "ringWords", ring) == words


@pytest.mark.parametrize(
    ("shape", "words"),
    [
        (None, "no shape yet"),
        ({}, "no shape yet"),
        (
            {"kind": "panel", "width_mm": 400, "height_mm": 600.5, "rows_run": "down"},
            "Rectangle, 400 mm wide, 600.5 mm high, rows run down",
        ),
        ({"kind": "panel", "columns": 40, "rows": 47}, "Rectangle, 40 columns, 47 rows"),
        (
            {"kind": "taper", "from_mm": 300, "to_mm": 200, "length_mm": 400, "round": True},
            "Sleeve, 400 mm long, 300 mm at the start, 200 mm at the end",
        ),
        (
            {"kind": "taper", "from_mm": 300, "to_mm": 200, "length_mm": 400},
            "Tapered panel, 400 mm long, 300 mm at the start, 200 mm at the end",
        ),
        (
            {"kind": "collar", "neck_mm": 400, "slant_mm": 200, "angle_deg": 30},
            "Collar or mantle, 400 mm around the neck, 200 mm from neck to edge, 30 degrees slope",
        ),
        (
            {"kind": "profile", "round": True, "widths": [[0, 300], [100, 250]]},
            "Own outline, 300 mm wide at 0 mm, 250 mm wide at 100 mm, a tube",
        ),
        (
            {"kind": "tube", "around_mm": 300, "length_mm": 99, "round": True},
            "Tube, 300 mm around, 99 mm long",
        ),
        ({"kind": "count", "rings": 500, "open": 20}, "Counted rings, 500 rings, 20 of these riveted"),
        (
            {"kind": "count", "items": {"unit_join": 12345}},
            "Counted steps, 12\u202f345 × unit join",
        ),
    ],
)  # fmt: skip
def test_a_shape_is_told_with_its_measures(modules: Modules, shape: Any, words: str) -> None:
    assert modules.call("format/entity-words.js", "shapeWords", shape) == words


@pytest.mark.parametrize(
    ("shape", "form"),
    [
        ({"kind": "panel"}, "rect"),
        ({"kind": "panel", "columns": 4}, "grid"),
        ({"kind": "taper", "round": True}, "sleeve"),
        ({"kind": "taper"}, "taper"),
        ({"kind": "count"}, "count"),
        ({"kind": "count", "items": {}}, "items"),
        ({"kind": "collar"}, "collar"),
        ({"kind": "star"}, "rect"),
        (None, "rect"),
    ],
)
def test_a_saved_shape_opens_in_its_form(modules: Modules, shape: Any, form: str) -> None:
    assert modules.call("format/panel-forms.js", "formOf", shape) == form


def test_only_a_tube_that_narrows_is_round(modules: Modules) -> None:
    forms = modules.evaluate("async () => (await import('/format/panel-forms.js')).FORMS")
    assert {n: f["also"] for n, f in forms.items() if "also" in f} == {
        "sleeve": {"round": True},
        "taper": {"round": False},
    }


@pytest.mark.parametrize(
    ("typed", "unit", "grams"),
    [
        ("1,3 kg", "g", 1300),
        ("950 g", "kg", 950),
        ("2", "kg", 2000),
        ("2", "g", 2),
        (2.5, "kg", 2500),
        ("1 lb", "g", 453.59237),  # by definition
        ("2 LBS", "g", 907.18474),
        ("1 oz", "g", 28.349523),  # to a millionth of a gram
        ("", "g", None),
        (None, "g", None),
        ("heavy", "g", "heavy"),
        ("heavy kg", "g", "heavy kg"),
    ],
)
def test_a_weight_is_read_in_the_unit_it_says(
    modules: Modules, typed: Any, unit: str, grams: Any
) -> None:
    assert modules.call("format/parse-mass.js", "typedMass", typed, unit) == grams


def test_a_weight_is_shown_in_the_unit_of_its_field(modules: Modules) -> None:
    assert modules.call("format/parse-mass.js", "inUnit", 1234.5, "kg") == 1.2345
    assert modules.call("format/parse-mass.js", "inUnit", 1234.5, "g") == 1234.5
    assert modules.call("format/parse-mass.js", "inUnit", None, "g") is None


FIELD = {"name": "Rings", "low": 1, "high": 12000}


@pytest.mark.parametrize(
    ("typed", "field", "value", "why"),
    [
        ("12", {}, 12, ""),
        ("1", {}, 1, ""),
        ("12000", {}, 12000, ""),
        ("0", {}, None, "Rings: “0” does not fit here. Enter a number from 1 to 12\u202f000."),
        ("12001", {}, None, "Rings: “12001” does not fit here. Enter a number from 1 to 12\u202f000."),
        ("7,5", {}, 7.5, ""),
        ("7,5", {"whole": True}, None, "Rings: “7,5” does not fit here. Enter a whole number from 1 to 12\u202f000."),
        ("1.200", {"whole": True}, None, "Rings: 1.200 could mean 1200 or 1.2. Write it one of these two ways."),
        ("1.200", {}, 1.2, ""),
        ("1,200", {}, None, "Rings: 1,200 could mean 1200 or 1.2. Write it one of these two ways."),
        ("", {}, None, ""),
        ("", {"needed": True}, None, "Rings: Enter a number from 1 to 12\u202f000."),
        ("", {"needed": True, "example": "40"}, None, "Rings: Enter a number from 1 to 12\u202f000, for example 40."),
        ("few", {"high": 0.5}, None, "Rings: “few” does not fit here. Enter a number from 1 to 0.5."),
        ("a very long text that goes on and on", {}, None, "Rings: “a very long text that go” does not fit here. Enter a number from 1 to 12\u202f000."),
        (5, {}, 5, ""),
    ],
)  # fmt: skip
def test_a_number_within_bounds_or_one_sentence(
    modules: Modules, typed: Any, field: dict[str, Any], value: Any, why: str
) -> None:
    found = modules.call("format/parse-number.js", "numberIn", typed, FIELD | field)
    assert found == {"value": value, "why": why}


@pytest.mark.parametrize(
    ("typed", "digits", "smallest"),
    [
        ("2500", 2, 250000),
        ("2500.00", 2, 250000),
        ("2.500,00", 2, 250000),
        ("2,500.00", 2, 250000),
        ("2 500", 2, 250000),
        ("2'500", 2, 250000),
        ("2.5", 2, 250),
        ("2.50", 2, 250),
        ("2.500", 2, 250000),  # three places are thousands
        ("2.500", 3, 2500),
        ("2.500", 0, 2500),
        ("1.234.567", 2, 123456700),
        (",5", 2, 50),
        ("5,", 2, 500),
        ("", 2, None),
        (",", 2, None),
        ("12.34.5", 2, None),
        ("1,2345", 2, None),
        ("-5", 2, None),
        ("2x", 2, None),
    ],
)
def test_money_is_read_however_its_thousands_are_parted(
    modules: Modules, typed: str, digits: int, smallest: int | None
) -> None:
    assert modules.call("format/parse-number.js", "typedMoney", typed, digits) == smallest


@pytest.mark.parametrize(
    ("typed", "text"),
    [
        ("12 in", "= 304.8 mm"),
        ("30 cm", "= 300 mm"),
        ("7,5", "= 7.5 mm"),
        ("7.5", ""),
        ("7", ""),
        ("thick", ""),
        (7, ""),
        ("1/3 in", "= 8.4667 mm"),
    ],
)
def test_what_was_understood_is_told_where_it_is_not_what_was_typed(
    modules: Modules, typed: Any, text: str
) -> None:
    assert modules.call("format/parse-length.js", "understood", typed) == text


@pytest.mark.parametrize(
    ("letters", "typed", "keys"),
    [(True, "7", "text"), (False, "7", "decimal"), (False, '7"', "text"), (False, None, "decimal"), (False, "7 MM", "text")],
)  # fmt: skip
def test_letters_come_with_the_unit(modules: Modules, letters: bool, typed: Any, keys: str) -> None:
    assert modules.call("format/parse-length.js", "keyboard", letters, typed) == keys
