"""A phone put back to an earlier copy of itself (a restored backup, a copied browser profile): what it made
later comes back from the server, what it makes meanwhile is added, and nothing counts twice.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Error, Page

from tests.page.desk import ask, opened, ready, synced, total, wait_until
from tests.running import Serving

PIECE = 'await store.set("piece", "coif", { name: "Coif", order: 1, state: "open" });'
# each tap weighs more than all before it together, so that a wrong sum names the missing one
TAP = """
  const [from, times] = given;
  for (let k = from; k < from + times; k++) await store.counting.count("coif", "close", 2 ** (k % 18)).saved;"""
AGAIN = "return { device: store.device, parted: Boolean((await (await import('/log/log.js')).meta('moved'))?.length) };"


def weighed(first: int, times: int) -> int:
    return sum(2 ** (k % 18) for k in range(first, first + times))


@pytest.fixture
def profiles(browser: Browser, serving: Serving) -> Iterator[Any]:
    """`profiles(state)`: a device of its own, or one put back to what `state` kept of it."""
    made: list[BrowserContext] = []

    def profile(state: Any = None) -> BrowserContext:
        context = browser.new_context(storage_state=state)
        made.append(context)
        return context

    yield profile
    for context in made:
        context.close()


def begun(context: BrowserContext, serving: Serving, taps: int) -> tuple[Page, str]:
    """(a page with that many taps, all on the server; its device's name)."""
    page = opened(context, serving.url)
    ask(page, PIECE)
    ask(page, TAP, [0, taps])
    synced(page)
    return page, ask(page, AGAIN)["device"]


def kept(context: BrowserContext) -> Any:
    return context.storage_state(indexed_db=True)


def copied(profiles: Any, serving: Serving, taps: int, later: int) -> tuple[str, Any]:
    """(its device's name, a copy of a phone after so many taps); the server has `later` more of it."""
    first = profiles()
    phone, before = begun(first, serving, taps)
    copy = kept(first)
    ask(phone, TAP, [taps, later])
    synced(phone)
    first.close()
    return before, copy


def stands_under_its_new_name(page: Page, before: str) -> str:
    """Until the page has read itself again under a name that it keeps, and everything is sent: where the
    server knows the first new name too, a second follows.
    """
    sent = """await store.sync.run(); const { parted, now } = store.sync;
      return store.device !== given && !parted && now.state === "synced" && now.waiting === 0;"""

    def stands() -> bool:
        try:
            return bool(ask(page, sent, before))
        except Error:  # asked while the page read itself again
            return False

    wait_until(page, stands, what="another name, and all sent under it")
    ready(page)
    return str(ask(page, AGAIN)["device"])


def folded(page: Page) -> list[Any]:
    """Totals as the engine works them out from every change on this device."""
    return list(
        ask(page, 'return (await store.ask({ ask: "fold", changes: await allChanges() })).totals;')
    )


def test_what_a_phone_put_back_made_later_returns_and_what_it_makes_meanwhile_is_added(
    profiles: Any, serving: Serving
) -> None:
    first = profiles()
    phone, before = begun(first, serving, 12)
    ask(phone, 'await store.setOwn("hand", "left");')
    synced(phone)
    copy = kept(first)
    ask(phone, TAP, [12, 6])
    synced(phone)
    first.close()

    again = profiles(copy)
    phone = again.new_page()
    again.route("**/api/sync", lambda route: route.abort())
    phone.goto(serving.url)
    ready(phone)
    assert total(phone, "coif", "close") == weighed(0, 12)
    ask(phone, TAP, [3, 7])
    ask(phone, "await store.counting.undo();")  # 2 ** 9
    made = weighed(3, 7) - 2**9
    again.unroute("**/api/sync")
    after = stands_under_its_new_name(phone, before)
    assert after != before
    assert total(phone, "coif", "close") == weighed(0, 18) + made
    assert ask(phone, 'return store.own("hand", "right");') == "left"
    assert ask(phone, "return (await history.refused()).length;") == 0
    assert [row["done"] for row in folded(phone) if row["step"] == "close"] == [
        total(phone, "coif", "close")
    ]

    desk = opened(profiles(), serving.url)
    synced(desk)
    assert total(desk, "coif", "close") == weighed(0, 18) + made
    ask(phone, "await store.counting.undo();")  # the newest tap that still counts: 2 ** 8
    synced(phone)
    synced(desk)
    assert total(desk, "coif", "close") == weighed(0, 18) + made - 2**8


def test_two_copies_of_one_profile_in_use_at_once_end_alike(
    profiles: Any, serving: Serving
) -> None:
    first = profiles()
    phone, before = begun(first, serving, 4)
    second = profiles(kept(first))
    other = opened(second, serving.url)
    second.route("**/api/sync", lambda route: route.abort())
    ask(phone, TAP, [4, 4])
    synced(phone)
    ask(other, TAP, [8, 4])
    second.unroute("**/api/sync")
    stands_under_its_new_name(other, before)
    synced(phone)
    for page in (phone, other):
        assert total(page, "coif", "close") == weighed(0, 12)
    assert ask(phone, AGAIN) == {"device": before, "parted": False}


def test_a_count_that_two_copies_hold_is_counted_once_whichever_came_first(
    profiles: Any, serving: Serving
) -> None:
    """Put back, it counts again and is copied once more; later that second copy is put back too."""
    before, copy = copied(profiles, serving, 5, 3)

    again = profiles(copy)
    again.route("**/api/sync", lambda route: route.abort())
    phone = opened(again, serving.url)
    ask(phone, TAP, [8, 2])
    second = kept(again)
    ask(phone, TAP, [10, 2])
    again.unroute("**/api/sync")
    stands_under_its_new_name(phone, before)
    assert total(phone, "coif", "close") == weighed(0, 12)
    again.close()

    last = opened(profiles(second), serving.url)
    stands_under_its_new_name(last, before)
    wait_until(last, lambda: total(last, "coif", "close") == weighed(0, 12), what="each count once")
    ask(last, TAP, [12, 1])
    synced(last)
    desk = opened(profiles(), serving.url)
    synced(desk)
    assert total(desk, "coif", "close") == weighed(0, 13)


def test_a_touch_of_a_page_that_still_shows_the_old_name_means_the_same_count(
    profiles: Any, serving: Serving
) -> None:
    """The list of what can be taken back was read before the name changed."""
    context = profiles()
    page, _ = begun(context, serving, 6)
    context.route("**/api/sync", lambda route: route.abort())
    ask(page, TAP, [6, 3])
    ask(
        page,
        """
      store.sync.parted = true;
      const shown = await store.counting.undoable(), { moveOn } = await import("/log/renumber.js");
      await moveOn(store.device, shown[3].seq);  // the newest three are on no server
      await store.counting.undo(shown[1]);
      await store.counting.undo(shown[4]);""",
    )
    assert total(page, "coif", "close") == weighed(0, 9) - 2**7 - 2**4
    context.unroute("**/api/sync")
    page.reload()
    ready(page)
    synced(page)
    desk = opened(profiles(), serving.url)
    synced(desk)
    for each in (page, desk):
        assert total(each, "coif", "close") == weighed(0, 9) - 2**7 - 2**4


def test_a_phone_put_back_with_nothing_entered_since_gets_its_later_counts(
    profiles: Any, serving: Serving
) -> None:
    before, copy = copied(profiles, serving, 3, 3)
    phone = opened(profiles(copy), serving.url)
    stands_under_its_new_name(phone, before)
    assert total(phone, "coif", "close") == weighed(0, 6)
