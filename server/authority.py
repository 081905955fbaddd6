"""The workshop's own authority: who says to a phone that an https page is this workshop's.

A root certificate that phones trust, an intermediate one that signs, and the server's own. The
root's key signs the intermediate and is forgotten: it never reaches a disk. Both may vouch for
nothing but the workshop's own name and addresses at home (RFC 5280, 4.2.1.10): whoever got the
intermediate's key could still not pretend to be a bank.

Keys are ECDSA on P-256: every system that runs the page takes it (Android since 4, iOS since 9; the
page itself needs iOS 16.4), a handshake costs a phone less than with RSA, and the chain is short.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

AUTHORITY_DAYS = 3652  # ten years
SERVER_DAYS = 396  # 397 is the most that browsers take from any authority; one day of margin
CLOCKS_APART = timedelta(hours=1)  # a phone's clock may be behind
LOOPBACK = ("127.0.0.1", "::1")
# what homes use: RFC 1918, RFC 3927, RFC 4193, RFC 4291 2.5.6, and this machine itself
HOME_NETWORKS = tuple(
    ipaddress.ip_network(block)
    for block in (
        "10.0.0.0/8",
        "172.16.0.0/12",
        "192.168.0.0/16",
        "169.254.0.0/16",
        "127.0.0.1/32",
        "::1/128",
        "fc00::/7",
        "fe80::/10",
    )
)
_USES = (
    "digital_signature",
    "content_commitment",
    "key_encipherment",
    "data_encipherment",
    "key_agreement",
    "key_cert_sign",
    "crl_sign",
    "encipher_only",
    "decipher_only",
)


@dataclass(frozen=True)
class Authority:
    """What is kept of it: two certificates, and the key of the second."""

    root: x509.Certificate
    intermediate: x509.Certificate
    key: ec.EllipticCurvePrivateKey

    @property
    def name(self) -> str:
        """The workshop's .local name: the first that the constraints allow."""
        allowed = self.root.extensions.get_extension_for_class(x509.NameConstraints).value
        return next(str(n.value) for n in allowed.permitted_subtrees or [] if _is_dns(n))

    @property
    def until(self) -> datetime:
        """The last moment at which it counts, UTC."""
        return min(self.root.not_valid_after_utc, self.intermediate.not_valid_after_utc)


def _is_dns(name: x509.GeneralName) -> bool:
    return isinstance(name, x509.DNSName)


def _new_key() -> ec.EllipticCurvePrivateKey:
    return ec.generate_private_key(ec.SECP256R1())


def _called(text: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text)])


def _key_usage(*used: str) -> x509.KeyUsage:
    return x509.KeyUsage(**{use: use in used for use in _USES})


def _constraints(name: str) -> x509.NameConstraints:
    names = [x509.DNSName(name), x509.DNSName("localhost")]
    return x509.NameConstraints([*names, *map(x509.IPAddress, HOME_NETWORKS)], None)


def _begin(
    subject: x509.Name,
    issuer: x509.Name,
    key: ec.EllipticCurvePublicKey,
    signer: ec.EllipticCurvePublicKey,
    now: datetime,
) -> x509.CertificateBuilder:
    """What all three have: names, serial (159 random bits), beginning, and whose keys these are."""
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - CLOCKS_APART)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(signer), critical=False)
    )


def _signing(builder: x509.CertificateBuilder, name: str, below: int) -> x509.CertificateBuilder:
    """An authority's certificate, with at most so many authorities below it."""
    return (
        builder.add_extension(x509.BasicConstraints(ca=True, path_length=below), critical=True)
        .add_extension(_key_usage("key_cert_sign", "crl_sign"), critical=True)
        .add_extension(_constraints(name), critical=True)
    )


def _for_servers(builder: x509.CertificateBuilder) -> x509.CertificateBuilder:
    usage = x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH])
    return builder.add_extension(usage, critical=False)


def make(name: str, workshop: str, now: datetime) -> Authority:
    """A new authority for this .local name; `workshop` is the identity as people read it."""
    root_key, key = _new_key(), _new_key()
    end = now + timedelta(days=AUTHORITY_DAYS)
    # three different names: constraints do not count for a certificate that names itself as issuer
    top, middle = _called(f"Ringwright {workshop}"), _called(f"Ringwright {workshop} at home")
    public = root_key.public_key()
    root = _signing(_begin(top, top, public, public, now), name, 1)
    intermediate = _signing(_begin(middle, top, key.public_key(), public, now), name, 0)
    return Authority(
        root.not_valid_after(end).sign(root_key, hashes.SHA256()),
        _for_servers(intermediate).not_valid_after(end).sign(root_key, hashes.SHA256()),
        key,
    )


def issue(
    authority: Authority, names: Iterable[str], addresses: Iterable[str], now: datetime
) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    """A server's certificate for these names and IP addresses, with a new key."""
    key = _new_key()
    issuer, signer = authority.intermediate.subject, authority.key.public_key()
    called = _called(issuer.rfc4514_string().removeprefix("CN=") + ", the server")
    end = min(now + timedelta(days=SERVER_DAYS), authority.until)
    alternatives = [
        *map(x509.DNSName, names),
        *(x509.IPAddress(ipaddress.ip_address(each)) for each in addresses),
    ]
    builder = (
        _for_servers(_begin(called, issuer, key.public_key(), signer, now))
        .not_valid_after(end)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_key_usage("digital_signature"), critical=True)
        .add_extension(x509.SubjectAlternativeName(alternatives), critical=False)
    )
    return builder.sign(authority.key, hashes.SHA256()), key


def fingerprint(certificate: x509.Certificate) -> list[str]:
    """SHA-256 of a certificate as phones show it, in 16 groups of four hexadecimal digits."""
    digits = certificate.fingerprint(hashes.SHA256()).hex().upper()
    return [digits[k : k + 4] for k in range(0, len(digits), 4)]


def names_in(certificate: x509.Certificate) -> tuple[list[str], list[str]]:
    """(DNS names, IP addresses) that a server's certificate counts for."""
    try:
        found = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except x509.ExtensionNotFound:
        return [], []
    return (
        [name.lower() for name in found.get_values_for_type(x509.DNSName)],
        [str(address) for address in found.get_values_for_type(x509.IPAddress)],
    )
