#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# sh tests/analyse.sh [PART...]: looks for faults that the suites do not show; anything that is found
# fails. The parts, all unless named:
#
#   gcc        gcc -fanalyzer on library and program
#   tidy       clang-tidy, by the checks in .clang-tidy
#   cppcheck
#   thread     the suite `threads` under the thread sanitizer
#   valgrind   memcheck with a full search for leaks, on unit tests, samples and golden cases
#
# The address and undefined-behaviour sanitizers are part of tests/run.sh.

set -u
unset CDPATH
cd "$(dirname "$0")/.." || exit 1
. tests/install.sh
. tests/tap.sh

# Too slow here, some for minutes: they search or repeat at length what others reach as well.
slow_units='chance extremes_fit extremes_model log_fail number_format state_damage state_events
    state_model text time verdict'
# What they compare with is computed in long double, which is a double here.
longer_units='plane seat'
golden='check-any check-keys check-radii check-record check-tolerance allowed-budget correct-json
    correct-log drift drift-json effects-log effects-radii effects-standard find-seat-keys
    find-seat-record find-seat-touches history-hostile log-damaged log-seat-contradicts overview
    record-policy record-refusals reduce-record reduce-sphere report report-damaged study-record
    suspect-refusals audit-damaged bad-feature-many bad-foreign-bytes bad-touches-mixed-units
    help-check'

work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
trap 'exit 1' HUP INT TERM
export CC=gcc

# build FOLDER OPTION...: set up and built, but for the tests, unless targets are named in $targets.
build() {
    folder=$1
    shift
    set_up "$folder" -Dwerror=true "$@" && quietly meson compile -C "$folder" $targets
}

# For each source of library and program: COMMAND... FILE, as many at once as there are processors.
each_source() {
    printf '%s\0' lib/*/*.c cli/*.c cli/*/*.c | xargs -0 -n 1 -P "$(nproc)" "$@" >"$work/found" 2>&1 && return
    grep -v 'warnings\{0,1\} \(treated as errors\|generated\)' "$work/found"
    return 1
}

# Of who owns what in a record's values, which are reached by their field, gcc 12 loses track; leaks
# are looked for by valgrind, and by the fault tests with every allocation failing in its turn.
analyse_gcc() {
    each_source gcc -std=c11 -O1 -fanalyzer -Wall -Wextra -Werror -Wno-analyzer-malloc-leak \
        -D_POSIX_C_SOURCE=200809L '-DRESEAT_VERSION="0"' -Iinclude -Ilib -Icli -c -o /dev/null
}

# A process a file: several in one confuse what it knows of variable arguments.
analyse_tidy() {
    each_source clang-tidy --quiet -p build-analyse
}

# variableScope: buffers for the texts of a line stand together, above the branch that uses some.
analyse_cppcheck() {
    cppcheck -q -j "$(nproc)" --std=c11 --enable=warning,performance,portability,style \
        --error-exitcode=1 --suppress=variableScope -D_POSIX_C_SOURCE=200809L \
        '-DRESEAT_VERSION="0"' -Iinclude -Ilib -Icli lib cli
}

analyse_thread() {
    targets=tests/threads/threads build build-analyse-thread -Db_sanitize=thread || return
    TSAN_OPTIONS=halt_on_error=1 RESEAT_TEST_SAMPLES=$PWD/samples RESEAT_TEST_DATA=$PWD/tests/data \
        build-analyse-thread/tests/threads/threads
}

# Tests compare structures whole to see that they are untouched: bytes between members say nothing.
suppress_padding() {
    printf '%s\n' '{' 'bytes between members' Memcheck:Cond ... 'fun:_assert_memory_*equal' '}' \
        >"$work/padding"
}

# under_valgrind COMMAND...: what is found ends in a file of its own, so that output can be compared.
under_valgrind() {
    valgrind -q --suppressions="$work/padding" --leak-check=full --show-leak-kinds=all \
        --errors-for-leak-kinds=all \
        --error-exitcode=98 --log-file="$work/valgrind.%p" "$@"
}

# Nothing was found by any process since the last call.
found_nothing() {
    cat "$work"/valgrind.* >"$work/all" && rm -f "$work"/valgrind.* && [ ! -s "$work/all" ] &&
        return
    cat "$work/all"
    return 1
}

unit_clean() {
    RESEAT_TEST_DATA=$PWD/tests/data RESEAT_TEST_REFERENCE=$PWD/../shared/reference under_valgrind \
        "$1" >"$work/out" 2>&1
    status=$?
    found_nothing && [ $status = 0 ] && return
    grep -a FAILED "$work/out"
    return 1
}

sample_clean() {
    ( cd samples && under_valgrind "$1" ) >"$work/out" && found_nothing && cmp "$work/out" "samples/$2"
}

golden_clean() {
    RESEAT_TEST_PROGRAM=$work/bin/reseat sh tests/cli/run.sh "$1" && found_nothing
}

# A program in the place of the real one, which cmd of a golden case finds on its PATH.
wrap_program() {
    mkdir "$work/bin" && cat >"$work/bin/reseat" <<EOF
#!/bin/sh
exec valgrind -q --leak-check=full --show-leak-kinds=all --errors-for-leak-kinds=all \\
    --error-exitcode=98 --log-file='$work/valgrind.%p' '$PWD/build-analyse/cli/reseat' "\$@"
EOF
    chmod +x "$work/bin/reseat"
}

# A leak and a byte too far are found, or all below would say nothing.
valgrind_finds() {
    cat >"$work/bad.c" <<'EOF'
#include <stdlib.h>
int main(int count, char **words)
{
    char *bytes = malloc((size_t)count);
    return words[0] == NULL || bytes[count] == 1;
}
EOF
    gcc -O0 -o "$work/bad" "$work/bad.c" || return
    under_valgrind "$work/bad"
    [ $? = 98 ] && ! found_nothing >"$work/found" && grep -q 'Invalid read' "$work/found" &&
        grep -q 'definitely lost' "$work/found"
}

analyse_valgrind() {
    suppress_padding
    check 'valgrind finds a leak and a byte too far' valgrind_finds
    wrap_program
    for unit in build-analyse/tests/unit/*_test; do
        name=$(basename "$unit" _test)
        case " $slow_units $longer_units " in *" $name "*) continue ;; esac
        check "valgrind: unit test $name" unit_clean "$unit"
    done
    for sample in put_back record_and_check reduce_touches; do
        check "valgrind: sample $sample" sample_clean "$PWD/build-analyse/samples/$sample" \
            "$sample.out"
    done
    check 'valgrind: sample write_schema' sample_clean "$PWD/build-analyse/samples/write_schema" \
        reseat-log.schema.json
    for case in $golden; do
        check "valgrind: golden case $case" golden_clean "$case"
    done
}

[ $# -gt 0 ] || set -- gcc tidy cppcheck thread valgrind
need $build_packages libcmocka-dev clang-tidy cppcheck valgrind || exit 1
case " $* " in
*' tidy '*|*' valgrind '*) targets='' build build-analyse || exit 1 ;;
esac
for part; do
    case $part in
    gcc) check 'gcc -fanalyzer finds nothing' analyse_gcc ;;
    tidy) check 'clang-tidy finds nothing' analyse_tidy ;;
    cppcheck) check 'cppcheck finds nothing' analyse_cppcheck ;;
    thread) check 'eight threads, and the thread sanitizer finds nothing' analyse_thread ;;
    valgrind) analyse_valgrind ;;
    *) echo "use: sh tests/analyse.sh [gcc] [tidy] [cppcheck] [thread] [valgrind]" >&2; exit 2 ;;
    esac
done
finish
