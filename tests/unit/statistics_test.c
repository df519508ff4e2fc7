/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <stdio.h>
#include <stdlib.h>
#include "check.h"
#include "reseat/values.h"
#include "reseat/history.h"
#include "maths/statistics.h"

#define COUNT(values) (sizeof(values) / sizeof((values)[0]))
#define VALUES_MAX 1100

/* Reads one value a line; lines that are no number are passed over. 0 if absent. */
static size_t read_published(const char *name, double *values)
{
    const char *folder = getenv("RESEAT_TEST_REFERENCE");
    char path[512];
    snprintf(path, sizeof path, "%s/published/%s.csv", folder != NULL ? folder : ".", name);
    FILE *file = fopen(path, "r");
    if (file == NULL) {
        print_message("%s is not there: skipped\n", path);
        return 0;
    }
    char line[256];
    size_t n = 0;
    while (n < VALUES_MAX && fgets(line, sizeof line, file) != NULL) {
        if (reseat_number_parse(line, strcspn(line, "\r\n"), &values[n], NULL) == RESEAT_OK)
            n++;
    }
    fclose(file);
    return n;
}

/* NIST StRD, certified mean. */
static void the_mean_of_the_nist_sets_has_its_certified_digits(void **state)
{
    static const struct {
        const char *name;
        size_t n;
        double mean;
    } sets[] = {
        {"Lew", 200, -177.435000000000},
        {"Lottery", 218, 518.958715596330},
        {"NumAcc1", 3, 10000002},
        {"NumAcc2", 1001, 1.2},
        {"NumAcc3", 1001, 1000000.2},
    };
    double values[VALUES_MAX];
    for (size_t i = 0; i < COUNT(sets); i++) {
        const size_t n = read_published(sets[i].name, values);
        if (n == 0)
            skip();
        double mean = 0;
        assert_int_equal(n, sets[i].n);
        assert_status(sample_mean(values, n, &mean), RESEAT_OK);
        assert_near(mean, sets[i].mean, 0.5e-14 * fabs(sets[i].mean));
    }
}

/*
 * NIST/SEMATECH e-Handbook 6.3.2.2: mean 50.81, limits 45.8159 and 55.8041, printed with 1.128
 * for 2/sqrt(pi), which the last digit shows.
 */
static void individuals_of_the_flow_rates_have_the_printed_limits(void **state)
{
    double values[VALUES_MAX];
    const size_t n = read_published("individuals_flowrate", values);
    if (n == 0)
        skip();
    double mean = 0;
    double range = 0;
    assert_int_equal(n, 10);
    assert_status(sample_mean(values, n, &mean), RESEAT_OK);
    assert_status(sample_moving_range(values, n, &range), RESEAT_OK);
    assert_near(mean, 50.81, 1e-13);
    assert_near(mean - 3 * range / 1.128, 45.8159, 0.00005);
    assert_near(mean + 3 * range / 1.128, 55.8041, 0.00005);
}

static void samples_refuse_what_they_cannot_take(void **state)
{
    const double good[] = {1, 2};
    const double bad[] = {1, (double)NAN};
    const double huge[] = {1.7e308, -1.7e308};
    typedef reseat_status measure(const double *, size_t, double *);
    measure *const all[] = {sample_mean, sample_moving_range};
    double kept = 7;
    for (size_t i = 0; i < COUNT(all); i++) {
        assert_status(all[i](bad, 2, &kept), RESEAT_ERR_NOT_FINITE);
        assert_status(all[i](good, i, &kept), RESEAT_ERR_TOO_FEW);
    }
    assert_status(sample_moving_range(huge, 2, &kept), RESEAT_ERR_NOT_FINITE);
    assert_same_bits(kept, 7);
}

static reseat_trend fit(const double *times, const double *values, size_t n)
{
    static double workspace[1000 * 999 / 2];
    reseat_trend trend;
    assert_status(trend_fit(times, values, n, workspace, COUNT(workspace), &trend),
                  RESEAT_OK);
    return trend;
}

/* p by going through all 5040 orders, slopes by exact fractions. */
static void a_short_trend_without_ties_is_exact(void **state)
{
    const double times[] = {0, 1, 2, 3, 4, 5, 6};
    const double values[] = {3, 1, 4, 1.5, 9, 2.6, 5};
    const reseat_trend trend = fit(times, values, 7);
    assert_int_equal(trend.s, 7);
    assert_int_equal(trend.pairs, 21);
    assert_near(trend.p, 961.0 / 2520, 1e-15);
    assert_near(trend.slope, 0.4, 1e-15);
    assert_near(trend.low, -2, 0);
    assert_near(trend.high, 8.0 / 3, 1e-15);
}

/* The variance, 799/21, is that of S over all orders of the values; ties in both. */
static void equal_times_and_equal_values_are_left_out(void **state)
{
    const double times[] = {0, 0, 1, 2, 2, 3, 5};
    const double values[] = {1, 1, 2, 2, 2, 4, 3};
    const reseat_trend trend = fit(times, values, 7);
    assert_int_equal(trend.s, 15);
    assert_int_equal(trend.pairs, 19);
    assert_near(trend.p, 0.02322711280209664705669195283, 1e-15);
    assert_near(trend.slope, 0.5, 0);
    assert_near(trend.low, 0, 0);
    assert_near(trend.high, 1, 0);
}

/* 8504 orders of 10 values have as much order one way; from 11 on there are too many to count. */
static void ten_values_without_ties_are_still_exact(void **state)
{
    const double times[] = {0, 1, 2, 3, 4, 5, 6, 7, 8, 9};
    const double values[] = {2, 1, 3, 6, 4, 5, 10, 7, 9, 8};
    const reseat_trend trend = fit(times, values, 10);
    assert_int_equal(trend.s, 31);
    assert_near(trend.p, 17008.0 / 3628800, 1e-17);
}

/* The variance, 717/14, is again that of S over all orders of the values; ties of three in both. */
static void ties_of_three_count_in_the_variance(void **state)
{
    const double times[] = {0, 0, 0, 1, 2, 2, 2, 3};
    const double values[] = {1, 1, 1, 2, 2, 5, 5, 5};
    const reseat_trend trend = fit(times, values, 8);
    assert_int_equal(trend.s, 19);
    assert_near(trend.p, 0.0118956236219798499804, 1e-16);
}

static const double TIMES[] = {0, 1, 3, 4, 7, 8, 9, 12, 13, 15, 16, 20};
static const double VALUES[] = {1, 2, 2, 5, 3, 6, 7, 7, 9, 8, 12, 10};

static void a_longer_trend_is_normal_with_continuity(void **state)
{
    const reseat_trend trend = fit(TIMES, VALUES, 12);
    assert_int_equal(trend.s, 58);
    assert_near(trend.p, 0.00008596013970178456683225378720900, 1e-18);
    assert_near(trend.slope, 27.0 / 52, 1e-15);
    assert_near(trend.low, 1.0 / 3, 1e-15);
    assert_near(trend.high, 0.75, 1e-15);
}

static void a_trend_knows_neither_order_nor_origin_and_turns_with_its_sign(void **state)
{
    const reseat_trend trend = fit(TIMES, VALUES, 12);
    double times[12];
    double values[12];
    for (size_t i = 0; i < 12; i++) {
        times[i] = TIMES[(i * 5 + 3) % 12] + 1024;
        values[i] = -VALUES[(i * 5 + 3) % 12] - 64;
    }
    const reseat_trend turned = fit(times, values, 12);
    assert_int_equal(turned.s, -trend.s);
    assert_same_bits(turned.p, trend.p);
    assert_same_bits(turned.slope, -trend.slope);
    assert_same_bits(turned.low, -trend.high);
    assert_same_bits(turned.high, -trend.low);
}

static void equal_values_have_no_trend(void **state)
{
    const double values[12] = {3, 3, 3, 3, 3, 3, 3, 3, 3, 3, 3, 3};
    const reseat_trend trend = fit(TIMES, values, 12);
    assert_int_equal(trend.s, 0);
    assert_same_bits(trend.p, 1.0);
    assert_same_bits(trend.slope, 0.0);
    assert_same_bits(trend.low, 0.0);
    assert_same_bits(trend.high, 0.0);
}

static void two_values_have_a_slope_and_no_proof(void **state)
{
    const reseat_trend trend = fit(TIMES, VALUES, 2);
    assert_same_bits(trend.slope, 1.0);
    assert_same_bits(trend.p, 1.0);
    assert_int_equal(trend.pairs, 1);
}

static void a_trend_takes_a_thousand_values(void **state)
{
    double times[TREND_MAX];
    double values[TREND_MAX];
    for (size_t i = 0; i < TREND_MAX; i++) {
        times[i] = (double)i;
        values[i] = 0.25 * (double)i;
    }
    const reseat_trend trend = fit(times, values, TREND_MAX);
    assert_int_equal(trend.s, 499500);
    assert_same_bits(trend.slope, 0.25);
    assert_same_bits(trend.low, 0.25);
    assert_same_bits(trend.high, 0.25);
    assert_int_equal(trend_workspace(TREND_MAX), 499500);
    assert_int_equal(trend_workspace(0), 0);
}

static void a_trend_refuses_what_it_cannot_take(void **state)
{
    double room[3];
    reseat_trend kept;
    memset(&kept, 42, sizeof kept);
    const reseat_trend before = kept;
    const double bad[] = {1, (double)INFINITY};
    const double huge[] = {1.7e308, -1.7e308};
    const double same[] = {4, 4};
    assert_status(trend_fit(TIMES, VALUES, 1, room, 3, &kept), RESEAT_ERR_TOO_FEW);
    assert_status(trend_fit(TIMES, VALUES, 1001, room, 3, &kept), RESEAT_ERR_RANGE);
    assert_status(trend_fit(TIMES, VALUES, 4, room, 3, &kept), RESEAT_ERR_SPACE);
    assert_status(trend_fit(TIMES, bad, 2, room, 3, &kept), RESEAT_ERR_NOT_FINITE);
    assert_status(trend_fit(bad, VALUES, 2, room, 3, &kept), RESEAT_ERR_NOT_FINITE);
    assert_status(trend_fit(TIMES, huge, 2, room, 3, &kept), RESEAT_ERR_NOT_FINITE);
    assert_status(trend_fit(same, VALUES, 2, room, 3, &kept), RESEAT_ERR_SINGULAR);
    assert_memory_equal(&kept, &before, sizeof kept);
}

static void no_place_may_hold_what_is_not_finite(void **state)
{
    for (size_t i = 0; i < 4; i++) {
        double values[] = {1, 2, 3, 4};
        double out = 7;
        values[i] = (double)NAN;
        assert_status(sample_mean(values, 4, &out), RESEAT_ERR_NOT_FINITE);
        values[i] = (double)INFINITY;
        assert_status(sample_mean(values, 4, &out), RESEAT_ERR_NOT_FINITE);
        assert_same_bits(out, 7.0);
    }
}

static void the_workspace_is_a_slope_for_each_pair(void **state)
{
    assert_int_equal(trend_workspace(1), 0);
    assert_int_equal(trend_workspace(2), 1);
    assert_int_equal(trend_workspace(3), 3);
    assert_int_equal(trend_workspace(TREND_MAX), 499500);
    assert_int_equal(trend_workspace(TREND_MAX + 1), 0);
}

/* S = 53 of 55 pairs, variance 11 * 10 * 27 / 18 = 165: erfc(52 / sqrt(330)). */
static void eleven_values_are_no_longer_exact(void **state)
{
    const double times[] = {0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10};
    const double values[] = {1, 0, 2, 3, 4, 5, 6, 7, 8, 9, 10};
    const reseat_trend trend = fit(times, values, 11);
    assert_int_equal(trend.s, 53);
    assert_near(trend.p, 0.0000516142452481526322, 1e-16);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_mean_of_the_nist_sets_has_its_certified_digits),
        cmocka_unit_test(individuals_of_the_flow_rates_have_the_printed_limits),
        cmocka_unit_test(samples_refuse_what_they_cannot_take),
        cmocka_unit_test(a_short_trend_without_ties_is_exact),
        cmocka_unit_test(equal_times_and_equal_values_are_left_out),
        cmocka_unit_test(ten_values_without_ties_are_still_exact),
        cmocka_unit_test(ties_of_three_count_in_the_variance),
        cmocka_unit_test(a_longer_trend_is_normal_with_continuity),
        cmocka_unit_test(a_trend_knows_neither_order_nor_origin_and_turns_with_its_sign),
        cmocka_unit_test(equal_values_have_no_trend),
        cmocka_unit_test(two_values_have_a_slope_and_no_proof),
        cmocka_unit_test(a_trend_takes_a_thousand_values),
        cmocka_unit_test(a_trend_refuses_what_it_cannot_take),
        cmocka_unit_test(no_place_may_hold_what_is_not_finite),
        cmocka_unit_test(the_workspace_is_a_slope_for_each_pair),
        cmocka_unit_test(eleven_values_are_no_longer_exact),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
