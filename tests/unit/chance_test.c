/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "check.h"
#include "random.h"
#include "reseat/chance.h"
#include "table.h"

static double disc(double x, double y, double xx, double xy, double yy, double limit)
{
    double chance = (double)NAN;
    assert_status(reseat_chance_disc((reseat_xy){x, y}, (reseat_cov){xx, xy, yy}, limit, &chance),
                  RESEAT_OK);
    assert_true(chance >= 0 && chance <= 1);
    return chance;
}

/* tests/data/conformance.csv, computed with 40 digits. */
static void chances_are_those_of_the_reference(void **state)
{
    (void)state;
    static table rows;
    table_read("conformance.csv", 7, &rows);
    for (size_t i = 0; i < rows.rows; i++) {
        const double *row = rows.at[i];
        assert_near(disc(row[0], row[1], row[2], row[3], row[4], row[5]), row[6], 1e-12);
    }
}

static void a_disc_about_the_mean_has_the_closed_form(void **state)
{
    (void)state;
    for (double limit = 1e-6; limit < 100; limit *= 1.3)
        assert_near(disc(0, 0, 1, 0, 1, limit), -expm1(-limit * limit / 2), 1e-14);
}

static void refuses_what_is_no_question(void **state)
{
    (void)state;
    const reseat_xy mean = {0, 0};
    const reseat_cov unit = {1, 0, 1};
    double chance = 7;
    assert_status(reseat_chance_disc(mean, unit, 1, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_chance_disc((reseat_xy){(double)NAN, 0}, unit, 1, &chance),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_chance_disc((reseat_xy){0, (double)INFINITY}, unit, 1, &chance),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_chance_disc(mean, (reseat_cov){(double)NAN, 0, 1}, 1, &chance),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_chance_disc(mean, (reseat_cov){1, (double)NAN, 1}, 1, &chance),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_chance_disc(mean, (reseat_cov){1, 0, (double)INFINITY}, 1, &chance),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_chance_disc(mean, unit, (double)NAN, &chance), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_chance_disc(mean, unit, (double)INFINITY, &chance), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_chance_disc(mean, unit, 0, &chance), RESEAT_ERR_RANGE);
    assert_status(reseat_chance_disc(mean, unit, -1, &chance), RESEAT_ERR_RANGE);
    assert_status(reseat_chance_disc(mean, (reseat_cov){-1, 0, 1}, 1, &chance), RESEAT_ERR_RANGE);
    assert_status(reseat_chance_disc(mean, (reseat_cov){1, 0, -1e-12}, 1, &chance),
                  RESEAT_ERR_RANGE);
    assert_status(reseat_chance_disc(mean, (reseat_cov){-1, 0, -1}, 1, &chance), RESEAT_ERR_RANGE);
    assert_status(reseat_chance_disc(mean, (reseat_cov){1, 1.001, 1}, 1, &chance),
                  RESEAT_ERR_RANGE);
    assert_status(reseat_chance_disc(mean, (reseat_cov){0, 1, 0}, 1, &chance), RESEAT_ERR_RANGE);
    assert_same_bits(chance, 7.0);
}

static double line(double mean, double sd, double limit)
{
    double chance = (double)NAN;
    assert_status(reseat_chance_line(mean, sd, limit, &chance), RESEAT_OK);
    assert_true(chance >= 0 && chance <= 1);
    return chance;
}

static void a_line_has_the_normal_distribution(void **state)
{
    (void)state;
    assert_near(line(0, 1, 1.959963984540054), 0.95, 1e-15);
    assert_near(line(0, 0.002, 0.004), erf(sqrt(2)), 1e-15);
    assert_near(line(1, 1, 1), erf(sqrt(2)) / 2, 1e-15);
    assert_same_bits(line(-1, 1, 1), line(1, 1, 1));
    assert_same_bits(line(0, 1, 0), 0.0);
    assert_same_bits(line(0, 1e-300, 1), 1.0);
    assert_same_bits(line(1.7e308, 1e-300, 1.7e308), 0.5);
}

static void a_line_without_scatter_includes_its_limit(void **state)
{
    (void)state;
    assert_same_bits(line(0.005, 0, 0.005), 1.0);
    assert_same_bits(line(-0.005, 0, 0.005), 1.0);
    assert_same_bits(line(nextafter(0.005, 1), 0, 0.005), 0.0);
    assert_same_bits(line(0, 0, 0), 1.0);
}

static void a_line_refuses_what_is_no_question(void **state)
{
    (void)state;
    double chance = 7;
    assert_status(reseat_chance_line(0, 1, 1, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_chance_line((double)NAN, 1, 1, &chance), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_chance_line(0, (double)INFINITY, 1, &chance), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_chance_line(0, 1, (double)NAN, &chance), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_chance_line(0, -1, 1, &chance), RESEAT_ERR_RANGE);
    assert_status(reseat_chance_line(0, 1, -1, &chance), RESEAT_ERR_RANGE);
    assert_same_bits(chance, 7.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(chances_are_those_of_the_reference),
        cmocka_unit_test(a_disc_about_the_mean_has_the_closed_form),
        cmocka_unit_test(refuses_what_is_no_question),
        cmocka_unit_test(a_line_has_the_normal_distribution),
        cmocka_unit_test(a_line_without_scatter_includes_its_limit),
        cmocka_unit_test(a_line_refuses_what_is_no_question),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
