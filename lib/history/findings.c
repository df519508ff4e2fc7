/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <math.h>
#include <stdio.h>
#include <string.h>
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

/* Mean of (x, y) over the points from first up to end. */
static reseat_xy mean_xy(const reseat_drift_point *points, size_t first, size_t end)
{
    reseat_xy sum = {0, 0};
    double n = 0;
    for (size_t i = first; i < end; i++) {
        if (!has_xy(&points[i]))
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
    const double was = reseat_plane_length(before), is = reseat_plane_length(after);
    finding->length_mm = is - was;
    finding->turn_deg = plane_turn_between(reseat_plane_bearing(before),
                                           reseat_plane_bearing(after));
    double sine = 0, cosine = 0;
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

static bool is_odd(const reseat_drift_baseline *latest)
{
    return latest->newest_known && latest->newest.p < P_FOUND;
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
    if (is_odd(latest) && change->before + 1 >= latest->newest.before)
        return false;
    const bool steady = has_trend(latest, RESEAT_SERIES_X) || has_trend(latest, RESEAT_SERIES_Y);
    return !(steady && change->steady_fits);
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
    if (is_odd(latest)) {
        reseat_drift_finding *finding = begin(drift, RESEAT_DRIFT_NEWEST_RUN_ODD, XY_BITS);
        finding->seq = latest->newest.seq;
        finding->p = latest->newest.p;
    }
    if (changed) {
        reseat_drift_finding *finding = begin(drift, RESEAT_DRIFT_LEVEL_CHANGED, XY_BITS);
        finding->seq = latest->change.after_seq;
        finding->p = latest->change.p;
        tell_turn(drift->points, latest, finding);
    }
    if (limit_mm > 0)
        judge_move(latest, changed ? RESEAT_SERIES_RADIUS : RESEAT_SERIES_X, limit_mm, drift);
}

/* A number for a line of text: with a sign, and a fixed number of digits. */
typedef struct shown {
    char text[RESEAT_NUMBER_SIZE + 8];
} shown;

static shown with_sign(double value, int decimals)
{
    shown out = {"+"};
    if (reseat_number_fixed(value, decimals, out.text + 1) != RESEAT_OK)
        out.text[1] = '\0';
    else if (out.text[1] == '-')
        reseat_number_fixed(value, decimals, out.text);
    return out;
}

/* Half a turn is +180, also where one just short of it is rounded. */
static shown turn(double deg)
{
    shown out = with_sign(deg, 1);
    if (strcmp(out.text, "-180.0") == 0)
        out.text[0] = '+';
    return out;
}

/* "p = 0.0031", or "p < 0.0001" below what four digits show. */
static shown chance(double p)
{
    shown out = {"p < 0.0001"};
    if (p >= 0.0001) {
        memcpy(out.text, "p = ", 4);
        reseat_number_fixed(p, 4, out.text + 4);
    }
    return out;
}

size_t reseat_drift_finding_text(const reseat_drift_finding *finding, reseat_unit unit, char *out,
                                 size_t size)
{
    if (!finding || (!out && size > 0) || reseat_unit_name(unit)[0] == '\0')
        return 0;
    const unsigned long long seq = finding->seq;
    const shown p = chance(finding->p), turned = turn(finding->turn_deg);
    const bool moves = finding->code == RESEAT_DRIFT_MOVED_STEADILY;
    const double moved_mm = moves ? finding->per_day_mm * JUDGED_DAYS : finding->length_mm;
    const shown moved = with_sign(reseat_unit_from_mm(moved_mm, unit), reseat_unit_decimals(unit));
    char share[RESEAT_NUMBER_SIZE] = "";
    int written = 0;
    reseat_number_fixed(100 * finding->limit_share, 0, share);
    if (finding->code == RESEAT_DRIFT_NEWEST_RUN_ODD)
        written = snprintf(out, size, "run %llu is unlike the %llu before it (%s): sign, unit, "
                           "seat?", seq, (unsigned long long)finding->runs - 1, p.text);
    else if (moves)
        written = snprintf(out, size, "%s moves steadily, by %s %s over %d days (%s): %s %% of the "
                           "limit", finding->series == RESEAT_SERIES_STYLUS_LENGTH
                               ? "stylus length" : reseat_series_name(finding->series),
                           moved.text, reseat_unit_name(unit), JUDGED_DAYS, p.text, share);
    else if (finding->code == RESEAT_DRIFT_LEVEL_CHANGED && finding->turned)
        written = snprintf(out, size, "after run %llu the bearing changed by %s°, length unchanged "
                           "(%s): consistent with a turn by that angle", seq, turned.text, p.text);
    else if (finding->code == RESEAT_DRIFT_LEVEL_CHANGED)
        written = snprintf(out, size, "after run %llu the length of the offset moved by %s %s and "
                           "its bearing by %s° (%s): stylus bent, loose or re-centred?", seq,
                           moved.text, reseat_unit_name(unit), turned.text, p.text);
    return written > 0 ? (size_t)written : 0;
}

/* "" for what is no value. */
#define NAME_OF(names, value) \
    ((unsigned)(value) < sizeof(names) / sizeof(names)[0] ? (names)[value] : "")

const char *reseat_series_name(reseat_series series)
{
    static const char *const names[] = {"x", "y", "length", "radius", "stylus_length"};
    return NAME_OF(names, series);
}

const char *reseat_drift_code_name(reseat_drift_code code)
{
    static const char *const names[] = {"newest-run-odd", "level-changed", "moved-steadily"};
    return NAME_OF(names, code);
}

const char *reseat_drift_note_code(reseat_drift_note note)
{
    static const char *const codes[] = {
        "few-runs", "few-seated", "unseated", "newest-unseated", "all-equal", "singular-scatter",
        "no-t2-limit", "same-time", "latest-runs", "u-assumed", "no-limit",
        "spindle-part-unknown", "latest-runs-rate"};
    return NAME_OF(codes, note);
}

const char *reseat_drift_note_text(reseat_drift_note note)
{
    static const char *const texts[] = {
        "fewer than 8 runs: shown, but no limits, tests or rate",
        "fewer than 8 runs with a recorded seat: no limits, tests or rate for x and y",
        "runs without a recorded seat have a length only",
        "the newest run has no recorded seat and was not compared with those before it",
        "x, y or length is the same in every run: no limits for it",
        "x and y do not scatter independently: runs were not compared in both at once",
        "fewer than 12 runs with a recorded seat: no limit for T2",
        "all runs are of one time: no trend or rate",
        "trends are those of the latest 1000 runs",
        "runs without an uncertainty were taken to have 0.001 mm",
        "no limit is set: steady moves were not judged",
        "runs at several seats and no spindle part in the policy: x and y mix the two",
        "the rate is that of the latest 100 runs, as in a check"};
    return NAME_OF(texts, note);
}
