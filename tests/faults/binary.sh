#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# The program itself ($RESEAT_TEST_PROGRAM) on disks that fail, fill up or may not be written, with
# other users, other writers and readers. What this machine cannot stage is skipped. Calls itself
# as `binary.sh in-mount PART` for what needs mounts of its own.

set -u
unset CDPATH RESEAT_SPINDLE RESEAT_BY
cd "$(dirname "$0")/../.." || exit 1
. tests/faults/program.sh

reseat_once() {
    reseat record mill-1 reseat --probe P1 --seat 0 --why battery
}

count_lines() {
    grep -c '' "$RESEAT_LOG/mill-1.jsonl"
}

last_seq() {
    tail -n 1 "$RESEAT_LOG/mill-1.jsonl" | sed 's/.*"seq":\([0-9]*\).*/\1/'
}

# Each answer `recorded as N (SEAL…)` in a file has its line in the log, which is whole.
all_there() {
    reseat audit mill-1 || return
    sed -n 's/^recorded as \([0-9]*\) (\([0-9a-f]*\)).*/"seq":\1,.*"seal":"\2/p' "$1" >"$work/marks"
    [ -s "$work/marks" ] || { echo 'nothing was acknowledged'; return 1; }
    while read -r mark; do
        grep -q "$mark" "$RESEAT_LOG/mill-1.jsonl" || { echo "lost: $mark"; return 1; }
    done <"$work/marks"
}

# failing CALL ERROR WHEN: one record while that call on the log fails. It was recorded, or it says
# that it was not, or that this is uncertain; in the log is what it said.
failing() {
    before=$(count_lines)
    strace -f -o "$work/trace" -P "$RESEAT_LOG/mill-1.jsonl" -e trace="$1" \
        -e inject="$1:error=$2:when=$3" "$RESEAT_TEST_PROGRAM" record mill-1 reseat --probe P1 \
        --seat 0 --why battery >"$work/out" 2>"$work/err"
    code=$?
    grown=$(($(count_lines) - before))
    said=$(cat "$work/err")
    case $code,$grown,$said in
    0,1,) ;;
    4,0,*'nothing was recorded'*) ;;
    4,1,*'did not confirm it'*) [ "$1" = fsync ] ;;
    *) false ;;
    esac && [ "$(printf '%s' "$said" | grep -c '')" -le 1 ] && reseat audit mill-1 >/dev/null ||
        { echo "$1 with $2, time $3: exit $code, $grown lines more, said: $said"; return 1; }
}

calls_fail() {
    for injected in "$@"; do
        call=${injected%%:*} error=${injected#*:} number=0
        while number=$((number + 1)); do
            failing "$call" "$error" $number || return
            grep -q INJECTED "$work/trace" || break
        done
        [ $number -gt 1 ] || { echo "$call was never called"; return 1; }
    done
}

# The folder of a new log is not confirmed either.
folder_unconfirmed() {
    ends_with 4 'did not confirm it' strace -o /dev/null -e trace=fsync \
        -e inject=fsync:error=EIO:when=2 "$RESEAT_TEST_PROGRAM" record mill-9 run --new --probe P1 \
        --seat 0 --offset 0,0
}

test_calls() {
    if ! can_strace; then
        skip 'calls that fail' 'strace cannot be used here'
        return
    fi
    check 'a write that fails leaves nothing' calls_fail write:ENOSPC write:EIO write:EDQUOT \
        write:EFBIG
    check 'a sync that fails is said, and not tried again' calls_fail fsync:EIO fsync:ENOSPC
    check 'the folder of a new log is synced too' folder_unconfirmed
    check 'what cannot be opened, locked or read stays as it was' calls_fail openat:EIO \
        openat:EMFILE openat:ENOMEM flock:ENOLCK pread64:EIO
    check 'signals change nothing' calls_fail openat:EINTR flock:EINTR pread64:EINTR write:EINTR
}

# Records until the file may not grow any more.
record_to_limit() {
    # shellcheck disable=SC3045 # ulimit -f is in every sh of today
    ( ulimit -f $(($(wc -c <"$RESEAT_LOG/mill-1.jsonl") / 512 + 3))
        while reseat_once; do :; done ) >"$work/acks" 2>"$work/err"
    cat "$work/err"
    [ "$(grep -c '' "$work/err")" = 1 ]
}

size_limit() {
    record_to_limit &&
        grep -q '^reseat: nothing was recorded .* then record it again$' "$work/err" &&
        all_there "$work/acks" && reseat_once
}

# Bytes that cannot be taken back stay, and are sealed off by the next record.
append_only() {
    record_to_limit &&
        grep -q 'the piece that is left will be sealed off by the next record$' "$work/err" &&
        { reseat audit mill-1; [ $? = 3 ]; } && reseat_once && all_there "$work/acks" &&
        grep -q '"type":"repair"' "$RESEAT_LOG/mill-1.jsonl"
}

no_plain_file() {
    mv "$RESEAT_LOG/mill-1.jsonl" "$work/kept" && ln -s "$work/kept" "$RESEAT_LOG/mill-1.jsonl" &&
        ends_with 4 'symbolic link' reseat_once && rm "$RESEAT_LOG/mill-1.jsonl" || return
    mkdir "$RESEAT_LOG/mill-1.jsonl" && ends_with 4 'no plain file' reseat_once &&
        ends_with 4 'no plain file' reseat check mill-1 --limit 0.01 &&
        rmdir "$RESEAT_LOG/mill-1.jsonl" || return
    mkfifo "$RESEAT_LOG/mill-1.jsonl" && ends_with 4 'no plain file' reseat_once &&
        ends_with 4 'no plain file' reseat audit mill-1 && rm "$RESEAT_LOG/mill-1.jsonl" || return
    mv "$work/kept" "$RESEAT_LOG/mill-1.jsonl" && reseat audit mill-1
}

output_lost() {
    before=$(count_lines)
    reseat_once >/dev/full 2>"$work/err"
    code=$?
    cat "$work/err"
    [ $code = 4 ] && [ "$(count_lines)" = $((before + 1)) ] &&
        grep -q "^reseat: recorded as $(last_seq) all the same\$" "$work/err" &&
        grep -q '^reseat: standard output: could not be written in full$' "$work/err"
}

# writer FILE: 25 records, one after the other.
writer() {
    for _ in 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19 20 21 22 23 24 25; do
        reseat_once || echo "failed: $?"
    done >"$1" 2>&1
}

# Readers see a whole log at any time, and keep nobody out.
two_writers() {
    before=$(count_lines)
    writer "$work/first" &
    first=$!
    writer "$work/second" &
    second=$!
    reads=0 refused=0
    while kill -0 $first 2>/dev/null || kill -0 $second 2>/dev/null; do
        reseat audit mill-1 >"$work/read" 2>&1 || { refused=$?; break; }
        reads=$((reads + 1))
    done
    wait $first $second
    cat "$work/first" "$work/second" >"$work/acks"
    echo "$reads reads, exit $refused"
    [ $refused = 0 ] || cat "$work/read"
    [ $refused = 0 ] && [ $reads -gt 0 ] && [ "$(count_lines)" = $((before + 50)) ] &&
        [ "$(grep -c '^recorded as' "$work/acks")" = 50 ] && all_there "$work/acks"
}

test_limits() {
    check 'a file that may not grow says so, and loses nothing acknowledged' size_limit
    if touch "$RESEAT_LOG/x" && chattr +a "$RESEAT_LOG/x" 2>/dev/null; then
        chattr -a "$RESEAT_LOG/x"
        chattr +a "$RESEAT_LOG/mill-1.jsonl"
        check 'a piece on an append-only file is sealed off by the next record' append_only
        chattr -a "$RESEAT_LOG/mill-1.jsonl"
    else
        skip 'append-only files' 'not on this file system, or not as this user'
    fi
    rm -f "$RESEAT_LOG/x"
    check 'a link, a folder or a pipe in its place is not written to' no_plain_file
    if [ -e /dev/full ]; then
        check 'a record whose answer is lost is said to be recorded' output_lost
    else
        skip 'a record whose answer is lost' 'there is no /dev/full'
    fi
}

# A new disk of 64 KiB fills up. Given room, it goes on.
in_small() {
    small=$work/small
    mount -t tmpfs -o size=64k none "$small" || exit 1
    RESEAT_LOG=$small
    begin_log && while reseat_once; do :; done >"$work/acks" 2>"$work/err"
    cat "$work/err"
    grep -q '^reseat: nothing was recorded .* then record it again$' "$work/err" &&
        [ "$(grep -c '' "$work/err")" = 1 ] && [ "$(count_lines)" -gt 200 ] &&
        all_there "$work/acks" && ends_with 4 'nothing was recorded' reseat_once &&
        mount -o remount,size=128k none "$small" && reseat_once && all_there "$work/acks"
}

in_read_only() {
    mount -t tmpfs none "$work/small" || exit 1
    RESEAT_LOG=$work/small
    begin_log && mount -o remount,ro none "$work/small" &&
        ends_with 4 'the disk is read-only; nothing was recorded' reseat_once &&
        ends_with 4 'the disk is read-only; nothing was recorded' begin_log mill-9 &&
        reseat audit mill-1 && reseat check mill-1 --limit 0.1
}

test_mounts() {
    mkdir "$work/small"
    if can_mount; then
        check 'a disk that is full says so, and loses nothing acknowledged' \
            mounted binary.sh in_small
        check 'a read-only disk can be read' mounted binary.sh in_read_only
    else
        skip 'disks of their own' 'nothing can be mounted here'
    fi
}

shared_folder() {
    RESEAT_LOG=$work/shared
    mkdir "$RESEAT_LOG" && chgrp 60100 "$RESEAT_LOG" && chmod 2775 "$RESEAT_LOG" || return
    as 60001 record mill-1 run --new --probe P1 --seat 0 --offset 0.004,-0.0011 &&
        as 60002 record mill-1 reseat --probe P1 --seat 0 && as 60002 audit mill-1 || return
    [ "$(stat -c '%a %u %g' "$RESEAT_LOG/mill-1.jsonl")" = '664 60001 60100' ] || return
    ( umask 077 && as 60001 record mill-9 run --new --probe P1 --seat 0 --offset 0,0 ) &&
        [ "$(stat -c %a "$RESEAT_LOG/mill-9.jsonl")" = 660 ] &&
        as 60002 record mill-9 reseat --probe P1 --seat 0
}

no_permission() {
    RESEAT_LOG=$work/shared
    chmod 755 "$RESEAT_LOG" && chmod 644 "$RESEAT_LOG/mill-1.jsonl" &&
        ends_with 4 'no permission; nothing was recorded' as 60002 record mill-1 reseat \
            --probe P1 --seat 0 &&
        ends_with 4 'no permission; nothing was recorded' as 60002 record mill-8 run --new \
            --probe P1 --seat 0 --offset 0,0 &&
        as 60002 audit mill-1 && chmod 700 "$RESEAT_LOG" &&
        ends_with 4 'no permission' as 60002 check mill-1 --limit 0.1
}

plain_folder() {
    RESEAT_LOG=$work/plain
    mkdir "$RESEAT_LOG" && ( umask 027 && begin_log ) &&
        [ "$(stat -c %a "$RESEAT_LOG/mill-1.jsonl")" = 640 ]
}

test_users() {
    check 'a new log has mode 0664 less umask' plain_folder
    if can_switch; then
        check 'users of a set-group-id folder write the same log' shared_folder
        check 'who may not write is told so, and may read' no_permission
    else
        skip 'other users' 'needs root, setpriv and a program that others may run'
    fi
}

locked_out() {
    ends_with 5 'another writer kept the log of mill-7 locked for 10 s' reseat record mill-7 \
        reseat --probe P1 --seat 0
}

if [ "${1-}" = in-mount ]; then
    "$2"
    exit
fi
work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
trap 'exit 1' HUP INT TERM
chmod 755 "$work"
RESEAT_LOG=$work/logs
mkdir "$RESEAT_LOG" && begin_log || exit 1
test_calls
test_limits
test_mounts
test_users
check 'two writers lose nothing, and readers see a whole log' two_writers
begin_log mill-7
if command -v flock >/dev/null; then
    # Held until it is let go, or the folder is gone.
    : >"$work/held"
    flock "$RESEAT_LOG/mill-7.jsonl" sh -c 'while [ -e "$0" ]; do sleep 0.1; done' "$work/held" &
    while flock -n "$RESEAT_LOG/mill-7.jsonl" true; do sleep 0.1; done
    check 'a locked log is busy after 10 s' locked_out
    rm "$work/held"
    wait
else
    skip 'a locked log' 'there is no flock'
fi
finish
