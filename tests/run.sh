#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# sh tests/run.sh [--all]: installs what the tests need, builds, and runs every suite, and units,
# golden cases and fuzz replay again under the address and undefined-behaviour sanitizers: four
# minutes on two processors. --all adds what takes long or needs large packages; what that is, is
# listed below and said at the end of a run without it.

set -u
unset CDPATH
cd "$(dirname "$0")/.." || exit 1
. tests/install.sh

case ${1-} in
'') all=no ;;
--all) all=yes ;;
*) echo "use: sh tests/run.sh [--all]" >&2; exit 2 ;;
esac

tally=$(mktemp) && log=$(mktemp) && failures=$(mktemp) && scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$tally" "$log" "$failures" "$scratch"' EXIT
trap 'exit 1' HUP INT TERM

# What a suite held is shown and kept for the sum.
count() {
    echo "$1: $2 passed, $3 failed, $4 skipped" | tee -a "$tally"
}

# What failed in the log, and what was said of it, stands again at the end, where it is looked for.
keep_failures() {
    sed -n "s/^not ok/$label: not ok/p; /^# /p" "$log" | tail -n 60 >>"$failures"
}

left_out() {
    echo "left out: $1: $2"
}

# one LABEL COMMAND...: a command that counts as one test.
one() {
    label=$1
    shift
    if quietly "$@"; then count "$label" 1 0 0; else count "$label" 0 1 0; fi
}

# runner LABEL COMMAND...: a script that reports by the Test Anything Protocol.
runner() {
    label=$1
    shift
    "$@" >"$log" 2>&1 </dev/null || grep -q '^not ok' "$log" || echo "not ok - $*" >>"$log"
    grep -q -e '^ok' -e '^not ok' "$log" || echo "not ok - $*: no result" >>"$log"
    ! grep -q '^not ok' "$log" || { cat "$log"; keep_failures; }
    skipped=$(grep -c '^ok.*# SKIP' "$log")
    count "$label" $(($(grep -c '^ok' "$log") - skipped)) "$(grep -c '^not ok' "$log")" "$skipped"
}

# configure LABEL FOLDER OPTION...: only a failure counts, as nothing is tested yet.
configure() {
    label=$1 folder=$2
    shift 2
    set_up "$folder" -Dwerror=true "$@" && quietly meson setup --reconfigure "$folder" && return
    count "$label build" 0 1 0
    return 1
}

# build LABEL FOLDER OPTION...: the whole of it, also what no suite asks for.
build() {
    configure "$@" || return
    quietly meson compile -C "$2" && return
    count "$1 build" 0 1 0
    return 1
}

# suites LABEL FOLDER OPTION...: one run of meson test, which builds what these suites lack;
# benchmarks are shown as they are.
suites() {
    label=$1 folder=$2
    shift 2
    rm -f "$folder"/meson-logs/*log.json
    meson test -C "$folder" --print-errorlogs "$@" >"$log" 2>&1 </dev/null
    status=$?
    set -- "$folder"/meson-logs/*log.json
    [ $status = 0 ] && { [ "$label" != benchmarks ] || [ ! -e "$1" ]; } || cat "$log"
    [ $status = 0 ] || keep_failures
    if [ -e "$1" ]; then
        python3 tests/count.py "$label" "$1" | tee -a "$tally"
    elif [ $status = 0 ]; then
        left_out "$label" 'there are none'
    else
        count "$label" 0 1 0
    fi
}

# A static release that finds the packages of the library alone must build, less the tests' programs.
bare_build() {
    mkdir "$scratch/packages"
    for package in libcjson nettle; do
        cp "$(pkg-config --variable=pcfiledir $package)/$package.pc" "$scratch/packages/"
    done
    printf '[binaries]\ncmake = %s\n' "'no-cmake'" >"$scratch/native"
    rm -rf build-bare
    PKG_CONFIG_LIBDIR=$scratch/packages meson setup build-bare --buildtype=release -Dwerror=true \
        -Ddefault_library=static --native-file "$scratch/native" &&
        meson compile -C build-bare && [ -x build-bare/cli/reseat ] && [ ! -e build-bare/tests/unit ]
}

# A project that has this one as a subproject and asks for the dependency of that name.
subproject_build() {
    mkdir -p "$scratch/user/subprojects" && ln -s "$PWD" "$scratch/user/subprojects/reseat" &&
        cp tests/abi/uses.c "$scratch/user/" || return
    cat >"$scratch/user/meson.build" <<'EOF'
project('user', 'c', default_options: 'c_std=c11')
uses = executable('uses', 'uses.c', dependencies: dependency('reseat', fallback: 'reseat'))
test('uses', uses)
EOF
    meson setup "$scratch/user/build" "$scratch/user" && meson compile -C "$scratch/user/build" uses &&
        meson test -C "$scratch/user/build" --no-rebuild uses
}

# A program that cannot run where it is built: what is made by running one is made all the same.
cross_build() {
    printf '%s\n' '[binaries]' "c = '${CC:-cc}'" "ar = 'ar'" "pkgconfig = 'pkg-config'" \
        '[properties]' 'needs_exe_wrapper = true' '[host_machine]' "system = 'linux'" \
        "cpu_family = '$(uname -m)'" "cpu = '$(uname -m)'" "endian = 'little'" >"$scratch/cross" &&
        rm -rf build-cross && meson setup build-cross --cross-file "$scratch/cross" &&
        meson compile -C build-cross manual &&
        grep -q "^\.It Fl Fl limit" build-cross/cli/manual/reseat.1
}

# What is committed, packed, unpacked elsewhere, built and tested.
trial_release() {
    meson dist -C build-test --allow-dirty --formats gztar
}

run_clang() {
    build clang build-clang && suites clang build-clang --no-suite montecarlo
    build 'clang sanitized' build-clang-sanitized $sanitized -Db_lundef=false &&
        suites 'clang sanitized' build-clang-sanitized --no-suite montecarlo --no-suite abi \
            --no-suite locale -t 3
    for target in tests/fuzz/*_fuzz.c; do
        name=$(basename "$target" _fuzz.c)
        [ ! -e "$target" ] || one "fuzz $name" sh tests/fuzz/run.sh "$name" 10
    done
}

# elsewhere SUITE SCRIPT PACKAGE...: a suite with a runner of its own, and what that needs.
elsewhere() {
    suite=$1 script=$2
    shift 2
    if [ ! -e "$script" ]; then
        left_out "$suite" "there is no $script"
    elif need "$@"; then
        runner "$suite" sh "$script"
    else
        left_out "$suite" "missing: $(missing_of "$@")"
    fi
}

test_packages='g++ python3 python3-jsonschema libcmocka-dev locales strace bash groff-base mandoc'
[ $all = no ] || test_packages="$test_packages libgsl-dev libsqlite3-dev"
need $build_packages $test_packages || [ -z "$(missing_of $build_packages python3)" ] || exit 1

export CC=gcc
sanitized='-Db_sanitize=address,undefined -Doptimization=1'
[ $all = no ] || export RESEAT_TEST_ROUNDS=all
runner 'demo samples' sh tests/samples/demo.sh
build gcc build-test && suites gcc build-test --no-suite montecarlo
for suite in unit cli samples abi locale faults fuzz threads; do
    if grep -q "^gcc $suite:" "$tally"; then continue; fi
    if [ -e tests/$suite ]; then left_out $suite 'not built here, for want of its packages'
    else left_out $suite "there is no tests/$suite"; fi
done
configure sanitized build-test-sanitized $sanitized &&
    suites sanitized build-test-sanitized --suite unit --suite cli --suite fuzz -t 3

if [ $all = no ]; then
    for what in 'sanitized samples' 'sanitized locale' 'sanitized faults' 'sanitized threads' \
        'three in four random cases' 'bare release' subproject 'cross build' clang fuzzing browser \
        database python package 'long faults' montecarlo benchmarks 'trial release' 'strange places' coverage \
        analysers; do
        left_out "$what" 'only with --all'
    done
else
    suites sanitized build-test-sanitized --suite samples --suite locale --suite faults \
        --suite threads -t 3
    one 'bare release' bare_build
    one subproject subproject_build
    one 'cross build' cross_build
    if need clang libclang-rt-dev; then CC=clang CXX=clang++ run_clang
    else left_out 'clang and fuzzing' "missing: $(missing_of clang libclang-rt-dev)"; fi
    elsewhere browser tests/browser/run.sh chromium poppler-utils
    elsewhere database tests/database/run.sh postgresql
    elsewhere package tests/package/run.sh lintian
    elsewhere python tests/python/run.sh python3-cffi python3-matplotlib python3-pandas
    export RESEAT_FAULTS_SECONDS=60
    suites 'long faults' build-test --suite faults -t 20
    if build release build-release --buildtype=release; then
        suites montecarlo build-release --suite montecarlo -t 10
        suites benchmarks build-release --benchmark --verbose
    fi
    if git rev-parse >/dev/null 2>&1; then
        one 'trial release' trial_release
        elsewhere 'strange places' tests/places.sh
    else
        left_out 'trial release and strange places' 'not under version control'
    fi
    one coverage sh tests/coverage.sh
    elsewhere analysers tests/analyse.sh clang-tidy cppcheck valgrind
fi

cat "$failures"
awk '{ passed += $(NF - 5); failed += $(NF - 3); skipped += $(NF - 1) }
    END {
        line = passed + 0 " passed, " failed + 0 " failed"
        print skipped ? line ", " skipped " skipped" : line
        exit failed || !passed
    }' "$tally"
