"""Why the forecast says what it says, in the maker's words; figures only as plain fractions and
counts.
"""

from __future__ import annotations

from ..base.rounding import days_words, figure, nearest

# step -> the work as one says it
DOING = {
    "wind": "winding",
    "cut": "cutting",
    "soften": "softening",
    "flatten": "flattening",
    "soften_again": "softening again",
    "pierce": "piercing",
    "close": "closing",
    "unit": "making units",
    "unit_join": "joining units",
    "chain_join": "joining chains",
    "left_over": "the left-over row",
    "panel_join": "joining panels",
}
# up to this share of the time, more or less of it, the words
FRACTIONS = [
    (0.12, "about a tenth"),
    (0.17, "about a seventh"),
    (0.225, "a fifth"),
    (0.29, "a quarter"),
    (0.37, "a third"),
    (0.45, "two fifths"),
]


def standing(guessed: bool, usual: bool) -> str:
    """What the steps to go are taken at: own guesses, usual figures where none was made, or both."""
    if guessed and usual:
        return "your guesses, and usual figures where you made none"
    return "usual figures, since you made no guess" if usual else "your guesses"


def no_pace_yet(counted: bool, guessed: bool, usual: bool) -> str:
    """`counted`: something is, though less than one batch with the clock running, which is too
    little to judge by.
    """
    little = (
        "too little is counted yet to tell your pace"
        if counted
        else "no item is counted yet with the clock running"
    )
    return little + ", so it stands on " + standing(guessed, usual)


def doing(step: str) -> str:
    return DOING.get(step, step.replace("_", " "))


def by_time(ratio: float, than: str, whole: str) -> str:
    """`ratio` of the time taken to another, as a share of that time: "quicker by half" could be
    read in two ways.

    `than` names that time behind "than" and "as", `whole` behind "of".
    """
    part = abs(ratio - 1)
    for most, words in FRACTIONS:
        if part <= most:
            return words + (" less time than " if ratio < 1 else " longer than ") + than
    if ratio < 1:
        return figure(100 * ratio) + " % of " + whole
    return figure(ratio, 0 if ratio >= 3 else 1) + " times as long as " + than


def hours_words(h: float) -> str:
    """Whole hours where they are whole or many."""
    return figure(h, 0 if h >= 20 or abs(h - nearest(h)) < 0.05 else 1) + " h"


def pace_reason(step: str, ratio: float, own: bool, usual: bool = False) -> str:
    """`ratio`: minutes as found over minutes as guessed; `own` when this step's own record says so.

    `usual` where a usual figure stands in for a guess that the maker never made.
    """
    if 1 / 1.08 < ratio < 1.08:
        return "the usual figures hold for you" if usual else "your guesses hold"
    words = by_time(
        ratio, *(("the usual figure",) * 2 if usual else ("you guessed", "the time you guessed"))
    )
    if own:
        return doing(step) + " takes " + words
    return doing(step) + " is expected to take " + words + ", as your other steps showed"


def week_reason(seen: float, said: float, days: int, usual: bool = False) -> str:
    """`seen` hours a week over the `days` of the record; `said` the maker's own, or the `usual`
    figure in its place.
    """
    if days < 7 and said > 0:  # a first day seven times over is no week
        most = "the " + hours_words(said) + " a week you gave count most"
        if usual:
            most = (
                "a usual "
                + hours_words(said)
                + " a week counts most, since you gave no hours of your own"
            )
        return "your record is " + days_words(days) + " long, so " + most
    if usual and said > 0:
        return (
            "you have worked "
            + hours_words(seen)
            + " a week, where "
            + hours_words(said)
            + " is usual"
        )
    if seen < 0.1:
        return "you have worked next to nothing a week" + (
            ", not " + hours_words(said) if said > 0 else ""
        )
    if said <= 0:
        return "you have worked " + hours_words(seen) + " a week"
    if 0.9 < seen / said < 1.1:
        return "you work the " + hours_words(said) + " a week you gave"
    return "you have worked " + hours_words(seen) + " a week, not " + hours_words(said)


def no_record(guessed: bool, usual: bool) -> str:
    if guessed and not usual:
        return (
            "Nothing is on record yet: this is your own guess, as wide as guesses have proved"
            " to be."
        )
    return (
        "Nothing is on record yet: this stands on "
        + standing(guessed, usual)
        + "; it is as wide as guesses have proved to be."
    )


def why(parts: list[str]) -> str:
    """One sentence from its halves."""
    text = "; ".join(parts) + "."
    return text[0].upper() + text[1:]
