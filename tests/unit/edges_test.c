/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Rare ways through what is computed, each reached by the input that leads there. */
#include <float.h>
#include <stdio.h>
#include "drift_runs.h"
#include "probe.h"
#include "question.h"
#include "maths/chance.h"
#include "reseat/rescue.h"
#include "reseat/probe.h"
#include "reseat/values.h"
#include "reseat/touches.h"
#include "model/verdict.h"
#include "model/seat.h"
#include "model/feature.h"
#include "model/estimate.h"
#include "maths/fit.h"
#include "history/drift.h"

static const double not_a_number = (double)NAN;

/* Radii of runs, the odd ones and the even ones alike, a second or a week apart. */
static reseat_status find_radii(double odd, double even, bool in_seconds)
{
    reseat_drift drift = {.finding_count = 7};
    make_runs(12);
    for (size_t i = 0; i < 12; i++) {
        runs[i].radius_known = true;
        runs[i].radius_mm = i % 2 ? odd : even;
        if (in_seconds)
            runs[i].at = FIRST_AT + (int64_t)i;
    }
    const reseat_drift_input input = input_of(12);
    const reseat_status status = drift_find(&input, workspace, sizeof workspace, &drift);
    if (status != RESEAT_OK)
        assert_int_equal(drift.finding_count, 7);
    return status;
}

/* Lower limit, upper limit, limit of the moving range, and slope of a trend. */
static void limits_of_a_chart_that_overflow_are_an_error(void **state)
{
    assert_status(find_radii(4e307, -4e307, false), RESEAT_ERR_NOT_FINITE);
    assert_status(find_radii(1.17e308, 0.83e308, false), RESEAT_ERR_NOT_FINITE);
    assert_status(find_radii(3e307, -3e307, false), RESEAT_ERR_NOT_FINITE);
    assert_status(find_radii(1e305, -1e305, true), RESEAT_ERR_NOT_FINITE);
    assert_status(find_radii(1e290, -1e290, true), RESEAT_OK);
}

static void runs_beyond_the_calendar_are_refused(void **state)
{
    reseat_drift drift;
    const reseat_drift_input input = input_of(3);
    make_runs(3);
    runs[2].at = INT64_MAX;
    assert_status(drift_find(&input, workspace, sizeof workspace, &drift),
                  RESEAT_ERR_RANGE);
}

/* All but the newest on a line: it cannot be set against their scatter, though there is a T2. */
static void a_newest_run_off_a_line_is_not_judged(void **state)
{
    make_runs(12);
    for (size_t i = 0; i < 12; i++)
        runs[i].offset_mm.y = i < 11 ? 0.002 : 0.004;
    const reseat_drift drift = find(12);
    assert_true(drift.points[0].t2_known);
    assert_false(drift.baselines[0].newest_known);
    assert_true(drift.baselines[0].notes & NOTE(SINGULAR));
}

static void seats_too_near_each_other_split_nothing(void **state)
{
    make_runs(10);
    for (size_t i = 0; i < 10; i++)
        runs[i].seat_deg = i % 2 ? 1e-8 : 0;
    assert_false(find(10).split_known);
    make_runs(10);
    for (size_t i = 0; i < 10; i++)
        runs[i].seat_deg = i % 2 ? 180 : 0;
    assert_true(find(10).split_known);
}

static void a_split_takes_the_latest_runs_that_a_study_holds(void **state)
{
    static reseat_drift_run many[RESEAT_STUDY_MAX + 8];
    reseat_drift drift;
    reseat_drift_input input = {.runs = many, .run_count = COUNT(many), .limit_mm = 0.005};
    make_runs(8);
    for (size_t i = 0; i < COUNT(many); i++) {
        many[i] = runs[i % 8];
        many[i].seq = i + 1;
        many[i].at = FIRST_AT + (int64_t)i * DAY;
        many[i].seat_deg = i % 2 ? 180 : 0;
        if (i < 8)
            many[i].offset_mm.x += 1000; /* so far off that a split with them would show it */
    }
    assert_status(drift_find(&input, workspace, sizeof workspace, &drift), RESEAT_OK);
    assert_true(drift.split_known);
    assert_near(drift.split.spindle_mm.x, 0.010, 0.001);
}

static void a_feature_and_its_tolerance_must_go_together(void **state)
{
    static const char *const wrong[] = {"corner:x:90", "corner:0:x", "corner:0:0.5"};
    const reseat_question question = ask(0.004, -0.0011, "keys:2", 0.02);
    reseat_feature feature = {.kind = RESEAT_FEATURE_SURFACE, .judged = true, .tolerance_mm = 0.1,
                              .quantity = RESEAT_REPORTED_DIAMETER};
    reseat_feature_row row = {.u_mm = 7};
    assert_status(feature_at(&question.estimate, &feature, RESEAT_REPORTED_POSITION, 0, 0.1,
                             &row), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_feature_worst(&question, NULL, RESEAT_REPORTED_POSITION, 0.1, &row),
                  RESEAT_ERR_ARGUMENT);
    assert_near(row.u_mm, 7, 0);
    for (size_t i = 0; i < COUNT(wrong); i++)
        assert_true(reseat_feature_parse(wrong[i], strlen(wrong[i]), RESEAT_MM, &feature, NULL) !=
                    RESEAT_OK);
}

static void one_of_two_numbers_is_enough_to_refuse(void **state)
{
    const reseat_seat same = {.kind = RESEAT_SEAT_SAME};
    reseat_question question = ask(0.004, -0.0011, "same", 0.02);
    double limit = 7;
    assert_status(reseat_verdict_question((reseat_xy){0, not_a_number}, 0, &same, &question),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_estimate_set_spindle(&question.estimate, (reseat_xy){0, not_a_number}),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_verdict_limit(0.1, not_a_number, &limit), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_verdict_limit(DBL_MAX, DBL_MAX, &limit), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_verdict_limit(DBL_MIN, DBL_MIN, &limit), RESEAT_ERR_RANGE);
    assert_near(limit, 7, 0);
    const reseat_turns none = {.count = 0};
    assert_false(seat_has_turn(&none, 0));
    reseat_turns many = {.count = RESEAT_SEAT_KEYS_MAX + 1};
    reseat_found found;
    reseat_answer answer;
    assert_status(reseat_find_seat(&question.estimate, &many, (reseat_xy){0.001, 0}, 0.001,
                                   &found), RESEAT_ERR_RANGE);
    question = ask(0.004, -0.0011, "same", 0.02);
    question.turns.count = RESEAT_SEAT_KEYS_MAX + 1;
    assert_status(reseat_verdict_decide(&question, &answer), RESEAT_ERR_RANGE);
}

/* Untouched where there is none. */
static void assert_no_verdict(const reseat_question *question)
{
    reseat_answer answer = {.turning_mm = 7};
    assert_status(reseat_verdict_decide(question, &answer), RESEAT_ERR_NOT_FINITE);
    assert_near(answer.turning_mm, 7, 0);
}

/* At the seat that is worst nothing turns and nothing assumed matters; half a turn on it does. */
static void an_assumption_that_overflows_when_doubled_is_no_verdict(void **state)
{
    reseat_question q = ask(4.9e154, 0, "keys:2", 1e155);
    reseat_outcome worst = {.turn_deg = 7};
    double chance = 0;
    q.estimate.in_use_mm.x = -4.9e154;
    q.estimate.terms.u_turn_deg = 0;
    q.estimate.terms.u_run_mm = 0.5e154;
    q.estimate.terms.assumed = 1u << RESEAT_TERM_SPINDLE;
    q.estimate.terms.u_spindle_mm = 1e153;
    q.confidence = 0.4;
    worst = decide(&q).worst;
    assert_near(worst.turn_deg, 0, 0);
    assert_true(worst.chance_within > 0.6 && worst.chance_within < 0.7);
    q.estimate.terms.u_spindle_mm = 3e153;
    assert_status(estimate_chance(&q.estimate, 180, q.limit_mm, &chance), RESEAT_OK);
    assert_near(chance, 1, 1e-9);
    assert_no_verdict(&q);
}

/* The same length overflows in rounding along an axis and not at an angle to both. */
static void a_scatter_that_overflows_without_a_turn_alone_is_no_verdict(void **state)
{
    const double across_mm = sqrt(DBL_MAX) / (sqrt(2.0) * acos(-1.0) / 180);
    double length_mm = across_mm * (1 - 1e-13), chance = 0;
    reseat_question q = ask(length_mm, 0, "2", 1e154);
    q.estimate.terms = (reseat_terms){.u_turn_deg = 1};
    while (length_mm < across_mm * (1 + 1e-13) &&
           estimate_chance(&q.estimate, 0, q.limit_mm, &chance) == RESEAT_OK) {
        length_mm = nextafter(length_mm, DBL_MAX);
        q.estimate.offset_mm.x = q.estimate.in_use_mm.x = length_mm;
    }
    assert_status(estimate_chance(&q.estimate, 2, q.limit_mm, &chance), RESEAT_OK);
    assert_true(chance < 0.9);
    assert_no_verdict(&q);
}

/* The verdict's confidence is low and its scatter wide: more than the limit may be off. */
static void a_low_confidence_allows_an_offset_beyond_the_limit(void **state)
{
    reseat_estimate e = ask(0.004, 0, "any", 0.004).estimate;
    double offset_mm = 0, chance = 0;
    e.terms.u_run_mm = 0.006;
    assert_status(verdict_allowed_offset(&e, 0.004, 0.01, &offset_mm), RESEAT_OK);
    assert_true(offset_mm > 0.004);
    e.out = true;
    e.offset_mm = e.in_use_mm = (reseat_xy){offset_mm, 0};
    assert_status(estimate_chance(&e, 180, 0.004, &chance), RESEAT_OK);
    assert_near(chance, 0.01, 1e-9);
}

static void a_seat_is_found_without_the_name_of_the_run(void **state)
{
    const reseat_estimate e = ask(0.1, 0, "any", 0.004).estimate;
    reseat_turns any = ask(0.1, 0, "any", 0.004).turns;
    reseat_found found;
    any.run_known = false;
    assert_status(reseat_find_seat(&e, &any, (reseat_xy){0.2, 0}, 0.0005, &found), RESEAT_OK);
    assert_true(found.resolvable);
    assert_near(fabs(found.turn_deg), 180, 1e-9);
    assert_same_bits(found.seat_deg, 0.0);
}

static void readings_tell_a_seat_only_at_the_stop(void **state)
{
    const reseat_question q = ask(0.1, 0, "any", 0.004);
    reseat_reduction then = {.turns = 1}, now = {.turns = 1};
    reseat_found found;
    now.centre_mm.x = 0.05;
    for (int i = 0; i < 6; i++) {
        then = (reseat_reduction){.turns = i == 0 ? 2 : 1, .has_offset = i == 1};
        now.turns = i == 2 ? 2 : 1;
        now.has_offset = i == 3; /* which brings its own uncertainty */
        then.turns_deg[0] = i == 4 ? -90 : 0;
        now.turns_deg[0] = i == 5 ? 90 : 0;
        assert_status(reseat_find_seat_by_touches(&q.estimate, &q.turns, &then, &now, 0.001,
                                                  &found),
                      i == 3 ? RESEAT_ERR_RANGE : RESEAT_ERR_SINGULAR);
    }
}

/* What the control adds less what was found is an offset of its own, which may overflow. */
static void an_error_that_overflows_is_no_result(void **state)
{
    reseat_question q = ask(0.1, 0, "any", 0.004);
    static reseat_reduction far = {.has_offset = true, .offset_mm = {DBL_MAX, 0},
                                   .offset_u_mm = 3e-4};
    reseat_found found;
    q.estimate.in_use_mm.x = -DBL_MAX;
    assert_status(reseat_find_seat_by_touches(&q.estimate, &q.turns, &far, &far, 0, &found),
                  RESEAT_ERR_NOT_FINITE);
}

static void a_corrected_place_that_overflows_is_refused_in_its_line(void **state)
{
    static const char text[] = "kind,x_mm,y_mm,dir_deg\npoint,1.7e308,0,\n";
    const reseat_correction correction = {.error_mm = {-1e308, 0}};
    reseat_correct_summary summary = {.rows = 7};
    reseat_error error;
    char out[256];
    assert_status(reseat_correct_csv(&correction, text, strlen(text), out, sizeof out, &summary,
                                     &error), RESEAT_ERR_NOT_FINITE);
    assert_int_equal(error.line, 2);
    assert_int_equal(error.column, 7);
    assert_int_equal(summary.rows, 7);
}

static reseat_touch touches[64];
static reseat_touch_result results[64];

static reseat_status reduce(size_t count, const reseat_reduce_setup *setup,
                            reseat_reduction *reduction)
{
    return reseat_reduce(touches, count, setup, results, reduction, NULL);
}

static void three_touches_leave_nothing_to_scatter(void **state)
{
    const probe p = {.radius_mm = 3};
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    reseat_reduction r;
    probe_run(&p, &setup.gauge, (reseat_xyz){1, 2, 0}, (double[]){0}, 1, 3, touches);
    assert_status(reduce(3, &setup, &r), RESEAT_OK);
    assert_int_equal(r.dof, 0);
    assert_same_bits(r.residual_sd_mm, 0.0);
    assert_near(r.radius_mm, 3, 1e-9);
    reseat_gauge_kind kind = RESEAT_GAUGE_RING;
    assert_status(reseat_gauge_kind_parse("ring", 4, NULL, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_gauge_kind_parse(NULL, 0, &kind, NULL), RESEAT_ERR_ARGUMENT);
}

/* The largest gauge there is, warmed by a degree, has no size that a double holds. */
static void a_gauge_that_grows_beyond_all_sizes_is_no_result(void **state)
{
    const probe p = {.radius_mm = 3};
    reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_PLUG, 50);
    reseat_reduction r = {.touches = 7};
    probe_run(&p, &setup.gauge, (reseat_xyz){1, 2, 0}, (double[]){0, 180}, 2, 12, touches);
    setup.gauge.diameter_mm = DBL_MAX;
    assert_status(reduce(24, &setup, &r), RESEAT_ERR_RANGE); /* it leaves the ball no size */
    setup.gauge.temperature_c = 21;
    assert_status(reduce(24, &setup, &r), RESEAT_ERR_NOT_FINITE);
    assert_int_equal(r.touches, 7);
}

static void no_touch_at_the_equator_gives_no_radii(void **state)
{
    const probe p = {.radius_mm = 3};
    reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_SPHERE, 30);
    reseat_reduction r;
    const unsigned gauge_advice = 1u << RESEAT_ADVICE_GAUGE_U | 1u << RESEAT_ADVICE_TEMPERATURE;
    setup.assumed = 0;
    for (size_t i = 0; i < 24; i++)
        touches[i] = probe_touch(&p, &setup.gauge, (reseat_xyz){0, 0, 0}, 0, 30 * (double)i,
                                 i % 2 ? 25 : 60);
    assert_status(reduce(24, &setup, &r), RESEAT_OK);
    assert_int_equal(r.dirs, 0);
    assert_near(r.radius_mm, 3, 1e-9);
    assert_int_equal(r.advice & gauge_advice, 0);
}

/* Offset and gauge can just be told apart, but not so well that bad touches could be. */
static void turns_almost_alike_leave_no_bad_touch_to_be_told(void **state)
{
    const probe p = {.offset_mm = {0.02, 0}, .radius_mm = 3};
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    reseat_reduction r;
    for (size_t i = 0; i < 7; i++)
        touches[i] = probe_touch(&p, &setup.gauge, (reseat_xyz){1, 2, 0}, i < 4 ? 0 : 1e-5,
                                 51 * (double)i, 0);
    assert_status(reduce(7, &setup, &r), RESEAT_OK);
    assert_int_equal(r.turns, 2);
    assert_int_equal(r.dof, 2);
    assert_false(r.outliers_tested);
    assert_true(r.advice & 1u << RESEAT_ADVICE_TOUCHES);
    assert_true(r.offset_u_mm > 1000);
}

/* Five agree and one hardly, but without the worst there are too few to judge it. */
static void a_bad_touch_is_named_though_none_is_judged_without_it(void **state)
{
    const probe p = {.radius_mm = 3};
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    reseat_reduction r;
    for (size_t i = 0; i < 7; i++)
        touches[i] = probe_touch(&p, &setup.gauge, (reseat_xyz){1, 2, 0}, 0, 60 * (double)i, 0);
    touches[4].x_mm += 0.2;
    touches[1].x_mm += 0.002;
    assert_status(reduce(7, &setup, &r), RESEAT_OK);
    assert_int_equal(r.dof, 4);
    assert_true(r.outliers_tested);
    assert_int_equal(r.outliers, 1);
    assert_true(results[4].outlier);
}

/* Seven directions, but so close that they tell of no harmonic; the rest is off the equator. */
static void touches_of_one_side_of_the_equator_have_no_lobes(void **state)
{
    const probe p = {.radius_mm = 3};
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_SPHERE, 30);
    reseat_reduction r;
    for (size_t i = 0; i < 7; i++)
        touches[i] = probe_touch(&p, &setup.gauge, (reseat_xyz){0, 0, 0}, 0,
                                 1.01 * ((double)i - 3), 0);
    for (size_t i = 7; i < 19; i++)
        touches[i] = probe_touch(&p, &setup.gauge, (reseat_xyz){0, 0, 0}, 0, 30 * (double)i, 40);
    touches[12].z_mm -= 0.01;
    assert_status(reduce(19, &setup, &r), RESEAT_OK);
    assert_int_equal(r.dirs, 7);
    assert_int_equal(r.curve.order, 0);
    assert_int_equal(r.outliers, 1);
    assert_true(results[12].outlier);
}

/* So near the pole that no touch has a direction. */
static void touches_at_the_pole_alone_are_refused(void **state)
{
    const probe p = {.radius_mm = 3};
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_SPHERE, 30);
    reseat_reduction r = {.touches = 7};
    for (size_t i = 0; i < 24; i++)
        touches[i] = probe_touch(&p, &setup.gauge, (reseat_xyz){0, 0, 0}, 0, 30 * (double)i,
                                 i % 2 ? 82 : 88);
    assert_true(reduce(24, &setup, &r) != RESEAT_OK);
    assert_int_equal(r.touches, 7);
}

/* Three points almost on a line: their circle is wider than any double. */
static void a_circle_that_overflows_is_no_result(void **state)
{
    const reseat_xy points[] = {{-1e307, 0}, {0, 1e303}, {1e307, 0}};
    round_fit circle = {.radius_mm = 7};
    assert_status(fit_round(fit_plane(points, 3), &circle), RESEAT_ERR_NOT_FINITE);
    assert_near(circle.radius_mm, 7, 0);
    const fit_setup setup = {.offset = false};
    fit work;
    joint_fit joint = {.radius_mm = 7};
    for (size_t i = 0; i < 3; i++)
        touches[i] = (reseat_touch){.x_mm = points[i].x, .y_mm = points[i].y};
    assert_status(fit_joint(touches, 3, &setup, &work, &joint), RESEAT_ERR_NOT_FINITE);
    assert_near(joint.radius_mm, 7, 0);
}

static void radii_are_refused_with_and_without_an_error(void **state)
{
    static const char *const wrong[] = {"dir_deg,radius_mm\n1,2,3\n", "dir_deg,radius_mm\nx,3\n",
                                        "dir_deg,radius_mm\n0,-1\n", "dir_deg,\"radius_mm\n",
                                        "dir_deg,diameter\n", "dir,radius_mm\n",
                                        "dir_dog,radius_mm\n", "dir_deg,radius_mm\n0,\"3\n"};
    double dirs[4], radii[4];
    size_t count = 7;
    for (size_t i = 0; i < COUNT(wrong); i++) {
        reseat_error error;
        const size_t length = strlen(wrong[i]);
        const reseat_status status = reseat_radius_read(wrong[i], length, dirs, radii, 4, &count,
                                                        &error);
        assert_true(status != RESEAT_OK);
        assert_int_equal(error.line, i < 3 || i == 7 ? 2 : 1);
        assert_status(reseat_radius_read(wrong[i], length, dirs, radii, 4, &count, NULL), status);
        assert_int_equal(count, 7);
    }
}

static void texts_that_are_no_number_are_refused(void **state)
{
    static const char *const lengths[] = {"e5", "5\tmm", "5 mm", "1\t", ":"};
    double mm = 7, value = 7, dir = 0, radius = 0;
    size_t count = 7;
    reseat_seat seat = {.keys = 7};
    for (size_t i = 0; i < COUNT(lengths); i++) {
        const size_t length = strlen(lengths[i]);
        assert_status(reseat_length_parse(lengths[i], length, RESEAT_MM, &mm, NULL),
                      RESEAT_ERR_SYNTAX);
        assert_status(reseat_number_parse(lengths[i], length, &value, NULL), RESEAT_ERR_SYNTAX);
    }
    assert_near(mm, 7, 0);
    assert_near(value, 7, 0);
    assert_status(reseat_seat_parse("keys:a", 6, &seat, NULL), RESEAT_ERR_SYNTAX);
    assert_status(reseat_seat_parse("keys:/", 6, &seat, NULL), RESEAT_ERR_SYNTAX);
    assert_int_equal(seat.keys, 7);
    assert_status(reseat_radius_read(NULL, 0, &dir, &radius, 1, &count, NULL), RESEAT_ERR_SYNTAX);
    assert_int_equal(count, 7);
}

/* Scatter that is round but for what no square of a double holds. */
static void scatter_round_to_the_last_square_has_the_chance_of_a_round_one(void **state)
{
    const reseat_cov round = {1e-6, 0, 1e-6}, nearly = {1e-6, 1e-206, 1e-6};
    double expected = 0, chance = 7;
    assert_status(chance_disc((reseat_xy){0.001, 0.002}, round, 0.003, &expected),
                  RESEAT_OK);
    assert_status(chance_disc((reseat_xy){0.001, 0.002}, nearly, 0.003, &chance),
                  RESEAT_OK);
    assert_near(chance, expected, 1e-12);
}

/* That of a direction just below a whole turn rounds up to one: it is given as 0. */
static void a_phase_is_below_a_period(void **state)
{
    reseat_radius_curve curve = {.order = 7, .cosine_mm = {0, 0, 1, 1, 1, 1, 1, 1}};
    for (size_t k = 2; k <= 7; k++)
        for (int e = -60; e < 0; e++) {
            double amplitude = 0, phase = 0;
            curve.sine_mm[k] = -ldexp(1, e);
            assert_status(reseat_radius_harmonic(&curve, k, &amplitude, &phase), RESEAT_OK);
            assert_true(phase >= 0 && phase < 360.0 / (double)k);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(limits_of_a_chart_that_overflow_are_an_error),
        cmocka_unit_test(runs_beyond_the_calendar_are_refused),
        cmocka_unit_test(a_newest_run_off_a_line_is_not_judged),
        cmocka_unit_test(seats_too_near_each_other_split_nothing),
        cmocka_unit_test(a_split_takes_the_latest_runs_that_a_study_holds),
        cmocka_unit_test(a_feature_and_its_tolerance_must_go_together),
        cmocka_unit_test(one_of_two_numbers_is_enough_to_refuse),
        cmocka_unit_test(an_assumption_that_overflows_when_doubled_is_no_verdict),
        cmocka_unit_test(a_scatter_that_overflows_without_a_turn_alone_is_no_verdict),
        cmocka_unit_test(a_low_confidence_allows_an_offset_beyond_the_limit),
        cmocka_unit_test(a_seat_is_found_without_the_name_of_the_run),
        cmocka_unit_test(readings_tell_a_seat_only_at_the_stop),
        cmocka_unit_test(an_error_that_overflows_is_no_result),
        cmocka_unit_test(a_corrected_place_that_overflows_is_refused_in_its_line),
        cmocka_unit_test(three_touches_leave_nothing_to_scatter),
        cmocka_unit_test(a_gauge_that_grows_beyond_all_sizes_is_no_result),
        cmocka_unit_test(no_touch_at_the_equator_gives_no_radii),
        cmocka_unit_test(turns_almost_alike_leave_no_bad_touch_to_be_told),
        cmocka_unit_test(a_bad_touch_is_named_though_none_is_judged_without_it),
        cmocka_unit_test(touches_of_one_side_of_the_equator_have_no_lobes),
        cmocka_unit_test(touches_at_the_pole_alone_are_refused),
        cmocka_unit_test(a_circle_that_overflows_is_no_result),
        cmocka_unit_test(radii_are_refused_with_and_without_an_error),
        cmocka_unit_test(a_phase_is_below_a_period),
        cmocka_unit_test(texts_that_are_no_number_are_refused),
        cmocka_unit_test(scatter_round_to_the_last_square_has_the_chance_of_a_round_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
