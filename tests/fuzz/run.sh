#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# sh tests/fuzz/run.sh NAME SECONDS: builds NAME_fuzz.c with the library's sources for libFuzzer
# (clang) in build-fuzz, and fuzzes that long from the corpus. What is found new is kept in
# build-fuzz/NAME; an input that fails is named, is kept there too and belongs into the corpus once
# mended.

set -u
unset CDPATH
cd "$(dirname "$0")/../.." || exit 1
name=${1-} seconds=${2-}
[ -e "tests/fuzz/${name}_fuzz.c" ] && [ "$seconds" -gt 0 ] 2>/dev/null || {
    echo "use: sh tests/fuzz/run.sh NAME SECONDS, where tests/fuzz/NAME_fuzz.c is a target" >&2
    exit 2
}

mkdir -p "build-fuzz/$name"
clang -std=c11 -g -O1 -ffp-contract=off -D_POSIX_C_SOURCE=200809L \
    -DRESEAT_VERSION='"fuzz"' -Iinclude -Ilib \
    -fsanitize=fuzzer,address,undefined -fno-sanitize-recover=all \
    "tests/fuzz/${name}_fuzz.c" lib/*.c $(pkg-config --cflags --libs libcjson nettle) -lm \
    -o "build-fuzz/${name}_fuzz" || exit 1
exec "build-fuzz/${name}_fuzz" -max_total_time="$seconds" -timeout=10 -rss_limit_mb=2048 \
    -print_final_stats=1 -artifact_prefix="build-fuzz/$name/" \
    "build-fuzz/$name" "tests/fuzz/corpus/$name"
