#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# Runs README.md: in each fenced block that begins `$ reseat`, a line after `$ ` is a command (a
# backslash at its end goes on with the next line), and the lines up to the next `$ ` are what it
# prints, errors included. All run in turn in one new folder that holds a copy of samples/, as the
# top of a checkout does, with $RESEAT_TEST_PROGRAM on the PATH. A block of C is the whole of a
# sample program but for its two lines of licence.

set -u
unset CDPATH
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh
readme=$PWD/README.md

work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
mkdir "$work/here" && cp -R samples "$work/here/" || exit 1

# Writes N.cmd and N.out for the command, and N.c for the block of C, that begins on line N.
awk -v folder="$work" '
    /^ *```/ {
        inside = !inside
        first = inside
        running = goes_on = 0
        program = inside && /```c$/ ? sprintf("%s/%05d.c", folder, NR + 1) : ""
        next
    }
    !inside { next }
    program { print >program; next }
    first { running = /^ *\$ reseat/; indent = match($0, /[^ ]/) - 1; first = 0 }
    !running { next }
    { line = substr($0, indent + 1) }
    !goes_on && line ~ /^\$ / {
        command = sprintf("%s/%05d.cmd", folder, NR)
        output = sprintf("%s/%05d.out", folder, NR)
        printf "" >output
        line = substr(line, 3)
        goes_on = 1
    }
    goes_on { print line >command; goes_on = line ~ /\\$/; next }
    { print line >output }
' "$readme"

run() {
    ( cd "$work/here" && env -i PATH="$(dirname "$RESEAT_TEST_PROGRAM"):$PATH" HOME="$work/here" \
        TZ=UTC LC_ALL=C timeout 60 sh "$work/$1.cmd" ) >"$work/actual" 2>&1 </dev/null
    for text in "$work/$1.out" "$work/actual"; do # seals hold the time of writing
        sed -E 's/\([0-9a-f]{12}\)/(seal)/' "$text" >"$text.plain"
    done
    diff -u "$work/$1.out.plain" "$work/actual.plain"
}

is_a_sample() {
    for sample in samples/*.c; do
        sed '/SPDX-/d' "$sample" | sed '1{/^$/d;}' | cmp -s - "$1" && return
    done
    echo 'no program in samples/ is just that'
    return 1
}

# A fence written otherwise would hide what is in it.
blocks() {
    ls "$work"/*.c && ls "$work"/*.cmd &&
        [ "$(grep -c '^ *\$ reseat' "$readme")" -le "$(cat "$work"/*.cmd | grep -c '^reseat')" ]
}
check 'README.md has programs and commands' blocks
for program in "$work"/*.c; do
    [ -e "$program" ] || break
    check "README.md:$(basename "$program" .c) is a sample" is_a_sample "$program"
done
for command in "$work"/*.cmd; do
    [ -e "$command" ] || break
    line=$(basename "$command" .cmd)
    check "README.md:$line $(head -n 1 "$command")" run "$line"
done
finish
