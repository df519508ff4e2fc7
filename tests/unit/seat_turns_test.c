/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "check.h"
#include "reseat/seat.h"
#include "model/seat.h"

static reseat_turns turns_of(reseat_seat seat, double run, bool run_known,
                             const reseat_seat *fallback)
{
    reseat_turns turns;
    assert_status(seat_turns(&seat, run, run_known, fallback, &turns), RESEAT_OK);
    return turns;
}

static void assert_list(reseat_turns turns, unsigned count, double first, bool out)
{
    assert_false(turns.range);
    assert_int_equal(turns.count, count);
    assert_same_bits(turns.first_deg, first);
    assert_same_bits(turns.width_deg, 0.0);
    assert_int_equal(turns.out, out);
}

static void assert_range(reseat_turns turns, double first, double width)
{
    assert_true(turns.range);
    assert_int_equal(turns.count, 0);
    assert_same_bits(turns.first_deg, first);
    assert_same_bits(turns.width_deg, width);
    assert_true(turns.out);
}

static const reseat_seat same = {.kind = RESEAT_SEAT_SAME};
static const reseat_seat any_seat = {.kind = RESEAT_SEAT_ANY};
static const reseat_seat unknown = {.kind = RESEAT_SEAT_UNKNOWN};
static const reseat_seat keys_2 = {.kind = RESEAT_SEAT_KEYS, .keys = 2};
static const reseat_seat at_30 = {.kind = RESEAT_SEAT_ANGLE, .seat_deg = 30};
static const reseat_seat about_180 = {
    .kind = RESEAT_SEAT_ANGLE, .seat_deg = 180, .within_deg = 5};

static void a_seat_leaves_the_turns_of_the_handbook(void **state)
{
    assert_list(turns_of(same, 10, true, NULL), 1, 0, false);
    assert_list(turns_of(at_30, 10, true, NULL), 1, 20, true);
    assert_list(turns_of(at_30, 350, true, NULL), 1, 40, true);
    assert_list(turns_of(keys_2, 10, true, NULL), 2, 0, true);
    assert_range(turns_of(about_180, 10, true, NULL), 165, 10);
    assert_range(turns_of(about_180, 0, true, NULL), 175, 10);
    assert_range(turns_of(any_seat, 10, true, NULL), -180, 360);
    assert_range(turns_of(unknown, 10, true, NULL), -180, 360);
    assert_range(turns_of(unknown, 10, true, &unknown), -180, 360);
    assert_list(turns_of(unknown, 10, true, &keys_2), 2, 0, true);
    assert_list(turns_of(unknown, 10, true, &at_30), 1, 20, true);
    assert_list(turns_of(unknown, 10, true, &same), 1, 0, false);
}

static void without_the_run_s_seat_an_angle_is_unknown(void **state)
{
    assert_list(turns_of(same, (double)NAN, false, NULL), 1, 0, false);
    assert_list(turns_of(keys_2, (double)NAN, false, &same), 2, 0, true);
    assert_range(turns_of(any_seat, 0, false, &keys_2), -180, 360);
    assert_range(turns_of(at_30, 0, false, NULL), -180, 360);
    assert_range(turns_of(about_180, 0, false, &at_30), -180, 360);
    assert_list(turns_of(at_30, 0, false, &keys_2), 2, 0, true);
    assert_list(turns_of(about_180, 0, false, &keys_2), 2, 0, true);
    assert_range(turns_of(unknown, 0, false, &about_180), -180, 360);
}

static void turns_name_the_run_s_seat_only_if_it_is_known(void **state)
{
    const reseat_turns known = turns_of(keys_2, -90, true, NULL);
    assert_true(known.run_known);
    assert_same_bits(known.run_deg, 270.0);
    const reseat_turns not_known = turns_of(keys_2, 77, false, NULL);
    assert_false(not_known.run_known);
    assert_same_bits(not_known.run_deg, 0.0);
}

static void refuses_seats_that_do_not_exist(void **state)
{
    reseat_turns turns = {.count = 77};
    const reseat_seat angle = {.kind = RESEAT_SEAT_ANGLE};
    const reseat_seat keys = {.kind = RESEAT_SEAT_KEYS};
    reseat_seat bad[] = {{.kind = (reseat_seat_kind)5}, angle, angle, angle, angle, keys, keys};
    bad[1].seat_deg = (double)NAN;
    bad[2].within_deg = (double)INFINITY;
    bad[3].within_deg = -1;
    bad[4].within_deg = 180;
    bad[6].keys = RESEAT_SEAT_KEYS_MAX + 1;
    const reseat_status expected[] = {RESEAT_ERR_ARGUMENT,   RESEAT_ERR_NOT_FINITE,
                                      RESEAT_ERR_NOT_FINITE, RESEAT_ERR_RANGE,
                                      RESEAT_ERR_RANGE,      RESEAT_ERR_RANGE,
                                      RESEAT_ERR_RANGE};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        assert_status(seat_turns(&bad[i], 0, true, NULL, &turns), expected[i]);
        assert_status(seat_turns(&same, 0, true, &bad[i], &turns), expected[i]);
    }
    assert_status(seat_turns(&same, (double)NAN, true, NULL, &turns), RESEAT_ERR_NOT_FINITE);
    assert_status(seat_turns(NULL, 0, true, NULL, &turns), RESEAT_ERR_ARGUMENT);
    assert_status(seat_turns(&same, 0, true, NULL, NULL), RESEAT_ERR_ARGUMENT);
    assert_int_equal(turns.count, 77);
}

static void keys_space_their_turns_evenly(void **state)
{
    const reseat_seat keys = {.kind = RESEAT_SEAT_KEYS, .keys = 3};
    const reseat_turns three = turns_of(keys, 20, true, NULL);
    assert_same_bits(seat_list_turn(&three, 0), 0.0);
    assert_same_bits(seat_list_turn(&three, 1), 120.0);
    assert_same_bits(seat_list_turn(&three, 2), -120.0);
    for (unsigned n = 1; n <= RESEAT_SEAT_KEYS_MAX; n++) {
        const reseat_turns turns = {.count = n};
        for (unsigned k = 0; k < n; k++) {
            const double turn = seat_list_turn(&turns, k);
            assert_near(remainder(turn * n - 360.0 * k, 360.0 * n), 0, 1e-10);
            if (360 * k % n == 0)
                assert_same_bits(turn, reseat_plane_turn(360 * k / n));
        }
    }
    const reseat_turns whole = turns_of(any_seat, 0, true, NULL);
    assert_true(isnan(seat_list_turn(&three, 3)));
    assert_true(isnan(seat_list_turn(&whole, 0)));
    assert_true(isnan(seat_list_turn(NULL, 0)));
}

static void tells_which_turns_are_possible(void **state)
{
    const reseat_turns one = turns_of(same, 0, true, NULL);
    assert_true(seat_has_turn(&one, 720));
    assert_true(seat_has_turn(&one, -0.9e-9));
    assert_false(seat_has_turn(&one, 1.1e-9));
    const reseat_turns two = turns_of(keys_2, 0, true, NULL);
    assert_true(seat_has_turn(&two, 180));
    assert_true(seat_has_turn(&two, -180));
    assert_true(seat_has_turn(&two, 0));
    assert_false(seat_has_turn(&two, 90));
    const reseat_turns about = turns_of(about_180, 0, true, NULL);
    assert_true(seat_has_turn(&about, 175));
    assert_true(seat_has_turn(&about, 175 - 0.9e-9));
    assert_true(seat_has_turn(&about, -175));
    assert_true(seat_has_turn(&about, -175 + 0.9e-9));
    assert_true(seat_has_turn(&about, 180));
    assert_false(seat_has_turn(&about, 174.9));
    assert_false(seat_has_turn(&about, -174.9));
    assert_false(seat_has_turn(&about, 0));
    const reseat_turns whole = turns_of(any_seat, 0, true, NULL);
    for (int turn = -360; turn <= 360; turn++)
        assert_true(seat_has_turn(&whole, turn));
    const reseat_turns seven = {.count = 7};
    for (unsigned k = 0; k < 7; k++)
        assert_true(seat_has_turn(&seven, 360.0 * k / 7));
    assert_false(seat_has_turn(&whole, (double)NAN));
    assert_false(seat_has_turn(&two, (double)INFINITY));
    assert_false(seat_has_turn(NULL, 0));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_seat_leaves_the_turns_of_the_handbook),
        cmocka_unit_test(without_the_run_s_seat_an_angle_is_unknown),
        cmocka_unit_test(turns_name_the_run_s_seat_only_if_it_is_known),
        cmocka_unit_test(refuses_seats_that_do_not_exist),
        cmocka_unit_test(keys_space_their_turns_evenly),
        cmocka_unit_test(tells_which_turns_are_possible),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
