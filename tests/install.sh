# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# Sourced, from the top of the project, by the scripts that build: what a build needs is installed
# where it is missing, and a build folder is set up. Nothing is asked of the network, and nothing
# is run as root, when all is there. Prints nothing unless something fails.

# What to have for building the program.
build_packages='gcc libc6-dev meson ninja-build pkg-config libcjson-dev nettle-dev'

# Whether a Debian package, or the same thing from elsewhere, is there.
have() {
    case $1 in
    clang) command -v clang ;;
    gcc) command -v gcc ;;
    groff-base) command -v groff ;;
    libc6-dev) echo '#include <stdlib.h>' | "${CC:-cc}" -E - ;;
    libclang-rt-*) echo 'int main(void){return 0;}' | ls "$(clang -print-runtime-dir)"/libclang_rt.fuzzer* ;;
    libcjson-dev) pkg-config --exists libcjson ;;
    libcmocka-dev) pkg-config --exists cmocka ;;
    libgsl-dev) pkg-config --exists gsl ;;
    libsqlite3-dev) pkg-config --exists sqlite3 ;;
    locales) command -v localedef && [ -e /usr/share/i18n/locales/de_DE ] ;;
    nettle-dev) pkg-config --exists nettle ;;
    ninja-build) command -v ninja ;;
    poppler-utils) command -v pdftotext ;;
    postgresql) command -v psql && { command -v postgres || ls /usr/lib/postgresql/*/bin/postgres; } ;;
    python3-*) dpkg-query -W -f='${db:Status-Status}' "$1" | grep -qx installed ;;
    *) command -v "$1" ;;
    esac >/dev/null 2>&1
}

missing_of() {
    for package; do
        have "$package" || printf '%s ' "$package"
    done
}

as_root() {
    if [ "$(id -u)" = 0 ]; then "$@"; else sudo "$@"; fi
}

# need PACKAGE...: installs what is missing; fails, saying what to install, where that cannot be.
need() {
    missing=$(missing_of "$@")
    [ -n "$missing" ] || return 0
    if command -v apt-get >/dev/null && { [ "$(id -u)" = 0 ] || command -v sudo >/dev/null; }; then
        install_log=$(mktemp) || return 1
        { as_root apt-get -q -o DPkg::Lock::Timeout=300 update &&
            as_root env DEBIAN_FRONTEND=noninteractive apt-get -q -y --no-install-recommends \
                -o DPkg::Lock::Timeout=300 install $missing; } >"$install_log" 2>&1 </dev/null ||
            tail -n 5 "$install_log" >&2
        rm -f "$install_log"
        missing=$(missing_of "$@")
        [ -n "$missing" ] || return 0
    fi
    echo "missing, please install (Debian's names): $missing" >&2
    return 1
}

# quietly COMMAND...: its output is shown only if it fails.
quietly() {
    quiet_log=$(mktemp) || return 1
    "$@" >"$quiet_log" 2>&1 </dev/null
    quiet_status=$?
    [ $quiet_status = 0 ] || tail -n 40 "$quiet_log" >&2
    rm -f "$quiet_log"
    return $quiet_status
}

# set_up FOLDER OPTION...: a build folder of this checkout with these options. One that an earlier
# call made for another place or with other options is made anew; one made by hand is used as it is.
set_up() {
    folder=$1
    shift
    stamp="$PWD ${CC-} $*"
    if [ -e "$folder/set-up" ] && [ "$(cat "$folder/set-up")" != "$stamp" ]; then
        rm -rf "$folder"
    fi
    [ ! -e "$folder/build.ninja" ] || return 0
    quietly meson setup "$folder" "$@" && printf '%s\n' "$stamp" >"$folder/set-up"
}
