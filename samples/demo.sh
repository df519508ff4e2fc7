#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# sh samples/demo.sh: installs what building needs, where it is missing, builds the program as
# build/cli/reseat, and shows what it says.

set -u
unset CDPATH
cd "$(dirname "$0")/.." || exit 1
. tests/install.sh

need $build_packages && set_up build && quietly ninja -C build cli/reseat || {
    echo "reseat could not be built" >&2
    exit 1
}
PATH=$PWD/build/cli:$PATH

# show COMMAND...: the command and what it answers; a verdict of 1 is an answer too.
show() {
    printf '$ %s\n' "$*"
    "$@"
    status=$?
    [ $status -le 1 ] || exit $status
    echo
}

show reseat
