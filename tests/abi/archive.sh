#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# archive.sh ARCHIVE: the global names of the static library, against the public headers.

set -u
unset CDPATH
LC_ALL=C
export LC_ALL
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh
. tests/abi/names.sh
archive=$1

work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
public_names | sort >"$work/declared"
nm -g --defined-only "$archive" | awk 'NF == 3 {print $3}' | sort >"$work/global"

only_public_names() { [ -s "$work/global" ] && ! grep -v '^reseat_' "$work/global"; }
matches_headers() { [ -s "$work/declared" ] && diff "$work/declared" "$work/global"; }

check 'every global name begins reseat_' only_public_names
check 'what the headers mark (<) is what is global (>)' matches_headers
finish
