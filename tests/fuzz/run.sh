#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# sh tests/fuzz/run.sh NAME SECONDS: builds NAME_fuzz.c and the library for libFuzzer (clang) in
# build-fuzz, and fuzzes that long from the corpus. What is found new is kept in build-fuzz/NAME;
# an input that fails is named, is kept there too and belongs into the corpus once mended.

set -u
unset CDPATH
cd "$(dirname "$0")/../.." || exit 1
. tests/install.sh
name=${1-} seconds=${2-}
if [ ! -e "tests/fuzz/${name}_fuzz.c" ] || ! [ "$seconds" -gt 0 ] 2>/dev/null; then
    echo "use: sh tests/fuzz/run.sh NAME SECONDS, where tests/fuzz/NAME_fuzz.c is a target" >&2
    exit 2
fi

# The library must be compiled for the fuzzer as well: coverage is what guides it.
export CC=clang
sanitizers=address,undefined
CFLAGS=-fsanitize=fuzzer-no-link,$sanitizers LDFLAGS=-fsanitize=$sanitizers \
    set_up build-fuzz -Db_lundef=false && quietly ninja -C build-fuzz lib/libcore.a || exit 1
mkdir -p "build-fuzz/$name"
case $name in # what a target is made of beside the library
options) parts='-Icli cli/fields.c cli/options.c cli/parse.c cli/request.c' ;;
*) parts= ;;
esac
clang -std=c11 -g -O1 -D_POSIX_C_SOURCE=200809L -Iinclude -Ilib -fsanitize=fuzzer,$sanitizers \
    -fno-sanitize-recover=all "tests/fuzz/${name}_fuzz.c" $parts build-fuzz/lib/libcore.a \
    $(pkg-config --cflags --libs libcjson nettle) -lm -o "build-fuzz/${name}_fuzz" || exit 1
UBSAN_OPTIONS=halt_on_error=1:print_stacktrace=1 exec "build-fuzz/${name}_fuzz" \
    -max_total_time="$seconds" -timeout=10 -rss_limit_mb=2048 -print_final_stats=1 \
    -artifact_prefix="build-fuzz/$name/" "build-fuzz/$name" "tests/fuzz/corpus/$name"
