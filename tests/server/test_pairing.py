"""Codes and pairings: what is let in, for how long, and what a maker reads."""

from __future__ import annotations

import asyncio
import sqlite3
import stat
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from server import cli, pairing_code, ways_in
from server.errors import Refusal, StoreBroken, StoreError, StoreTooNew, Unreadable
from server.pairing import CODE_LIFE, CODES, DAY, FILE, IDLE_LIFE, MINUTE, Pairing, network_of
from server.settings import Settings
from tests.running import Serving
from tests.server.link import Clock, Link, app_link
from tests.server.test_app import SAID, shape
from tests.server.test_cli import run

NOW = 1_800_000_000_000
HOME = "192.168.1.20"


@pytest.fixture
def pairing(tmp_path: Path) -> Pairing:
    return Pairing(tmp_path / "workshop")


def refused(pairing: Pairing, code: str, now_ms: int = NOW, address: str = HOME) -> Refusal:
    with pytest.raises(Refusal) as caught:
        pairing.use_code(code, address, now_ms)
    return caught.value


def wrong(code: str) -> str:
    """A code that is not this one."""
    return code[:-1] + ("B" if code[-1] != "B" else "C")


def test_a_code_is_read_however_it_is_typed() -> None:
    for typed in ("KTRMWHPD", "ktrm whpd", " K-T-R-M W‑H\u2013P\u00a0D ", "KTRM-whpd"):
        assert pairing_code.read(typed) == "KTRMWHPD"
    assert pairing_code.spaced("KTRMWHPD") == "KTRM WHPD"
    made = {pairing_code.make() for _ in range(200)}
    assert len(made) == 200 and all(pairing_code.read(code) == code for code in made)
    assert {letter for code in made for letter in code} == set(pairing_code.LETTERS)


@pytest.mark.parametrize(
    "typed", ["", "KTRM", "KTRM WHPDX", None, 5, ["K"], "K" * 65, "KTRM\u202eWHPD", "KTRM\ud800HPD"]
)
def test_what_can_be_no_code_is_told_by_its_shape(typed: Any) -> None:
    with pytest.raises(Unreadable, match="eight letters"):
        pairing_code.read(typed)


def test_a_letter_that_is_in_no_code_is_named() -> None:
    with pytest.raises(Unreadable, match="'0' is in no code"):
        pairing_code.read("KTRM WHP0")


def test_a_slip_that_can_be_no_code_costs_no_try(tmp_path: Path) -> None:
    async def slips() -> None:
        async with app_link(tmp_path / "w", needs_pairing=True) as link:
            code, _ = link.app.state.pairing.make_code(link.app.state.clock())
            for _ in range(12):
                said = {"code": code[:7] + "0", "name": "Phone"}
                assert shape(await link.post(said, "/api/pair"), 400)["field"] == "code"
            said = {"code": code, "name": "Phone"}
            assert (await link.post(said, "/api/pair")).status_code == 200

    asyncio.run(slips())


def test_the_tries_that_are_left_are_counted_down_in_words(pairing: Pairing) -> None:
    code, _ = pairing.make_code(NOW)
    told = [refused(pairing, wrong(code)) for _ in range(5)]
    assert [each.more["tries_left"] for each in told] == [4, 3, 2, 1, 0]
    assert "4 tries are left" in told[0].why and "one try is left" in told[3].why
    assert "no longer valid" in told[4].why and {each.status for each in told} == {403}


def test_an_address_with_five_wrong_tries_waits_whatever_codes_are_made(pairing: Pairing) -> None:
    code, _ = pairing.make_code(NOW)
    for minute in range(5):
        refused(pairing, wrong(code), NOW + minute * MINUTE)
    newer, _ = pairing.make_code(NOW + 5 * MINUTE)
    told = refused(pairing, newer, NOW + 5 * MINUTE)
    assert told.status == 429 and told.headers == {"Retry-After": "300"}
    assert "Wait 5 minutes" in told.why
    assert "one minute" in refused(pairing, newer, NOW + 9 * MINUTE).why
    pairing.use_code(newer, "192.168.1.21", NOW + 9 * MINUTE)  # another address may
    latest, _ = pairing.make_code(NOW + 10 * MINUTE)
    pairing.use_code(latest, HOME, NOW + 10 * MINUTE)  # and so may this one again


def test_wrong_tries_of_an_address_count_over_several_codes(pairing: Pairing) -> None:
    for n in range(4):
        code, _ = pairing.make_code(NOW + n)
        refused(pairing, wrong(code), NOW + n)
        pairing.end_codes()
    pairing.make_code(NOW + 9)
    told = refused(pairing, "BBBBBBBB", NOW + 9)
    assert told.more == {"tries_left": 0} and "Wait ten minutes" in told.why
    assert pairing.alive_until(NOW + 9)  # the code is for someone else still


def test_a_right_try_leaves_the_other_codes_alive(pairing: Pairing) -> None:
    first, second = pairing.make_code(NOW)[0], pairing.make_code(NOW)[0]
    pairing.use_code(second, HOME, NOW)
    refused(pairing, second)
    pairing.use_code(first, HOME, NOW)
    assert refused(pairing, first).more == {} and pairing.alive_until(NOW) is None


def test_so_many_codes_are_alive_and_no_more(pairing: Pairing) -> None:
    codes = [pairing.make_code(NOW)[0] for _ in range(CODES + 1)]
    assert refused(pairing, codes[0]).status == 403
    for code in codes[1:]:
        pairing.use_code(code, HOME, NOW)


def test_a_clock_that_is_put_back_makes_no_code_live_longer(pairing: Pairing) -> None:
    code, until = pairing.make_code(NOW)
    assert until == NOW + CODE_LIFE == pairing.alive_until(NOW)
    assert refused(pairing, code, NOW - DAY).status == 403
    assert pairing.alive_until(NOW - 2 * MINUTE) is None


def test_the_networks_of_addresses() -> None:
    assert network_of(HOME) == HOME != network_of("192.168.1.21")
    assert network_of("fd00:1::5") == network_of("fd00:1::ffff:1") != network_of("fd00:2::5")
    assert network_of("fe80::1%eth0") == network_of("fe80::2%eth0")
    assert network_of("::ffff:192.168.1.20") == HOME
    assert network_of("") == "" and network_of("here") == "here"


def test_when_it_was_seen_is_written_once_a_minute(pairing: Pairing) -> None:
    _, token = pairing.let_in("Phone", None, None, NOW)

    def seen(now_ms: int) -> int:
        assert pairing.meet(token, now_ms) is not None
        return pairing.all(now_ms)[0][0].seen_ms

    assert [seen(NOW + s) for s in (59_999, 60_000, 119_999)] == [NOW, NOW + MINUTE, NOW + MINUTE]
    assert seen(NOW - DAY) == NOW - DAY  # the clock was wrong before, or is now


def test_a_pairing_that_ended_by_its_age_is_listed_as_ended(pairing: Pairing) -> None:
    _, token = pairing.let_in("Phone", None, None, NOW)
    late = NOW + IDLE_LIFE
    assert pairing.meet(token, late - 1) and Pairing(pairing.path.parent).all(NOW)[0]
    pairing.let_in("Tablet", None, None, NOW)
    assert pairing.meet(token, late + IDLE_LIFE) is None
    living, ended = pairing.all(late)
    assert [p.name for p in living] == ["Phone"]
    assert [(p.name, p.removed_ms) for p in ended] == [("Tablet", NOW + IDLE_LIFE)]


def test_what_is_removed_stays_listed_until_the_same_device_is_paired_again(
    pairing: Pairing,
) -> None:
    phone, token = pairing.let_in("Phone", "log-1", None, NOW)
    pairing.remove(phone.id, NOW + 5)
    assert pairing.meet(token, NOW + 6) is None
    assert [(p.id, p.removed_ms) for p in pairing.all(NOW + 6)[1]] == [(phone.id, NOW + 5)]
    again, _ = pairing.let_in("Phone", "log-1", None, NOW + 7)
    living, ended = pairing.all(NOW + 7)
    assert [p.id for p in living] == [again.id] and not ended and again.id != phone.id


def test_the_file_is_the_owners_alone_and_has_no_letters_to_steal(pairing: Pairing) -> None:
    code, _ = pairing.make_code(NOW)
    _, token = pairing.let_in("Phone", None, None, NOW)
    assert stat.S_IMODE(pairing.path.stat().st_mode) == 0o600
    kept = pairing.path.read_bytes()
    assert b"Phone" in kept
    assert (
        token.encode() not in kept
        and code.encode() not in kept
        and bytes(token, "ascii")[:20] not in kept
    )


def test_a_damaged_file_is_told_with_what_would_do(pairing: Pairing) -> None:
    pairing.check()
    pairing.path.write_bytes(b"no database at all" * 100)
    for work in (pairing.check, lambda: pairing.meet("t", NOW), lambda: pairing.all(NOW)):
        with pytest.raises(StoreBroken, match="move that file elsewhere"):
            work()


def test_a_file_of_a_newer_version_is_left_alone(pairing: Pairing) -> None:
    pairing.check()
    with closing(sqlite3.connect(pairing.path)) as db:
        db.execute("PRAGMA user_version = 2")
    with pytest.raises(StoreTooNew, match="newer Ringwright"):
        pairing.check()


def test_a_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(StoreError, match="a folder is needed there"):
        Pairing(tmp_path / "file").check()


def test_without_its_file_nobody_is_paired(pairing: Pairing) -> None:
    _, token = pairing.let_in("Phone", None, None, NOW)
    pairing.path.unlink()
    assert pairing.meet(token, NOW) is None
    assert pairing.all(NOW) == ([], [])


async def test_a_browser_is_let_in_by_a_code_and_then_syncs(unpaired: Link) -> None:
    shape(await unpaired.post(SAID), 401)
    said = (await unpaired.pair("Phone", device="log-1")).json()
    assert said == {"paired": {"id": 1, "name": "Phone"}, "workshop": unpaired.app.state.workshop}
    assert (await unpaired.push(SAID))["acked"] == 0
    now = unpaired.app.state.clock.ms
    assert (await unpaired.client.get("/api/devices")).json() == {
        "you": 1,
        "devices": [
            {"id": 1, "name": "Phone", "made_ms": now, "seen_ms": now, "device": "log-1"}
        ],
        "removed": [],
    }  # fmt: skip


async def test_a_paired_page_makes_a_code_and_sees_that_it_was_used(paired: Link) -> None:
    async def state() -> dict[str, Any]:
        return dict((await paired.client.get("/api/code")).json())

    assert await state() == {"alive": False}
    made = (await paired.post({}, "/api/code")).json()
    assert await state() == {"alive": True, "until_ms": made["until_ms"]}
    address = paired.app.state.settings.address
    assert made["address"] == address and made["link"] == f"{address}#pair={made['code']}"
    assert made["start"] == made["link"] and made["fingerprint"] == [] and made["guide"] is False
    rows = made["qr"]
    assert len(rows) == len(rows[0]) and {*"".join(rows)} == {"0", "1"}
    assert rows[0].startswith("11111110")  # a corner mark
    async with paired.another() as phone:
        said = {"code": made["code"].lower(), "name": "Phone"}
        assert (await phone.post(said, "/api/pair")).status_code == 200
    assert await state() == {"alive": False}
    await paired.post({}, "/api/code")
    assert (await paired.post({}, "/api/code/stop")).json() == {}
    assert await state() == {"alive": False}


async def test_a_device_gets_another_name(paired: Link) -> None:
    said = await paired.post({"id": 1, "name": "  Anvil 👩\u200d🔧 "}, "/api/devices/name")
    assert [d["name"] for d in said.json()["devices"]] == ["Anvil 👩\u200d🔧"]


@pytest.mark.parametrize("name", ["", "   ", "x" * 61, "a\nb", "a\u202eb", None, 5, ["a"]])
async def test_a_name_that_is_none_is_refused_and_costs_no_code(paired: Link, name: Any) -> None:
    code, _ = paired.app.state.pairing.make_code(paired.app.state.clock())
    for path, said in (("/api/pair", {"code": code}), ("/api/devices/name", {"id": 1})):
        assert shape(await paired.post(said | {"name": name}, path), 400)["field"] == "name"
    said = {"code": code, "name": "Phone", "device": "\u0000"}
    assert shape(await paired.post(said, "/api/pair"), 400)["field"] == "device"
    assert (await paired.post({"code": code, "name": "x" * 60}, "/api/pair")).status_code == 200


async def test_a_removed_browser_loses_its_cookie_when_it_removes_itself(paired: Link) -> None:
    said = await paired.post({"id": 1}, "/api/devices/remove")
    assert said.json()["devices"] == [] and "Max-Age=0" in said.headers["set-cookie"]
    shape(await paired.client.get("/api/devices"), 401)


async def test_the_cookie_is_sent_again_when_it_is_thirty_days_old(paired: Link) -> None:
    clock = paired.app.state.clock

    async def cookie() -> str | None:
        return (await paired.post(SAID)).headers.get("set-cookie")

    before = dict(paired.client.cookies)
    clock.ms += 30 * DAY - 1
    assert await cookie() is None
    clock.ms += 1
    again = await cookie()
    assert again and again.startswith("ringwright-") and "Max-Age=34560000" in again
    assert dict(paired.client.cookies) == before and await cookie() is None


async def test_a_cookie_under_the_name_of_an_earlier_identity_still_lets_in(paired: Link) -> None:
    """An empty workshop takes the identity of the first file that is imported."""
    (own,) = paired.client.cookies
    paired.app.state.workshop = "0" * 32
    said = await paired.post(SAID)
    assert said.status_code == 200 and said.headers["set-cookie"].startswith("ringwright-00000000=")
    paired.client.cookies.delete(own)
    assert (await paired.post(SAID)).status_code == 200


async def test_a_file_of_pairings_that_fails_is_answered_503_and_nothing_is_let_in(
    paired: Link,
) -> None:
    paired.app.state.pairing.path.write_bytes(b"no database at all" * 100)
    assert shape(await paired.post(SAID), 503)["field"] == "store"


async def test_with_pairing_off_anyone_on_this_machine_asks(link: Link) -> None:
    assert (await link.push(SAID))["acked"] == 0
    assert (await link.client.get("/api/devices")).json()["you"] is None
    said = (await link.client.get("/api/server")).json()
    assert said["workshop"] == link.app.state.workshop
    assert said["address"] == link.app.state.settings.address


def test_the_link_that_serve_prints_lets_the_browser_in(serving_paired: Serving) -> None:
    said = serving_paired.output()
    code = said.split("#pair=")[1].split()[0]
    assert f"{serving_paired.url}/#pair={code}" in said and "ten minutes" in said
    assert f"ringwright pair --data {serving_paired.data}" in said
    assert serving_paired.code() != code
    pairing = Pairing(serving_paired.data)
    pairing.use_code(code, "127.0.0.1", cli.now_ms())


def test_the_window_says_that_pairing_is_off(serving: Serving) -> None:
    assert "Pairing is off" in serving.output() and "#pair=" not in serving.output()


def test_pair_and_devices_work_beside_the_running_server(serving_paired: Serving) -> None:
    data = serving_paired.data
    none = run("devices", "--data", data).output
    assert "No device is paired" in none and f"ringwright pair --data {data}" in none
    said = run("pair", "--data", data).output
    code = said.split("#pair=")[1].split()[0]
    assert pairing_code.spaced(code) in said and f"{serving_paired.url}/#pair={code}" in said
    pairing = Pairing(data)
    pairing.use_code(code, HOME, cli.now_ms())
    for name in ("Phone", "Tablet", "Desk"):
        pairing.let_in(name, None, None, cli.now_ms())
    listed = run("devices", "--data", data).output
    assert len(listed.splitlines()) == 3 and "Phone" in listed and "last seen 20" in listed
    assert "Removed 1:" in run("devices", "--remove", 1, "--data", data).output
    assert "Phone" not in run("devices", "--data", data).output
    gone = run("devices", "--remove", 1, "--data", data)
    assert gone.exit_code == 1 and "No paired device has the number 1" in gone.output
    assert "Removed devices: 2." in run("devices", "--remove-all", "--data", data).output
    both = run("devices", "--remove", 2, "--remove-all", "--data", data)
    assert both.exit_code == 2 and "not both" in both.output


def test_without_a_workshop_the_commands_say_how_to_begin_one(tmp_path: Path) -> None:
    for command in ("pair", "devices"):
        result = run(command, "--data", tmp_path / "none")
        assert result.exit_code == 1 and "ringwright serve" in result.output
        assert not (tmp_path / "none").exists()


def test_pair_names_the_page_that_leads_a_phone_through_trust(
    serving_paired: Serving,
) -> None:
    way = ways_in.way(Settings(data=serving_paired.data))
    guide = {"guide": True, "start": "http://192.168.1.5:8736/"}
    Pairing(serving_paired.data).keep_way(way | guide)
    said = run("pair", "--data", serving_paired.data).output
    assert "begins at http://192.168.1.5:8736/#pair=" in said
    assert said.index("8736/#pair=") < said.index("been through the guide")


def test_a_damaged_list_ends_the_commands_with_a_sentence(serving_paired: Serving) -> None:
    serving_paired.stop()
    Pairing(serving_paired.data).path.write_bytes(b"no database at all" * 100)
    for command in (["pair"], ["devices"], ["serve", "--port", "0"]):
        result = run(*command, "--data", serving_paired.data)
        assert result.exit_code == 1 and "pair each device again" in result.output
        assert "Traceback" not in result.output and FILE in result.output


async def test_a_restore_of_the_workshop_brings_no_removed_device_back(tmp_path: Path) -> None:
    data = tmp_path / "workshop"
    async with app_link(data, Clock(), needs_pairing=True) as link:
        await link.pair()
        assert run("backup", "--data", data, "--to", tmp_path / "copy").exit_code == 0
        await link.post({"id": 1}, "/api/devices/remove")
    assert run("restore", tmp_path / "copy", "--data", data).exit_code == 0
    assert Pairing(data).all(NOW)[0] == []


async def test_half_of_a_pair_of_letters_is_no_name(paired: Link) -> None:
    body = b'{"id": 1, "name": "\\ud800"}'
    headers = {"Content-Type": "application/json"}
    said = await paired.client.post("/api/devices/name", content=body, headers=headers)
    assert shape(said, 400)["field"] == "name"


def test_a_request_that_gets_its_turn_late_forgets_no_try_and_no_code(pairing: Pairing) -> None:
    code, _ = pairing.make_code(NOW)
    assert refused(pairing, wrong(code), NOW + 5).more == {"tries_left": 4}
    assert pairing.alive_until(NOW - 1) is not None  # it came before both
    assert refused(pairing, wrong(code), NOW + 6).more == {"tries_left": 3}
    pairing.use_code(code, HOME, NOW + 7)
