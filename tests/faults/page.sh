#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# The file of a page when calls fail, the disk is full or may not be written, and where something
# else is in its place: it is there whole or not at all, and what was there before is kept. What
# this machine cannot stage is skipped. Calls itself as `page.sh in-mount PART`.

set -u
unset CDPATH RESEAT_SPINDLE RESEAT_BY
cd "$(dirname "$0")/../.." || exit 1
. tests/faults/program.sh

page() {
    reseat report mill-1 -o "$work/pages/mill-1.html" "$@"
}

# The folder holds that file with these bytes, and nothing beside it; `nothing`: it is empty.
holds() {
    if [ "$1" = nothing ]; then
        [ -z "$(ls -A "$work/pages")" ]
    else
        [ "$(ls -A "$work/pages")" = mill-1.html ] && cmp "$1" "$work/pages/mill-1.html"
    fi || { ls -lA "$work/pages"; return 1; }
}

# failing CALLS ERROR WHEN: a page is whole, or is not there and one line says why. What was there
# before, $old, is kept. 127: the program could not even be loaded.
failing() {
    rm -f "$work/pages/"*
    force=
    [ $old = nothing ] || { cp "$old" "$work/pages/mill-1.html" && force=--force; }
    strace -f -o "$work/trace" -e trace="$1" -e inject="$1:error=$2:when=$3" \
        "$RESEAT_TEST_PROGRAM" report mill-1 -o "$work/pages/mill-1.html" $force 2>"$work/err"
    code=$?
    said=$(grep -c '' "$work/err")
    case $code,$said in
    0,[01]) holds "$work/page" ;;
    [24],1) grep -q '^reseat: ' "$work/err" && holds "$old" ;;
    4,0) [ "$1" = write ] && holds "$old" ;; # the line itself was lost
    127,1) [ "$1" = openat ] || [ "$1" = close ] && holds "$old" ;;
    *) false ;;
    esac || { echo "$1 with $2, time $3: exit $code"; cat "$work/err"; return 1; }
}

calls_fail() {
    for injected in "$@"; do
        calls=${injected%%:*} error=${injected#*:} number=0
        while number=$((number + 1)); do
            failing "$calls" "$error" $number || return
            grep -q INJECTED "$work/trace" || break
        done
        [ $number -gt 1 ] || { echo "$calls was never called"; return 1; }
    done
}

ends_without() {
    text=$1
    shift
    rm -f "$work/pages/"*
    ends_with 4 "$text; nothing was written" strace -o /dev/null "$@" "$RESEAT_TEST_PROGRAM" \
        report mill-1 -o "$work/pages/mill-1.html" && holds nothing
}

# The first call of its kind is the one on the page.
faults_are_said() {
    ends_without 'No space left on device' -e trace=write -e inject=write:error=ENOSPC:when=1 &&
        ends_without 'Input/output error' -e trace=fsync -e inject=fsync:error=EIO:when=1 &&
        ends_without 'No space left on device' -e trace=write -e inject=write:retval=0:when=1
}

rename='?rename,?renameat,?renameat2'

new_page() {
    old=nothing
    calls_fail write:ENOSPC write:EIO write:EINTR fsync:EIO fsync:ENOSPC close:EIO \
        fchmod:EPERM '?link,linkat:EEXIST' '?link,linkat:EPERM' openat:EMFILE
}

old_page() {
    old=$work/before
    calls_fail write:ENOSPC write:EDQUOT fsync:EIO close:ENOSPC "$rename:EIO" "$rename:EXDEV" \
        openat:EROFS
}

# Of a write that would go beyond the limit a part is done; the next one fails.
size_limit() {
    rm -f "$work/pages/"*
    # shellcheck disable=SC3045 # ulimit -f is in every sh of today
    ends_with 4 'File too large; nothing was written' eval '( ulimit -f 16 && page )' &&
        holds nothing && cp "$work/before" "$work/pages/mill-1.html" &&
        ends_with 4 'File too large; nothing was written' \
            eval '( ulimit -f 16 && page --force )' && holds "$work/before"
}

in_small() {
    work=$work/small
    mount -t tmpfs -o size=16k none "$work" && mkdir "$work/pages" && cd "$work" || exit 1
    ends_with 4 'No space left on device; nothing was written' page && holds nothing &&
        cp /etc/hostname before && cp before pages/mill-1.html &&
        ends_with 4 'No space left on device; nothing was written' page --force && holds before &&
        mount -o remount,size=400k none "$work" && page --force &&
        reseat report mill-1 -o - >whole && holds whole
}

in_read_only() {
    work=$work/small
    mount -t tmpfs none "$work" && mkdir "$work/pages" && echo before >"$work/before" &&
        cp "$work/before" "$work/pages/mill-1.html" && mkdir "$work/said" &&
        mount -t tmpfs none "$work/said" && mount -o remount,ro none "$work" || exit 1
    page --force 2>"$work/said/err"
    [ $? = 4 ] && [ "$(grep -c '' "$work/said/err")" = 1 ] &&
        grep -q 'Read-only file system; nothing was written$' "$work/said/err" &&
        holds "$work/before"
}

# A page may replace what a link is, never what it leads to; and never a log.
links() {
    rm -f "$work/pages/"* && mkdir "$work/far" && cp "$work/before" "$work/far/mill-1.html" &&
        ln -s "$work/far/mill-1.html" "$work/pages/mill-1.html" &&
        ends_with 2 'is there already; --force replaces it' page &&
        [ -h "$work/pages/mill-1.html" ] && page --force &&
        cmp "$work/before" "$work/far/mill-1.html" && [ ! -h "$work/pages/mill-1.html" ] &&
        holds "$work/page" || return
    ln -sf "$RESEAT_LOG/mill-1.jsonl" "$work/pages/mill-1.html" &&
        cp "$RESEAT_LOG/mill-1.jsonl" "$work/log" &&
        ends_with 2 'begins like a log' page &&
        ends_with 2 'begins like a log' page --force && [ -h "$work/pages/mill-1.html" ] &&
        cmp "$work/log" "$RESEAT_LOG/mill-1.jsonl" || return
    rm "$work/pages/mill-1.html" && ln -s "$work/nowhere" "$work/pages/mill-1.html" &&
        ends_with 2 'is there already; --force replaces it' page &&
        [ ! -e "$work/nowhere" ] && page --force && [ ! -e "$work/nowhere" ] &&
        holds "$work/page"
}

# Under any name; and what is in the folder of logs is left as it is.
logs() {
    rm -f "$work/pages/"* && cp "$RESEAT_LOG/mill-1.jsonl" "$work/pages/mill-1.html" &&
        ends_with 2 'begins like a log' page --force && holds "$RESEAT_LOG/mill-1.jsonl" &&
        ends_with 2 'is the name of a log' reseat report mill-1 --force \
            -o "$RESEAT_LOG/mill-1.jsonl" &&
        ends_with 2 'is the name of a log' reseat report mill-1 -o "$RESEAT_LOG/mill-2.jsonl" &&
        [ "$(ls -A "$RESEAT_LOG")" = mill-1.jsonl ] && reseat audit mill-1
}

existing() {
    rm -f "$work/pages/"* && cp "$work/before" "$work/pages/mill-1.html" &&
        ends_with 2 'is there already; --force replaces it' page && holds "$work/before" &&
        ends_with 0 'written, no verdict' page --force && holds "$work/page" &&
        [ "$(stat -c %a "$work/pages/mill-1.html")" = 644 ] && rm "$work/pages/mill-1.html" &&
        ( umask 027 && page ) && [ "$(stat -c %a "$work/pages/mill-1.html")" = 640 ]
}

as_stranger() {
    as 60001 report mill-1 -o "$work/pages/mill-1.html" "$@"
}

# A folder that may not be written; and a file that may not be read: it may be a log.
no_permission() {
    rm -f "$work/pages/"* && chmod 755 "$work/pages" &&
        ends_with 2 'Permission denied; nothing was written' as_stranger && holds nothing &&
        cp "$work/before" "$work/pages/mill-1.html" &&
        ends_with 2 'Permission denied; nothing was written' as_stranger --force &&
        holds "$work/before" && chmod 777 "$work/pages" &&
        chmod 600 "$work/pages/mill-1.html" &&
        ends_with 2 'Permission denied; nothing was written' as_stranger --force &&
        holds "$work/before" && rm "$work/pages/mill-1.html" && as_stranger && holds "$work/page"
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
mkdir "$RESEAT_LOG" "$work/pages" "$work/small" && begin_log && echo before >"$work/before" &&
    reseat report mill-1 -o - >"$work/page" || exit 1
check 'a file that is there is replaced with --force alone' existing
check 'a log is never replaced' logs
check 'a link is replaced, never what it leads to' links
check 'a page that may not grow so large leaves nothing' size_limit
if can_strace; then
    check 'what fails is said' faults_are_said
    check 'a new page is there whole or not at all, whatever call fails' new_page
    check 'an old page is replaced or kept, whatever call fails' old_page
else
    skip 'calls that fail' 'strace cannot be used here'
fi
if can_mount; then
    check 'a full disk leaves nothing, and keeps the old page' mounted page.sh in_small
    check 'a read-only disk is said' mounted page.sh in_read_only
else
    skip 'disks of their own' 'nothing can be mounted here'
fi
if can_switch; then
    check 'who may not write or not read is told so' no_permission
else
    skip 'other users' 'needs root, setpriv and a program that others may run'
fi
finish
