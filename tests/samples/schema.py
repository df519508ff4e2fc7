# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

"""schema.py PROGRAM PARSE_RECORDS: holds records against samples/reseat-log.schema.json.

Each sound line of the logs of samples/shop.sh, of the command-line cases (run here, so that what
they record counts too) and of the reference logs fulfils the schema. Records of these logs with a
value of the wrong type, without a field, or with one too many are fulfilled by the schema where
the library takes them, and by no other. Reports by the Test Anything Protocol.
"""

import glob
import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile

TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
SEALED = re.compile(rb'^(.*),"seal":"([0-9a-f]{64})"\}$', re.DOTALL)
KINDS = "log run reseat event verify policy verdict void repair".split()
# One value of each type of JSON, and numbers that fit no field.
VALUES = ["P1", 1, 0.5, True, None, [], {}, [1], ["P1"], [True], -1e9, 1e30]


def sound_lines(path):
    """The lines of a log whose seals hold."""
    above = b""
    with open(path, "rb") as log:
        for line in log.read().split(b"\n"):
            sealed = SEALED.match(line)
            if not sealed:
                continue
            if hashlib.sha256(above + sealed[1]).hexdigest().encode() == sealed[2]:
                yield line
            above = sealed[2]


def run_cases(work, program):
    """Runs the command-line cases that write logs; the logs end up below the folder.

    Not those that seal lines themselves, which need not be records.
    """
    for case in sorted(glob.glob(TOP + "/tests/cli/*/")):
        with open(case + "cmd", encoding="utf-8") as command:
            text = command.read()
            if "record" not in text or "sha256sum" in text:
                continue
        folder = os.path.join(work, os.path.basename(case[:-1]))
        shutil.copytree(case, folder, ignore=shutil.ignore_patterns("cmd", "in", "out", "err"))
        environment = {"PATH": os.path.dirname(program) + ":" + os.environ["PATH"],
                       "HOME": folder, "TZ": "UTC", "LC_ALL": "C", "SAMPLES": TOP + "/samples"}
        with open(case + "in" if os.path.exists(case + "in") else os.devnull, "rb") as given:
            subprocess.run(["sh", case + "cmd"], cwd=folder, env=environment, stdin=given,
                           stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, timeout=60)


def record_the_rest(folder, program):
    """A gauge check, a verdict, and a repair of the line below: what the shop does not record."""
    run = [program, "--log", folder]
    quiet = {"check": False, "stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    subprocess.run(run + ["record", "hmc-1", "verify", "--probe", "P3", "--shift", "0.001,0",
                          "--shift-u", "0.0005"], **quiet)
    subprocess.run(run + ["check", "hmc-1", "--record"], **quiet)
    with open(folder + "/hmc-1.jsonl", "ab") as log:
        log.write(b'{"v":1,"seq":99,"ty')
    subprocess.run(run + ["record", "hmc-1", "event", "--kind", "service"], **quiet)


def collect(work, program):
    """Folders of logs, by what is said of them."""
    os.mkdir(work + "/shop")
    subprocess.run(["sh", TOP + "/samples/shop.sh", work + "/shop"], check=True,
                   env=dict(os.environ, PATH=os.path.dirname(program) + ":" + os.environ["PATH"]))
    record_the_rest(work + "/shop", program)
    os.mkdir(work + "/cases")
    run_cases(work + "/cases", program)
    return {"the logs of the shop": work + "/shop",
            "what the command-line cases record": work + "/cases",
            "the reference logs": TOP + "/tests/data/drift"}


def changed(record):
    """The record with one thing changed, and what that is. Others than `v` and `type`: by these a
    reader knows whether the record is one that it understands."""
    for name in record:
        if name in ("v", "type", "seal"):
            continue
        yield "without " + name, {key: value for key, value in record.items() if key != name}
        for value in VALUES:
            yield "%s: %r" % (name, value), {**record, name: value}
    yield "with a field too many", {"extra": 1, **record}


def judge(record, schema, parse):
    """What the library says of each change of a record, where the schema says otherwise. Texts and
    arrays the library may hold against more than a schema can say: the form of a time, whether two
    arrays are equally long."""
    changes = list(changed(record))
    lines = "".join(json.dumps(other, separators=(",", ":")) + "\n" for _, other in changes)
    answers = subprocess.run(parse, input=lines, capture_output=True, check=True, text=True).stdout
    for (what, other), answer in zip(changes, answers.splitlines(), strict=True):
        taken = answer == "taken"
        name = what.split(":")[0]
        finer = (not taken and isinstance(other.get(name), (str, list)) and
                 isinstance(record.get(name), type(other[name])))
        if taken != schema.is_valid(other) and not finer:
            yield "%s, %s: the library: %s" % (record["type"], what, answer)


def report(failures, name):
    """One result."""
    report.count += 1
    for failure in failures[:20]:
        print("# " + failure, file=sys.stderr)
    print("%s %d - %s" % ("not ok" if failures else "ok", report.count, name))
    return not failures


report.count = 0


def main(program, parse):
    try:
        import jsonschema
    except ImportError:
        print("1..0 # SKIP there is no jsonschema module for Python")
        return True
    with open(TOP + "/samples/reseat-log.schema.json", encoding="utf-8") as text:
        rules = json.load(text)
    jsonschema.Draft202012Validator.check_schema(rules)
    schema = jsonschema.Draft202012Validator(rules)
    samples, good = {}, True
    with tempfile.TemporaryDirectory() as work:
        for name, folder in collect(work, program).items():
            failures, lines = [], 0
            for path in sorted(glob.glob(folder + "/**/*.jsonl", recursive=True)):
                for line in sound_lines(path):
                    record = json.loads(line)
                    if record["v"] > 1:  # of a later version, which this schema does not describe
                        continue
                    lines += 1
                    if not schema.is_valid(record):
                        failures.append("%s: %s" % (path, line.decode()))
                    known = samples.setdefault(record["type"], record)
                    if len(record) > len(known):
                        samples[record["type"]] = record
            good &= report(failures if lines else ["no line is sound"],
                           "%s fulfil the schema: %d records" % (name, lines))
    missing = set(KINDS) - set(samples)
    good &= report(sorted(missing), "there is a record of each type")
    for kind, record in sorted(samples.items()):
        good &= report(list(judge(record, schema, parse)),
                       "schema and library agree on changes of a %s record" % kind)
    print("1..%d" % report.count)
    return good


sys.exit(0 if main(os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2])) else 1)
