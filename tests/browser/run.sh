#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# sh tests/browser/run.sh [OUT]: looks at the pages of the sample logs with Chromium, the program
# being $RESEAT_TEST_PROGRAM, else build/cli/reseat, built anew. Pages, screenshots and PDFs are
# left in OUT (build/browser unless named).

set -u
unset CDPATH
cd "$(dirname "$0")/../.." || exit 1
. tests/install.sh

need chromium poppler-utils python3 || exit 1
if [ -z "${RESEAT_TEST_PROGRAM-}" ]; then
    need $build_packages && set_up build && quietly meson compile -C build || exit 1
    RESEAT_TEST_PROGRAM=$PWD/build/cli/reseat
fi
out=${1-build/browser}
rm -rf "$out/shop" && mkdir -p "$out/shop" || exit 1
PATH=$(dirname "$RESEAT_TEST_PROGRAM"):$PATH sh samples/shop.sh "$out/shop" || exit 1
exec python3 tests/browser/check.py "$RESEAT_TEST_PROGRAM" "$out/shop" "$out"
