# Sets up what app/run.sh and tests/run.sh need. Sourced by both; defines functions, runs nothing.
#
# A second start finds everything in place by reading only local files, so it needs no network.

ROOT="$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)"

# What Qt loads beyond its own wheel, and what its xcb plugin adds when there is a screen.
QT_PACKAGES=(libgl1 libegl1 libxkbcommon0 libdbus-1-3 libfontconfig1 libglib2.0-0)
SCREEN_PACKAGES=(libxkbcommon-x11-0 libxcb-cursor0 libxcb-icccm4 libxcb-keysyms1 libxcb-shape0)

say() { printf '%s\n' "$*" >&2; }

has_screen() { [ -n "${DISPLAY:-}${WAYLAND_DISPLAY:-}" ] || [ "$(uname)" = Darwin ]; }

# need_packages NAME...: install missing Debian packages as root, else print the line that does it.
need_packages() {
    command -v dpkg-query >/dev/null || return 0 # not Debian: the README says what is needed
    local name there missing=()
    # Later releases append t64 to a few library names. All are asked for at once: each call takes its time.
    there="$(dpkg-query -W -f '${Package} ${db:Status-Status}\n' "$@" "${@/%/t64}" 2>/dev/null)"
    for name in "$@"; do
        grep -qxE "${name//+/\\+}(t64)? installed" <<<"$there" || missing+=("$name")
    done
    [ ${#missing[@]} -eq 0 ] && return 0
    if [ "$(id -u)" -ne 0 ]; then
        say "System packages are missing. Run this line, then start again:"
        say "    sudo apt-get update && sudo apt-get install --no-install-recommends ${missing[*]}"
        return 1
    fi
    say "Installing system packages: ${missing[*]}"
    export DEBIAN_FRONTEND=noninteractive
    { apt-get update -qq && apt-get install -y -qq --no-install-recommends "${missing[@]}"; } >&2 || {
        say "apt-get could not install: ${missing[*]}"
        return 1
    }
}

minor_version() { "$1" -c 'import sys; print("%d.%d" % sys.version_info[:2])' 2>/dev/null; }

# is_supported PYTHON: set version to that of an interpreter, and tell whether it is one of ours.
is_supported() {
    version="$(minor_version "$1")"
    case "$version" in
        3.11 | 3.12 | 3.13) return 0 ;;
        *) return 1 ;;
    esac
}

# find_python: set python to the interpreter to build on, $PYTHON if it is given, and version to its version.
find_python() {
    local candidate
    if [ -n "${PYTHON:-}" ]; then
        python="$PYTHON"
        is_supported "$python" || { say "PYTHON=$PYTHON is not a Python 3.11, 3.12 or 3.13"; return 1; }
    else
        command -v python3 >/dev/null || need_packages python3 python3-venv || return 1
        python=
        for candidate in python3 python3.13 python3.12 python3.11; do
            is_supported "$candidate" && { python="$candidate"; break; }
        done
        [ -n "$python" ] || { say "No Python 3.11, 3.12 or 3.13 found; set PYTHON to one"; return 1; }
    fi
}

# need_venv: make sure that python can make a virtual environment; asked only where one is to be made.
need_venv() {
    # Debian keeps ensurepip in a package of its own.
    "$python" -c 'import ensurepip, venv' 2>/dev/null && return 0
    if [ -n "${PYTHON:-}" ]; then
        need_packages "$(basename "$python")-venv"
    else
        need_packages python3-venv
    fi
    "$python" -c 'import ensurepip, venv' || { say "$python cannot make a virtual environment"; return 1; }
}

# environment_folder KIND: .venv or .venv-core, with the version behind it when PYTHON was chosen.
environment_folder() {
    local name=.venv
    [ "$1" = core ] && name=.venv-core
    if [ -n "${PYTHON:-}" ]; then
        name+="-$version"
    fi
    printf '%s\n' "$ROOT/$name"
}

# What an installation depends on; a moved checkout counts, for the editable install names its folder.
fingerprint() {
    { printf '%s\n' "$version" "$ROOT" && cat "$ROOT/pyproject.toml" "$ROOT/app/setup.sh"; } |
        sha256sum | cut -d ' ' -f 1
}

# The dependencies of the project without Qt, and the extra core-test, one a line.
core_requirements() {
    "$python" - "$ROOT/pyproject.toml" <<'PYTHON_END'
import sys
import tomllib

with open(sys.argv[1], "rb") as file:
    project = tomllib.load(file)["project"]
for line in project["dependencies"] + project["optional-dependencies"]["core-test"]:
    if not line.startswith(("PySide6", "pyqtgraph")):
        print(line)
PYTHON_END
}

# make_environment KIND: make or renew the environment for KIND (run, test or core), set venv to it.
# An environment for test serves run as well.
make_environment() {
    local kind="$1" wanted requirements=()
    find_python || return 1
    venv="$(environment_folder "$kind")"
    wanted="$(fingerprint)"
    if [ "$(cat "$venv/installed-$kind" 2>/dev/null)" = "$wanted" ]; then
        return 0
    fi
    need_venv || return 1
    if [ -e "$venv" ] && [ "$(minor_version "$venv/bin/python")" != "$version" ]; then
        [ -e "$venv/pyvenv.cfg" ] || { say "$venv is in the way and no virtual environment"; return 1; }
        rm -rf "$venv"
    fi
    say "Installing into $venv (once; takes a minute or two) ..."
    [ -x "$venv/bin/python" ] && "$venv/bin/python" -m pip --version >/dev/null 2>&1 ||
        "$python" -m venv "$venv" || return 1
    case "$kind" in
        core) mapfile -t requirements < <(core_requirements) ;;
        test) requirements=(--config-settings editable_mode=compat --editable "$ROOT[dev]") ;;
        run) requirements=(--config-settings editable_mode=compat --editable "$ROOT") ;;
    esac
    "$venv/bin/python" -m pip install --quiet --disable-pip-version-check "${requirements[@]}" >&2 || {
        say "pip could not install the project; without network access the first start cannot finish"
        return 1
    }
    # so that the first start finds compiled modules, also where Python may not write them while it runs
    [ "$kind" = core ] || "$venv/bin/python" -m compileall -q "$ROOT/core" "$ROOT/app" >/dev/null
    printf '%s\n' "$wanted" >"$venv/installed-$kind"
    if [ "$kind" = test ]; then
        printf '%s\n' "$wanted" >"$venv/installed-run"
    fi
}
