# Sourced by the other scripts: a virtual environment in .venv with what they need.
# Sets ROOT and PYTHON. Usage: prepare [dev]

ROOT=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
PYTHON=$ROOT/.venv/bin/python

say() {
    printf '%s\n' "$*" >&2
}

# A Python of 3.11 or newer that can make virtual environments.
find_python() {
    for name in python3 python3.14 python3.13 python3.12 python3.11 python; do
        if command -v "$name" >/dev/null 2>&1 &&
            "$name" -c 'import sys, venv, ensurepip; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
            command -v "$name"
            return
        fi
    done
    return 1
}

# Installs a Debian package where we may; says what to do where we may not.
install_system() {
    package=$1
    why=$2
    if command -v apt-get >/dev/null 2>&1 && [ "$(id -u)" -eq 0 ]; then
        say "Installing $package ($why) ..."
        if { apt-get update && DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends "$package"; } \
            >/dev/null 2>&1; then
            return 0
        fi
    fi
    say "Could not install $package ($why). Install it with your system's package manager and run this again."
    return 1
}

prepare() {
    extra=${1:-}
    base=$(find_python) || {
        install_system python3-venv "Python 3.11 or newer with venv" || exit 1
        base=$(find_python) || {
            say "No Python 3.11 or newer with venv was found. Install one and run this again."
            exit 1
        }
    }
    wanted=$(cat "$ROOT/pyproject.toml" "$ROOT/constraints.txt" | cksum)
    stamp=$ROOT/.venv/.ready${extra:+-$extra}
    if [ -x "$PYTHON" ] && [ "$(cat "$stamp" 2>/dev/null)" = "$wanted" ]; then
        return
    fi
    say "Preparing the environment in .venv (once; a few minutes on a slow line) ..."
    "$PYTHON" -m pip --version >/dev/null 2>&1 || "$base" -m venv --clear "$ROOT/.venv" || exit 1
    "$PYTHON" -m pip install --quiet --disable-pip-version-check \
        --constraint "$ROOT/constraints.txt" --editable "$ROOT${extra:+[$extra]}" || {
        say "The packages could not be installed: see the lines above. Is there a network?"
        exit 1
    }
    printf '%s\n' "$wanted" >"$stamp"
}
