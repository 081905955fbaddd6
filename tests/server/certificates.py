"""Certificates for tests, made by the same library but by hand, and a TLS handshake without a socket."""

from __future__ import annotations

import ipaddress
import ssl
from collections.abc import Iterable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from cryptography.x509.oid import NameOID

from server.authority import Authority


def forged(
    authority: Authority, now: datetime, name: str | None = None, address: str | None = None
) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    """What a thief of the intermediate's key would make: a server's certificate for any name."""
    key = ec.generate_private_key(ec.SECP256R1())
    said: list[x509.GeneralName] = [x509.DNSName(name)] if name else []
    said += [x509.IPAddress(ipaddress.ip_address(address))] if address else []
    certificate = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "thief")]))
        .issuer_name(authority.intermediate.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(hours=1))
        .not_valid_after(now + timedelta(days=30))
        .add_extension(x509.BasicConstraints(False, None), critical=True)
        .add_extension(x509.SubjectAlternativeName(said), critical=False)
        .add_extension(
            x509.ExtendedKeyUsage([x509.ExtendedKeyUsageOID.SERVER_AUTH]), critical=False
        )
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(authority.key.public_key()),
            critical=False,
        )
        .sign(authority.key, hashes.SHA256())
    )
    return certificate, key


def own_pair(
    folder: Path,
    names: Iterable[str],
    begin: datetime,
    end: datetime,
    bits: int | None = None,
    stem: str = "own",
) -> tuple[Path, Path]:
    """A certificate that signs itself, as a maker may bring one: its file, and its key's."""
    key: Any = (
        rsa.generate_private_key(65537, bits) if bits else ec.generate_private_key(ec.SECP256R1())
    )
    called = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "own")])
    certificate = (
        x509.CertificateBuilder()
        .subject_name(called)
        .issuer_name(called)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(begin)
        .not_valid_after(end)
        .add_extension(x509.BasicConstraints(True, None), critical=True)
        .add_extension(x509.SubjectAlternativeName(map(x509.DNSName, names)), critical=False)
        .sign(key, hashes.SHA256())
    )
    cert, kept = folder / f"{stem}.crt", folder / f"{stem}.key"
    cert.write_bytes(certificate.public_bytes(Encoding.PEM))
    kept.write_bytes(key_text(key))
    return cert, kept


def key_text(key: Any) -> bytes:
    return bytes(key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))


def handshake(server: ssl.SSLContext, client: ssl.SSLContext, name: str) -> ssl.SSLObject:
    """The client's side after a whole handshake; raises ssl.SSLError where either refuses."""
    to_server, to_client = ssl.MemoryBIO(), ssl.MemoryBIO()
    mine = client.wrap_bio(to_client, to_server, server_hostname=name)
    theirs = server.wrap_bio(to_server, to_client, server_side=True)
    for _ in range(4):
        for side in (mine, theirs):
            try:
                side.do_handshake()
            except ssl.SSLWantReadError:
                continue
    assert mine.cipher() is not None
    return mine


def served(server: ssl.SSLContext) -> x509.Certificate:
    """The certificate that a server with this context shows now."""
    curious = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    curious.check_hostname = False
    curious.verify_mode = ssl.CERT_NONE
    shown = handshake(server, curious, "localhost").getpeercert(binary_form=True)
    assert shown is not None
    return x509.load_der_x509_certificate(shown)
