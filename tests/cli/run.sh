#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# sh tests/cli/run.sh [--update] [CASE...]: runs the cases named, or all, against the program
# $RESEAT_TEST_PROGRAM (build/cli/reseat unless set). `--group WORD` runs those that begin with that
# word, `--groups` lists the words.
#
# A case is a folder beside this script:
#   cmd    what sh runs, in an empty folder of its own, with `reseat` on the PATH
#   in     standard input; nothing to read if absent
#   out    standard output expected, byte for byte; empty if absent
#   err    standard error expected; empty if absent
#   code   exit code expected; 0 if absent
# Other files of a case are copied to where cmd runs, and $SAMPLES is the folder of the samples.
# The environment is empty but for PATH, HOME, TZ=UTC and the locale, C unless
# RESEAT_TEST_LOCALE names another. --update writes what came into out, err and code: read it
# before you commit it.

set -u
unset CDPATH
cases=$(cd "$(dirname "$0")" && pwd)
top=$(dirname "$(dirname "$cases")")
. "$top/tests/tap.sh"

case ${1-} in
--groups) ls -d "$cases"/*/ | sed 's|/$||; s|.*/||; s|-.*||' | uniq; exit ;;
--group)
    set -- $(ls "$cases" | grep -e "^$2\$" -e "^$2-")
    [ $# -gt 0 ] || { echo 'there are none' >&2; exit 1; } ;;
esac

program=${RESEAT_TEST_PROGRAM:-$top/build/cli/reseat}
update=no
[ "${1-}" = --update ] && update=yes && shift
[ -x "$program" ] || { echo "$program is not built" >&2; exit 1; }

work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
trap 'exit 1' HUP INT TERM
umask 022

run_case() {
    mkdir "$work/here" || exit 1
    for file in "$case"/*; do
        case ${file##*/} in
        cmd|in|out|err|code) ;;
        *) cp -R "$file" "$work/here/" ;;
        esac
    done
    input=/dev/null
    [ ! -e "$case/in" ] || input=$case/in
    ( cd "$work/here" && exec env -i PATH="$(dirname "$program"):$PATH" HOME="$work/here" TZ=UTC \
        LC_ALL="${RESEAT_TEST_LOCALE:-C}" ${RESEAT_TEST_LOCALE:+"LOCPATH=$LOCPATH"} \
        ${RESEAT_TEST_LOCALE:+"RESEAT_TEST_LOCALE=$RESEAT_TEST_LOCALE"} SAMPLES="$top/samples" \
        ASAN_OPTIONS=exitcode=99 UBSAN_OPTIONS=exitcode=99:halt_on_error=1:print_stacktrace=1 \
        timeout 60 sh "$case/cmd" ) <"$input" >"$work/out" 2>"$work/err"
    echo $? >"$work/code"
    rm -rf "$work/here" 2>/dev/null || { chmod -R u+rwX "$work/here" && rm -rf "$work/here"; }
}

compare() {
    same=0
    for part in out err code; do
        expected=$case/$part
        if [ ! -e "$expected" ]; then
            expected=$work/nothing
            [ $part != code ] || expected=$work/zero
        fi
        cmp -s "$expected" "$work/$part" && continue
        same=1
        { echo "$name: $part, expected (-) and actual (+):" &&
            diff -a -u "$expected" "$work/$part" | sed 1,2d; } | note
    done
}

update() {
    for part in out err code; do
        if [ ! -s "$work/$part" ] || { [ $part = code ] && cmp -s "$work/zero" "$work/code"; }; then
            rm -f "$case/$part"
        else
            cp "$work/$part" "$case/$part"
        fi
    done
}

: >"$work/nothing"
echo 0 >"$work/zero"
[ $# -gt 0 ] || set -- "$cases"/*/
for case; do
    name=$(basename "$case")
    case=$cases/$name
    if [ ! -e "$case/cmd" ]; then
        report 1 "$name has a cmd"
        continue
    fi
    run_case
    [ $update = no ] || update
    compare
    report $same "$name"
done
finish
