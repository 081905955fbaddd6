"""The server as it runs at home and with a certificate of one's own: real processes, real sockets."""

from __future__ import annotations

import re
import shutil
import socket
import ssl
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import httpx
import pytest
from cryptography import x509
from sslyze import (
    Scanner,
    ServerNetworkConfiguration,
    ServerNetworkLocation,
    ServerScanRequest,
    ServerScanStatusEnum,
)
from sslyze.plugins.scan_commands import ScanCommandsRepository
from sslyze.scanner.scan_command_attempt import ScanCommandAttemptStatusEnum

from server import tls
from server.app import ROUTES
from server.guide import HEADERS
from tests.at_home import AtHome, started_at_home
from tests.running import Serving
from tests.server.certificates import own_pair

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[AtHome]:
    """A server at home that stays as it is."""
    with started_at_home(tmp_path_factory.mktemp("home") / "served") as server:
        yield server


def test_the_page_and_the_api_are_there_for_a_device_that_trusts_the_workshop(
    home: AtHome,
) -> None:
    with home.paired() as client:
        assert client.get("/").headers["content-type"] == "text/html; charset=utf-8"
        told = client.get("/api/server").json()
        assert told["address"] == f"https://{home.name}:{home.port}/"
        assert told["certificate_until_ms"] > time.time() * 1000
        way = client.post("/api/code", json={}).json()
        assert way["guide"] and way["fingerprint"] == tls.fingerprint(home.data)
        assert way["link"].startswith(told["address"]) and ":" + home.guide[-5:] in way["start"]
        reply = client.post("/api/ask", json={"ask": "gauge", "gauge": 16})
        assert reply.json()["ok"]


def test_a_device_that_does_not_trust_it_gets_nothing(home: AtHome) -> None:
    with pytest.raises(httpx.ConnectError, match="CERTIFICATE_VERIFY_FAILED"):
        httpx.get(home.url + "/health")


def test_https_answers_at_its_own_names_only(home: AtHome) -> None:
    with home.client() as client:
        port = home.port
        for own in (f"{home.name}:{port}", f"127.0.0.1:{port}", f"[::1]:{port}"):
            assert client.get("/health", headers={"Host": own}).status_code == 200
        for other in (f"evil.example:{port}", home.name, f"{home.name}:1", "192.0.2.77"):
            for path in ("/", "/health", "/api/sync"):
                response = client.get(path, headers={"Host": other})
                assert response.status_code == 421 and "set-cookie" not in response.headers


def test_only_the_page_over_https_may_change_something(home: AtHome) -> None:
    asked = {"ask": "gauge", "gauge": 16}
    with home.paired() as client:
        own = {"Origin": f"https://{home.name}:{home.port}"}
        assert client.post("/api/ask", json=asked, headers=own).status_code == 200
        for origin in (home.guide, f"http://{home.name}:{home.port}", "null"):
            refused = client.post("/api/ask", json=asked, headers={"Origin": origin})
            assert refused.status_code == 403


def test_b2_27_asvs_12_1_1_plain_http_gets_no_answer_at_the_port_of_https(home: AtHome) -> None:
    with pytest.raises(httpx.TransportError):
        httpx.get(f"http://127.0.0.1:{home.port}/health")


def test_b2_27_asvs_4_1_2_the_guide_beside_it_has_no_api(home: AtHome) -> None:
    for path in [route.path.replace("{path:path}", "app.js") for route in ROUTES]:
        response = httpx.post(home.guide + path, json={"v": 1})
        assert response.status_code in (404, 405), path
    page = httpx.get(home.guide + "/")
    assert page.status_code == 200
    assert {name: page.headers.get(name) for name in HEADERS} == HEADERS
    assert f"https://{home.name}:{home.port}/" in page.text


def test_the_window_tells_name_guide_and_fingerprint(home: AtHome) -> None:
    told = home.output()
    assert re.fullmatch(r"ringwright-[0-9a-f]{4}\.local", home.name)
    assert f"https://{home.name}:{home.port}/" in told
    guide_port = home.guide.rpartition(":")[2]
    assert re.search(rf"begins at http://\S+:{guide_port}/", told)
    groups = tls.fingerprint(home.data)
    assert "  ".join(groups[:8]) in told and "  ".join(groups[8:]) in told


def test_the_listening_sockets_take_ipv4_and_ipv6(home: AtHome) -> None:
    with home.client() as client:
        for place in ("127.0.0.1", "[::1]"):
            assert client.get(f"https://{place}:{home.port}/health").status_code == 200


def asked_with(home: AtHome, version: ssl.TLSVersion) -> str | None:
    """A handshake with exactly this version of TLS; raises ssl.SSLError."""
    client = home.trusting()
    client.set_ciphers("ALL:@SECLEVEL=0")  # or this side would refuse the older ones first
    client.minimum_version = client.maximum_version = version
    with (
        socket.create_connection(("127.0.0.1", home.port)) as line,
        client.wrap_socket(line, server_hostname="localhost") as shaken,
    ):
        return shaken.version()


@pytest.mark.filterwarnings("ignore::DeprecationWarning")
def test_b2_27_asvs_12_1_1_older_tls_is_refused(home: AtHome) -> None:
    for version, name in ((ssl.TLSVersion.TLSv1_2, "TLSv1.2"), (ssl.TLSVersion.TLSv1_3, "TLSv1.3")):
        assert asked_with(home, version) == name
    for version in (ssl.TLSVersion.TLSv1, ssl.TLSVersion.TLSv1_1):
        with pytest.raises(ssl.SSLError):
            asked_with(home, version)


# in the scanner's own list of authorities stands one with a serial number of 0
@pytest.mark.filterwarnings("ignore::cryptography.utils.CryptographyDeprecationWarning")
def test_b2_27_28_asvs_12_1_1_12_3_4_a_scanner_finds_nothing(home: AtHome) -> None:
    place = ServerNetworkLocation("localhost", home.port, ip_address="127.0.0.1")
    config = ServerNetworkConfiguration(tls_server_name_indication=home.name)
    scanner = Scanner()
    scanner.queue_scans([ServerScanRequest(place, network_configuration=config)])
    (result,) = scanner.get_results()
    assert result.scan_status == ServerScanStatusEnum.COMPLETED
    scans = result.scan_result
    assert scans is not None
    found = {}
    for command in ScanCommandsRepository.get_all_scan_commands():
        attempt = getattr(scans, command.value)
        assert attempt.status == ScanCommandAttemptStatusEnum.COMPLETED, command
        found[command.value] = attempt.result
    for version in ("ssl_2_0", "ssl_3_0", "tls_1_0", "tls_1_1"):
        assert found[f"{version}_cipher_suites"].accepted_cipher_suites == [], version
    for version in ("tls_1_2", "tls_1_3"):
        accepted = found[f"{version}_cipher_suites"].accepted_cipher_suites
        assert accepted
        for each in accepted:
            assert each.ephemeral_key is not None, each.cipher_suite.name  # forward secrecy
            assert "CBC" not in each.cipher_suite.name
    assert not found["heartbleed"].is_vulnerable_to_heartbleed
    assert not found["openssl_ccs_injection"].is_vulnerable_to_ccs_injection
    assert not found["tls_compression"].supports_compression
    assert not found["session_renegotiation"].is_vulnerable_to_client_renegotiation_dos
    assert found["session_renegotiation"].supports_secure_renegotiation
    assert found["tls_fallback_scsv"].supports_fallback_scsv
    assert not found["tls_1_3_early_data"].supports_early_data
    assert found["robot"].robot_result.value.startswith("NOT_VULNERABLE")
    (shown,) = found["certificate_info"].certificate_deployments
    assert shown.received_chain_has_valid_order
    assert not shown.received_chain_contains_anchor_certificate
    assert not shown.verified_chain_has_sha1_signature


def awaited(condition: object) -> None:
    """Until it holds; the server looks every ten seconds."""
    end = time.monotonic() + 120
    while time.monotonic() < end:
        if condition():  # type: ignore[operator]
            return
        time.sleep(0.2)  # before it is looked at again
    raise AssertionError("still not so after two minutes")


def shown_at(port: int) -> int:
    """The serial number of the certificate that is served now."""
    return x509.load_pem_x509_certificate(
        ssl.get_server_certificate(("127.0.0.1", port)).encode()
    ).serial_number


class WithOwn(Serving):
    """A server with a certificate of its own for rings.example.org."""

    def __init__(self, data: Path, cert: Path, key: Path) -> None:
        super().__init__(data, "--cert", str(cert), "--key", str(key), pairing=True)
        self.cert = cert

    def _asked(self, path: str) -> httpx.Response:
        trusting = ssl.create_default_context(cafile=str(self.cert))
        with httpx.Client(verify=trusting, timeout=60) as client:
            return client.get(
                f"https://127.0.0.1:{self.port}{path}",
                headers={"Host": f"rings.example.org:{self.port}"},
                extensions={"sni_hostname": "rings.example.org"},
            )


def test_renewed_files_of_an_own_certificate_are_served_without_a_restart(tmp_path: Path) -> None:
    now = datetime.now(UTC)
    dates = (now - timedelta(days=1), now + timedelta(days=60))
    cert, key = own_pair(tmp_path, ["rings.example.org"], *dates)
    (tmp_path / "served").mkdir(mode=0o700)
    server = WithOwn(tmp_path / "served", cert, key)
    server.start()
    try:
        assert f"https://rings.example.org:{server.port}/" in server.output()
        first = shown_at(server.port)
        for made in own_pair(tmp_path, ["rings.example.org"], *dates, stem="renewed"):
            made.replace(tmp_path / made.name.replace("renewed", "own"))
        awaited(lambda: shown_at(server.port) != first)
        assert server._asked("/").status_code == 200
        assert server.process is not None and server.process.poll() is None
    finally:
        server.stop()
    assert "Traceback" not in server.output()


def test_a_server_at_home_stops_and_starts_again_with_what_phones_trust(tmp_path: Path) -> None:
    with started_at_home(tmp_path / "served") as server:
        trusted = server.trusting()
        server.stop()
        assert server.output().endswith("Stopped. What was saved is saved.\n")
        server.start()
        answer = httpx.get(server.url + "/health", verify=trusted)
        assert answer.json() == {"ok": True}
        assert "Traceback" not in server.output()


def test_a_taken_port_of_the_guide_is_told_with_its_option(tmp_path: Path) -> None:
    with socket.socket() as other:
        other.bind(("0.0.0.0", 0))
        other.listen()
        (tmp_path / "served").mkdir(mode=0o700)
        server = AtHome(tmp_path / "served", "--guide-port", str(other.getsockname()[1]))
        with pytest.raises(AssertionError, match="choose another with --guide-port"):
            server.start()
    shutil.rmtree(tmp_path / "served")
