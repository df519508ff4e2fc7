/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "check.h"
#include "random.h"
#include "reseat/seat.h"
#include "model/seat.h"
#include "maths/plane.h"
#include "table.h"

#define ROUNDS 100000

static const reseat_xy none = {0, 0};

static double ulp(double value)
{
    return nextafter(fabs(value), (double)INFINITY) - fabs(value);
}

/* 4 ulp of the longest error that these offsets can make. */
static double error_tolerance(reseat_xy offset, reseat_xy spindle)
{
    return 4 * ulp(2 * (reseat_plane_length(offset) + reseat_plane_length(spindle)));
}

static reseat_xy seat_error(reseat_xy offset, reseat_xy spindle, double run, double now)
{
    reseat_xy error = {(double)NAN, (double)NAN};
    assert_status(reseat_seat_error(offset, spindle, run, now, &error), RESEAT_OK);
    return error;
}

static reseat_xy random_vector(uint64_t *seed)
{
    const double length = random_log(seed, -4, 2);
    return plane_rotate((reseat_xy){length, 0}, random_between(seed, -180, 180));
}

/* tests/data/seat_error.csv, computed with 40 digits. */
static void errors_are_those_of_the_reference(void **state)
{
    static table rows;
    table_read("seat_error.csv", 9, &rows);
    for (size_t i = 0; i < rows.rows; i++) {
        const double *row = rows.at[i];
        const reseat_xy offset = {row[0], row[1]}, spindle = {row[2], row[3]};
        const reseat_xy error = seat_error(offset, spindle, row[4], row[5]);
        const double tolerance = error_tolerance(offset, spindle);
        assert_near(error.x, row[6], tolerance);
        assert_near(error.y, row[7], tolerance);
        assert_near(reseat_plane_length(error), row[8], tolerance);
    }
}

/* The same straight from o = a + R b, with the sines of long double. */
static void errors_are_those_of_the_definition(void **state)
{
    const long double rad_per_deg = 0.017453292519943295769236907684886127L;
    uint64_t seed = 20260304;
    for (int i = 0; i < ROUNDS; i++) {
        const reseat_xy offset = random_vector(&seed), spindle = random_vector(&seed);
        const double run = random_between(&seed, -360, 360), now = random_between(&seed, -360, 360);
        const long double turn = ((long double)now - (long double)run) * rad_per_deg;
        const long double qx = (long double)offset.x - (long double)spindle.x;
        const long double qy = (long double)offset.y - (long double)spindle.y;
        const reseat_xy error = seat_error(offset, spindle, run, now);
        const double tolerance = error_tolerance(offset, spindle);
        assert_near(error.x, (double)(qx - (qx * cosl(turn) - qy * sinl(turn))), tolerance);
        assert_near(error.y, (double)(qy - (qx * sinl(turn) + qy * cosl(turn))), tolerance);
    }
    print_message("error against its definition: %d cases, seed 20260304\n", ROUNDS);
}

static void the_error_is_zero_at_the_run_s_seat(void **state)
{
    uint64_t seed = 20260305;
    for (int i = 0; i < 1000; i++) {
        const double seat = random_between(&seed, 0, 360);
        const reseat_xy error =
            seat_error(random_vector(&seed), random_vector(&seed), seat, seat);
        assert_same_bits(error.x, 0.0);
        assert_same_bits(error.y, 0.0);
    }
    const reseat_xy huge = seat_error((reseat_xy){1e308, -1e308}, none, 77, 437);
    assert_same_bits(huge.x, 0.0);
    assert_same_bits(huge.y, 0.0);
}

static void half_a_turn_costs_exactly_twice_the_turning_part(void **state)
{
    uint64_t seed = 20260306;
    for (int i = 0; i < 1000; i++) {
        const reseat_xy offset = random_vector(&seed), spindle = random_vector(&seed);
        const reseat_xy error = seat_error(offset, spindle, 33, 213);
        assert_same_bits(error.x, 2 * (offset.x - spindle.x));
        assert_same_bits(error.y, 2 * (offset.y - spindle.y));
    }
}

static void whole_turns_change_no_bit(void **state)
{
    uint64_t seed = 20260307;
    for (int run = 0; run < 360; run += 7) {
        for (int now = 0; now < 360; now += 11) {
            const reseat_xy offset = random_vector(&seed), spindle = random_vector(&seed);
            const reseat_xy error = seat_error(offset, spindle, run, now);
            for (int k = -3; k <= 3; k++) {
                const reseat_xy one = seat_error(offset, spindle, run, now + 360.0 * k);
                const reseat_xy other = seat_error(offset, spindle, run + 360.0 * k, now);
                assert_same_bits(one.x, error.x);
                assert_same_bits(one.y, error.y);
                assert_same_bits(other.x, error.x);
                assert_same_bits(other.y, error.y);
            }
        }
    }
}

/* What the probe would be calibrated to at the new seat, and then put back, undoes the error. */
static void reversal_undoes_the_error(void **state)
{
    uint64_t seed = 20260308;
    for (int i = 0; i < ROUNDS; i++) {
        const reseat_xy offset = random_vector(&seed), spindle = random_vector(&seed);
        const double run = random_between(&seed, 0, 360), now = random_between(&seed, 0, 360);
        const reseat_xy there = seat_error(offset, spindle, run, now);
        const reseat_xy turned = {offset.x - there.x, offset.y - there.y};
        const reseat_xy back = seat_error(turned, spindle, now, run);
        const double tolerance = 2 * error_tolerance(offset, spindle);
        assert_near(there.x + back.x, 0, tolerance);
        assert_near(there.y + back.y, 0, tolerance);
    }
}

static void the_error_turns_with_the_frame_and_grows_with_the_offset(void **state)
{
    uint64_t seed = 20260309;
    for (int i = 0; i < ROUNDS; i++) {
        const reseat_xy offset = random_vector(&seed), spindle = random_vector(&seed);
        const double run = random_between(&seed, 0, 360), now = random_between(&seed, 0, 360);
        const double frame = random_between(&seed, -180, 180);
        const reseat_xy error = seat_error(offset, spindle, run, now);
        const reseat_xy turned = seat_error(plane_rotate(offset, frame),
                                            plane_rotate(spindle, frame), run, now);
        const reseat_xy expected = plane_rotate(error, frame);
        const double tolerance = 2 * error_tolerance(offset, spindle);
        assert_near(turned.x, expected.x, tolerance);
        assert_near(turned.y, expected.y, tolerance);

        const reseat_xy scaled = seat_error((reseat_xy){0x1p-9 * offset.x, 0x1p-9 * offset.y},
                                            (reseat_xy){0x1p-9 * spindle.x, 0x1p-9 * spindle.y},
                                            run, now);
        assert_same_bits(scaled.x, 0x1p-9 * error.x);
        assert_same_bits(scaled.y, 0x1p-9 * error.y);
    }
}

/* |e| = 2 |q| sin(turn / 2): at 1e-9 degrees the direct difference has no digit left. */
static void small_turns_lose_no_digits(void **state)
{
    const reseat_xy error = seat_error((reseat_xy){0.03, 0}, none, 0, 1e-9);
    assert_near(error.y, -0.03e-9 * 0.017453292519943295, 1e-28);
    assert_near(error.x, 0, 1e-23);
}

static void another_offset_in_use_adds_its_difference(void **state)
{
    const reseat_xy offset = {0.004, -0.0011}, in_use = {0.005, -0.0001}, spindle = {0.001, 0};
    reseat_xy error;
    assert_status(seat_error_by_turn(offset, in_use, spindle, 0, &error), RESEAT_OK);
    assert_same_bits(error.x, in_use.x - offset.x);
    assert_same_bits(error.y, in_use.y - offset.y);
    assert_status(seat_error_by_turn(offset, in_use, spindle, -540, &error), RESEAT_OK);
    assert_near(error.x, 0.007, 1e-17);
    assert_near(error.y, -0.0012, 1e-17);
}

static void refuses_an_error_that_is_not_finite(void **state)
{
    const reseat_xy sound = {0.01, 0.02}, bad_x = {(double)NAN, 0}, bad_y = {0, (double)INFINITY};
    const reseat_xy huge = {1.7e308, 0}, opposite = {-1.7e308, 0};
    reseat_xy error = {1, 2};
    assert_status(reseat_seat_error(bad_x, none, 0, 0, &error), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_seat_error(sound, bad_y, 0, 0, &error), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_seat_error(sound, none, (double)NAN, 0, &error), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_seat_error(sound, none, 0, (double)INFINITY, &error),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_seat_error(huge, none, 0, 180, &error), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_seat_error(huge, opposite, 0, 90, &error), RESEAT_ERR_NOT_FINITE);
    assert_status(seat_error_by_turn(sound, bad_x, none, 0, &error), RESEAT_ERR_NOT_FINITE);
    assert_status(seat_error_by_turn(sound, sound, none, (double)NAN, &error),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_seat_error(sound, none, 0, 0, NULL), RESEAT_ERR_ARGUMENT);
    assert_same_bits(error.x, 1.0);
    assert_same_bits(error.y, 2.0);
}

/* tests/data/any_seat.csv, computed with 40 digits. */
static void closed_forms_are_those_of_the_reference(void **state)
{
    static table rows;
    table_read("any_seat.csv", 9, &rows);
    for (size_t i = 0; i < rows.rows; i++) {
        const double *row = rows.at[i];
        reseat_any any;
        const double length = reseat_plane_length((reseat_xy){row[0], row[1]});
        assert_status(seat_any(length, row[2], &any), RESEAT_OK);
        assert_near(any.worst_mm, row[3], 8 * ulp(row[3]));
        assert_near(any.mean_mm, row[4], 8 * ulp(row[4]));
        assert_near(any.rms_mm, row[5], 8 * ulp(row[5]));
        assert_near(any.p95_mm, row[6], 8 * ulp(row[6]));
        assert_near(any.seats_within, row[7], 8 * ulp(row[7]));
        assert_near(any.allowed_turn_deg, row[8], 8 * ulp(row[8]));
        assert_same_bits(any.allowed_offset_mm, row[2] / 2);
    }
}

/* (2/pi) asin(limit/2r) of these very doubles, computed with 100 digits. */
static void closed_forms_keep_their_digits_where_the_limit_nears_the_worst(void **state)
{
    static const struct {
        double turning, limit, share;
    } near[] = {
        {0.5, 1 - 0x1p-53, 0.99999999051362615276},
        {0.5, 1 - 0x1p-40, 0.99999914139145263941},
        {0.5, 1 - 0x1p-20, 0.99912078477762906865},
        {0.3, 0.5999999, 0.99963244739804397299},
        {0.0123, 0.0245999, 0.99818478649344121012},
    };
    for (size_t i = 0; i < sizeof near / sizeof near[0]; i++) {
        const double share = near[i].share;
        reseat_any any;
        assert_status(seat_any(near[i].turning, near[i].limit, &any), RESEAT_OK);
        assert_near(any.seats_within, share, 8 * ulp(share));
        assert_near(any.allowed_turn_deg, 180 * share, 8 * ulp(180 * share));
    }
}

static void closed_forms_hold_at_their_ends(void **state)
{
    reseat_any any;
    assert_status(seat_any(0, 0.005, &any), RESEAT_OK);
    assert_same_bits(any.worst_mm, 0.0);
    assert_same_bits(any.seats_within, 1.0);
    assert_same_bits(any.allowed_turn_deg, 180.0);
    assert_status(seat_any(0.0025, 0.005, &any), RESEAT_OK);
    assert_same_bits(any.seats_within, 1.0);
    assert_same_bits(any.allowed_turn_deg, 180.0);
    assert_status(seat_any(0.005, 0.005, &any), RESEAT_OK);
    assert_near(any.allowed_turn_deg, 60, 8 * ulp(60));
    assert_status(seat_any(8e307, 1e308, &any), RESEAT_OK);
    assert_near(any.allowed_turn_deg, 2 * reseat_plane_bearing((reseat_xy){sqrt(0.39), 0.5}),
                1e-12);
    assert_status(seat_any(1, 1e-300, &any), RESEAT_OK);
    assert_near(any.seats_within, 1e-300 / 3.14159265358979324, 1e-315);
}

static void closed_forms_refuse_what_is_out_of_range(void **state)
{
    reseat_any any = {.worst_mm = 7};
    assert_status(seat_any((double)NAN, 1, &any), RESEAT_ERR_NOT_FINITE);
    assert_status(seat_any(1, (double)INFINITY, &any), RESEAT_ERR_NOT_FINITE);
    assert_status(seat_any(1e308, 1, &any), RESEAT_ERR_NOT_FINITE);
    assert_status(seat_any(-1e-300, 1, &any), RESEAT_ERR_RANGE);
    assert_status(seat_any(1, 0, &any), RESEAT_ERR_RANGE);
    assert_status(seat_any(1, -1, &any), RESEAT_ERR_RANGE);
    assert_same_bits(any.worst_mm, 7.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(errors_are_those_of_the_reference),
        cmocka_unit_test(errors_are_those_of_the_definition),
        cmocka_unit_test(the_error_is_zero_at_the_run_s_seat),
        cmocka_unit_test(half_a_turn_costs_exactly_twice_the_turning_part),
        cmocka_unit_test(whole_turns_change_no_bit),
        cmocka_unit_test(reversal_undoes_the_error),
        cmocka_unit_test(the_error_turns_with_the_frame_and_grows_with_the_offset),
        cmocka_unit_test(small_turns_lose_no_digits),
        cmocka_unit_test(another_offset_in_use_adds_its_difference),
        cmocka_unit_test(refuses_an_error_that_is_not_finite),
        cmocka_unit_test(closed_forms_are_those_of_the_reference),
        cmocka_unit_test(closed_forms_keep_their_digits_where_the_limit_nears_the_worst),
        cmocka_unit_test(closed_forms_hold_at_their_ends),
        cmocka_unit_test(closed_forms_refuse_what_is_out_of_range),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
