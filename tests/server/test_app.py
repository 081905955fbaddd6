"""The app's edges: what it serves, to whom, and how it refuses."""

from __future__ import annotations

import httpx

from tests.running import Serving


def test_the_running_server_answers_and_stops_on_interrupt(serving: Serving) -> None:
    assert httpx.get(serving.url + "/health").json() == {"ok": True}
    assert httpx.get(serving.url + "/").headers["content-type"] == "text/html; charset=utf-8"
    serving.stop()
    assert "Traceback" not in serving.output()
    serving.start()
    assert httpx.get(serving.url + "/health").status_code == 200
