/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <math.h>
#include <stdio.h>
#include <string.h>
#include "base/words.h"
#include "history/drift.h"
#include "maths/plane.h"
#include "reseat/history.h"
#include "reseat/values.h"

#define JUDGED_DAYS 90  /* over which a steady move is set against the limit */
#define LIMIT_SHARE 0.1 /* of it, that the move must use up to be a finding */

static reseat_drift_finding *begin(reseat_drift *drift, reseat_drift_code code, unsigned needs)
{
    const reseat_drift_baseline *latest = &drift->baselines[drift->baseline_count - 1];
    reseat_drift_finding *finding = &drift->findings[drift->finding_count++];
    *finding = (reseat_drift_finding){.code = code, .needs = needs, .first = latest->first};
    finding->count = latest->count;
    for (size_t i = 0; i < latest->count; i++)
        if ((drift->points[latest->first + i].known & needs) == needs)
            finding->runs++;
    return finding;
}

static void judge_newest(const reseat_drift_baseline *latest, reseat_drift *drift)
{
    if (!latest->newest_known || !(latest->newest.p < P_FOUND))
        return;
    reseat_drift_finding *finding = begin(drift, RESEAT_DRIFT_NEWEST_RUN_ODD, XY_BITS);
    finding->seq = latest->newest.seq;
    finding->p = latest->newest.p;
}

/* Mean of (x, y) over the points from first up to end. */
static reseat_xy mean_xy(const reseat_drift_point *points, size_t first, size_t end)
{
    reseat_xy sum = {0, 0};
    double n = 0;
    for (size_t i = first; i < end; i++) {
        if ((points[i].known & XY_BITS) != XY_BITS)
            continue;
        sum.x += points[i].value[RESEAT_SERIES_X];
        sum.y += points[i].value[RESEAT_SERIES_Y];
        n++;
    }
    return (reseat_xy){sum.x / n, sum.y / n};
}

/*
 * A turn moves the mean along a circle: the length is kept within its 3 sigma, and the move along
 * the circle is the larger one.
 */
static void tell_turn(const reseat_drift_point *points, const reseat_drift_baseline *latest,
                      reseat_drift_finding *finding)
{
    const size_t end = latest->first + latest->count;
    const reseat_xy before = mean_xy(points, latest->first, latest->change.after + 1);
    const reseat_xy after = mean_xy(points, latest->change.after + 1, end);
    const double was = reseat_plane_length(before);
    const double is = reseat_plane_length(after);
    finding->length_mm = is - was;
    finding->turn_deg = plane_turn_between(reseat_plane_bearing(before),
                                           reseat_plane_bearing(after));
    double sine = 0;
    double cosine = 0;
    plane_sincos(finding->turn_deg / 2, &sine, &cosine);
    const double along = 2 * sqrt(was) * sqrt(is) * fabs(sine);
    const double sigma = (latest->charted & SERIES_BIT(RESEAT_SERIES_LENGTH))
                             ? latest->charts[RESEAT_SERIES_LENGTH].sigma : 0;
    finding->turned = fabs(finding->length_mm) <= 3 * sigma && along > fabs(finding->length_mm);
}

/* Whether the trend of a series is one, the chance of a wrong one shared among the series. */
static bool has_trend(const reseat_drift_baseline *latest, int series)
{
    double tests = 0;
    for (int s = 0; s < RESEAT_SERIES_COUNT; s++)
        tests += latest->trended >> s & 1u;
    return (latest->trended >> series & 1u) && latest->trends[series].p < P_FOUND / tests;
}

/*
 * A change and a steady move are two readings of the same runs: the one that leaves less scatter is
 * told. A change that an odd newest run makes, with one other for company, is no change yet.
 */
static bool has_change(const reseat_drift_baseline *latest)
{
    const reseat_drift_change *change = &latest->change;
    if (!latest->change_known || !(change->p < P_FOUND))
        return false;
    const bool odd = latest->newest_known && latest->newest.p < P_FOUND;
    if (odd && change->before + 1 >= latest->newest.before)
        return false;
    const bool steady = has_trend(latest, RESEAT_SERIES_X) || has_trend(latest, RESEAT_SERIES_Y);
    return !(steady && change->steady_fits);
}

static void judge_change(const reseat_drift_baseline *latest, reseat_drift *drift)
{
    reseat_drift_finding *finding = begin(drift, RESEAT_DRIFT_LEVEL_CHANGED, XY_BITS);
    finding->seq = latest->change.after_seq;
    finding->p = latest->change.p;
    tell_turn(drift->points, latest, finding);
}

/* The series from `from` on that uses up the largest share of the limit by moving steadily. */
static void judge_move(const reseat_drift_baseline *latest, int from, double limit_mm,
                       reseat_drift *drift)
{
    int fastest = -1;
    double share = LIMIT_SHARE;
    for (int s = from; s < RESEAT_SERIES_COUNT; s++) {
        const double used = fabs(latest->trends[s].slope) * JUDGED_DAYS / limit_mm;
        if (!has_trend(latest, s) || !(used > share))
            continue;
        fastest = s;
        share = used;
    }
    if (fastest < 0)
        return;
    reseat_drift_finding *finding = begin(drift, RESEAT_DRIFT_MOVED_STEADILY, 1u << fastest);
    finding->p = latest->trends[fastest].p;
    finding->series = (reseat_series)fastest;
    finding->per_day_mm = latest->trends[fastest].slope;
    finding->limit_share = share;
}

void drift_judge(double limit_mm, reseat_drift *drift)
{
    const reseat_drift_baseline *latest = &drift->baselines[drift->baseline_count - 1];
    const bool changed = has_change(latest);
    judge_newest(latest, drift);
    if (changed)
        judge_change(latest, drift);
    if (limit_mm > 0)
        judge_move(latest, changed ? RESEAT_SERIES_RADIUS : RESEAT_SERIES_X, limit_mm, drift);
}

/* Half a turn is +180, also where one just short of it is rounded. */
static reseat_words turn(double deg)
{
    reseat_words out;
    const reseat_words plain = reseat_words_number(deg, 1);
    const bool half = strcmp(plain.text, "-180.0") == 0;
    const bool minus = plain.text[0] == '-' && !half;
    snprintf(out.text, sizeof out.text, "%s%.60s", minus ? "" : "+", plain.text + half);
    return out;
}

/* "p = 0.0031", or "p < 0.0001" below what four digits show. */
static reseat_words chance(double p)
{
    reseat_words out = {"p < 0.0001"};
    if (p >= 0.0001)
        snprintf(out.text, sizeof out.text, "p = %.40s", reseat_words_number(p, 4).text);
    return out;
}

static int write_change(const reseat_drift_finding *f, reseat_unit unit, char *out, size_t size)
{
    const unsigned long long seq = f->seq;
    if (f->turned)
        return snprintf(out, size,
                        "after run %llu the offset points elsewhere by %s°, as long as before "
                        "(%s): fits a turn of the probe by so much",
                        seq, turn(f->turn_deg).text, chance(f->p).text);
    return snprintf(out, size,
                    "after run %llu the length of the offset moved by %s %s and its bearing by %s° "
                    "(%s): stylus bent, loose or re-centred?",
                    seq, words_signed(f->length_mm, unit).text, reseat_unit_name(unit),
                    turn(f->turn_deg).text, chance(f->p).text);
}

static int write_move(const reseat_drift_finding *f, reseat_unit unit, char *out, size_t size)
{
    const char *what = f->series == RESEAT_SERIES_STYLUS_LENGTH ? "stylus length"
                                                                : reseat_series_name(f->series);
    return snprintf(out, size, "%s moves steadily, by %s %s over %d days (%s): %s %% of the limit",
                    what, words_signed(f->per_day_mm * JUDGED_DAYS, unit).text,
                    reseat_unit_name(unit), JUDGED_DAYS, chance(f->p).text,
                    reseat_words_number(100 * f->limit_share, 0).text);
}

size_t reseat_drift_finding_text(const reseat_drift_finding *finding, reseat_unit unit, char *out,
                                 size_t size)
{
    int length_written = 0;
    if (finding == NULL || (out == NULL && size > 0) || reseat_unit_name(unit)[0] == '\0')
        return 0;
    switch (finding->code) {
    case RESEAT_DRIFT_NEWEST_RUN_ODD:
        length_written = snprintf(out, size,
                                  "run %llu is unlike the %llu before it (%s): sign, unit, seat?",
                                  (unsigned long long)finding->seq,
                                  (unsigned long long)finding->runs - 1, chance(finding->p).text);
        break;
    case RESEAT_DRIFT_LEVEL_CHANGED:
        length_written = write_change(finding, unit, out, size);
        break;
    case RESEAT_DRIFT_MOVED_STEADILY:
        length_written = write_move(finding, unit, out, size);
        break;
    }
    return length_written > 0 ? (size_t)length_written : 0;
}

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
