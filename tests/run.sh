#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# sh tests/run.sh [--all]: installs what the tests need, builds, and runs every suite, plain and
# under the address and undefined-behaviour sanitizers. --all adds what takes long or needs large
# packages: clang, the browser, the database, long faults, Monte Carlo, benchmarks, a trial release.

set -u
unset CDPATH
cd "$(dirname "$0")/.." || exit 1
. tests/install.sh

case ${1-} in
'') all=no ;;
--all) all=yes ;;
*) echo "use: sh tests/run.sh [--all]" >&2; exit 2 ;;
esac

tally=$(mktemp) && log=$(mktemp) || exit 1
trap 'rm -f "$tally" "$log"' EXIT
trap 'exit 1' HUP INT TERM

left_out() {
    echo "left out: $1: $2"
}

# Lines `WHAT: N passed, N failed, N skipped` are shown and kept for the sum.
count() {
    tee -a "$tally"
}

# build LABEL FOLDER OPTION...: only a failure counts, as nothing is tested yet.
build() {
    label=$1 folder=$2
    shift 2
    set_up "$folder" -Dwerror=true "$@" &&
        quietly meson setup --reconfigure "$folder" &&
        quietly meson compile -C "$folder" && return
    echo "$label build: 0 passed, 1 failed, 0 skipped" | count
    return 1
}

# suites LABEL FOLDER OPTION...: one run of meson test.
suites() {
    label=$1 folder=$2
    shift 2
    rm -f "$folder"/meson-logs/*log.json
    meson test -C "$folder" --no-rebuild --print-errorlogs "$@" >"$log" 2>&1 </dev/null || cat "$log"
    { cat "$folder"/meson-logs/*log.json | python3 tests/count.py "$label" ||
        echo "$label meson test: 0 passed, 1 failed, 0 skipped"; } | count
}

# runner LABEL SUITE COMMAND...: a suite outside meson, which reports as the Test Anything Protocol.
runner() {
    label=$1 suite=$2
    shift 2
    "$@" >"$log" 2>&1 </dev/null
    status=$?
    grep -q '^not ok' "$log" || [ $status = 0 ] || echo "not ok - $* gave $status" >>"$log"
    ! grep -q '^not ok' "$log" || cat "$log"
    echo "$label $suite: $(grep -c '^ok' "$log") passed, $(grep -c '^not ok' "$log") failed," \
        "0 skipped" | count
}

need $build_packages python3 || exit 1
need libcmocka-dev locales

export CC=gcc
runner demo samples sh tests/samples/demo.sh
build gcc build-test && suites gcc build-test --no-suite montecarlo
for suite in unit cli samples abi locale faults fuzz; do
    grep -q "^gcc $suite:" "$tally" || left_out $suite "not built here, for want of its packages"
done
build sanitized build-test-sanitized -Db_sanitize=address,undefined &&
    suites sanitized build-test-sanitized --no-suite montecarlo --no-suite abi -t 3

if [ $all = no ]; then
    for suite in clang browser database 'long faults' montecarlo benchmarks; do
        left_out "$suite" 'only with --all'
    done
fi

awk '{ passed += $(NF - 5); failed += $(NF - 3); skipped += $(NF - 1) }
    END {
        line = passed + 0 " passed, " failed + 0 " failed"
        print skipped ? line ", " skipped " skipped" : line
        exit failed || !passed
    }' "$tally"
