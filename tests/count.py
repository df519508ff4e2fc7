# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

"""count.py LABEL TESTLOG.JSON: what a run of `meson test` held, a line a suite.

A test program counts as many as it reports, by cmocka's closing lines or by the Test Anything
Protocol; one that reports nothing, or fails without saying which, counts one. Why it skips is said on
standard error.
"""

import json
import re
import sys


def reported(text):
    """Passed, failed and skipped as a program's output says."""
    def cmocka(word):
        found = re.findall(r"^\[ +%s +\] (\d+) test\(s\)" % word, text, re.MULTILINE)
        return sum(map(int, found))

    lines = re.findall(r"^(not ok|ok)\b(.*)$", text, re.MULTILINE)
    skipped = sum(word == "ok" and "# SKIP" in rest for word, rest in lines)
    passed = sum(word == "ok" for word, _ in lines) - skipped
    failed = sum(word == "not ok" for word, _ in lines)
    return [passed + cmocka("PASSED"), failed + cmocka("FAILED"), skipped + cmocka("SKIPPED")]


def counts(record):
    """The same, held against the verdict of meson."""
    passed, failed, skipped = reported(record.get("stdout", "") + "\n" + record.get("stderr", ""))
    result = record["result"]
    if result == "SKIP":
        return [passed, failed, max(skipped, 1)]
    if result not in ("OK", "EXPECTEDFAIL"):
        return [passed, max(failed, 1), skipped]
    return [max(passed, 0 if skipped else 1), failed, skipped]


def reasons(record):
    """Why a test program skipped something, each reason once."""
    return sorted(set(re.findall("# SKIP (.+)", record.get("stdout", ""))))


def main(label, path):
    suites = {}
    with open(path, "rb") as log:
        records = [json.loads(line) for line in log]
    for record in records:
        name = record["name"].split(" / ")[0].partition(":")[2] or "other"
        total = suites.setdefault(name, [0, 0, 0])
        for index, count in enumerate(counts(record)):
            total[index] += count
        for reason in reasons(record):
            print("skipped: %s %s: %s" % (label, record["name"].partition(":")[2], reason),
                  file=sys.stderr)
    for name in sorted(suites):
        print("%s %s: %d passed, %d failed, %d skipped" % (label, name, *suites[name]))


main(*sys.argv[1:])
