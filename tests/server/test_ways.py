"""The ways to be reached: which options go together, which Hosts and Origins are ours in each."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from server import cli
from server.errors import SetupError
from server.home import Home
from server.settings import EVERYWHERE, THIS_MACHINE, Settings
from server.ways import choose, local_name
from tests.server.certificates import own_pair

NONE: dict[str, Any] = {
    "lan": False,
    "name": "",
    "trust_again": False,
    "cert": None,
    "key": None,
    "public_name": "",
    "no_pairing": False,
}
HOME = Home("anvil.local", ("192.168.1.20", "fd00::5"))
DATA = Path("data")


def test_without_a_word_only_this_machine_is_served() -> None:
    settings = Settings(data=DATA, **choose(**NONE))
    assert settings.listen == THIS_MACHINE and not settings.secure
    assert settings.address == "http://127.0.0.1:8737/"
    assert settings.hosts == {"localhost:8737", "127.0.0.1:8737", "[::1]:8737"}
    assert settings.origins == {f"http://{host}" for host in settings.hosts}


def test_at_home_the_address_is_the_name_and_the_numbers_are_answered_too() -> None:
    settings = Settings(data=DATA, home=HOME, **choose(**NONE | {"lan": True}))
    assert settings.listen == EVERYWHERE and settings.secure
    assert settings.address == "https://anvil.local:8737/"
    assert settings.addresses == ["https://192.168.1.20:8737/", "https://[fd00::5]:8737/"]
    assert settings.hosts == {
        "localhost:8737", "127.0.0.1:8737", "[::1]:8737",
        "anvil.local:8737", "192.168.1.20:8737", "[fd00::5]:8737",
    }  # fmt: skip
    assert settings.origins == {f"https://{host}" for host in settings.hosts}
    assert settings.guide_address == "http://192.168.1.20:8736/"
    assert settings.guide_hosts == {host.replace("8737", "8736") for host in settings.hosts}


def test_the_hosts_follow_the_addresses() -> None:
    home = Home("anvil.local", ("192.168.1.20",))
    settings = Settings(data=DATA, lan=True, home=home)
    home.addresses = ("10.0.0.9",)
    assert "10.0.0.9:8737" in settings.hosts and "192.168.1.20:8737" not in settings.hosts
    home.addresses = ()
    assert settings.guide_address == "http://anvil.local:8736/"


def test_behind_a_proxy_the_public_name_is_ours_over_https() -> None:
    settings = Settings(data=DATA, **choose(**NONE | {"public_name": "Rings.example.org"}))
    assert settings.listen == THIS_MACHINE and settings.secure and settings.behind_proxy
    assert settings.address == "https://rings.example.org/"
    assert settings.hosts == {"rings.example.org", "rings.example.org:443"}
    assert settings.origins == {f"https://{host}" for host in settings.hosts}
    odd = Settings(data=DATA, **choose(**NONE | {"public_name": "rings.example.org:8443"}))
    assert odd.address == "https://rings.example.org:8443/"
    assert odd.hosts == {"rings.example.org:8443"}


def test_with_a_certificate_of_ones_own_its_name_is_ours(tmp_path: Path) -> None:
    now = datetime.now(UTC)
    names = ["*.example.org", "rings.example.org"]
    cert, key = own_pair(tmp_path, names, now - timedelta(days=1), now + timedelta(days=30))
    pair = NONE | {"cert": cert, "key": key}
    settings = Settings(data=DATA, **choose(**pair))
    assert settings.listen == EVERYWHERE and settings.secure and not settings.behind_proxy
    assert settings.address == "https://rings.example.org:8737/"
    assert settings.origins == {"https://rings.example.org:8737"}
    named = Settings(data=DATA, port=443, **choose(**pair | {"public_name": "a.example.org"}))
    assert named.address == "https://a.example.org/"
    assert named.hosts == {"a.example.org", "a.example.org:443"}


@pytest.mark.parametrize(
    ("port", "way", "hosts"),
    [(80, {}, {"localhost", "127.0.0.1:80"}), (443, {"lan": True}, {"anvil.local", "[fd00::5]:443"})],
)  # fmt: skip
def test_a_usual_port_may_be_said_or_left_out(
    port: int, way: dict[str, Any], hosts: set[str]
) -> None:
    settings = Settings(data=DATA, port=port, home=HOME, **way)
    assert hosts <= settings.hosts
    assert settings.address.count(":") == 1
    other = 443 if port == 80 else 80
    assert not [host for host in settings.hosts if host.endswith(f":{other}")]


@pytest.mark.parametrize(
    ("asked", "remedy"),
    [
        ({"lan": True, "public_name": "rings.example.org"}, "Leave it out"),
        ({"lan": True, "cert": Path("a"), "key": Path("b")}, "Leave it out"),
        ({"no_pairing": True, "lan": True}, "this machine only"),
        ({"no_pairing": True, "public_name": "rings.example.org"}, "this machine only"),
        ({"name": "anvil"}, "add --lan"),
        ({"trust_again": True}, "add --lan"),
        ({"cert": Path("a")}, "both --cert FILE and --key FILE"),
        ({"key": Path("a")}, "both --cert FILE and --key FILE"),
        ({"public_name": "https://rings.example.org"}, "without https://"),
        ({"public_name": "rings.example.org/page"}, "without a path"),
        ({"public_name": "rings..org"}, "in the browser"),
        ({"public_name": "ring_s.org"}, "in the browser"),
        ({"cert": Path("nowhere.crt"), "key": Path("b")}, "Check its name"),
    ],
)
def test_options_that_clash_are_refused_with_what_would_do(
    asked: dict[str, Any], remedy: str
) -> None:
    with pytest.raises(SetupError) as told:
        choose(**NONE | asked)
    assert remedy in str(told.value)


@pytest.mark.parametrize("chosen", ["anvil", "Anvil", "anvil.local", "ANVIL.LOCAL"])
def test_a_name_at_home_is_taken_with_or_without_its_end(chosen: str) -> None:
    assert local_name(chosen) == "anvil.local"


@pytest.mark.parametrize(
    "chosen", ["my anvil", "anvil.home", "-anvil", "a" * 64, "amboß", "an_vil"]
)
def test_what_cannot_be_a_name_at_home_is_refused(chosen: str) -> None:
    with pytest.raises(SetupError, match="such as anvil"):
        local_name(chosen)


def test_serve_ends_with_the_sentence_and_without_a_traceback(tmp_path: Path) -> None:
    for options in (
        ["--lan", "--public-name", "rings.example.org"],
        ["--lan", "--name", "my anvil"],
        ["--cert", str(tmp_path / "no.crt"), "--key", str(tmp_path / "no.key")],
    ):
        ports = ["--port", "0", "--guide-port", "0", "--data", str(tmp_path / "data")]
        result = CliRunner().invoke(cli.main, ["serve", *ports, *options])
        assert result.exit_code == 1 and result.output.startswith("Error: ")
        assert result.exception is None or isinstance(result.exception, SystemExit)
