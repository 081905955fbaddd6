"""Figures, times and counts in words."""

from __future__ import annotations

from typing import Any

import pytest

from tests.page.modules import STORE, Modules

THIN = "\u202f"  # parts thousands


@pytest.mark.parametrize(
    ("given", "text"),
    [
        ([1234], "1234"),  # four digits stay together
        ([12345], f"12{THIN}345"),
        ([1234567.25, 1], f"1{THIN}234{THIN}567.3"),
        ([-12345], f"−12{THIN}345"),
        ([-0.4], "0"),  # no minus before nothing
        ([0], "0"),
        ([0, 1], "0.0"),
        ([-0.4, 1], "−0.4"),
        ([2.5, 2], "2.50"),
        ([None], "–"),
    ],
)
def test_a_figure_parts_its_thousands(modules: Modules, given: list[Any], text: str) -> None:
    assert modules.call("format/numbers.js", "figure", *given) == text


@pytest.mark.parametrize(
    ("given", "text"),
    [
        ([0], "0"),
        ([1.23456], "1.23"),
        ([12.3456], "12.3"),
        ([123.456], "123"),
        ([1234.56], "1235"),
        ([0.0123456], "0.0123"),
        ([0.00123456], "0.0012"),  # no more than four places
        ([-1.23456], "−1.23"),
        ([1.23456, 2], "1.2"),
    ],
)
def test_about_keeps_three_digits(modules: Modules, given: list[Any], text: str) -> None:
    assert modules.call("format/numbers.js", "about", *given) == text


@pytest.mark.parametrize(
    ("g", "text"), [(999, "999 g"), (1000, "1.00 kg"), (-1500, "−1.50 kg"), (12.34, "12.3 g")]
)
def test_from_a_thousand_grams_on_it_is_kilograms(modules: Modules, g: float, text: str) -> None:
    assert modules.call("format/numbers.js", "weight", g) == text


@pytest.mark.parametrize(
    ("share", "text"),
    [
        (0, "0 %"),
        (0.004, "<1 %"),
        (0.01, "1 %"),
        (0.29, "29 %"),  # 0.29 * 100 is a hair below 29 in floats
        (0.9999, "99 %"),
        (1, "100 %"),
    ],
)
def test_a_share_is_never_full_before_the_last_one(
    modules: Modules, share: float, text: str
) -> None:
    assert modules.call("format/numbers.js", "percent", share) == text


@pytest.mark.parametrize(
    ("name", "given", "text"),
    [
        ("some", [None], "–"),
        ("some", [100], "100"),
        ("some", [100.4], "100"),
        ("some", [99.94], "99.9"),
        ("some", [2.5], "2.5"),
        ("some", [20], "20"),
        ("some", [9.96, 2], "10"),
        ("some", [99.95], "100"),  # three digits are whole from a hundred on
        ("some", [-2.5], "−2.5"),
        ("several", [1, "day"], "1 day"),
        ("several", [2, "day"], "2 days"),
        ("hours", [None], "–"),
        ("hours", [0.5], "30 min"),
        ("hours", [1], "1 h"),
        ("hours", [9.96], "10 h"),  # two digits below ten hours
        ("hours", [10.26], "10.3 h"),
        ("hours", [12.34], "12.3 h"),
        ("minutes", [None], "–"),
        ("minutes", [0.5], "30 s"),
        ("minutes", [0.2056], "12 s"),  # 12.336: two digits
        ("minutes", [1], "1 min"),
        ("minutes", [9.87], "9.9 min"),
        ("minutes", [12.34], "12.3 min"),
        ("minutes", [89.9], "89.9 min"),
        ("minutes", [90], "1.5 h"),
        ("chance", [None], "–"),
        ("chance", [0.009], "less than 1 in 100"),
        ("chance", [0.01], "1 in 100"),
        ("chance", [0.5], "50 in 100"),
        ("chance", [0.99], "99 in 100"),
        ("chance", [0.995], "more than 99 in 100"),
        ("workshopMark", ["0123456789abcdef"], "0123-4567"),
        ("upper", ["closed ring"], "Closed ring"),
        ("upper", [""], ""),
        ("amount", [1, "closed rings"], "1 closed ring"),
        ("amount", [2, "closed rings"], "2 closed rings"),
        ("amount", [0, "closed rings"], "0 closed rings"),
        ("amount", [1, "boxes", "box"], "1 box"),
        ("amount", [3, "boxes", "box"], "3 boxes"),
        ("amount", [1, "rings of wire"], "1 ring of wire"),
        ("daysBetween", ["2027-02-27", "2027-03-01"], 2),
        ("daysBetween", ["2027-03-01", "2027-02-27"], -2),
        ("daysAfter", ["2027-02-27", 2], "2027-03-01"),
        ("daysAfter", ["2027-02-27", 1.6], "2027-03-01"),
        ("daysAfter", ["2027-03-01", -1], "2027-02-28"),
        ("day", [None], "–"),
        ("day", ["2027-05-17"], "Mon, 17 May 2027"),
        ("day", ["1999-05-17", True], "17 May 1999"),  # not of this year
        ("withDays", ["Done by 2027-05-17."], "Done by Mon, 17 May 2027."),
        ("withDays", ["2027-99-99 is none"], "2027-99-99 is none"),
        ("spareWords", [None], ""),
        ("spareWords", [{"loose": [{"n": 0, "what": "coils"}]}], ""),
        (
            "spareWords",
            [{"loose": [{"n": 1, "what": "coils"}, {"n": 20, "what": "closed rings"}]}],
            "Spare: 1 coil, 20 closed rings.",
        ),
    ],
)
def test_words_for_what_the_engine_gives(
    modules: Modules, name: str, given: list[Any], text: Any
) -> None:
    assert modules.call("format/words.js", name, *given) == text


def test_a_day_of_this_year_is_written_without_it(modules: Modules) -> None:
    short = modules.evaluate("""async () => { const { day } = await import('/format/words.js');
        return day(`${new Date().getFullYear()}-05-17`, true); }""")
    assert short == "17 May"


def test_a_step_bears_the_name_of_the_plan_that_names_it(modules: Modules) -> None:
    kept = {
        "piece": {"a": {}, "b": {}},
        "plans": {"b": {"steps": [{"step": "x_1", "name": "Lining"}, {"step": "cut"}]}},
    }
    script = f"""async (kept, step) => (await import('/format/words.js')).stepName(({STORE})(kept), step)"""
    assert modules.evaluate(script, kept, "x_1") == "Lining"
    assert modules.evaluate(script, kept, "soften_again") == "soften again"


@pytest.mark.parametrize(
    ("change", "text"),
    [
        ({"kind": "count", "n": 3}, "+3 on Close"),
        ({"kind": "count"}, "+0 on Close"),
        ({"kind": "scrap", "n": 2}, "2 spoiled on Close"),
        (
            {"kind": "count", "how": "stocktake", "found": 40, "n": -3},
            "good ones set to 40, 3 fewer on Close",
        ),
        (
            {"kind": "count", "how": "stocktake", "found": 40, "n": 3},
            "good ones set to 40, 3 more on Close",
        ),
        ({"kind": "count", "how": "stocktake"}, "good ones set to 0, 0 more on Close"),
    ],
)
def test_a_count_as_a_sentence(modules: Modules, change: dict[str, Any], text: str) -> None:
    assert modules.call("format/count-words.js", "countWords", change, "Close") == text


def test_a_chance_is_short_where_there_is_little_room(modules: Modules) -> None:
    for p, text in [(0.001, "<1 in 100"), (0.5, "50 in 100"), (0.999, ">99 in 100")]:
        assert modules.call("format/words.js", "chance", p, True) == text


@pytest.mark.parametrize(
    ("p", "words", "fine"),
    [
        (0.8, "likely in time", True),
        (0.79, "may be late", False),
        (0.5, "may be late", False),
        (0.49, "likely late", False),
    ],
)
def test_four_chances_in_five_are_likely_in_time(
    modules: Modules, p: float, words: str, fine: bool
) -> None:
    found = modules.call("format/words.js", "dueOutlook", p)
    assert (found["words"], found["fine"]) == (words, fine)


@pytest.mark.parametrize(
    ("finish", "words"),
    [
        ({"p50": None, "p80": None}, "At this pace it will not be finished. Plan more hours."),
        ({"p50": "1999-05-01", "p80": None}, "Likely 1 May 1999, no safe date yet."),
        (
            {"p50": "1999-05-01", "p80": "1999-06-01"},
            "Likely 1 May 1999, safe 1 Jun 1999.",
        ),
    ],
)
def test_when_it_will_be_done_is_one_sentence(
    modules: Modules, finish: dict[str, Any], words: str
) -> None:
    assert modules.call("format/words.js", "finishWords", finish) == words


def test_a_count_is_short_where_there_is_little_room(modules: Modules) -> None:
    for change, text in [
        (
            {"kind": "count", "how": "stocktake", "found": 40, "n": 3},
            "good ones set to 40 on Close",
        ),
        ({"kind": "count", "n": 3}, "+3 on Close"),
    ]:
        assert modules.call("format/count-words.js", "shortCountWords", change, "Close") == text
