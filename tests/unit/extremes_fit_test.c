/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Extremes in what is measured: touches, seatings, radii, runs, and the statistics of them. */
#include "drift_runs.h"
#include "extremes.h"
#include "probe.h"
#include "maths/chance.h"
#include "reseat/probe.h"
#include "reseat/touches.h"
#include "reseat/history.h"
#include "maths/plane.h"
#include "maths/distributions.h"
#include "history/suspect.h"
#include "history/drift.h"

#define RUNS 14

static reseat_drift_input input;

static reseat_status find_drift(void)
{
    EXTREMES_CALL(reseat_drift, drift,
                  drift_find(&input, workspace, sizeof workspace, &drift));
    for (size_t i = 0; i < drift.point_count; i++) {
        assert_finite(drift.points[i].value, RESEAT_SERIES_COUNT);
        assert_finite(&drift.points[i].bearing_deg, 2);
    }
    for (size_t i = 0; i < drift.baseline_count; i++) {
        const reseat_drift_baseline *b = &drift.baselines[i];
        for (int s = 0; s < RESEAT_SERIES_COUNT; s++) {
            assert_finite(&b->charts[s].mean, sizeof b->charts[s] / sizeof(double));
            assert_finite(&b->trends[s].slope, 4);
        }
        assert_finite(&b->newest.t2, 2);
        assert_finite(&b->change.t2, 2);
        assert_finite(&b->growth.q_mm2_per_day, 2);
    }
    for (size_t i = 0; i < drift.finding_count; i++) {
        const reseat_drift_finding *f = &drift.findings[i];
        const double told[] = {f->p, f->turn_deg, f->length_mm, f->per_day_mm, f->limit_share};
        assert_finite(told, COUNT(told));
    }
    return status;
}

static reseat_status find_growth(void)
{
    EXTREMES_CALL(reseat_drift_growth, growth,
                  drift_growth_find(&input, workspace, sizeof workspace, &growth));
    assert_finite(&growth.q_mm2_per_day, 2);
    return status;
}

static void drift_stays_finite(void **state)
{
    static const size_t spoiled[] = {0, 6, RUNS - 1};
    for (int way = 0; way < 3; way++) {
        extremes e = {.call = find_drift};
        make_runs(RUNS);
        for (size_t i = 0; i < RUNS; i++) {
            runs[i].seat_deg = way == 1 ? 90.0 * (double)(i % 4) : 0;
            runs[i].radius_known = runs[i].stylus_length_known = true;
            runs[i].radius_mm = 3 + 0.0001 * (double)(i % 3);
            runs[i].stylus_length_mm = 50 + 0.001 * (double)(i % 5);
            runs[i].at = way == 2 ? FIRST_AT : runs[i].at;
        }
        input = input_of(RUNS);
        for (size_t i = 0; i < COUNT(spoiled); i++)
            extremes_add(&e, &runs[spoiled[i]].offset_mm.x, 6);
        extremes_add(&e, &input.spindle_mm.x, 2);
        extremes_add(&e, &input.limit_mm, 1);
        extremes_try(&e, true);
        e.call = find_growth;
        extremes_try(&e, false);
    }
}

static double range_of[2];

static reseat_status find_range(void)
{
    const reseat_drift_point points[2] = {{.value = {range_of[0]}, .known = X_BIT},
                                          {.value = {range_of[1]}, .known = X_BIT}};
    reseat_drift_point held[2];
    memcpy(held, points, sizeof held);
    reseat_drift_baseline all = {.first = 0, .count = 2};
    const reseat_drift drift = {.points = held, .point_count = 2, .baselines = &all,
                                .baseline_count = 1};
    EXTREMES_CALL(double, range, reseat_drift_moving_range(&drift, 1, RESEAT_SERIES_X, &range));
    assert_finite(&range, 1);
    return status;
}

static double growth_in[3];

static reseat_status find_growth_u(void)
{
    const reseat_drift_growth growth = {.q_mm2_per_day = growth_in[0], .per_day_mm = growth_in[1]};
    EXTREMES_CALL(double, u, reseat_drift_growth_u(&growth, growth_in[2], &u));
    assert_finite(&u, 1);
    return status;
}

static void ranges_and_growth_stay_finite(void **state)
{
    extremes e = {.call = find_range}, grown = {.call = find_growth_u};
    extremes_add(&e, range_of, 2);
    extremes_try(&e, true);
    extremes_add(&grown, growth_in, 3);
    extremes_try(&grown, true);
}

static reseat_touch touches[40];
static size_t touch_count;
static reseat_reduce_setup setup;

static reseat_status reduce(void)
{
    static reseat_touch_result results[COUNT(touches)];
    EXTREMES_CALL(reseat_reduction, r, reseat_reduce(touches, touch_count, &setup, results, &r,
                                                     NULL));
    assert_finite(&r.offset_mm.x, 2);
    assert_finite(&r.offset_cov_mm2.xx, 4);
    assert_finite(&r.centre_mm.x, 3);
    assert_finite(&r.fit_radius_mm, 5);
    const double others[] = {r.repeatability_mm, r.closure_mm, r.curve.mean_mm,
                             r.curve.residual_mm};
    assert_finite(others, COUNT(others));
    for (size_t i = 0; i < touch_count; i++)
        assert_finite(&results[i].dir_deg, 4);
    return status;
}

static void a_reduction_stays_finite(void **state)
{
    static const double turns_deg[] = {0, 180, 0};
    const probe p = {.offset_mm = {0.004, -0.0011}, .radius_mm = 3, .lobe_mm = 0.001};
    for (int way = 0; way < 4; way++) {
        extremes e = {.call = reduce};
        setup = reseat_reduce_assumed(way == 3 ? RESEAT_GAUGE_SPHERE : RESEAT_GAUGE_RING, 50);
        setup.centre_known = way == 1;
        touch_count = probe_run(&p, &setup.gauge, (reseat_xyz){0, 0, 0}, turns_deg,
                                way == 2 ? 1 : 3, 12, touches);
        for (size_t i = 0; i < touch_count; i++) {
            touches[i].has_dir = i == 5;
            if (way == 3 && i % 3 == 0)
                touches[i] = probe_touch(&p, &setup.gauge, (reseat_xyz){0, 0, 0},
                                         touches[i].turn_deg, 30 * (double)i, 60);
        }
        touches[5].dir_deg = plane_seat(10 + 5 * 30);
        extremes_add(&e, &touches[0].x_mm, 4);
        extremes_add(&e, &touches[5].x_mm, 5);
        extremes_add(&e, &setup.gauge.diameter_mm, 6);
        extremes_add(&e, &setup.centre_mm.x, 4);
        extremes_try(&e, way == 0);
    }
}

static reseat_seating seatings[8];
static bool readings;

static reseat_status solve_study(void)
{
    EXTREMES_CALL(reseat_study, study, reseat_study_solve(seatings, COUNT(seatings), readings,
                                                          &study));
    const double found[] = {study.u_seat_mm,     study.probe_mm.x,    study.probe_mm.y,
                            study.probe_u_mm,    study.spindle_mm.x,  study.spindle_mm.y,
                            study.spindle_u_mm};
    assert_finite(found, COUNT(found));
    return status;
}

static void a_study_stays_finite(void **state)
{
    for (int way = 0; way < 3; way++) {
        extremes e = {.call = solve_study};
        readings = way == 1;
        for (size_t i = 0; i < COUNT(seatings); i++)
            seatings[i] = (reseat_seating){.seat_deg = way == 2 ? 0 : 180.0 * (double)(i % 2),
                                           .found_mm = {0.001 * (double)(i % 3), 0.002}};
        extremes_add(&e, &seatings[0].seat_deg, 3);
        extremes_add(&e, &seatings[5].seat_deg, 3);
        extremes_try(&e, true);
    }
}

static double dirs_deg[6], radii_mm[6];

static reseat_status fit_radius(void)
{
    EXTREMES_CALL(reseat_radius_curve, curve, reseat_radius_fit(dirs_deg, radii_mm, 6, &curve));
    assert_finite(&curve.mean_mm, 2 * RESEAT_RADIUS_ORDER_MAX + 4);
    return status;
}

static void a_radius_curve_stays_finite(void **state)
{
    extremes e = {.call = fit_radius};
    for (size_t i = 0; i < 6; i++) {
        dirs_deg[i] = 60 * (double)i;
        radii_mm[i] = 3 + 0.001 * (double)(i % 2);
    }
    extremes_add(&e, dirs_deg, 2);
    extremes_add(&e, radii_mm, 2);
    extremes_try(&e, true);
}

static reseat_xy mean_mm;
static reseat_cov scatter_mm2;
static double limit_mm;

static reseat_status find_chance(void)
{
    EXTREMES_CALL(double, chance, chance_disc(mean_mm, scatter_mm2, limit_mm, &chance));
    assert_true(chance >= 0 && chance <= 1);
    return status;
}

static reseat_status find_chance_on_line(void)
{
    EXTREMES_CALL(double, chance, chance_line(mean_mm.x, scatter_mm2.xx, limit_mm, &chance));
    assert_true(chance >= 0 && chance <= 1);
    return status;
}

static void a_chance_stays_one(void **state)
{
    extremes e = {.call = find_chance};
    mean_mm = (reseat_xy){0.003, -0.001};
    scatter_mm2 = (reseat_cov){1e-6, 1e-7, 2e-6};
    limit_mm = 0.005;
    extremes_add(&e, &mean_mm.x, 2);
    extremes_add(&e, &scatter_mm2.xx, 3);
    extremes_add(&e, &limit_mm, 1);
    extremes_try(&e, true);
    e.call = find_chance_on_line;
    extremes_try(&e, true);
}

static double p_in, dof_in;

static reseat_status find_quantile(void)
{
    EXTREMES_CALL(double, t, student_quantile(p_in, dof_in, &t));
    assert_finite(&t, 1);
    return status;
}

static void distributions_stay_finite(void **state)
{
    extremes e = {.call = find_quantile};
    p_in = 0.975;
    dof_in = 5;
    extremes_add(&e, &p_in, 1);
    extremes_add(&e, &dof_in, 1);
    extremes_try(&e, true);
}

static suspect_fact facts[4];

static reseat_status find_windows(void)
{
    reseat_window windows[COUNT(facts)];
    EXTREMES_CALL(size_t, found, suspect_find(facts, COUNT(facts), limit_mm, windows,
                                              &found));
    for (size_t i = 0; i < found; i++)
        assert_finite(&windows[i].expected_mm.x, 6);
    return status;
}

static void windows_stay_finite(void **state)
{
    extremes e = {.call = find_windows};
    for (size_t i = 0; i < COUNT(facts); i++)
        facts[i].fact = (replay_fact){.type = i == 2 ? RESEAT_RECORD_VERIFY : RESEAT_RECORD_RUN,
                                      .seq = (int64_t)i, .at = (int64_t)i * DAY,
                                      .found_mm = {0.004, 0.001}, .in_use_mm = {0.004, 0.001}};
    limit_mm = 0.005;
    extremes_add(&e, &facts[1].fact.found_mm.x, 4);
    extremes_add(&e, &facts[2].error_mm.x, 2);
    extremes_add(&e, &facts[3].fact.found_mm.x, 4);
    extremes_add(&e, &limit_mm, 1);
    extremes_try(&e, true);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(drift_stays_finite),
        cmocka_unit_test(ranges_and_growth_stay_finite),
        cmocka_unit_test(a_reduction_stays_finite),
        cmocka_unit_test(a_study_stays_finite),
        cmocka_unit_test(a_radius_curve_stays_finite),
        cmocka_unit_test(a_chance_stays_one),
        cmocka_unit_test(distributions_stay_finite),
        cmocka_unit_test(windows_stay_finite),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
