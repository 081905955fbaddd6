"""The one-time code that pairs a browser: made by chance, forgiving to read, kept as a hash only.

Twenty letters without vowels, so that no word comes up, and without Y; eight of them are 34.6 bits.
That is little for a thief of the file with years of time, and the code lives ten minutes; it is
plenty where five wrong tries end it (pairing.py).
"""

from __future__ import annotations

import hashlib
import secrets

from .errors import Unreadable
from .sentences import sentence

LETTERS = "BCDFGHJKLMNPQRSTVWXZ"
LENGTH = 8
LONGEST_TYPED = 64  # characters read at all: the code with whatever was put between its letters
_BETWEEN = str.maketrans("", "", " -\u2010\u2011\u2013\u00a0\t")  # spaces, and hyphens of all kinds


def make() -> str:
    """A new code: KTRMWHPD."""
    return "".join(secrets.choice(LETTERS) for _ in range(LENGTH))


def spaced(code: str) -> str:
    """The code as people read it: KTRM WHPD."""
    return f"{code[:4]} {code[4:]}"


def read(typed: object) -> str:
    """The code that was typed, in either case, with spaces and hyphens anywhere.

    Raises Unreadable for what can be no code: a slip of the finger that costs no try.
    """
    if not isinstance(typed, str) or len(typed) > LONGEST_TYPED:
        raise Unreadable("code", sentence("pairing_code.shape"))
    code = typed.translate(_BETWEEN).upper()
    strange = sorted({letter for letter in code if letter not in LETTERS})
    if strange and strange[0].isprintable():
        raise Unreadable("code", sentence("pairing_code.letter", letter=strange[0]))
    if strange or len(code) != LENGTH:
        raise Unreadable("code", sentence("pairing_code.shape"))
    return code


def digest(code: str, salt: bytes) -> bytes:
    """The scrypt hash of a code: some 50 ms and 16 MiB of work, which makes guessing dear."""
    return hashlib.scrypt(code.encode(), salt=salt, n=2**14, r=8, p=1, dklen=32)
