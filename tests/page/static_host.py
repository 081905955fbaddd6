"""A host that only hands files out, and pages on it: nothing answers there but what lies in a folder."""

from __future__ import annotations

import functools
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Page

from server.settings import Settings
from server.static_site import write_page
from tests.page.desk import PATIENCE_S, kept_offline, ready, wait_until

HERE = Settings(data=Path())
FOLDER = "tools/mail"  # where on its host the page lies

STORE = """const { store } = await import("./store/store.js"), history = await import("./store/history.js"),
  journal = await import("./log/log.js"), { mapChanges } = await import("./log/queries.js"),
  allChanges = () => mapChanges((all) => all);"""


class Host:
    """`asked`: every path that was asked for; `url`: the page's address on it."""

    def __init__(self, root: Path, settings: Settings = HERE) -> None:
        self.root = root
        self.asked: list[str] = []
        self.settings = settings
        asked = self.asked

        class Files(SimpleHTTPRequestHandler):
            def log_message(self, *said: Any) -> None:
                asked.append(self.path)

        files = functools.partial(Files, directory=str(root))
        self.server = ThreadingHTTPServer(("127.0.0.1", 0), files)
        self.url = f"http://127.0.0.1:{self.server.server_port}/{FOLDER}/"

    def put_up(self) -> str:
        """Write the page there, or its newer version; the version."""
        return write_page(self.settings, self.root / FOLDER).version


@contextmanager
def hosted(root: Path, settings: Settings = HERE) -> Iterator[Host]:
    """A host with the page on it, while the block runs."""
    host = Host(root, settings)
    host.put_up()
    threading.Thread(target=host.server.serve_forever, daemon=True).start()
    try:
        yield host
    finally:
        host.server.shutdown()
        host.server.server_close()


def visited(context: BrowserContext, host: Host, way: str = "") -> Page:
    """Ready, and kept for use without the host; what the browser complains of is in `page.said`."""
    page = context.new_page()
    said: list[str] = []
    page.on("console", lambda m: said.append(m.text) if m.type in ("error", "warning") else None)
    page.on("pageerror", lambda error: said.append(str(error)))
    page.said = said  # type: ignore[attr-defined]
    page.goto(host.url + way)
    ready(page)
    kept_offline(page)
    return page


def phone(browser: Browser, **more: Any) -> BrowserContext:
    """A profile of its own: storage of its own, so a device."""
    return browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, **more)


def tell(page: Page, body: str, given: Any = None) -> Any:
    """As `desk.ask`, wherever on its host the page lies."""
    return page.evaluate(f"async (given) => {{ {STORE} {body} }}", given)


def till(page: Page, body: str, given: Any = None) -> Any:
    """The first truthy answer of `body`."""
    return wait_until(page, lambda: tell(page, body, given), PATIENCE_S, body)
