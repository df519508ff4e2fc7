/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <float.h>

#include "check.h"
#include "disc_peer.h"
#include "maths/chance.h"
#include "maths/plane.h"
#include "table.h"

#define SEED 20260310
#define PEER_ROUNDS 1000
#define ROUNDS 5000

static double disc(double x, double y, double xx, double xy, double yy, double limit)
{
    double chance = (double)NAN;
    assert_status(chance_disc((reseat_xy){x, y}, (reseat_cov){xx, xy, yy}, limit, &chance),
                  RESEAT_OK);
    assert_true(chance >= 0 && chance <= 1);
    return chance;
}

static double chance_of(const disc_case *q)
{
    const reseat_cov c = q->covariance;
    return disc(q->mean.x, q->mean.y, c.xx, c.xy, c.yy, q->limit);
}

static double worst_of_file(const char *name)
{
    static table rows;
    double worst = 0;
    table_read(name, 7, &rows);
    for (size_t i = 0; i < rows.rows; i++) {
        const double *row = rows.at[i];
        const double chance = disc(row[0], row[1], row[2], row[3], row[4], row[5]);
        assert_near(chance, row[6], 1e-12);
        worst = fmax(worst, fabs(chance - row[6]));
    }
    print_message("%s: %zu rows, worst error %.2g\n", name, rows.rows, worst);
    return worst;
}

/* tests/data/conformance.csv, computed with 40 digits. */
static void chances_are_those_of_the_reference(void **state)
{
    assert_near(worst_of_file("conformance.csv"), 0, 1e-14);
}

/* tests/data/chance_hard.csv, computed with 120 digits: rounded where nothing cancels, no worse. */
static void hard_chances_are_no_less_accurate(void **state)
{
    assert_near(worst_of_file("chance_hard.csv"), 0, 1e-14);
}

static void chances_are_those_of_a_slow_quadrature_in_long_double(void **state)
{
    if (LDBL_MANT_DIG < 64)
        skip();
    uint64_t seed = SEED;
    double worst = 0;
    for (int i = 0; i < PEER_ROUNDS; i++) {
        const disc_case question = disc_random(&seed);
        const double expected = disc_chance(&question);
        const double chance = chance_of(&question);
        assert_near(chance, expected, 1e-12);
        worst = fmax(worst, fabs(chance - expected));
    }
    print_message("against long double: %d cases, seed %d, worst difference %.2g\n", PEER_ROUNDS,
                  SEED, worst);
}

/* Almost round, and 5 of its standard deviations beyond the edge: twice the step is 2e-12 off. */
static void scatter_beyond_the_edge_has_strips_enough(void **state)
{
    if (LDBL_MANT_DIG < 64)
        skip();
    const disc_case question = {{-0.859, 0.0594}, {3.244e-4, -5.45e-5, 3.641e-4}, 0.7746};
    assert_near(chance_of(&question), disc_chance(&question), 1e-13);
}

/* Next to the end of its chord, where 0.8 - mean in doubles would leave six digits. */
static void a_chord_keeps_its_digits_where_it_ends(void **state)
{
    if (LDBL_MANT_DIG < 64)
        skip();
    const long double across = (long double)0.6, along = (long double)(0.8 - 1e-10);
    const long double sd = 0x1p-33L;
    const long double end = sqrtl((1 - across) * (1 + across));
    const double expected = (double)(erfcl((along - end) / sd / sqrtl(2)) / 2);
    assert_near(expected, 0.8, 0.1);
    assert_near(disc(0.8 - 1e-10, 0.6, 0x1p-66, 0, 0, 1), expected, 1e-14);
}

static void a_disc_about_the_mean_has_the_closed_form(void **state)
{
    for (double limit = 1e-6; limit < 100; limit *= 1.3)
        assert_near(disc(0, 0, 1, 0, 1, limit), -expm1(-limit * limit / 2), 1e-14);
}

/* On a chord the error is one-dimensional. */
static void a_singular_covariance_is_a_chance_on_a_line(void **state)
{
    double expected = -1;
    assert_status(chance_line(0.2, 0.5, sqrt(0.75), &expected), RESEAT_OK);
    assert_near(disc(0.2, 0.5, 0.25, 0, 0, 1), expected, 1e-15);
    assert_near(disc(0.5, -0.2, 0, 0, 0.25, 1), expected, 1e-15);
    /* (3, 4) / 5 along, (-4, 3) / 5 across */
    assert_near(disc(0.2 * 0.6 - 0.5 * 0.8, 0.2 * 0.8 + 0.5 * 0.6, 0.09, 0.12, 0.16, 1), expected,
                1e-15);
    assert_same_bits(disc(0.2, 1, 0.25, 0, 0, 1), 0.0);
    assert_same_bits(disc(0.2, 1.5, 0.25, 0, 0, 1), 0.0);
}

static void an_eigenvalue_below_zero_by_rounding_is_zero(void **state)
{
    uint64_t seed = SEED;
    int below = 0;
    for (int i = 0; i < ROUNDS; i++) {
        const reseat_xy v = plane_rotate((reseat_xy){0.5, 0},
                                         random_between(&seed, -180, 180));
        const reseat_cov c = {v.x * v.x, v.x * v.y, v.y * v.y};
        double expected = -1;
        assert_status(chance_line(0.4, 0.5, sqrt(0.75), &expected), RESEAT_OK);
        const reseat_xy mean = {0.8 * v.x - v.y, 0.8 * v.y + v.x}; /* 0.4 along, 0.5 across */
        assert_near(disc(mean.x, mean.y, c.xx, c.xy, c.yy, 1), expected, 1e-12);
        below += fma(c.xx, c.yy, -c.xy * c.xy) < 0;
    }
    print_message("rank one, rounded: %d cases, seed %d, %d with a determinant below 0\n", ROUNDS,
                  SEED, below);
    assert_true(below > ROUNDS / 10);
}

static void without_scatter_the_limit_itself_is_in(void **state)
{
    assert_same_bits(disc(3, 4, 0, 0, 0, 5), 1.0);
    assert_same_bits(disc(3, nextafter(4, 5), 0, 0, 0, 5), 0.0);
    assert_same_bits(disc(0, -0.005, 0, 0, 0, 0.005), 1.0);
    assert_same_bits(disc(0, 0, 0, 0, 0, 5e-324), 1.0);
    assert_same_bits(disc(3e-200, 4e-200, 0, 0, 0, 4.9e-200), 0.0);
    assert_same_bits(disc(1.7e308, 1.7e308, 0, 0, 0, 5e-324), 0.0);
}

static void numbers_at_the_ends_of_a_double_do_no_harm(void **state)
{
    assert_same_bits(disc(0, 0, 1e-300, 0, 1e-300, 1e300), 1.0);
    assert_same_bits(disc(0, 0, 1e300, 0, 1e300, 1e-300), 0.0);
    assert_same_bits(disc(1e300, 0, 1, 0, 1, 1e-300), 0.0);
    assert_same_bits(disc(1e300, 0, 1, 0, 1, 1e300), 0.5);
    assert_near(disc(0x3p500, 0x4p500, 1, 0.5, 1, 0x5p500), 0.5, 1e-15);
    assert_near(disc(0, 0, 1e300, 0, 1e300, 1e150), -expm1(-0.5), 1e-15);
    assert_near(disc(0, 0, 5e-324, 0, 5e-324, 2.2227587494850775e-162), -expm1(-0.5), 1e-15);
    assert_near(disc(1, 0, 1e308, 0, 1e308, 1), 0, 1e-300);
}

/* The frame may be turned by a quarter, mirrored and scaled by a power of two without loss. */
static void the_frame_does_not_matter(void **state)
{
    uint64_t seed = SEED;
    for (int i = 0; i < ROUNDS; i++) {
        const disc_case q = disc_random(&seed);
        const double x = q.mean.x, y = q.mean.y, limit = q.limit;
        const reseat_cov c = q.covariance;
        const double chance = chance_of(&q);
        assert_same_bits(disc(-x, -y, c.xx, c.xy, c.yy, limit), chance);
        assert_same_bits(disc(0x1p70 * x, 0x1p70 * y, 0x1p140 * c.xx, 0x1p140 * c.xy,
                              0x1p140 * c.yy, 0x1p70 * limit), chance);
        assert_near(disc(-y, x, c.yy, -c.xy, c.xx, limit), chance, 1e-14);
        assert_near(disc(x, -y, c.xx, -c.xy, c.yy, limit), chance, 1e-14);
    }
    print_message("frames: %d cases, seed %d\n", ROUNDS, SEED);
}

/* Any other turn rounds the mean and the matrix: 1e-16 of the limit and of the larger scatter. */
static void turning_the_frame_changes_no_more_than_its_rounding(void **state)
{
    uint64_t seed = SEED;
    for (int i = 0; i < ROUNDS; i++) {
        const double limit = random_log(&seed, -4, 1);
        const double major = limit * random_log(&seed, -1, 1);
        const double minor = major * random_log(&seed, -1, 0);
        const double axis_deg = random_between(&seed, -180, 180);
        const double turn_deg = random_between(&seed, -180, 180);
        const reseat_xy mean = {random_between(&seed, -2, 2) * limit,
                                random_between(&seed, -2, 2) * limit};
        const disc_case one = {mean, disc_covariance(major, minor, axis_deg), limit};
        const disc_case other = {plane_rotate(mean, turn_deg),
                                 disc_covariance(major, minor, axis_deg + turn_deg), limit};
        assert_near(chance_of(&other), chance_of(&one), 1e-12);
    }
}

static void a_wider_limit_or_a_mean_nearer_the_middle_costs_no_chance(void **state)
{
    uint64_t seed = SEED;
    for (int i = 0; i < ROUNDS; i++) {
        const disc_case q = disc_random(&seed);
        const double chance = chance_of(&q);
        for (double part = 1; part > 1e-9; part /= 30) {
            disc_case wider = q, nearer = q;
            wider.limit *= 1 + part;
            nearer.mean.x *= 1 - part;
            nearer.mean.y *= 1 - part;
            assert_true(chance_of(&wider) >= chance - 1e-14);
            assert_true(chance_of(&nearer) >= chance - 1e-14);
        }
    }
}

/* Where one way of computing it gives over to the other there is no step. */
static void there_is_no_step_between_round_and_narrow(void **state)
{
    for (int i = 0; i < 200; i++) {
        const double minor = 0.1 + (i - 100) * 1e-15;
        const double major = 0.25;
        assert_near(disc(0.7, 0.6, major * major, 0, minor * minor, 1),
                    disc(0.7, 0.6, major * major, 0, 0.01, 1), 2e-13);
    }
}

static void refuses_what_is_no_question(void **state)
{
    const reseat_xy mean = {0, 0};
    const reseat_cov unit = {1, 0, 1};
    double chance = 7;
    assert_status(chance_disc((reseat_xy){(double)NAN, 0}, unit, 1, &chance),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(chance_disc((reseat_xy){0, (double)INFINITY}, unit, 1, &chance),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(chance_disc(mean, (reseat_cov){(double)NAN, 0, 1}, 1, &chance),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(chance_disc(mean, (reseat_cov){1, (double)NAN, 1}, 1, &chance),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(chance_disc(mean, (reseat_cov){1, 0, (double)INFINITY}, 1, &chance),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(chance_disc(mean, unit, (double)NAN, &chance), RESEAT_ERR_NOT_FINITE);
    assert_status(chance_disc(mean, unit, (double)INFINITY, &chance), RESEAT_ERR_NOT_FINITE);
    assert_status(chance_disc(mean, unit, 0, &chance), RESEAT_ERR_RANGE);
    assert_status(chance_disc(mean, unit, -1, &chance), RESEAT_ERR_RANGE);
    assert_status(chance_disc(mean, (reseat_cov){-1, 0, 1}, 1, &chance), RESEAT_ERR_RANGE);
    assert_status(chance_disc(mean, (reseat_cov){1, 0, -1e-12}, 1, &chance),
                  RESEAT_ERR_RANGE);
    assert_status(chance_disc(mean, (reseat_cov){-1, 0, -1}, 1, &chance), RESEAT_ERR_RANGE);
    assert_status(chance_disc(mean, (reseat_cov){1, 1.001, 1}, 1, &chance),
                  RESEAT_ERR_RANGE);
    assert_status(chance_disc(mean, (reseat_cov){0, 1, 0}, 1, &chance), RESEAT_ERR_RANGE);
    assert_same_bits(chance, 7.0);
}

static double line(double mean, double sd, double limit)
{
    double chance = (double)NAN;
    assert_status(chance_line(mean, sd, limit, &chance), RESEAT_OK);
    assert_true(chance >= 0 && chance <= 1);
    return chance;
}

static void a_line_has_the_normal_distribution(void **state)
{
    assert_near(line(0, 1, 1.959963984540054), 0.95, 1e-15);
    assert_near(line(0, 0.002, 0.004), erf(sqrt(2)), 1e-15);
    assert_near(line(1, 1, 1), erf(sqrt(2)) / 2, 1e-15);
    assert_same_bits(line(-1, 1, 1), line(1, 1, 1));
    assert_same_bits(line(0, 1, 0), 0.0);
    assert_same_bits(line(0, 1e-300, 1), 1.0);
    assert_same_bits(line(1.7e308, 1e-300, 1.7e308), 0.5);
    assert_same_bits(line(2e-185, 8e-322, 0), 0.0); /* 1e136 standard deviations away */
}

/* Computed with 60 digits: tails, narrow limits and both. */
static void small_chances_on_a_line_keep_their_digits(void **state)
{
    static const struct {
        double mean, sd, limit, chance;
    } small[] = {
        {5, 1, 1, 0.000031670255245474883556},
        {-20, 1, 1, 8.5272239526309764777e-81},
        {38, 1, 1, 5.7255712225245768227e-300},
        {0, 1, 1e-09, 7.9788456080286540544e-10},
        {3, 1, 1e-09, 8.8636968238760149151e-12},
        {-10, 1, 1e-05, 1.5389197278805015432e-27},
        {30, 1, 0.001, 2.9477338921442679504e-199},
        {2, 1, 0.02, 0.0021600705738617349314},
        {0.5, 1, 0.04, 0.028159594034649669398},
        {25, 1, 0.0025, 3.8294528773741095381e-139},
        {6, 1, 0.01, 1.2158855326404377525e-10},
        {0.0125, 0.002, 0.005, 0.000088417285200802724597},
    };
    for (size_t i = 0; i < sizeof small / sizeof small[0]; i++)
        assert_near(line(small[i].mean, small[i].sd, small[i].limit), small[i].chance,
                    1e-12 * small[i].chance);
}

static void a_line_is_that_of_long_double(void **state)
{
    if (LDBL_MANT_DIG < 64)
        skip();
    uint64_t seed = SEED;
    for (int i = 0; i < 20 * ROUNDS; i++) {
        const double sd = random_log(&seed, -3, 3), limit = random_log(&seed, -3, 3);
        const double mean = random_between(&seed, -1, 1) * (limit + 8 * sd);
        const long double s = (long double)sd, a = (long double)limit, m = (long double)mean;
        const long double expected = disc_normal_between((-a - m) / s, (a - m) / s);
        assert_near(line(mean, sd, limit), (double)expected, 1e-15);
    }
}

static void a_line_without_scatter_includes_its_limit(void **state)
{
    assert_same_bits(line(0.005, 0, 0.005), 1.0);
    assert_same_bits(line(-0.005, 0, 0.005), 1.0);
    assert_same_bits(line(nextafter(0.005, 1), 0, 0.005), 0.0);
    assert_same_bits(line(0, 0, 0), 1.0);
}

static void a_line_refuses_what_is_no_question(void **state)
{
    double chance = 7;
    assert_status(chance_line((double)NAN, 1, 1, &chance), RESEAT_ERR_NOT_FINITE);
    assert_status(chance_line(0, (double)INFINITY, 1, &chance), RESEAT_ERR_NOT_FINITE);
    assert_status(chance_line(0, 1, (double)NAN, &chance), RESEAT_ERR_NOT_FINITE);
    assert_status(chance_line(0, -1, 1, &chance), RESEAT_ERR_RANGE);
    assert_status(chance_line(0, 1, -1, &chance), RESEAT_ERR_RANGE);
    assert_same_bits(chance, 7.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(chances_are_those_of_the_reference),
        cmocka_unit_test(hard_chances_are_no_less_accurate),
        cmocka_unit_test(chances_are_those_of_a_slow_quadrature_in_long_double),
        cmocka_unit_test(scatter_beyond_the_edge_has_strips_enough),
        cmocka_unit_test(a_chord_keeps_its_digits_where_it_ends),
        cmocka_unit_test(a_disc_about_the_mean_has_the_closed_form),
        cmocka_unit_test(a_singular_covariance_is_a_chance_on_a_line),
        cmocka_unit_test(an_eigenvalue_below_zero_by_rounding_is_zero),
        cmocka_unit_test(without_scatter_the_limit_itself_is_in),
        cmocka_unit_test(numbers_at_the_ends_of_a_double_do_no_harm),
        cmocka_unit_test(the_frame_does_not_matter),
        cmocka_unit_test(turning_the_frame_changes_no_more_than_its_rounding),
        cmocka_unit_test(a_wider_limit_or_a_mean_nearer_the_middle_costs_no_chance),
        cmocka_unit_test(there_is_no_step_between_round_and_narrow),
        cmocka_unit_test(refuses_what_is_no_question),
        cmocka_unit_test(a_line_has_the_normal_distribution),
        cmocka_unit_test(small_chances_on_a_line_keep_their_digits),
        cmocka_unit_test(a_line_is_that_of_long_double),
        cmocka_unit_test(a_line_without_scatter_includes_its_limit),
        cmocka_unit_test(a_line_refuses_what_is_no_question),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
