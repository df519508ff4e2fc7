#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# Runs samples/overview.sql in a PostgreSQL server of its own, started for this in a new folder
# (no network, not as root), on the logs of samples/shop.sh and what is recorded below them; holds
# the answers against those of the program, $RESEAT_TEST_PROGRAM or build-test/cli/reseat.

set -u
unset CDPATH
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh
program=${RESEAT_TEST_PROGRAM:-$PWD/build-test/cli/reseat}
PATH=$(dirname "$program"):$PATH
as_of=2027-03-01T00:00:00Z
work=$(mktemp -d) || exit 1
RESEAT_LOG=$work/logs PGHOST=$work/socket PGDATA=$work/data PGUSER=tester PGDATABASE=postgres
export PATH RESEAT_LOG PGHOST PGDATA PGUSER PGDATABASE
bin=$(dirname "$(ls /usr/lib/postgresql/*/bin/postgres "$(command -v postgres)" 2>/dev/null |
    tail -n 1)")

# A server refuses to run as root.
as_server() {
    if [ "$(id -u)" = 0 ]; then setpriv --reuid=postgres --regid=postgres --clear-groups "$@"
    else "$@"; fi
}

stop() {
    [ ! -e "$PGDATA/postmaster.pid" ] || as_server "$bin/pg_ctl" -m immediate stop >/dev/null
    rm -rf "$work"
}
trap stop EXIT
trap 'exit 1' HUP INT TERM

start() {
    mkdir "$PGDATA" "$PGHOST" && chmod 755 "$work" || return
    [ "$(id -u)" != 0 ] || chown postgres "$PGDATA" "$PGHOST"
    ( cd "$PGDATA" && as_server "$bin/initdb" -U $PGUSER --auth=trust -E UTF8 --locale=C &&
        as_server "$bin/pg_ctl" -w -l "$PGDATA/server.log" -o "-c listen_addresses='' -c fsync=off \
            -c unix_socket_directories='$PGHOST'" start )
}

# Below the shop's logs: a spindle part, runs at several seats and one whose seat nobody wrote down,
# a second tip, an event of another probe, and a line cut short and sealed off.
record_more() {
    reseat record hmc-2 policy --spindle-part 0.0005,-0.0003 || return
    minute=10 new=--new
    for run in 0,0.0101,0.0060 90,-0.0049,0.0102 180,-0.0095,-0.0071 37.5,0.0044,0.0111 \
        unknown,0.0103,0.0064 270,0.0072,-0.0106 0,0.0106,0.0066 180,-0.0091,-0.0069 \
        12,0.0085,0.0087 45,0.0029,0.0116; do
        minute=$((minute + 1))
        reseat record hmc-2 run --probe P4 --seat "${run%%,*}" --offset "${run#*,}" \
            --at "2026-10-22T10:$minute:00Z" --by tech-2 || return
        reseat record hmc-2 run --probe P4 --tip side $new --seat 0 --offset "${run#*,}" \
            --at "2026-10-22T11:$minute:00Z" --note 'a "quoted" note, \ and ä' || return
        new=
    done
    reseat record hmc-2 event --new --kind collision --probe P9 --at 2026-10-22T10:15:00Z || return
    printf '{"v":1,"seq":99,"ty' >>"$RESEAT_LOG/hmc-2.jsonl"
    reseat record hmc-2 event --kind other && reseat audit
}

ask() {
    awk 1 "$RESEAT_LOG"/*.jsonl | psql -X -v as_of=$as_of -f samples/overview.sql \
        -c "\\copy (select json_agg(chart) from chart) to '$work/chart' csv quote e'\\x01'" \
        -c "\\copy (select json_agg(run) from run) to '$work/run' csv quote e'\\x01'" \
        -c "\\copy (select json_agg(w) from worst_offset w) to '$work/worst' csv quote e'\\x01'" \
        -c "\\copy (select json_agg(p) from past_due p) to '$work/due' csv quote e'\\x01'" \
        -c "\\copy (select json_agg(d) from drift_per_month d) to '$work/month' csv quote e'\\x01'"
}

# Columns of the type that their names tell, and the records of all logs from CSV as it comes.
read_csv() {
    reseat history --format csv >"$work/history.csv" || return
    columns=$(head -n 1 "$work/history.csv" | tr , '\n' | sed -E '
        s/^dirs_deg$|^radii_mm$/& text/
        s/^(recorded_)?at$/& timestamptz/
        s/_(mm|deg|days|c|mm_min|dof)$/& double precision/
        s/^(v|seq|voided_by|voids|run_seq|touches|import_row|[a-z]*_bytes)$/& bigint/
        s/^(chance|confidence)$/& double precision/
        / /!s/$/ text/; s/^[a-z_0-9]*/"&"/' | paste -s -d ,)
    answer=$(psql -X -At -v ON_ERROR_STOP=1 -c "create table history ($columns)" \
        -c "\\copy history from '$work/history.csv' csv header" \
        -c "select count(*), count(distinct spindle), count(*) filter (where spindle is null),
                bool_or(type = 'run' and seat_deg is null) from history" | tail -n 1)
    [ "$answer" = "$(cat "$RESEAT_LOG"/*.jsonl | grep -c '"seal":"[0-9a-f]*"}$')|4|0|t" ] ||
        { echo "read: $answer"; return 1; }
}

compare() {
    python3 tests/database/compare.py "$1" "$work" $as_of
}

mkdir "$RESEAT_LOG"
check 'a server of its own starts' start
[ $tap_failed = 0 ] || { finish; exit; }
check 'the shop is recorded' sh samples/shop.sh "$RESEAT_LOG"
check 'more is recorded' record_more
check 'overview.sql loads the logs and answers' ask
check 'mean and sigma of each baseline are those of reseat drift' compare charts
check 'the worst offsets are the longest on record' compare worst
check 'the runs past due are those that reseat overview finds too old' compare due
check 'each month has its runs and their mean' compare months
check 'it reads the CSV of reseat history for all logs' read_csv
finish
