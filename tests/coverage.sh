#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# sh tests/coverage.sh: builds with gcov's counters, runs the tests that reach lib, and says which
# lines and branches of it they reached. Fails where a test fails, a line is left out, fewer than
# 98 % of the branches are reached, or one that is not reached is not explained.
#
# Assertions are compiled out, and what base/error.h marks is folded away: neither has a branch
# that a test could reach. Nothing is optimised, so that each branch is one of the source.

set -u
unset CDPATH
cd "$(dirname "$0")/.." || exit 1
. tests/install.sh

need $build_packages python3 python3-jsonschema libcmocka-dev || exit 1
export CC=gcc RESEAT_TEST_ROUNDS=all
folder=build-coverage
set_up $folder -Dwerror=true -Doptimization=0 -Db_ndebug=true -Db_coverage=true \
    "-Dc_args=-DRESEAT_COVERAGE -fprofile-update=atomic" && quietly meson compile -C $folder || exit 1
find $folder -name '*.gcda' -exec rm {} +

tests() {
    quietly meson test -C $folder --no-rebuild -t 5 "$@" || exit 1
}

# Writers that are killed would leave half of the counters, limits and other users none: what has
# them (the faults `writers` and `binary`, cases with a `ulimit`) is left out.
tests --suite unit --suite fuzz --suite samples
tests bits calls crash memory
RESEAT_TEST_PROGRAM=$PWD/$folder/cli/reseat quietly \
    sh tests/cli/run.sh $(grep -L ulimit tests/cli/*/cmd | xargs -n 1 dirname) || exit 1
python3 tests/coverage.py $folder
