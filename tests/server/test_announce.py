"""The .local name on a real network socket: found by another, followed, taken back, never a stop."""

from __future__ import annotations

import logging
from collections.abc import AsyncIterator

import pytest
from zeroconf import AddressResolver, IPVersion, ServiceInfo
from zeroconf.asyncio import AsyncZeroconf

from server.announce import KIND, Announcer
from server.home import Home

LOOPBACK = ["127.0.0.1"]  # every machine has it, with no network too
WAIT_MS = 20_000


@pytest.fixture
async def phone() -> AsyncIterator[AsyncZeroconf]:
    """Another one who asks for names on this machine."""
    net = AsyncZeroconf(interfaces=LOOPBACK)
    yield net
    await net.async_close()


@pytest.fixture
async def announcer() -> AsyncIterator[Announcer]:
    made = Announcer(Home("anvil.local", ("192.168.1.20", "fd00::5")), "81b2-90aa", 8737, LOOPBACK)
    yield made
    await made.stop()


async def found(phone: AsyncZeroconf, name: str, wait_ms: int = WAIT_MS) -> set[str]:
    """The addresses that a phone gets for a name."""
    asking = AddressResolver(f"{name}.")
    await asking.async_request(phone.zeroconf, wait_ms)
    return set(asking.parsed_addresses(IPVersion.All))


async def test_a_phone_finds_the_name_with_all_addresses_and_the_service(
    phone: AsyncZeroconf, announcer: Announcer
) -> None:
    await announcer.keep_up()
    assert await found(phone, "anvil.local") == {"192.168.1.20", "fd00::5"}
    service = ServiceInfo(KIND, f"Ringwright 81b2-90aa.{KIND}")
    assert await service.async_request(phone.zeroconf, WAIT_MS)
    assert (service.port, service.server) == (8737, "anvil.local.")


async def test_the_name_follows_the_addresses(phone: AsyncZeroconf, announcer: Announcer) -> None:
    await announcer.keep_up()
    announcer.home.addresses = ("10.0.0.9",)
    await announcer.keep_up()
    assert await found(phone, "anvil.local") == {"10.0.0.9"}
    first = announcer.net
    await announcer.keep_up()
    assert announcer.net is first  # nothing is said again where nothing changed


async def test_the_name_is_taken_back_at_the_end(
    phone: AsyncZeroconf, announcer: Announcer
) -> None:
    await announcer.keep_up()
    assert await found(phone, "anvil.local")
    await announcer.stop()
    other = Announcer(Home("hammer.local", ("10.0.0.9",)), "1111-2222", 8737, LOOPBACK)
    late = AsyncZeroconf(interfaces=LOOPBACK)
    try:
        await other.keep_up()
        assert await found(late, "hammer.local") == {"10.0.0.9"}  # it asks, and is answered
        assert await found(late, "anvil.local", 1500) == set()
    finally:
        await late.async_close()
        await other.stop()


async def test_a_name_that_another_computer_answers_to_is_told_once_with_what_would_do(
    announcer: Announcer, caplog: pytest.LogCaptureFixture
) -> None:
    other = Announcer(Home("anvil.local", ("10.0.0.9",)), "1111-2222", 8737, LOOPBACK)
    try:
        await announcer.keep_up()
        assert not caplog.records  # it does not take itself for another
        await other.keep_up()
        await other.keep_up()
    finally:
        await other.stop()
    (told,) = (record.getMessage() for record in caplog.records)
    for part in ("192.168.1.20, fd00::5", "anvil.local", "--trust-again --name NAME", "10.0.0.9"):
        assert part in told


async def test_without_addresses_nothing_is_announced(announcer: Announcer) -> None:
    announcer.home.addresses = ()
    await announcer.keep_up()
    assert announcer.net is None
    announcer.home.addresses = ("10.0.0.9",)
    await announcer.keep_up()
    assert announcer.net is not None


# the library leaves a socket of its own open where one of the interfaces fails
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
async def test_a_network_that_refuses_is_told_once_with_what_would_do_and_tried_again(
    announcer: Announcer, caplog: pytest.LogCaptureFixture
) -> None:
    announcer.interfaces = ["203.0.113.77"]  # RFC 5737: no computer has it
    with caplog.at_level(logging.WARNING, "uvicorn.error"):
        for _ in range(3):
            await announcer.keep_up()
    (line,) = [record.getMessage() for record in caplog.records]
    assert (
        "anvil.local" in line and "https://192.168.1.20:8737/" in line and "fixed address" in line
    )
    assert "Errno" not in line and "Traceback" not in line
    announcer.interfaces = LOOPBACK
    await announcer.keep_up()
    assert announcer.net is not None
