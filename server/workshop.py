"""The identity of a workshop: whose counts these are, in its file and in each of its pages.

It is made once and stays the same through backup, restore, export, import and a move to another
computer; the log's identity, by contrast, changes with a restore. A page and a server of two
different workshops exchange nothing.
"""

from __future__ import annotations

import hashlib
import re
import secrets

from .errors import Refusal
from .sentences import sentence

_SHAPE = re.compile(r"[0-9a-f]{32}")


def make() -> str:
    """A new identity: 128 random bits as 32 hexadecimal digits."""
    return secrets.token_hex(16)


def from_log(log: str) -> str:
    """The identity of a workshop from before identities, derived from its log's identity.

    So it is the same for the file and for every copy of it.
    """
    return hashlib.sha256(f"workshop of log {log}".encode()).hexdigest()[:32]


def is_identity(value: object) -> bool:
    """Whether this is the text of a workshop's identity."""
    return isinstance(value, str) and _SHAPE.fullmatch(value) is not None


def short(identity: str) -> str:
    """The first eight digits, as people read them: 81b2-90aa."""
    return f"{identity[:4]}-{identity[4:8]}"


class OtherWorkshop(Refusal):
    """The request belongs to another workshop than this server's; nothing was stored or sent."""

    def __init__(self, theirs: str | None, ours: str) -> None:
        if theirs:
            why = sentence("workshop.other", theirs=short(theirs), ours=short(ours))
        else:
            why = sentence("workshop.other_unnamed", ours=short(ours))
        super().__init__(409, "workshop", why)
        self.more = {"workshop": ours}
