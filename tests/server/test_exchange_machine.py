"""Several devices, one server, any loss, repetition and order, even a restored older copy: equal
counts in the end.
"""

from __future__ import annotations

import asyncio
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
from tests.server.link import Device, Link, app_link

devices = st.integers(0, 2)
steps = st.sampled_from(["wind", "close", "unit"])


class Exchange(RuleBasedStateMachine):
    """Each tap has a weight of its own, so a wrong sum shows which tap is missing or counted twice."""

    @initialize()
    def begin(self) -> None:
        self.runner = asyncio.Runner()
        self.folder = Path(tempfile.mkdtemp())
        self.stack = AsyncExitStack()
        self.devices = [Device(name) for name in "abc"]
        self.expected: dict[str, int] = {}
        self.weight = 1
        self.old_requests: list[dict[str, Any]] = []
        self.copies = 0
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

    @rule()
    @precondition(lambda self: self.copies)
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
