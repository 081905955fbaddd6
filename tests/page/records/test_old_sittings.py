"""Old sittings are summed up once: the forecast stays what it was, and an old sitting corrected
still counts.
"""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page

from tests.page.desk import ask, go, until
from tests.page.invented import lay_old
from tests.running import Serving

MANY = 1500
QUESTION = 'return JSON.parse(store.answers.saved.get("forecast").asked);'
FRESH = "await store.answers.freshen();"
WHOLE = """
const question = JSON.parse(store.answers.saved.get("forecast").asked);
const { timed } = await import("/engine/questions.js"), { inOrder } = await import("/engine/sittings-summary.js");
const { mapSittings } = await import("/log/queries.js");
const sittings = (await mapSittings(timed)).sort(inOrder).map(({ sitting, ...row }) => row);
const { summary, ...rest } = question;
return store.ask({ ...rest, sittings });"""


@pytest.fixture
def seasoned(desk: Page, full: Serving) -> Page:
    lay_old(desk, MANY)
    desk.goto("about:blank")
    go(desk, full.url)
    until(desk, 'return store.answers.saved.get("summary");')
    ask(desk, FRESH)
    return desk


def hours(answer: dict[str, Any]) -> list[float]:
    return [piece["hours"][p] for piece in answer["pieces"] for p in ("p10", "p50", "p80", "p95")]


def test_the_sum_of_old_sittings_answers_as_they_themselves_do(seasoned: Page) -> None:
    asked = ask(seasoned, QUESTION)
    whole = ask(seasoned, WHOLE)
    assert asked["summary"]["sittings"] + len(asked["sittings"]) >= MANY
    assert len(asked["sittings"]) < 500
    assert hours(ask(seasoned, "return store.answers.forecast;")) == pytest.approx(
        hours(whole), rel=0.02
    )


def test_one_more_sitting_leaves_the_sum_alone(seasoned: Page) -> None:
    before = ask(seasoned, QUESTION)
    ask(
        seasoned,
        'await history.writeSitting("coif", "close", Date.now() - 36e5, Date.now() - 18e5, 40);'
        + FRESH,
    )
    after = ask(seasoned, QUESTION)
    assert after["summary"] == before["summary"]
    assert len(after["sittings"]) == len(before["sittings"]) + 1


def test_an_old_sitting_corrected_changes_the_sum(seasoned: Page) -> None:
    before = ask(seasoned, QUESTION)["summary"]
    ask(seasoned, 'await history.correctSitting("old6", { minutes: 5000 / 60 });' + FRESH)
    after = ask(seasoned, QUESTION)["summary"]
    assert after["sittings"] == before["sittings"]
    assert after != before


def test_the_sum_is_kept_across_a_start(seasoned: Page, full: Serving) -> None:
    before = ask(seasoned, QUESTION)["summary"]
    asked: list[str] = []
    seasoned.expose_function("noteAsked", lambda text: asked.append(text))
    seasoned.add_init_script("""const post = Worker.prototype.postMessage;
        Worker.prototype.postMessage = function (message) {
          window.noteAsked(message.text ?? "");
          post.call(this, message);
        };""")
    seasoned.goto("about:blank")
    go(seasoned, full.url)
    until(seasoned, "return store.answers.refresh?.old.summary;")
    ask(seasoned, FRESH)
    assert ask(seasoned, QUESTION)["summary"] == before
    assert [text for text in asked if '"summarise"' in text] == []
