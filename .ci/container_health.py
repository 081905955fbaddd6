"""Ends with status 0 where the server answers at this port of this machine and has its workshop.

Over http, or over https, whose certificate is not looked at: nothing is told and nothing believed.
"""

from __future__ import annotations

import http.client
import ssl
import sys

SECONDS = 5


def status(connection: http.client.HTTPConnection) -> int:
    """The status of /health; 0 where nothing answers in this way."""
    try:
        connection.request("GET", "/health", headers={"Host": f"localhost:{connection.port}"})
        return connection.getresponse().status
    except (OSError, http.client.HTTPException):
        return 0
    finally:
        connection.close()


def is_well(port: int) -> bool:
    """Under a public name it answers 421 to any other one: that is well too."""
    loose = ssl.create_default_context()
    loose.check_hostname, loose.verify_mode = False, ssl.CERT_NONE
    plain = http.client.HTTPConnection("127.0.0.1", port, timeout=SECONDS)
    secure = http.client.HTTPSConnection("127.0.0.1", port, timeout=SECONDS, context=loose)
    return any(0 < status(way) < 500 for way in (plain, secure))


if __name__ == "__main__":
    sys.exit(not is_well(int(sys.argv[1])))
