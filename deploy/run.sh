#!/usr/bin/env bash
# Start the shop: libraries, key, database, demo, web server and sweeper; walk one demo order; then serve.
set -u
cd "$(dirname "$0")/.."
. deploy/setup.sh

usage() {
    cat <<'TEXT'
bash deploy/run.sh [options]
  --exit          end after the start (and, on demo data, the walk) with the right exit code
  --port N        the port (default 8000)
  --host ADDRESS  the address to listen at (default 127.0.0.1); with the demo loaded only this machine
  --no-demo       load no demo shop: the first start prints a link by which the owner sets a password
  --expose-demo   let a demo shop, whose passwords are printed, be reached from other machines
TEXT
}

EXIT="" PORT=8000 HOST=127.0.0.1 DEMO=1 EXPOSE=""
while [ $# -gt 0 ]; do
    case "$1" in
    --exit) EXIT=1 ;;
    --port) PORT="${2:-}" && shift ;;
    --host) HOST="${2:-}" && shift ;;
    --no-demo) DEMO="" ;;
    --expose-demo) EXPOSE=1 ;;
    --help | -h) usage && exit 0 ;;
    *) usage >&2 && exit 2 ;;
    esac
    shift || break
done
[[ "$PORT" =~ ^[0-9]{1,5}$ ]] && [ "$PORT" -ge 1 ] && [ "$PORT" -le 65535 ] ||
    stop_with "--port needs a number from 1 to 65535."
[[ "$HOST" =~ ^[0-9A-Za-z.:-]+$ ]] || stop_with "--host needs an address of this machine, such as 127.0.0.1 or 0.0.0.0."

tidy() {
    local code=$?
    trap - EXIT
    trap '' INT TERM
    end_started
    exit "$code"
}
trap tidy EXIT
trap 'say "" "Stopped."; exit 130' INT
trap 'exit 143' TERM

# phase WORDS COMMAND…: do it and print how long it took; a failure ends the start.
phase() {
    local words="$1" began
    shift
    began=$(now_ms)
    "$@" || stop_with "The start ended at: $words. The lines above say why."
    printf '  %-44s %9s\n' "$words" "$(seconds_since "$began")"
}

manage() { "$VENV_PYTHON" manage.py "$@"; }

is_loopback() {
    case "$1" in 127.* | localhost | ::1) return 0 ;; *) return 1 ;; esac
}

# ── the ground ───────────────────────────────────────────────────────────────────────────────────────────────────
check_port() {
    "$PYTHON" - "$HOST" "$PORT" <<'PY'
import errno, socket, sys
host, port = sys.argv[1], int(sys.argv[2])
try:
    family, kind, proto, _, where = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
    with socket.socket(family, kind, proto) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        probe.bind(where)
        probe.listen(1)
except OSError as problem:
    if problem.errno == errno.EADDRINUSE:
        sys.exit(f"Port {port} is in use. End what uses it, or take another: --port {port + 1 if port < 65535 else 8000}")
    if problem.errno == errno.EACCES:
        sys.exit(f"Port {port} may only be used by root. Take one above 1023: --port 8000")
    sys.exit(f"{host} is no address of this machine. Take --host 127.0.0.1, or 0.0.0.0 for all of its addresses.")
PY
}

lay_ground() {
    find_python
    check_port || exit 1
    if [ -d .venv ]; then need_room 100; else need_room 500; fi
    need_pdf_libraries
    make_venv deploy/requirements.lock
}

make_key() {
    mkdir -p -m 700 "$SHOP_DATA" "$SHOP_DATA/logs" || return 1
    [ -n "${SHOP_SECRET_KEY:-}" ] || [ -s "$SHOP_DATA/secret_key" ] ||
        (umask 077 && "$VENV_PYTHON" -c 'import secrets; print(secrets.token_urlsafe(48))' >"$SHOP_DATA/secret_key")
}

# Everything of the database in one process: starting Python once more costs more than the work.
database() {
    local answer="$SHOP_DATA/state.txt"
    attend manage lay_database >"$answer" || return 1
    STATE=$(tail -n 1 "$answer")
    rm -f "$answer"
}

static_print() {
    { find static -type f -print0 | LC_ALL=C sort -z | xargs -0 sha256sum && cat deploy/requirements.lock; } |
        sha256sum | cut -c 1-64
}

collect_static() {
    local print
    print=$(static_print)
    [ "$(cat "$SHOP_DATA/static.sha256" 2>/dev/null)" != "$print" ] || return 0
    attend manage collectstatic --noinput --clear -v 0 && printf '%s\n' "$print" >"$SHOP_DATA/static.sha256"
}

# ── serving ──────────────────────────────────────────────────────────────────────────────────────────────────────
address() {
    local host="$HOST"
    case "$host" in 0.0.0.0) host=127.0.0.1 ;; ::) host=::1 ;; esac
    case "$host" in *:*) host="[$host]" ;; esac
    printf 'http://%s:%s' "$host" "$PORT"
}

# Where other machines may come, their way of naming this one must be known.
name_hosts() {
    export SHOP_PUBLIC_ADDRESS="${SHOP_PUBLIC_ADDRESS:-$(address)}"
    [ -z "${SHOP_ALLOWED_HOSTS:-}" ] || return 0
    local names="localhost,127.0.0.1,[::1]" name
    if ! is_loopback "$HOST"; then
        for name in "$(hostname 2>/dev/null)" $(hostname -I 2>/dev/null) "$HOST"; do
            case "$name" in "" | 0.0.0.0 | ::) ;; *:*) names="$names,[$name]" ;; *) names="$names,$name" ;; esac
        done
    fi
    export SHOP_ALLOWED_HOSTS="$names"
}

start_servers() {
    local bind="$HOST:$PORT"
    case "$HOST" in *:*) bind="[$HOST]:$PORT" ;; esac
    "$VENV_PYTHON" -m gunicorn shopapp.wsgi:application --bind "$bind" --workers 2 --worker-class sync --preload \
        --timeout 60 --graceful-timeout 10 --no-control-socket --log-level warning \
        >>"$SHOP_DATA/logs/web.log" 2>&1 &
    WEB=$!
    STARTED_PIDS+=("$WEB")
    attend wait_ready || return 1
    # With a broker the sweeping is Celery's (deploy/systemd); without one it is done here.
    if [ -z "${REDIS_URL:-}" ]; then
        "$VENV_PYTHON" manage.py sweep --forever >>"$SHOP_DATA/logs/sweeper.log" 2>&1 &
        STARTED_PIDS+=($!)
    fi
}

wait_ready() {
    "$VENV_PYTHON" - "$(address)/readyz" "$WEB" <<'PY'
import os, sys, time, urllib.error, urllib.request
until = time.monotonic() + 30
why = "it does not answer"
opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
while time.monotonic() < until:
    try:
        with opener.open(sys.argv[1], timeout=5) as answer:
            if answer.status == 200:
                sys.exit(0)
    except urllib.error.HTTPError as answer:
        why = answer.read(500).decode("utf-8", "replace")
    except OSError:
        pass
    try:
        os.kill(int(sys.argv[2]), 0)
    except ProcessLookupError:
        why = "it ended"
        break
    time.sleep(0.1)
sys.exit(f"The web server is not ready: {why}. Its own words: logs/web.log in the data folder.")
PY
}

# ── whose shop this is ───────────────────────────────────────────────────────────────────────────────────────────
load_demo() {
    attend manage load_demo || return 1
    STATE=demo
}

refuse_exposed_demo() {
    [ "$STATE" != demo ] || is_loopback "$HOST" || [ -n "$EXPOSE" ] ||
        stop_with "The demo's passwords are printed for everybody, so it is served to this machine alone. Leave --host out, or add --expose-demo if everybody in this network may enter it."
}

walk() {
    say "" "One order from the counter to the hand-over, over HTTP:"
    attend manage walk_demo --address "$(address)"
}

tell_log_ins() {
    say "" "The shop is at $(address)"
    if [ "$STATE" = demo ]; then
        say "Log-ins of the demo (never use them for a real shop):"
        manage demo_log_ins
    fi
    return 0
}

serve() {
    say "" "Ctrl-C ends it."
    wait -n
    say "The $(kill -0 "$WEB" 2>/dev/null && echo sweeper || echo 'web server') has ended by itself; see $SHOP_DATA/logs. Everything is stopped."
    exit 1
}

main() {
    local began code=0
    began=$(now_ms)
    export SHOP_DATA="${SHOP_DATA:-$PWD/.shop}"
    unset SHOP_TESTING
    say "Starting"
    phase "ground: Python, libraries" lay_ground
    phase "data folder and key" make_key
    name_hosts
    phase "database" database
    phase "static files" collect_static
    if [ -n "$DEMO" ] && [ "$STATE" = empty ]; then
        is_loopback "$HOST" || [ -n "$EXPOSE" ] || STATE=demo refuse_exposed_demo
        phase "demo shop" load_demo
    fi
    refuse_exposed_demo
    phase "web server and sweeper" start_servers
    say "Ready after $(seconds_since "$began")"
    if [ "$STATE" = demo ]; then
        walk || code=1
        [ $code -eq 0 ] || say "The walk did not come to its end. The lines above say where."
    fi
    tell_log_ins
    if [ "$STATE" != demo ]; then manage owner_link --address "$(address)" || code=1; fi
    [ -z "$EXIT" ] || exit $code
    serve
}

main
