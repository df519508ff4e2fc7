/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "question.h"
#include "random.h"
#include "model/estimate.h"
#include "model/verdict.h"

static void the_allowed_turn_is_where_the_chance_meets_the_confidence(void **state)
{
    const reseat_question q = ask(0.02, 0.01, "any", 0.02);
    double turn = -1, within = -1, beyond = -1;
    assert_status(verdict_allowed_turn(&q.estimate, q.limit_mm, 0.95, &turn), RESEAT_OK);
    assert_true(turn > 10 && turn < 60);
    assert_status(estimate_chance(&q.estimate, turn, q.limit_mm, &within), RESEAT_OK);
    assert_status(estimate_chance(&q.estimate, turn + 1e-6, q.limit_mm, &beyond), RESEAT_OK);
    assert_true(within >= 0.95 && beyond < 0.95);
}

static void the_allowed_turn_is_nothing_or_everything_at_the_ends(void **state)
{
    const reseat_question q = ask(0.02, 0.01, "any", 0.02);
    double turn = -1;
    assert_status(verdict_allowed_turn(&q.estimate, 0.001, 0.95, &turn), RESEAT_OK);
    assert_near(turn, 0, 0);
    assert_status(verdict_allowed_turn(&q.estimate, 1, 0.95, &turn), RESEAT_OK);
    assert_near(turn, 180, 0);
    assert_status(verdict_allowed_offset(&q.estimate, 0.001, 0.95, &turn), RESEAT_OK);
    assert_near(turn, 0, 0);
}

static void the_allowed_offset_is_where_half_a_turn_meets_the_confidence(void **state)
{
    const double confidences[] = {0.2, 0.5, 0.95, 0.999};
    for (int i = 0; i < 4; i++) {
        reseat_question q = ask(0.02, 0.01, "180", 0.03);
        q.confidence = confidences[i];
        double allowed = -1, chance = -1;
        assert_status(verdict_allowed_offset(&q.estimate, q.limit_mm, q.confidence,
                                             &allowed), RESEAT_OK);
        for (int side = 0; side < 2; side++) {
            const double length = allowed + (side ? 1e-9 : 0);
            reseat_estimate e = q.estimate;
            e.offset_mm = (reseat_xy){length * 2 / sqrt(5), length / sqrt(5)};
            e.in_use_mm = e.offset_mm;
            assert_status(estimate_chance(&e, 180, q.limit_mm, &chance), RESEAT_OK);
            assert_true(side ? chance < q.confidence : chance >= q.confidence - 1e-12);
        }
    }
}

static void two_seatings_count_for_a_probe_that_has_not_been_out_yet(void **state)
{
    const reseat_question in = ask(0.02, 0.01, "same", 0.02);
    const reseat_question out = ask(0.02, 0.01, "keys:1", 0.02);
    double in_turn = -1, out_turn = -2, in_offset = -1, out_offset = -2;
    assert_status(verdict_allowed_turn(&in.estimate, 0.02, 0.95, &in_turn), RESEAT_OK);
    assert_status(verdict_allowed_turn(&out.estimate, 0.02, 0.95, &out_turn), RESEAT_OK);
    assert_same_bits(in_turn, out_turn);
    assert_status(verdict_allowed_offset(&in.estimate, 0.02, 0.95, &in_offset), RESEAT_OK);
    assert_status(verdict_allowed_offset(&out.estimate, 0.02, 0.95, &out_offset), RESEAT_OK);
    assert_same_bits(in_offset, out_offset);
}

static void lobes_may_allow_less_of_a_turn_one_way_than_the_other(void **state)
{
    reseat_radius_curve curve = {.mean_mm = 3, .order = 5, .directions = 12};
    curve.cosine_mm[2] = 0.003;
    curve.sine_mm[3] = 0.004;
    reseat_question q = ask(0.012, 0.004, "any", 0.012);
    q.estimate.curve = &curve;
    double turn = -1, least = 2, beyond = 2;
    assert_status(verdict_allowed_turn(&q.estimate, 0.012, 0.95, &turn), RESEAT_OK);
    assert_true(turn > 1 && turn < 179);
    double chances[2];
    for (int way = 0; way < 2; way++) {
        double chance = -1;
        const double sign = way ? -1 : 1;
        assert_status(estimate_chance(&q.estimate, sign * turn, 0.012, &chances[way]),
                      RESEAT_OK);
        assert_status(estimate_chance(&q.estimate, sign * (turn + 1e-6), 0.012, &chance),
                      RESEAT_OK);
        least = fmin(least, chances[way]);
        beyond = fmin(beyond, chance);
    }
    assert_true(least >= 0.95 && beyond < 0.95);
    assert_true(fabs(chances[0] - chances[1]) > 0.001); /* else the case says nothing */
}

static void the_allowed_offset_is_of_the_part_that_turns(void **state)
{
    reseat_question with = ask(0.05, 0.03, "180", 0.03);
    with.estimate.spindle_mm = (reseat_xy){0.03, 0.02};
    const reseat_question without = ask(0.02, 0.01, "180", 0.03);
    double a = -1, b = -2;
    assert_status(verdict_allowed_offset(&with.estimate, 0.03, 0.95, &a), RESEAT_OK);
    assert_status(verdict_allowed_offset(&without.estimate, 0.03, 0.95, &b), RESEAT_OK);
    assert_near(a, b, 1e-15);
}

static void a_share_of_the_tolerance_is_the_limit(void **state)
{
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

static void leaves_output_alone_on_failure(void **state)
{
    const reseat_question good = ask(0.01, 0, "any", 0.02);
    double out = 0.5;
    assert_status(verdict_allowed_turn(&good.estimate, 0, 0.95, &out), RESEAT_ERR_RANGE);
    assert_status(verdict_allowed_offset(&good.estimate, 1, (double)NAN, &out),
                  RESEAT_ERR_NOT_FINITE);
    reseat_estimate bad = good.estimate;
    bad.terms.u_run_mm = (double)NAN;
    assert_status(verdict_allowed_turn(&bad, 1, 0.9, &out), RESEAT_ERR_NOT_FINITE);
    assert_status(verdict_allowed_offset(&bad, 1, 0.9, &out), RESEAT_ERR_NOT_FINITE);
    assert_near(out, 0.5, 0);
}

static double chance_at(const reseat_estimate *e, double turn_deg, double limit_mm)
{
    double chance = -1;
    assert_status(estimate_chance(e, turn_deg, limit_mm, &chance), RESEAT_OK);
    return chance;
}

/* Whichever way is worse, and in whichever direction the offset points from the spindle's part. */
static void with_lobes_both_bounds_are_where_the_chance_meets_the_confidence(void **state)
{
    uint64_t seed = 20260305;
    for (int i = 0; i < 12; i++) {
        const double x = random_between(&seed, -0.02, 0.02), y = random_between(&seed, 0.01, 0.02);
        const reseat_question q = ask(x, y, "any", 0.02);
        reseat_radius_curve curve = {.mean_mm = 3, .order = 3, .directions = 12};
        curve.cosine_mm[3] = random_between(&seed, -0.006, 0.006);
        curve.sine_mm[3] = random_between(&seed, -0.006, 0.006);
        reseat_estimate e = q.estimate;
        e.curve = &curve;
        e.spindle_mm = (reseat_xy){random_between(&seed, -0.01, 0.01), -0.006};
        double turn = -1, length = -1;
        assert_status(verdict_allowed_turn(&e, q.limit_mm, 0.9, &turn), RESEAT_OK);
        assert_true(turn > 0 && turn < 180);
        assert_true(fmin(chance_at(&e, turn, 0.02), chance_at(&e, -turn, 0.02)) >= 0.9);
        const double past = turn + 1e-6;
        assert_true(fmin(chance_at(&e, past, 0.02), chance_at(&e, -past, 0.02)) < 0.9);

        assert_status(verdict_allowed_offset(&e, q.limit_mm, 0.9, &length), RESEAT_OK);
        const reseat_xy o = e.offset_mm, a = e.spindle_mm;
        const double share = length / hypot(o.x - a.x, o.y - a.y);
        e.offset_mm = (reseat_xy){a.x + share * (o.x - a.x), a.y + share * (o.y - a.y)};
        e.in_use_mm = e.offset_mm;
        assert_near(chance_at(&e, 180, 0.02), 0.9, 1e-9);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_allowed_turn_is_where_the_chance_meets_the_confidence),
        cmocka_unit_test(the_allowed_turn_is_nothing_or_everything_at_the_ends),
        cmocka_unit_test(the_allowed_offset_is_where_half_a_turn_meets_the_confidence),
        cmocka_unit_test(two_seatings_count_for_a_probe_that_has_not_been_out_yet),
        cmocka_unit_test(lobes_may_allow_less_of_a_turn_one_way_than_the_other),
        cmocka_unit_test(the_allowed_offset_is_of_the_part_that_turns),
        cmocka_unit_test(a_share_of_the_tolerance_is_the_limit),
        cmocka_unit_test(leaves_output_alone_on_failure),
        cmocka_unit_test(with_lobes_both_bounds_are_where_the_chance_meets_the_confidence),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
