/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "drift_runs.h"
#include "history/drift.h"

/* Residuals of 0.0001 mm, right-angled to the fit: n = 4, squares 4e-8, dof 4, spread 4. */
static void runs_at_several_seats_part_spindle_and_probe(void **state)
{
    make_runs(4);
    static const double seats[] = {0, 180, 0, 180};
    for (size_t i = 0; i < 4; i++) {
        runs[i].seat_deg = seats[i];
        runs[i].offset_mm = (reseat_xy){0.003 + (i % 2 == 0 ? 0.008 : -0.008),
                                        0.001 + (i < 2 ? 0.0001 : -0.0001)};
    }
    reseat_drift drift = find(4);
    assert_true(drift.split_known);
    assert_near(drift.split.spindle_mm.x, 0.003, 1e-17);
    assert_near(drift.split.spindle_mm.y, 0.001, 1e-17);
    assert_near(drift.split.probe_mm.x, 0.008, 1e-17);
    assert_near(drift.split.probe_mm.y, 0, 1e-17);
    assert_false(drift.split.assumed);
    assert_near(drift.split.u_mm, sqrt(4e-8 / 2 / 4), 1e-15);

    drift = find(2);
    assert_true(drift.split_known);
    assert_near(drift.split.spindle_mm.x, 0.003, 1e-17);
    assert_true(drift.split.assumed);
    assert_near(drift.split.u_mm, 0.002 / sqrt(2), 1e-15);
    runs[1].seat_deg = 0;
    assert_false(find(2).split_known);
    assert_false(find(1).split_known);
}

static void growth_alone_is_that_of_the_latest_baseline(void **state)
{
    make_runs(200);
    const reseat_drift_event events[] = {{1, runs[60].at + 1}};
    reseat_drift_input input = input_of(200);
    input.events = events;
    input.event_count = 1;
    reseat_drift_growth growth;
    assert_status(drift_growth_find(&input, workspace, sizeof workspace, &growth),
                  RESEAT_OK);
    const reseat_drift_growth whole = find_input(&input).baselines[1].growth;
    assert_same_bits(growth.q_mm2_per_day, whole.q_mm2_per_day);
    assert_int_equal(growth.runs, RESEAT_DRIFT_RATE_RUNS);
    /* What is older than the latest 100 runs has no say. */
    for (size_t i = 0; i < 100; i++)
        runs[i].offset_u_mm = 0.01;
    assert_status(drift_growth_find(&input, workspace, sizeof workspace, &growth),
                  RESEAT_OK);
    assert_same_bits(growth.q_mm2_per_day, whole.q_mm2_per_day);
    input.runs += 100;
    input.run_count = 100;
    input.event_count = 0;
    reseat_drift_growth latest;
    assert_status(drift_growth_find(&input, workspace, sizeof workspace, &latest),
                  RESEAT_OK);
    assert_same_bits(latest.q_mm2_per_day, growth.q_mm2_per_day);
}

static void a_rate_of_the_latest_runs_alone_is_said_to_be_one(void **state)
{
    make_runs(RESEAT_DRIFT_RATE_RUNS + 1);
    assert_true(find(RESEAT_DRIFT_RATE_RUNS + 1).baselines[0].notes & NOTE(RATE_RUNS));
    assert_false(find(RESEAT_DRIFT_RATE_RUNS).baselines[0].notes & NOTE(RATE_RUNS));
}

static void trends_rest_on_the_latest_thousand_runs(void **state)
{
    make_runs(1200);
    for (size_t i = 0; i < 200; i++)
        runs[i].offset_mm.x += 1;
    const reseat_drift drift = find(1200);
    assert_true(drift.baselines[0].notes & NOTE(LATEST_RUNS));
    const reseat_trend whole = drift.baselines[0].trends[RESEAT_SERIES_X];
    reseat_drift_input input = input_of(1000);
    input.runs += 200;
    const reseat_drift latest = find_input(&input);
    assert_false(latest.baselines[0].notes & NOTE(LATEST_RUNS));
    assert_near(whole.slope, latest.baselines[0].trends[RESEAT_SERIES_X].slope, 1e-16);
    assert_int_equal(whole.s, latest.baselines[0].trends[RESEAT_SERIES_X].s);
}

static void a_trend_pulls_the_growth(void **state)
{
    make_runs(20);
    for (size_t i = 0; i < 20; i++)
        runs[i].offset_mm.y -= 0.0005 * (double)i;
    const reseat_drift_baseline b = find(20).baselines[0];
    assert_same_bits(b.growth.per_day_mm, -b.trends[RESEAT_SERIES_Y].low);
    double u = 0;
    assert_status(reseat_drift_growth_u(&b.growth, 1000, &u), RESEAT_OK);
    assert_same_bits(u, b.growth.per_day_mm * 1000);
}

static void growth_is_the_larger_of_walk_and_pull(void **state)
{
    const reseat_drift_growth assumed = drift_growth_assumed();
    double u = 7;
    assert_status(reseat_drift_growth_u(&assumed, 30, &u), RESEAT_OK);
    assert_near(u, 0.001, 1e-18);
    assert_status(reseat_drift_growth_u(&assumed, 0, &u), RESEAT_OK);
    assert_same_bits(u, 0.0);
    const reseat_drift_growth pulled = {.q_mm2_per_day = 1e-8, .per_day_mm = 1e-4};
    assert_status(reseat_drift_growth_u(&pulled, 0.25, &u), RESEAT_OK);
    assert_near(u, 0.00005, 1e-18);
    u = 7;
    reseat_drift_growth bad = assumed;
    assert_status(reseat_drift_growth_u(NULL, 1, &u), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_drift_growth_u(&assumed, 1, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_drift_growth_u(&assumed, (double)NAN, &u), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_drift_growth_u(&assumed, -1, &u), RESEAT_ERR_RANGE);
    bad.q_mm2_per_day = -1;
    assert_status(reseat_drift_growth_u(&bad, 1, &u), RESEAT_ERR_RANGE);
    bad.q_mm2_per_day = (double)INFINITY;
    assert_status(reseat_drift_growth_u(&bad, 1, &u), RESEAT_ERR_NOT_FINITE);
    assert_same_bits(u, 7);
}

/* All of them on one morning: their growth a day is still known, and so is a line that fits. */
static void runs_of_a_few_hours_have_a_growth_and_a_line(void **state)
{
    make_runs(12);
    for (size_t i = 0; i < 12; i++) {
        runs[i].at = FIRST_AT + (int64_t)i * 1800;
        runs[i].offset_mm.x = 0.01 + 0.0005 * (double)i + (i % 2 ? 1e-5 : -1e-5);
        runs[i].offset_u_mm = 0;
    }
    const reseat_drift drift = find(12);
    const reseat_drift_baseline *b = &drift.baselines[0];
    assert_false(b->growth.assumed);
    assert_int_equal(b->growth.runs, 12);
    assert_true(b->growth.q_mm2_per_day > 0);
    assert_int_equal(b->notes & NOTE(SAME_TIME), 0);
    assert_true(b->change_known && b->change.steady_fits);
    for (size_t i = 0; i < 12; i++)
        runs[i].at = FIRST_AT;
    assert_false(find(12).baselines[0].change.steady_fits);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(runs_at_several_seats_part_spindle_and_probe),
        cmocka_unit_test(growth_alone_is_that_of_the_latest_baseline),
        cmocka_unit_test(a_rate_of_the_latest_runs_alone_is_said_to_be_one),
        cmocka_unit_test(trends_rest_on_the_latest_thousand_runs),
        cmocka_unit_test(a_trend_pulls_the_growth),
        cmocka_unit_test(growth_is_the_larger_of_walk_and_pull),
        cmocka_unit_test(runs_of_a_few_hours_have_a_growth_and_a_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
