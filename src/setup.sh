# Sourced by src/run and tests/run: makes .venv and installs farspun into it when
# pyproject.toml or .ci/constraints.txt changed. All chatter goes to stderr.
# Use: setup_farspun EXTRA   (EXTRA is "" or "[tests]"). Sets $venv.

venv="$top/.venv"

find_python() {
    for candidate in python3 python3.13 python3.12 python3.11 python3.14; do
        if command -v "$candidate" >/dev/null 2>&1 &&
            "$candidate" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
            echo "$candidate"
            return 0
        fi
    done
    echo "farspun needs Python 3.11 or newer; none was found." >&2
    return 1
}

make_venv() {
    python=$(find_python) || return 1
    if ! "$python" -c 'import ensurepip, venv' 2>/dev/null; then
        version=$("$python" -c 'import sys; print("%d.%d" % sys.version_info[:2])')
        if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
            { apt-get update && { apt-get install -y "python$version-venv" || apt-get install -y python3-venv; }; } >&2 || return 1
        else
            echo "This Python has no ensurepip. Run once: sudo apt-get install python3-venv" >&2
            return 1
        fi
    fi
    rm -rf "$venv"
    "$python" -m venv "$venv" >&2
}

setup_farspun() {
    extra=$1
    wanted=$(cat "$top/pyproject.toml" "$top/.ci/constraints.txt" | cksum)
    stamp="$venv/installed$extra"
    if [ -x "$venv/bin/python" ] && [ "$(cat "$stamp" 2>/dev/null)" = "$wanted" ]; then
        return 0
    fi
    echo "farspun: setting up (once, about a minute) ..." >&2
    if ! "$venv/bin/python" -c 'import pip' 2>/dev/null; then
        make_venv || return 1
    fi
    "$venv/bin/python" -m pip install --quiet --disable-pip-version-check --no-input \
        -c "$top/.ci/constraints.txt" -e "$top$extra" >&2 || return 1
    rm -f "$venv"/installed*
    printf '%s\n' "$wanted" >"$stamp"
    # the tests' set-up holds everything the plain one does
    [ -z "$extra" ] || printf '%s\n' "$wanted" >"$venv/installed"
}
