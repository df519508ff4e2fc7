# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# Sourced by the scripts that try the program itself, $RESEAT_TEST_PROGRAM: what they have in common.
# $work is their folder, $work/small one to be mounted on.

. tests/tap.sh
LC_ALL=C
ASAN_OPTIONS=exitcode=99:detect_leaks=0 # leaks cannot be looked for under strace
export LC_ALL ASAN_OPTIONS RESEAT_LOG RESEAT_TEST_PROGRAM
umask 022

reseat() {
    "$RESEAT_TEST_PROGRAM" "$@"
}

begin_log() {
    reseat record "${1-mill-1}" run --new --probe P1 --seat 0 --offset 0.004,-0.0011 >/dev/null
}

# ends_with CODE TEXT COMMAND...: the exit code, and the one line on standard error that holds TEXT.
ends_with() {
    code=$1 text=$2
    shift 2
    "$@" >"$work/out" 2>"$work/err"
    actual=$?
    if [ $actual != "$code" ] || [ "$(grep -c '' "$work/err")" != 1 ] ||
        ! grep -qF -- "$text" "$work/err"; then
        echo "exit $actual where $code was expected, with \"$text\" in:"
        cat "$work/err"
        return 1
    fi
}

can_strace() {
    strace -o /dev/null true 2>/dev/null
}

if [ "$(id -u)" = 0 ]; then map=; else map=-r; fi

can_mount() {
    unshare -m $map mount -t tmpfs none "$work/small" 2>/dev/null
}

# mounted SCRIPT PART: a part of a script, as `SCRIPT in-mount PART`, with mounts of its own.
mounted() {
    work=$work unshare -m $map sh tests/faults/"$1" in-mount "$2"
}

# as USER COMMAND...: as nobody that the machine knows, in the group of the shared folder.
as() {
    user=$1
    shift
    setpriv --reuid="$user" --regid="$user" --groups=60100 "$RESEAT_TEST_PROGRAM" "$@"
}

can_switch() {
    [ "$(id -u)" = 0 ] && command -v setpriv >/dev/null &&
        setpriv --reuid=60001 --regid=60001 --groups=60100 test -x "$RESEAT_TEST_PROGRAM"
}
