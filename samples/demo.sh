#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# sh samples/demo.sh: installs what building needs, where it is missing, builds the program as
# build/cli/reseat, writes the logs of a simulated shop by recording them, and checks each spindle.

set -u
unset CDPATH
cd "$(dirname "$0")/.." || exit 1
. tests/install.sh

need $build_packages && set_up build && quietly ninja -C build cli/reseat || {
    echo "reseat could not be built" >&2
    exit 1
}
PATH=$PWD/build/cli:$PATH
RESEAT_LOG=$(mktemp -d) || exit 1
export RESEAT_LOG
unset RESEAT_SPINDLE RESEAT_BY RESEAT_UNIT
trap 'rm -rf "$RESEAT_LOG"' EXIT
trap 'exit 1' HUP INT TERM

# say TEXT; show COMMAND...: the command and what it answers; a verdict of 1 is an answer too.
say() {
    printf '%s\n' "$@"
}
show() {
    printf '$ %s\n' "$*"
    "$@"
    status=$?
    [ $status -le 1 ] || exit $status
    echo
}

say "Four machining centres of a simulated shop, 18 months of calibrations each, as of 2 November 2026." ""
sh samples/shop.sh "$RESEAT_LOG" || exit
now=2026-11-02T06:00:00Z

say "mill-1 is healthy: calibrated two weeks ago, not out since."
show reseat check mill-1 --as-of $now
say "mill-2 had its battery changed, and nobody wrote down which way the probe went back in."
show reseat check mill-2 --as-of $now
say "hmc-1 drifts, slowly and steadily, and was last calibrated in August."
show reseat check hmc-1 --as-of $now
say "hmc-2 ran into a clamp."
show reseat check hmc-2 --as-of $now
say "Every record can be read again: what was taken back or came late says so. (All of these say that" \
    "they were recorded today, which is cut off here.)"
show reseat history mill-1 --since 2025-09-15 --until 2025-11-03 |
    sed 's/, recorded 20[0-9-]*$//'
