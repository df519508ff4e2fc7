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

echo "A probe went out for a battery. Its stylus offset, as stored in the control, is X 0.012 Y -0.005"
echo "mm; probing may add 0.01 mm. Nobody wrote down which of two ways it went back in:"
show reseat check --offset 0.012,-0.005 --seat keys:2 --limit 0.01
echo "It was not turned: its holder has one key only."
show reseat check --offset 0.012,-0.005 --seat keys:1 --limit 0.01
echo "How far may this probe be turned?"
show reseat allowed --offset 0.012,-0.005 --limit 0.01
