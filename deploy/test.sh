#!/usr/bin/env bash
# Check everything: style and types, the suite on SQLite and on PostgreSQL, background work with Redis, the browser
# journeys. PostgreSQL and Redis are started throw-away, on free ports, in temporary folders. The last line is one sum.
set -u
cd "$(dirname "$0")/.."
. deploy/setup.sh

usage() {
    cat <<'TEXT'
bash deploy/test.sh [options] [-- words for pytest]
  --all            full counts of the fault, race, axe and benchmark work (default: the quick tier)
  --without PART   leave a part out: checks, sqlite, postgres, redis, browser (may be given more than once)
  --seed N         the seed of everything random (default: drawn and printed)
TEXT
}

ALL="" WITHOUT=" " SEED=""
while [ $# -gt 0 ]; do
    case "$1" in
    --all) ALL=1 ;;
    --without)
        case "${2:-}" in
        checks | sqlite | postgres | redis | browser) WITHOUT="$WITHOUT$2 " ;;
        *) stop_with "--without needs one of: checks sqlite postgres redis browser" ;;
        esac
        shift
        ;;
    --seed)
        [[ "${2:-}" =~ ^[0-9]{1,9}$ ]] || stop_with "--seed needs a whole number."
        SEED="$2"
        shift
        ;;
    --help | -h) usage && exit 0 ;;
    --) shift && break ;;
    *) usage >&2 && exit 2 ;;
    esac
    shift
done
PYTEST_WORDS=("$@")
SEED="${SEED:-$((RANDOM * 32768 + RANDOM))}"
FAILED=() TIMES=()
WORK=""

tidy() {
    local code=$?
    trap - EXIT INT TERM
    [ -z "${POSTGRES_DATA:-}" ] || stop_postgres
    end_started
    rm -rf ${WORK:+"$WORK"} ${POSTGRES_HOME:+"$POSTGRES_HOME"}
    exit "$code"
}
trap tidy EXIT
trap 'exit 130' INT
trap 'exit 143' TERM

has_part() { [[ "$WITHOUT" != *" $1 "* ]]; }

# stage NAME COMMAND…: run it, print how long it took, note where it failed.
stage() {
    local name="$1" began code=0
    shift
    say "── $name"
    began=$(now_ms)
    "$@" || code=$?
    TIMES+=("$(printf '%-22s %10s  %s' "$name" "$(seconds_since "$began")" "$([ $code -eq 0 ] && echo passed || echo FAILED)")")
    say "── $name: $(seconds_since "$began")"
    [ $code -eq 0 ] || FAILED+=("$name")
    return 0
}

# ── what it needs ────────────────────────────────────────────────────────────────────────────────────────────────
postgres_bin() {
    local found
    found=$(ls -d /usr/lib/postgresql/*/bin 2>/dev/null | sort -V | tail -n 1)
    [ -x "$found/initdb" ] || found=$(dirname "$(command -v initdb 2>/dev/null || echo ./none)")
    [ -x "$found/initdb" ] && printf '%s' "$found"
}

find_chromium() { command -v chromium || command -v chromium-browser || command -v google-chrome; }

bring_all() {
    local packages=()
    need_room 1500
    find_python
    need_venv_module
    need_pdf_libraries
    if has_part postgres && [ -z "$(postgres_bin)" ]; then packages+=(postgresql); fi
    if has_part redis && ! command -v redis-server >/dev/null; then packages+=(redis-server); fi
    if has_part browser && ! find_chromium >/dev/null; then packages+=(chromium); fi
    command -v pdftotext >/dev/null || packages+=(poppler-utils)
    [ ${#packages[@]} -eq 0 ] || bring "what the tests need" "${packages[@]}"
    make_venv deploy/requirements-test.lock
}

# ── throw-away services ──────────────────────────────────────────────────────────────────────────────────────────
as_postgres() {
    if is_root; then (cd "$POSTGRES_HOME" && runuser -u postgres -- "$@"); else "$@"; fi
}

start_postgres() {
    POSTGRES_BIN=$(postgres_bin)
    POSTGRES_HOME=$(mktemp -d /tmp/shop-postgres.XXXXXX)
    if is_root; then chown postgres "$POSTGRES_HOME"; fi
    POSTGRES_PORT=$(free_port)
    as_postgres "$POSTGRES_BIN/initdb" -D "$POSTGRES_HOME/data" -U shop --auth=trust -E UTF8 --locale=C.UTF-8 -N \
        >"$WORK/initdb.log" 2>&1 || { cat "$WORK/initdb.log" && return 1; }
    POSTGRES_DATA="$POSTGRES_HOME/data"
    # Durability is not what these runs try; without it they are half as long. A vacuum beside a test counts no row that
    # its transaction has not committed: the planner would then take full tables for empty ones.
    as_postgres "$POSTGRES_BIN/pg_ctl" -D "$POSTGRES_DATA" -w -t 60 -l "$POSTGRES_HOME/log" -o "-p $POSTGRES_PORT \
        -c listen_addresses=127.0.0.1 -c unix_socket_directories= -c fsync=off -c synchronous_commit=off \
        -c full_page_writes=off -c autovacuum=off -c max_connections=120" start >"$WORK/pg_ctl.log" 2>&1 ||
        { cat "$WORK/pg_ctl.log" "$POSTGRES_HOME/log" && return 1; }
}

stop_postgres() {
    as_postgres "$POSTGRES_BIN/pg_ctl" -D "$POSTGRES_DATA" -w -t 30 -m immediate stop >/dev/null 2>&1
    rm -rf "$POSTGRES_HOME"
    POSTGRES_DATA="" POSTGRES_HOME=""
}

start_redis() {
    local tries
    REDIS_PORT=$(free_port)
    redis-server --port "$REDIS_PORT" --bind 127.0.0.1 --save '' --appendonly no --dir "$WORK" \
        >"$WORK/redis.log" 2>&1 &
    STARTED_PIDS+=($!)
    for ((tries = 0; tries < 100; tries++)); do
        [ "$(redis-cli -p "$REDIS_PORT" ping 2>/dev/null)" != PONG ] || return 0
        sleep 0.1
    done
    cat "$WORK/redis.log"
    return 1
}

# ── checks ───────────────────────────────────────────────────────────────────────────────────────────────────────
all_templates() {
    find templates shopapp -name '*.html' -print0
}

# With the settings of a shop behind https; no warning is let pass.
manage_as_shop() {
    env -u SHOP_TESTING -u SHOP_DEBUG -u DATABASE_URL -u REDIS_URL SHOP_DATA="$WORK/as-shop" \
        SHOP_PUBLIC_ADDRESS=https://shop.example.com SHOP_ALLOWED_HOSTS=shop.example.com \
        "$VENV_PYTHON" manage.py "$@"
}

make_shop_folder() {
    mkdir -p -m 700 "$WORK/as-shop"
    "$VENV_PYTHON" -c 'import secrets; print(secrets.token_urlsafe(48))' >"$WORK/as-shop/secret_key"
}

run_checks() {
    local bin=.venv/bin
    make_shop_folder
    stage ruff "$bin/ruff" check .
    stage ruff-format "$bin/ruff" format --check .
    stage mypy "$bin/mypy" shopapp
    stage djade check_templates
    stage import-linter "$bin/lint-imports"
    stage migrations manage_as_shop makemigrations --check --dry-run
    stage deploy-check manage_as_shop check --deploy --fail-level WARNING
    stage database-check check_database
}

check_templates() { all_templates | xargs -0 .venv/bin/djade --check --target-version 5.2; }

check_database() {
    manage_as_shop migrate --noinput -v 0 && manage_as_shop check --database default --fail-level WARNING
}

# ── suites ───────────────────────────────────────────────────────────────────────────────────────────────────────
# suite NAME MARKERS WORKERS FOLDERS…: one run of pytest; a run without a test has failed. Only the folders that hold
# such tests are read (tests/house holds that no other does), but where the caller's own words say which.
suite() {
    local name="$1" markers="$2" workers="$3" how=(-s) code=0 silent=300
    shift 3
    [ -z "$ALL" ] || silent=1200 # all pages in all looks are one test of some minutes
    [ "$name" = benchmarks ] || how=()
    [ "$workers" -lt 2 ] || how=(-n "$workers" --dist worksteal)
    [ ${#PYTEST_WORDS[@]} -eq 0 ] || set --
    attend timeout -k 30 "${SHOP_TEST_MINUTES:-40}m" "$VENV_PYTHON" -m pytest -q -m "$markers" "${how[@]}" \
        --junit-xml="$WORK/reports/$name.xml" --hypothesis-seed="$SEED" -o faulthandler_timeout="$silent" \
        "$@" "${PYTEST_WORDS[@]}" || code=$?
    [ $code -ne 5 ] || say "No test was found: this counts as failed."
    [ $code -ne 124 ] || say "The run was broken off after ${SHOP_TEST_MINUTES:-40} minutes."
    return "$code"
}

# In the quick tier the two databases share the tests that have nothing of their own on either; --all runs all on both.
shared_by_both() { [ -z "$ALL" ] && has_part sqlite && has_part postgres; }

quick_markers() { [ -n "$ALL" ] && printf '%s' "$1" || printf '%s' "$1 and not full"; }

on_sqlite() {
    SHOP_TEST_SHARE="$(! shared_by_both || echo sqlite)" SHOP_TEST_SQLITE="$WORK/test.sqlite3" suite sqlite "$(quick_markers "not journey and not redis and not bench")" 2
}

on_postgres() {
    start_postgres || return 1
    SHOP_TEST_SHARE="$(! shared_by_both || echo postgres)" \
        DATABASE_URL="postgresql://shop@127.0.0.1:$POSTGRES_PORT/postgres" \
        suite postgres "$(quick_markers "not journey and not redis and not bench")" 2
    local code=$?
    stop_postgres
    return $code
}

with_redis() {
    start_redis || return 1
    SHOP_TEST_SQLITE="$WORK/redis.sqlite3" REDIS_URL="redis://127.0.0.1:$REDIS_PORT/0" \
        suite redis "$(quick_markers redis)" 1 tests/shop/test_with_redis.py
}

in_the_browser() {
    SHOP_TEST_SHARE="$([ -n "$ALL" ] || echo browser)" \
        SHOP_TEST_SQLITE="$WORK/journey.sqlite3" SHOP_TEST_CHROMIUM="$(find_chromium)" \
        suite browser "$(quick_markers journey)" 2 tests/bench_client tests/journeys
}

benchmarks() { SHOP_TEST_SQLITE="$WORK/bench.sqlite3" suite benchmarks bench 1 tests/benchmarks; }

# Where the databases of this run stand: in memory where there is room. A process may be killed here, no machine.
quick_folder() {
    local free
    free=$(df -Pk /dev/shm 2>/dev/null | awk 'NR == 2 { print $4 }')
    if [ "${free:-0}" -gt 1500000 ] && [ -w /dev/shm ]; then echo /dev/shm; else echo /tmp; fi
}

main() {
    local began
    began=$(now_ms)
    WORK=$(mktemp -d "$(quick_folder)/shop-test.XXXXXX")
    mkdir "$WORK/reports" "$WORK/tmp"
    export TMPDIR="$WORK/tmp"
    stage set-up bring_all
    [ ${#FAILED[@]} -eq 0 ] || return 1
    # Nothing of the caller's own shop may be read or written by a test.
    unset DATABASE_URL REDIS_URL SHOP_SECRET_KEY SHOP_DEBUG SHOP_DEMO
    # Compiled once and kept: where a machine forbids it, every one of the many processes compiles all anew.
    unset PYTHONDONTWRITEBYTECODE
    export SHOP_DATA="$WORK/data" SHOP_TESTING=1 SHOP_TEST_SEED="$SEED" SHOP_TEST_ALL="$ALL"
    say "seed $SEED, $([ -n "$ALL" ] && echo 'full counts' || echo 'quick tier')"
    if has_part checks; then run_checks; fi
    if has_part sqlite; then stage sqlite on_sqlite; fi
    if has_part postgres; then stage postgres on_postgres; fi
    if has_part redis; then stage redis with_redis; fi
    if has_part browser; then stage browser in_the_browser; fi
    if [ -n "$ALL" ]; then stage benchmarks benchmarks; fi
    say "" "── seconds per stage (seed $SEED)"
    printf '%s\n' "${TIMES[@]}"
    say "all together: $(seconds_since "$began")"
    [ "$WITHOUT" = " " ] || say "left out:$WITHOUT"
    [ ${#FAILED[@]} -eq 0 ] || say "failed: ${FAILED[*]}"
    "$VENV_PYTHON" deploy/count_tests.py "$WORK/reports" "${FAILED[@]}"
    [ ${#FAILED[@]} -eq 0 ]
}

main
