"""Both ends joined: devices with their logs, the real app, and a link that loses, repeats and
reorders.
"""

from __future__ import annotations

import copy
import hashlib
import itertools
import json
import random
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import httpx
from starlette.applications import Starlette

from server.app import build_app, now_ms
from server.settings import Settings
from shared.log.fold import Log

Change = dict[str, Any]
LIVES = itertools.count()  # makes the name of a device that moves nothing differ from all others
URL = "http://127.0.0.1:8737"


class Device:
    """A phone's side of the protocol: its own log, what it heard, and the cursors that go with
    them.
    """

    def __init__(self, name: str) -> None:
        self.name = name
        self.own: list[Change] = []
        self.heard: dict[tuple[str, int], Change] = {}
        self.acked = 0
        self.after = 0
        self.mark: str | None = None
        self.log: str | None = None
        self.workshop: str | None = None
        self.refused: dict[int, str] = {}
        self.sent = (0, 0)  # how far the last request went, and the own last number in it

    def say(self, kind: str, **fields: Any) -> Change:
        seq = len(self.own) + 1
        change = {
            "device": self.name,
            "seq": seq,
            "at": 1700000000000 + seq,
            "tz": 60,
            "v": 1,
            "kind": kind,
            **fields,
        }
        self.own.append(change)
        return change

    def count(self, n: int, piece: str = "p", step: str = "close", **more: Any) -> Change:
        return self.say("count", piece=piece, step=step, n=n, how="tap", **more)

    def undo(self, target: Change) -> Change:
        key = {"device": target["device"], "seq": target["seq"]}
        return self.say(
            "count",
            piece=target["piece"],
            step=target["step"],
            n=-target["n"],
            how="tap",
            undoes=key,
        )

    def request(self, most: int = 500) -> dict[str, Any]:
        batch = self.own[self.acked : self.acked + most]
        self.sent = (self.acked + len(batch), len(self.own))
        whose = {"workshop": self.workshop, "log": self.log, "mark": self.mark}
        cursors = {"after": self.after, "seq": len(self.own)}
        return {"v": 1, "device": self.name, "changes": batch, **cursors, **whose}

    def take(self, answer: dict[str, Any]) -> bool:
        """Take an answer in; True when there is more to do."""
        reached, last = self.sent
        parted = answer.get("parted", last if answer["acked"] > last == reached else None)
        if parted is not None:
            self.part(parted)
            return True
        moved = self.log is not None and answer["log"] != self.log
        back = answer["acked"] < self.acked
        for change in answer["changes"]:
            self.heard[(change["device"], change["seq"])] = change
        self.refused.update({r["seq"]: r["why"] for r in answer["refused"]})
        self.workshop, self.log, self.mark = answer["workshop"], answer["log"], answer["mark"]
        self.acked = min(answer["acked"], reached)
        self.after = 0 if back else answer["upto"]
        return bool(answer["more"] or moved or back or self.acked < len(self.own))

    def part(self, parted: int) -> None:
        """Go on under a new name with what lies above `parted`; what lies below is the old name's."""
        moved = self.own[parted:]
        before, self.name = self.name, self._next_name(parted, moved)
        self.heard |= {(c["device"], c["seq"]): c for c in self.own[:parted]}
        for seq, change in enumerate(moved, 1):
            change.update(device=self.name, seq=seq)
            target = change.get("undoes")
            if target and target["device"] == before and target["seq"] > parted:
                change["undoes"] = {"device": self.name, "seq": target["seq"] - parted}
        self.own, self.acked, self.after, self.mark = moved, 0, 0, None

    def _next_name(self, parted: int, moved: list[Change]) -> str:
        """It follows from the first change that moves, so that two copies of it get the same name."""
        text = json.dumps([self.name, parted, moved[0] if moved else next(LIVES)], sort_keys=True)
        return f"{self.name.split('.')[0]}.{hashlib.sha256(text.encode()).hexdigest()[:16]}"

    def copy(self) -> dict[str, Any]:
        """All that is on it, as a backup of the phone keeps it."""
        return copy.deepcopy(vars(self))

    def put_back(self, kept: dict[str, Any]) -> None:
        vars(self).update(copy.deepcopy(kept))

    def move_to(self, workshop: str) -> None:
        """Bring the records over: all of them are sent again, there."""
        self.workshop, self.log, self.acked, self.after, self.mark = workshop, None, 0, 0, None

    def totals(self) -> list[dict[str, Any]]:
        log = Log()
        log.add(self.own + list(self.heard.values()))
        return list(log.result()["totals"])


class Link:
    """A client of the app. `post` is the bare wire, `meet` a device's whole round."""

    def __init__(self, client: httpx.AsyncClient, app: Starlette) -> None:
        self.client = client
        self.app = app

    async def post(self, body: Any, path: str = "/api/sync", **options: Any) -> httpx.Response:
        return await self.client.post(path, json=body, **options)

    async def push(self, body: dict[str, Any]) -> dict[str, Any]:
        response = await self.post(body)
        assert response.status_code == 200, response.text
        return dict(response.json())

    async def meet(self, *devices: Device) -> None:
        """Rounds until each device has nothing more to send or hear."""
        for device in devices:
            for _ in range(200):
                if not device.take(await self.push(device.request())):
                    break
            else:
                raise AssertionError(f"{device.name} and the server never come to an end")

    async def muddle(self, device: Device, chance: random.Random) -> None:
        """One batch as a bad network would bring it: shuffled, doubled, its front or answer
        missing.
        """
        body = device.request(most=chance.randint(1, 6))
        batch = [*body["changes"], *body["changes"][: chance.randint(0, 3)]]
        chance.shuffle(batch)
        front = chance.choice([0, 0, 1])
        body["changes"] = batch[front:]
        answer = await self.push(body)
        whole = not front or "parted" not in answer  # no page sends half of what it compares
        if whole and chance.random() < 0.5:
            device.take(answer)

    async def pair(self, name: str = "Phone", **other: Any) -> httpx.Response:
        """Pair this client by a code made at the server; it keeps the cookie."""
        code, _ = self.app.state.pairing.make_code(self.app.state.clock())
        response = await self.post({"code": code, "name": name, **other}, "/api/pair")
        assert response.status_code == 200, response.text
        return response

    @asynccontextmanager
    async def another(self) -> AsyncIterator[Link]:
        """One more browser at the same server, with no cookie yet."""
        async with _client(self.app, self.client.base_url) as client:
            yield Link(client, self.app)


def _client(app: Starlette, url: httpx.URL | str) -> httpx.AsyncClient:
    transport = httpx.ASGITransport(app=app, raise_app_exceptions=False)
    return httpx.AsyncClient(transport=transport, base_url=url)


class Clock:
    """A clock that stands until it is moved on; milliseconds UTC since 1970."""

    def __init__(self) -> None:
        self.ms = 1_800_000_000_000

    def __call__(self) -> int:
        return self.ms


@asynccontextmanager
async def app_link(
    data: Path,
    clock: Callable[[], int] = now_ms,
    url: str = URL,
    needs_pairing: bool = False,
    **other: Any,
) -> AsyncIterator[Link]:
    """The real app on a data folder, asked without a socket. Raises nothing of the app's own: 500
    stays an answer. `other` are settings beside the folder. Anyone may ask unless `needs_pairing`.
    """
    app = build_app(Settings(data=data, needs_pairing=needs_pairing, **other), clock)
    async with app.router.lifespan_context(app), _client(app, url) as client:
        yield Link(client, app)
