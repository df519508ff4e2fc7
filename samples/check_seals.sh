#!/bin/sh
# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# sh samples/check_seals.sh FILE: checks every seal of a log without the program that wrote it, by
# sh, sed and sha256sum alone. Names each line that does not hold, then says how many do, and the
# newest seal. Exit 0 if every line is sound or sealed off by a repair record, 1 if not.

set -u
LC_ALL=C
export LC_ALL
[ $# = 1 ] && [ -r "$1" ] || { echo 'use: sh check_seals.sh FILE' >&2; exit 2; }
file=$1 number=0 offset=0 sound=0 sealed_off=0 bad=0 above='' pending=0

# Whether a line ends in a seal: then its text before that in $text, and the seal in $seal.
split() {
    seal=${1##*',"seal":"'} text=${1%',"seal":"'*}
    case $seal in
    *'"}') seal=${seal%'"}'} ;;
    *) return 1 ;;
    esac
    case $seal in
    *[!0-9a-f]*) return 1 ;;
    esac
    [ ${#seal} = 64 ] && [ "$text" != "$1" ]
}

# holds TEXT SEAL: whether that is the seal of the text below the seal above.
holds() {
    set -- "$1" "$2" "$(printf %s "$above$1" | sha256sum)"
    [ "${3%% *}" = "$2" ]
}

# Whether the lines $1 to $2 are the bytes that the repair record below them states.
repaired() {
    sum=$(sed -n "$1,$2p" "$file" | sha256sum)
    where='"offset_bytes":'$pending_offset',"length_bytes":'$((offset - pending_offset))
    case $text in
    *'"type":"repair",'*"$where"',"sha256":"'"${sum%% *}"'"'*) ;;
    *) return 1 ;;
    esac
}

# Lines below the last sound one, $pending of them: sealed off, or bad.
settle() {
    [ $pending -gt 0 ] || return 0
    last=$((number - 1)) first=$((number - pending))
    if [ "$1" = sound ] && repaired $first $last; then
        sealed_off=$((sealed_off + pending))
    else
        bad=$((bad + pending))
        while [ $first -le $last ]; do
            echo "$file:$first: its seal does not hold"
            first=$((first + 1))
        done
    fi
    pending=0
}

# No record holds a control byte; a shell would drop a NUL unseen.
sed 's/[[:cntrl:]]/?/g' "$file" | {
    while IFS= read -r line || [ -n "$line" ]; do
        number=$((number + 1)) sealed=no
        ! split "$line" || sealed=yes
        if [ $sealed = yes ] && holds "$text" "$seal"; then
            settle sound
            sound=$((sound + 1))
        else
            [ $pending -gt 0 ] || pending_offset=$offset
            pending=$((pending + 1))
        fi
        [ $sealed = no ] || above=$seal
        offset=$((offset + ${#line} + 1))
    done
    number=$((number + 1))
    settle end
    echo "$sound sound, $sealed_off sealed off, $bad bad; newest seal ${above:-none}"
    [ $bad = 0 ]
}
