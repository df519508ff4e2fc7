# SPDX-FileCopyrightText: 2026 the reseat contributors
# SPDX-License-Identifier: MIT

"""compare.py WHAT FOLDER AS_OF: holds what overview.sql found, JSON files in FOLDER, against what
`reseat` says of the logs in $RESEAT_LOG. Prints each difference; exit 1 if there is one, or if
nothing was compared."""

import json
import math
import os
import subprocess
import sys

WHAT, FOLDER, AS_OF = sys.argv[1:]
TIPS = [("mill-1", "P1", "main"), ("mill-2", "P2", "main"), ("hmc-1", "P3", "main"),
        ("hmc-2", "P4", "main"), ("hmc-2", "P4", "side")]


def reseat(*words):
    """The answer to a question as JSON, whatever the verdict."""
    done = subprocess.run(["reseat", *words, "--json"], capture_output=True, text=True, check=False)
    return json.loads(done.stdout)


def found(name):
    """What the database found."""
    with open(os.path.join(FOLDER, name), encoding="utf-8") as answer:
        return json.loads(answer.read().strip("\x01\n"))


def drift(spindle, probe, tip):
    """What the program says of a tip."""
    return reseat("drift", spindle, "--probe", probe, "--tip", tip, "--as-of", AS_OF)


def charts():
    """Pairs of name and value, ours and theirs."""
    ours = {}
    for tip in TIPS:
        for baseline in drift(*tip)["baselines"]:
            for name, chart in baseline.get("charts", {}).items():
                for value in ("mean", "sigma"):
                    ours[(*tip, baseline["from_seq"], name, value)] = chart[value]
    theirs = {}
    for row in found("chart"):
        for value in ("mean", "sigma"):
            key = (row["spindle"], row["probe"], row["tip"], row["from_seq"], row["name"], value)
            theirs[key] = row[value]
    return ours, theirs, 1e-12


def lengths(spindle):
    """The offsets on record of all tips, but for those taken back."""
    return [math.hypot(run["offset_x_mm"], run["offset_y_mm"])
            for run in reseat("history", spindle)["records"]
            if run["type"] == "run" and "voided_by" not in run]


def worst():
    """The longest offset of each spindle."""
    ours = {spindle: max(lengths(spindle)) for spindle in {tip[0] for tip in TIPS}}
    return ours, {row["spindle"]: row["offset_mm"] for row in found("worst")}, 1e-12


def due():
    """The tips whose run is too old: 1 for each."""
    ours = {}
    for row in reseat("overview", "--as-of", AS_OF)["probes"]:
        codes = [reason if isinstance(reason, str) else reason["code"] for reason in row["reasons"]]
        if "too-old" in codes:
            ours[(row["spindle"], row["probe"], row["tip"])] = 1
    return ours, {(r["spindle"], r["probe"], r["tip"]): 1 for r in found("due")}, 0


def months():
    """Counts of runs and means of x by month, of the spindles without a part of their own."""
    ours, theirs = {}, {}
    for tip in TIPS[:3]:
        sums = {}
        for run in drift(*tip)["runs"]:
            sums.setdefault(run["at"][:7], []).append(run["x_mm"])
        for month, values in sums.items():
            ours[(*tip, month, "runs")] = len(values)
            ours[(*tip, month, "x")] = sum(values) / len(values)
    for row in found("month"):
        if row["spindle"] != "hmc-2":
            key = (row["spindle"], row["probe"], row["tip"], row["month"])
            theirs[key + ("runs",)], theirs[key + ("x",)] = row["runs"], row["x_mm"]
    return ours, theirs, 1e-12


def main():
    """Prints what differs."""
    answers = {"charts": charts, "worst": worst, "due": due, "months": months}
    ours, theirs, tolerance = answers[WHAT]()
    different = [key for key in ours.keys() | theirs.keys() if key not in ours or key not in theirs
                 or not abs(ours[key] - theirs[key]) <= tolerance]
    for key in sorted(different):
        print(key, ours.get(key), theirs.get(key))
    print(len(ours), "compared; farthest apart",
          max((abs(ours[key] - theirs[key]) for key in ours.keys() & theirs.keys()), default=None))
    return 1 if different or not ours else 0


sys.exit(main())
