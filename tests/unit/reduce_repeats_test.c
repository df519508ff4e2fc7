/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Touches that come again, and what a reduction says at the edges of what it takes. */
#include <string.h>
#include "check.h"
#include "probe.h"
#include "reseat/touches.h"

static const probe round_ball = {{0.0182, -0.0117}, 2.9512, 0, 0};
static const reseat_xyz centre = {-136.795, 94.536, -210};

static reseat_touch touches[RESEAT_TOUCHES_MAX];
static reseat_touch_result results[RESEAT_TOUCHES_MAX];
static reseat_reduction r;
static reseat_error error;

static reseat_status reduce(size_t count, reseat_gauge_kind kind, double diameter_mm)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(kind, diameter_mm);
    memset(&error, 0, sizeof error);
    return reseat_reduce(touches, count, &setup, results, &r, &error);
}

static size_t make_run(reseat_gauge_kind kind, const double *turns_deg, size_t turns, size_t dirs)
{
    const reseat_gauge gauge = {.kind = kind, .diameter_mm = 50};
    return probe_run(&round_ball, &gauge, centre, turns_deg, turns, dirs, touches);
}

/* Further out from the centre of the gauge. */
static reseat_touch moved_out(reseat_touch touch, double off_mm)
{
    const double phi = atan2(touch.y_mm - centre.y, touch.x_mm - centre.x);
    touch.x_mm += off_mm * cos(phi);
    touch.y_mm += off_mm * sin(phi);
    return touch;
}

/* Three of each, one after the other: 0, +2 and -1 um; squares of 14/3 um2 and 2 of freedom. */
static void three_sets_are_pooled_about_their_means(void **state)
{
    static const double off_mm[] = {0, 0.002, -0.001};
    static const double turns_deg[] = {0, 180};
    const size_t n = make_run(RESEAT_GAUGE_SPHERE, turns_deg, 2, 12);
    for (size_t i = n; i-- > 0;)
        for (size_t set = 3; set-- > 0;) {
            touches[3 * i + set] = moved_out(touches[i], off_mm[set]);
            touches[3 * i + set].set = (unsigned)set + 1;
        }
    /* the poles determine the height */
    const reseat_gauge gauge = {.kind = RESEAT_GAUGE_SPHERE, .diameter_mm = 50};
    touches[3 * n] = probe_touch(&round_ball, &gauge, centre, 0, 10, 90);
    touches[3 * n + 1] = probe_touch(&round_ball, &gauge, centre, 0, 10, 60);
    assert_status(reduce(3 * n + 2, RESEAT_GAUGE_SPHERE, 50), RESEAT_OK);
    assert_true(r.has_repeatability);
    assert_int_equal(r.repeatability_dof, 2 * n);
    assert_near(r.repeatability_mm, sqrt(14.0 / 3 / 2) * 1e-3, 1e-7);
    assert_int_equal(r.advice & (1u << RESEAT_ADVICE_REPEATS | 1u << RESEAT_ADVICE_TURNS), 0);
}

static void one_touch_repeated_is_enough_and_none_is_not(void **state)
{
    static const double turns_deg[] = {0, 180};
    const size_t n = make_run(RESEAT_GAUGE_RING, turns_deg, 2, 12);
    assert_status(reduce(n, RESEAT_GAUGE_RING, 50), RESEAT_OK);
    assert_false(r.has_repeatability);
    assert_same_bits(r.repeatability_mm, 0.0);
    assert_same_bits(r.closure_mm, 0.0);
    touches[n] = moved_out(touches[5], 0.002);
    touches[n].set = 2;
    assert_status(reduce(n + 1, RESEAT_GAUGE_RING, 50), RESEAT_OK);
    assert_true(r.has_repeatability);
    assert_int_equal(r.repeatability_dof, 1);
    assert_near(r.repeatability_mm, 0.002 / sqrt(2), 1e-8);
}

static void a_return_counts_though_another_turn_came_last(void **state)
{
    static const double turns_deg[] = {0, 180, 0, 90};
    const size_t n = make_run(RESEAT_GAUGE_RING, turns_deg, 4, 8);
    for (size_t i = 16; i < n; i++)
        touches[i].x_mm += 0.002;
    assert_status(reduce(n, RESEAT_GAUGE_RING, 50), RESEAT_OK);
    assert_true(r.has_closure);
    assert_near(r.closure_mm, 0.002, 1e-6);
}

/* Directions from 0 to 90.5 degrees are as many as it takes, the first one counted. */
static void touches_from_more_than_a_quarter_are_enough(void **state)
{
    const reseat_gauge gauge = {.kind = RESEAT_GAUGE_RING, .diameter_mm = 50};
    for (size_t i = 0; i < 8; i++)
        touches[i] = probe_touch(&round_ball, &gauge, centre, 0, 90.5 / 7 * (double)i, 0);
    assert_status(reduce(8, RESEAT_GAUGE_RING, 50), RESEAT_OK);
    assert_near(r.radius_mm, 2.9512, 1e-9);
    assert_status(reduce(7, RESEAT_GAUGE_RING, 50), RESEAT_ERR_SINGULAR);
}

static void a_motion_away_from_the_surface_is_refused_in_the_first_touch_too(void **state)
{
    static const double turns_deg[] = {0, 180};
    const size_t n = make_run(RESEAT_GAUGE_RING, turns_deg, 2, 12);
    touches[0].has_dir = true;
    touches[0].dir_deg = 10 + 89.5;
    assert_status(reduce(n, RESEAT_GAUGE_RING, 50), RESEAT_OK);
    touches[0].dir_deg = 10 + 90.5;
    assert_status(reduce(n, RESEAT_GAUGE_RING, 50), RESEAT_ERR_RANGE);
    assert_int_equal(error.line, touches[0].line);
}

/* Of a sphere touched high up: no direction, and one. */
static void few_touches_of_the_equator_make_as_few_directions(void **state)
{
    const reseat_gauge gauge = {.kind = RESEAT_GAUGE_SPHERE, .diameter_mm = 50};
    for (size_t i = 0; i < 24; i++)
        touches[i] = probe_touch(&round_ball, &gauge, centre, i < 12 ? 0 : 180,
                                 30.0 * (double)i, i % 2 == 0 ? 30 : 60);
    assert_status(reduce(24, RESEAT_GAUGE_SPHERE, 50), RESEAT_OK);
    assert_int_equal(r.dirs, 0);
    touches[24] = probe_touch(&round_ball, &gauge, centre, 0, 40, 0);
    assert_status(reduce(25, RESEAT_GAUGE_SPHERE, 50), RESEAT_OK);
    assert_int_equal(r.dirs, 1);
    assert_near(r.dirs_deg[0], 40, 1e-9);
    assert_near(r.curve.mean_mm, 2.9512, 1e-9);
}

static void as_many_touches_as_are_allowed_are_taken(void **state)
{
    static const double turns_deg[] = {0, 180};
    const size_t n = make_run(RESEAT_GAUGE_RING, turns_deg, 2, RESEAT_TOUCHES_MAX / 2);
    assert_int_equal(n, RESEAT_TOUCHES_MAX);
    assert_status(reduce(n, RESEAT_GAUGE_RING, 50), RESEAT_OK);
    assert_near(r.radius_mm, 2.9512, 1e-9);
}

static void one_touch_is_too_few_and_named(void **state)
{
    static const double turns_deg[] = {0};
    (void)make_run(RESEAT_GAUGE_RING, turns_deg, 1, 12);
    assert_status(reduce(1, RESEAT_GAUGE_RING, 50), RESEAT_ERR_TOO_FEW);
    assert_int_equal(error.line, touches[0].line);
    assert_string_equal(error.key, "x_mm");
}

static void three_touches_to_spare_widen_threefold(void **state)
{
    static const double turns_deg[] = {0, 180};
    const size_t n = make_run(RESEAT_GAUGE_RING, turns_deg, 2, 4);
    touches[2] = moved_out(touches[2], 0.001);
    assert_status(reduce(n, RESEAT_GAUGE_RING, 50), RESEAT_OK);
    assert_int_equal(r.dof, 3);
    const reseat_cov c = r.offset_cov_mm2;
    const double most = (c.xx + c.yy) / 2 + hypot((c.xx - c.yy) / 2, c.xy);
    const double lobes_mm2 = pow(0.0015, 2) / 2; /* four directions */
    assert_near(r.offset_u_mm, sqrt(3 * most + lobes_mm2) + 0.0005, 1e-6);
    assert_true((r.assumed & 1u << RESEAT_ASSUMED_U_TOUCH) == 0);
}

static void what_is_wrong_is_said_with_its_size(void **state)
{
    static const double turns_deg[] = {0};
    const size_t n = make_run(RESEAT_GAUGE_RING, turns_deg, 1, 12);
    for (size_t i = 0; i < n; i++) {
        touches[i].x_mm = 1.5e6 * cos(0.5235987755982988 * (double)i);
        touches[i].y_mm = 1.5e6 * sin(0.5235987755982988 * (double)i);
    }
    assert_status(reduce(n, RESEAT_GAUGE_RING, 50), RESEAT_ERR_RANGE);
    assert_non_null(strstr(error.text, "round on "));
    assert_near(strtod(strstr(error.text, "round on ") + 9, NULL), 3e6, 1e-3);
    (void)make_run(RESEAT_GAUGE_RING, turns_deg, 1, 12);
    touches[4] = moved_out(touches[4], 2);
    assert_status(reduce(n, RESEAT_GAUGE_RING, 50), RESEAT_ERR_RANGE);
    const char *const off = strstr(error.text, "off by ");
    assert_non_null(off);
    assert_string_equal(strchr(off, '.') + 4, " mm");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(three_sets_are_pooled_about_their_means),
        cmocka_unit_test(one_touch_repeated_is_enough_and_none_is_not),
        cmocka_unit_test(a_return_counts_though_another_turn_came_last),
        cmocka_unit_test(touches_from_more_than_a_quarter_are_enough),
        cmocka_unit_test(a_motion_away_from_the_surface_is_refused_in_the_first_touch_too),
        cmocka_unit_test(few_touches_of_the_equator_make_as_few_directions),
        cmocka_unit_test(as_many_touches_as_are_allowed_are_taken),
        cmocka_unit_test(one_touch_is_too_few_and_named),
        cmocka_unit_test(three_touches_to_spare_widen_threefold),
        cmocka_unit_test(what_is_wrong_is_said_with_its_size),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
