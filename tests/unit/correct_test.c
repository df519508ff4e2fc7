/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "check.h"
#include "random.h"
#include "reseat/rescue.h"
#include "model/seat.h"
#include "model/radius.h"
#include "model/estimate.h"

static reseat_estimate plain(double x, double y)
{
    return (reseat_estimate){.offset_mm = {x, y},
                             .in_use_mm = {x, y},
                             .terms = terms_assumed(),
                             .out = true};
}

static reseat_turns one_turn(double turn_deg)
{
    return (reseat_turns){.count = 1, .first_deg = turn_deg, .run_known = true, .out = true};
}

static reseat_correction at(const reseat_estimate *estimate, double turn_deg, reseat_datum datum)
{
    reseat_correction correction;
    const reseat_turns turns = one_turn(turn_deg);
    assert_status(reseat_correct_at(estimate, &turns, datum, &correction), RESEAT_OK);
    return correction;
}

static void reads_a_datum(void **state)
{
    reseat_datum datum = RESEAT_DATUM_SAME;
    reseat_error error = {0};
    assert_status(reseat_datum_parse("machine", 7, &datum, NULL), RESEAT_OK);
    assert_int_equal(datum, RESEAT_DATUM_MACHINE);
    assert_status(reseat_datum_parse("before", 6, &datum, NULL), RESEAT_OK);
    assert_int_equal(datum, RESEAT_DATUM_BEFORE);
    assert_status(reseat_datum_parse("same", 4, &datum, NULL), RESEAT_OK);
    assert_int_equal(datum, RESEAT_DATUM_SAME);
    assert_status(reseat_datum_parse("part", 4, &datum, &error), RESEAT_ERR_SYNTAX);
    assert_string_equal(error.text, "expected machine, before or same, read \"part\"");
    assert_int_equal(error.column, 1);
    assert_int_equal(datum, RESEAT_DATUM_SAME);
    assert_status(reseat_datum_parse(NULL, 0, &datum, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_datum_parse("same", 4, NULL, NULL), RESEAT_ERR_ARGUMENT);
}

/* What a turned probe reports of true points and surfaces comes out true. */
static void corrected_values_are_true(void **state)
{
    uint64_t random = 8;
    double dirs[24], radii[24], worst = 0;
    reseat_radius_curve curve;
    for (int k = 0; k < 24; k++) {
        dirs[k] = 15 * k;
        radii[k] = 2.99 + 0.001 * sin(3 * k);
    }
    assert_status(reseat_radius_fit(dirs, radii, 24, &curve), RESEAT_OK);
    for (int i = 0; i < 1000; i++) {
        reseat_estimate e = plain(random_between(&random, -0.05, 0.05),
                                  random_between(&random, -0.05, 0.05));
        e.spindle_mm = (reseat_xy){0.003, 0.001};
        e.curve = &curve;
        const double turn = random_between(&random, -180, 180);
        const double dir = random_between(&random, 0, 360);
        const reseat_xy real = {random_between(&random, -1500, 1500),
                                random_between(&random, -1500, 1500)};
        const reseat_correction c = at(&e, turn, RESEAT_DATUM_MACHINE);
        reseat_xy error;
        assert_status(seat_error_by_turn(e.offset_mm, e.in_use_mm, e.spindle_mm, turn,
                                         &error), RESEAT_OK);
        reseat_corrected point, surface;
        const reseat_xy reported = {real.x + error.x, real.y + error.y};
        assert_status(reseat_correct_point(&c, reported, &point), RESEAT_OK);
        worst = fmax(worst, hypot(point.at_mm.x - real.x, point.at_mm.y - real.y));

        const reseat_xy u = reseat_plane_unit(dir);
        const double along = error.x * u.x + error.y * u.y + reseat_radius_at(&curve, dir) -
                             reseat_radius_at(&curve, dir - turn);
        const reseat_xy wall = {real.x + along * u.x, real.y + along * u.y};
        assert_status(reseat_correct_surface(&c, wall, dir, &surface), RESEAT_OK);
        worst = fmax(worst, hypot(surface.at_mm.x - real.x, surface.at_mm.y - real.y));
    }
    print_message("1000 points and surfaces within 1.5 m, worst off by %.2g mm\n", worst);
    assert_true(worst <= 1e-12);
}

/* The truth scattered as the estimate says: 95 % lie within 1.96 u of the corrected value. */
static void uncertainty_covers(void **state)
{
    uint64_t random = 17;
    reseat_estimate e = plain(0.02, -0.01);
    e.terms.u_turn_deg = 6;
    e.terms.lobing_mm = 0.006;
    const reseat_correction c = at(&e, 130, RESEAT_DATUM_BEFORE);
    const double xx = c.covariance_mm2.xx, xy = c.covariance_mm2.xy, yy = c.covariance_mm2.yy;
    assert_true(fabs(xy) > 0.05 * xx);
    const int count = 40000;
    int along_u = 0, surfaces = 0;
    for (int i = 0; i < count; i++) {
        /* by Cholesky's factor */
        const double r = sqrt(-2 * log(random_between(&random, 1e-300, 1)));
        const double angle = random_between(&random, 0, 2 * 3.14159265358979323846);
        const double p = r * cos(angle), q = r * sin(angle);
        const reseat_xy drawn = {c.error_mm.x + sqrt(xx) * p,
                                 c.error_mm.y + xy / sqrt(xx) * p + sqrt(yy - xy * xy / xx) * q};
        const double dir = random_between(&random, 0, 360);
        const reseat_xy u = reseat_plane_unit(dir);
        /* hidden lobes come as the sine of any phase, up to their bound */
        const double lobe = c.hidden_mm * sin(random_between(&random, 0, 6.283185307179586));
        const double along = drawn.x * u.x + drawn.y * u.y;
        reseat_corrected point, surface;
        assert_status(reseat_correct_point(&c, drawn, &point), RESEAT_OK);
        along_u += fabs(point.at_mm.x * u.x + point.at_mm.y * u.y) <= 1.96 * point.u_mm;
        assert_status(reseat_correct_surface(&c, (reseat_xy){(along + lobe) * u.x,
                                                             (along + lobe) * u.y}, dir, &surface),
                      RESEAT_OK);
        surfaces += hypot(surface.at_mm.x, surface.at_mm.y) <= 1.96 * surface.u_mm;
    }
    print_message("of %d: points %.2f %%, surfaces %.2f %%\n", count, 100.0 * along_u / count,
                  100.0 * surfaces / count);
    assert_true(along_u >= 0.945 * count && surfaces >= 0.945 * count);
    assert_true(along_u <= 0.99 * count && surfaces <= 0.99 * count);
}

static void a_gauge_check_is_taken_off_as_measured(void **state)
{
    reseat_estimate e = plain(0.02, -0.01);
    e.verified = true;
    e.shift_mm = (reseat_xy){0.013, 0.004};
    e.shift_u_mm = 0.0008;
    e.terms.u_run_mm = 0.0006;
    e.terms.u_drift_mm = 0;
    const reseat_correction c = at(&e, 90, RESEAT_DATUM_MACHINE);
    assert_near(c.error_mm.x, 0.013, 0);
    assert_near(c.error_mm.y, 0.004, 0);
    assert_near(c.u_mm, 0.001, 1e-18);
    assert_near(c.covariance_mm2.xx, 1e-6, 1e-20);
    assert_near(c.covariance_mm2.yy, 1e-6, 1e-20);
    e.shift_drift_mm = 0.0007;
    assert_near(at(&e, 90, RESEAT_DATUM_MACHINE).u_mm, sqrt(1e-6 + 0.49e-6), 1e-18);
}

static void a_seat_just_found_is_corrected_by_its_own_shift(void **state)
{
    reseat_estimate e = plain(0.02, -0.01);
    e.terms.u_drift_mm = 0.0005;
    const reseat_turns any = {.range = true, .width_deg = 360, .run_known = true};
    static reseat_found found;
    reseat_correction c;
    const reseat_xy shift = {0.031, 0.009};
    assert_status(reseat_find_seat(&e, &any, shift, 0.0015, &found), RESEAT_OK);
    assert_true(found.settled);
    assert_status(reseat_correct_found(&e, &found, RESEAT_DATUM_BEFORE, &c), RESEAT_OK);
    assert_near(c.turn_deg, found.turn_deg, 1e-13);
    assert_near(c.error_mm.x, 0.031, 1e-17);
    assert_near(c.error_mm.y, 0.009, 1e-17);
    assert_near(c.u_mm, sqrt(0.0015 * 0.0015 + 0.001 * 0.001), 1e-18);
    found.anew = true; /* the run's own error is no part of it */
    assert_status(reseat_correct_found(&e, &found, RESEAT_DATUM_BEFORE, &c), RESEAT_OK);
    assert_near(c.u_mm, 0.0015, 1e-18);
    found.settled = false; /* the error is measured whether a seat explains it or not */
    assert_status(reseat_correct_found(&e, &found, RESEAT_DATUM_BEFORE, &c), RESEAT_OK);
    assert_false(c.turn_known);
    assert_near(c.error_mm.x, 0.031, 1e-17);
    found.possible = one_turn(90); /* then the turn is what it was before */
    assert_status(reseat_correct_found(&e, &found, RESEAT_DATUM_BEFORE, &c), RESEAT_OK);
    assert_true(c.turn_known);
    assert_near(c.turn_deg, 90, 0);
    found.unturned = true;
    const reseat_correction before = c;
    assert_status(reseat_correct_found(&e, &found, RESEAT_DATUM_BEFORE, &c), RESEAT_ERR_RANGE);
    assert_status(reseat_correct_found(NULL, &found, RESEAT_DATUM_SAME, &c), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_correct_found(&e, NULL, RESEAT_DATUM_SAME, &c), RESEAT_ERR_ARGUMENT);
    assert_memory_equal(&c, &before, sizeof c);
}

static void nothing_is_off_in_the_same_seat(void **state)
{
    const reseat_estimate e = plain(0.02, -0.01);
    const reseat_correction same = at(&e, 90, RESEAT_DATUM_SAME);
    const reseat_correction still = at(&e, 0, RESEAT_DATUM_MACHINE);
    reseat_corrected result;
    assert_status(reseat_correct_surface(&same, (reseat_xy){1.25, 2.5}, 30, &result), RESEAT_OK);
    assert_same_bits(result.at_mm.x, 1.25);
    assert_same_bits(result.at_mm.y, 2.5);
    assert_near(result.u_mm, 0, 0);
    assert_status(reseat_correct_point(&still, (reseat_xy){1.25, 2.5}, &result), RESEAT_OK);
    assert_same_bits(result.at_mm.x, 1.25);
    assert_true(result.u_mm > 0.003); /* two seatings all the same */
}

static void a_set_of_seats_corrects_nothing(void **state)
{
    const reseat_estimate e = plain(0.02, -0.01);
    reseat_correction c, before;
    memset(&c, 0x33, sizeof c);
    before = c;
    reseat_turns turns = {.count = 2, .out = true};
    assert_status(reseat_correct_at(&e, &turns, RESEAT_DATUM_MACHINE, &c), RESEAT_ERR_RANGE);
    turns = (reseat_turns){.range = true, .width_deg = 360};
    assert_status(reseat_correct_at(&e, &turns, RESEAT_DATUM_MACHINE, &c), RESEAT_ERR_RANGE);
    turns = (reseat_turns){.range = true, .width_deg = 1e-3};
    assert_status(reseat_correct_at(&e, &turns, RESEAT_DATUM_SAME, &c), RESEAT_ERR_RANGE);
    turns = (reseat_turns){.count = 0};
    assert_status(reseat_correct_at(&e, &turns, RESEAT_DATUM_MACHINE, &c), RESEAT_ERR_RANGE);
    turns = one_turn((double)NAN);
    assert_status(reseat_correct_at(&e, &turns, RESEAT_DATUM_MACHINE, &c), RESEAT_ERR_NOT_FINITE);
    turns = one_turn(3);
    assert_status(reseat_correct_at(&e, &turns, (reseat_datum)7, &c), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_correct_at(NULL, &turns, RESEAT_DATUM_SAME, &c), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_correct_at(&e, NULL, RESEAT_DATUM_SAME, &c), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_correct_at(&e, &turns, RESEAT_DATUM_SAME, NULL), RESEAT_ERR_ARGUMENT);
    reseat_estimate bad = e;
    bad.terms.u_run_mm = -1;
    assert_status(reseat_correct_at(&bad, &turns, RESEAT_DATUM_SAME, &c), RESEAT_ERR_RANGE);
    assert_memory_equal(&c, &before, sizeof c);
    turns = (reseat_turns){.range = true, .first_deg = 12};
    assert_status(reseat_correct_at(&e, &turns, RESEAT_DATUM_MACHINE, &c), RESEAT_OK);
    assert_near(c.turn_deg, 12, 0);
}

static reseat_radius_curve three_lobes(double amplitude_mm)
{
    return (reseat_radius_curve){.mean_mm = 3, .cosine_mm = {0, 0, 0, amplitude_mm}, .order = 5,
                                 .directions = 24, .spread_mm = 2 * amplitude_mm};
}

static reseat_estimate measured(void)
{
    reseat_estimate e = plain(0.02, -0.01);
    e.verified = true;
    e.shift_mm = (reseat_xy){0.013, 0.004};
    e.shift_u_mm = 0.0008;
    e.terms.u_run_mm = 0.0006;
    return e;
}

static void a_measured_error_holds_at_whatever_seat(void **state)
{
    reseat_estimate e = measured();
    const reseat_radius_curve curve = three_lobes(0.001), round = {.mean_mm = 3};
    const reseat_turns sets[] = {{.count = 2, .out = true},
                                 {.range = true, .width_deg = 360, .out = true}};
    const reseat_xy at_mm = {1, 2};
    for (size_t i = 0; i < 2; i++) {
        reseat_correction c;
        reseat_corrected result = {.u_mm = 7};
        e.curve = &round;
        assert_status(reseat_correct_at(&e, &sets[i], RESEAT_DATUM_MACHINE, &c), RESEAT_OK);
        assert_false(c.turn_known);
        assert_near(c.error_mm.x, 0.013, 0);
        assert_near(c.u_mm, 0.001, 1e-18);
        assert_near(c.hidden_mm, e.terms.lobing_mm, 1e-18);
        assert_status(reseat_correct_surface(&c, at_mm, 0, &result), RESEAT_OK);
        assert_near(result.at_mm.x, 0.987, 1e-15);
        assert_near(result.u_mm, hypot(0.001, e.terms.lobing_mm / sqrt(2.0)), 1e-18);

        e.curve = &curve;
        assert_status(reseat_correct_at(&e, &sets[i], RESEAT_DATUM_MACHINE, &c), RESEAT_OK);
        const reseat_corrected before = result;
        assert_status(reseat_correct_surface(&c, at_mm, 0, &result), RESEAT_ERR_RANGE);
        assert_memory_equal(&result, &before, sizeof result);
        assert_status(reseat_correct_point(&c, at_mm, &result), RESEAT_OK);
        assert_near(result.at_mm.y, 1.996, 1e-15);
        assert_near(result.u_mm, 0.001, 1e-18);
        /* datum and features alike: nothing is changed */
        assert_status(reseat_correct_at(&e, &sets[i], RESEAT_DATUM_SAME, &c), RESEAT_OK);
        assert_status(reseat_correct_surface(&c, at_mm, 0, &result), RESEAT_OK);
        assert_same_bits(result.at_mm.x, 1);
    }
}

static void an_interval_is_corrected_at_its_middle_and_leaves_lobes(void **state)
{
    reseat_estimate e = measured();
    const reseat_radius_curve curve = three_lobes(0.001);
    reseat_correction c;
    for (double within = 1; within <= 179; within++) {
        const reseat_turns turns = {.range = true, .first_deg = 100 - within,
                                    .width_deg = 2 * within, .out = true};
        double most = 0;
        e.curve = &curve;
        assert_status(reseat_correct_at(&e, &turns, RESEAT_DATUM_MACHINE, &c), RESEAT_OK);
        assert_true(c.turn_known);
        assert_near(c.turn_deg, 100, 1e-12);
        assert_near(c.u_mm, 0.001, 1e-18);
        for (double dir = 0; dir < 360; dir += 5)
            for (double off = -within; off <= within; off++)
                most = fmax(most, fabs(radius_change(&curve, dir, 100) -
                                       radius_change(&curve, dir, 100 + off)));
        assert_true(most <= c.hidden_mm * (1 + 1e-12) && most >= 0.98 * c.hidden_mm);
    }
    /* lobes that are not on record count to the far end of the interval, its middle being 0 */
    const reseat_turns about = {.range = true, .first_deg = -7, .width_deg = 14, .out = true};
    e.curve = NULL;
    assert_status(reseat_correct_at(&e, &about, RESEAT_DATUM_MACHINE, &c), RESEAT_OK);
    reseat_effect effect;
    assert_status(reseat_estimate_effect(&e, 7, &effect), RESEAT_OK);
    assert_true(effect.hidden_mm > 0);
    assert_near(c.hidden_mm, effect.hidden_mm, 1e-18);
    /* not measured: no correction, as before */
    e.verified = false;
    assert_status(reseat_correct_at(&e, &about, RESEAT_DATUM_MACHINE, &c), RESEAT_ERR_RANGE);
    e.verified = true;
    const reseat_turns wrong = {.range = true, .width_deg = -1};
    assert_status(reseat_correct_at(&e, &wrong, RESEAT_DATUM_MACHINE, &c), RESEAT_ERR_RANGE);
    const reseat_turns none = {.count = 0};
    assert_status(reseat_correct_at(&e, &none, RESEAT_DATUM_MACHINE, &c), RESEAT_ERR_RANGE);

    reseat_radius_curve huge = curve;
    const reseat_turns wide = {.range = true, .width_deg = 90, .out = true};
    huge.cosine_mm[3] = huge.sine_mm[3] = 1.7e308;
    e.curve = &huge;
    assert_status(reseat_correct_at(&e, &wide, RESEAT_DATUM_MACHINE, &c), RESEAT_ERR_NOT_FINITE);
}

static void a_file_says_which_surface_needs_the_seat(void **state)
{
    static const char text[] = "kind,x_mm,y_mm,dir_deg\npoint,1,2,\nsurface,1,2,30\n";
    reseat_estimate e = measured();
    const reseat_radius_curve curve = three_lobes(0.001);
    const reseat_turns turns = {.count = 2, .out = true};
    reseat_correction c;
    reseat_correct_summary summary = {.rows = 9};
    reseat_error error = {0};
    e.curve = &curve;
    assert_status(reseat_correct_at(&e, &turns, RESEAT_DATUM_MACHINE, &c), RESEAT_OK);
    assert_status(reseat_correct_csv(&c, text, sizeof text - 1, NULL, 0, &summary, &error),
                  RESEAT_ERR_RANGE);
    assert_int_equal(error.line, 3);
    assert_int_equal(error.column, 1);
    assert_string_equal(error.text, "the ball has lobes, so that a surface needs one seat to be "
                                    "known, not several");
    assert_int_equal(summary.rows, 9);
}

static void a_result_that_is_not_finite_is_refused_untouched(void **state)
{
    const reseat_estimate e = plain(0.02, -0.01);
    const reseat_correction c = at(&e, 90, RESEAT_DATUM_MACHINE);
    reseat_corrected result, before;
    memset(&result, 0x33, sizeof result);
    before = result;
    const reseat_xy good = {1, 2}, bad = {(double)NAN, 0};
    assert_status(reseat_correct_point(&c, bad, &result), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_correct_surface(&c, bad, 0, &result), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_correct_surface(&c, good, (double)INFINITY, &result),
                  RESEAT_ERR_NOT_FINITE);
    reseat_correction unknown = c;
    unknown.covariance_mm2.xx = (double)NAN;
    assert_status(reseat_correct_surface(&unknown, good, 0, &result), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_correct_point(NULL, good, &result), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_correct_point(&c, good, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_correct_surface(NULL, good, 0, &result), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_correct_surface(&c, good, 0, NULL), RESEAT_ERR_ARGUMENT);
    assert_memory_equal(&result, &before, sizeof result);
}

/* Error (0.25, -0.5), u 0.125: exact as they are added up and written. */
static reseat_correction exact(reseat_datum datum)
{
    reseat_estimate e = {.verified = true, .shift_mm = {0.25, -0.5}, .shift_u_mm = 0.125};
    return at(&e, 90, datum);
}

/* Rounding can take a variance along a surface a little below 0. */
static void a_variance_below_zero_is_none(void **state)
{
    reseat_correction c = exact(RESEAT_DATUM_MACHINE);
    reseat_corrected surface;
    c.covariance_mm2 = (reseat_cov){-1e-30, 0, 1e-6};
    assert_status(reseat_correct_surface(&c, (reseat_xy){1, 2}, 0, &surface), RESEAT_OK);
    assert_same_bits(surface.u_mm, 0.0);
}

static void becomes(const char *text, const char *expected, size_t rows, size_t passed)
{
    char out[2048];
    reseat_correct_summary summary;
    reseat_error error = {0};
    const reseat_correction c = exact(RESEAT_DATUM_MACHINE);
    const reseat_status status =
        reseat_correct_csv(&c, text, strlen(text), out, sizeof out, &summary, &error);
    if (status != RESEAT_OK)
        print_error("%s\n", error.text);
    assert_status(status, RESEAT_OK);
    assert_string_equal(out, expected);
    assert_int_equal(summary.rows, rows);
    assert_int_equal(summary.passed, passed);
    assert_int_equal(summary.length, strlen(expected));

    /* its length is the same without any room, and what does not fit still ends in NUL */
    reseat_correct_summary counted;
    assert_status(reseat_correct_csv(&c, text, strlen(text), NULL, 0, &counted, NULL), RESEAT_OK);
    assert_memory_equal(&counted, &summary, sizeof counted);
    assert_status(reseat_correct_csv(&c, text, strlen(text), out, 8, &counted, NULL), RESEAT_OK);
    assert_int_equal(strlen(out), 7);
    assert_memory_equal(out, expected, 7);
    assert_int_equal(counted.length, summary.length);

    /* nothing is changed where datum and features were probed in the same seat */
    const reseat_correction same = exact(RESEAT_DATUM_SAME);
    assert_status(reseat_correct_csv(&same, text, strlen(text), out, sizeof out, &summary, NULL),
                  RESEAT_OK);
    assert_string_equal(out, text);
    assert_int_equal(summary.rows, rows);
}

#define APPENDED ",corrected_x_mm,corrected_y_mm,u_mm"

static void appends_three_columns(void **state)
{
    becomes("name,kind,x_mm,y_mm,dir_deg\nH1,point,10,20,\nS1,surface,10,20,0\n",
            "name,kind,x_mm,y_mm,dir_deg" APPENDED "\nH1,point,10,20,,9.75,20.5,0.125\n"
            "S1,surface,10,20,0,9.75,20,0.125\n", 2, 0);
    becomes("y_mm,x_mm,kind\n20,10,point",
            "y_mm,x_mm,kind" APPENDED "\n20,10,point,9.75,20.5,0.125", 1, 0);
}

static void passes_every_byte_that_was_there(void **state)
{
    becomes("\xEF\xBB\xBFkind,x_mm,y_mm\r\npoint,10,20\r\n",
            "\xEF\xBB\xBFkind,x_mm,y_mm" APPENDED "\r\npoint,10,20,9.75,20.5,0.125\r\n", 1, 0);
    becomes("\n \r\n\"kind\" ,\t\"x_mm\", y_mm ,\"remark, \"\"new\"\"\"\n"
            " point,\"10\" ,2e1,\"two\nlines, with \"\"quotes\"\"\" \n\n",
            "\n \r\n\"kind\" ,\t\"x_mm\", y_mm ,\"remark, \"\"new\"\"\"" APPENDED "\n"
            " point,\"10\" ,2e1,\"two\nlines, with \"\"quotes\"\"\" ,9.75,20.5,0.125\n\n", 1, 0);
    becomes("kind,x_mm,y_mm\nBore,1,2\nangle,x\n,,,,,\npoint,10,20\nlength\n",
            "kind,x_mm,y_mm" APPENDED "\nBore,1,2\nangle,x\n,,,,,\npoint,10,20,9.75,20.5,0.125\n"
            "length\n", 1, 3);
    becomes("a,kind,x_mm,y_mm\nshort\n\xff\xfe,point,10,20\n",
            "a,kind,x_mm,y_mm" APPENDED "\nshort\n\xff\xfe,point,10,20,9.75,20.5,0.125\n", 1, 1);
}

/* Names in any case, and lengths in what their columns say; what is appended is in that too. */
static void takes_the_columns_of_a_spreadsheet(void **state)
{
    becomes("KIND,X_mm,Y_MM,Dir_Deg\nPoint,10,20\nSURFACE,10,20,0\n",
            "KIND,X_mm,Y_MM,Dir_Deg" APPENDED "\nPoint,10,20,,9.75,20.5,0.125\n"
            "SURFACE,10,20,0,9.75,20,0.125\n", 2, 0);
    becomes("kind,x_um,y_um\npoint,10000,20000\n",
            "kind,x_um,y_um,corrected_x_um,corrected_y_um,u_um\n"
            "point,10000,20000,9750,20500,125\n", 1, 0);
    becomes("kind,x_in,y_in,u_mm\npoint,1,-1,7\n",
            "kind,x_in,y_in,u_mm,corrected_x_in,corrected_y_in,u_in\n"
            "point,1,-1,7,0.9901574803149606,-0.9803149606299213,0.004921259842519685\n", 1, 0);
}

/* Lines of rows that are as they were; of more than there is room for the first. */
static void says_on_which_lines_rows_are_left(void **state)
{
    const char *const text = "kind,x_mm,y_mm\nbore,1,2\n\"angle\n\",3\nBORE\npoint,1,2\n\n,,\n"
                             "plane\n";
    static const size_t lines[][2] = {{2, 3}, {5, 5}, {9, 9}};
    reseat_correct_summary summary;
    char out[2048];
    const reseat_correction c = exact(RESEAT_DATUM_MACHINE);
    assert_status(reseat_correct_csv(&c, text, strlen(text), out, sizeof out, &summary, NULL),
                  RESEAT_OK);
    assert_int_equal(summary.passed, 4);
    assert_int_equal(summary.passed_ranges, 3);
    for (size_t i = 0; i < 3; i++) {
        assert_int_equal(summary.passed_lines[i].first, lines[i][0]);
        assert_int_equal(summary.passed_lines[i].last, lines[i][1]);
    }
    size_t used = (size_t)snprintf(out, sizeof out, "kind,x_mm,y_mm\n");
    for (int i = 0; i < 50; i++)
        used += (size_t)snprintf(out + used, sizeof out - used, "point,1,2\nbore\n");
    assert_status(reseat_correct_csv(&c, out, used, NULL, 0, &summary, NULL), RESEAT_OK);
    assert_int_equal(summary.passed, 50);
    assert_int_equal(summary.passed_ranges, 50);
    for (size_t i = 0; i < RESEAT_CORRECT_RANGES; i++)
        assert_int_equal(summary.passed_lines[i].last, 3 + 2 * i);
}

/* The commonest slip: the probe was calibrated anew before the results are put right. */
static void results_that_were_right_are_not_stamped(void **state)
{
    const char *const text = "kind,x_mm,y_mm\npoint,1,2\n";
    double dirs[12], radii[12];
    reseat_radius_curve curve;
    reseat_estimate e = plain(0.02, -0.01);
    reseat_correct_summary summary = {.rows = 7};
    reseat_error error;
    reseat_correction c = at(&e, 0, RESEAT_DATUM_MACHINE);
    assert_status(reseat_correct_csv(&c, text, strlen(text), NULL, 0, &summary, &error),
                  RESEAT_ERR_REFUSED);
    assert_int_equal(summary.rows, 7);
    c = at(&e, 0, RESEAT_DATUM_SAME); /* which says that nothing is changed */
    assert_status(reseat_correct_csv(&c, text, strlen(text), NULL, 0, &summary, NULL), RESEAT_OK);
    e.in_use_mm.x += 1e-9;
    c = at(&e, 0, RESEAT_DATUM_MACHINE);
    assert_status(reseat_correct_csv(&c, text, strlen(text), NULL, 0, &summary, NULL), RESEAT_OK);
    for (int k = 0; k < 12; k++) {
        dirs[k] = 30 * k;
        radii[k] = 2.99 + 0.001 * sin(k);
    }
    assert_status(reseat_radius_fit(dirs, radii, 12, &curve), RESEAT_OK);
    e = plain(0, 0); /* nothing but its lobes is turned */
    e.curve = &curve;
    c = at(&e, 90, RESEAT_DATUM_MACHINE);
    assert_status(reseat_correct_csv(&c, text, strlen(text), NULL, 0, &summary, NULL), RESEAT_OK);
    c = at(&e, 0, RESEAT_DATUM_MACHINE);
    assert_status(reseat_correct_csv(&c, text, strlen(text), NULL, 0, &summary, NULL),
                  RESEAT_ERR_REFUSED);
}

static void lines_up_rows_that_leave_out_their_last_fields(void **state)
{
    becomes("kind,x_mm,y_mm,dir_deg,note\npoint,10,20\n",
            "kind,x_mm,y_mm,dir_deg,note" APPENDED "\npoint,10,20,,,9.75,20.5,0.125\n", 1, 0);
}

static void refused(const char *text, reseat_status status, size_t line, size_t column,
                    const char *key, const char *says)
{
    char out[512];
    reseat_correct_summary summary, before;
    reseat_error error = {0};
    memset(&summary, 0x33, sizeof summary);
    before = summary;
    const reseat_correction c = exact(RESEAT_DATUM_MACHINE);
    assert_status(reseat_correct_csv(&c, text, strlen(text), out, sizeof out, &summary, &error),
                  status);
    assert_string_equal(error.text, says);
    assert_string_equal(error.key, key);
    assert_int_equal(error.line, line);
    assert_int_equal(error.column, column);
    assert_memory_equal(&summary, &before, sizeof summary);
    const reseat_correction same = exact(RESEAT_DATUM_SAME);
    assert_status(reseat_correct_csv(&same, text, strlen(text), out, sizeof out, &summary, NULL),
                  status);
}

static void names_what_is_wrong(void **state)
{
    refused("", RESEAT_ERR_SYNTAX, 1, 1, "",
            "expected a header with some of kind, x_mm, y_mm, dir_deg; read nothing");
    refused("kind,x_mm,y_mm\nlength,1,2\n", RESEAT_ERR_TOO_FEW, 0, 0, "",
            "no row of kind point or surface");
    refused("kind,x_mm\npoint,1\n", RESEAT_ERR_SYNTAX, 1, 10, "y_mm",
            "the header has no column y_mm");
    refused("x_mm,y_mm,type\n1,2,point\n", RESEAT_ERR_SYNTAX, 1, 15, "kind",
            "the header has no column kind");
    refused("kind,x_mm,y_mm,x_mm\npoint,1,2,3\n", RESEAT_ERR_SYNTAX, 1, 16, "x_mm",
            "this column is there twice");
    refused("kind,x_mm,y_mm,u_mm\npoint,1,2,3\n", RESEAT_ERR_SYNTAX, 1, 16, "u_mm",
            "this column is there already: corrected before?");
    refused("corrected_x_mm,kind,x_mm,y_mm\n3,point,1,2\n", RESEAT_ERR_SYNTAX, 1, 1,
            "corrected_x_mm", "this column is there already: corrected before?");
    refused("kind,x_mm,y_mm\npoint,\"3,14\",2\n", RESEAT_ERR_SYNTAX, 2, 9, "x_mm",
            "expected a number, read \"3,14\" (use a point)");
    refused("kind,x_mm,y_mm\npoint,1\n", RESEAT_ERR_SYNTAX, 2, 8, "y_mm",
            "expected a number, read nothing");
    refused("kind,x_mm,y_mm\nsurface,1,2\n", RESEAT_ERR_SYNTAX, 2, 12, "dir_deg",
            "expected a number, read nothing");
    refused("kind,x_mm,y_mm,dir_deg\npoint,1,2,\nsurface,1,2,\n", RESEAT_ERR_SYNTAX, 3, 13,
            "dir_deg", "expected a number, read nothing");
    refused("kind,x_mm,y_mm\npoint,1,2,3\n", RESEAT_ERR_SYNTAX, 2, 11, "",
            "expected 3 fields as in the header, read 4; is a comma in a number or name?");
    refused("kind,x_mm,y_mm\npoint,1e999,2\n", RESEAT_ERR_NOT_FINITE, 2, 7, "x_mm",
            "expected a finite number, read \"1e999\"");
    refused("kind,x_mm,y_mm\npoint,1,2\n\"", RESEAT_ERR_SYNTAX, 3, 1, "",
            "this quote is never closed");
}

static void refuses_null(void **state)
{
    char out[64];
    reseat_correct_summary summary;
    const reseat_correction c = exact(RESEAT_DATUM_MACHINE);
    assert_status(reseat_correct_csv(NULL, "", 0, out, 64, &summary, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_correct_csv(&c, NULL, 1, out, 64, &summary, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_correct_csv(&c, "", 0, NULL, 64, &summary, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_correct_csv(&c, "", 0, NULL, 1, &summary, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_correct_csv(&c, "", 0, out, 64, NULL, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_correct_csv(&c, NULL, 0, NULL, 0, &summary, NULL), RESEAT_ERR_SYNTAX);
}

/* What the fit of the lobes left scatters a surface once they have been turned, and the more so. */
static void the_rest_of_the_lobes_counts_as_far_as_they_are_turned(void **state)
{
    const reseat_radius_curve curve = {.mean_mm = 3, .residual_mm = 0.002, .order = 5,
                                       .directions = 12};
    reseat_estimate e = plain(0, 0);
    e.terms = (reseat_terms){.u_run_mm = 0.0015};
    e.curve = &curve;
    static const double turns_deg[] = {0, 0.25, -0.25, 90, -90};
    for (size_t i = 0; i < 5; i++) {
        const reseat_correction c = at(&e, turns_deg[i], RESEAT_DATUM_BEFORE);
        reseat_corrected surface;
        assert_status(reseat_correct_surface(&c, (reseat_xy){1, 2}, 30, &surface), RESEAT_OK);
        const double turned_deg = fmin(1.5 * fabs(turns_deg[i]), 90);
        const double rest = sqrt(2.0) * 0.002 * sin(turned_deg * acos(-1) / 180);
        assert_near(surface.u_mm, hypot(0.0015, rest), 1e-17);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_a_datum),
        cmocka_unit_test(corrected_values_are_true),
        cmocka_unit_test(uncertainty_covers),
        cmocka_unit_test(a_gauge_check_is_taken_off_as_measured),
        cmocka_unit_test(a_seat_just_found_is_corrected_by_its_own_shift),
        cmocka_unit_test(nothing_is_off_in_the_same_seat),
        cmocka_unit_test(a_set_of_seats_corrects_nothing),
        cmocka_unit_test(a_measured_error_holds_at_whatever_seat),
        cmocka_unit_test(an_interval_is_corrected_at_its_middle_and_leaves_lobes),
        cmocka_unit_test(a_file_says_which_surface_needs_the_seat),
        cmocka_unit_test(a_result_that_is_not_finite_is_refused_untouched),
        cmocka_unit_test(a_variance_below_zero_is_none),
        cmocka_unit_test(appends_three_columns),
        cmocka_unit_test(passes_every_byte_that_was_there),
        cmocka_unit_test(takes_the_columns_of_a_spreadsheet),
        cmocka_unit_test(says_on_which_lines_rows_are_left),
        cmocka_unit_test(results_that_were_right_are_not_stamped),
        cmocka_unit_test(lines_up_rows_that_leave_out_their_last_fields),
        cmocka_unit_test(names_what_is_wrong),
        cmocka_unit_test(refuses_null),
        cmocka_unit_test(the_rest_of_the_lobes_counts_as_far_as_they_are_turned),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
