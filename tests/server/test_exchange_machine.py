"""Several devices, one server, any loss, repetition and order, even an older copy put back on either
side: equal counts in the end.
"""

from __future__ import annotations

import asyncio
import json
import random
import shutil
import tempfile
from contextlib import AsyncExitStack
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, precondition, rule

from server import backups
from shared.log.fold import Log
from tests.server.link import Device, Link, app_link

devices = st.integers(0, 2)
steps = st.sampled_from(["wind", "close", "unit"])


class Exchange(RuleBasedStateMachine):
    """Each tap has a weight of its own, so a wrong sum shows which tap is missing or counted twice."""

    @initialize(put_back=st.sampled_from(["server", "device"]))
    def begin(self, put_back: str) -> None:
        self.runner = asyncio.Runner()
        self.folder = Path(tempfile.mkdtemp())
        self.stack = AsyncExitStack()
        self.devices = [Device(name) for name in "abc"]
        self.expected: dict[str, int] = {}
        self.weight = 1
        self.old_requests: list[dict[str, Any]] = []
        self.copies = 0
        self.put_back = put_back  # what both sides have forgotten, nobody has
        self.kept: list[tuple[int, dict[str, Any]]] = []
        self.open()

    def open(self) -> None:
        async def enter() -> Link:
            return await self.stack.enter_async_context(app_link(self.folder / "w"))

        self.link = self.runner.run(enter())

    def close(self) -> None:
        self.runner.run(self.stack.aclose())

    @rule(who=devices, step=steps)
    def tap(self, who: int, step: str) -> None:
        self.devices[who].count(self.weight, step=step)
        self.expected[step] = self.expected.get(step, 0) + self.weight
        self.weight = self.weight * 2 % 999_983

    @rule(who=devices, pick=st.integers(0, 50))
    def undo(self, who: int, pick: int) -> None:
        """Any device may undo what it knows of; twice undone is undone once."""
        device = self.devices[who]
        known = [c for c in [*device.own, *device.heard.values()] if "undoes" not in c]
        if not known:
            return
        target = known[pick % len(known)]
        if self.put_back == "device":
            self.check_nothing_is_lost()
            device.undo(target)
            self.expected = self.known_anywhere()
            return
        key = (target["device"], target["seq"])
        everyone = [c for d in self.devices for c in d.own if "undoes" in c]
        if all((c["undoes"]["device"], c["undoes"]["seq"]) != key for c in everyone):
            self.expected[target["step"]] -= target["n"]
        device.undo(target)

    @rule(
        who=devices, lost=st.sampled_from(["nothing", "request", "answer"]), most=st.integers(1, 5)
    )
    def exchange(self, who: int, lost: str, most: int) -> None:
        device = self.devices[who]
        body = device.request(most)
        self.old_requests.append(body)
        if lost == "request":
            return
        answer = self.runner.run(self.link.push(body))
        if lost == "nothing":
            device.take(answer)

    @rule(pick=st.integers(0, 50))
    @precondition(lambda self: self.old_requests)
    def a_late_request_arrives(self, pick: int) -> None:
        self.runner.run(self.link.push(self.old_requests[pick % len(self.old_requests)]))

    @rule(who=devices, seed=st.integers(0, 2**16))
    def muddle(self, who: int, seed: int) -> None:
        self.runner.run(self.link.muddle(self.devices[who], random.Random(seed)))

    @rule()
    def copy(self) -> None:
        self.copies += 1
        backups.backup(self.folder / "w", self.folder / f"{self.copies}.sqlite")

    @rule(who=devices)
    @precondition(lambda self: self.put_back == "device")
    def keep_a_copy_of_a_device(self, who: int) -> None:
        self.kept.append((who, self.devices[who].copy()))

    @rule(pick=st.integers(0, 50))
    @precondition(lambda self: self.put_back == "device" and self.kept)
    def a_device_is_put_back(self, pick: int) -> None:
        """What it made after the copy and never sent is gone; all else must come back."""
        self.check_nothing_is_lost()
        who, kept = self.kept[pick % len(self.kept)]
        self.devices[who].put_back(kept)
        self.old_requests = []  # what was on its way would be the earlier life's, which is lost
        self.expected = self.known_anywhere()

    def known_anywhere(self) -> dict[str, int]:
        """Totals of all that the server or a device has, each change once."""
        stored = [
            json.loads(row.body)
            for row in self.runner.run(
                self.link.app.state.store.read(lambda tx: tx.all_changes(0, 9999))
            )
        ]
        on_server = {(c["device"], c["seq"]): c for c in stored}
        log = Log()
        log.add(stored)
        for device in self.devices:
            twin = Device("")
            twin.put_back(device.copy())
            agreed = 0
            for change in twin.own:
                if on_server.get((twin.name, change["seq"])) != change:
                    break
                agreed += 1
            twin.part(agreed)
            log.add(twin.own)
        return {row["step"]: row["done"] for row in log.result()["totals"] if row["done"]}

    def check_nothing_is_lost(self) -> None:
        assert self.known_anywhere() == {step: n for step, n in self.expected.items() if n}

    @rule()
    @precondition(lambda self: self.copies and self.put_back == "server")
    def an_older_copy_is_restored(self) -> None:
        self.close()
        backups.restore(self.folder / "w", self.folder / f"{self.copies}.sqlite", str(self.weight))
        self.open()

    def teardown(self) -> None:
        if not hasattr(self, "runner"):
            return
        try:
            self.runner.run(self.link.meet(*self.devices, *self.devices))
            wanted = {step: n for step, n in self.expected.items() if n}
            for device in self.devices:
                assert {row["step"]: row["done"] for row in device.totals()} == wanted, device.name
                assert device.refused == {}
        finally:
            self.close()
            self.runner.close()
            shutil.rmtree(self.folder)


TestExchange = Exchange.TestCase
TestExchange.settings = settings(
    max_examples=25, stateful_step_count=30, deadline=None, suppress_health_check=list(HealthCheck)
)
