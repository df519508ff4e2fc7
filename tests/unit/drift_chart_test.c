/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Which runs of a chart are flagged, and what is told of a change of level. */
#include "drift_runs.h"
#include "maths/plane.h"
#include "maths/statistics.h"

/* Runs of which x wanders: long stretches on one side, and none at first or last in particular. */
static void make_wandering(size_t count, uint64_t seed)
{
    random_source source = {seed};
    make_runs(count);
    double x = random_normal(&source);
    for (size_t i = 0; i < count; i++) {
        runs[i].offset_mm.x = 0.001 * x;
        x = 0.7 * x + random_normal(&source);
    }
}

/* The run and at least 3 of the 4 before it, counted one by one. */
static bool four_of_five(size_t run, double beyond_mm, int side)
{
    size_t before = 0;
    for (size_t back = 1; back <= 4 && back <= run; back++)
        before += side * runs[run - back].offset_mm.x > beyond_mm;
    return side * runs[run].offset_mm.x > beyond_mm && before >= 3;
}

static void flags_are_those_counted_one_by_one(void **state)
{
    size_t above = 0, below = 0, far = 0;
    for (uint64_t seed = 1; seed <= 400; seed++) {
        const size_t count = 12;
        make_wandering(count, seed);
        const reseat_drift drift = find(count);
        const reseat_drift_chart *c = &drift.baselines[0].charts[RESEAT_SERIES_X];
        for (size_t i = 0; i < count; i++) {
            const double x = runs[i].offset_mm.x;
            const bool high = four_of_five(i, c->mean + c->sigma, 1);
            const bool low = four_of_five(i, c->sigma - c->mean, -1);
            const bool outside = x > c->mean + 3 * c->sigma || x < c->mean - 3 * c->sigma;
            assert_int_equal(drift.points[i].four_of_five & X_BIT, high || low ? X_BIT : 0);
            assert_int_equal(drift.points[i].beyond_3_sigma & X_BIT, outside ? X_BIT : 0);
            above += high;
            below += low;
            far += outside && i == 0;
        }
    }
    assert_true(above > 20 && below > 20 && far > 2);
}

static void a_trend_of_too_many_runs_takes_the_latest_and_says_so(void **state)
{
    make_runs(TREND_MAX + 1);
    runs[0].offset_mm.x = 100;
    const reseat_drift drift = find(TREND_MAX + 1);
    assert_true(drift.baselines[0].notes & NOTE(LATEST_RUNS));
    assert_near(drift.baselines[0].trends[RESEAT_SERIES_X].slope, 0, 1e-6);
}

static void a_moving_range_never_reaches_into_the_baseline_before(void **state)
{
    reseat_drift_event events[6];
    make_runs(42);
    for (size_t i = 0; i < 6; i++)
        events[i] = (reseat_drift_event){1 + i, runs[6 * (i + 1)].at - 1};
    reseat_drift_input input = input_of(42);
    input.events = events;
    input.event_count = 6;
    const reseat_drift drift = find_input(&input);
    assert_int_equal(drift.baseline_count, 7);
    for (size_t i = 0; i < 42; i++) {
        double range = -1;
        assert_status(reseat_drift_moving_range(&drift, i, RESEAT_SERIES_X, &range),
                      i % 6 == 0 ? RESEAT_ERR_TOO_FEW : RESEAT_OK);
        if (i % 6 != 0)
            assert_near(range, fabs(runs[i].offset_mm.x - runs[i - 1].offset_mm.x), 1e-17);
    }
}

/* 24 runs about 0.010 mm with a little scatter; from the 13th on longer and turned. */
static reseat_drift find_change(double longer_mm, double turn_deg)
{
    make_runs(24);
    for (size_t i = 0; i < 24; i++) {
        const double length_mm = 0.010 + 0.0004 * ((double)(i * 7 % 5) / 2 - 1);
        const double deg = 2 * ((double)(i * 5 % 7) / 3 - 1);
        const bool late = i >= 12;
        runs[i].offset_mm = plane_rotate((reseat_xy){length_mm + (late ? longer_mm : 0), 0},
                                         25 + deg + (late ? turn_deg : 0));
    }
    const reseat_drift drift = find(24);
    assert_int_equal(drift.finding_count, 1);
    assert_int_equal(drift.findings[0].code, RESEAT_DRIFT_LEVEL_CHANGED);
    assert_int_equal(drift.findings[0].seq, FIRST_SEQ + 11);
    return drift;
}

static reseat_xy mean_of(size_t first, size_t end)
{
    reseat_xy mean = {0, 0};
    for (size_t i = first; i < end; i++) {
        mean.x += runs[i].offset_mm.x / (double)(end - first);
        mean.y += runs[i].offset_mm.y / (double)(end - first);
    }
    return mean;
}

static void a_change_is_told_from_the_means_on_either_side(void **state)
{
    const reseat_drift drift = find_change(0.0007, 12);
    const reseat_xy was = mean_of(0, 12), is = mean_of(12, 24);
    const double along = was.x * is.x + was.y * is.y, across = was.x * is.y - was.y * is.x;
    assert_near(drift.findings[0].length_mm, hypot(is.x, is.y) - hypot(was.x, was.y), 1e-15);
    assert_near(drift.findings[0].turn_deg, atan2(across, along) * 57.295779513082321, 1e-9);
}

/* Within three sigma of its length, and further along the circle than it grew: a turn. */
static void a_turn_moves_further_round_than_out(void **state)
{
    const double longer_mm = 0.0008, mean_mm = sqrt(0.010 * 0.0108);
    const double even_deg = 2 * asin(longer_mm / 2 / mean_mm) * 57.295779513082321;
    reseat_drift drift = find_change(longer_mm, 1.2 * even_deg);
    assert_true(longer_mm < 2.9 * drift.baselines[0].charts[RESEAT_SERIES_LENGTH].sigma);
    assert_true(drift.findings[0].turned);
    drift = find_change(longer_mm, 0.8 * even_deg);
    assert_false(drift.findings[0].turned);
    drift = find_change(0.0018, 40);
    const double sigma = drift.baselines[0].charts[RESEAT_SERIES_LENGTH].sigma;
    assert_true(drift.findings[0].length_mm > 3.1 * sigma);
    assert_true(drift.findings[0].length_mm < 3.9 * sigma);
    assert_false(drift.findings[0].turned);
}

static void three_odd_runs_are_a_change_beside_the_newest(void **state)
{
    make_runs(24);
    for (size_t i = 21; i < 24; i++)
        runs[i].offset_mm.x += i < 23 ? 0.05 : 0.1;
    const reseat_drift drift = find(24);
    assert_int_equal(drift.baselines[0].change.before, 21);
    assert_int_equal(drift.finding_count, 2);
    assert_int_equal(drift.findings[0].code, RESEAT_DRIFT_NEWEST_RUN_ODD);
    assert_int_equal(drift.findings[1].code, RESEAT_DRIFT_LEVEL_CHANGED);
}

static void a_steady_move_of_x_is_found(void **state)
{
    make_runs(24);
    for (size_t i = 0; i < 24; i++)
        runs[i].offset_mm.x += 0.0003 * (double)i;
    const reseat_drift drift = find(24);
    assert_int_equal(drift.finding_count, 1);
    assert_int_equal(drift.findings[0].code, RESEAT_DRIFT_MOVED_STEADILY);
    assert_int_equal(drift.findings[0].series, RESEAT_SERIES_X);
}

/* Of one series the chance of a wrong move is shared with no other. */
static void the_only_series_has_the_whole_chance(void **state)
{
    for (size_t i = 0; i < 24; i++) {
        runs[i] = (reseat_drift_run){.seq = FIRST_SEQ + i, .at = FIRST_AT + (int64_t)i * 7 * DAY};
        runs[i].offset_mm.x = 0.01 + 0.0001 * (double)((i * 7 + 3) % 24) + 0.00004 * (double)i;
    }
    const reseat_drift drift = find(24);
    assert_int_equal(drift.baselines[0].trended, LENGTH_BIT);
    const double p = drift.baselines[0].trends[RESEAT_SERIES_LENGTH].p;
    assert_true(p > 0.005 && p < 0.01);
    assert_int_equal(drift.finding_count, 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(flags_are_those_counted_one_by_one),
        cmocka_unit_test(a_trend_of_too_many_runs_takes_the_latest_and_says_so),
        cmocka_unit_test(a_moving_range_never_reaches_into_the_baseline_before),
        cmocka_unit_test(a_change_is_told_from_the_means_on_either_side),
        cmocka_unit_test(a_turn_moves_further_round_than_out),
        cmocka_unit_test(three_odd_runs_are_a_change_beside_the_newest),
        cmocka_unit_test(a_steady_move_of_x_is_found),
        cmocka_unit_test(the_only_series_has_the_whole_chance),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
