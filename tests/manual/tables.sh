#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# tables.sh PROGRAM MANUAL COMPLETION: that --help, the manual and the completion name the same
# commands and options, and that the pages are sound.

set -u
unset CDPATH
LC_ALL=C.UTF-8
export LC_ALL
program=$(realpath "$1") manual=$(realpath "$2") completion=$(realpath "$3")
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh

work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT

# Each of these prints one name a line, sorted.
help_commands() {
    "$program" --help | sed -n '/^Commands$/,/^$/s/^  \([a-z-]*\) .*/\1/p' | sort
}
help_options() {
    "$program" "$1" --help | sed -n 's/^  \(--*[a-z][a-z0-9-]*\).*/\1/p' | sort -u
}
help_fields() {
    "$program" record --help | sed -n "/^Fields of $1\$/,/^\$/s/^  \(--[a-z-]*\).*/\1/p" | sort
}
manual_commands() {
    sed -n '/^\.Sh COMMANDS/,/^\.Sh ENV/s/^\.Ss //p' "$manual" | tr -d '\\' | sort
}
# Those of every command, and of one.
manual_options() {
    awk -v command="$1" '
        /^\.S[hs] / { gsub(/\\/, ""); here = $0 == ".Sh OPTIONS" || $0 == ".Ss " command }
        here && /^\.It Fl / {
            gsub(/\\/, "")
            print $3 == "Fl" ? "--" $4 : "-" $3
        }' "$manual" | sort -u
}
completion_table() {
    bash -c '. "$1"; shift; options= kinds=; for what; do _reseat_table "$what"
        printf "%s\n" ${!variable}; done' bash "$completion" "$@" | sort -u
}
completion_commands() { variable=commands completion_table ''; }
completion_options() {
    if [ "$1" = record ]; then
        set -- record
        for kind in $(variable=kinds completion_table record); do set -- "$@" "record $kind"; done
    fi
    variable=options completion_table "$@"
}
export variable

# same A B: two lists that hold something, and the same.
same() {
    [ -s "$work/$1" ] && diff "$work/$1" "$work/$2"
}

help_commands >"$work/commands"
manual_commands >"$work/manual"
check 'the manual has the commands of --help' same commands manual
if command -v bash >/dev/null; then
    completion_commands >"$work/completion"
    check 'the completion has the commands of --help' same commands completion
else
    skip 'the completion has the commands of --help' 'no bash'
fi
while read -r name; do
    help_options "$name" >"$work/options"
    manual_options "$name" >"$work/manual"
    check "the manual has the options of $name --help" same options manual
    command -v bash >/dev/null || continue
    completion_options "$name" >"$work/completion"
    check "the completion has the options of $name --help" same options completion
done <"$work/commands"
if command -v bash >/dev/null; then
    "$program" record --help | sed -n 's/^Fields of //p' | sort >"$work/kinds"
    variable=kinds completion_table record >"$work/completion"
    check 'the completion has the kinds of record' same kinds completion
    for kind in $(cat "$work/kinds"); do
        help_fields "$kind" >"$work/options"
        variable=options completion_table "record $kind" >"$work/completion"
        check "the completion has the fields of $kind" same options completion
    done
fi

silent() { ! "$@" 2>&1 | grep .; }
for page in "$manual" cli/reseat-log.5 cli/reseat-model.7; do
    name=$(basename "$page")
    if command -v groff >/dev/null; then
        check "groff has nothing to say of $name" silent groff -ww -man -Tutf8 -z "$page"
    else
        skip "groff has nothing to say of $name" 'no groff'
    fi
    if command -v mandoc >/dev/null; then
        check "mandoc has nothing to warn of in $name" silent mandoc -T lint -W warning "$page"
    else
        skip "mandoc has nothing to warn of in $name" 'no mandoc'
    fi
done
finish
