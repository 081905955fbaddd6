#!/bin/sh
# From a machine with Python 3.11+ to the running tool on an invented workshop.
# Options go to `ringwright serve`, for example: sh demo/run.sh --port 9000
# A port of its own: a browser keeps what it stores apart by address, so the demo never meets your own workshop.
cd "$(dirname "$0")/.." || exit 1
. demo/venv.sh
ready_venv || exit 1
"$PYTHON" demo/fill.py demo/data || exit 1
# Nothing in it is anyone's: whoever opens it on this machine may look.
exec "$PYTHON" -m server.cli serve --port 8747 --no-pairing --data demo/data "$@"
