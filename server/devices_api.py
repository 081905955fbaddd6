"""The API of pairing: a browser is let in by a code, and the paired ones see and change who is."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from . import backup_schedule, pairing_code, tls, ways_in
from .errors import Unreadable, json_answer
from .json_body import read_object
from .paired import cookie_name, set_cookie
from .pairing import Paired, Pairing
from .proxy import client_address
from .sentences import sentence

T = TypeVar("T")

LONGEST_NAME = 60  # characters
_JOINERS = str.maketrans("", "", "\u200c\u200d")  # within words and pictures of some writings


def _name(value: Any) -> str:
    """What the maker calls a device; raises Unreadable."""
    name = value.strip() if isinstance(value, str) else ""
    if not 0 < len(name) <= LONGEST_NAME or not name.translate(_JOINERS).isprintable():
        raise Unreadable("name", sentence("devices_api.name", most=LONGEST_NAME))
    return name


def _device(value: Any) -> str | None:
    """The name of the browser's log, as in /api/sync; raises Unreadable."""
    if value is None:
        return None
    if not isinstance(value, str) or not 0 < len(value) <= 200 or not value.isprintable():
        raise Unreadable("device", sentence("devices_api.device"))
    return value


def _id(value: Any) -> int:
    """The number of a device in the list; raises Unreadable."""
    if type(value) is not int or not 0 < value < 2**53:
        raise Unreadable("id", sentence("devices_api.id"))
    return value


async def _do(request: Request, work: Callable[[Pairing, int], T]) -> T:
    """`work(pairing, now_ms)` in a thread: it waits for the disk and hashes codes."""
    state = request.app.state
    return await run_in_threadpool(work, state.pairing, state.clock())


async def pair(request: Request) -> Response:
    """POST /api/pair: let this browser in by its code; 403 for a wrong one, 429 after too many."""
    body = await read_object(request, {"code", "name", "device"})
    code, name = pairing_code.read(body.get("code")), _name(body.get("name"))
    device = _device(body.get("device"))
    address = client_address(request)
    before: Paired | None = request.state.paired

    def work(pairing: Pairing, now_ms: int) -> tuple[Paired, str]:
        pairing.use_code(code, address, now_ms)
        return pairing.let_in(name, device, before, now_ms)

    paired, token = await _do(request, work)
    state = request.app.state
    answer = json_answer(
        {"paired": {"id": paired.id, "name": paired.name}, "workshop": state.workshop}
    )
    name = cookie_name(state.settings, state.workshop)
    set_cookie(answer, name, token, state.settings.secure)
    return answer


async def _listed(request: Request) -> dict[str, Any]:
    living, ended = await _do(request, Pairing.all)
    shown = ("id", "name", "made_ms", "seen_ms", "device")
    you: Paired | None = request.state.paired
    return {
        "you": you.id if you else None,
        "devices": [{name: getattr(p, name) for name in shown} for p in living],
        "removed": [{"id": p.id, "name": p.name, "removed_ms": p.removed_ms} for p in ended],
    }


async def devices(request: Request) -> Response:
    """GET /api/devices: who is paired, when each was last seen, and who no longer is."""
    return json_answer(await _listed(request))


async def rename(request: Request) -> Response:
    """POST /api/devices/name: call a device something else; 404 for one that is not there."""
    body = await read_object(request, {"id", "name"})
    which, name = _id(body.get("id")), _name(body.get("name"))
    await _do(request, lambda pairing, _: pairing.rename(which, name))
    return json_answer(await _listed(request))


async def remove(request: Request) -> Response:
    """POST /api/devices/remove: end one pairing, or all but the asking one."""
    body = await read_object(request, {"id", "others"})
    you: Paired | None = request.state.paired
    own = you.id if you else 0
    if "others" in body:
        if body["others"] is not True or len(body) > 1:
            raise Unreadable("others", sentence("devices_api.others"))
        await _do(request, lambda pairing, now_ms: pairing.remove_others(own, now_ms))
        return json_answer(await _listed(request))
    which = _id(body.get("id"))
    await _do(request, lambda pairing, now_ms: pairing.remove(which, now_ms))
    answer = json_answer(await _listed(request))
    if which == own:
        state = request.app.state
        set_cookie(answer, cookie_name(state.settings, state.workshop), "", state.settings.secure)
    return answer


async def make_code(request: Request) -> Response:
    """POST /api/code: a new code, and how another browser gets here with it."""
    await read_object(request, set())
    code, until_ms = await _do(request, Pairing.make_code)
    way = ways_in.with_code(ways_in.way(request.app.state.settings), code)
    return json_answer(way | {"until_ms": until_ms})


async def code_state(request: Request) -> Response:
    """GET /api/code: whether a code is alive, so that a page sees that its code was used."""
    until_ms = await _do(request, Pairing.alive_until)
    alive = until_ms is not None
    return json_answer({"alive": alive} | ({"until_ms": until_ms} if alive else {}))


async def end_codes(request: Request) -> Response:
    """POST /api/code/stop: no code is alive any more."""
    await read_object(request, set())
    await _do(request, lambda pairing, _: pairing.end_codes())
    return json_answer({})


async def server(request: Request) -> Response:
    """GET /api/server: what a paired page knows of its server."""
    state = request.app.state

    def known() -> dict[str, Any]:
        backup = backup_schedule.status(state.settings.data)
        return {"workshop": state.workshop, "backup": backup} | tls.state(state.settings)

    return json_answer(await run_in_threadpool(known))
