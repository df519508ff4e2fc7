/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "model/estimate.h"
#include "random.h"
#include "maths/chance.h"
#include "reseat/probe.h"
#include "table.h"

static reseat_estimate plain(double x, double y)
{
    return (reseat_estimate){.offset_mm = {x, y},
                             .in_use_mm = {x, y},
                             .terms = terms_assumed(),
                             .out = true};
}

static void agrees_with_the_reference_chances(void **state)
{
    static table vectors;
    double worst = 0;
    table_read("verdict.csv", 11, &vectors);
    for (size_t i = 0; i < vectors.rows; i++) {
        const double *row = vectors.at[i];
        reseat_estimate e = plain(row[0], row[1]);
        e.terms = (reseat_terms){.u_run_mm = row[4], .u_seat_mm = row[5], .u_turn_deg = row[6],
                                 .u_spindle_mm = row[7], .u_touch_mm = row[8],
                                 .lobing_mm = row[9]};
        double chance = -1;
        assert_status(estimate_chance(&e, row[2], row[3], &chance), RESEAT_OK);
        assert_near(chance, row[10], 1e-12);
        worst = fmax(worst, fabs(chance - row[10]));
    }
    print_message("%zu chances, largest difference %.2g\n", vectors.rows, worst);
    assert_int_equal(vectors.rows, 40);
}

static void the_assumed_figures_are_the_handbooks_and_marked(void **state)
{
    const reseat_terms t = terms_assumed();
    assert_near(t.u_run_mm, 0.001, 0);
    assert_near(t.u_seat_mm, 0.002, 0);
    assert_near(t.u_turn_deg, 0.2, 0);
    assert_near(t.u_spindle_mm, 0.002, 0);
    assert_near(t.u_touch_mm, 0.0005, 0);
    assert_near(t.u_drift_mm, 0, 0);
    assert_near(t.u_axial_mm, 0.005, 0);
    assert_near(t.lobing_mm, 0.003, 0);
    assert_int_equal(t.assumed >> RESEAT_TERM_COUNT, 0);
    for (unsigned term = 0; term < RESEAT_TERM_COUNT; term++) {
        const int given = term == RESEAT_TERM_DRIFT || term == RESEAT_TERM_SHIFT;
        assert_int_equal((t.assumed >> term) & 1u, !given);
    }
}

static void what_is_assumed_is_scaled_and_what_is_given_is_not(void **state)
{
    reseat_terms t = terms_assumed();
    assert_status(reseat_terms_set(&t, RESEAT_TERM_SEAT, 0.25), RESEAT_OK);
    terms_scale_assumed(&t, 4);
    assert_near(t.u_run_mm, 4 * 0.001, 0);
    assert_near(t.u_seat_mm, 0.25, 0);
    assert_near(t.u_turn_deg, 4 * 0.2, 0);
    assert_near(t.lobing_mm, 4 * 0.003, 0);
}

static void a_given_term_is_no_longer_assumed(void **state)
{
    for (int term = 0; term < RESEAT_TERM_SHIFT; term++) {
        reseat_terms t = terms_assumed();
        assert_status(reseat_terms_set(&t, (reseat_term)term, 0.125), RESEAT_OK);
        assert_int_equal((t.assumed >> term) & 1u, 0);
        reseat_terms zero = t;
        assert_status(reseat_terms_set(&zero, (reseat_term)term, 0), RESEAT_OK);
        assert_memory_not_equal(&t, &zero, sizeof t);
    }
}

static void a_term_out_of_range_is_refused_untouched(void **state)
{
    reseat_terms t = terms_assumed();
    const reseat_terms before = t;
    assert_status(reseat_terms_set(&t, RESEAT_TERM_RUN, -1), RESEAT_ERR_RANGE);
    assert_status(reseat_terms_set(&t, RESEAT_TERM_RUN, (double)NAN), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_terms_set(&t, RESEAT_TERM_SHIFT, 1), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_terms_set(NULL, RESEAT_TERM_RUN, 1), RESEAT_ERR_ARGUMENT);
    assert_memory_equal(&t, &before, sizeof t);
}

static void a_known_spindle_part_lowers_its_assumed_uncertainty(void **state)
{
    reseat_estimate e = plain(0.01, 0);
    assert_status(reseat_estimate_set_spindle(&e, (reseat_xy){0.002, 0.001}), RESEAT_OK);
    assert_near(e.terms.u_spindle_mm, 0.0002, 0);
    assert_near(e.spindle_mm.x, 0.002, 0);

    reseat_estimate given = plain(0.01, 0);
    assert_status(reseat_terms_set(&given.terms, RESEAT_TERM_SPINDLE, 0.0007), RESEAT_OK);
    assert_status(reseat_estimate_set_spindle(&given, (reseat_xy){0.002, 0.001}), RESEAT_OK);
    assert_near(given.terms.u_spindle_mm, 0.0007, 0);
    assert_status(reseat_estimate_set_spindle(&given, (reseat_xy){(double)NAN, 0}),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_estimate_set_spindle(NULL, (reseat_xy){0, 0}), RESEAT_ERR_ARGUMENT);
}

static void every_term_has_its_name(void **state)
{
    assert_string_equal(reseat_term_name(RESEAT_TERM_RUN), "u_run");
    assert_string_equal(reseat_term_name(RESEAT_TERM_LOBING), "lobing");
    assert_string_equal(reseat_term_name(RESEAT_TERM_SHIFT), "shift_u");
    assert_string_equal(reseat_term_name((reseat_term)99), "");
    for (int term = 0; term < RESEAT_TERM_COUNT; term++)
        assert_true(strlen(reseat_term_name((reseat_term)term)) > 0);
}

static void scatter_is_put_together_as_the_handbook_says(void **state)
{
    reseat_estimate e = plain(0.03, 0.04);
    e.spindle_mm = (reseat_xy){0.03, 0};
    e.terms = (reseat_terms){.u_run_mm = 0.001, .u_seat_mm = 0.002, .u_turn_deg = 0.5,
                             .u_spindle_mm = 0.0015, .u_touch_mm = 0.0004, .u_drift_mm = 0.0007};
    reseat_effect effect;
    assert_status(reseat_estimate_effect(&e, 90, &effect), RESEAT_OK);

    /* q = (0, 0.04), turned to (-0.04, 0): stop and keys scatter along Y */
    const double same = 1e-6 + 2 * 4e-6 + 0.49e-6 + 0.16e-6 + 2 * 2.25e-6;
    const double across = sqrt(2.0) * 0.04 * 0.5 * 3.14159265358979323846 / 180;
    assert_near(effect.covariance_mm2.xx, same, 1e-20);
    assert_near(effect.covariance_mm2.xy, 0, 1e-20);
    assert_near(effect.covariance_mm2.yy, same + across * across, 1e-20);

    e.out = false;
    assert_status(reseat_estimate_effect(&e, 90, &effect), RESEAT_OK);
    assert_near(effect.covariance_mm2.xx, same - 8e-6, 1e-20);
}

static void a_gauge_check_replaces_error_and_scatter(void **state)
{
    reseat_estimate e = plain(0.03, 0.04);
    e.verified = true;
    e.shift_mm = (reseat_xy){0.0012, -0.0003};
    e.shift_u_mm = 0.0004;
    e.shift_drift_mm = 0.0003;
    e.terms.u_run_mm = 0.0012;
    e.terms.u_drift_mm = 0.5; /* since the run: what grew until the check is in its reading */
    reseat_effect effect;
    assert_status(reseat_estimate_effect(&e, 180, &effect), RESEAT_OK);
    assert_near(effect.error_mm.x, 0.0012, 0);
    assert_near(effect.error_mm.y, -0.0003, 0);
    assert_near(effect.covariance_mm2.xx, 169e-8, 1e-20);
    assert_near(effect.covariance_mm2.yy, 169e-8, 1e-20);
    assert_near(effect.covariance_mm2.xy, 0, 0);
    e.shift_reseated = true; /* a changer has seated it twice since */
    e.terms.u_seat_mm = 0.002;
    assert_status(reseat_estimate_effect(&e, 180, &effect), RESEAT_OK);
    assert_near(effect.covariance_mm2.xx, 969e-8, 1e-20);
    assert_near(effect.covariance_mm2.yy, 969e-8, 1e-20);
}

static void hidden_lobes_count_until_twelve_directions_are_on_record(void **state)
{
    reseat_radius_curve curve = {.mean_mm = 3, .residual_mm = 0.0002, .order = 5,
                                 .directions = 11};
    curve.cosine_mm[3] = 0.001;
    reseat_estimate e = plain(0.004, 0);
    e.curve = &curve;
    reseat_effect effect;
    assert_status(reseat_estimate_effect(&e, 180, &effect), RESEAT_OK);
    assert_near(effect.hidden_mm, 0.003, 0);
    assert_near(effect.radius_u_mm, 0, 0);
    curve.directions = 12;
    assert_status(reseat_estimate_effect(&e, 180, &effect), RESEAT_OK);
    assert_near(effect.hidden_mm, 0, 0);
    assert_near(effect.radius_u_mm, sqrt(2.0) * 0.0002, 1e-18);
    curve.order = 2;
    assert_status(reseat_estimate_effect(&e, 180, &effect), RESEAT_OK);
    assert_near(effect.hidden_mm, 0.003, 0);
}

/* Lobes larger than was said: what few directions show of them is feared at least. */
static void lobes_seen_from_few_directions_are_feared_as_large_as_they_are(void **state)
{
    reseat_radius_curve curve = {.mean_mm = 3, .order = 3, .directions = 8};
    curve.cosine_mm[3] = 0.012;
    curve.sine_mm[3] = 0.016;
    reseat_estimate e = plain(0.001, 0);
    e.curve = &curve;
    reseat_effect effect;
    assert_status(reseat_estimate_effect(&e, 180, &effect), RESEAT_OK);
    assert_near(effect.hidden_mm, 0.04, 1e-17);
    assert_status(reseat_estimate_effect(&e, 20, &effect), RESEAT_OK);
    assert_near(effect.hidden_mm, 0.02, 1e-17);
    assert_status(reseat_estimate_effect(&e, 120, &effect), RESEAT_OK);
    assert_near(effect.hidden_mm, 0.003, 0);
    double chance = -1;
    assert_status(estimate_chance(&e, 180, 0.02, &chance), RESEAT_OK);
    assert_true(chance < 1e-3);
}

static void a_lobe_on_a_direction_on_record_lowers_the_chance(void **state)
{
    /* the fourth harmonic repeats after a quarter turn but not after 45 degrees; at 7.5 degrees
       off the grid of 15 it is largest for order 12 */
    reseat_radius_curve curve = {.mean_mm = 3, .order = 12, .directions = 25};
    curve.sine_mm[12] = 0.002;
    const double dirs[] = {7.5};
    reseat_estimate e = plain(0, 0);
    e.curve = &curve;
    double grid_alone = -1, with_record = -1;
    assert_status(estimate_chance(&e, 15, 0.004, &grid_alone), RESEAT_OK);
    e.dirs_deg = dirs;
    e.dirs = 1;
    assert_status(estimate_chance(&e, 15, 0.004, &with_record), RESEAT_OK);
    assert_true(with_record < grid_alone - 0.01);
}

static void an_unturned_probe_has_no_lobes_to_fear(void **state)
{
    reseat_estimate e = plain(0.004, 0);
    double without = -1, with = -1;
    e.terms.lobing_mm = 0;
    assert_status(estimate_chance(&e, 360, 0.005, &without), RESEAT_OK);
    e.terms.lobing_mm = 1;
    assert_status(estimate_chance(&e, 360, 0.005, &with), RESEAT_OK);
    assert_same_bits(with, without);
    const reseat_radius_curve curve = {.order = 5, .directions = 12, .mean_mm = 3,
                                       .cosine_mm = {[3] = 0.5}, .residual_mm = 1};
    e.curve = &curve;
    assert_status(estimate_chance(&e, 360, 0.005, &with), RESEAT_OK);
    assert_same_bits(with, without);
}

/* What a surface is off by beside the error, with the lobes from the radii themselves. */
static double lobe_of(const reseat_estimate *e, double dir, double turn_deg)
{
    return reseat_radius_at(e->curve, dir) - reseat_radius_at(e->curve, dir - turn_deg);
}

/* The definition, direction by direction. */
static double least_by_definition(const reseat_estimate *e, double turn_deg, double limit_mm)
{
    reseat_effect effect;
    double least = -1;
    assert_status(reseat_estimate_effect(e, turn_deg, &effect), RESEAT_OK);
    const reseat_cov c = effect.covariance_mm2;
    assert_status(chance_disc(effect.error_mm, c, limit_mm, &least), RESEAT_OK);
    for (int i = 0; i <= 24; i++) {
        const double dir = i < 24 ? 15 * i : reseat_plane_bearing(effect.error_mm);
        const reseat_xy u = reseat_plane_unit(dir);
        const double along = effect.error_mm.x * u.x + effect.error_mm.y * u.y;
        const double residual = effect.radius_u_mm;
        const double sd = sqrt(u.x * u.x * c.xx + 2 * u.x * u.y * c.xy + u.y * u.y * c.yy +
                               residual * residual);
        const double mean = e->curve ? along + lobe_of(e, dir, turn_deg)
                                     : fabs(along) + effect.hidden_mm;
        double chance = -1;
        assert_status(chance_line(mean, sd, limit_mm, &chance), RESEAT_OK);
        least = fmin(least, chance);
    }
    return least;
}

static void surfaces_are_tried_all_round_with_the_lobes_in_their_sign(void **state)
{
    reseat_radius_curve curve = {.mean_mm = 3, .residual_mm = 0.0015, .order = 5,
                                 .directions = 12};
    curve.cosine_mm[2] = 0.001;
    curve.sine_mm[3] = 0.002;
    uint64_t seed = 20260302;
    for (int i = 0; i < 200; i++) {
        reseat_estimate e = plain(random_between(&seed, -0.01, 0.01),
                                  random_between(&seed, -0.01, 0.01));
        e.curve = &curve;
        const double turn = random_between(&seed, 1, 359);
        double chance = -1;
        assert_status(estimate_chance(&e, turn, 0.01, &chance), RESEAT_OK);
        assert_near(chance, least_by_definition(&e, turn, 0.01), 1e-13);
    }
}

/* A stop that scatters by degrees makes the worst surface another than that along the error. */
static void hidden_lobes_are_feared_all_round_and_at_the_smallest_turn(void **state)
{
    uint64_t seed = 20260303;
    for (int i = 0; i < 400; i++) {
        reseat_estimate e = plain(random_between(&seed, -0.05, 0.05),
                                  random_between(&seed, -0.05, 0.05));
        e.terms.u_turn_deg = random_between(&seed, 0, 8);
        e.terms.lobing_mm = i % 2 ? 1 : 0.003;
        const double turn = i % 2 ? random_between(&seed, 0.1, 0.9) : random_between(&seed, 1, 359);
        double chance = -1;
        assert_status(estimate_chance(&e, turn, 0.015, &chance), RESEAT_OK);
        assert_near(chance, least_by_definition(&e, turn, 0.015), 1e-13);
    }
}

static void lobes_on_record_do_not_count_without_a_turn(void **state)
{
    const reseat_radius_curve curve = {.mean_mm = 3, .residual_mm = 1, .directions = 12};
    reseat_estimate e = plain(0.004, 0);
    double without = -1, with = -1;
    assert_status(estimate_chance(&e, 0, 0.005, &without), RESEAT_OK);
    e.curve = &curve;
    assert_status(estimate_chance(&e, 0, 0.005, &with), RESEAT_OK);
    assert_same_bits(with, without);
}

static void minus_zero_is_given_as_zero(void **state)
{
    reseat_terms t = terms_assumed();
    assert_status(reseat_terms_set(&t, RESEAT_TERM_RUN, -0.0), RESEAT_OK);
    assert_same_bits(t.u_run_mm, 0.0);
}

/* Also what a gauge check puts out of use. */
static void every_figure_must_be_finite_and_every_scatter_not_negative(void **state)
{
    for (int verified = 0; verified < 2; verified++) {
        reseat_estimate e = plain(0.01, 0.02);
        e.verified = verified;
        double *const any_sign[] = {&e.offset_mm.x, &e.offset_mm.y, &e.in_use_mm.x, &e.in_use_mm.y,
                                    &e.spindle_mm.x, &e.spindle_mm.y, &e.shift_mm.x,
                                    &e.shift_mm.y};
        double *const scatters[] = {&e.terms.u_run_mm, &e.terms.u_seat_mm, &e.terms.u_turn_deg,
                                    &e.terms.u_spindle_mm, &e.terms.u_touch_mm,
                                    &e.terms.u_drift_mm, &e.terms.u_axial_mm, &e.terms.lobing_mm,
                                    &e.shift_u_mm};
        reseat_effect effect;
        for (size_t i = 0; i < 17; i++) {
            double *const value = i < 8 ? any_sign[i] : scatters[i - 8];
            const double good = *value;
            *value = (double)NAN;
            assert_status(reseat_estimate_effect(&e, 30, &effect), RESEAT_ERR_NOT_FINITE);
            *value = -1e-9;
            assert_status(reseat_estimate_effect(&e, 30, &effect),
                          i < 8 ? RESEAT_OK : RESEAT_ERR_RANGE);
            *value = good;
        }
    }
}

static void leaves_output_alone_on_failure(void **state)
{
    const reseat_estimate good = plain(0.01, 0.02);
    reseat_estimate bad;
    reseat_effect effect = {.turn_deg = 7}, before = effect;
    double chance = 0.25;
    assert_status(reseat_estimate_effect(NULL, 0, &effect), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_estimate_effect(&good, 0, NULL), RESEAT_ERR_ARGUMENT);
    const reseat_radius_curve beyond = {.order = RESEAT_RADIUS_ORDER_MAX + 1};
    reseat_estimate curved = good;
    curved.curve = &beyond;
    assert_status(reseat_estimate_effect(&curved, 30, &effect), RESEAT_ERR_RANGE);
    assert_status(reseat_estimate_effect(&good, (double)NAN, &effect), RESEAT_ERR_NOT_FINITE);
    bad = good;
    bad.in_use_mm.y = (double)INFINITY;
    assert_status(reseat_estimate_effect(&bad, 0, &effect), RESEAT_ERR_NOT_FINITE);
    bad = good;
    bad.terms.u_run_mm = (double)NAN;
    assert_status(reseat_estimate_effect(&bad, 0, &effect), RESEAT_ERR_NOT_FINITE);
    bad = good;
    bad.terms.u_seat_mm = -1e-9;
    assert_status(reseat_estimate_effect(&bad, 0, &effect), RESEAT_ERR_RANGE);
    bad = good;
    bad.dirs = 1;
    assert_status(reseat_estimate_effect(&bad, 0, &effect), RESEAT_ERR_ARGUMENT);
    bad = good;
    bad.terms.u_run_mm = 1e200;
    assert_status(reseat_estimate_effect(&bad, 0, &effect), RESEAT_ERR_NOT_FINITE);
    assert_status(estimate_chance(&good, 0, 0, &chance), RESEAT_ERR_RANGE);
    assert_status(estimate_chance(&good, 0, (double)NAN, &chance), RESEAT_ERR_NOT_FINITE);
    assert_memory_equal(&effect, &before, sizeof effect);
    assert_near(chance, 0.25, 0);
}

static void a_term_that_does_not_exist_is_refused(void **state)
{
    reseat_terms terms = terms_assumed();
    const reseat_terms before = terms;
    assert_status(reseat_terms_set(&terms, (reseat_term)99, 1), RESEAT_ERR_ARGUMENT);
    assert_memory_equal(&terms, &before, sizeof terms);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(agrees_with_the_reference_chances),
        cmocka_unit_test(the_assumed_figures_are_the_handbooks_and_marked),
        cmocka_unit_test(what_is_assumed_is_scaled_and_what_is_given_is_not),
        cmocka_unit_test(a_given_term_is_no_longer_assumed),
        cmocka_unit_test(a_term_out_of_range_is_refused_untouched),
        cmocka_unit_test(a_known_spindle_part_lowers_its_assumed_uncertainty),
        cmocka_unit_test(every_term_has_its_name),
        cmocka_unit_test(scatter_is_put_together_as_the_handbook_says),
        cmocka_unit_test(a_gauge_check_replaces_error_and_scatter),
        cmocka_unit_test(hidden_lobes_count_until_twelve_directions_are_on_record),
        cmocka_unit_test(lobes_seen_from_few_directions_are_feared_as_large_as_they_are),
        cmocka_unit_test(a_lobe_on_a_direction_on_record_lowers_the_chance),
        cmocka_unit_test(an_unturned_probe_has_no_lobes_to_fear),
        cmocka_unit_test(surfaces_are_tried_all_round_with_the_lobes_in_their_sign),
        cmocka_unit_test(hidden_lobes_are_feared_all_round_and_at_the_smallest_turn),
        cmocka_unit_test(lobes_on_record_do_not_count_without_a_turn),
        cmocka_unit_test(minus_zero_is_given_as_zero),
        cmocka_unit_test(every_figure_must_be_finite_and_every_scatter_not_negative),
        cmocka_unit_test(leaves_output_alone_on_failure),
        cmocka_unit_test(a_term_that_does_not_exist_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
