#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# same.sh EXPECTED PROGRAM: passes if the program prints just that and exits with 0.

actual=$(mktemp) || exit 1
trap 'rm -f "$actual"' EXIT
"$2" >"$actual" </dev/null || { echo "$2 gave $?" >&2; exit 1; }
diff -u "$1" "$actual" >&2
