"""Why a forecast comes out as it does, in the maker's words.

Each function returns one whole sentence from the table of sentences. Numbers in them are whole
hours, plain fractions and counts; the exact figures stand beside the sentence in the answer.
"""

from __future__ import annotations

from ..base.rounding import days_words, figure, nearest
from ..base.sentences import sentence

# steps of the trade whose work has a name of its own in the table (`work_close`: "closing")
NAMED_WORK = (
    "wind",
    "cut",
    "soften",
    "flatten",
    "soften_again",
    "pierce",
    "close",
    "unit",
    "unit_join",
    "chain_join",
    "left_over",
    "panel_join",
)
# (largest share of the time more or less, its words in the table)
FRACTIONS = [
    (0.12, "forecast.share_tenth"),
    (0.17, "forecast.share_seventh"),
    (0.225, "forecast.share_fifth"),
    (0.29, "forecast.share_quarter"),
    (0.37, "forecast.share_third"),
    (0.45, "forecast.share_two_fifths"),
]
SAME = 1.08  # within this factor a guess is called right


def capital(text: str) -> str:
    """The text with its first letter a capital; "" stays."""
    return text[:1].upper() + text[1:]


def work_name(step: str) -> str:
    """The work of a step: "closing" for `close`; a maker's own step by its name."""
    if step in NAMED_WORK:
        return sentence("forecast.work_" + step)
    return step.replace("_", " ")


def hours_words(h: float) -> str:
    """Hours with one decimal, or whole where they are nearly whole or 20 and more: "4.3 h"."""
    return figure(h, 0 if h >= 20 or abs(h - nearest(h)) < 0.05 else 1) + " h"


def _basis(guessed: bool, usual: bool) -> str:
    """Ending of a key: what the steps to go start from, own guesses, usual figures or both."""
    if guessed and usual:
        return "both"
    return "usual" if usual else "guess"


def no_record(guessed: bool, usual: bool) -> str:
    """The sentence where no sitting is on record.

    `guessed`: some step to go has the maker's own guess; `usual`: some step has a usual figure.
    """
    return sentence("forecast.no_record_" + _basis(guessed, usual))


def no_pace_yet(counted: bool, guessed: bool, usual: bool) -> str:
    """The sentence where sittings are on record, but no batch was timed.

    `counted`: something was counted, though less than one batch with the clock running.
    """
    key = "forecast.pace_too_little_" if counted else "forecast.pace_none_"
    return sentence(key + _basis(guessed, usual))


def compare_times(key: str, ratio: float, **values: str) -> str:
    """The sentence that compares a time with another, `ratio` = one over the other.

    As a share of the time, since "quicker by half" can be read in two ways. `key` begins the key;
    its ending is `_less` or `_longer` with {share} in words up to about two fifths either way,
    beyond that `_percent` with {percent} or `_times` with {times}.
    """
    part = abs(ratio - 1)
    for most, words in FRACTIONS:
        if part <= most:
            ending = "_less" if ratio < 1 else "_longer"
            return sentence(key + ending, share=sentence(words), **values)
    if ratio < 1:
        return sentence(key + "_percent", percent=figure(100 * ratio), **values)
    return sentence(key + "_times", times=figure(ratio, 0 if ratio >= 3 else 1), **values)


def pace_reason(step: str, ratio: float, own: bool, usual: bool = False) -> str:
    """How the pace of a step compares with its guess.

    `ratio`: minutes found over minutes guessed; `own`: the step's own record shows it, else that
    of other steps does; `usual`: a usual figure stands in for a guess that was never made.
    """
    basis = "usual" if usual else "guess"
    if 1 / SAME < ratio < SAME:
        return sentence("forecast.pace_right_" + basis)
    key = "forecast.pace_own_" if own else "forecast.pace_other_"
    return compare_times(key + basis, ratio, work=capital(work_name(step)))


def week_reason(seen: float, given: float, days: int, usual: bool = False) -> str:
    """Which hours a week the dates rest on.

    `seen`: hours a week over the `days` of the record; `given`: hours a week by the maker, 0 for
    none; `usual`: `given` is the usual figure instead.
    """
    hours, week = hours_words(seen), hours_words(given)
    if days < 7 and given > 0:  # a first day times seven would be no week
        key = "forecast.week_short_usual" if usual else "forecast.week_short_given"
        return sentence(key, days=days_words(days), week=week)
    if usual and given > 0:
        return sentence("forecast.week_usual", hours=hours, week=week)
    if seen < 0.1:
        return sentence(
            "forecast.week_idle_given" if given > 0 else "forecast.week_idle", week=week
        )
    if given <= 0:
        return sentence("forecast.week_seen", hours=hours)
    if 0.9 < seen / given < 1.1:
        return sentence("forecast.week_as_given", week=week)
    return sentence("forecast.week_not_given", hours=hours, week=week)
