#!/usr/bin/env bash
# Set up and run every check: lint, format, types, core tests without Qt, then the rest with Qt.
# PYTHON=python3.13 bash tests/run.sh uses another interpreter and environments of its own.
set -u
source "$(dirname "${BASH_SOURCE[0]}")/../app/setup.sh"
cd "$ROOT" || exit 1

need_packages "${QT_PACKAGES[@]}" ngspice poppler-utils || exit 1
make_environment core || exit 1
core_python="$venv/bin/python"
make_environment test || exit 1
test_python="$venv/bin/python"

export QT_QPA_PLATFORM=offscreen
export OPENBLAS_NUM_THREADS=1 # two test processes share the cores
LIMIT=780                     # seconds for one test process, so that a hang ends as a failure

summary=()
failures=0
note() { # note RESULT NAME START
    local word=passed
    [ "$1" -eq 0 ] || { word=FAILED; failures=$((failures + 1)); }
    summary+=("$(printf '%-7s %4d s  %s' "$word" $((SECONDS - $3)) "$2")")
}
step() { # step NAME COMMAND...
    local name="$1" start=$SECONDS
    shift
    printf '\n=== %s\n' "$name"
    "$@"
    note $? "$name" "$start"
}
has_no_qt() {
    ! "$core_python" -c 'import PySide6' 2>/dev/null && ! "$core_python" -c 'import pyqtgraph' 2>/dev/null
}

# The core tests run beside the other steps; their report is shown when both are done.
core_log="$(mktemp)"
core_start=$SECONDS
core_job=
trap '[ -n "$core_job" ] && kill "$core_job" 2>/dev/null; rm -f "$core_log"' EXIT
timeout -k 10 "$LIMIT" "$core_python" -m pytest -q core tests/core tests/reference >"$core_log" 2>&1 &
core_job=$!

step "ruff check" "$test_python" -m ruff check
step "ruff format" "$test_python" -m ruff format --check
step "mypy --strict" "$test_python" -m mypy --strict app core tests
step "core environment is free of Qt" has_no_qt
step "window, command line and house rules" timeout -k 10 "$LIMIT" \
    "$test_python" -m pytest -q tests --ignore=tests/core --ignore=tests/reference

wait "$core_job"
core_result=$?
core_job=
printf '\n=== %s\n' "core tests and doctests, without Qt"
cat "$core_log"
note "$core_result" "core tests and doctests, without Qt" "$core_start"

printf '\n=== Summary (%s, %d s)\n' "$("$test_python" --version)" "$SECONDS"
printf '%s\n' "${summary[@]}"
[ "$failures" -eq 0 ]
