"""The engine's cases once more, in the page: MicroPython in the page's own worker, Chromium, the
served sources.
"""

from __future__ import annotations

from playwright.sync_api import Page

from tests.engine.cases import check, load_cases
from tests.page.desk import go
from tests.running import Serving

ASK_ALL = """async (questions) => {
  const { ask } = await import("/engine/client.js");
  const answered = [];
  for (const question of questions) {
    const refusal = ({ field, why, missing, example }) => ({ ok: false, error: { field, why, missing, example } });
    answered.push(await ask(question).catch(refusal));
  }
  return answered;
}"""


def test_every_case_answers_alike_in_the_page(page: Page, serving: Serving) -> None:
    cases = load_cases()
    go(page, serving.url)
    answers = page.evaluate(ASK_ALL, [case["question"] for case in cases])
    wrong = {
        case["id"]: told
        for case, answer in zip(cases, answers, strict=True)
        if (told := check(answer, case))
    }
    assert len(cases) >= 150
    assert not wrong
