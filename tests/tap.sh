# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# Sourced by the test scripts: results in the Test Anything Protocol, which meson reads, and what
# is to be said of a failure on standard error, which meson shows.

tap_count=0
tap_failed=0

# report STATUS NAME: one result.
report() {
    tap_count=$((tap_count + 1))
    if [ "$1" = 0 ]; then
        echo "ok $tap_count - $2"
    else
        tap_failed=$((tap_failed + 1))
        echo "not ok $tap_count - $2"
    fi
}

# note: shows standard input.
note() {
    sed 's/^/# /' >&2
}

skip() {
    tap_count=$((tap_count + 1))
    echo "ok $tap_count - $1 # SKIP $2"
}

# check NAME COMMAND...: passes if the command succeeds; what it prints is shown if it does not.
check() {
    tap_name=$1
    shift
    tap_output=$("$@" 2>&1)
    tap_status=$?
    [ $tap_status = 0 ] || printf '%s:\n%s\n' "$tap_name" "$tap_output" | note
    report $tap_status "$tap_name"
}

# The last call of a script: the plan, and whether all passed.
finish() {
    echo "1..$tap_count"
    [ $tap_count -gt 0 ] && [ $tap_failed = 0 ]
}
