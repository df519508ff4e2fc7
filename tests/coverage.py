# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

"""python3 tests/coverage.py BUILD: which lines and branches of lib the tests that ran there reached.

Prints them file by file and in all, then every branch that was not reached and is not explained in
coverage.txt beside this file. Fails below the bounds, and where something is not explained.
"""

import collections
import json
import pathlib
import subprocess
import sys

LINES_LEAST = 1.0
BRANCHES_LEAST = 0.98
HERE = pathlib.Path(__file__).resolve().parent
LIB = HERE.parent / 'lib'


def count(build):
    """Of each file of lib: (line, function) to how often it ran, and each branch of it.

    What is compiled more than once (all of it, for programs and for tests; a function of a header)
    has its counts added up.
    """
    files = collections.defaultdict(dict)
    notes = sorted(pathlib.Path(build, 'lib').glob('*.p/*.gcno'))
    out = subprocess.run(['gcov', '--json-format', '--stdout', '--branch-probabilities', *notes],
                         check=True, capture_output=True, text=True).stdout
    for text in out.splitlines():
        for file in json.loads(text)['files']:
            path = pathlib.Path(build, file['file']).resolve()
            if LIB in path.parents:
                add(files[path], file['lines'])
    return files


def add(counts, lines):
    for line in lines:
        key = line['line_number'], line.get('function_name', '')
        branches = [branch['count'] for branch in line['branches']]
        ran, so_far = counts.get(key, (0, [0] * len(branches)))
        counts[key] = ran + line['count'], [a + b for a, b in zip(so_far, branches)]


def read_explained():
    """A reason, and indented below it the places it holds for: FILE FUNCTION: LINE OF CODE."""
    places, reason = set(), None
    for line in (HERE / 'coverage.txt').read_text().splitlines():
        if not line.startswith(' '):
            reason = None if line.startswith('#') else line
        elif not reason:
            sys.exit(f'tests/coverage.txt does not say why: {line.strip()}')
        else:
            places.add(line.strip())
    return places


def share(reached, all_of_them):
    return f'{reached:5} of {all_of_them:5} {100 * reached / max(all_of_them, 1):6.2f} %'


def main():
    explained, used, missed = read_explained(), set(), []
    total = [0, 0, 0, 0]
    for path, counts in sorted(count(sys.argv[1]).items()):
        name, code = path.name, path.read_text().splitlines()
        ran = {}
        branches = [0, 0]
        for (line, function), (times, taken) in sorted(counts.items()):
            ran[line] = ran.get(line, 0) + times
            branches[0] += sum(n > 0 for n in taken)
            branches[1] += len(taken)
            place = f'{name} {function}: {code[line - 1].strip()}'
            if times > 0 and all(taken):
                continue
            if times > 0 and place in explained:
                used.add(place)
            else:
                missed.append((path, line, place, taken if times else 'never ran'))
        sums = [sum(n > 0 for n in ran.values()), len(ran), *branches]
        total = [a + b for a, b in zip(total, sums)]
        print(f'{name:22} lines {share(*sums[:2])}   branches {share(*sums[2:])}')
    print(f'{"in all":22} lines {share(*total[:2])}   branches {share(*total[2:])}')
    for path, line, place, how in missed:
        print(f'not reached: {path.relative_to(LIB.parent)}:{line}: {place.split(": ", 1)[1]}  {how}')
    for place in sorted(explained - used):
        print(f'explained, but reached or gone: {place}') # take it out of coverage.txt
    good = total[0] >= LINES_LEAST * total[1] and total[2] >= BRANCHES_LEAST * total[3]
    sys.exit(0 if total[1] and good and not missed else 1)


main()
