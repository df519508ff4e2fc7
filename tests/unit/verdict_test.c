/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "question.h"
#include "random.h"
#include "model/estimate.h"
#include "model/seat.h"

/* A question with everything about it at random; lobes on record in half of the cases. */
static reseat_question random_question(uint64_t *seed, reseat_radius_curve *curve)
{
    reseat_question q = ask(random_between(seed, -0.02, 0.02),
                            random_between(seed, -0.02, 0.02), "any",
                            random_between(seed, 0.002, 0.05));
    reseat_terms *t = &q.estimate.terms;
    t->u_run_mm = random_between(seed, 0, 0.002);
    t->u_seat_mm = random_between(seed, 0, 0.003);
    t->u_turn_deg = random_between(seed, 0, 2);
    t->lobing_mm = random_between(seed, 0, 0.004);
    q.estimate.spindle_mm = (reseat_xy){random_between(seed, -0.005, 0.005),
                                        random_between(seed, -0.005, 0.005)};
    if (random_between(seed, 0, 1) < 0.3)
        q.estimate.in_use_mm.x += random_between(seed, -0.01, 0.01);
    *curve = (reseat_radius_curve){.mean_mm = 3, .order = 5, .directions = 12,
                                   .residual_mm = random_between(seed, 0, 0.0003)};
    for (int k = 2; k <= 5; k++)
        curve->cosine_mm[k] = random_between(seed, -0.001, 0.001);
    if (random_between(seed, 0, 1) < 0.5)
        q.estimate.curve = curve;
    return q;
}

static double scan(const reseat_question *q, double from_deg, double width_deg, int steps)
{
    double least = 2;
    for (int i = 0; i <= steps; i++) {
        double chance = 0;
        assert_status(estimate_chance(&q->estimate, from_deg + width_deg * i / steps,
                                      q->limit_mm, &chance), RESEAT_OK);
        least = fmin(least, chance);
    }
    return least;
}

static void check_range(const reseat_question *q, int steps)
{
    const reseat_answer answer = decide(q);
    const double least = scan(q, q->turns.first_deg, q->turns.width_deg, steps);
    double again = -1;
    assert_true(answer.worst.chance_within <= least + 1e-9);
    assert_true(seat_has_turn(&q->turns, answer.worst.turn_deg));
    assert_status(estimate_chance(&q->estimate, answer.worst.turn_deg, q->limit_mm, &again),
                  RESEAT_OK);
    assert_near(answer.worst.chance_within, again, 1e-12);
}

static void the_worst_of_any_seat_is_found_as_by_brute_force(void **state)
{
    uint64_t seed = 20260302;
    const int count = random_rounds(seed, 60); /* scanned every 0.05 degrees */
    for (int i = 0; i < count; i++) {
        reseat_radius_curve curve;
        const reseat_question q = random_question(&seed, &curve);
        check_range(&q, 7200);
    }
}

static void the_worst_of_an_interval_is_found_as_by_brute_force(void **state)
{
    uint64_t seed = 20260401;
    const int count = random_rounds(seed, 100); /* scanned in 2,000 steps */
    for (int i = 0; i < count; i++) {
        reseat_radius_curve curve;
        reseat_question q = random_question(&seed, &curve);
        q.turns.first_deg = random_between(&seed, -180, 180);
        q.turns.width_deg = random_between(&seed, 0, 120);
        check_range(&q, 2000);
    }
}

static void half_a_turn_costs_exactly_twice_the_offset(void **state)
{
    const reseat_question q = ask(0.0123, -0.0045, "keys:2", 0.05);
    const reseat_answer answer = decide(&q);
    assert_int_equal(answer.count, 2);
    assert_same_bits(answer.seats[0].error_mm.x, 0);
    assert_same_bits(answer.seats[0].error_mm.y, 0);
    assert_same_bits(answer.seats[1].error_mm.x, 2 * 0.0123);
    assert_same_bits(answer.seats[1].error_mm.y, 2 * -0.0045);
    assert_near(answer.worst.turn_deg, 180, 0);
    assert_near(answer.worst.seat_deg, 180, 0);
}

static void whole_turns_change_no_bit(void **state)
{
    const reseat_seat seat = {.kind = RESEAT_SEAT_ANGLE, .seat_deg = 73};
    reseat_question near, far;
    const reseat_xy offset = {0.0123, -0.0045};
    assert_status(reseat_verdict_question(offset, 20, &seat, &near), RESEAT_OK);
    assert_status(reseat_verdict_question(offset, 20 - 5 * 360, &seat, &far), RESEAT_OK);
    near.limit_mm = far.limit_mm = 0.01;
    const reseat_answer a = decide(&near), b = decide(&far);
    assert_memory_equal(&a, &b, sizeof a);
}

static void a_small_offset_in_the_same_seat_is_ok(void **state)
{
    const reseat_question q = ask(0.004, -0.001, "same", 0.005);
    const reseat_answer answer = decide(&q);
    assert_true(answer.ok);
    assert_int_equal(answer.reasons, 0);
    assert_int_equal(answer.next, RESEAT_NEXT_NONE);
    assert_int_equal(answer.count, 1);
    assert_same_bits(answer.worst.error_length_mm, 0);
}

static void an_error_over_the_limit_is_named_and_a_gauge_check_proposed(void **state)
{
    const reseat_question q = ask(0.012, -0.005, "keys:2", 0.01);
    const reseat_answer answer = decide(&q);
    assert_false(answer.ok);
    assert_int_equal(answer.reasons, BIT(ERROR_EXCEEDS_LIMIT));
    assert_int_equal(answer.next, RESEAT_NEXT_GAUGE_CHECK);
}

static void an_error_within_the_limit_can_still_be_too_uncertain(void **state)
{
    reseat_question q = ask(0.0022, 0, "180", 0.0075);
    q.estimate.terms.lobing_mm = 0;
    const reseat_answer answer = decide(&q);
    assert_false(answer.ok);
    assert_int_equal(answer.reasons, BIT(CHANCE_BELOW_CONFIDENCE));
    assert_int_equal(answer.next, RESEAT_NEXT_SPINDLE_PART);
}

static void a_limit_finer_than_the_scatter_is_named(void **state)
{
    const reseat_question q = ask(0, 0, "keys:1", 0.002);
    const reseat_answer answer = decide(&q);
    assert_int_equal(answer.reasons,
                     BIT(CHANCE_BELOW_CONFIDENCE) | BIT(LIMIT_BELOW_UNCERTAINTY));
    assert_int_equal(answer.next, RESEAT_NEXT_BETTER_U);
    assert_int_equal(answer.next_term, RESEAT_TERM_SEAT);
    assert_true(answer.assumed_decides);
}

static void no_possible_seat_being_well_asks_for_a_run_with_its_seat(void **state)
{
    const reseat_question q = ask(0.05, 0, "120+-20", 0.02);
    const reseat_answer answer = decide(&q);
    assert_int_equal(answer.reasons, BIT(ERROR_EXCEEDS_LIMIT));
    assert_int_equal(answer.next, RESEAT_NEXT_RECORD_SEAT);
    assert_int_equal(answer.count, 3);
    assert_near(answer.seats[0].seat_deg, 100, 0);
    assert_near(answer.seats[1].seat_deg, 140, 0);
    assert_memory_equal(&answer.seats[2], &answer.worst, sizeof answer.worst);
    assert_near(answer.worst.seat_deg, 140, 0);
}

static void a_known_wrong_seat_asks_for_a_run(void **state)
{
    const reseat_question q = ask(0.05, 0, "120", 0.02);
    assert_int_equal(decide(&q).next, RESEAT_NEXT_CALIBRATE);
}

/* However large: they are those of a turn, and there is none after a new run. */
static void lobes_leave_a_new_run_as_good(void **state)
{
    reseat_question q = ask(0.05, 0, "120", 0.02);
    q.estimate.terms.lobing_mm = 5;
    assert_int_equal(decide(&q).next, RESEAT_NEXT_CALIBRATE);
}

/* An OK hangs on assumed figures if with twice those it would be none. */
static void an_ok_hangs_on_what_was_assumed_if_twice_that_is_too_much(void **state)
{
    int counts[2] = {0, 0};
    for (double limit_mm = 0.001; limit_mm < 0.02; limit_mm *= 1.03) {
        const reseat_question q = ask(0.0005, 0, "same", limit_mm);
        const reseat_answer answer = decide(&q);
        if (!answer.ok)
            continue;
        reseat_estimate twice = q.estimate;
        twice.terms.u_run_mm *= 2;
        twice.terms.u_seat_mm *= 2;
        twice.terms.u_turn_deg *= 2;
        twice.terms.u_spindle_mm *= 2;
        twice.terms.u_touch_mm *= 2;
        twice.terms.u_drift_mm *= 2;
        twice.terms.lobing_mm *= 2;
        double chance = 0;
        assert_status(estimate_chance(&twice, 0, limit_mm, &chance), RESEAT_OK);
        assert_int_equal(answer.assumed_decides, chance < q.confidence);
        counts[answer.assumed_decides]++;
    }
    assert_true(counts[false] > 5 && counts[true] > 5);
}

static void what_the_log_found_stands_whatever_the_chance(void **state)
{
    reseat_question q = ask(0.001, 0, "same", 0.01);
    q.reasons = BIT(COLLISION);
    reseat_answer answer = decide(&q);
    assert_false(answer.ok);
    assert_int_equal(answer.reasons, BIT(COLLISION));
    assert_int_equal(answer.next, RESEAT_NEXT_CALIBRATE);

    q.reasons = BIT(DAMAGE_IGNORED);
    answer = decide(&q);
    assert_true(answer.ok);
    assert_int_equal(answer.reasons, BIT(DAMAGE_IGNORED));
}

static void an_unknown_seat_is_shown_every_fifteen_degrees(void **state)
{
    const reseat_question q = ask(0.01, 0, "any", 0.05);
    const reseat_answer answer = decide(&q);
    assert_int_equal(answer.count, 24);
    assert_near(answer.seats[1].turn_deg, 15, 0);
    assert_near(answer.seats[12].turn_deg, 180, 0);
    assert_near(answer.seats[23].turn_deg, -15, 0);
    assert_near(answer.worst.turn_deg, 180, 1e-9);
    assert_near(answer.any.worst_mm, 0.02, 1e-17);
}

static void the_smaller_turn_wins_between_equal_seats(void **state)
{
    const reseat_question q = ask(0.05, 0, "keys:4", 0.001); /* chances all but 0 */
    assert_near(decide(&q).worst.turn_deg, 180, 0);
    const reseat_question three = ask(0.0, 0, "keys:3", 0.01);
    reseat_question lobed = three;
    lobed.estimate.terms.lobing_mm = 0;
    lobed.estimate.terms.u_spindle_mm = 0;
    assert_near(decide(&lobed).worst.turn_deg, 0, 0);
}

static void the_longest_error_is_worst_where_no_chance_is_left(void **state)
{
    /* |q| = 0.25 at a bearing of 53.13 degrees, another offset in use: between two turns of the
       grid of whole degrees the error is |q| + |in use|, and all chances are 0 */
    reseat_question q = ask(0.15, 0.2, "any", 0.001);
    q.estimate.in_use_mm = (reseat_xy){0.3, 0.0017};
    const reseat_answer answer = decide(&q);
    assert_near(answer.worst.chance_within, 0, 0);
    assert_near(answer.worst.error_length_mm, 0.25 + hypot(0.3, 0.0017), 1e-15);
}

static void the_one_good_seat_of_a_long_stylus_is_met_between_whole_degrees(void **state)
{
    reseat_question q = ask(60, 0, "10.3+-5", 0.05);
    q.turns.first_deg -= 7.9; /* the run's seat lies inside, off the grid */
    q.estimate.terms.u_turn_deg = 0.001;
    const reseat_answer answer = decide(&q);
    assert_int_equal(answer.reasons, BIT(ERROR_EXCEEDS_LIMIT));
    assert_int_equal(answer.next, RESEAT_NEXT_GAUGE_CHECK);
    /* what stays with the spindle moves all of it */
    const reseat_xy a = {-25, 40};
    q.estimate.spindle_mm = a;
    q.estimate.offset_mm = q.estimate.in_use_mm = (reseat_xy){60 + a.x, a.y};
    assert_int_equal(decide(&q).next, RESEAT_NEXT_GAUGE_CHECK);
}

static void a_chance_that_just_reaches_the_confidence_is_ok(void **state)
{
    reseat_question q = ask(0.003, 0.001, "180", 0.01);
    q.confidence = decide(&q).worst.chance_within;
    assert_true(decide(&q).ok);
    q.confidence = nextafter(q.confidence, 1);
    assert_false(decide(&q).ok);
}

static void scatter_is_not_blamed_for_an_error_without_a_turn(void **state)
{
    reseat_question q = ask(0.004, -0.001, "same", 0.01);
    q.estimate.in_use_mm.x += 0.05;
    assert_int_equal(decide(&q).reasons, BIT(ERROR_EXCEEDS_LIMIT));

    q = ask(0.004, -0.001, "same", 0.01);
    q.estimate.verified = true;
    q.estimate.shift_mm.y = 0.05;
    q.estimate.shift_u_mm = 0.001;
    assert_int_equal(decide(&q).reasons, BIT(ERROR_EXCEEDS_LIMIT));
}

static void lobes_are_not_blamed_for_scatter_without_a_turn(void **state)
{
    reseat_question q = ask(0, 0, "180", 0.002);
    q.estimate.terms.lobing_mm = 0.05;
    const reseat_answer answer = decide(&q);
    assert_true(answer.reasons & BIT(LIMIT_BELOW_UNCERTAINTY));
    assert_int_equal(answer.next, RESEAT_NEXT_BETTER_U);
    assert_int_equal(answer.next_term, RESEAT_TERM_SEAT);
}

static void what_turns_is_the_offset_less_the_spindles_part(void **state)
{
    reseat_question q = ask(0.03, 0.04, "any", 0.02);
    q.estimate.spindle_mm = (reseat_xy){0.03, 0.03};
    const reseat_answer answer = decide(&q);
    assert_near(answer.turning_mm, 0.01, 1e-17);
    assert_near(answer.any.worst_mm, 0.02, 2e-17);
}

static void every_reason_has_its_code(void **state)
{
    assert_string_equal(reseat_reason_code(RESEAT_REASON_ERROR_EXCEEDS_LIMIT),
                        "error-exceeds-limit");
    assert_string_equal(reseat_reason_code((reseat_reason)99), "");
    for (int a = 0; a < RESEAT_REASON_COUNT; a++)
        for (int b = 0; b < a; b++)
            assert_string_not_equal(reseat_reason_code((reseat_reason)a),
                                    reseat_reason_code((reseat_reason)b));
}

static void leaves_output_alone_on_failure(void **state)
{
    const reseat_question good = ask(0.01, 0, "any", 0.02);
    reseat_answer answer = {.count = 77}, before = answer;
    reseat_question bad = good;
    assert_status(reseat_verdict_decide(NULL, &answer), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_verdict_decide(&good, NULL), RESEAT_ERR_ARGUMENT);
    bad.limit_mm = 0;
    assert_status(reseat_verdict_decide(&bad, &answer), RESEAT_ERR_RANGE);
    bad = good;
    bad.limit_mm = (double)NAN;
    assert_status(reseat_verdict_decide(&bad, &answer), RESEAT_ERR_NOT_FINITE);
    bad = good;
    bad.confidence = 1;
    assert_status(reseat_verdict_decide(&bad, &answer), RESEAT_ERR_RANGE);
    bad = good;
    bad.turns.width_deg = 400;
    assert_status(reseat_verdict_decide(&bad, &answer), RESEAT_ERR_RANGE);
    bad = good;
    bad.turns = (reseat_turns){.range = false, .count = 0};
    assert_status(reseat_verdict_decide(&bad, &answer), RESEAT_ERR_RANGE);
    bad = good;
    bad.turns.first_deg = (double)INFINITY;
    assert_status(reseat_verdict_decide(&bad, &answer), RESEAT_ERR_NOT_FINITE);
    bad = good;
    bad.estimate.offset_mm.x = (double)NAN;
    assert_status(reseat_verdict_decide(&bad, &answer), RESEAT_ERR_NOT_FINITE);
    assert_memory_equal(&answer, &before, sizeof answer);
}

static void a_question_that_cannot_be_put_is_left_alone(void **state)
{
    const reseat_question good = ask(0.01, 0, "any", 0.02);
    const reseat_seat seat = {.kind = RESEAT_SEAT_SAME};
    reseat_question question = good;
    assert_status(reseat_verdict_question((reseat_xy){(double)NAN, 0}, 0, &seat, &question),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_verdict_question((reseat_xy){0, 0}, 0, NULL, &question),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_verdict_question((reseat_xy){0, 0}, 0, &seat, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_memory_equal(&question, &good, sizeof good);
}

static void the_first_row_of_the_budget_may_be_the_largest(void **state)
{
    reseat_question q = ask(0.001, 0, "same", 0.0001);
    const reseat_answer assumed = decide(&q);
    assert_true(assumed.budget[0].assumed);
    assert_int_equal(assumed.budget[0].term, RESEAT_TERM_RUN);
    q.estimate.terms.u_run_mm = 0.02;
    const reseat_answer answer = decide(&q);
    assert_int_equal(answer.next, RESEAT_NEXT_BETTER_U);
    assert_int_equal(answer.next_term, RESEAT_TERM_RUN);
}

static void ignored_damage_changes_neither_the_next_step_nor_what_decides(void **state)
{
    reseat_question q = ask(0.012, 0, "keys:2", 0.012);
    const reseat_answer without = decide(&q);
    q.reasons = BIT(DAMAGE_IGNORED);
    const reseat_answer with = decide(&q);
    assert_int_equal(without.next, RESEAT_NEXT_GAUGE_CHECK);
    assert_int_equal(with.next, without.next);
    q = ask(0.0005, 0, "keys:2", 0.012); /* hangs on what is assumed */
    assert_true(decide(&q).assumed_decides);
    q.reasons = BIT(DAMAGE_IGNORED);
    assert_true(decide(&q).assumed_decides);
}

static void a_narrow_interval_is_more_than_one_seat(void **state)
{
    const reseat_question one = ask(0.02, 0, "90", 0.012);
    assert_int_equal(decide(&one).next, RESEAT_NEXT_CALIBRATE);
    const reseat_question narrow = ask(0.02, 0, "90+-0.25", 0.012);
    assert_int_equal(decide(&narrow).next, RESEAT_NEXT_RECORD_SEAT);
}

/*
 * The control adds the offset of half a turn: there the error is 0.0045, with the spindle's
 * scatter, in the run's seat 0.0055, with next to none. Half a turn is worst; were nothing
 * assumed it would be well, but the run's seat would not.
 */
static void another_seat_may_fail_once_nothing_is_assumed(void **state)
{
    reseat_question q = ask(0.005, 0, "keys:2", 0.005);
    q.estimate.in_use_mm.x = -0.0005;
    q.estimate.terms = (reseat_terms){.u_spindle_mm = 0.02, .u_run_mm = 0.003,
                                      .assumed = 1u << RESEAT_TERM_SPINDLE |
                                                 1u << RESEAT_TERM_RUN};
    const reseat_answer answer = decide(&q);
    assert_false(answer.ok);
    assert_near(fabs(answer.worst.turn_deg), 180, 0);
    assert_near(answer.worst.error_length_mm, 0.0045, 1e-15);
    assert_false(answer.assumed_decides);
}

/* Of a degree or less the grid is the two ends alone, and of none it is one turn. */
static void both_ends_of_a_narrow_interval_are_tried(void **state)
{
    const reseat_question up = ask(0.02, 0, "90+-0.5", 0.012);
    const reseat_question down = ask(0.02, 0, "270+-0.5", 0.012);
    assert_near(decide(&up).worst.turn_deg, 90.5, 1e-9);
    assert_near(decide(&down).worst.turn_deg, -90.5, 1e-9);
    reseat_question one = up;
    one.turns.first_deg = 90;
    one.turns.width_deg = 0;
    assert_near(decide(&one).worst.turn_deg, 90, 0);
    assert_int_equal(decide(&one).next, RESEAT_NEXT_CALIBRATE);
}

static void as_many_keys_as_are_allowed_are_tried(void **state)
{
    const reseat_question q = ask(0.02, 0, "keys:360", 0.012);
    const reseat_answer answer = decide(&q);
    assert_int_equal(answer.count, 360);
    assert_near(answer.worst.turn_deg, 180, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_worst_of_any_seat_is_found_as_by_brute_force),
        cmocka_unit_test(the_worst_of_an_interval_is_found_as_by_brute_force),
        cmocka_unit_test(half_a_turn_costs_exactly_twice_the_offset),
        cmocka_unit_test(whole_turns_change_no_bit),
        cmocka_unit_test(a_small_offset_in_the_same_seat_is_ok),
        cmocka_unit_test(an_error_over_the_limit_is_named_and_a_gauge_check_proposed),
        cmocka_unit_test(an_error_within_the_limit_can_still_be_too_uncertain),
        cmocka_unit_test(a_limit_finer_than_the_scatter_is_named),
        cmocka_unit_test(no_possible_seat_being_well_asks_for_a_run_with_its_seat),
        cmocka_unit_test(a_known_wrong_seat_asks_for_a_run),
        cmocka_unit_test(lobes_leave_a_new_run_as_good),
        cmocka_unit_test(an_ok_hangs_on_what_was_assumed_if_twice_that_is_too_much),
        cmocka_unit_test(what_the_log_found_stands_whatever_the_chance),
        cmocka_unit_test(an_unknown_seat_is_shown_every_fifteen_degrees),
        cmocka_unit_test(the_smaller_turn_wins_between_equal_seats),
        cmocka_unit_test(the_longest_error_is_worst_where_no_chance_is_left),
        cmocka_unit_test(the_one_good_seat_of_a_long_stylus_is_met_between_whole_degrees),
        cmocka_unit_test(a_chance_that_just_reaches_the_confidence_is_ok),
        cmocka_unit_test(scatter_is_not_blamed_for_an_error_without_a_turn),
        cmocka_unit_test(lobes_are_not_blamed_for_scatter_without_a_turn),
        cmocka_unit_test(what_turns_is_the_offset_less_the_spindles_part),
        cmocka_unit_test(every_reason_has_its_code),
        cmocka_unit_test(leaves_output_alone_on_failure),
        cmocka_unit_test(a_question_that_cannot_be_put_is_left_alone),
        cmocka_unit_test(the_first_row_of_the_budget_may_be_the_largest),
        cmocka_unit_test(ignored_damage_changes_neither_the_next_step_nor_what_decides),
        cmocka_unit_test(a_narrow_interval_is_more_than_one_seat),
        cmocka_unit_test(another_seat_may_fail_once_nothing_is_assumed),
        cmocka_unit_test(both_ends_of_a_narrow_interval_are_tried),
        cmocka_unit_test(as_many_keys_as_are_allowed_are_tried),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
