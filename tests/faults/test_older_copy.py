"""The server put back to an older copy while devices went on: their counts return by themselves."""

from __future__ import annotations

import shutil
from pathlib import Path

from server import backups
from server.store import FILE
from tests.server.link import Device, app_link


def count_some(devices: list[Device], n: int) -> int:
    for device in devices:
        for _ in range(n):
            device.count(len(device.own) + 1)
    return sum(c["n"] for device in devices for c in device.own)


async def test_counts_return_after_a_restore(tmp_path: Path) -> None:
    devices = [Device(name) for name in "abc"]
    count_some(devices, 30)
    async with app_link(tmp_path / "w") as link:
        await link.meet(*devices, *devices)
        backups.backup(tmp_path / "w", tmp_path / "copy.sqlite")  # taken beside the running server
        count_some(devices, 700)
        await link.meet(*devices, *devices)
    backups.restore(tmp_path / "w", tmp_path / "copy.sqlite", "1")
    expected = count_some(devices, 5)
    async with app_link(tmp_path / "w") as link:
        await link.meet(*devices, *devices)
        newcomer = Device("d")
        await link.meet(newcomer)
    assert {device.totals()[0]["done"] for device in [*devices, newcomer]} == {expected}


async def test_counts_return_when_the_file_itself_was_swapped(tmp_path: Path) -> None:
    """Somebody copied yesterday's file over it by hand: the log's identity is the same, `acked`
    tells.

    b has heard nothing of a's newer counts; after the swap these lie where b's own lay before.
    """
    devices = a, b = Device("a"), Device("b")
    count_some([a, b], 20)
    async with app_link(tmp_path / "w") as link:
        await link.meet(*devices, *devices)
    shutil.copy(tmp_path / "w" / FILE, tmp_path / "yesterday")
    count_some([a, b], 40)
    async with app_link(tmp_path / "w") as link:
        await link.meet(b, a)
    shutil.copy(tmp_path / "yesterday", tmp_path / "w" / FILE)
    expected = count_some([a, b], 1)
    async with app_link(tmp_path / "w") as link:
        await link.meet(*devices, *devices)
        newcomer = Device("c")
        await link.meet(newcomer)
    assert {device.totals()[0]["done"] for device in [*devices, newcomer]} == {expected}


async def test_counts_return_when_the_workshop_was_lost_altogether(tmp_path: Path) -> None:
    """A fresh file is another workshop, so nothing goes there by itself; brought over, each count
    is there once.
    """
    devices = [Device(name) for name in "ab"]
    expected = count_some(devices, 600)
    async with app_link(tmp_path / "w") as link:
        await link.meet(*devices, *devices)
    async with app_link(tmp_path / "new") as link:
        for device in devices:
            refused = await link.post(device.request())
            assert refused.status_code == 409
            device.move_to(refused.json()["workshop"])
        await link.meet(*devices, *devices)
        newcomer = Device("c")
        await link.meet(newcomer)
    assert {device.totals()[0]["done"] for device in [*devices, newcomer]} == {expected}


async def test_a_device_that_only_listens_notices_a_file_put_back_by_hand(tmp_path: Path) -> None:
    """By the time it asks again, other changes stand where its cursor points: places 21 to 40 are in
    use again.
    """
    a, b, listener = Device("a"), Device("b"), Device("c")
    count_some([a], 20)
    async with app_link(tmp_path / "w") as link:
        await link.meet(a, listener)
    shutil.copy(tmp_path / "w" / FILE, tmp_path / "yesterday")
    count_some([a], 20)
    async with app_link(tmp_path / "w") as link:
        await link.meet(a, listener)
    shutil.copy(tmp_path / "yesterday", tmp_path / "w" / FILE)
    count_some([b], 30)
    async with app_link(tmp_path / "w") as link:
        await link.meet(b)
        await link.meet(listener)
        await link.meet(a, b, listener)
    expected = sum(c["n"] for device in (a, b) for c in device.own)
    assert {device.totals()[0]["done"] for device in (a, b, listener)} == {expected}
