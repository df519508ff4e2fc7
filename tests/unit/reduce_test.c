/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <stdio.h>
#include "check.h"
#include "probe.h"
#include "random.h"
#include "reseat/touches.h"
#include "reseat/history.h"
#include "maths/plane.h"
#include "maths/distributions.h"

static const probe lobed = {{0.0182, -0.0117}, 2.9512, 0.0015, 25};
static const reseat_xyz centre = {-136.795, 94.536, -210};
static const double turns_deg[] = {0, 180, 0};
static const double quarters_deg[] = {0, 90, 180, 270};

static reseat_touch touches[RESEAT_TOUCHES_MAX];
static reseat_touch_result results[RESEAT_TOUCHES_MAX];
static reseat_reduction r;
static reseat_error error;

static void reduce(size_t count, const reseat_reduce_setup *setup)
{
    const reseat_status status = reseat_reduce(touches, count, setup, results, &r, &error);
    if (status != RESEAT_OK)
        print_error("line %zu: %s\n", error.line, error.text);
    assert_status(status, RESEAT_OK);
}

/* Adds noise along the approach. */
static void disturb(size_t count, double noise_mm, uint64_t seed)
{
    for (size_t i = 0; i < count; i++) {
        const double phi = atan2(touches[i].y_mm - centre.y, touches[i].x_mm - centre.x);
        const double off_mm = random_between(&seed, -noise_mm, noise_mm);
        touches[i].x_mm += off_mm * cos(phi);
        touches[i].y_mm += off_mm * sin(phi);
    }
}

/* Moves one touch outwards. */
static void spoil(size_t touch, double off_mm)
{
    const double phi = atan2(touches[touch].y_mm - centre.y, touches[touch].x_mm - centre.x);
    touches[touch].x_mm += off_mm * cos(phi);
    touches[touch].y_mm += off_mm * sin(phi);
}

static void ring_and_plug_show_the_same_radii_by_approach_direction(void **state)
{
    const reseat_gauge_kind kinds[] = {RESEAT_GAUGE_RING, RESEAT_GAUGE_PLUG};
    for (size_t i = 0; i < 2; i++) {
        const reseat_reduce_setup setup = reseat_reduce_assumed(kinds[i], 48.9573);
        const size_t n = probe_run(&lobed, &setup.gauge, centre, quarters_deg, 4, 36, touches);
        reduce(n, &setup);
        double amplitude_mm, phase_deg;
        assert_int_equal(r.dirs, 36);
        assert_near(r.offset_mm.x, 0.0182, 1e-6);
        assert_near(r.offset_mm.y, -0.0117, 1e-6);
        assert_near(r.radius_mm, 2.9512, 1e-6);
        for (size_t k = 0; k < 36; k++)
            assert_near(r.radii_mm[k], probe_radius(&lobed, r.dirs_deg[k]), 1e-6);
        assert_status(reseat_radius_harmonic(&r.curve, 3, &amplitude_mm, &phase_deg), RESEAT_OK);
        assert_near(amplitude_mm, 0.0015, 1e-6);
        assert_near(phase_deg, 25, 0.01);
        assert_int_equal(r.outliers, 0);
        /* the nearest touch is 5 degrees beside a lobe: cos 15 degrees */
        assert_near(r.form_mm, 0.003 * 0.96592582628906829, 1e-6);
    }
}

static void given_directions_count_before_the_geometry(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_PLUG, 30);
    const size_t n = probe_run(&lobed, &setup.gauge, centre, turns_deg, 2, 12, touches);
    for (size_t i = 0; i < n; i++) {
        touches[i].has_dir = true;
        touches[i].dir_deg = 12 + 30.0 * (double)(i % 12); /* 2 degrees off where it was */
    }
    reduce(n, &setup);
    assert_int_equal(r.dirs, 12);
    for (size_t i = 0; i < 12; i++)
        assert_near(r.dirs_deg[i], 12 + 30.0 * (double)i, 1e-9);
    assert_near(results[3].dir_deg, 102, 1e-12);
}

static void a_side_given_for_an_approach_is_refused(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_PLUG, 30);
    const size_t n = probe_run(&lobed, &setup.gauge, centre, turns_deg, 2, 12, touches);
    touches[5].has_dir = true;
    touches[5].dir_deg = 10 + 30 * 5 + 180;
    assert_status(reseat_reduce(touches, n, &setup, results, &r, &error), RESEAT_ERR_RANGE);
    assert_int_equal(error.line, 7);
    assert_string_equal(error.key, "dir_deg");
}

static void radius_follows_the_temperature_and_carries_its_terms(void **state)
{
    reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    const size_t n = probe_run(&lobed, &setup.gauge, centre, quarters_deg, 4, 12, touches);
    disturb(n, 0.001, 4);
    reduce(n, &setup);
    const double cold_mm = r.radius_mm;
    const double fit_mm2 = r.residual_sd_mm * r.residual_sd_mm / 48;
    /* D a uT/2 = 50 * 11.5e-6 * 0.5 / 2 */
    assert_near(r.radius_u_mm, sqrt(fit_mm2 + pow(1.4375e-4, 2)), 1e-8);
    setup.gauge.temperature_c = 26;
    setup.gauge.temperature_u_c = 0.2;
    setup.gauge.diameter_u_mm = 0.0008;
    reduce(n, &setup);
    assert_near(r.radius_mm - cold_mm, 50 * 11.5e-6 * 6 / 2, 1e-12);
    assert_near(r.radius_u_mm, sqrt(fit_mm2 + pow(0.0004, 2) + pow(5.75e-5, 2) + pow(1.725e-4, 2)),
                1e-8);
}

static void offset_uncertainty_is_widened_for_few_touches(void **state)
{
    reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    setup.lobing_mm = 0;
    const size_t n = probe_run(&lobed, &setup.gauge, centre, quarters_deg, 4, 4, touches);
    disturb(n, 0.001, 5);
    reduce(n, &setup);
    assert_int_equal(r.dof, 11);
    assert_near(r.offset_u_mm, sqrt(r.offset_cov_mm2.xx * 11 / 9), 1e-6 * r.offset_u_mm + 1e-9);
    assert_near(r.offset_cov_mm2.xx, 2 * pow(r.residual_sd_mm, 2) / 16, 1e-4 * r.offset_cov_mm2.xx);
    assert_true((r.assumed & 1u << RESEAT_ASSUMED_U_TOUCH) == 0);
    assert_true((r.assumed & 1u << RESEAT_ASSUMED_MOVEMENT) == 0);
}

static void two_turns_alone_add_half_a_micrometre_and_a_return_takes_it_off(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    probe round = lobed;
    round.lobe_mm = 0;
    size_t n = probe_run(&round, &setup.gauge, centre, turns_deg, 2, 8, touches);
    reduce(n, &setup);
    assert_near(r.offset_u_mm, 0.0005, 1e-12);
    assert_true((r.assumed & 1u << RESEAT_ASSUMED_MOVEMENT) != 0);
    assert_true((r.advice & 1u << RESEAT_ADVICE_CLOSURE) != 0);
    assert_false(r.has_closure);
    n = probe_run(&round, &setup.gauge, centre, turns_deg, 3, 8, touches);
    reduce(n, &setup);
    assert_near(r.offset_u_mm, 0, 1e-12);
    assert_true((r.assumed & 1u << RESEAT_ASSUMED_MOVEMENT) == 0);
    assert_true((r.advice & 1u << RESEAT_ADVICE_CLOSURE) == 0);
    assert_near(r.closure_mm, 0, 1e-12);
    assert_int_equal(r.turns, 2);
    assert_near(r.turns_deg[1], 180, 0);
}

static void closure_tells_how_far_the_gauge_moved(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_PLUG, 50);
    const size_t n = probe_run(&lobed, &setup.gauge, centre, turns_deg, 3, 12, touches);
    for (size_t i = 24; i < n; i++) {
        touches[i].x_mm += 0.003;
        touches[i].y_mm -= 0.004;
    }
    reduce(n, &setup);
    assert_true(r.has_closure);
    assert_near(r.closure_mm, 0.005, 1e-6);
}

static void fewer_than_three_degrees_of_freedom_take_the_scatter_as_given(void **state)
{
    reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    setup.u_touch_mm = 0.0009;
    setup.lobing_mm = 0;
    const double thirds_deg[] = {0, 120, 240};
    const size_t n = probe_run(&lobed, &setup.gauge, centre, thirds_deg, 3, 2, touches);
    for (size_t i = 0; i < n; i++)
        touches[i] = probe_touch(&lobed, &setup.gauge, centre, thirds_deg[i / 2],
                                 100.0 * (double)i, 0);
    reduce(n, &setup);
    assert_int_equal(r.dof, 1);
    assert_true((r.assumed & 1u << RESEAT_ASSUMED_U_TOUCH) != 0);
    const reseat_cov c = r.offset_cov_mm2;
    const double most = (c.xx + c.yy) / 2 + hypot((c.xx - c.yy) / 2, c.xy);
    assert_near(r.offset_u_mm, sqrt(most), 1e-12);
    setup.u_touch_mm = 0.0018;
    reduce(n, &setup);
    assert_near(r.offset_cov_mm2.xx, 4 * c.xx, 1e-12 * c.xx);
    assert_false(r.outliers_tested);
    assert_true((r.advice & 1u << RESEAT_ADVICE_TOUCHES) != 0);
}

static void one_turn_and_no_centre_gives_the_radius_alone(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    const size_t n = probe_run(&lobed, &setup.gauge, centre, turns_deg, 1, 36, touches);
    reduce(n, &setup);
    assert_false(r.has_offset);
    assert_same_bits(r.offset_u_mm, 0.0);
    assert_near(r.centre_mm.x, centre.x - lobed.offset_mm.x, 1e-6);
    assert_near(r.centre_mm.y, centre.y - lobed.offset_mm.y, 1e-6);
    assert_near(r.radius_mm, lobed.radius_mm, 1e-6);
    assert_int_equal(r.dirs, 36);
    assert_int_equal(r.dof, 33);
    assert_true((r.advice & 1u << RESEAT_ADVICE_TURNS) != 0);
    for (size_t i = 0; i < n; i++)
        touches[i].turn_deg = i % 2 == 0 ? 90 : -270; /* the same */
    reduce(n, &setup);
    assert_false(r.has_offset);
    assert_int_equal(r.turns, 1);
}

static void a_known_centre_gives_the_offset_and_its_own_uncertainty(void **state)
{
    reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    setup.centre_known = true;
    setup.centre_mm = (reseat_xy){centre.x, centre.y};
    setup.centre_u_mm = 0.002;
    const double at_90_deg[] = {90};
    const size_t n = probe_run(&lobed, &setup.gauge, centre, at_90_deg, 1, 36, touches);
    disturb(n, 0.001, 6);
    reduce(n, &setup);
    assert_true(r.has_offset);
    assert_near(r.offset_mm.x, lobed.offset_mm.x, 0.0006);
    assert_near(r.offset_mm.y, lobed.offset_mm.y, 0.0006);
    assert_int_equal(r.dof, 33);
    const double fit_mm2 = 2 * pow(r.residual_sd_mm, 2) / 36;
    assert_near(r.offset_cov_mm2.xx, fit_mm2 + 4e-6, 1e-10);
    assert_near(r.offset_u_mm, sqrt(fit_mm2 * 33 / 31 + 4e-6), 1e-8);
}

static void a_sphere_takes_its_lobes_from_the_equator(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_SPHERE, 25);
    probe plain = lobed;
    plain.lobe_mm = 0;
    size_t n = probe_run(&lobed, &setup.gauge, centre, turns_deg, 2, 18, touches);
    for (size_t k = 0; k < 2; k++)
        for (size_t i = 0; i < 8; i++)
            touches[n++] = probe_touch(&plain, &setup.gauge, centre, turns_deg[k],
                                       45.0 * (double)i, i < 6 ? 40 : 90);
    reduce(n, &setup);
    assert_near(r.offset_mm.x, lobed.offset_mm.x, 1e-6);
    assert_near(r.offset_mm.y, lobed.offset_mm.y, 1e-6);
    assert_near(r.centre_mm.z, centre.z, 1e-6);
    assert_near(r.radius_mm, lobed.radius_mm, 1e-6);
    assert_int_equal(r.dof, n - 6);
    assert_int_equal(r.dirs, 18);
    double amplitude_mm, phase_deg;
    assert_status(reseat_radius_harmonic(&r.curve, 3, &amplitude_mm, &phase_deg), RESEAT_OK);
    assert_near(amplitude_mm, 0.0015, 1e-6);
    assert_near(phase_deg, 25, 0.01);
}

static void repeatability_pools_the_repeats_of_each_touch(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    size_t n = probe_run(&lobed, &setup.gauge, centre, turns_deg, 2, 12, touches);
    reduce(n, &setup);
    assert_false(r.has_repeatability);
    memcpy(touches + n, touches, n * sizeof *touches);
    for (size_t i = 0; i < 2 * n; i++)
        touches[i].set = i < n ? 1 : 2;
    /* each pair is 0.002 apart: squares 24 * 2; own centres take 4 of 24 degrees of freedom */
    for (size_t i = 0; i < n; i++)
        spoil(n + i, i % 2 == 0 ? 0.002 : -0.002);
    reduce(2 * n, &setup);
    assert_true(r.has_repeatability);
    assert_int_equal(r.repeatability_dof, 20);
    assert_near(r.repeatability_mm, sqrt(24 * 2 / 20.0) * 1e-3, 1e-8);
    for (size_t i = 0; i < 2 * n; i++)
        touches[i].set = 1;
    reduce(2 * n, &setup);
    assert_false(r.has_repeatability);
}

static void a_bad_touch_is_named_and_lobes_are_not(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    size_t n = probe_run(&lobed, &setup.gauge, centre, quarters_deg, 4, 12, touches);
    disturb(n, 0.0003, 9);
    reduce(n, &setup);
    assert_true(r.outliers_tested);
    assert_int_equal(r.outliers, 0);
    spoil(17, 0.004);
    reduce(n, &setup);
    assert_int_equal(r.outliers, 1);
    assert_true(results[17].outlier);
    assert_true(fabs(results[17].studentised) > 6);
    assert_true((r.advice & 1u << RESEAT_ADVICE_OUTLIERS) != 0);
    const double spoiled_form_mm = r.form_mm;
    assert_int_equal(reseat_reduce_keep(NULL, n, results), 0);
    assert_int_equal(reseat_reduce_keep(touches, n, NULL), 0);
    n = reseat_reduce_keep(touches, n, results);
    assert_int_equal(n, 47);
    assert_int_equal(touches[17].line, 20);
    reduce(n, &setup);
    assert_int_equal(r.outliers, 0);
    assert_true(r.form_mm < spoiled_form_mm);
}

static void a_bad_touch_hidden_by_a_worse_one_is_named_too(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    const size_t n = probe_run(&lobed, &setup.gauge, centre, quarters_deg, 4, 12, touches);
    disturb(n, 0.0003, 9);
    spoil(17, 0.006);
    spoil(40, -0.003);
    reduce(n, &setup);
    assert_int_equal(r.outliers, 2);
    assert_true(results[17].outlier && results[40].outlier);
    /* while the worse one was there it kept within the limit: 48 touches, 9 unknowns */
    double limit = 0;
    assert_status(student_quantile(1 - 0.005 / 48, 38, &limit), RESEAT_OK);
    assert_true(fabs(results[40].studentised) < limit);
}

/*
 * Four sides, at two turns half a turn apart, all twice or ten times: n touches, 5 unknowns, no
 * harmonics. With m = n - 5 the fit leaves m/n of what a touch is off, and -1/n of what one at the
 * other turn or a quarter turn on is off. So a touch off by a, beside one of those off by b, has
 * the studentised residual (m a - b) / (b sqrt(m + 1)).
 */
static void reduce_sides(size_t n, double first_mm, double second_mm, double third_mm)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    for (size_t i = 0; i < n; i++) {
        const reseat_xy u = reseat_plane_unit(90.0 * (double)(i % 4));
        const double reach_mm = 22 + (i == n - 16 ? first_mm : i == n - 15 ? second_mm
                                      : i == n - 12 ? third_mm : 0);
        touches[i] = (reseat_touch){.x_mm = reach_mm * u.x, .y_mm = reach_mm * u.y,
                                    .turn_deg = i / 4 % 2 == 0 ? 0 : 180};
    }
    reduce(n, &setup);
    assert_int_equal(r.dof, n - 5);
    assert_true(r.dirs == 4 && r.outliers_tested);
}

static void studentised_residuals_are_those_of_two_bad_touches(void **state)
{
    for (size_t n = 16; n <= 80; n += 64) {
        const double m = (double)n - 5;
        reduce_sides(n, 4e-5, 3e-5, 0);
        assert_near(results[n - 16].studentised, (m * 4 - 3) / (3 * sqrt(m + 1)), 1e-4);
        assert_near(results[n - 15].studentised, (m * 3 - 4) / (4 * sqrt(m + 1)), 1e-4);
        assert_near(results[n - 16].residual_mm, (m * 4 - 3) * 1e-5 / (double)n, 1e-10);
    }
    reduce_sides(16, -1e-6, 0, 0); /* the others agree, as closely as a control can say */
    assert_near(results[0].studentised, -1e-6 * sqrt(11.0 / 16) / 1e-9, 0.1);
}

/* Without the worst of three it is (10 b - c) / (c sqrt(11)); c is too small to be named itself. */
static void a_touch_is_bad_beyond_the_limit_that_is_documented(void **state)
{
    const double c = 9e-5;
    double t = 0;
    assert_status(student_quantile(1 - 0.005 / 16, 10, &t), RESEAT_OK);
    for (int beyond = 0; beyond <= 1; beyond++) {
        const double limit = t * (beyond == 1 ? 1.001 : 0.999);
        reduce_sides(16, (1 + limit * sqrt(12)) / 11 * c, c, 0);
        assert_int_equal(r.outliers, beyond);
    }
    assert_status(student_quantile(1 - 0.0005 / 15, 9, &t), RESEAT_OK);
    for (int beyond = 0; beyond <= 1; beyond++) {
        const double limit = t * (beyond == 1 ? 1.001 : 0.999);
        reduce_sides(16, 3e-3, (1 + limit * sqrt(11)) / 10 * c, c);
        assert_int_equal(r.outliers, 1 + beyond);
        assert_true(results[0].outlier && results[1].outlier == (beyond == 1));
    }
}

static void two_touches_that_cannot_be_told_apart_are_named_together(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    /* three directions take all of centre and radius: of the first there is but a pair */
    size_t n = probe_run(&lobed, &setup.gauge, centre, turns_deg, 1, 3, touches);
    memcpy(touches + n, touches, n * sizeof *touches);
    touches[6] = touches[1];
    touches[7] = touches[2];
    n = 8;
    disturb(n, 0.0001, 3);
    spoil(0, 0.01);
    reduce(n, &setup);
    assert_true(r.outliers_tested);
    assert_int_equal(r.outliers, 2);
    assert_true(results[0].outlier && results[3].outlier);
}

static void differences_below_a_tenth_of_a_micrometre_are_never_bad(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    const size_t n = probe_run(&lobed, &setup.gauge, centre, quarters_deg, 4, 12, touches);
    spoil(5, 0.00009);
    reduce(n, &setup);
    assert_true(r.outliers_tested);
    assert_int_equal(r.outliers, 0);
    spoil(5, 0.0001);
    reduce(n, &setup);
    assert_int_equal(r.outliers, 1);
    assert_true(results[5].outlier && isfinite(results[5].studentised));
}

static void too_few_touches_single_out_none(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    const size_t n = probe_run(&lobed, &setup.gauge, centre, turns_deg, 2, 4, touches);
    spoil(3, 0.5);
    reduce(n, &setup);
    assert_int_equal(r.dof, 3);
    assert_false(r.outliers_tested);
    assert_int_equal(r.outliers, 0);
}

static void moving_and_turning_the_machine_does_so_to_the_result(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    const size_t n = probe_run(&lobed, &setup.gauge, centre, quarters_deg, 4, 12, touches);
    disturb(n, 0.001, 8);
    reduce(n, &setup);
    const reseat_reduction before = r;
    for (size_t i = 0; i < n; i++) {
        const reseat_xy p = plane_rotate((reseat_xy){touches[i].x_mm, touches[i].y_mm}, 41);
        touches[i].x_mm = p.x + 300;
        touches[i].y_mm = p.y - 55;
    }
    reduce(n, &setup);
    const reseat_xy offset = plane_rotate(before.offset_mm, 41);
    assert_near(r.offset_mm.x, offset.x, 1e-12);
    assert_near(r.offset_mm.y, offset.y, 1e-12);
    assert_near(r.offset_u_mm, before.offset_u_mm, 1e-12);
    assert_near(r.radius_mm, before.radius_mm, 1e-12);
    assert_near(r.form_mm, before.form_mm, 1e-12);
    for (double dir_deg = 0; dir_deg < 360; dir_deg += 20)
        assert_near(reseat_radius_at(&r.curve, dir_deg + 41),
                    reseat_radius_at(&before.curve, dir_deg), 1e-12);
}

/* Twelve touches on the equator and six off it: lobes are sought on the equator alone. */
static void turning_a_sphere_leaves_studentised_residuals_alone(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_SPHERE, 30);
    double before[18];
    for (size_t i = 0; i < 18; i++)
        touches[i] = probe_touch(&lobed, &setup.gauge, centre, i % 2 == 0 ? 0 : 180,
                                 30.0 * (double)i, i < 12 ? 0 : 40);
    disturb(18, 0.001, 8);
    reduce(18, &setup);
    assert_true(r.dirs >= 7 && r.curve.order > 1 && r.outliers_tested);
    for (size_t i = 0; i < 18; i++) {
        before[i] = results[i].studentised;
        const reseat_xy p = {touches[i].x_mm - centre.x, touches[i].y_mm - centre.y};
        const reseat_xy turned = plane_rotate(p, 41);
        touches[i].x_mm = centre.x + turned.x;
        touches[i].y_mm = centre.y + turned.y;
    }
    reduce(18, &setup);
    for (size_t i = 0; i < 18; i++)
        assert_near(results[i].studentised, before[i], 1e-6);
}

static void the_order_of_the_touches_matters_only_in_rounding(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    const size_t n = probe_run(&lobed, &setup.gauge, centre, quarters_deg, 4, 12, touches);
    disturb(n, 0.001, 8);
    spoil(7, 0.01);
    reduce(n, &setup);
    const reseat_reduction before = r;
    for (size_t i = 0; i < n / 2; i++) {
        const reseat_touch moved = touches[i];
        touches[i] = touches[n - 1 - i];
        touches[n - 1 - i] = moved;
    }
    reduce(n, &setup);
    assert_near(r.offset_mm.x, before.offset_mm.x, 1e-13);
    assert_near(r.offset_u_mm, before.offset_u_mm, 1e-13);
    assert_near(r.radius_u_mm, before.radius_u_mm, 1e-13);
    assert_int_equal(r.outliers, 1);
    assert_true(results[n - 1 - 7].outlier);
}

static void scaling_everything_scales_the_result(void **state)
{
    reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_PLUG, 50);
    const size_t n = probe_run(&lobed, &setup.gauge, centre, quarters_deg, 4, 12, touches);
    setup.lobing_mm = 0;
    disturb(n, 0.001, 8);
    reduce(n, &setup);
    const reseat_reduction before = r;
    for (size_t i = 0; i < n; i++) {
        touches[i].x_mm *= 8;
        touches[i].y_mm *= 8;
    }
    setup.gauge.diameter_mm *= 8;
    reduce(n, &setup);
    assert_near(r.offset_mm.x, 8 * before.offset_mm.x, 1e-11);
    assert_near(r.radius_mm, 8 * before.radius_mm, 1e-11);
    assert_near(r.radius_u_mm, 8 * before.radius_u_mm, 1e-11);
    assert_near(r.offset_u_mm, 8 * before.offset_u_mm, 1e-11);
}

/* Every error of the data, as a file would bring it in. */
static void bad_data_are_named_by_line_and_column(void **state)
{
    const struct {
        const char *text;
        reseat_gauge_kind kind;
        double diameter_mm;
        reseat_status status;
        size_t line, column;
        const char *says;
    } cases[] = {
        {"x_mm,y_mm\n20,0\n0,20\n", RESEAT_GAUGE_RING, 50, RESEAT_ERR_TOO_FEW, 3, 1, "at least 3"},
        {"turn_deg,x_mm,y_mm\n0,20,0\n0,0,20\n0,-20,0\n180,0,-20\n", RESEAT_GAUGE_RING, 50,
         RESEAT_ERR_TOO_FEW, 5, 5, "at least 5 touches, read 4"},
        {"x_mm,y_mm\n20,0\n0,20\n14.142135623730950,14.142135623730950\n18.477590650225736,"
         "7.653668647301796\n", RESEAT_GAUGE_RING, 50, RESEAT_ERR_SINGULAR, 5, 1,
         "within 90 degrees"},
        {"x_mm,y_mm\n1,1\n2,2\n3,3\n4,4\n", RESEAT_GAUGE_RING, 50, RESEAT_ERR_SINGULAR, 5, 1,
         "circle"},
        {"x_mm,y_mm\n7,7\n7,7\n7,7\n7,7\n", RESEAT_GAUGE_RING, 50, RESEAT_ERR_SINGULAR, 5, 1,
         "circle"},
        {"x_mm,y_mm\n7,7\n7,7\n7,7\n7,7\n9,7\n", RESEAT_GAUGE_RING, 50, RESEAT_ERR_SINGULAR, 6, 1,
         "circle"},
        {"x_mm,y_mm,z_mm\n9,0,1\n0,9,1\n-9,0,1\n0,-9,1\n", RESEAT_GAUGE_SPHERE, 12,
         RESEAT_ERR_SINGULAR, 5, 1, "sphere"},
        {"x_mm,y_mm\n20,0\n0,20\n-20,0\n0,-20\n14,14\n-14,-18\n14,-14\n-14,14\n",
         RESEAT_GAUGE_RING, 50, RESEAT_ERR_RANGE, 7, 1, "off by 2.8"},
        {"y_mm,x_mm\n0,20\n20,0\n0,-20\n-20,0\n", RESEAT_GAUGE_RING, 39, RESEAT_ERR_RANGE, 2, 3,
         "40.0000 mm"},
        {"y_mm,x_mm\n0,20\n20,0\n0,-20\n-20,0\n", RESEAT_GAUGE_PLUG, 41, RESEAT_ERR_RANGE, 2, 3,
         "no size"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        reseat_touches read;
        memset(&error, 0, sizeof error);
        assert_status(reseat_touches_read(cases[i].text, strlen(cases[i].text), touches,
                                          RESEAT_TOUCHES_MAX, &read, &error), RESEAT_OK);
        const reseat_reduce_setup setup =
            reseat_reduce_assumed(cases[i].kind, cases[i].diameter_mm);
        assert_status(reseat_reduce(touches, read.count, &setup, results, &r, &error),
                      cases[i].status);
        if (strstr(error.text, cases[i].says) == NULL)
            fail_msg("%s", error.text);
        assert_int_equal(error.line, cases[i].line);
        assert_int_equal(error.column, cases[i].column);
        assert_true(error.key[0] != '\0');
    }
}

/*
 * A slip of the pen, however gross, is found where it was made: digits shifted, a sign lost, the
 * largest number there is; on a ring and a sphere, at one turn and at three, with a centre too.
 */
static void the_touch_with_a_gross_error_is_the_one_named(void **state)
{
    static const double slips[] = {0, 1e9, -1e9, 1e308, -17};
    for (size_t way = 0; way < 4; way++) {
        reseat_reduce_setup setup =
            reseat_reduce_assumed(way == 1 ? RESEAT_GAUGE_SPHERE : RESEAT_GAUGE_RING, 50);
        setup.centre_known = way == 2;
        setup.centre_mm = (reseat_xy){centre.x, centre.y};
        for (size_t slip = 0; slip < 7; slip++) {
            size_t n = probe_run(&lobed, &setup.gauge, centre, turns_deg, way == 3 ? 1 : 3, 9,
                                 touches);
            for (size_t i = 0; way == 1 && i < 6; i++, n++) {
                touches[n] = probe_touch(&lobed, &setup.gauge, centre, 0, 60 * (double)i, 60);
                touches[n].line = n + 2;
            }
            const size_t bad = (5 * slip + way) % 9;
            double *const x = &touches[bad].x_mm;
            *x = slip < 5 ? *x + slips[slip] : slip == 5 ? *x / 10 : -*x;
            if (slip == 0)
                spoil(bad, 2.5);
            memset(&error, 0, sizeof error);
            assert_status(reseat_reduce(touches, n, &setup, results, &r, &error),
                          RESEAT_ERR_RANGE);
            assert_int_equal(error.line, bad + 2);
            assert_non_null(strstr(error.text, "expected touches of one gauge; this one is off"));
        }
    }
}

/*
 * Two more touches than a circle has unknowns are enough to tell which of them is wrong: by 4 mm a
 * neighbour left out lets the others fit too, but not as well.
 */
static void five_touches_of_a_ring_name_the_one_with_a_gross_error(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    static const double off_mm[] = {300, 4};
    for (size_t bad = 0; bad < 10; bad++) {
        probe_run(&lobed, &setup.gauge, centre, turns_deg, 1, 5, touches);
        spoil(bad / 2, off_mm[bad % 2]);
        assert_status(reseat_reduce(touches, 5, &setup, results, &r, &error), RESEAT_ERR_RANGE);
        assert_int_equal(error.line, bad / 2 + 2);
    }
}

/* Of two that do not fit, neither is to blame alone; and too few say nothing of any. */
static void where_none_alone_is_to_blame_the_worst_is_named(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    static const size_t counts[] = {12, 140};
    for (size_t i = 0; i < 2; i++) {
        const size_t n = counts[i];
        probe_run(&lobed, &setup.gauge, centre, turns_deg, 1, n, touches);
        spoil(2, 4);
        spoil(2 * n / 3, 5);
        assert_status(reseat_reduce(touches, n, &setup, results, &r, &error), RESEAT_ERR_RANGE);
        assert_non_null(strstr(error.text, "this one is off by "));
        assert_int_equal(error.line, 2 * n / 3 + 2);
    }
    probe_run(&lobed, &setup.gauge, centre, turns_deg, 1, 4, touches);
    spoil(2, 8);
    assert_status(reseat_reduce(touches, 4, &setup, results, &r, &error), RESEAT_ERR_RANGE);
    assert_non_null(strstr(error.text, "this one is off by 2."));
}

static void refuses_bad_arguments_and_leaves_the_output_alone(void **state)
{
    const reseat_reduce_setup good = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    const size_t n = probe_run(&lobed, &good.gauge, centre, quarters_deg, 4, 12, touches);
    static reseat_reduction before;
    static reseat_touch_result results_before[48];
    memset(&r, 0x5a, sizeof r);
    memset(&before, 0x5a, sizeof before);
    memset(results, 0x5a, sizeof results_before);
    memset(results_before, 0x5a, sizeof results_before);
    assert_status(reseat_reduce(NULL, n, &good, results, &r, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_reduce(touches, n, NULL, results, &r, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_reduce(touches, n, &good, NULL, &r, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_reduce(touches, n, &good, results, NULL, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_reduce(touches, 0, &good, results, &r, NULL), RESEAT_ERR_TOO_FEW);
    assert_status(reseat_reduce(touches, RESEAT_TOUCHES_MAX + 1, &good, results, &r, NULL),
                  RESEAT_ERR_RANGE);
    reseat_reduce_setup bad = good;
    bad.gauge.kind = (reseat_gauge_kind)5;
    assert_status(reseat_reduce(touches, n, &bad, results, &r, NULL), RESEAT_ERR_ARGUMENT);
    bad = good;
    bad.gauge.diameter_mm = 0;
    assert_status(reseat_reduce(touches, n, &bad, results, &r, NULL), RESEAT_ERR_RANGE);
    bad = good;
    bad.gauge.expansion_per_k = 11.5; /* in micrometres a metre, as certificates write it */
    bad.gauge.temperature_c = 22;
    assert_status(reseat_reduce(touches, n, &bad, results, &r, NULL), RESEAT_ERR_RANGE);
    bad.gauge.expansion_per_k = -11.5;
    assert_status(reseat_reduce(touches, n, &bad, results, &r, NULL), RESEAT_ERR_RANGE);
    bad.gauge.expansion_per_k = 1e-4;
    bad.gauge.temperature_c = 41;
    error.line = 1;
    assert_status(reseat_reduce(touches, n, &bad, results, &r, &error), RESEAT_ERR_RANGE);
    assert_int_equal(error.line, 0);
    bad.gauge.diameter_mm = (double)NAN;
    assert_status(reseat_reduce(touches, n, &bad, results, &r, NULL), RESEAT_ERR_NOT_FINITE);
    bad = good;
    bad.u_touch_mm = -1e-9;
    assert_status(reseat_reduce(touches, n, &bad, results, &r, NULL), RESEAT_ERR_RANGE);
    touches[8].y_mm = (double)NAN;
    assert_status(reseat_reduce(touches, n, &good, results, &r, &error), RESEAT_ERR_NOT_FINITE);
    assert_int_equal(error.line, 10);
    assert_memory_equal(&r, &before, sizeof r);
    assert_memory_equal(results, results_before, sizeof results_before);
}

static void more_turns_than_a_result_holds_are_refused(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    for (size_t i = 0; i <= RESEAT_REDUCE_TURNS_MAX; i++) {
        touches[i] = probe_touch(&lobed, &setup.gauge, centre, 0.9 * (double)i,
                                 50.0 * (double)i, 0);
        touches[i].line = i + 2;
    }
    reduce(RESEAT_REDUCE_TURNS_MAX, &setup);
    assert_int_equal(r.turns, RESEAT_REDUCE_TURNS_MAX);
    assert_status(reseat_reduce(touches, RESEAT_REDUCE_TURNS_MAX + 1, &setup, results, &r, &error),
                  RESEAT_ERR_RANGE);
    assert_int_equal(error.line, RESEAT_REDUCE_TURNS_MAX + 2);
}

static void names_read_back(void **state)
{
    for (int kind = 0; kind < 5; kind++) {
        const char *const name = reseat_gauge_kind_name((reseat_gauge_kind)kind);
        reseat_gauge_kind read = RESEAT_GAUGE_RING;
        assert_status(reseat_gauge_kind_parse(name, strlen(name), &read, NULL), RESEAT_OK);
        assert_int_equal(read, kind);
    }
    reseat_gauge_kind kind = RESEAT_GAUGE_PLUG;
    assert_status(reseat_gauge_kind_parse("rings", 5, &kind, &error), RESEAT_ERR_SYNTAX);
    assert_int_equal(error.column, 1);
    assert_status(reseat_gauge_kind_parse(NULL, 0, &kind, &error), RESEAT_ERR_ARGUMENT);
    assert_int_equal(kind, RESEAT_GAUGE_PLUG);
    assert_string_equal(reseat_gauge_kind_name((reseat_gauge_kind)5), "");
    for (int i = 0; i < RESEAT_ASSUMPTION_COUNT; i++) {
        assert_true(reseat_assumption_name((reseat_assumption)i)[0] != '\0');
        assert_true(reseat_assumption_meaning((reseat_assumption)i)[0] != '\0');
    }
    for (int i = 0; i < RESEAT_ADVICE_COUNT; i++)
        assert_true(reseat_advice_text((reseat_advice)i)[0] != '\0');
    assert_string_equal(reseat_assumption_name((reseat_assumption)RESEAT_ASSUMPTION_COUNT), "");
    assert_string_equal(reseat_assumption_meaning((reseat_assumption)RESEAT_ASSUMPTION_COUNT), "");
    assert_string_equal(reseat_advice_text((reseat_advice)RESEAT_ADVICE_COUNT), "");
}

static void what_is_assumed_is_the_handbooks_and_marked(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    assert_near(setup.u_touch_mm, 0.0005, 0);
    assert_near(setup.gauge.temperature_c, 20, 0);
    assert_near(setup.gauge.temperature_u_c, 0.5, 0);
    assert_near(setup.gauge.expansion_per_k, 11.5e-6, 0);
    assert_near(setup.gauge.expansion_u_per_k, 1.15e-6, 0);
    assert_int_equal(setup.assumed, 1u << RESEAT_ASSUMED_GAUGE_U |
                                    1u << RESEAT_ASSUMED_TEMPERATURE |
                                    1u << RESEAT_ASSUMED_EXPANSION |
                                    1u << RESEAT_ASSUMED_LOBING);
    assert_near(setup.lobing_mm, 0.003, 0);
}

/* Exactly what is missing is advised: no bit more. */
static void advice_names_what_is_missing_and_nothing_else(void **state)
{
    const unsigned gauge = 1u << RESEAT_ADVICE_GAUGE_U | 1u << RESEAT_ADVICE_TEMPERATURE;
    reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 48.9573);
    /* five, and five across from them */
    const size_t few = probe_run(&lobed, &setup.gauge, centre, turns_deg, 3, 5, touches);
    reduce(few, &setup);
    assert_int_equal(r.advice, 1u << RESEAT_ADVICE_DIRECTIONS | 1u << RESEAT_ADVICE_REPEATS |
                               gauge);
    const size_t n = probe_run(&lobed, &setup.gauge, centre, turns_deg, 3, 12, touches);
    reduce(n, &setup);
    assert_int_equal(r.advice, 1u << RESEAT_ADVICE_REPEATS | gauge);
    setup.assumed = 1u << RESEAT_ASSUMED_GAUGE_U;
    reduce(n, &setup);
    assert_int_equal(r.advice, 1u << RESEAT_ADVICE_REPEATS | 1u << RESEAT_ADVICE_GAUGE_U);
    setup.assumed = 1u << RESEAT_ASSUMED_TEMPERATURE;
    reduce(n, &setup);
    assert_int_equal(r.advice, 1u << RESEAT_ADVICE_REPEATS | 1u << RESEAT_ADVICE_TEMPERATURE);
    setup.assumed = 1u << RESEAT_ASSUMED_EXPANSION;
    reduce(n, &setup);
    assert_int_equal(r.advice, 1u << RESEAT_ADVICE_REPEATS);
}

static void turns_come_in_their_order_whatever_that_of_the_touches(void **state)
{
    static const double mixed_deg[] = {180, 0, 270, 90};
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 48.9573);
    const size_t n = probe_run(&lobed, &setup.gauge, centre, mixed_deg, 4, 12, touches);
    reduce(n, &setup);
    assert_int_equal(r.turns, 4);
    for (size_t i = 1; i < 4; i++)
        assert_true(r.turns_deg[i - 1] < r.turns_deg[i]);
    for (size_t i = 0; i < 4; i++) {
        size_t same = 0;
        for (size_t k = 0; k < 4; k++)
            same += fabs(plane_turn_between(r.turns_deg[i], mixed_deg[k])) < 1e-9;
        assert_int_equal(same, 1);
    }
}

/* A known centre's uncertainty counts alike along both axes. */
static void the_centres_uncertainty_reaches_both_axes(void **state)
{
    reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 48.9573);
    setup.centre_known = true;
    setup.centre_mm = (reseat_xy){centre.x, centre.y};
    const size_t n = probe_run(&lobed, &setup.gauge, centre, turns_deg, 1, 24, touches);
    disturb(n, 0.0005, 4);
    reduce(n, &setup);
    const reseat_cov without = r.offset_cov_mm2;
    setup.centre_u_mm = 0.003;
    reduce(n, &setup);
    assert_near(r.offset_cov_mm2.xx, without.xx + 9e-6, 1e-18);
    assert_near(r.offset_cov_mm2.yy, without.yy + 9e-6, 1e-18);
    assert_near(r.offset_cov_mm2.xy, without.xy, 1e-18);
}

static void a_small_ball_in_a_small_gauge_in_the_cold_is_as_good(void **state)
{
    const probe small = {{0.0182, -0.0117}, 0.45, 0, 25};
    reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_PLUG, 0.8);
    setup.gauge.temperature_c = -5;
    setup.gauge.expansion_per_k = -1e-6; /* there are glasses that shrink */
    const size_t n = probe_run(&small, &setup.gauge, centre, turns_deg, 3, 12, touches);
    reduce(n, &setup);
    assert_near(r.radius_mm, 0.45 - 0.4 * 25e-6, 2e-5);
    assert_near(r.offset_mm.x, 0.0182, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ring_and_plug_show_the_same_radii_by_approach_direction),
        cmocka_unit_test(given_directions_count_before_the_geometry),
        cmocka_unit_test(a_side_given_for_an_approach_is_refused),
        cmocka_unit_test(radius_follows_the_temperature_and_carries_its_terms),
        cmocka_unit_test(offset_uncertainty_is_widened_for_few_touches),
        cmocka_unit_test(two_turns_alone_add_half_a_micrometre_and_a_return_takes_it_off),
        cmocka_unit_test(closure_tells_how_far_the_gauge_moved),
        cmocka_unit_test(fewer_than_three_degrees_of_freedom_take_the_scatter_as_given),
        cmocka_unit_test(one_turn_and_no_centre_gives_the_radius_alone),
        cmocka_unit_test(a_known_centre_gives_the_offset_and_its_own_uncertainty),
        cmocka_unit_test(a_sphere_takes_its_lobes_from_the_equator),
        cmocka_unit_test(repeatability_pools_the_repeats_of_each_touch),
        cmocka_unit_test(a_bad_touch_is_named_and_lobes_are_not),
        cmocka_unit_test(a_bad_touch_hidden_by_a_worse_one_is_named_too),
        cmocka_unit_test(studentised_residuals_are_those_of_two_bad_touches),
        cmocka_unit_test(a_touch_is_bad_beyond_the_limit_that_is_documented),
        cmocka_unit_test(two_touches_that_cannot_be_told_apart_are_named_together),
        cmocka_unit_test(differences_below_a_tenth_of_a_micrometre_are_never_bad),
        cmocka_unit_test(too_few_touches_single_out_none),
        cmocka_unit_test(moving_and_turning_the_machine_does_so_to_the_result),
        cmocka_unit_test(turning_a_sphere_leaves_studentised_residuals_alone),
        cmocka_unit_test(the_order_of_the_touches_matters_only_in_rounding),
        cmocka_unit_test(scaling_everything_scales_the_result),
        cmocka_unit_test(bad_data_are_named_by_line_and_column),
        cmocka_unit_test(the_touch_with_a_gross_error_is_the_one_named),
        cmocka_unit_test(five_touches_of_a_ring_name_the_one_with_a_gross_error),
        cmocka_unit_test(where_none_alone_is_to_blame_the_worst_is_named),
        cmocka_unit_test(refuses_bad_arguments_and_leaves_the_output_alone),
        cmocka_unit_test(more_turns_than_a_result_holds_are_refused),
        cmocka_unit_test(names_read_back),
        cmocka_unit_test(what_is_assumed_is_the_handbooks_and_marked),
        cmocka_unit_test(advice_names_what_is_missing_and_nothing_else),
        cmocka_unit_test(turns_come_in_their_order_whatever_that_of_the_touches),
        cmocka_unit_test(the_centres_uncertainty_reaches_both_axes),
        cmocka_unit_test(a_small_ball_in_a_small_gauge_in_the_cold_is_as_good),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
