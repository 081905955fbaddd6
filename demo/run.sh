#!/bin/sh
# From a machine with Python 3.11+ to the running tool on an invented workshop.
# Options go to `ringwright serve`, for example: sh demo/run.sh --port 9000
cd "$(dirname "$0")/.." || exit 1
. demo/venv.sh
ready_venv || exit 1
"$PYTHON" demo/fill.py demo/data || exit 1
exec "$PYTHON" -m server.cli serve --data demo/data "$@"
