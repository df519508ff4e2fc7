#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# Runs samples/demo.sh as a newcomer would, in a new copy of the checkout whose path holds blanks
# and letters beyond ASCII, and once more: it prints samples/demo.out both times.

set -u
unset CDPATH
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh

work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
copy="$work/neue Maschine – Prüfstück n° 1"
mkdir "$copy" && tar -cf - --exclude='./build*' --exclude=./.git . | tar -xf - -C "$copy" || exit 1

demo() {
    ( cd / && sh "$copy/samples/demo.sh" ) >"$work/actual" 2>&1 </dev/null
    diff -u samples/demo.out "$work/actual"
}

check 'the demo prints demo.out' demo
check 'and does so again' demo
finish
