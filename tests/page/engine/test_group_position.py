"""Where a count stands in its chain or row, and what became full with it."""

from __future__ import annotations

from typing import Any

import pytest

from tests.page.modules import Modules

FILE = "engine/group-position.js"
CHAINS = {"of": "chain", "runs": [[3, 2], [5, 1]]}  # two chains of 3, one of 5


@pytest.mark.parametrize(
    ("n", "place"),
    [
        (-1, (1, 0, 3)),
        (0, (1, 0, 3)),
        (1, (1, 1, 3)),
        (3, (1, 3, 3)),
        (4, (2, 1, 3)),
        (6, (2, 3, 3)),
        (7, (3, 1, 5)),
        (11, (3, 5, 5)),
        (12, (3, 5, 5)),  # more than planned stays in the last
    ],
)
def test_the_place_is_that_of_the_last_item(
    modules: Modules, n: int, place: tuple[int, int, int]
) -> None:
    found = modules.call(FILE, "placeOf", CHAINS, n)
    assert (found["index"], found["within"], found["size"]) == place and found["groups"] == 3


def test_groups_of_nothing_are_passed_over_but_keep_their_number(modules: Modules) -> None:
    found = modules.call(FILE, "placeOf", {"of": "chain", "runs": [[0, 2], [4, 1]]}, 1)
    assert found == {"index": 3, "within": 1, "size": 4, "groups": 3}
    before = modules.call(FILE, "placeOf", {"of": "chain", "runs": [[0, 2], [4, 1]]}, 0)
    assert before == {"index": 3, "within": 0, "size": 4, "groups": 3}
    assert modules.call(FILE, "placeOf", {"of": "chain", "runs": []}, 1) is None
    assert modules.call(FILE, "placeOf", None, 1) is None


@pytest.mark.parametrize(("n", "full"), [(0, 0), (2, 0), (3, 1), (5, 1), (6, 2), (11, 3), (20, 3)])
def test_whole_groups_are_counted(modules: Modules, n: int, full: int) -> None:
    assert modules.call(FILE, "filled", CHAINS, n) == full


def test_a_group_is_named_within_its_panel(modules: Modules) -> None:
    group = {**CHAINS, "panels": [["Front", 2], ["Back", 1]]}
    assert modules.call(FILE, "groupName", group, 2) == "chain 2 of Front"
    assert modules.call(FILE, "groupName", group, 3) == "chain 1 of Back"
    assert modules.call(FILE, "groupName", {"of": "hanging", "runs": []}, 3) == "join row 3"
    assert modules.call(FILE, "groupName", None, 3) == "chain 3"


PLAN = {"panels": [{"name": "Front", "units": 6}, {"name": "Back", "units": 5}]}
STEP: dict[str, Any] = {"step": "unit", "items": "units", "need": 11, "group": CHAINS}


@pytest.mark.parametrize(
    ("before", "after", "what", "text"),
    [
        (0, 2, None, None),
        (2, 3, "chain", "Chain 1 is full"),
        (3, 3, None, None),
        (4, 3, None, None),
        (3, 4, None, None),
        (5, 6, "panel", "Front has all its units"),
        (6, 7, None, None),
        (10, 11, "step", "All units are made"),
        (11, 12, None, None),
    ],
)
def test_what_becomes_full_is_told_once(
    modules: Modules, before: int, after: int, what: str | None, text: str | None
) -> None:
    found = modules.call(FILE, "fullBetween", PLAN, STEP, before, after)
    assert found == (None if what is None else {"what": what, "text": text})


def test_a_step_of_no_plan_is_never_full(modules: Modules) -> None:
    assert modules.call(FILE, "fullBetween", PLAN, None, 0, 9) is None
    saw = {"step": "saw", "need": 2}
    assert modules.call(FILE, "fullBetween", PLAN, saw, 0, 2)["text"] == "All items are made"
    assert modules.call(FILE, "fullBetween", PLAN, {"step": "saw"}, 0, 6) is None
