#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# sh tests/places.sh: what is committed, in a folder whose name has blanks and letters beyond ASCII:
# built and run by every suite as a user that the machine does not know, with a home of its own, and
# then by root. Without root it is run by who calls it alone. Installs nothing but what is missing.

set -u
unset CDPATH
cd "$(dirname "$0")/.." || exit 1
. tests/install.sh
. tests/tap.sh
suites='unit cli samples abi locale faults fuzz threads'
stranger=60003 # of whom the machine knows nothing

need $build_packages python3 python3-jsonschema libcmocka-dev locales strace git || exit 1
work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
trap 'exit 1' HUP INT TERM
place="$work/mess räume ü/reseat"
mkdir -p "$place" "$work/home" && git archive HEAD >"$work/tar" && tar -xf "$work/tar" -C "$place" ||
    exit 1

# as WHO COMMAND...: in the place, with next to nothing in the environment.
as() {
    who=$1 home=$work/home change=
    shift
    [ "$who" != stranger ] || change="setpriv --reuid=$stranger --regid=$stranger --clear-groups"
    ( cd "$place" && exec $change env -i HOME="$home" \
        PATH=/usr/local/bin:/usr/bin:/bin:/usr/sbin:/sbin "$@" ) </dev/null
}

build() {
    as "$1" meson setup build -Dwerror=true && as "$1" meson compile -C build
}

# Each suite is one result; how many tests it had is shown.
run_suites() {
    for suite in $suites; do
        check "suite $suite as $1" as "$1" meson test -C build --no-rebuild --print-errorlogs \
            --suite "$suite" -t 3
        python3 tests/count.py "# $1" "$place/build/meson-logs/testlog.json" 2>/dev/null
    done
}

if [ "$(id -u)" = 0 ] && command -v setpriv >/dev/null; then
    chmod 755 "$work" && chown -R $stranger:$stranger "$work/home" "$work/mess räume ü"
    check 'builds as stranger' build stranger
    run_suites stranger
    check 'demo as stranger' as stranger sh samples/demo.sh
else
    skip 'as stranger' 'needs root and setpriv'
    check 'builds' build caller
fi
run_suites caller
check 'demo' as caller sh samples/demo.sh
finish
