# What run.sh and test.sh share. Sourced by them from the project's root, never run by itself.

LEAST_PYTHON="3.11"
PDF_PACKAGES="libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0 fonts-dejavu-core"
STARTED_PIDS=()
PYTHON=""
VENV_PYTHON=".venv/bin/python"

say() { printf '%s\n' "$@"; }

# Say what is wrong and what would be right, and end.
stop_with() {
    printf '%s\n' "$*" >&2
    exit 1
}

is_root() { [ "$(id -u)" -eq 0 ]; }

# Milliseconds since the epoch; the decimal mark of EPOCHREALTIME follows the locale.
now_ms() {
    local stamp="${EPOCHREALTIME:-${SECONDS}.000000}"
    stamp="${stamp/[.,]/}"
    printf '%s' "$((stamp / 1000))"
}

# seconds_since MS: how long ago that was, in seconds with one decimal.
seconds_since() {
    local ms=$(($(now_ms) - $1))
    printf '%d.%d s' "$((ms / 1000))" "$((ms % 1000 / 100))"
}

# Run a child so that a signal reaches this script at once; its exit code is given back.
attend() {
    "$@" &
    local pid=$! code=0
    STARTED_PIDS+=("$pid")
    wait "$pid" || code=$?
    forget "$pid"
    return "$code"
}

forget() {
    local kept=() pid
    for pid in "${STARTED_PIDS[@]}"; do [ "$pid" = "$1" ] || kept+=("$pid"); done
    STARTED_PIDS=("${kept[@]}")
}

# End the processes that this script started, each by its id: first asked, then made to. Those started last go first.
end_started() {
    local index pid patience
    for ((index = ${#STARTED_PIDS[@]} - 1; index >= 0; index--)); do
        pid="${STARTED_PIDS[index]}"
        kill -TERM "$pid" 2>/dev/null || continue
        for ((patience = 0; patience < 150; patience++)); do
            kill -0 "$pid" 2>/dev/null || break
            sleep 0.1
        done
        kill -KILL "$pid" 2>/dev/null || true
        wait "$pid" 2>/dev/null || true
    done
    STARTED_PIDS=()
}

# need_room MB: stop where the disk has less than that left.
need_room() {
    local free
    free=$(df -Pk . | awk 'NR == 2 { print int($4 / 1024) }')
    [ "$free" -ge "$1" ] || stop_with "The disk has $free MB left and $1 MB are needed. Make room, then start again."
}

can_apt() { is_root && command -v apt-get >/dev/null; }

APT_UPDATED=""

# bring WHAT-FOR PACKAGE…: install Debian packages when root, otherwise name the exact command and stop.
bring() {
    local what="$1" log
    shift
    if ! can_apt; then
        command -v apt-get >/dev/null ||
            stop_with "$what is missing. On Debian it is in these packages: $*. Install their like here, then start again."
        stop_with "$what is missing. Run this, then start again:
  sudo apt-get update && sudo apt-get install -y --no-install-recommends $*"
    fi
    say "Installing $what: $*"
    log=$(mktemp)
    if [ -z "$APT_UPDATED" ]; then
        attend apt-get -o DPkg::Lock::Timeout=300 update >"$log" 2>&1 || no_packages "$what" "$log" "$*"
        APT_UPDATED=1
    fi
    DEBIAN_FRONTEND=noninteractive attend apt-get -o DPkg::Lock::Timeout=300 install -y --no-install-recommends \
        "$@" >"$log" 2>&1 || no_packages "$what" "$log" "$*"
    rm -f "$log"
}

no_packages() {
    tail -n 5 "$2" >&2
    stop_with "$1 could not be installed ($3). Check the network and the lines above, then start again."
}

is_new_enough() {
    "$1" -c 'import sys; sys.exit(sys.version_info < tuple(map(int, sys.argv[1].split("."))))' "$LEAST_PYTHON" 2>/dev/null
}

# Set PYTHON to the first interpreter that is new enough.
find_python() {
    local name seen=""
    for name in ${SHOP_PYTHON:-} python3 python3.14 python3.13 python3.12 python3.11; do
        command -v "$name" >/dev/null || continue
        if is_new_enough "$name"; then
            PYTHON="$(command -v "$name")"
            return
        fi
        seen="$name is $("$name" -c 'import platform; print(platform.python_version())' 2>/dev/null || echo unusable)"
    done
    [ -z "$seen" ] ||
        stop_with "Python $LEAST_PYTHON or newer is needed; here $seen. Install a newer one (Debian 12: apt-get install python3) or name it: SHOP_PYTHON=/path/to/python3 bash $0"
    # What is missing next on such a machine is asked for at once.
    bring "Python $LEAST_PYTHON or newer" python3 python3-venv $PDF_PACKAGES
    PYTHON="$(command -v python3)"
    is_new_enough "$PYTHON" || stop_with "Python $LEAST_PYTHON or newer is needed; this system's packages have an older one."
}

# Debian and Ubuntu ship python3 without what makes a virtual environment.
need_venv_module() {
    "$PYTHON" -c 'import venv, ensurepip' 2>/dev/null && return
    local version
    version=$("$PYTHON" -c 'import sys; print("%d.%d" % sys.version_info[:2])')
    if [ "$(basename "$PYTHON")" = python3 ]; then version=3; fi
    bring "Python's module venv" "python$version-venv"
    "$PYTHON" -c 'import venv, ensurepip' 2>/dev/null ||
        stop_with "Python's module venv is still missing for $PYTHON. Use the system's python3, or install it for this one."
}

has_libraries() {
    "$PYTHON" - "$@" <<'PY' 2>/dev/null
import ctypes, sys
for name in sys.argv[1:]:
    ctypes.CDLL(name)
PY
}

has_a_font() {
    find /usr/share/fonts /usr/local/share/fonts "$HOME/.fonts" "$HOME/.local/share/fonts" -type f \
        \( -iname '*.ttf' -o -iname '*.otf' -o -iname '*.ttc' -o -iname '*.pfb' \) -print -quit 2>/dev/null | grep -q .
}

# The libraries by which papers are set. Without harfbuzz-subset papers take five times as long, silently; without any
# font of the system the engine ends the process.
need_pdf_libraries() {
    has_libraries libpango-1.0.so.0 libpangoft2-1.0.so.0 libharfbuzz-subset.so.0 && has_a_font ||
        bring "what sets the papers (Pango, one font)" $PDF_PACKAGES
}

fingerprint() { cat "$@" | sha256sum | cut -c 1-64; }

# make_venv LOCK: make .venv and install the lock's exact versions, checked by their hashes; a known lock is left alone.
make_venv() {
    local lock="$1" stamp print log
    stamp=".venv/$(basename "$lock").sha256"
    print=$(fingerprint "$lock")
    if ! "$VENV_PYTHON" -c 'import pip' 2>/dev/null || ! is_new_enough "$VENV_PYTHON"; then
        need_venv_module
        rm -rf .venv
        attend "$PYTHON" -m venv .venv || stop_with "The folder .venv could not be made here. Check that you may write in $PWD."
    fi
    [ "$(cat "$stamp" 2>/dev/null)" != "$print" ] || return 0
    log=$(mktemp)
    say "Installing the libraries of $lock"
    if ! attend "$VENV_PYTHON" -m pip install --disable-pip-version-check --retries 2 --progress-bar off \
        --require-hashes -r "$lock" >"$log" 2>&1; then
        no_libraries "$log"
    fi
    rm -f "$log"
    printf '%s\n' "$print" >"$stamp"
}

no_libraries() {
    tail -n 4 "$1" >&2
    if grep -qiE 'NewConnectionError|Max retries|Temporary failure|Network is unreachable|Connection (refused|reset)|timed out|No matching distribution' "$1"; then
        stop_with "The package index does not answer. Check the network (or set pip's index in its configuration), then start again; what came already is kept. All of pip's words: $1"
    fi
    if grep -qi 'No space left' "$1"; then
        stop_with "The disk is full. Make room (about 500 MB), then start again."
    fi
    stop_with "The libraries could not be installed. All of pip's words: $1"
}

free_port() {
    "$PYTHON" -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])'
}
