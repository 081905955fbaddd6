"""Why a forecast comes out as it does, in words: shares of the time as a craftsperson says them.

A share is named by the nearest of tenth, seventh, fifth, quarter, third and two fifths, the bounds
lying halfway between two of them, rounded to figures that are easily read.
"""

from __future__ import annotations

import pytest

from shared.forecast import explanation

SHARES = [
    (0.09, "about a tenth"),
    (0.119, "about a tenth"),
    (0.121, "about a seventh"),
    (0.169, "about a seventh"),
    (0.171, "a fifth"),
    (0.224, "a fifth"),
    (0.226, "a quarter"),
    (0.289, "a quarter"),
    (0.291, "a third"),
    (0.369, "a third"),
    (0.371, "two fifths"),
    (0.449, "two fifths"),
]


@pytest.mark.parametrize(("share", "words"), SHARES)
def test_up_to_two_fifths_a_difference_is_a_share_of_the_time(share: float, words: str) -> None:
    assert (
        explanation.pace_reason("close", 1 - share, own=True, usual=True)
        == f"Closing takes {words} less time than the usual figure."
    )
    assert (
        explanation.pace_reason("close", 1 + share, own=True, usual=True)
        == f"Closing takes {words} longer than the usual figure."
    )


@pytest.mark.parametrize(
    ("ratio", "words"),
    [
        (0.93, "The usual figures are right for you."),  # 1 / 1.08 = 0.926
        (1.079, "The usual figures are right for you."),
        (0.549, "Soldering takes 55 % of the usual figure."),
        (0.3, "Soldering takes 30 % of the usual figure."),
        (1.451, "Soldering takes 1.5 times as long as the usual figure."),
        (2.94, "Soldering takes 2.9 times as long as the usual figure."),
        (3, "Soldering takes 3 times as long as the usual figure."),
        (3.4, "Soldering takes 3 times as long as the usual figure."),
    ],
)
def test_more_is_a_percentage_or_so_many_times(ratio: float, words: str) -> None:
    assert explanation.pace_reason("soldering", ratio, own=True, usual=True) == words


@pytest.mark.parametrize(
    ("ratio", "own", "usual", "words"),
    [
        (1, True, False, "Your guesses are right."),
        (1.5, True, False, "Closing takes 1.5 times as long as you guessed."),
        (
            1.5,
            False,
            False,
            "Closing is expected to take 1.5 times as long as you guessed, as your other steps do.",
        ),
        (
            0.5,
            False,
            True,
            "Closing is expected to take 50 % of the usual figure, as your other steps do.",
        ),
        (
            0.8,
            False,
            True,
            "Closing is expected to take a fifth less time than the usual figure, as your other"
            " steps do.",
        ),
        (
            2,
            False,
            True,
            "Closing is expected to take 2.0 times as long as the usual figure, as your other steps"
            " do.",
        ),
    ],
)
def test_it_is_named_whose_figure_and_whose_record_it_is(
    ratio: float, own: bool, usual: bool, words: str
) -> None:
    assert explanation.pace_reason("close", ratio, own, usual) == words


@pytest.mark.parametrize("counted", [False, True])
def test_without_a_pace_it_is_said_what_the_forecast_stands_on(counted: bool) -> None:
    begins = "Too little is counted yet" if counted else "No item is counted yet"
    for guessed, usual, words in [
        (True, False, "your guesses."),
        (False, True, "usual figures"),
        (True, True, "your guesses, and usual figures where you made none."),
    ]:
        found = explanation.no_pace_yet(counted, guessed, usual)
        assert found.startswith(begins) and words in found


def test_without_a_record_it_is_said_whose_figures_stand_in() -> None:
    assert "your own guess, with" in explanation.no_record(True, False)
    assert "usual" in explanation.no_record(False, True)
    both = explanation.no_record(True, True)
    assert "guess" in both and "usual" in both


@pytest.mark.parametrize(
    ("hours", "words"),
    [(0, "0 h"), (0.3, "0.3 h"), (4.04, "4 h"), (4.06, "4.1 h"), (19.94, "19.9 h"), (20.4, "20 h")],
)
def test_hours_have_a_decimal_only_where_it_says_something(hours: float, words: str) -> None:
    assert explanation.hours_words(hours) == words


@pytest.mark.parametrize(
    ("seen", "given", "days", "usual", "words"),
    [
        (0, 5, 6, False, "Your record is 6 days long, so the 5 h a week you gave count most."),
        (
            0,
            5,
            3,
            True,
            "Your record is 3 days long, so a usual 5 h a week counts most, since you gave no hours"
            " of your own.",
        ),
        (9, 0, 6, False, "You have worked 9 h a week."),
        (2, 5, 7, True, "You have worked 2 h a week, where 5 h is usual."),
        (0.09, 5, 7, False, "You have worked next to no hours a week, not 5 h."),
        (0.09, 0, 7, False, "You have worked next to no hours a week."),
        (0.11, 0, 7, False, "You have worked 0.1 h a week."),
        (4.55, 5, 7, False, "You work the 5 h a week you gave."),
        (5.45, 5, 7, False, "You work the 5 h a week you gave."),
        (4.45, 5, 7, False, "You have worked 4.5 h a week, not 5 h."),
        (5.55, 5, 7, False, "You have worked 5.6 h a week, not 5 h."),
    ],
)
def test_the_hours_a_week_are_those_worked_or_those_given(
    seen: float, given: float, days: int, usual: bool, words: str
) -> None:
    assert explanation.week_reason(seen, given, days, usual) == words


def test_every_named_work_reads_as_one() -> None:
    names = [explanation.work_name(step) for step in explanation.NAMED_WORK]
    assert all("_" not in name and name == name.lower() for name in names)
    assert explanation.work_name("my_own_step") == "my own step"
    assert explanation.capital("") == "" and explanation.capital("a b") == "A b"
