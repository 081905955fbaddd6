"""The certificates under which the page is served over https, and how they stay in date.

With `--lan` the workshop's own authority is in `DATA/tls/` (0700, its files 0600):

    root.crt            what phones trust; its key was used once and never written
    authority.pem       the intermediate certificate, and its key
    server.pem          the server's key and certificate, with the intermediate's; made again by itself

With `--cert` and `--key` both files belong to someone else, and are only read.
"""

from __future__ import annotations

import os
import socket
import ssl
import sys
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Protocol

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)

from . import authority
from .authority import LOOPBACK, Authority, names_in
from .errors import SetupError
from .home import Home
from .sentences import sentence
from .settings import Settings
from .workshop import short

FOLDER = "tls"
ROOT, SIGNING, SERVER = "root.crt", "authority.pem", "server.pem"
EARLY = timedelta(days=30)  # so long before its end a certificate is renewed, or warned of
# TLS 1.2 with forward secrecy only (RFC 9325); those of TLS 1.3 are all of that kind
CIPHERS = "ECDHE+AESGCM:ECDHE+CHACHA20"
# what reading a damaged file ends in
_UNREADABLE = (ValueError, TypeError, InvalidSignature, x509.ExtensionNotFound, StopIteration)


def utc_now() -> datetime:
    """Now, UTC."""
    return datetime.now(UTC)


class Certificate(Protocol):
    """What the page is served under; renewed in place, without a restart."""

    context: ssl.SSLContext

    def keep_up(self) -> str:
        """Renew it where that is due; a sentence where the maker is needed, else ""."""


def new_context() -> ssl.SSLContext:
    """TLS 1.2 and 1.3 with safe ciphers only; it lacks a certificate yet."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    context.set_ciphers(CIPHERS)
    context.options |= ssl.OP_NO_RENEGOTIATION
    context.set_alpn_protocols(["http/1.1"])
    return context


# ---- with --lan: the workshop's own authority


def _key_text(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())


def _write(path: Path, content: bytes) -> None:
    """Whole or not at all, and never readable by others."""
    beside = path.with_suffix(".new")
    beside.unlink(missing_ok=True)
    with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    beside.replace(path)


def _make(data: Path, name: str, workshop: str) -> None:
    """A new authority in place of any older one, whose key is gone with it."""
    made = authority.make(name, workshop, utc_now())
    with tempfile.TemporaryDirectory(prefix=f"{FOLDER}-", dir=data) as beside:
        fresh, old = Path(beside) / "fresh", Path(beside) / "old"
        fresh.mkdir(mode=0o700)
        _write(fresh / ROOT, made.root.public_bytes(Encoding.PEM))
        chain = made.intermediate.public_bytes(Encoding.PEM)
        _write(fresh / SIGNING, _key_text(made.key) + chain)
        if (data / FOLDER).exists():
            (data / FOLDER).rename(old)
        fresh.rename(data / FOLDER)


def _same_key(key: Any, certificate: x509.Certificate) -> bool:
    return bool(key.public_key() == certificate.public_key())


def load(data: Path) -> Authority | None:
    """The authority in this data folder, None where there is none; raises SetupError."""
    folder = data / FOLDER
    if not folder.exists():
        return None
    try:
        text = (folder / SIGNING).read_bytes()
        key = load_pem_private_key(text, None)
        intermediate = x509.load_pem_x509_certificate(text)
        root = x509.load_pem_x509_certificate((folder / ROOT).read_bytes())
        intermediate.verify_directly_issued_by(root)
        if isinstance(key, ec.EllipticCurvePrivateKey) and _same_key(key, intermediate):
            return Authority(root, intermediate, key)
    except OSError as e:
        raise SetupError(sentence("tls.unreadable", file=e.filename, why=e.strerror)) from e
    except _UNREADABLE:
        pass
    raise SetupError(sentence("tls.damaged", folder=folder))


def opened(data: Path) -> Authority:
    """The authority that `open_authority` has made; raises SetupError where it is gone."""
    if found := load(data):
        return found
    raise SetupError(sentence("tls.damaged", folder=data / FOLDER))


def usual_name(workshop: str) -> str:
    """The workshop's .local name where the maker chose none: it moves with the workshop."""
    return f"ringwright-{workshop[:4]}.local"


def open_authority(data: Path, workshop: str, chosen: str = "", again: bool = False) -> str:
    """The .local name of this workshop's authority, made where there is none, or once more.

    Raises SetupError where it has another name than the chosen one: phones know the page by it.
    """
    try:
        found = load(data)
    except SetupError:
        if not again:
            raise
        found = None
    if found is None or again:
        name = chosen or (found.name if found else usual_name(workshop))
        _make(data, name, short(workshop))
        return name
    if chosen and chosen != found.name:
        raise SetupError(sentence("tls.other_name", name=found.name, chosen=chosen))
    return found.name


class HomeCertificate:
    """The server's certificate by the workshop's own authority, for its name and addresses."""

    def __init__(self, data: Path, home: Home) -> None:
        self.authority = opened(data)
        self.file = data / FOLDER / SERVER
        self.home = home
        self.context = new_context()
        self.kept = self._read()
        if self.kept:
            self.context.load_cert_chain(self.file)
        self.keep_up()

    def keep_up(self) -> str:
        """Renew it before its end and where the addresses are others; see `Certificate`."""
        if not self._is_current():
            try:
                self._renew()
            except OSError as e:
                return sentence("tls.not_renewed", file=self.file, why=e.strerror or e)
        end = self.authority.until
        if end - utc_now() > EARLY:
            return ""
        return sentence("tls.authority_ends", day=end.date())

    def _read(self) -> x509.Certificate | None:
        """The one made by an earlier run, where it is whole and this authority's."""
        try:
            text = self.file.read_bytes()
            certificate = x509.load_pem_x509_certificate(text)
            certificate.verify_directly_issued_by(self.authority.intermediate)
            return certificate if _same_key(load_pem_private_key(text, None), certificate) else None
        except (OSError, *_UNREADABLE):
            return None

    def _is_current(self) -> bool:
        if self.kept is None:
            return False
        _, addresses = names_in(self.kept)
        end, now = self.kept.not_valid_after_utc, utc_now()
        in_time = self.kept.not_valid_before_utc <= now  # else the clock was ahead when it was made
        lasts = end - now > EARLY or end == self.authority.until
        return in_time and lasts and set(addresses) == {*LOOPBACK, *self.home.addresses}

    def _renew(self) -> None:
        names = [self.authority.name, "localhost"]
        addresses = [*LOOPBACK, *self.home.addresses]
        made, key = authority.issue(self.authority, names, addresses, utc_now())
        chain = [made, self.authority.intermediate]
        text = _key_text(key) + b"".join(each.public_bytes(Encoding.PEM) for each in chain)
        _write(self.file, text)
        self.context.load_cert_chain(self.file)
        self.kept = made


# ---- with --cert and --key: a certificate of one's own


def _bytes(file: Path) -> bytes:
    try:
        return file.read_bytes()
    except OSError as e:
        raise SetupError(sentence("tls.unreadable", file=file, why=e.strerror)) from e


def _first_certificate(file: Path) -> x509.Certificate:
    try:
        return x509.load_pem_x509_certificate(_bytes(file))
    except ValueError:
        raise SetupError(sentence("tls.no_certificate", file=file)) from None


def _private_key(file: Path) -> Any:
    try:
        return load_pem_private_key(_bytes(file), None)
    except TypeError:
        raise SetupError(sentence("tls.locked_key", file=file)) from None
    except ValueError:
        raise SetupError(sentence("tls.no_key", file=file)) from None


def _covers(names: list[str], name: str) -> bool:
    """Whether one of them is this name, or its first part is a star (RFC 9525, 6.3)."""
    return name in names or f"*.{name.partition('.')[2]}" in names


def check(cert: Path, key: Path, name: str) -> x509.Certificate:
    """The server's certificate of these files; raises SetupError where it would not do."""
    found = _first_certificate(cert)
    names, addresses = names_in(found)
    begin, end = found.not_valid_before_utc, found.not_valid_after_utc
    if not _same_key(_private_key(key), found):
        raise SetupError(sentence("tls.other_key", file=key, cert=cert))
    if end <= utc_now():
        raise SetupError(sentence("tls.ended", cert=cert, day=end.date()))
    if begin > utc_now():
        raise SetupError(sentence("tls.not_begun", cert=cert, day=begin.date()))
    if not _covers(names, name) and name not in addresses:
        listed = ", ".join(names + addresses) or "-"
        raise SetupError(sentence("tls.name_not_in", cert=cert, name=name, listed=listed))
    return found


def name_of(cert: Path) -> str:
    """The first host name in a certificate; raises SetupError where it has none."""
    names, _ = names_in(_first_certificate(cert))
    for name in names:
        if not name.startswith("*"):
            return name
    raise SetupError(sentence("tls.no_name", cert=cert))


class OwnCertificate:
    """A certificate that someone else renews: its files are taken up again when they change."""

    def __init__(self, cert: Path, key: Path, name: str) -> None:
        self.files = (cert, key)
        self.name = name  # the page's host name, which must be in it
        self.context = new_context()
        self.seen = self.failed = self._stamps()
        self._take_up()

    def keep_up(self) -> str:
        """Take up files that changed; see `Certificate`."""
        stamps, trouble = self._stamps(), ""
        if stamps != self.seen:
            try:
                self._take_up()
                self.seen = stamps
            except SetupError as e:
                # the two are seldom written at the same moment: told only if it stays so
                again, self.failed = self.failed == stamps, stamps
                if again:
                    trouble = sentence("tls.not_taken_up", why=e, day=self._end().date())
        return trouble or self._ending()

    def _stamps(self) -> list[tuple[int, ...] | None]:
        """What changes with a file, written in place or put in place of another."""
        return [_stamp(file) for file in self.files]

    def _take_up(self) -> None:
        kept = check(*self.files, self.name)
        for context in (
            new_context(),
            self.context,
        ):  # tried first, so that the one in use stays whole
            try:
                context.load_cert_chain(*self.files)
            except (OSError, ssl.SSLError) as e:
                why = getattr(e, "reason", None) or e.strerror
                raise SetupError(sentence("tls.unusable", cert=self.files[0], why=why)) from e
        self.kept = kept

    def _end(self) -> datetime:
        return self.kept.not_valid_after_utc

    def _ending(self) -> str:
        """Renewed ones come with a third of their life left; a fifth is late."""
        life = self._end() - self.kept.not_valid_before_utc
        if self._end() - utc_now() > min(EARLY, life / 5):
            return ""
        return sentence("tls.ends", cert=self.files[0], day=self._end().date())


def _stamp(file: Path) -> tuple[int, ...] | None:
    try:
        found = file.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino


# ---- what others are told


def open_certificate(settings: Settings) -> Certificate | None:
    """What the page is served under; None where the server speaks http."""
    if settings.lan:
        return HomeCertificate(settings.data, settings.home)
    if settings.cert and settings.key:
        return OwnCertificate(settings.cert, settings.key, settings.public_name.partition(":")[0])
    return None


def fingerprint(data: Path) -> list[str]:
    """16 groups of the certificate that phones are to trust; [] where there is none."""
    found = load(data)
    return authority.fingerprint(found.root) if found else []


def state(settings: Settings) -> dict[str, Any]:
    """The part of `GET /api/server` about addresses: whole ones, as a maker opens them."""
    told = {
        "address": settings.address,
        "name_address": settings.address,
        "ip_addresses": settings.addresses,
    }
    served = settings.data / FOLDER / SERVER if settings.lan else settings.cert
    if served is None:
        return told
    end = _first_certificate(served).not_valid_after_utc
    return told | {"certificate_until_ms": int(end.timestamp() * 1000)}


def examine(data: Path, ports: tuple[int, ...]) -> Iterator[tuple[bool, str]]:
    """Lines for the doctor, each with whether it is in order."""
    try:
        found = load(data)
    except SetupError as e:
        yield False, str(e)
        return
    if found is None:
        yield True, sentence("tls.none_yet")
        return
    end = found.until
    yield True, sentence("tls.name", name=found.name)
    yield True, sentence("tls.fingerprint", groups=" ".join(authority.fingerprint(found.root)))
    if end - utc_now() > EARLY:
        yield True, sentence("tls.trust_until", day=end.date())
    else:
        yield False, sentence("tls.authority_ends", day=end.date())
    served = data / FOLDER / SERVER
    if served.exists():
        yield _examine_served(served)
    for file in (data / FOLDER, *sorted((data / FOLDER).iterdir())):
        mode = file.stat().st_mode & 0o777
        if mode & 0o077 and sys.platform != "win32":
            private = "700" if file.is_dir() else "600"
            yield False, sentence("tls.mode_open", file=file, private=private)
    for port in ports:
        yield True, _examine_port(port)


def _examine_served(served: Path) -> tuple[bool, str]:
    """Where it is late nothing is wrong: the next start renews it."""
    try:
        end = _first_certificate(served).not_valid_after_utc
    except SetupError:
        return True, sentence("tls.made_again")
    if end <= utc_now() + EARLY:
        return True, sentence("tls.made_again")
    return True, sentence("tls.served_until", day=end.date())


def _examine_port(port: int) -> str:
    with socket.socket() as asking:
        taken = asking.connect_ex((LOOPBACK[0], port)) == 0
    return sentence("tls.port_taken" if taken else "tls.port_free", port=port)
