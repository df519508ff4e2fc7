/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "check.h"
#include "random.h"
#include "reseat/verdict.h"

#define BIT(reason) (1u << RESEAT_REASON_##reason)

static reseat_question ask(double x, double y, const char *seat_text, double limit_mm)
{
    reseat_seat seat;
    reseat_question question;
    assert_status(reseat_seat_parse(seat_text, strlen(seat_text), &seat, NULL), RESEAT_OK);
    assert_status(reseat_verdict_question((reseat_xy){x, y}, 0, &seat, &question), RESEAT_OK);
    question.limit_mm = limit_mm;
    return question;
}

static reseat_answer decide(const reseat_question *question)
{
    reseat_answer answer;
    assert_status(reseat_verdict_decide(question, &answer), RESEAT_OK);
    return answer;
}

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
        assert_status(reseat_estimate_chance(&q->estimate, from_deg + width_deg * i / steps,
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
    assert_true(reseat_seat_has_turn(&q->turns, answer.worst.turn_deg));
    assert_status(reseat_estimate_chance(&q->estimate, answer.worst.turn_deg, q->limit_mm, &again),
                  RESEAT_OK);
    assert_near(answer.worst.chance_within, again, 1e-12);
}

static void the_worst_of_any_seat_is_found_as_by_brute_force(void **state)
{
    (void)state;
    uint64_t seed = 20260302;
    const int count = 60;
    print_message("seed %llu, %d questions, scanned every 0.05 degrees\n",
                  (unsigned long long)seed, count);
    for (int i = 0; i < count; i++) {
        reseat_radius_curve curve;
        const reseat_question q = random_question(&seed, &curve);
        check_range(&q, 7200);
    }
}

static void the_worst_of_an_interval_is_found_as_by_brute_force(void **state)
{
    (void)state;
    uint64_t seed = 20260401;
    const int count = 100;
    print_message("seed %llu, %d questions, scanned in 2,000 steps\n", (unsigned long long)seed,
                  count);
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
    (void)state;
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
    (void)state;
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
    (void)state;
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
    (void)state;
    const reseat_question q = ask(0.012, -0.005, "keys:2", 0.01);
    const reseat_answer answer = decide(&q);
    assert_false(answer.ok);
    assert_int_equal(answer.reasons, BIT(ERROR_EXCEEDS_LIMIT));
    assert_int_equal(answer.next, RESEAT_NEXT_GAUGE_CHECK);
}

static void an_error_within_the_limit_can_still_be_too_uncertain(void **state)
{
    (void)state;
    reseat_question q = ask(0.0022, 0, "180", 0.0075);
    q.estimate.terms.lobing_mm = 0;
    const reseat_answer answer = decide(&q);
    assert_false(answer.ok);
    assert_int_equal(answer.reasons, BIT(CHANCE_BELOW_CONFIDENCE));
    assert_int_equal(answer.next, RESEAT_NEXT_SPINDLE_PART);
}

static void a_limit_finer_than_the_scatter_is_named(void **state)
{
    (void)state;
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
    (void)state;
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
    (void)state;
    const reseat_question q = ask(0.05, 0, "120", 0.02);
    assert_int_equal(decide(&q).next, RESEAT_NEXT_CALIBRATE);
}

static void what_the_log_found_stands_whatever_the_chance(void **state)
{
    (void)state;
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
    (void)state;
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
    (void)state;
    const reseat_question q = ask(0.05, 0, "keys:4", 0.001); /* chances all but 0 */
    assert_near(decide(&q).worst.turn_deg, 180, 0);
    const reseat_question three = ask(0.0, 0, "keys:3", 0.01);
    reseat_question lobed = three;
    lobed.estimate.terms.lobing_mm = 0;
    lobed.estimate.terms.u_spindle_mm = 0;
    assert_near(decide(&lobed).worst.turn_deg, 0, 0);
}

static void the_allowed_turn_is_where_the_chance_meets_the_confidence(void **state)
{
    (void)state;
    const reseat_question q = ask(0.02, 0.01, "any", 0.02);
    double turn = -1, within = -1, beyond = -1;
    assert_status(reseat_verdict_allowed_turn(&q.estimate, q.limit_mm, 0.95, &turn), RESEAT_OK);
    assert_true(turn > 10 && turn < 60);
    assert_status(reseat_estimate_chance(&q.estimate, turn, q.limit_mm, &within), RESEAT_OK);
    assert_status(reseat_estimate_chance(&q.estimate, turn + 1e-6, q.limit_mm, &beyond), RESEAT_OK);
    assert_true(within >= 0.95 && beyond < 0.95);
}

static void the_allowed_turn_is_nothing_or_everything_at_the_ends(void **state)
{
    (void)state;
    const reseat_question q = ask(0.02, 0.01, "any", 0.02);
    double turn = -1;
    assert_status(reseat_verdict_allowed_turn(&q.estimate, 0.001, 0.95, &turn), RESEAT_OK);
    assert_near(turn, 0, 0);
    assert_status(reseat_verdict_allowed_turn(&q.estimate, 1, 0.95, &turn), RESEAT_OK);
    assert_near(turn, 180, 0);
    assert_status(reseat_verdict_allowed_offset(&q.estimate, 0.001, 0.95, &turn), RESEAT_OK);
    assert_near(turn, 0, 0);
}

static void the_allowed_offset_is_where_half_a_turn_meets_the_confidence(void **state)
{
    (void)state;
    const double confidences[] = {0.2, 0.5, 0.95, 0.999};
    for (int i = 0; i < 4; i++) {
        reseat_question q = ask(0.02, 0.01, "180", 0.03);
        q.confidence = confidences[i];
        double allowed = -1, chance = -1;
        assert_status(reseat_verdict_allowed_offset(&q.estimate, q.limit_mm, q.confidence,
                                                    &allowed), RESEAT_OK);
        for (int side = 0; side < 2; side++) {
            const double length = allowed + (side ? 1e-9 : 0);
            reseat_estimate e = q.estimate;
            e.offset_mm = (reseat_xy){length * 2 / sqrt(5), length / sqrt(5)};
            e.in_use_mm = e.offset_mm;
            assert_status(reseat_estimate_chance(&e, 180, q.limit_mm, &chance), RESEAT_OK);
            assert_true(side ? chance < q.confidence : chance >= q.confidence - 1e-12);
        }
    }
}

static void the_budget_is_that_of_the_worst_seat(void **state)
{
    (void)state;
    reseat_question q = ask(0.03, 0.04, "keys:2", 0.02);
    assert_status(reseat_terms_give(&q.estimate.terms, RESEAT_TERM_RUN, 0.0003), RESEAT_OK);
    const reseat_answer a = decide(&q);
    const double expected[] = {0.0003, sqrt(2.0) * 0.002,
                               sqrt(2.0) * 0.05 * 0.2 * 3.14159265358979323846 / 180,
                               2 * 0.002, 0.0005, 0, 0.003};
    assert_int_equal(a.budget_count, 7);
    for (size_t i = 0; i < a.budget_count; i++) {
        assert_int_equal(a.budget[i].term, i);
        assert_near(a.budget[i].u_mm, expected[i], 1e-18);
        const int given = i == RESEAT_TERM_RUN || i == RESEAT_TERM_DRIFT;
        assert_int_equal(a.budget[i].assumed, !given);
    }
}

static void a_gauge_check_has_a_budget_of_its_own(void **state)
{
    (void)state;
    reseat_question q = ask(0.03, 0.04, "same", 0.02);
    q.estimate.verified = true;
    q.estimate.shift_u_mm = 0.0004;
    const reseat_answer a = decide(&q);
    assert_int_equal(a.budget_count, 3);
    assert_int_equal(a.budget[0].term, RESEAT_TERM_SHIFT);
    assert_near(a.budget[0].u_mm, 0.0004, 0);
    assert_false(a.budget[0].assumed);
}

static void a_share_of_the_tolerance_is_the_limit(void **state)
{
    (void)state;
    double limit = -1;
    assert_status(reseat_verdict_limit(0.1, 0.1, &limit), RESEAT_OK);
    assert_near(limit, 0.005, 1e-18);
    const double before = limit;
    assert_status(reseat_verdict_limit(0, 0.1, &limit), RESEAT_ERR_RANGE);
    assert_status(reseat_verdict_limit(0.1, -1, &limit), RESEAT_ERR_RANGE);
    assert_status(reseat_verdict_limit((double)NAN, 0.1, &limit), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_verdict_limit(0.1, 0.1, NULL), RESEAT_ERR_ARGUMENT);
    assert_same_bits(limit, before);
}

static void every_reason_has_its_code(void **state)
{
    (void)state;
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
    (void)state;
    const reseat_question good = ask(0.01, 0, "any", 0.02);
    reseat_answer answer = {.count = 77}, before = answer;
    double out = 0.5;
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

    assert_status(reseat_verdict_allowed_turn(&good.estimate, 0, 0.95, &out), RESEAT_ERR_RANGE);
    assert_status(reseat_verdict_allowed_turn(NULL, 1, 0.95, &out), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_verdict_allowed_offset(&good.estimate, 1, (double)NAN, &out),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_verdict_allowed_offset(&good.estimate, 1, 0.9, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_near(out, 0.5, 0);

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
        cmocka_unit_test(what_the_log_found_stands_whatever_the_chance),
        cmocka_unit_test(an_unknown_seat_is_shown_every_fifteen_degrees),
        cmocka_unit_test(the_smaller_turn_wins_between_equal_seats),
        cmocka_unit_test(the_allowed_turn_is_where_the_chance_meets_the_confidence),
        cmocka_unit_test(the_allowed_turn_is_nothing_or_everything_at_the_ends),
        cmocka_unit_test(the_allowed_offset_is_where_half_a_turn_meets_the_confidence),
        cmocka_unit_test(the_budget_is_that_of_the_worst_seat),
        cmocka_unit_test(a_gauge_check_has_a_budget_of_its_own),
        cmocka_unit_test(a_share_of_the_tolerance_is_the_limit),
        cmocka_unit_test(every_reason_has_its_code),
        cmocka_unit_test(leaves_output_alone_on_failure),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
