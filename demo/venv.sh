# Read by demo/run.sh and tests/run.sh from the project's folder.
# ready_venv [extra]: makes .venv with this project in it, and sets $PYTHON to its interpreter.

find_python() {
    for name in python3 python3.14 python3.13 python3.12 python3.11 python; do
        if command -v "$name" >/dev/null 2>&1 &&
            "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; then
            command -v "$name"
            return 0
        fi
    done
    echo "Python 3.11 or newer is needed and was not found. Install it (Debian, Ubuntu: apt install python3 python3-venv) and run this again." >&2
    return 1
}

make_venv() {
    found=$(find_python) || return 1
    if ! "$found" -m venv --clear .venv; then
        echo "Python's venv module is missing. Install it (Debian, Ubuntu: apt install python3-venv) and run this again." >&2
        return 1
    fi
}

pip_install() {
    "$PYTHON" -m pip install --quiet --disable-pip-version-check "$@" >&2
}

# Exactly the packages of the lock file, each checked against its hashes, the build's own among them: so every
# run of the tests, and a container, uses the same ones.
install_locked() {
    pip_install --require-hashes --requirement .ci/requirements.lock &&
        pip_install --no-deps --no-build-isolation --editable .
}

# The tests take what is locked, the demo what the ranges allow; RINGWRIGHT_LOCKED=1 or 0 says otherwise.
install_project() {
    what=".${1:+[$1]}"
    if [ "$1" = test ]; then locked=${RINGWRIGHT_LOCKED:-1}; else locked=${RINGWRIGHT_LOCKED:-0}; fi
    echo "Installing into .venv (once; needs the network) ..." >&2
    if [ "$locked" = 1 ]; then install_locked; else pip_install --editable "$what"; fi
    if [ $? != 0 ]; then
        echo "The installation failed; its reason stands above. Without a network nothing can be fetched." >&2
        return 1
    fi
}

ready_venv() {
    extra=${1:-}
    PYTHON="$PWD/.venv/bin/python"
    if ! "$PYTHON" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
        make_venv || return 1
    fi
    wanted=$(cat pyproject.toml .ci/requirements.lock static/package-lock.json server/vendor.py | cksum)
    if [ -f .venv/ready ] && [ "$(cat .venv/ready)" = "$wanted test" ]; then extra=test; fi
    if [ ! -f .venv/ready ] || [ "$(cat .venv/ready)" != "$wanted $extra" ] || [ ! -f static/vendor/.stamp ]; then
        install_project "$extra" || return 1
        echo "$wanted $extra" >.venv/ready
    fi
}
