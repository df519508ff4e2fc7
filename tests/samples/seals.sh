#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# seals.sh: samples/check_seals.sh finds what `audit` of $RESEAT_TEST_PROGRAM finds, on the logs of
# samples/shop.sh, on one with a repair, and on damaged ones.

set -u
unset CDPATH
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh
work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
trap 'exit 1' HUP INT TERM
PATH=$(dirname "$RESEAT_TEST_PROGRAM"):$PATH
RESEAT_LOG=$work/logs
export PATH RESEAT_LOG
log=$RESEAT_LOG/mill-1.jsonl

# agree SPINDLE BAD: both find so many bad lines, the same ones, and the same newest seal.
agree() {
    sh samples/check_seals.sh "$RESEAT_LOG/$1.jsonl" >"$work/shell"
    code=$?
    reseat audit "$1" >"$work/audit"
    audit_code=$?
    cat "$work/shell" "$work/audit"
    for said in shell audit; do
        sed -n 's/.*\.jsonl:\([0-9]*\): .*/\1/p' "$work/$said" >"$work/$said.lines"
    done
    newest=$(sed -n 's/.*, newest [0-9]*:\([0-9a-f]*\)$/\1/p' "$work/audit")
    cmp "$work/shell.lines" "$work/audit.lines" && [ "$(grep -c '' "$work/shell.lines")" = "$2" ] &&
        if [ "$2" = 0 ]; then
            [ $code = 0 ] && [ $audit_code = 0 ] && grep -q "newest seal $newest\$" "$work/shell"
        else
            [ $code = 1 ] && [ $audit_code = 3 ]
        fi
}

# damaged BAD SED...: the log of mill-1, changed by sed.
damaged() {
    count=$1
    shift
    cp "$work/kept" "$log" && sed "$@" "$work/kept" >"$log" && ! cmp -s "$work/kept" "$log" &&
        agree mill-1 "$count"
}

tear() {
    printf '{"v":1,"seq":99,"type":"ru\n{"v"' >>"$log"
}

repaired() {
    tear && reseat record mill-1 event --kind service 2>/dev/null && agree mill-1 0 &&
        grep -q ', 2 sealed off, ' "$work/shell" && cp "$log" "$work/kept"
}

torn() {
    cp "$work/kept" "$log" && tear && agree mill-1 2
}

# The recipe of the manual page, for lines near the first, in the midst, and the last.
recipe() {
    sed -n '/^\.Bd -literal/,/^\.Ed/p' cli/reseat-log.5 | sed '/^\./d; s/\\e/\\/g' >"$work/recipe"
    for n in 2 20 "$(grep -c '' "$log")"; do
        n=$n log=$log sh "$work/recipe" 2>"$work/err" | sed 's/ .*//' >"$work/two"
        cat "$work/two" "$work/err"
        [ "$(sort -u "$work/two" | grep -c '^[0-9a-f]\{64\}$')" = 1 ] &&
            [ "$(grep -c '' "$work/two")" = 2 ] && [ ! -s "$work/err" ] || return
    done
    n=20
    sed '20s/0\.00/0.01/' "$log" >"$work/changed"
    n=$n log=$work/changed sh "$work/recipe" | sed 's/ .*//' | uniq | grep -c '' | grep -qx 2
}

mkdir "$RESEAT_LOG" && sh samples/shop.sh "$RESEAT_LOG" || exit 1
for spindle in mill-1 mill-2 hmc-1 hmc-2; do
    check "every seal of $spindle holds" agree $spindle 0
done
check 'the recipe of the manual page checks a line' recipe
check 'lines cut short are sealed off by a repair record' repaired
bad=$(grep -n '"type":"ru$' "$work/kept" | sed 's/:.*//')
check 'a digit changed' damaged 1 '5s/0\.00/0.01/'
check 'a digit of a seal changed shows in this line and the next' damaged 2 \
    '7{s/0"}$/1"}/;t;s/."}$/0"}/;}'
check 'a line missing, which moves the bytes sealed off' damaged 3 9d
check 'two lines in one another'\''s place' damaged 3 '11{h;d;};12G'
check 'a byte NUL in a line' damaged 1 '5s/tech/t\x00ch/'
check 'the bytes that a repair record seals off changed' damaged 2 "${bad}s/99/98/"
check 'the last line cut short' torn
finish
