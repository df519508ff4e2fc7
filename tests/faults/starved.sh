#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# The program ($RESEAT_TEST_PROGRAM) while an allocation fails, now and then all after it too, those
# of the C library among them: it answers as it does with memory, or is exit 4 and says that there
# was none. $STARVE_LIBRARY makes them fail. One in four is tried, and each if RESEAT_TEST_ROUNDS is
# `all`; tests/faults/memory.c tries each within the library.

set -u
unset CDPATH RESEAT_SPINDLE RESEAT_BY
cd "$(dirname "$0")/../.." || exit 1
. tests/faults/program.sh

# Words hold no blanks.
as_of='--as-of 2026-11-02T06:00:00Z'
commands="check mill-1 $as_of --limit 0.02
check mill-1 $as_of --limit 0.02 --json
effects mill-1 $as_of
history mill-1
history mill-1 --format csv
history mill-1 --json
audit --json
drift mill-1 $as_of
overview $as_of
overview $as_of --json
suspect mill-1 $as_of --limit 0.02
report mill-1 $as_of -o -
reduce samples/touches.csv --gauge ring --diameter 50.0021
study samples/reseats.csv --json
find-seat mill-1 $as_of --shift 0.0035,-0.0001 --shift-u 0.0008
correct samples/results.csv --offset 0.012,-0.005 --seat 180 --datum machine
record mill-1 policy --limit 0.007 --dry-run"

# A note that is quoted everywhere, and longer than what is escaped at a time.
begin_all() {
    reseat record mill-1 run --new --probe P1 --seat 0 --offset 0.0042,-0.0011 \
        --dirs 0,90,180 --radii 2.995,2.996,2.994 --at 2026-10-01T06:00:00Z \
        --note "a \"quoted\" <note>, é $(printf '%0600d' 7)" >/dev/null &&
        reseat record mill-1 event --kind other --at 2026-10-02T06:00:00Z >/dev/null &&
        reseat record mill-1 void 2 --why mistyped >/dev/null
}

# What a line that would be written says of the time, and so of its seal, is left out.
answer() {
    sed 's/"recorded_at":"[^"]*"//; s/"seal":"[0-9a-f]*"}$//' "$1"
}

as_ever() {
    [ $code = $usual ] && answer "$work/out" | cmp -s - "$work/usual" &&
        cmp -s "$work/err" "$work/usual-err"
}

# One object on standard output with --json; else a line on standard error, or a row of overview.
said() {
    [ $code = 4 ] && grep -q -e 'out of memory' -e 'Cannot allocate memory' "$work/out" "$work/err" &&
        { [ -z "$json" ] || [ "$(grep -c '' "$work/out")" = 1 ]; }
}

starved() {
    json=
    case " $* " in *' --json '*) json=yes ;; esac
    STARVE_COUNT=$work/count LD_PRELOAD=$work/starve.so "$RESEAT_TEST_PROGRAM" "$@" \
        >"$work/out" 2>"$work/usual-err" </dev/null
    usual=$?
    answer "$work/out" >"$work/usual"
    count=$(cat "$work/count")
    [ "$count" -ge 2 ] && [ -s "$work/usual" ] || { echo "$count allocations, exit $usual"; return 1; }
    number=1 wrong=0
    while [ $number -le "$count" ]; do
        for ever in '' yes; do
            [ -z "$ever" ] || [ $((number % 8)) = 1 ] || continue
            STARVE=$number STARVE_EVER=$ever LD_PRELOAD=$work/starve.so "$RESEAT_TEST_PROGRAM" \
                "$@" >"$work/out" 2>"$work/err" </dev/null
            code=$?
            as_ever || said && continue
            wrong=$((wrong + 1))
            echo "allocation $number of $count${ever:+ and all after it}: exit $code"
            head -n 3 "$work/err"
        done
        number=$((number + step))
    done
    [ $wrong = 0 ]
}

[ "${RESEAT_TEST_ROUNDS-}" = all ] && step=1 || step=4
work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
trap 'exit 1' HUP INT TERM
cp "$STARVE_LIBRARY" "$work/starve.so" || exit 1 # blanks in LD_PRELOAD part names
RESEAT_LOG=$work/logs
mkdir "$RESEAT_LOG" && begin_all || exit 1
STARVE_COUNT=$work/count LD_PRELOAD=$work/starve.so "$RESEAT_TEST_PROGRAM" --version >/dev/null 2>&1
if [ $? != 0 ] || [ "$(cat "$work/count")" = 0 ]; then # refused by a sanitizer, or passed by
    skip 'memory that runs out' 'the program brings its own malloc'
else
    printf '%s\n' "$commands" >"$work/list"
    while read -r line; do
        # shellcheck disable=SC2086 # words
        check "without memory: $line" starved $line
    done <"$work/list"
fi
finish
