/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "reseat/drift.h"

const char *reseat_series_name(reseat_series series)
{
    switch (series) {
    case RESEAT_SERIES_X: return "x";
    case RESEAT_SERIES_Y: return "y";
    case RESEAT_SERIES_LENGTH: return "length";
    case RESEAT_SERIES_RADIUS: return "radius";
    case RESEAT_SERIES_STYLUS_LENGTH: return "stylus_length";
    }
    return "";
}

const char *reseat_drift_code_name(reseat_drift_code code)
{
    switch (code) {
    case RESEAT_DRIFT_NEWEST_RUN_ODD: return "newest-run-odd";
    case RESEAT_DRIFT_LEVEL_CHANGED: return "level-changed";
    case RESEAT_DRIFT_MOVED_STEADILY: return "moved-steadily";
    }
    return "";
}

const char *reseat_drift_note_code(reseat_drift_note note)
{
    switch (note) {
    case RESEAT_DRIFT_NOTE_FEW_RUNS: return "few-runs";
    case RESEAT_DRIFT_NOTE_FEW_SEATED: return "few-seated";
    case RESEAT_DRIFT_NOTE_UNSEATED: return "unseated";
    case RESEAT_DRIFT_NOTE_NEWEST_UNSEATED: return "newest-unseated";
    case RESEAT_DRIFT_NOTE_ALL_EQUAL: return "all-equal";
    case RESEAT_DRIFT_NOTE_SINGULAR: return "singular-scatter";
    case RESEAT_DRIFT_NOTE_T2_LIMIT: return "no-t2-limit";
    case RESEAT_DRIFT_NOTE_SAME_TIME: return "same-time";
    case RESEAT_DRIFT_NOTE_LATEST_RUNS: return "latest-runs";
    case RESEAT_DRIFT_NOTE_U_ASSUMED: return "u-assumed";
    case RESEAT_DRIFT_NOTE_NO_LIMIT: return "no-limit";
    case RESEAT_DRIFT_NOTE_SPINDLE_PART: return "spindle-part-unknown";
    case RESEAT_DRIFT_NOTE_RATE_RUNS: return "latest-runs-rate";
    }
    return "";
}

const char *reseat_drift_note_text(reseat_drift_note note)
{
    switch (note) {
    case RESEAT_DRIFT_NOTE_FEW_RUNS:
        return "fewer than 8 runs: shown, but no limits, tests or rate";
    case RESEAT_DRIFT_NOTE_FEW_SEATED:
        return "fewer than 8 runs with a recorded seat: no limits, tests or rate for x and y";
    case RESEAT_DRIFT_NOTE_UNSEATED:
        return "runs without a recorded seat have a length only";
    case RESEAT_DRIFT_NOTE_NEWEST_UNSEATED:
        return "the newest run has no recorded seat and was not compared with those before it";
    case RESEAT_DRIFT_NOTE_ALL_EQUAL:
        return "x, y or length is the same in every run: no limits for it";
    case RESEAT_DRIFT_NOTE_SINGULAR:
        return "x and y do not scatter independently: runs were not compared in both at once";
    case RESEAT_DRIFT_NOTE_T2_LIMIT:
        return "fewer than 12 runs with a recorded seat: no limit for T2";
    case RESEAT_DRIFT_NOTE_SAME_TIME:
        return "all runs are of one time: no trend or rate";
    case RESEAT_DRIFT_NOTE_LATEST_RUNS:
        return "trends are those of the latest 1000 runs";
    case RESEAT_DRIFT_NOTE_U_ASSUMED:
        return "runs without an uncertainty were taken to have 0.001 mm";
    case RESEAT_DRIFT_NOTE_NO_LIMIT:
        return "no limit is set: steady moves were not judged";
    case RESEAT_DRIFT_NOTE_SPINDLE_PART:
        return "runs at several seats and no spindle part in the policy: x and y mix the two";
    case RESEAT_DRIFT_NOTE_RATE_RUNS:
        return "the rate is that of the latest 100 runs, as in a check";
    }
    return "";
}
