"""Fields and sentences of the engine in the words of the forms."""

from __future__ import annotations

from typing import Any

import pytest

from tests.page.modules import Modules

FILE = "format/labels.js"


@pytest.mark.parametrize(
    ("path", "label", "asked"),
    [
        ("wire_mm", "Wire", "the wire"),
        ("panels[0].ring.inner_mm", "Inside", "the inside of the ring"),
        ("panels.0.shape.width_mm", "Width", "the width"),
        ("swatch.width_mm", "They measure", "what the rings along the row measure"),
        ("panels.1.swatch.width_mm", "They measure", "what the rings along the row measure"),
        ("own_field_kg", "Own field", "the own field"),  # a name the table does not know
        ("some[3].thing_mm", "Thing", "the thing"),
    ],
)
def test_a_field_is_called_as_on_its_form(
    modules: Modules, path: str, label: str, asked: str
) -> None:
    assert modules.call(FILE, "label", path) == label
    assert modules.call(FILE, "whatToEnter", path) == asked


@pytest.mark.parametrize(
    ("path", "value", "word"),
    [
        ("joins[0].how", "stacked", "one below the other"),
        ("reel.how", "use", "what was used"),
        ("reel.how", "stacked", None),
        ("wire_mm", "round", None),
        ("rows_run", "toString", None),
    ],
)
def test_a_choice_has_its_word(modules: Modules, path: str, value: str, word: str | None) -> None:
    assert modules.call(FILE, "choiceWord", path, value) == word


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Give ring.wire_mm first.", "Give “Wire” first."),
        ("Give `swatch.width_mm` too.", "Give “They measure” too."),
        ("It may be end_to_end here.", "It may be side by side here."),
        ("This is an odd_name here.", "This is an odd name here."),
        ("A step 'my_own_step' is typed.", "A step 'my_own_step' is typed."),  # the maker's text
        ("Use how: stacked instead.", "Use “one below the other” instead."),
        ("A number is needed; it is nothing.", "A number is needed."),
        ("A number is needed; it is the text 'few'.", "A number is needed, not “few”."),
        ("Give true or false", "Give true or false"),
        ("please give true or false", "please answer yes or no"),
        ('Lists, for example [{"done": 50}]; or none', "Lists; or none"),
        ("Give it, or say in_pan: false.", "Give it."),
        ("Give it: or give open_ring.", "Give it."),
    ],
)
def test_a_sentence_is_put_in_the_words_of_the_forms(
    modules: Modules, text: str, words: str
) -> None:
    assert modules.call(FILE, "inFormWords", text) == words


@pytest.mark.parametrize(
    ("refused", "words"),
    [
        (
            {"field": "ring.wire_mm", "why": "no", "missing": True, "example": "1.2"},
            "Enter the wire, for example 1.2.",
        ),
        (
            {"field": "ring.inner_mm", "why": "no", "missing": True},
            "Enter the inside of the ring.",
        ),
        ({"field": "ring.wire_mm", "why": "wire_mm is odd"}, "“Wire” is odd"),
        ({"field": "", "why": "wire_mm is odd", "missing": True}, "“Wire” is odd"),
    ],
)
def test_a_refusal_asks_for_what_is_missing(
    modules: Modules, refused: dict[str, Any], words: str
) -> None:
    assert modules.call(FILE, "refusalWords", refused) == words


@pytest.mark.parametrize(
    ("chance", "words", "fine"),
    [
        (1, "likely in time", True),
        (0.8, "likely in time", True),  # four chances in five
        (0.79, "may be late", False),
        (0.5, "may be late", False),
        (0.49, "likely late", False),
        (0, "likely late", False),
    ],
)
def test_a_due_date_is_likely_met_from_four_chances_in_five_on(
    modules: Modules, chance: float, words: str, fine: bool
) -> None:
    outlook = modules.call("format/words.js", "dueOutlook", chance)
    assert (outlook["words"], outlook["fine"]) == (words, fine)


@pytest.mark.parametrize(
    ("p50", "p80", "words"),
    [
        ("2031-12-10", "2031-12-15", "Likely 10 Dec 2031, safe 15 Dec 2031."),
        ("2031-12-10", None, "Likely 10 Dec 2031, no safe date yet."),
        (None, None, "At this pace it will not be finished. Plan more hours."),
    ],
)
def test_the_days_of_a_finish_are_said_as_far_as_there_are_any(
    modules: Modules, p50: str | None, p80: str | None, words: str
) -> None:
    assert modules.call("format/words.js", "finishWords", {"p50": p50, "p80": p80}) == words


def test_no_label_is_a_single_letter(modules: Modules) -> None:
    """As one is that was taken from a text instead of a list of texts."""
    script = """async () => {
      const out = [], { default: _, ...texts } = await import("/texts/en.js");
      const walk = (part, path) => {
        for (const [key, value] of Object.entries(part))
          if (typeof value === "string" && /^[A-Za-z]$/.test(value)) out.push(`${path}${key}: ${value}`);
          else if (value && typeof value === "object") walk(value, `${path}${key}.`);
      };
      walk(texts, "");
      return out;
    }"""
    assert modules.evaluate(script) == []
