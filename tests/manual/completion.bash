# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

# completion.bash PROGRAM COMPLETION: what the completion offers, asked as bash asks for it.

set -u
unset CDPATH RESEAT_LOG RESEAT_SPINDLE
program=$(realpath "$1")
. "$2"
cd "$(dirname "$0")/../.." || exit 1
. tests/tap.sh

work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT

# Outside of a completion bash takes no such option: it is shown in place of the answer.
compopt() {
    COMPREPLY+=("<$2>")
}

# offers EXPECTED PIECE...: the pieces as bash parts a line, the last the one to be completed.
offers() {
    local expected=$1
    shift
    COMP_WORDS=(reseat "$@")
    COMP_CWORD=$#
    COMPREPLY=()
    _reseat
    [ "${COMPREPLY[*]}" = "$expected" ] ||
        { printf 'reseat %s\nexpected %s\n     got %s\n' "$*" "$expected" "${COMPREPLY[*]}"; false; }
}

commands=$("$program" --help | sed -n '/^Commands$/,/^$/s/^  \([a-z-]*\) .*/\1/p' | tr '\n' ' ')
check 'commands' offers "${commands% }" ''
check 'the command that begins so' offers 'correct' co
check 'nothing where none begins so' offers '' xyz
check 'options before a command' offers '--help' --he
check 'a command behind options' offers 'check' --json ch
check 'a command behind an option and its value' offers 'check' --log /x ch
check 'options of the command' offers '--limit' check --li
check 'only those of the command' offers '' history --li
check 'an option of one letter' offers '-o' report mill-2 -o
check 'no option after --' offers '' check -- --li

check 'values' offers 'ring plug sphere bore boss' reduce --gauge ''
check 'values after an equals sign' offers 'sphere' reduce --gauge = s
check 'at once after it' offers 'ring plug sphere bore boss' reduce --gauge =
check 'where bash does not part words there' eval \
    'COMP_WORDBREAKS=" " offers "--gauge=sphere" reduce --gauge=s'
check 'datum' offers 'machine before same' correct --datum ''
check 'format' offers 'csv' history --format c
check 'type' offers 'reseat' history --type re
check 'unit' offers 'mm um in thou' check --unit ''
check 'kind of an event' offers 'collision stylus-change service other' record mill-2 event --kind ''
check 'nothing for a number' offers '' check --limit ''
check 'nothing for the value of a flag' offers '' check --json = ''

check 'kinds of record' offers 'run reseat event verify policy void repair' record mill-2 ''
check 'fields of the kind' offers '--stylus-length' record mill-2 run --sty
check 'not those of another' offers '' record mill-2 policy --sty
check 'half the interval of a seat' offers '--within' record mill-2 reseat --wi
check 'fields to drop from a policy' offers '--no-limit' record mill-2 policy --no-li
check 'only from a policy' offers '' record mill-2 run --no-li
check 'the kind where the spindle is known' eval \
    'RESEAT_SPINDLE=mill-2 offers "run reseat repair" record r'

check 'files of touches' offers '<default>' reduce ''
check 'files as values' offers '<default>' find-seat --then t
check 'the page of a report' offers '<default>' report mill-2 -o ''
check 'results behind a spindle' offers '<default>' correct mill-2 ''
check 'folders' offers '<dirnames>' check --log ''
check 'numbers where a file has the same name' offers '' record mill-2 run --radii ''

# Names that would do harm if they were run, expanded or parted, and a folder of such a name.
logs="$work/the \$(touch ran) \`touch ran\` 'logs"
mkdir "$logs"
cd "$work" || exit 1
for name in hmc-1 mill-1 mill-2 '$(touch ran)' '`touch ran`' 'a b' ';touch ran' '*' '~' -x UP \
    $'mill-3\nmill-4' "it's"; do
    : >"$logs/$name.jsonl"
done
: >"$logs/mill-9.txt"
: >S # what the [SPINDLE] of a synopsis would match
ln -s "$logs" plain
ln -s "$logs" 'two words'
export RESEAT_LOG=$logs
check 'spindles of RESEAT_LOG' offers 'hmc-1 mill-1 mill-2' check ''
check 'those that begin so' offers 'mill-1 mill-2' drift mi
check 'where it may be left out' offers 'hmc-1' audit h
check 'or a file' offers '<default>' correct zz
check 'as the value of an option' offers 'mill-1 mill-2' study x.csv --record m
check 'behind an option that takes no value' offers 'mill-1 mill-2' check --record mi
unset RESEAT_LOG
check 'no folder, no spindles' offers '' check m
check 'spindles of --log' offers 'mill-1 mill-2' check --log plain m
check 'of --log=' offers 'mill-1 mill-2' check --log = plain m
check 'before the command' offers 'mill-1 mill-2' --log plain check m
check 'of a folder with a blank in its name' offers 'mill-1 mill-2' check --log 'two\ words' m
check 'in single quotes' offers 'mill-1 mill-2' check --log "'two words'" m
check 'in double quotes' offers 'mill-1 mill-2' check --log '"two words"' m
check 'below the home' eval 'HOME=$work offers "mill-1 mill-2" check --log "~/plain" m'
check 'nothing is expanded in what is typed' offers '' check --log '$(touch ran)' m
check 'whatever IFS' eval 'IFS=: ; offers hmc-1 check --log plain h'
check 'a colon in a value before' offers 'hmc-1' effects --log plain --feature bore : 20mm h
check 'nothing was run' test ! -e ran

# The values offered are those the program takes: it refuses another, and no one of them.
cd "$work" || exit 1
takes() {
    option=$1
    shift
    "$program" "$@" 2>&1 | grep -q "^reseat: \(--\)*${option#--}:" && return 1
    return 0
}
only() {
    option=$1 values=
    shift
    _reseat_value_of "$1" "$option"
    for value in $values; do
        takes "$option" "$@" "$option" "$value" || { echo "$value is refused"; return 1; }
    done
    [ "$values" ] && ! takes "$option" "$@" "$option" nonsense
}
echo 'x_mm,y_mm' >empty.csv
check 'values of --unit' only --unit check --offset 0,0 --limit 1
check 'values of --gauge' only --gauge reduce empty.csv --diameter 50
check 'values of --datum' only --datum correct empty.csv --offset 0,0 --seat 0
check 'values of --type' only --type history mill-1 --log "$logs"
check 'values of --format' only --format history mill-1 --log "$logs"
check 'values of --kind' only --kind record new event --new --log "$work" --dry-run
check 'values of --reseats' only --reseats record new policy --new --log "$work" --dry-run
finish
