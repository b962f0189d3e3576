#!/usr/bin/env bash
# Compare the core with other programs, in an environment of its own: bash tests/independent/run.sh [PYTEST OPTION...]
# -s shows the largest deviation of each comparison. PYTHON=python3.13 uses another interpreter.
set -u
source "$(dirname "${BASH_SOURCE[0]}")/../../app/setup.sh"
cd "$ROOT" || exit 1

list=tests/independent/requirements.txt
find_python || exit 1
venv="$ROOT/.venv-independent${PYTHON:+-$version}"
wanted="$({ printf '%s\n' "$version" "$ROOT" && cat "$list"; } | sha256sum | cut -d ' ' -f 1)"
if [ "$(cat "$venv/installed" 2>/dev/null)" != "$wanted" ]; then
    say "Installing into $venv (once; takes a minute or two) ..."
    need_venv && "$python" -m venv --clear "$venv" &&
        "$venv/bin/python" -m pip install --quiet --disable-pip-version-check -r "$list" >&2 || {
        say "pip could not install what $list names; without network access the first start cannot finish"
        exit 1
    }
    printf '%s\n' "$wanted" >"$venv/installed"
fi

# The files are named, since the main suite passes this folder by; its conftest needs more packages, and a
# warning inside another program is not ours.
exec "$venv/bin/python" -m pytest -q --noconftest -W default "$@" tests/independent/test_*.py
