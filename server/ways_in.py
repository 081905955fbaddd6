"""How a browser gets to the page: the address, and the link with a code in it that pairs it.

The code stands behind a `#`: that part of an address stays in the browser and is in no request, so
in no log of a proxy either.
"""

from __future__ import annotations

from typing import Any

import segno

from . import tls
from .settings import Settings


def way(settings: Settings) -> dict[str, Any]:
    """`address`: the page's own; `start`: what a phone's camera opens first; `fingerprint`: groups to
    compare, none without an authority of the workshop's own; `guide`: whether `start` explains how
    to trust it.
    """
    return {
        "address": settings.address,
        "start": settings.guide_address if settings.lan else settings.address,
        "fingerprint": tls.fingerprint(settings.data) if settings.lan else [],
        "guide": settings.lan,
    }


def with_code(way: dict[str, Any], code: str) -> dict[str, Any]:
    """The way with its `link` and `start` leading to a page that pairs itself; `qr` is `start` as
    rows of 0 and 1.
    """
    start = f"{way['start']}#pair={code}"
    qr = ["".join(map(str, row)) for row in segno.make(start, micro=False).matrix]
    return way | {"code": code, "link": f"{way['address']}#pair={code}", "start": start, "qr": qr}
