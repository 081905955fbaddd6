"""The real page, the real server, and a link that drops requests, breaks off after the server has committed,
and repeats: each tap's weight is a power of two, so a wrong total names the tap.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from contextlib import suppress

import pytest
from playwright.sync_api import Browser, Error, Route

from tests.page.desk import ask, opened, synced, total
from tests.running import Serving

PIECE = 'await store.set("piece", "coif", { name: "Coif", order: 1, state: "open" });'
TAP = 'await store.counting.count("coif", given[0], given[1]).saved; store.sync.soon(0);'
STEPS = ("wind", "cut", "close")
TAPS_A_STEP = 12


def bad_link(chance: random.Random) -> Callable[[Route], None]:
    def carry(route: Route) -> None:
        with suppress(Error):  # the page has given the request up meanwhile
            lead(route)

    def lead(route: Route) -> None:
        fate = chance.choice(("through", "dropped", "cut after the commit", "twice"))
        if fate == "dropped":
            route.abort()
            return
        answer = route.fetch()
        if fate == "cut after the commit":
            route.abort()
            return
        route.fulfill(response=route.fetch() if fate == "twice" else answer)

    return carry


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_bad_link_neither_loses_nor_doubles_a_tap_of_two_devices(
    browser: Browser, serving: Serving, seed: int
) -> None:
    chance = random.Random(seed)
    contexts = [browser.new_context() for _ in range(2)]
    for context in contexts:
        context.route("**/api/sync", bad_link(chance))
    pages = [opened(context, serving.url) for context in contexts]
    ask(pages[0], PIECE)
    taps = [(step, 2**n) for step in STEPS for n in range(TAPS_A_STEP)]
    chance.shuffle(taps)
    taken_back = 0
    for k, (step, weight) in enumerate(taps):
        page = chance.choice(pages)
        ask(page, TAP, [step, weight])
        if k % 9 == 8 and step == "close":
            ask(page, "await store.counting.undo();")
            taken_back += weight
    for context in contexts:
        context.unroute_all(behavior="ignoreErrors")
    for page in (*pages, *pages):
        synced(page)
    whole = 2**TAPS_A_STEP - 1
    for page in pages:
        seen = {step: total(page, "coif", step) for step in STEPS}
        wanted = {"wind": whole, "cut": whole, "close": whole - taken_back}
        assert seen == wanted, {step: bin(seen[step] ^ wanted[step]) for step in STEPS}
    for context in contexts:
        context.close()
