#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# all_used.sh: whether the threads name every public function.

set -u
unset CDPATH
LC_ALL=C
export LC_ALL
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh
. tests/abi/names.sh

called=$(grep -ohw 'reseat_[a-z0-9_]*' tests/threads/*.c | sort -u)
all_called() {
    [ "$(public_names | grep -c .)" -gt 100 ] || return
    public_names | grep -vxF "$called" && return 1
    return 0
}
check 'every public function is used in threads' all_called
finish
