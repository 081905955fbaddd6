"""Whose counts these are: the identity of a workshop, kept in its file and in every page that
belongs to it.

It is made once and stays through backup, restore, export, import and a change of computer; the
log's identity, by contrast, changes with a restore. A page and a server of two workshops exchange
nothing.
"""

from __future__ import annotations

import hashlib
import re
import secrets

from .errors import Refusal

_SHAPE = re.compile(r"[0-9a-f]{32}")


def make() -> str:
    """A fresh identity: 128 random bits as 32 hexadecimal digits."""
    return secrets.token_hex(16)


def from_log(log: str) -> str:
    """The identity of a workshop older than this field: the same for its file and for every copy of
    that log.
    """
    return hashlib.sha256(f"workshop of log {log}".encode()).hexdigest()[:32]


def is_identity(value: object) -> bool:
    return isinstance(value, str) and _SHAPE.fullmatch(value) is not None


def short(identity: str) -> str:
    """The first eight digits, for people: 81b2-90aa."""
    return f"{identity[:4]}-{identity[4:8]}"


class OtherWorkshop(Refusal):
    """What was sent belongs to another workshop than the one kept here; nothing was stored or
    given.
    """

    def __init__(self, theirs: str | None, ours: str) -> None:
        whose = f"workshop {short(theirs)}" if theirs else "another workshop"
        super().__init__(
            409,
            "workshop",
            f"This device's counts belong to {whose}; this server keeps workshop {short(ours)}."
            " Nothing was mixed: the counts stay on the device. Open Setup on the page to choose"
            " what to do.",
        )
        self.more = {"workshop": ours}
