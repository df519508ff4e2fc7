#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# Makes trial Debian packages of what `meson install` installs, in a folder of their own: lintian
# must find no error, and what is unpacked from them must run, link and be documented. That a
# package can be made is what is tested; none is kept.

set -u
unset CDPATH
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh
work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
trap 'exit 1' HUP INT TERM
chmod 755 "$work"
triple=$(gcc -print-multiarch)
libraries=usr/lib/$triple
architecture=$(dpkg --print-architecture)
version=$(sed -n "s/^  version: '\(.*\)',/\1/p" meson.build)
soversion=$(sed -n 's/^so-version \([0-9]*\)$/\1/p; s/^soversion \([0-9]*\)$/\1/p' tests/abi/interface)
umask 022

install_all() {
    meson setup "$work/build" . --prefix=/usr --libdir="lib/$triple" --buildtype=release \
        -Db_lundef=true -Dc_args='-g -O2 -D_FORTIFY_SOURCE=2 -fstack-protector-strong' \
        -Dc_link_args='-Wl,-z,relro,-z,now' && ninja -C "$work/build" cli/reseat &&
        DESTDIR=$work/all meson install -C "$work/build" --strip
}

# move PACKAGE FOLDER PATTERN...: what of the installed files goes into a package.
move() {
    package=$1 folder=$2
    shift 2
    mkdir -p "$work/$package/$folder" || return
    for pattern; do mv "$work"/all/$folder/$pattern "$work/$package/$folder/" || return; done
}

# describe PACKAGE SECTION DEPENDS SUMMARY TEXT: its control file and what every package has.
describe() {
    mkdir -p "$work/$1/DEBIAN" "$work/$1/usr/share/doc/$1" || return
    cat >"$work/$1/DEBIAN/control" <<EOF || return
Package: $1
Version: $version-1
Architecture: $architecture
Maintainer: the reseat contributors <reseat@example.org>
Section: $2
Priority: optional
Depends: $3
Description: $4
 $5
EOF
    cp LICENSE "$work/$1/usr/share/doc/$1/copyright" || return
    printf 'reseat (%s-1) unstable; urgency=medium\n\n  * Trial package.\n\n -- %s\n' "$version" \
        'the reseat contributors <reseat@example.org>  Tue, 01 Dec 2026 00:00:00 +0000' |
        gzip -9n >"$work/$1/usr/share/doc/$1/changelog.Debian.gz"
    find "$work/$1/usr/share/man" -type f -exec gzip -9n {} + 2>/dev/null
    ( cd "$work/$1" && find usr -type f -exec md5sum {} + >DEBIAN/md5sums )
    find "$work/$1" -type d -exec chmod 755 {} +
    dpkg-deb --root-owner-group -b "$work/$1" "$work/$1.deb"
}

packages() {
    library=libreseat$soversion
    move "$library" "$libraries" "libreseat.so.$soversion" "libreseat.so.$version" &&
        chmod 644 "$work/$library/$libraries/libreseat.so.$version" && # as dh_fixperms does
        move libreseat-dev "$libraries" libreseat.so pkgconfig && move libreseat-dev usr include &&
        move reseat usr bin share && [ -z "$(find "$work/all" ! -type d)" ] || return
    mkdir -p "$work/$library/DEBIAN" &&
        echo 'activate-noawait ldconfig' >"$work/$library/DEBIAN/triggers" &&
        echo "libreseat $soversion $library (>= $version)" >"$work/$library/DEBIAN/shlibs" || return
    describe "$library" libs 'libc6, libcjson1, libnettle8' 'whether a touch probe still measures right' \
        'The shared library.' &&
        describe libreseat-dev libdevel "$library (= $version-1)" \
            'whether a touch probe still measures right - development files' 'Headers and pkg-config.' &&
        describe reseat science "libc6, $library (= $version-1)" \
            'whether a touch probe that was put back still measures right' \
            'Computes what a touch probe gets wrong that was put back turned.'
}

# Errors alone: what a trial lacks, such as a bug that it closes, lintian warns of.
sound() {
    lintian --allow-root --fail-on error --tag-display-limit 0 "$@"
}

unpacked_works() {
    for package in "libreseat$soversion" libreseat-dev reseat; do
        dpkg-deb -x "$work/$package.deb" "$work/root" || return
    done
    cp samples/put_back.c "$work/put_back.c" &&
        gcc "$work/put_back.c" -I"$work/root/usr/include" -L"$work/root/$libraries" -lreseat -lm \
            -o "$work/put_back" &&
        LD_LIBRARY_PATH=$work/root/$libraries "$work/put_back" | diff -u samples/put_back.out - &&
        LD_LIBRARY_PATH=$work/root/$libraries "$work/root/usr/bin/reseat" --version >/dev/null &&
        for page in man1/reseat.1 man5/reseat-log.5 man7/reseat-model.7; do
            gzip -dc "$work/root/usr/share/man/$page.gz" | grep -q '^\.Sh NAME' || return
        done
}

check 'everything can be installed below DESTDIR' install_all
check 'every installed file belongs to a package' packages
for package in "libreseat$soversion" libreseat-dev reseat; do
    check "lintian finds no error in $package" sound "$work/$package.deb"
done
check 'what is unpacked runs, links and is documented' unpacked_works
finish
