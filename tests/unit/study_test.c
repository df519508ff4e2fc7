/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "check.h"
#include "random.h"
#include "reseat/seat.h"
#include "reseat/touches.h"
#include "maths/plane.h"

static const reseat_xy spindle = {0.0031, -0.0012};
static const reseat_xy turning = {-0.0074, 0.0215};

static reseat_seating list[RESEAT_STUDY_MAX];
static reseat_study study;
static reseat_error error;

static reseat_xy offset_at(double seat_deg)
{
    const reseat_xy b = plane_rotate(turning, seat_deg);
    return (reseat_xy){spindle.x + b.x, spindle.y + b.y};
}

/* Sum of twelve uniform numbers: mean 0, standard deviation 1, near enough to normal. */
static double scatter(uint64_t *state)
{
    double sum = -6;
    for (int i = 0; i < 12; i++)
        sum += random_between(state, 0, 1);
    return sum;
}

static void fill(size_t count, size_t seats, double u_mm, uint64_t seed)
{
    for (size_t i = 0; i < count; i++) {
        const double seat_deg = 15 + 360.0 * (double)(i % seats) / (double)seats;
        const reseat_xy o = offset_at(seat_deg);
        const double x_mm = o.x + u_mm * scatter(&seed);
        const double y_mm = o.y + u_mm * scatter(&seed);
        list[i] = (reseat_seating){seat_deg, {x_mm, y_mm}, i + 2};
    }
}

static void solve(size_t count, bool readings)
{
    assert_status(reseat_study_solve(list, count, readings, &study), RESEAT_OK);
}

static void exact_offsets_part_into_spindle_and_probe(void **state)
{
    const size_t seats[] = {2, 3, 4, 7};
    for (size_t i = 0; i < 4; i++) {
        fill(8, seats[i], 0, 1);
        solve(8, false);
        assert_int_equal(study.seats, seats[i]);
        assert_int_equal(study.dof, 12);
        assert_true(study.has_spindle && study.has_probe && !study.assumed);
        assert_near(study.spindle_mm.x, spindle.x, 1e-14);
        assert_near(study.spindle_mm.y, spindle.y, 1e-14);
        assert_near(study.probe_mm.x, turning.x, 1e-14);
        assert_near(study.probe_mm.y, turning.y, 1e-14);
        assert_near(study.u_seat_mm, 0, 1e-15);
    }
}

/* What the control would report of a gauge at (g): by the sign of the seat error, g + e. */
static void readings_show_the_turning_part_with_the_sign_of_the_seat_error(void **state)
{
    const reseat_xy gauge = {212.3, -88.1};
    const double run_deg = 40;
    for (size_t i = 0; i < 6; i++) {
        const double seat_deg = 60.0 * (double)i;
        reseat_xy e;
        assert_status(reseat_seat_error(offset_at(run_deg), spindle, run_deg, seat_deg, &e),
                      RESEAT_OK);
        list[i] = (reseat_seating){seat_deg, {gauge.x + e.x, gauge.y + e.y}, 0};
    }
    solve(6, true);
    assert_true(study.has_probe && !study.has_spindle);
    assert_near(study.probe_mm.x, turning.x, 1e-12);
    assert_near(study.probe_mm.y, turning.y, 1e-12);
    assert_same_bits(study.spindle_mm.x, 0.0);
}

static void planted_scatter_is_recovered(void **state)
{
    fill(1000, 4, 0.0018, 2);
    solve(1000, false);
    assert_int_equal(study.dof, 1996);
    /* the standard error of a standard deviation is 1/sqrt(2 dof) of it: 1.6 %; four of them */
    assert_near(study.u_seat_mm, 0.0018, 0.0018 * 0.064);
    assert_near(study.spindle_mm.x, spindle.x, 4 * study.spindle_u_mm);
    assert_near(study.probe_mm.y, turning.y, 4 * study.probe_u_mm);
    /* evenly spread seats: var(a) = var(b) = u^2 / n */
    assert_near(study.spindle_u_mm, study.u_seat_mm / sqrt(1000 * 1994 / 1996.0), 1e-12);
    assert_near(study.probe_u_mm, study.spindle_u_mm, 1e-12);
}

static void one_seat_gives_the_scatter_alone(void **state)
{
    for (size_t i = 0; i < 4; i++)
        list[i] = (reseat_seating){i % 2 == 0 ? 90 : -270,
                                   {0.01 + (i < 2 ? 0.001 : -0.001), 0.02}, 0};
    solve(4, false);
    assert_int_equal(study.seats, 1);
    assert_int_equal(study.dof, 6);
    assert_false(study.has_spindle || study.has_probe);
    /* squares 4 * 0.001^2, over 6 */
    assert_near(study.u_seat_mm, 0.001 * sqrt(4 / 6.0), 1e-15);
}

static void two_seatings_take_their_uncertainty_as_assumed(void **state)
{
    fill(2, 2, 0, 1);
    solve(2, false);
    assert_int_equal(study.dof, 0);
    assert_true(study.assumed);
    assert_same_bits(study.u_seat_mm, 0.0);
    assert_near(study.spindle_mm.x, spindle.x, 1e-15);
    assert_near(study.spindle_u_mm, 0.002 / sqrt(2), 1e-12);
    fill(3, 3, 0.001, 4);
    solve(3, false);
    assert_int_equal(study.dof, 2);
    assert_true(study.assumed && study.u_seat_mm > 0);
}

static void moving_and_reordering_do_what_they_should(void **state)
{
    fill(30, 5, 0.002, 7);
    solve(30, false);
    const reseat_study before = study;
    for (size_t i = 0; i < 15; i++) {
        const reseat_seating moved = list[i];
        list[i] = list[29 - i];
        list[29 - i] = moved;
    }
    for (size_t i = 0; i < 30; i++)
        list[i].found_mm.x += 250;
    solve(30, false);
    assert_near(study.u_seat_mm, before.u_seat_mm, 1e-12);
    assert_near(study.spindle_mm.x, before.spindle_mm.x + 250, 1e-12);
    assert_near(study.probe_mm.x, before.probe_mm.x, 1e-12);
    for (size_t i = 0; i < 30; i++)
        list[i].seat_deg += 720;
    solve(30, false);
    assert_near(study.probe_mm.x, before.probe_mm.x, 1e-12);
}

static void refuses_bad_arguments_and_leaves_the_output_alone(void **state)
{
    reseat_study before;
    memset(&study, 0x5a, sizeof study);
    memset(&before, 0x5a, sizeof before);
    fill(4, 2, 0.001, 1);
    assert_status(reseat_study_solve(NULL, 4, false, &study), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_study_solve(list, 4, false, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_study_solve(list, 1, false, &study), RESEAT_ERR_TOO_FEW);
    assert_status(reseat_study_solve(list, RESEAT_STUDY_MAX + 1, false, &study), RESEAT_ERR_RANGE);
    list[1].seat_deg = list[0].seat_deg + 1e-8;
    list[2] = list[3] = list[1];
    assert_status(reseat_study_solve(list, 4, false, &study), RESEAT_ERR_SINGULAR);
    list[3].found_mm.y = (double)NAN;
    assert_status(reseat_study_solve(list, 4, false, &study), RESEAT_ERR_NOT_FINITE);
    list[3].found_mm.y = 0;
    list[3].seat_deg = (double)INFINITY;
    assert_status(reseat_study_solve(list, 4, false, &study), RESEAT_ERR_NOT_FINITE);
    assert_memory_equal(&study, &before, sizeof study);
}

static void reads_offsets_and_readings(void **state)
{
    const char *const offsets = "offset_y_um,seat_deg,offset_x_um\r\n-2,0,1500\r\n3,180,2500\r\n";
    const char *const readings_text = "seat_deg,x_in,y_in\n0,1,2\n90,3,4\n\n45,5,6\n";
    size_t count = 0;
    bool readings = true;
    assert_status(reseat_study_read(offsets, strlen(offsets), list, 2, &count, &readings, &error),
                  RESEAT_OK);
    assert_int_equal(count, 2);
    assert_false(readings);
    assert_same_bits(list[1].found_mm.x, 2.5);
    assert_same_bits(list[1].found_mm.y, 0.003);
    assert_same_bits(list[1].seat_deg, 180.0);
    assert_status(reseat_study_read(readings_text, strlen(readings_text), list, 3, &count,
                                    &readings, &error), RESEAT_OK);
    assert_int_equal(count, 3);
    assert_true(readings);
    assert_same_bits(list[2].found_mm.y, 152.4);
    assert_int_equal(list[2].line, 5);
}

static void names_line_column_and_key_of_what_is_wrong(void **state)
{
    const struct {
        const char *text;
        reseat_status status;
        size_t line, column;
        const char *key;
    } cases[] = {
        {"", RESEAT_ERR_SYNTAX, 1, 1, ""},
        {"seat_deg\n1\n", RESEAT_ERR_SYNTAX, 1, 9, "offset_x_mm"},
        {"x_mm,y_mm\n1,2\n", RESEAT_ERR_SYNTAX, 1, 10, "seat_deg"},
        {"seat_deg,x_mm\n1,2\n", RESEAT_ERR_SYNTAX, 1, 14, "y_mm"},
        {"seat_deg,offset_y_mm\n1,2\n", RESEAT_ERR_SYNTAX, 1, 21, "offset_x_mm"},
        {"seat_deg,x_mm,y_mm,offset_x_mm\n", RESEAT_ERR_SYNTAX, 1, 20, "offset_x_mm"},
        {"seat_deg,x_mm,y_mm,z_mm\n", RESEAT_ERR_SYNTAX, 1, 20, ""},
        {"seat_deg,x_mm,y_um\n", RESEAT_ERR_SYNTAX, 1, 15, "y_um"},
        {"seat_deg,x_mm,y_mm\n0,1,2\n", RESEAT_ERR_TOO_FEW, 3, 0, ""},
        {"seat_deg,x_mm,y_mm\n0,1,2\n90,1\n", RESEAT_ERR_SYNTAX, 3, 5, "y_mm"},
        {"seat_deg,x_mm,y_mm\n0,1,2\nkey 2,1,3\n", RESEAT_ERR_SYNTAX, 3, 1, "seat_deg"},
        {"seat_deg,x_mm,y_mm\n0,1,2\n90,1e999,3\n", RESEAT_ERR_NOT_FINITE, 3, 4, "x_mm"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        size_t count = 77;
        bool readings = false;
        memset(&error, 0, sizeof error);
        assert_status(reseat_study_read(cases[i].text, strlen(cases[i].text), list,
                                        RESEAT_STUDY_MAX, &count, &readings, &error),
                      cases[i].status);
        assert_int_equal(count, 77);
        assert_int_equal(error.line, cases[i].line);
        assert_int_equal(error.column, cases[i].column);
        assert_string_equal(error.key, cases[i].key);
        assert_true(error.text[0] != '\0');
    }
}

static void reading_needs_room(void **state)
{
    const char *const text = "seat_deg,x_mm,y_mm\n0,1,2\n90,3,4\n";
    size_t count = 77;
    bool readings;
    assert_status(reseat_study_read(text, strlen(text), list, 1, &count, &readings, NULL),
                  RESEAT_ERR_SPACE);
    assert_status(reseat_study_read(NULL, 0, list, 1, &count, &readings, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_study_read(text, strlen(text), NULL, 1, &count, &readings, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_study_read(text, strlen(text), list, 9, NULL, &readings, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_study_read(text, strlen(text), list, 9, &count, NULL, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_int_equal(count, 77);
}

static const reseat_study_outlier *only_outlier(size_t count, bool readings)
{
    solve(count, readings);
    assert_true(study.outliers_tested);
    assert_int_equal(study.outliers, 1);
    return &study.outlier[0];
}

/* Whichever row it is, and whether offsets or readings are given. */
static void a_seat_written_down_wrongly_is_named_with_the_right_one(void **state)
{
    for (size_t wrong = 0; wrong < 12; wrong++) {
        for (size_t shift = 1; shift < 4; shift++) {
            fill(12, 4, 0.0006, 3 + wrong);
            const double right_deg = list[wrong].seat_deg;
            list[wrong].seat_deg = list[(wrong + shift) % 4].seat_deg;
            const reseat_study_outlier *o = only_outlier(12, shift == 2);
            assert_int_equal(o->index, wrong);
            assert_int_equal(o->line, wrong + 2);
            assert_true(o->fits_seat);
            assert_near(o->seat_deg, right_deg, 0);
            assert_true(o->off_mm > 0.02 && o->off_mm < 0.05); /* chords of a circle of 0.0227 */
        }
    }
}

static void what_fits_no_seat_is_named_without_one(void **state)
{
    fill(12, 4, 0.0006, 9);
    list[5].found_mm.x = -list[5].found_mm.x; /* a sign left out */
    list[5].seat_deg = 15;
    const reseat_study_outlier *o = only_outlier(12, false);
    assert_int_equal(o->index, 5);
    assert_false(o->fits_seat);
    fill(6, 1, 0.0006, 9);
    list[2].found_mm.y += 0.02;
    o = only_outlier(6, false);
    assert_int_equal(o->index, 2);
    assert_false(o->fits_seat);
    assert_near(o->off_mm, 0.02, 0.003);
}

/* The second is hidden while the first is there. */
static void several_that_do_not_fit_are_all_named(void **state)
{
    fill(16, 4, 0.0006, 11);
    list[6].seat_deg = list[0].seat_deg;
    list[11].seat_deg = list[1].seat_deg;
    solve(16, false);
    assert_int_equal(study.outliers, 2);
    assert_int_equal(study.outlier[0].index, 6);
    assert_int_equal(study.outlier[1].index, 11);
    assert_near(study.outlier[0].seat_deg, 195, 0);
    assert_near(study.outlier[1].seat_deg, 285, 0);
}

/* One seat of two that has two rows, far apart: either may be right. */
static void rows_that_cannot_be_told_apart_are_named_together(void **state)
{
    fill(8, 2, 0, 1);
    for (size_t i = 0; i < 8; i++)
        list[i].seat_deg = i < 6 ? 0 : 180;
    for (size_t i = 0; i < 8; i++)
        list[i].found_mm = offset_at(list[i].seat_deg);
    list[7].found_mm.x += 0.02;
    solve(8, false);
    assert_int_equal(study.outliers, 2);
    assert_int_equal(study.outlier[0].index, 6);
    assert_int_equal(study.outlier[1].index, 7);
    assert_false(study.outlier[0].fits_seat || study.outlier[1].fits_seat);
    assert_same_bits(study.outlier[0].off_mm, 0.0);
}

static void too_few_seatings_single_out_none(void **state)
{
    fill(3, 3, 0, 4);
    list[2].found_mm.x += 1;
    solve(3, false);
    assert_false(study.outliers_tested);
    assert_int_equal(study.outliers, 0);
    fill(4, 4, 0, 4);
    solve(4, false);
    assert_true(study.outliers_tested);
    assert_int_equal(study.outliers, 0);
}

static void less_than_the_last_digit_is_no_doubt(void **state)
{
    fill(12, 4, 0, 4);
    list[3].found_mm.x += 0.00009;
    solve(12, false);
    assert_int_equal(study.outliers, 0);
    list[3].found_mm.x += 0.00009;
    assert_int_equal(only_outlier(12, false)->index, 3);
}

/* 1 % is what the limit is made for; 40 of 2000 is over four standard deviations from it. */
static void sound_studies_are_seldom_doubted(void **state)
{
    const size_t counts[] = {4, 6, 12, 40};
    for (size_t k = 0; k < 4; k++) {
        size_t doubted = 0;
        for (uint64_t seed = 1; seed <= 2000; seed++) {
            fill(counts[k], seed % 2 ? 2 : 4, 0.002, 100 * seed + k);
            solve(counts[k], false);
            doubted += study.outliers > 0;
        }
        assert_true(doubted <= 40);
    }
}

static void more_than_there_is_room_for_are_counted(void **state)
{
    fill(400, 4, 0.0001, 12);
    for (size_t i = 0; i < 40; i++)
        list[i].found_mm.x += 0.05 + 0.01 * (double)i;
    solve(400, false);
    assert_int_equal(study.outliers, 40);
    for (size_t i = 0; i < RESEAT_STUDY_OUTLIERS; i++)
        assert_int_equal(study.outlier[i].index, i);
}

/* Both parts are learnt from the same readings, and equally well wherever the seats lie. */
static void both_parts_are_known_equally_well(void **state)
{
    fill(12, 12, 0.002, 5);
    for (size_t i = 0; i < 12; i++)
        list[i].seat_deg = i % 3 == 0 ? 20 : 95;
    assert_status(reseat_study_solve(list, 12, false, &study), RESEAT_OK);
    assert_true(study.spindle_u_mm > 0);
    assert_near(study.spindle_u_mm, study.probe_u_mm, 1e-12 * study.probe_u_mm);
}

static void as_many_seatings_as_are_allowed_are_taken(void **state)
{
    fill(RESEAT_STUDY_MAX, 8, 0.002, 6);
    assert_status(reseat_study_solve(list, RESEAT_STUDY_MAX, false, &study), RESEAT_OK);
    assert_near(study.u_seat_mm, 0.002, 0.0001); /* 0.0001 is 3 standard deviations of it */
    assert_int_equal(study.dof, 2 * RESEAT_STUDY_MAX - 4);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(exact_offsets_part_into_spindle_and_probe),
        cmocka_unit_test(readings_show_the_turning_part_with_the_sign_of_the_seat_error),
        cmocka_unit_test(planted_scatter_is_recovered),
        cmocka_unit_test(one_seat_gives_the_scatter_alone),
        cmocka_unit_test(two_seatings_take_their_uncertainty_as_assumed),
        cmocka_unit_test(moving_and_reordering_do_what_they_should),
        cmocka_unit_test(refuses_bad_arguments_and_leaves_the_output_alone),
        cmocka_unit_test(reads_offsets_and_readings),
        cmocka_unit_test(names_line_column_and_key_of_what_is_wrong),
        cmocka_unit_test(reading_needs_room),
        cmocka_unit_test(a_seat_written_down_wrongly_is_named_with_the_right_one),
        cmocka_unit_test(what_fits_no_seat_is_named_without_one),
        cmocka_unit_test(several_that_do_not_fit_are_all_named),
        cmocka_unit_test(rows_that_cannot_be_told_apart_are_named_together),
        cmocka_unit_test(too_few_seatings_single_out_none),
        cmocka_unit_test(less_than_the_last_digit_is_no_doubt),
        cmocka_unit_test(sound_studies_are_seldom_doubted),
        cmocka_unit_test(more_than_there_is_room_for_are_counted),
        cmocka_unit_test(both_parts_are_known_equally_well),
        cmocka_unit_test(as_many_seatings_as_are_allowed_are_taken),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
