"""A checksum beside each stored row, by which damage on the disk is seen.

It is no seal: whoever may write the file may write the checksum too. A released file's rows carry
it, so how it is worked out never changes.
"""

from __future__ import annotations

import zlib


def of_row(device: str, seq: int, received_ms: int, body: str, why: str | None) -> int:
    """The checksum of one row: 32 bits over all that it says."""
    text = f"{seq} {received_ms} {why is None:d} {device}\0{why or ''}\0{body}"
    return zlib.crc32(text.encode("utf-8", "surrogatepass"))


def of_identity(workshop: str, log: str, logs: str) -> str:
    """The checksum of what says whose file it is, as it is kept in `meta`."""
    return f"{zlib.crc32(f'{workshop} {log} {logs}'.encode('utf-8', 'surrogatepass')):08x}"


def is_sound(
    device: object, seq: object, received_ms: object, body: object, why: object, kept: object
) -> bool:
    """Whether a row is as it was written. In a damaged file any column can hold anything."""
    if not (isinstance(device, str) and isinstance(body, str) and isinstance(why, str | None)):
        return False
    if not (isinstance(seq, int) and isinstance(received_ms, int)):
        return False
    return kept == of_row(device, seq, received_ms, body, why)


def as_text(raw: bytes) -> str:
    """A text of the file. Bytes that are none stand as replaced: they fail their checksum, no more."""
    return raw.decode("utf-8", "replace")
