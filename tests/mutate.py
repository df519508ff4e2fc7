# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

"""mutate.py [--jobs N] [FILE...]: faults put into the numeric files that no unit test sees.

One comparison, sign or number at a time is changed, in copies under build-mutate. Most mutants of a
file are compiled into it together, each to be switched on by its number; the rest on their own. The
mutated file is loaded before the library, and unit test programs that reach the line run until one
fails. What survives must be judged in tests/mutants.txt: what is not is listed, and so are judgements
whose mutant is gone or no longer survives.
"""

import argparse
import concurrent.futures
import glob
import json
import os
import re
import resource
import shutil
import subprocess
import sys
import time

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
WORK = os.path.join(ROOT, "build-mutate")
JUDGED = os.path.join(ROOT, "tests", "mutants.txt")
NUMERIC = """maths/*.[ch] model/*.[ch] base/number.c base/time.c log/fields.c
    measure/*.c history/*.c""".split()
COMPILE = [os.environ.get("CC", "cc"), "-std=c11", "-O1", "-fPIC", "-w", "-ffp-contract=off",
           "-fno-math-errno", "-D_POSIX_C_SOURCE=200809L", '-DRESEAT_VERSION="0.1.0"', "-Iinclude"]
PACKAGES = ["-lcjson", "-lnettle", "-lm"]
# These take a third of a second or more: they run only for files of their name, or where no other
# program reaches the line.
SLOW = {name + "_test" for name in ("chance", "number_format", "state_events", "state_model",
                                    "time", "verdict")}
# What else goes by the name of a slow program.
TESTED_BY = {"estimate.c": "verdict", "normal.h": "chance", "double_double.h": "chance",
             "worst_seat.c": "verdict"}
PROGRAMS = 8  # at most so many a mutant, those that know the file best
MEMORY = 2 << 20  # kilobytes
OUTPUT = 1 << 17  # blocks of 512 bytes


def run(command, folder, **more):
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False, **more)
    if done.returncode != 0:
        sys.exit("%s\n%s%s" % (" ".join(command), done.stdout, done.stderr))
    return done.stdout


def path_of(folder, name):
    """Where a file of the library is: no two folders of it have one of the same name."""
    return glob.glob(folder + "/lib/*/" + name)[0]


# Mutants: where, and what instead.

def blank(match):
    return re.sub(r"[^\n]", " ", match[0])


def code_of(text):
    """The text with what is no number blanked: comments, strings, preprocessor lines, assertions,
    whether a pointer is there or a call went well; and the signs in a sum that need only be finite.
    """
    text = re.sub(r'/\*.*?\*/|//[^\n]*|"(?:\\.|[^"\\\n])*"|\'(?:\\.|[^\'\\\n])*\'', blank, text,
                  flags=re.DOTALL)
    text = re.sub(r"^[ \t]*#(?:[^\n]*\\\n)*[^\n]*", blank, text, flags=re.MULTILINE)
    text = re.sub(r"[=!]= (?:NULL|RESEAT_OK)\b|sizeof \w+\[0\]", blank, text)
    text = re.sub(r"\bassert\(.*?\);", blank, text, flags=re.DOTALL)
    return re.sub(r"\bisfinite\((?:[^()]|\([^()]*\))*\)",
                  lambda match: re.sub("[-+](?!>)", " ", match[0]), text)


TOKEN = re.compile(r"(?P<number>(?<![\w.])(?:\d|\.\d)(?:[eEpP][-+]|[\w.])*)|->|\+\+|--|<<=?|>>=?"
                   r"|(?P<compare>[<>]=?|[=!]=)|(?P<sign>[-+]=?)")
REVERSED = {"<": ">=", "<=": ">", ">": "<=", ">=": "<", "==": "!=", "!=": "=="}
BESIDE = {"<": "<=", "<=": "<", ">": ">=", ">=": ">"}
SIGNED = {"+": "-", "-": "+", "+=": "-=", "-=": "+="}


def other_number(literal):
    """One more; a real of few digits doubled, one of many changed in the seventh."""
    body = re.sub(r"[uUlLfF]+$", "", literal) if not literal.startswith("0x") else literal
    if re.fullmatch(r"(0x[\da-fA-F]+|\d+)", body):
        return str(int(body, 0) + 1) + literal[len(body):]
    value = float.fromhex(body) if body.startswith("0x") else float(body)
    if len(re.sub(r"[eEpP].*|\.|^0x", "", body).strip("0")) > 2:
        return repr(value * (1 + 1e-6))
    return repr(2 * value if value else 1.0)


def is_declared_size(code, at):
    """Whether the number at this place is a size in a declaration."""
    start = max(code.rfind(mark, 0, at) for mark in ";{}()")
    before = code[start + 1:at]
    return re.fullmatch(r"\s*(?!return\b)(?:\w+\s+)+\**\w+(?:\[\w+\]|,\s*\w+)*\[(?:\w+ \+ )?",
                        before) is not None


def whole_compares(folder, name, text):
    """Where whole numbers are compared: % is allowed there. Between reals the equal case has no
    width, and is not tried."""
    if name.endswith(".h"):
        return set()  # inline functions of reals
    places = [match for match in TOKEN.finditer(code_of(text)) if match[0] in BESIDE]
    probe = text
    for match in places:
        probe = probe[:match.start()] + "%".ljust(len(match[0])) + probe[match.end():]
    done = subprocess.run([*COMPILE, "-Ilib", "-fsyntax-only", "-fmax-errors=0", "-x", "c", "-"],
                          cwd=folder, input=probe.encode(), capture_output=True, check=False)
    wrong = {(int(line), int(column)) for line, column in
             re.findall(r"<stdin>:(\d+):(\d+): error: invalid operands", done.stderr.decode())}

    def place(at):
        return text.count("\n", 0, at) + 1, len(text[text.rfind("\n", 0, at) + 1:at].encode()) + 1
    return {match.start() for match in places if place(match.start()) not in wrong}


def mutants_of(text, whole):
    """(start, end, replacement) of each."""
    code = code_of(text)
    for match in TOKEN.finditer(code):
        if match["compare"]:
            others = [REVERSED[match[0]]]
            if match.start() in whole:
                others.append(BESIDE[match[0]])
        elif match["sign"]:
            others = [SIGNED[match[0]]]
        elif match["number"] and not is_declared_size(code, match.start()):
            others = [other_number(match[0])]
        else:
            others = []
        for other in others:
            yield match.start(), match.end(), other


def described(text, start, end, other):
    """The function and the line with the change marked in it: what a judgement is found by."""
    named = re.findall(r"^\w[^;=\n]*?\b(\w+)\(", text[text.rfind("\n}", 0, start) + 1:start],
                       re.MULTILINE)
    first = text.rfind("\n", 0, start) + 1
    last = text.find("\n", end)
    marked = "%s{%s -> %s}%s" % (text[first:start], text[start:end], other, text[end:last])
    return named[-1] if named else "-", " ".join(marked.split())


# The library and the test programs, and which program reaches which line.

def copied(folder):
    for part in ("lib", "include", "tests/unit", "tests/montecarlo"):
        shutil.copytree(os.path.join(ROOT, part), os.path.join(folder, part), dirs_exist_ok=True)


def newer(made, *sources):
    return os.path.exists(made) and os.path.getmtime(made) > max(map(os.path.getmtime, sources))


def objects_of(folder, kind, sources, pool, *options):
    os.makedirs(os.path.join(folder, kind), exist_ok=True)
    headers = glob.glob(folder + "/**/*.h", recursive=True)
    objects = [kind + "/" + os.path.basename(name)[:-2] + ".o" for name in sources]

    def make(source, made):
        if not newer(folder + "/" + made, folder + "/" + source, *headers):
            run([*COMPILE, "-Ilib", *options, "-c", source, "-o", made], folder)
    list(pool.map(make, sources, objects))
    return objects


def build(folder, pool):
    """The library, plain and counting; the test programs, which take whichever they are given."""
    sources = sorted(glob.glob("lib/*/*.c", root_dir=ROOT))
    for kind, options in (("plain", []), ("counted", ["--coverage", "-O0", "-g"])):
        os.makedirs(os.path.join(folder, kind + ".so"), exist_ok=True)
        run([COMPILE[0], "-shared", *options, "-o", kind + ".so/libcore.so",
             *objects_of(folder, kind, sources, pool, *options), *PACKAGES], folder)
    tests = sorted(glob.glob("tests/unit/*_test.c", root_dir=folder))
    programs = objects_of(folder, "programs", tests, pool)

    def link(name):
        if not newer(folder + "/" + name[:-2], folder + "/" + name):
            run([COMPILE[0], name, "-o", name[:-2], "-Lplain.so", "-lcore", "-lcmocka", "-lpthread",
                 *PACKAGES], folder)
    list(pool.map(link, programs))
    return [os.path.basename(name)[:-2] for name in programs]


def ends_at_once(folder, program):
    """Whether a test program may end at its first failure: none of its tests tidies up behind it."""
    with open(folder + "/tests/unit/" + program + ".c", encoding="utf-8") as file:
        return "teardown" not in file.read()


def passes(folder, program, seconds, **environment):
    """Whether a test program passes, and the processor time it took."""
    data = {"RESEAT_TEST_DATA": ROOT + "/tests/data",
            "RESEAT_TEST_REFERENCE": os.path.dirname(ROOT) + "/shared/reference",
            "RESEAT_TEST_ROUNDS": "all",
            "LD_LIBRARY_PATH": folder + "/plain.so"}
    if ends_at_once(folder, program):
        data["CMOCKA_TEST_ABORT"] = "1"
    limits = "ulimit -t %d; ulimit -v %d; ulimit -f %d; ulimit -c 0; exec \"$0\"" % (
        seconds, MEMORY, OUTPUT)
    child = subprocess.Popen(["sh", "-c", limits, folder + "/programs/" + program], cwd=folder,
                             env={**os.environ, **data, **environment}, stdin=subprocess.DEVNULL,
                             stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                             start_new_session=True)
    _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    return child.returncode == 0, used.ru_utime + used.ru_stime


def count_lines(folder, program):
    """Time of a program, and the lines of lib it runs: {file: {line: runs}}."""
    prefix = os.path.join(folder, "counts", program)
    if newer(prefix + ".json", folder + "/programs/" + program, *glob.glob(folder + "/plain/*.o")):
        with open(prefix + ".json", encoding="utf-8") as file:
            seconds, lines = json.load(file)
        return program, seconds, {name: {int(line): count for line, count in known.items()}
                                  for name, known in lines.items()}
    shutil.rmtree(prefix, ignore_errors=True)
    sound, seconds = passes(folder, program, 600)
    if not sound or not passes(folder, program, 600, LD_LIBRARY_PATH=folder + "/counted.so",
                               GCOV_PREFIX=prefix)[0]:
        sys.exit("%s fails without a mutant" % program)
    here = prefix + os.path.join(folder, "counted")
    for name in glob.glob(here + "/*.gcda"):
        os.symlink("%s/counted/%sno" % (folder, os.path.basename(name)[:-2]), name[:-2] + "no")
    lines = {}
    for report in run(["gcov", "-j", "-t", *glob.glob(here + "/*.gcda")], folder).splitlines():
        for part in json.loads(report)["files"]:
            known = lines.setdefault(os.path.basename(part["file"]), {})
            for line in part["lines"]:
                known[line["line_number"]] = known.get(line["line_number"], 0) + line["count"]
    with open(prefix + ".json", "w", encoding="utf-8") as file:
        json.dump([seconds, lines], file)
    return program, seconds, lines


class Reach:
    """Which programs run which line, and for how long."""

    def __init__(self, counts):
        self.seconds = {program: seconds for program, seconds, _ in counts}
        self.lines = {program: lines for program, _, lines in counts}

    def programs(self, name, line):
        """Those that know the file best of those that run the line; where it holds no code of its
        own, the statement it belongs to, outside functions any line of the file."""
        known = sorted({each for lines in self.lines.values() for each in lines.get(name, ())})
        wanted = [each for each in known if each <= line][-1:] or known
        found = [program for program, lines in self.lines.items()
                 if any(lines.get(name, {}).get(each) for each in wanted)]
        quick = [each for each in found if each not in SLOW or self.named(each, name)]
        return sorted(quick or found, key=lambda each: (-self.knows(each, name), each))[:PROGRAMS]

    @staticmethod
    def named(program, name):
        subject, stem = program[:-len("_test")], name.split(".")[0]
        stem = TESTED_BY.get(name, stem)
        return (stem + "_").startswith(subject + "_") or (subject + "_").startswith(stem + "_")

    def knows(self, program, name):
        """The share of the file in what a program runs; more if it is named after it."""
        runs = {each: sum(map(bool, lines.values())) for each, lines in self.lines[program].items()}
        return self.named(program, name) + runs.get(name, 0) / max(1, sum(runs.values()))

    def order(self, name, programs, kills):
        """What may fail soonest first."""
        return sorted(programs, key=lambda each: (
            -(1 + kills.get(each, 0) + 4 * self.knows(each, name)) / (0.05 + self.seconds[each]),
            each))


# One file.

def users(folder, name):
    """The sources to compile when a file changes: itself, or those that include a header."""
    if name.endswith(".c"):
        return [name]
    found, seen = {name}, set()
    while found - seen:
        seen = set(found)
        for path in glob.glob(folder + "/lib/*/*.[ch]"):
            with open(path, encoding="utf-8") as file:
                if set(re.findall(r'#include "(?:\w+/)*(\w+\.h)"', file.read())) & found:
                    found.add(os.path.basename(path))
    return sorted(each for each in found if each.endswith(".c"))


SWITCH = """#include <stdlib.h>
int reseat_mutant;
__attribute__((constructor)) static void choose(void)
{
    const char *text = getenv("RESEAT_MUTANT");
    reseat_mutant = text ? atoi(text) : 0;
}
"""


def operand_end(code, at):
    """Where the right operand of a comparison ends."""
    depth = 0
    for match in re.compile(r"[(\[{]|[)\]}]|&&?|\|\|?|[?:;,^]|[=!]=").finditer(code, at):
        if match[0] in "([{":
            depth += 1
        elif depth == 0:
            return match.start()
        elif match[0] in ")]}":
            depth -= 1
    return len(code)


def switched(text, mutants):
    """The text with all these mutants in it, each there when its number is in reseat_mutant."""
    code = code_of(text)
    edits = []
    for number, (start, end, other) in mutants.items():
        old = text[start:end]
        chosen = "(reseat_mutant == %d)" % number
        if old in SIGNED and len(old) == 1:
            edits.append((end, end, "(1 - 2 * %s) * " % chosen))
        elif old in REVERSED:
            place = operand_end(code, end)
            edits.append((place, place, " == !" + chosen))
        else:
            edits.append((start, end, "(%s ? %s : %s)" % (chosen, other, old)))
    for start, end, new in sorted(edits, reverse=True):
        text = text[:start] + new + text[end:]
    return "extern int reseat_mutant; " + text


def can_switch(text, mutant):
    """A comparison with one more or less, and a sum that is stored, are compiled on their own."""
    old, other = text[mutant[0]:mutant[1]], mutant[2]
    return other == REVERSED.get(old) or len(old) == 1 and old in SIGNED or old[0] in ".0123456789"


def compile_all(folder, name, names, text, mutants):
    """A library of the file with every mutant that can be switched on; those are returned."""
    inside = {number: mutant for number, mutant in mutants.items() if can_switch(text, mutant)}
    with open(folder + "/switch.c", "w", encoding="utf-8") as file:
        file.write(SWITCH)
    run([*COMPILE, "-c", "switch.c", "-o", "switch.o"], folder)
    while True:
        with open(path_of(folder, name), "w", encoding="utf-8") as file:
            file.write(switched(text, inside))
        wrong = {int(line) for each in names for line in re.findall(
            r"\b%s:(\d+):\d+: error" % re.escape(name), compile_one(folder, each))}
        left = {number: mutant for number, mutant in inside.items()
                if text.count("\n", 0, mutant[0]) + 1 not in wrong}
        if len(left) == len(inside):
            break
        inside = left
    run(["ld", "-shared", "-o", "all.so", "switch.o", *[each + ".o" for each in names]], folder)
    return inside


def compile_one(folder, name):
    """What the compiler says."""
    return subprocess.run([*COMPILE, "-Ilib", "-fmax-errors=0", "-c", path_of(folder, name), "-o",
                           name + ".o"], cwd=folder, capture_output=True, text=True,
                          check=False).stderr


def killer_of(folder, programs, reach, library, number):
    """The program that fails with a mutant, '' if there is none."""
    for program in programs:
        if not passes(WORK + "/base", program, int(3 * reach.seconds[program] + 2),
                      LD_PRELOAD=folder + "/" + library, RESEAT_MUTANT=str(number))[0]:
            return program
    return ""


def compile_alone(folder, name, names, text, mutant):
    """Whether a mutant is a program."""
    with open(path_of(folder, name), "w", encoding="utf-8") as file:
        file.write(text[:mutant[0]] + mutant[2] + text[mutant[1]:])
    if any("error:" in compile_one(folder, each) for each in names):
        return False
    run(["ld", "-shared", "-o", "one.so", *[each + ".o" for each in names]], folder)
    return True


def mutate(name, reach):
    """(mutants, killed, survivors) of a file; of a survivor its line number, function and line."""
    folder = os.path.join(WORK, "mutant-" + name)
    shutil.rmtree(folder, ignore_errors=True)
    for part in ("lib", "include"):
        shutil.copytree(os.path.join(WORK, "base", part), os.path.join(folder, part))
    with open(path_of(folder, name), encoding="utf-8") as file:
        text = file.read()
    names = users(folder, name)
    mutants = dict(enumerate(mutants_of(text, whole_compares(folder, name, text)), 1))
    inside = compile_all(folder, name, names, text, mutants)
    quick = sorted(reach.seconds.keys() - SLOW)
    sound = killer_of(folder, quick, reach, "all.so", 0)
    if sound:
        sys.exit("%s: %s fails without a mutant" % (name, sound))
    tried, kills, survivors = 0, {}, []
    for number, mutant in mutants.items():
        if number not in inside and not compile_alone(folder, name, names, text, mutant):
            continue
        tried += 1
        line = text.count("\n", 0, mutant[0]) + 1
        programs = reach.order(name, reach.programs(name, line), kills)
        killer = killer_of(folder, programs, reach, "all.so" if number in inside else "one.so",
                           number)
        if killer:
            kills[killer] = kills.get(killer, 0) + 1
        else:
            survivors.append((line, *described(text, *mutant)))
    shutil.rmtree(folder)
    return tried, sum(kills.values()), survivors


# Judgements.

def judgements():
    """{(file, function, marked line): judgement}"""
    judged, name, waiting = {}, None, []
    with open(JUDGED, encoding="utf-8") as file:
        for line in file:
            if line.startswith("#") or not line.strip():
                continue
            if line.startswith("["):
                name = line.strip().strip("[]")
            elif line.startswith(" "):
                judged.update((key, line.strip()) for key in waiting)
                waiting = []
            else:
                function, _, marked = line.strip().partition(": ")
                waiting.append((name, function, marked))
    return judged


def compare(name, survivors, judged):
    """What is not judged, and what is judged and did not survive."""
    keys = {(name, function, marked) for _, function, marked in survivors}
    fresh = [each for each in survivors if (name, *each[1:]) not in judged]
    gone = [key for key in judged if key[0] == name and key not in keys]
    return fresh, gone


def main():
    parser = argparse.ArgumentParser(usage="python3 tests/mutate.py [--jobs N] [FILE...]")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("files", nargs="*", metavar="FILE")
    asked = parser.parse_args()
    names = [os.path.basename(name) for name in asked.files] or sorted(
        {os.path.basename(name) for pattern in NUMERIC
         for name in glob.glob(pattern, root_dir=ROOT + "/lib")})
    os.nice(3)
    began = time.monotonic()
    copied(WORK + "/base")
    judged = judgements()
    totals = [0, 0, 0, 0, 0]
    with concurrent.futures.ThreadPoolExecutor(asked.jobs) as pool:
        programs = build(WORK + "/base", pool)
        reach = Reach(list(pool.map(lambda each: count_lines(WORK + "/base", each), programs)))
        for name, (tried, killed, survivors) in zip(names, pool.map(mutate, names,
                                                                    [reach] * len(names))):
            fresh, gone = compare(name, survivors, judged)
            print("%s: %d mutants, %d killed, %d judged, %d not judged, %d judgements stale" % (
                name, tried, killed, len(survivors) - len(fresh), len(fresh), len(gone)))
            for line, function, marked in fresh:
                print("  %s:%d\n%s: %s" % (name, line, function, marked))
            for _, function, marked in gone:
                print("  stale\n%s: %s" % (function, marked))
            sys.stdout.flush()
            for index, count in enumerate((tried, killed, len(survivors), len(fresh), len(gone))):
                totals[index] += count
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    print("%d mutants, %d killed, %d survived, %d of these not judged; %d judgements stale" %
          tuple(totals))
    print("%.0f minutes of processor time, %.0f elapsed" % (
        (used.ru_utime + used.ru_stime) / 60, (time.monotonic() - began) / 60))
    return 1 if totals[3] or totals[4] else 0


sys.exit(main())
