/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <float.h>

#include "check.h"
#include "random.h"
#include "reseat/seat.h"
#include "maths/plane.h"

#define ROUNDS 200000

static double ulp(double value)
{
    return nextafter(fabs(value), (double)INFINITY) - fabs(value);
}

static void a_turn_lies_above_minus_180_and_up_to_180(void **state)
{
    assert_same_bits(reseat_plane_turn(0.0), 0.0);
    assert_same_bits(reseat_plane_turn(-0.0), 0.0);
    assert_same_bits(reseat_plane_turn(-360.0), 0.0);
    assert_same_bits(reseat_plane_turn(180.0), 180.0);
    assert_same_bits(reseat_plane_turn(-180.0), 180.0);
    assert_same_bits(reseat_plane_turn(540.0), 180.0);
    assert_same_bits(reseat_plane_turn(-540.0), 180.0);
    assert_same_bits(reseat_plane_turn(181.5), -178.5);
    assert_same_bits(reseat_plane_turn(nextafter(-180.0, 0.0)), nextafter(-180.0, 0.0));
    assert_same_bits(reseat_plane_turn(nextafter(180.0, 200.0)), nextafter(180.0, 200.0) - 360.0);
    assert_same_bits(reseat_plane_turn(0x1p1000), remainder(0x1p1000, 360.0));
    assert_true(isnan(reseat_plane_turn((double)NAN)));
    assert_true(isnan(reseat_plane_turn((double)INFINITY)));
}

static void a_seat_lies_from_0_to_below_360(void **state)
{
    assert_same_bits(plane_seat(-0.0), 0.0);
    assert_same_bits(plane_seat(360.0), 0.0);
    assert_same_bits(plane_seat(-360.0), 0.0);
    assert_same_bits(plane_seat(-90.0), 270.0);
    assert_same_bits(plane_seat(725.25), 5.25);
    assert_same_bits(plane_seat(-1e-300), 0.0);
    assert_same_bits(plane_seat(-1e-14), 0.0);
    assert_same_bits(plane_seat(-1e-13), 360.0 - 1e-13);
    assert_true(plane_seat(-4e-14) < 360.0);
    assert_same_bits(plane_seat(1e-300), 1e-300);
    assert_true(isnan(plane_seat((double)NAN)));
}

static void whole_turns_change_no_bit_of_a_whole_degree(void **state)
{
    for (int deg = -720; deg <= 720; deg++) {
        for (int k = -1000; k <= 1000; k += 125) {
            const double moved = deg + 360.0 * k;
            assert_same_bits(reseat_plane_turn(moved), reseat_plane_turn(deg));
            assert_same_bits(plane_seat(moved), plane_seat(deg));
            assert_same_bits(plane_turn_between(moved, 77),
                             plane_turn_between(deg, 77));
            assert_same_bits(plane_turn_between(77, moved),
                             plane_turn_between(77, deg));
        }
    }
}

static void turns_between_seats_take_the_short_way(void **state)
{
    assert_same_bits(plane_turn_between(30, 180), 150.0);
    assert_same_bits(plane_turn_between(350, 10), 20.0);
    assert_same_bits(plane_turn_between(10, 350), -20.0);
    assert_same_bits(plane_turn_between(0, 180), 180.0);
    assert_same_bits(plane_turn_between(180, 0), 180.0);
    assert_same_bits(plane_turn_between(33.3, 33.3), 0.0);
    assert_true(isnan(plane_turn_between((double)NAN, 1)));
    assert_true(isnan(plane_turn_between(1, (double)INFINITY)));
}

/* Against long double, whose 64 bits hold the difference of two reduced angles. */
static void a_turn_between_seats_rounds_once(void **state)
{
    if (LDBL_MANT_DIG < 64)
        skip();
    uint64_t seed = 20260302;
    for (int i = 0; i < ROUNDS; i++) {
        const double from = random_between(&seed, -180, 180);
        const double to = random_between(&seed, -180, 180);
        const long double exact = remainderl((long double)to - (long double)from, 360.0L);
        assert_near(plane_turn_between(from, to), (double)exact, ulp((double)exact) / 2);
    }
}

static void sines_are_exact_where_they_can_be(void **state)
{
    static const struct {
        double deg, sine, cosine;
    } exact[] = {
        {0, 0, 1},     {90, 1, 0},    {180, 0, -1},  {270, -1, 0},  {360, 0, 1},
        {-90, -1, 0},  {-180, 0, -1}, {-270, 1, 0},  {-0.0, 0, 1},  {1e17 * 90, 0, 1},
    };
    for (size_t i = 0; i < sizeof exact / sizeof *exact; i++) {
        double sine, cosine;
        plane_sincos(exact[i].deg, &sine, &cosine);
        assert_same_bits(sine, exact[i].sine);
        assert_same_bits(cosine, exact[i].cosine);
    }
    for (int deg = -720; deg <= 720; deg += 30) {
        double sine, cosine;
        plane_sincos(deg, &sine, &cosine);
        if (deg % 180 == 30 || deg % 180 == -150 || deg % 180 == 150 || deg % 180 == -30)
            assert_same_bits(fabs(sine), 0.5);
        if (deg % 180 == 60 || deg % 180 == -120 || deg % 180 == 120 || deg % 180 == -60)
            assert_same_bits(fabs(cosine), 0.5);
    }
}

static void sines_have_the_symmetries_of_the_circle(void **state)
{
    for (double deg = 0; deg <= 45; deg += 0.125) {
        double s, c, sine, cosine;
        plane_sincos(deg, &s, &c);
        plane_sincos(90 - deg, &sine, &cosine);
        assert_near(sine, c, 0);
        assert_near(cosine, s, 0);
        plane_sincos(180 - deg, &sine, &cosine);
        assert_near(sine, s, 0);
        assert_near(cosine, -c, 0);
        plane_sincos(-deg, &sine, &cosine);
        assert_near(sine, -s, 0);
        assert_near(cosine, c, 0);
    }
}

static void sines_are_within_2_ulp_of_long_double(void **state)
{
    if (LDBL_MANT_DIG < 64)
        skip();
    const long double rad_per_deg = 0.017453292519943295769236907684886127L;
    uint64_t seed = 20260303;
    double worst = 0;
    for (int i = 0; i < ROUNDS; i++) {
        const double reduced = random_between(&seed, -180, 180);
        const double deg = i % 2 ? reduced : ldexp(reduced, (int)(random_bits(&seed) % 300));
        double sine, cosine;
        plane_sincos(deg, &sine, &cosine);
        const double octant = remainder(deg, 90.0);
        const int odd = fabs(remainder(deg, 180.0)) > 45; /* sine and cosine swap */
        const long double s = sinl((long double)octant * rad_per_deg);
        const long double c = cosl((long double)octant * rad_per_deg);
        const double off_s = fabs((double)(fabsl(odd ? c : s) - fabsl((long double)sine)));
        const double off_c = fabs((double)(fabsl(odd ? s : c) - fabsl((long double)cosine)));
        worst = fmax(worst, fmax(off_s / ulp(sine), off_c / ulp(cosine)));
    }
    print_message("sine, cosine: worst %.3f ulp of %d angles, seed 20260303\n", worst, ROUNDS);
    assert_true(worst <= 2);
}

static void not_finite_in_is_nan_out(void **state)
{
    double sine = 0, cosine = 0;
    plane_sincos((double)NAN, &sine, &cosine);
    assert_true(isnan(sine) && isnan(cosine));
    plane_sincos(-(double)INFINITY, &sine, &cosine);
    assert_true(isnan(sine) && isnan(cosine));
    assert_true(isnan(reseat_plane_bearing((reseat_xy){(double)NAN, 0})));
    assert_true(isnan(reseat_plane_bearing((reseat_xy){0, (double)NAN})));
    assert_true(isnan(plane_rotate((reseat_xy){1, 1}, (double)NAN).x));
    assert_true(isnan(reseat_plane_length((reseat_xy){(double)NAN, 1})));
}

static void quarter_turns_of_a_vector_are_exact(void **state)
{
    const reseat_xy v = {0.0123, -0.0045};
    const reseat_xy quarter = plane_rotate(v, 90);
    assert_near(quarter.x, 0.0045, 0);
    assert_near(quarter.y, 0.0123, 0);
    const reseat_xy half = plane_rotate(v, -180);
    assert_near(half.x, -0.0123, 0);
    assert_near(half.y, 0.0045, 0);
    const reseat_xy whole = plane_rotate(v, 720);
    assert_same_bits(whole.x, v.x);
    assert_same_bits(whole.y, v.y);
    const reseat_xy unit = reseat_plane_unit(240);
    assert_same_bits(unit.x, -0.5);
    assert_near(unit.y, -sqrt(0.75), 2e-16);
}

static void bearings_are_exact_on_axes_and_diagonals(void **state)
{
    static const struct {
        double x, y, deg;
    } exact[] = {
        {0.0, 0.0, 0},    {-0.0, 0.0, 0},  {0.0, -0.0, 0},       {-0.0, -0.0, 0},
        {1, 0.0, 0},      {1, -0.0, 0},    {-1, 0.0, 180},       {-1, -0.0, 180},
        {0.0, 1, 90},     {-0.0, 1, 90},   {0.0, -1, -90},       {-0.0, -1, -90},
        {3, 3, 45},       {-3, 3, 135},    {-3, -3, -135},       {3, -3, -45},
        {-1, -1e-300, 180}, {-1e308, -5e-324, 180}, {5e-324, 0.0, 0}, {5e-324, 1e308, 90},
    };
    for (size_t i = 0; i < sizeof exact / sizeof *exact; i++)
        assert_same_bits(reseat_plane_bearing((reseat_xy){exact[i].x, exact[i].y}), exact[i].deg);
    assert_near(reseat_plane_bearing((reseat_xy){1, -1e-300}), -5.729577951308232e-299, 2e-314);
}

static void bearing_and_length_undo_the_unit_vector(void **state)
{
    for (int tenth = -1799; tenth <= 1800; tenth++) {
        const reseat_xy unit = reseat_plane_unit(tenth / 10.0);
        /* one ulp of a coordinate is 6e-15 degrees */
        assert_near(reseat_plane_bearing(unit), tenth / 10.0, 5e-14);
        assert_near(reseat_plane_length(unit), 1, 3e-16);
    }
    assert_same_bits(reseat_plane_length((reseat_xy){0x3p900, -0x4p900}), 0x5p900);
    assert_same_bits(reseat_plane_length((reseat_xy){0x3p-900, 0x4p-900}), 0x5p-900);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_turn_lies_above_minus_180_and_up_to_180),
        cmocka_unit_test(a_seat_lies_from_0_to_below_360),
        cmocka_unit_test(whole_turns_change_no_bit_of_a_whole_degree),
        cmocka_unit_test(turns_between_seats_take_the_short_way),
        cmocka_unit_test(a_turn_between_seats_rounds_once),
        cmocka_unit_test(sines_are_exact_where_they_can_be),
        cmocka_unit_test(sines_have_the_symmetries_of_the_circle),
        cmocka_unit_test(sines_are_within_2_ulp_of_long_double),
        cmocka_unit_test(not_finite_in_is_nan_out),
        cmocka_unit_test(quarter_turns_of_a_vector_are_exact),
        cmocka_unit_test(bearings_are_exact_on_axes_and_diagonals),
        cmocka_unit_test(bearing_and_length_undo_the_unit_vector),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
