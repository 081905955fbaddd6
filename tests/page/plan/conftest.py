"""Nothing here looks into the server's log: one server for all is enough."""

from tests.page.alone import context, serving

__all__ = ["context", "serving"]
