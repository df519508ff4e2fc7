#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# Every command of the program ($RESEAT_TEST_PROGRAM) with standard streams that are full or closed:
# what cannot be said is exit 4 and one line on standard error, what was written stays, and nothing
# meant for a stream ends in a file.

set -u
unset CDPATH RESEAT_SPINDLE RESEAT_BY
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh
LC_ALL=C
ASAN_OPTIONS=exitcode=99
RESEAT_TEST_PROGRAM=${RESEAT_TEST_PROGRAM:-$PWD/build/cli/reseat}
export LC_ALL ASAN_OPTIONS
umask 022
lost='reseat: standard output: could not be written in full'
as_of='--as-of 2026-11-02T06:00:00Z'

# Words hold no blanks, and each line must print something.
reading="check mill-1 $as_of
check mill-1 $as_of --budget
check --offset 0.012,-0.005 --seat keys:2 --limit 0.01
allowed mill-1 $as_of
effects mill-1 $as_of
effects --offset 0.012,-0.005 --seat 180 --feature bore:10
history mill-1
history mill-1 --format csv
gauge $as_of
audit mill-1
drift hmc-1 $as_of
overview $as_of
suspect mill-2 $as_of
report mill-1 $as_of -o -
reduce samples/touches.csv --gauge ring --diameter 50.0021
study samples/reseats.csv
find-seat mill-2 $as_of --shift 0.0235,-0.0101 --shift-u 0.0008
find-seat --offset 0.012,-0.005 --shift 0.0235,-0.0101 --shift-u 0.0008
correct samples/results.csv --offset 0.012,-0.005 --seat 180 --datum machine
record mill-1 event --kind other --dry-run --at 2026-11-02T06:00:00Z
--version
--help"

# $before is the number of the record that is to be written; seven records are voided one by one.
# Times grow with it, as a run of the same time would be refused as the same one.
recording='record mill-1 run --probe P1 --seat 0 --offset 0.0021,-0.0011 --at 2026-11-02T07:$((10+before/50)):$((10+before%50))Z
record mill-1 reseat --probe P1 --seat 180 --at 2026-11-02T07:$((10+before/50)):$((10+before%50))Z
record mill-1 event --kind other
record mill-1 verify --probe P1 --shift 0.0011,-0.0002 --shift-u 0.0008 --at 2026-11-02T07:$((10+before/50)):$((10+before%50))Z
record mill-1 policy --limit 0.007
record mill-1 void $((before-9)) --why mistyped
reduce samples/touches.csv --gauge ring --diameter 50.0021 --probe P1 --seat 0 --record mill-1 --at 2026-11-02T07:$((10+before/50)):$((10+before%50))Z
study samples/reseats.csv --record mill-1
find-seat mill-1 --shift 0.0001,-0.0001 --shift-u 0.0004 --record'

refused='nonsense
check --offset 1 --limit 0.01
history no-such-spindle
reduce no-such-file.csv --gauge ring --diameter 50
record mill-1 run --probe P1 --seat 0 --offset 3,14,15'

reseat() {
    "$RESEAT_TEST_PROGRAM" "$@"
}

# Left in files: what it answers where all is well, and its exit code in $usual.
as_usual() {
    reseat "$@" >"$work/usual" 2>"$work/usual-err" </dev/null
    usual=$?
}

lines() {
    grep -c '' "$RESEAT_LOG/mill-1.jsonl"
}

# gone STDERR...: exit 4, and these lines alone on standard error.
gone() {
    printf '%s\n' "$@" | cmp -s - "$work/err" && [ $code = 4 ] && return
    echo "exit $code, and on standard error:"
    cat "$work/err"
    return 1
}

# What is said on a standard output that is full, and on one that is closed.
unread() {
    reseat "$@" >/dev/full 2>"$work/err" </dev/null
    code=$?
    gone "$lost" || return
    reseat "$@" >&- 2>"$work/err" </dev/null
    code=$?
    gone "$lost"
}

# The answer does not depend on standard error or input; with nothing open there is the exit code.
heard() {
    as_usual "$@"
    for way in '2>/dev/full' '2>&-' '<&-' '<&- 2>&-'; do
        # Words are taken apart here as above.
        eval "reseat $* $way" >"$work/out"
        code=$?
        [ $code = $usual ] && cmp -s "$work/usual" "$work/out" && continue
        echo "with $way: exit $code where $usual was expected"
        return 1
    done
    reseat "$@" <&- >&- 2>&-
    [ $? = 4 ]
}

# each LIST TEST [OPTION]: one result a line of the list.
each() {
    list=$1 test=$2 more=${3-}
    printf '%s\n' "$list" >"$work/list"
    while read -r line; do
        # shellcheck disable=SC2086 # words, see above
        check "$test: $line${more:+ $more}" $test $line $more
    done <"$work/list"
}

# each of what only reads; the logs are as before.
each_reading() {
    before=$(cat "$RESEAT_LOG"/*.jsonl | cksum)
    each "$@"
    check "$2: the logs are as they were" test "$(cat "$RESEAT_LOG"/*.jsonl | cksum)" = "$before"
}

help_of_each() {
    reseat --help | sed -n '/^Commands/,/^$/s/^  \([a-z-]*\) .*/\1/p' >"$work/commands"
    [ "$(grep -c '' "$work/commands")" -ge 14 ] || { echo 'commands are missing'; return 1; }
    while read -r command; do
        unread "$command" --help || return
    done <"$work/commands"
}

# Every command of the help stands in the lists above.
none_forgotten() {
    while read -r command; do
        printf '%s\n' "$reading" | grep -q "^$command " || { echo "$command"; return 1; }
    done <"$work/commands"
}

# More lines in a log that is whole: one, or two where a gauge check found the seat.
recorded() {
    grown=$(($(lines) - $1))
    [ $grown = 1 ] || { [ $grown = 2 ] && [ "$2" = find-seat ]; } &&
        reseat audit mill-1 >/dev/null && return
    echo "$grown lines more"
    return 1
}

# Each record is said to be written, and that the answer was lost; remarks may stand before that.
told() {
    number=$1
    while [ $number -lt "$(lines)" ]; do
        echo "reseat: recorded as $number all the same"
        number=$((number + 1))
    done >"$work/told"
    echo "$lost" >>"$work/told"
    tail -n "$(grep -c '' "$work/told")" "$work/err" | cmp -s - "$work/told" &&
        [ "$(grep -c 'all the same' "$work/err")" = $((number - $1)) ]
}

record_unread() {
    for way in '>/dev/full' '>&-'; do
        before=$(lines)
        eval "reseat $* $way" 2>"$work/err" </dev/null
        code=$?
        recorded "$before" "$1" && [ $code = 4 ] && told "$before" && continue
        echo "with $way: exit $code, and on standard error:"
        cat "$work/err"
        return 1
    done
}

# Whatever is closed, the record is written, and 4 says at most that its answer was lost.
record_unheard() {
    for way in '2>/dev/full' '2>&-' '<&-' '<&- 2>&-' '<&- >&- 2>&-'; do
        before=$(lines)
        expected=0
        case $way in *' >&-'*) expected=4 ;; esac
        eval "reseat $* $way" >"$work/out"
        code=$?
        recorded "$before" "$1" && [ $code = $expected ] && continue
        echo "with $way: exit $code"
        return 1
    done
}

unread_answer() {
    as_usual "$@"
    [ $usual -le 1 ] && [ -s "$work/usual" ] || { echo "exit $usual"; return 1; }
    unread "$@"
}

unread_refusal() {
    as_usual "$@"
    [ $usual -ge 2 ] && [ -s "$work/usual" ] || { echo "exit $usual"; return 1; }
    unread "$@"
}

refused_unheard() {
    as_usual "$@"
    [ $usual -ge 2 ] || { echo "exit $usual"; return 1; }
    for way in '>/dev/full' '>&-' '2>/dev/full' '2>&-' '<&- >&- 2>&-'; do
        eval "reseat $* $way" >>"$work/out" 2>>"$work/out" </dev/null
        code=$?
        [ $code = $usual ] || { echo "with $way: exit $code where $usual was expected"; return 1; }
    done
}

# A page is whole, or not there.
page_unheard() {
    reseat report mill-1 -o "$work/page" >/dev/null 2>&1 || return
    for way in '>/dev/full' '>&-' '2>/dev/full' '2>&-' '<&- >&- 2>&-'; do
        rm -f "$work/again"
        eval 'reseat report mill-1 -o "$work/again"' "$way" >>"$work/out" 2>>"$work/out"
        code=$?
        [ $code = 0 ] && [ "$(wc -c <"$work/page")" = "$(wc -c <"$work/again")" ] && continue
        echo "with $way: exit $code"
        return 1
    done
    reseat report mill-1 --force --json -o "$work/again" >/dev/full 2>"$work/err"
    code=$?
    gone "$lost" && tail -n 1 "$work/again" | grep -q '</html>'
}

# Standard input that is closed cannot be read; one that is empty is bad input.
no_input() {
    for command in 'reduce - --gauge ring --diameter 50.0021' 'study -' \
        'correct mill-1 - --datum machine --seat 180'; do
        # shellcheck disable=SC2086 # words
        reseat $command <&- >"$work/out" 2>"$work/err"
        code=$?
        [ $code = 4 ] && [ "$(grep -c '^reseat: -: ' "$work/err")" = 1 ] && continue
        echo "$command: exit $code, and on standard error:"
        cat "$work/err"
        return 1
    done
}

# A log that came to be standard output or error would take what is meant for them.
kept_apart() {
    for command in 'record mill-1 event --kind other' 'check mill-1' 'audit mill-1' overview; do
        # shellcheck disable=SC2086 # words
        strace -f -o "$work/trace" -e trace=open,openat "$RESEAT_TEST_PROGRAM" $command \
            <&- >&- 2>&-
        grep -q '\.jsonl".* = [0-9]' "$work/trace" || { echo "$command opens no log"; return 1; }
        ! grep '\.jsonl".* = [012]$' "$work/trace" || return
    done
}

work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
trap 'exit 1' HUP INT TERM
mkdir "$work/logs" "$work/bin" && ln -s "$RESEAT_TEST_PROGRAM" "$work/bin/reseat" || exit 1
RESEAT_LOG=$work/logs
export RESEAT_LOG
if [ ! -e /dev/full ]; then
    skip 'standard streams' 'there is no /dev/full'
    finish
    exit
fi
check 'logs to read are written' env PATH="$work/bin:$PATH" sh samples/shop.sh "$RESEAT_LOG"
check 'a register of gauges is written' "$RESEAT_TEST_PROGRAM" gauge R1 --new --gauge ring \
    --diameter 50.0021 --calibrated 2026-01-10

check 'help that nobody reads is exit 4' help_of_each
check 'no command is left out' none_forgotten
each_reading "$reading" unread_answer
each_reading "$(printf '%s\n' "$reading" | grep -v -e --help -e '-o -' -e --format)" \
    unread_answer --json
# A line that would be written tells the time.
each_reading "$(printf '%s\n' "$reading" | grep -v -e --dry-run)" heard
each "$recording" record_unread
each "$recording" record_unread --json
each "$recording" record_unheard
each_reading "$refused" refused_unheard
each_reading "$refused" unread_refusal --json
if strace -o /dev/null true 2>/dev/null; then
    check 'no log is opened as a standard stream' kept_apart
else
    skip 'logs apart from standard streams' 'strace cannot be used here'
fi
check 'a page is written whatever is closed' page_unheard
check 'standard input that is closed is exit 4' no_input
finish
