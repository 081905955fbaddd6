"""A field said differently on two devices, neither knowing of the other."""

from __future__ import annotations

from typing import Any

from tests.page.modules import Modules


def said(device: str, seq: int, value: Any, at: int, **more: Any) -> dict[str, Any]:
    return {
        "device": device,
        "seq": seq,
        "at": at,
        "thing": "panel",
        "id": "p",
        "field": "name",
        "value": value,
        **more,
    }


def twice(modules: Modules, *sets: dict[str, Any]) -> list[tuple[Any, list[Any]]]:
    found = modules.call("log/conflicts.js", "conflicts", list(sets))
    return [(f["won"]["value"], [c["value"] for c in f["lost"]]) for f in found]


def test_the_last_of_two_devices_holds_and_the_other_gave_way(modules: Modules) -> None:
    a, b = said("a", 1, "Front", 10), said("b", 1, "Back", 20)
    assert twice(modules, a, b) == twice(modules, b, a) == [("Back", ["Front"])]


def test_equal_values_are_no_conflict(modules: Modules) -> None:
    assert twice(modules, said("a", 1, "Front", 10), said("b", 1, "Front", 20)) == []


def test_what_was_knowingly_replaced_is_none(modules: Modules) -> None:
    first = said("a", 1, "Front", 10)
    over = {"over": [{"device": "a", "seq": 1}]}
    assert twice(modules, first, said("b", 1, "Back", 20, **over)) == []
    assert twice(modules, first, said("a", 2, "Side", 15), said("b", 1, "Back", 20, **over)) == [
        ("Back", ["Side"])
    ]
    assert twice(modules, first, said("b", 1, "Back", 20, over="all")) == [("Back", ["Front"])]


def test_of_each_other_device_only_its_last_value_counts(modules: Modules) -> None:
    found = twice(
        modules,
        said("a", 1, "one", 10),
        said("a", 2, "two", 11),
        said("c", 1, "three", 12),
        said("b", 1, "own earlier", 13),
        said("b", 2, "four", 20),
    )
    assert found == [("four", ["three", "two"])]


def test_a_stamp_goes_before_the_time_it_was_written(modules: Modules) -> None:
    late = said("a", 1, "Front", 10, stamp=[30, 0])
    assert twice(modules, late, said("b", 1, "Back", 20)) == [("Front", ["Back"])]


def test_other_fields_and_things_are_apart_and_forecasts_are_none(modules: Modules) -> None:
    a = said("a", 1, "Front", 10)
    assert twice(modules, a, said("b", 1, "Back", 20, field="note")) == []
    assert twice(modules, a, said("b", 1, "Back", 20, id="q")) == []
    assert twice(modules, a, said("b", 1, "Back", 20, thing="ring")) == []
    forecasts = [said("a", 1, 1, 10, thing="forecast"), said("b", 1, 2, 20, thing="forecast")]
    assert twice(modules, *forecasts) == []


def test_the_newest_come_first(modules: Modules) -> None:
    sets = [said(d, n, d + f, at, field=f) for n, f in enumerate("xyz") for d, at in (("a", 5 + n), ("b", 10 + (n * 2) % 3))]  # fmt: skip
    assert [won for won, _ in twice(modules, *sets)] == ["by", "bz", "bx"]
