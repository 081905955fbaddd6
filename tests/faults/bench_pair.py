"""`BenchPair`: devices at the bench, the real server, and a bad link between them.

Each tap weighs twice as much as the one before it on its step, up to the most that one change may
count, so a wrong total names the taps that are missing or there twice. A schedule is a seed: the
same seed does the same again.
"""

from __future__ import annotations

import json
import random
from collections.abc import AsyncIterator
from contextlib import AsyncExitStack, asynccontextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from server import backups
from tests.server.link import Device, Link, app_link

STEPS = ("wind", "cut", "flatten", "pierce", "close", "unit")
HEAVIEST = 19  # 2 ** 19 is the heaviest tap that one change may hold
DOINGS = ("tap", "tap", "tap", "undo", "exchange", "lost", "cut", "again", "late", "halved", "stop")


@dataclass
class Tap:
    """One touch at the bench: what it weighs, and who made it."""

    step: str
    weight: int
    who: str


@dataclass
class BenchPair:
    """Run with `async with BenchPair.opened(folder, seed) as pair: await pair.run(n)`.

    `put_back` is the side that may be put back to an earlier copy: what both have forgotten, nobody has.
    """

    folder: Path
    chance: random.Random
    put_back: str
    devices: list[Device]
    stack: AsyncExitStack
    link: Link
    taps: list[Tap] = field(default_factory=list)
    undone: set[tuple[str, int]] = field(default_factory=set)
    on_its_way: list[dict[str, Any]] = field(default_factory=list)  # requests that arrive late
    copies: list[dict[str, Any]] = field(default_factory=list)
    backups: int = 0
    gone: set[tuple[str, int]] = field(
        default_factory=set
    )  # (step, weight) that no side has any more

    @staticmethod
    @asynccontextmanager
    async def opened(folder: Path, seed: int) -> AsyncIterator[BenchPair]:
        chance = random.Random(seed)
        devices = [Device(name) for name in ("phone", "desk", "shelf")[: chance.choice((2, 2, 3))]]
        side = chance.choice(("nobody", "server", "phone"))
        async with AsyncExitStack() as stack:
            link = await stack.enter_async_context(app_link(folder))
            yield BenchPair(folder, chance, side, devices, stack, link)

    # — the bench —

    def tap(self, device: Device) -> None:
        step = self.chance.choice(STEPS)
        power = sum(tap.step == step for tap in self.taps)
        if power > HEAVIEST:
            return
        device.count(2**power, step=step)
        self.taps.append(Tap(step, 2**power, device.name))

    def undo(self, device: Device) -> None:
        """Any device takes back what it knows of, perhaps a second time."""
        known = [c for c in [*device.own, *device.heard.values()] if "undoes" not in c]
        if known:
            target = self.chance.choice(known)
            device.undo(target)
            self.undone.add((target["step"], target["n"]))

    # — the link —

    async def exchange(self, device: Device) -> None:
        device.take(await self.link.push(device.request(self.chance.choice((1, 3, 500)))))

    async def lost(self, device: Device) -> None:
        """The request never arrives, or much later, behind newer ones."""
        self.on_its_way.append(device.request(self.chance.choice((1, 3, 500))))

    async def cut(self, device: Device) -> None:
        """The server has committed; the line broke before its answer."""
        await self.link.push(device.request())

    async def again(self, device: Device) -> None:
        """The network repeats the request; the device gets one of the two answers."""
        request = device.request()
        answers = [await self.link.push(request), await self.link.push(request)]
        device.take(self.chance.choice(answers))

    async def late(self, device: Device) -> None:
        if self.on_its_way:
            await self.link.push(self.on_its_way.pop(self.chance.randrange(len(self.on_its_way))))

    async def halved(self, device: Device) -> None:
        """Half a request is no request: refused whole, nothing of it stored."""
        text = json.dumps(device.request())
        half = text[: self.chance.randrange(1, len(text))]
        headers = {"Content-Type": "application/json"}
        answer = await self.link.client.post("/api/sync", content=half, headers=headers)
        assert answer.status_code == 400, answer.text

    # — what is put back —

    async def stop(self, device: Device) -> None:
        if self.put_back == "server":
            await self.restore_or_back_up()
        elif self.put_back == "phone":
            await self.put_phone_back()

    async def restore_or_back_up(self) -> None:
        if not self.backups or self.chance.random() < 0.6:
            self.backups += 1
            backups.backup(self.folder, self.copy_of_file(self.backups))
            return
        await self.stack.aclose()
        n = self.chance.randint(1, self.backups)
        backups.restore(
            self.folder, self.copy_of_file(n), f"{len(self.taps)}-{self.chance.random()}"
        )
        self.link = await self.stack.enter_async_context(app_link(self.folder))

    def copy_of_file(self, n: int) -> Path:
        return self.folder.with_name(f"{n}.sqlite")

    async def put_phone_back(self) -> None:
        phone = self.devices[0]
        if not self.copies or self.chance.random() < 0.5:
            self.copies.append(phone.copy())
            return
        self.on_its_way = []
        phone.put_back(self.chance.choice(self.copies))
        await self.forget_what_nobody_has()

    async def forget_what_nobody_has(self) -> None:
        """What the phone had made since the copy and never sent is on no device any more.

        Another copy may hold it still, and bring it back.
        """
        known = [c for d in self.devices for c in [*d.own, *d.heard.values()]]
        rows = await self.link.app.state.store.read(lambda tx: tx.all_changes(0, 100_000))
        known += [json.loads(row.body) for row in rows]
        counted = {(c["step"], c["n"]) for c in known if "undoes" not in c}
        self.gone = {(t.step, t.weight) for t in self.taps} - counted
        self.undone = {(c["step"], -c["n"]) for c in known if "undoes" in c}

    # — a whole schedule —

    async def run(self, length: int) -> None:
        doings = [self.chance.choice(DOINGS) for _ in range(length)]
        for name in doings:
            device = self.chance.choice(self.devices)
            done = getattr(self, name)(device)
            if done is not None:
                await done

    async def settle(self) -> None:
        """The line is good at last: what is still on its way arrives, and everyone asks until nothing is new."""
        for request in self.on_its_way:
            await self.link.push(request)
        await self.link.meet(*self.devices, *self.devices)

    def expected(self) -> dict[str, int]:
        out = dict.fromkeys(STEPS, 0)
        for tap in self.taps:
            if (tap.step, tap.weight) not in self.undone | self.gone:
                out[tap.step] += tap.weight
        return out

    def wrong(self, rows: list[dict[str, Any]]) -> list[str]:
        """The taps that are missing, or there though taken back: their weights tell."""
        seen = dict.fromkeys(STEPS, 0) | {row["step"]: row["done"] for row in rows}
        wrong = []
        for step, wanted in self.expected().items():
            names = {tap.weight: tap.who for tap in self.taps if tap.step == step}
            for weight, who in names.items():
                if (seen[step] ^ wanted) & weight:
                    state = "missing" if wanted & weight else "there too many times"
                    wrong.append(f"{step} {weight} of {who} is {state}")
            if seen[step] > sum(names):
                wrong.append(f"{step}: {seen[step]} counted, and {sum(names)} ever tapped")
        return wrong

    def check(self) -> None:
        for device in self.devices:
            assert self.wrong(device.totals()) == [], device.name
            assert device.refused == {}, device.name
