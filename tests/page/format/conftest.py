"""Nothing here looks into the server's log: one server a file is enough."""

from tests.page.alone import context, serving

__all__ = ["context", "serving"]
