"""The ways in which `serve` can be reached, read from its options and refused where they clash."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from . import tls
from .errors import SetupError
from .home import Home
from .sentences import sentence
from .settings import EVERYWHERE

_LABEL = r"[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?"
_LOCAL = re.compile(_LABEL)
_PUBLIC = re.compile(rf"{_LABEL}(\.{_LABEL})*(:[0-9]{{1,5}})?")


def choose(
    lan: bool,
    name: str,
    trust_again: bool,
    cert: Path | None,
    key: Path | None,
    public_name: str,
    no_pairing: bool,
) -> dict[str, Any]:
    """The fields of Settings that the options ask for; raises SetupError."""
    if lan and (cert or key or public_name):
        raise SetupError(sentence("ways.one_way"))
    if no_pairing and (lan or cert or public_name):
        raise SetupError(sentence("ways.no_pairing"))
    if (name or trust_again) and not lan:
        raise SetupError(sentence("ways.only_at_home"))
    if bool(cert) != bool(key):
        raise SetupError(sentence("ways.cert_and_key"))
    public = public_name.lower().removesuffix(":443")
    if public and not _PUBLIC.fullmatch(public):
        raise SetupError(sentence("ways.public_name", name=public_name))
    if lan:
        return {"lan": True, "listen": EVERYWHERE}
    if cert:
        public = public or tls.name_of(cert)
        return {"cert": cert, "key": key, "public_name": public, "listen": EVERYWHERE}
    return {"public_name": public, "needs_pairing": not no_pairing}


def local_name(chosen: str) -> str:
    """`anvil.local` for anvil or Anvil.local, "" for ""; raises SetupError."""
    label = chosen.lower().removesuffix(".local")
    if label and not _LOCAL.fullmatch(label):
        raise SetupError(sentence("ways.local_name", name=chosen))
    return label and f"{label}.local"


def home_of(data: Path, workshop: str, chosen: str, again: bool) -> Home:
    """This computer at home under the workshop's name, its authority made where there is none."""
    home = Home(tls.open_authority(data, workshop, local_name(chosen), again))
    home.look()
    return home
