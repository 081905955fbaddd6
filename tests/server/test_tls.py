"""The workshop's own authority and certificates: for whom they count, how long, and what they refuse."""

from __future__ import annotations

import hashlib
import ipaddress
import os
import shutil
import ssl
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.serialization import (
    BestAvailableEncryption,
    Encoding,
    PrivateFormat,
    load_pem_private_key,
)
from cryptography.x509.oid import ExtendedKeyUsageOID
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from server import authority, tls
from server.authority import HOME_NETWORKS, Authority, names_in
from server.errors import SetupError
from server.home import Home, present_addresses
from server.settings import Settings
from tests.server.certificates import forged, handshake, key_text, own_pair, served

NOW = datetime.now(UTC).replace(microsecond=0)
WORKSHOP = "81b290aa" * 4
NAME = "ringwright-81b2.local"
PRESENT = ("192.168.1.20", "fd00::5")


class Days:
    """Today as the certificates see it: `go(days)` lets that many pass."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.monkeypatch = monkeypatch
        self.go(0)

    def go(self, days: float) -> None:
        self.monkeypatch.setattr(tls, "utc_now", lambda: NOW + timedelta(days=days))


@pytest.fixture
def days(monkeypatch: pytest.MonkeyPatch) -> Days:
    return Days(monkeypatch)


def opened(data: Path) -> Authority:
    tls.open_authority(data, WORKSHOP)
    found = tls.load(data)
    assert found is not None
    return found


def at_home(data: Path, *addresses: str) -> tls.HomeCertificate:
    return tls.HomeCertificate(data, Home(opened(data).name, addresses or PRESENT))


def trusting(found: Authority) -> ssl.SSLContext:
    return ssl.create_default_context(cadata=found.root.public_bytes(Encoding.PEM).decode())


def serving(
    found: Authority, folder: Path, certificate: x509.Certificate, key: object
) -> ssl.SSLContext:
    """A thief's server with this certificate and the real intermediate's behind it."""
    chain = b"".join(c.public_bytes(Encoding.PEM) for c in (certificate, found.intermediate))
    (folder / "thief.pem").write_bytes(key_text(key) + chain)
    context = tls.new_context()
    context.load_cert_chain(folder / "thief.pem")
    return context


def test_both_authorities_may_vouch_for_nothing_but_the_workshop_at_home(tmp_path: Path) -> None:
    found = opened(tmp_path)
    # written out here once more: what they may vouch for is the heart of it
    wanted = {NAME, "localhost", "10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16",
              "127.0.0.1/32", "::1/128", "fc00::/7", "fe80::/10"}  # fmt: skip
    for certificate in (found.root, found.intermediate):
        allowed = certificate.extensions.get_extension_for_class(x509.NameConstraints)
        assert allowed.critical and allowed.value.excluded_subtrees is None
        assert {str(name.value) for name in allowed.value.permitted_subtrees or []} == wanted


def test_each_certificate_is_for_one_use(tmp_path: Path) -> None:
    found = opened(tmp_path)
    server, _ = authority.issue(found, [NAME], PRESENT, NOW)
    for certificate, below in ((found.root, 1), (found.intermediate, 0)):
        basic = certificate.extensions.get_extension_for_class(x509.BasicConstraints)
        usage = certificate.extensions.get_extension_for_class(x509.KeyUsage)
        assert basic.critical and basic.value.ca and basic.value.path_length == below
        assert usage.critical and usage.value.key_cert_sign and not usage.value.digital_signature
    for certificate in (found.intermediate, server):
        use = certificate.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
        assert list(use) == [ExtendedKeyUsageOID.SERVER_AUTH]
    assert not server.extensions.get_extension_for_class(x509.BasicConstraints).value.ca
    three = [found.root, found.intermediate, server]
    assert len({c.subject for c in three}) == len({c.serial_number for c in three}) == 3
    assert "Ringwright 81b2-90aa" in found.root.subject.rfc4514_string()


def test_b2_28_asvs_12_3_4_the_certificate_of_the_server_lasts_at_most_397_days(
    tmp_path: Path,
) -> None:
    found = opened(tmp_path)
    server, _ = authority.issue(found, [NAME], PRESENT, NOW)
    assert server.not_valid_before_utc == NOW - timedelta(hours=1)
    life = server.not_valid_after_utc - server.not_valid_before_utc
    assert timedelta(days=396) <= life <= timedelta(days=397)
    assert found.root.not_valid_after_utc.year == NOW.year + 10


@pytest.mark.parametrize(
    ("name", "address", "counts"),
    [(NAME, None, True), ("localhost", None, True), (None, "192.168.77.3", True), (None, "127.0.0.1", True),
     (None, "fd12::1", True), ("bank.example", None, False), (None, "8.8.8.8", False), (None, "127.0.0.2", False),
     ("ringwright-81b3.local", None, False), ("local", None, False), (None, "2001:db8::1", False),
     ("bank.example", "192.168.1.20", False), (NAME, "8.8.8.8", False)],
)  # fmt: skip
def test_b2_28_asvs_12_3_4_with_the_stolen_key_nobody_can_pretend_to_be_another_place(
    tmp_path: Path, name: str | None, address: str | None, counts: bool
) -> None:
    found = opened(tmp_path)
    certificate, key = forged(found, NOW, name, address)
    asked = name or str(address)

    subject = x509.DNSName(name) if name else x509.IPAddress(ipaddress.ip_address(str(address)))
    verifier = PolicyBuilder().store(Store([found.root])).time(NOW).build_server_verifier(subject)
    server = serving(found, tmp_path, certificate, key)
    if counts:
        verifier.verify(certificate, [found.intermediate])
        assert handshake(server, trusting(found), asked).getpeercert()
        return
    with pytest.raises(VerificationError, match="permitted"):
        verifier.verify(certificate, [found.intermediate])
    with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree violation"):
        handshake(server, trusting(found), asked)


def test_the_key_of_the_root_is_nowhere(tmp_path: Path) -> None:
    at_home(tmp_path)
    root = tls.load(tmp_path).root.public_key()  # type: ignore[union-attr]
    kept = [file for file in tmp_path.rglob("*") if file.is_file()]
    keys = [file for file in kept if b"PRIVATE KEY" in file.read_bytes()]
    assert {file.name for file in keys} == {"authority.pem", "server.pem"}
    for file in keys:
        assert file.read_bytes().count(b"PRIVATE KEY") == 2  # one begins, and ends
        assert load_pem_private_key(file.read_bytes(), None).public_key() != root


def test_b2_28_asvs_12_3_4_keys_are_closed_to_other_users(tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        at_home(tmp_path)
    finally:
        os.umask(before)
    modes = {file.name: file.stat().st_mode & 0o777 for file in (tmp_path / "tls").iterdir()}
    assert modes == {"root.crt": 0o600, "authority.pem": 0o600, "server.pem": 0o600}
    assert (tmp_path / "tls").stat().st_mode & 0o777 == 0o700
    assert [file.name for file in tmp_path.iterdir()] == ["tls"]  # nothing is left beside it


def test_a_device_that_trusts_the_workshop_opens_it_at_each_of_its_addresses(
    tmp_path: Path,
) -> None:
    certificate = at_home(tmp_path)
    for name in (NAME, "localhost", "127.0.0.1", "::1", *PRESENT):
        shown = handshake(certificate.context, trusting(certificate.authority), name)
        assert shown.version() == "TLSv1.3"
    with pytest.raises(ssl.SSLCertVerificationError):
        handshake(certificate.context, trusting(certificate.authority), "192.168.1.21")
    with pytest.raises(ssl.SSLCertVerificationError):
        handshake(certificate.context, ssl.create_default_context(), NAME)


def test_b2_28_asvs_12_3_4_the_certificate_is_renewed_thirty_days_ahead_without_a_restart(
    tmp_path: Path, days: Days
) -> None:
    certificate = at_home(tmp_path)
    first = served(certificate.context)
    days.go(365)
    assert certificate.keep_up() == "" and served(certificate.context) == first
    days.go(366.5)
    assert certificate.keep_up() == ""
    second = served(certificate.context)
    assert second.not_valid_after_utc == NOW + timedelta(days=366.5 + 396)
    assert second.serial_number != first.serial_number
    assert second.public_key() != first.public_key()


def test_the_certificate_follows_the_addresses_without_a_restart(tmp_path: Path) -> None:
    certificate = at_home(tmp_path)
    certificate.home.addresses = ("10.1.2.3",)
    certificate.keep_up()
    assert names_in(served(certificate.context)) == (
        [NAME, "localhost"],
        ["127.0.0.1", "::1", "10.1.2.3"],
    )
    handshake(certificate.context, trusting(certificate.authority), "10.1.2.3")


def test_the_certificate_of_an_earlier_run_is_used_again(tmp_path: Path) -> None:
    first = served(at_home(tmp_path).context)
    assert served(at_home(tmp_path).context) == first


def test_a_certificate_made_while_the_clock_was_ahead_is_made_again(
    tmp_path: Path, days: Days
) -> None:
    days.go(100)
    at_home(tmp_path)
    days.go(0)
    assert served(at_home(tmp_path).context).not_valid_before_utc <= NOW


@pytest.mark.parametrize("damage", [b"", b"-----BEGIN CERTIFICATE-----\nAAAA\n", os.urandom(900)])
def test_a_damaged_server_certificate_is_made_again(tmp_path: Path, damage: bytes) -> None:
    at_home(tmp_path)
    (tmp_path / "tls" / "server.pem").write_bytes(damage)
    certificate = at_home(tmp_path)
    handshake(certificate.context, trusting(certificate.authority), NAME)


def test_a_server_certificate_of_another_authority_is_made_again(tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    at_home(tmp_path)
    at_home(tmp_path / "other")
    shutil.copy(tmp_path / "other" / "tls" / "server.pem", tmp_path / "tls" / "server.pem")
    certificate = at_home(tmp_path)
    handshake(certificate.context, trusting(certificate.authority), NAME)


def test_b2_28_asvs_12_3_4_the_end_of_the_authority_is_told_thirty_days_ahead(
    tmp_path: Path, days: Days
) -> None:
    certificate = at_home(tmp_path)
    end = certificate.authority.until
    days.go(3652 - 31)
    assert certificate.keep_up() == ""
    assert served(certificate.context).not_valid_after_utc == end  # never longer than its issuer
    days.go(3652 - 29)
    trouble = certificate.keep_up()
    assert str(end.date()) in trouble and "--trust-again" in trouble
    assert [ok for ok, what in tls.examine(tmp_path, ()) if "--trust-again" in what] == [False]


def test_a_certificate_that_cannot_be_written_is_told_and_the_old_one_goes_on(
    tmp_path: Path, days: Days
) -> None:
    certificate = at_home(tmp_path)
    first = served(certificate.context)
    (tmp_path / "tls" / "server.new").mkdir()
    days.go(370)
    trouble = certificate.keep_up()
    assert "server.pem" in trouble and "Errno" not in trouble
    assert served(certificate.context) == first


def test_the_name_is_the_workshops_own_unless_one_was_chosen_and_stays(tmp_path: Path) -> None:
    assert tls.open_authority(tmp_path, WORKSHOP) == NAME
    chosen = tmp_path / "chosen"
    chosen.mkdir()
    assert tls.open_authority(chosen, WORKSHOP, "anvil.local") == "anvil.local"
    assert tls.open_authority(chosen, WORKSHOP) == "anvil.local"
    assert tls.open_authority(chosen, WORKSHOP, "anvil.local") == "anvil.local"
    assert names_in(served(at_home(chosen).context))[0] == ["anvil.local", "localhost"]


def test_another_name_needs_to_be_asked_for_clearly(tmp_path: Path) -> None:
    first = opened(tmp_path)
    with pytest.raises(
        SetupError, match=r"kept under ringwright-81b2.local, not anvil.local.*--trust-again"
    ):
        tls.open_authority(tmp_path, WORKSHOP, "anvil.local")
    assert opened(tmp_path).root == first.root
    assert tls.open_authority(tmp_path, WORKSHOP, "anvil.local", again=True) == "anvil.local"
    second = opened(tmp_path)
    assert second.root != first.root and second.name == "anvil.local"
    assert tls.open_authority(tmp_path, WORKSHOP, again=True) == "anvil.local"
    assert opened(tmp_path).root != second.root
    assert [file.name for file in tmp_path.iterdir()] == ["tls"]  # the older keys are gone


@pytest.mark.parametrize("file", ["root.crt", "authority.pem"])
@pytest.mark.parametrize("damage", ["gone", "empty", "cut", "other"])
def test_a_damaged_authority_is_named_with_what_would_do(
    tmp_path: Path, file: str, damage: str
) -> None:
    opened(tmp_path)
    path = tmp_path / "tls" / file
    if damage == "gone":
        path.unlink()
    elif damage == "other":
        (tmp_path / "other").mkdir()
        opened(tmp_path / "other")
        shutil.copy(tmp_path / "other" / "tls" / file, path)
    else:
        path.write_bytes(b"" if damage == "empty" else path.read_bytes()[:-200])
    with pytest.raises(SetupError) as told:
        tls.open_authority(tmp_path, WORKSHOP)
    assert str(tmp_path / "tls") in str(told.value) and "Errno" not in str(told.value)
    assert [ok for ok, _ in tls.examine(tmp_path, ())] == [False]
    assert tls.open_authority(tmp_path, WORKSHOP, again=True) == NAME
    assert opened(tmp_path).name == NAME


def test_the_doctor_tells_until_when_under_which_name_and_at_which_ports(tmp_path: Path) -> None:
    assert [ok for ok, _ in tls.examine(tmp_path, ())] == [True]
    certificate = at_home(tmp_path)
    lines = list(tls.examine(tmp_path, (1,)))
    text = "\n".join(what for _, what in lines)
    assert all(ok for ok, _ in lines)
    end = served(certificate.context).not_valid_after_utc
    for told in (NAME, str(end.date()), str(certificate.authority.until.date()), "port 1 is free"):
        assert told in text
    assert " ".join(tls.fingerprint(tmp_path)) in text
    (tmp_path / "tls" / "authority.pem").chmod(0o644)
    assert [ok for ok, what in tls.examine(tmp_path, ()) if "chmod 600" in what] == [False]


def test_the_fingerprint_is_that_of_openssl_in_sixteen_groups(tmp_path: Path) -> None:
    found = opened(tmp_path)
    groups = tls.fingerprint(tmp_path)
    assert len(groups) == 16 and {len(group) for group in groups} == {4}
    digest = hashlib.sha256(
        ssl.PEM_cert_to_DER_cert(found.root.public_bytes(Encoding.PEM).decode())
    )
    assert "".join(groups) == digest.hexdigest().upper()
    assert tls.fingerprint(tmp_path / "nowhere") == []


def test_only_addresses_of_a_home_network_are_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    found: list[object] = [
        "127.0.0.1", "8.8.8.8", "192.168.1.9", "172.17.0.1", "100.64.0.1",
        ("::1", 0, 0), ("fe80::1", 0, 2), ("fd00::7", 0, 0), ("2001:db8::1", 0, 0),
    ]  # fmt: skip
    ips = [SimpleNamespace(ip=ip, is_IPv4=isinstance(ip, str)) for ip in found]
    adapters = [SimpleNamespace(ips=ips)]
    monkeypatch.setattr("server.home.ifaddr.get_adapters", lambda: adapters)
    monkeypatch.setattr("server.home._first_choice", lambda: "192.168.1.9")
    assert present_addresses() == ("192.168.1.9", "172.17.0.1", "fd00::7")
    home = Home("anvil.local")
    assert home.look() and not home.look()
    monkeypatch.setattr("server.home.ifaddr.get_adapters", list)
    assert home.look() and home.addresses == ()


def test_every_address_at_home_is_one_that_the_authority_may_vouch_for() -> None:
    for address in present_addresses():
        found = ipaddress.ip_address(address)
        assert any(found in net for net in HOME_NETWORKS if net.version == found.version)


# ---- a certificate of one's own


OWN = "rings.example.org"


def own(folder: Path, **other: object) -> tuple[Path, Path]:
    dates = {"begin": NOW - timedelta(days=10), "end": NOW + timedelta(days=80)}
    return own_pair(folder, **{"names": [OWN]} | dates | other)  # type: ignore[arg-type]


def test_an_own_certificate_is_served(tmp_path: Path) -> None:
    cert, key = own(tmp_path)
    certificate = tls.OwnCertificate(cert, key, OWN)
    assert certificate.keep_up() == ""
    assert names_in(served(certificate.context))[0] == [OWN]


@pytest.mark.parametrize(
    ("change", "named", "remedy"),
    [
        ("other key", "own.key", "made together"),
        ("ended", "own.crt", "Renew it"),
        ("not begun", "own.crt", "clock"),
        ("other name", "own.crt", "--public-name"),
        ("deep star", "own.crt", "--public-name"),
        ("no certificate", "own.crt", "fullchain.pem"),
        ("no key", "own.key", "privkey.pem"),
        ("locked key", "own.key", "without one"),
        ("gone", "own.crt", "Check its name"),
        ("gone key", "own.key", "Check its name"),
        ("folder", "own.crt", "Check its name"),
        ("weak", "own.crt", "2048"),
    ],
)
def test_a_bad_certificate_of_ones_own_is_named_with_what_would_do(
    tmp_path: Path, change: str, named: str, remedy: str
) -> None:
    other: dict[str, dict[str, object]] = {
        "ended": {"end": NOW - timedelta(days=1)},
        "not begun": {"begin": NOW + timedelta(days=2)},
        "other name": {"names": ["elsewhere.example.org"]},
        "deep star": {"names": ["*.example.com", "*.org"]},
        "weak": {"bits": 1024},
    }
    cert, key = own(tmp_path, **other.get(change, {}))
    if change == "other key":
        key.write_bytes(own(tmp_path, stem="second")[1].read_bytes())
    elif change == "no certificate":
        cert.write_text("hello")
    elif change == "no key":
        key.write_text("hello")
    elif change == "locked key":
        loaded = load_pem_private_key(key.read_bytes(), None)
        lock = BestAvailableEncryption(b"rivet")
        key.write_bytes(loaded.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, lock))
    elif change in ("gone", "folder"):
        cert.unlink()
        if change == "folder":
            cert.mkdir()
    elif change == "gone key":
        key.unlink()
    with pytest.raises(SetupError) as told:
        tls.OwnCertificate(cert, key, OWN)
    assert named in str(told.value) and remedy in str(told.value)
    assert "Errno" not in str(told.value)


def test_a_star_in_an_own_certificate_stands_for_one_part_of_the_name(tmp_path: Path) -> None:
    cert, key = own(tmp_path, names=["*.example.org"])
    tls.OwnCertificate(cert, key, OWN)
    with pytest.raises(SetupError):
        tls.OwnCertificate(cert, key, "deep.rings.example.org")


def test_the_name_of_an_own_certificate_is_its_first_without_a_star(tmp_path: Path) -> None:
    assert tls.name_of(own(tmp_path, names=["*.example.org", OWN])[0]) == OWN
    with pytest.raises(SetupError, match="--public-name"):
        tls.name_of(own(tmp_path, names=["*.example.org"])[0])


def test_renewed_files_are_taken_up_without_a_restart(tmp_path: Path) -> None:
    cert, key = own(tmp_path)
    certificate = tls.OwnCertificate(cert, key, OWN)
    first = served(certificate.context)
    new_cert, new_key = own(tmp_path, stem="renewed")
    new_cert.replace(cert)
    # the key follows a moment later: nobody is alarmed, and the old pair goes on
    assert certificate.keep_up() == "" and served(certificate.context) == first
    new_key.replace(key)
    assert certificate.keep_up() == ""
    assert served(certificate.context) != first


def test_renewed_files_that_do_not_fit_are_told_once_they_stay_so(tmp_path: Path) -> None:
    cert, key = own(tmp_path)
    certificate = tls.OwnCertificate(cert, key, OWN)
    first = served(certificate.context)
    cert.write_text("half")
    assert certificate.keep_up() == ""
    trouble = certificate.keep_up()
    assert "own.crt" in trouble and str(first.not_valid_after_utc.date()) in trouble
    assert served(certificate.context) == first
    cert.unlink()
    certificate.keep_up()
    assert "own.crt" in certificate.keep_up()
    assert served(certificate.context) == first


def test_an_own_certificate_that_was_not_renewed_is_told_before_its_end(
    tmp_path: Path, days: Days
) -> None:
    cert, key = own(tmp_path)  # lives 90 days; a fifth of that is 18
    certificate = tls.OwnCertificate(cert, key, OWN)
    days.go(61)
    assert certificate.keep_up() == ""
    days.go(63)
    assert "own.crt" in certificate.keep_up()


def test_the_state_tells_addresses_and_the_end_of_the_certificate(tmp_path: Path) -> None:
    assert tls.state(Settings(data=tmp_path)) == {
        "address": "http://127.0.0.1:8737/",
        "name_address": "http://127.0.0.1:8737/",
        "ip_addresses": [],
    }
    certificate = at_home(tmp_path)
    end = served(certificate.context).not_valid_after_utc
    assert tls.state(Settings(data=tmp_path, lan=True, home=certificate.home)) == {
        "address": f"https://{NAME}:8737/",
        "name_address": f"https://{NAME}:8737/",
        "ip_addresses": ["https://192.168.1.20:8737/", "https://[fd00::5]:8737/"],
        "certificate_until_ms": int(end.timestamp()) * 1000,
    }
