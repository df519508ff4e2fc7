/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The worst turn between two turns of the grid: next to an end of the range, or midway. */
#include "question.h"
#include "reseat/probe.h"
#include "model/verdict.h"
#include "model/estimate.h"

static const reseat_radius_curve LOBES = {.mean_mm = 3, .order = 3, .directions = 12,
                                          .cosine_mm = {0, 0, 0.0004, 0.0009}};

/* Of any seat; where lobes move the worst turn away from that of the largest error. */
static reseat_question lobed(void)
{
    reseat_question q = ask(0.007, 0.003, "any", 0.02);
    q.estimate.curve = &LOBES;
    return q;
}

static reseat_question between(double first_deg, double width_deg)
{
    reseat_question q = lobed();
    q.turns.first_deg = first_deg;
    q.turns.width_deg = width_deg;
    return q;
}

static double chance_at(const reseat_question *q, double turn_deg)
{
    double chance = 0;
    assert_status(estimate_chance(&q->estimate, turn_deg, q->limit_mm, &chance), RESEAT_OK);
    return chance;
}

/* The range begins and ends so far from the worst turn that this is nearest to the grid's end. */
static void the_worst_turn_next_to_an_end_is_found(void **state)
{
    const reseat_question any = lobed();
    const reseat_outcome worst = decide(&any).worst;
    const double before_deg[] = {0.3, 0.7, 49.7, 49.3};
    for (size_t i = 0; i < 4; i++) {
        const double first_deg = worst.turn_deg - before_deg[i];
        const reseat_question q = between(first_deg, 50);
        assert_near(decide(&q).worst.chance_within, worst.chance_within, 1e-11);
        assert_true(fmin(chance_at(&q, first_deg + floor(before_deg[i])),
                         chance_at(&q, first_deg + ceil(before_deg[i])))
                    > worst.chance_within + 1e-9);
    }
}

/* Two neighbours on the grid are alike to the last bits, one a little less than the other. */
static void the_worst_turn_midway_is_found(void **state)
{
    const reseat_question any = lobed();
    const reseat_outcome worst = decide(&any).worst;
    double low = worst.turn_deg - 0.9, high = worst.turn_deg - 0.1;
    for (int i = 0; i < 200; i++) {
        const double middle = (low + high) / 2;
        *(chance_at(&any, middle) > chance_at(&any, middle + 1) ? &low : &high) = middle;
    }
    const double ends_deg[] = {low - 1e-11, high + 1e-11};
    for (size_t i = 0; i < 2; i++) {
        assert_near(chance_at(&any, ends_deg[i]), chance_at(&any, ends_deg[i] + 1), 1e-12);
        const reseat_question q = between(ends_deg[i] - 20, 40);
        assert_near(decide(&q).worst.chance_within, worst.chance_within, 1e-11);
    }
}

/*
 * The same where the error decides: along X it is q.x (1 - cos) + q.y sin, at most q.x + |q|, which
 * is at half a turn less the bearing of q.
 */
static void the_largest_error_midway_is_found(void **state)
{
    const reseat_xy offset_mm = {0.006, 0.008};
    const double turn_deg = 180 - reseat_plane_bearing(offset_mm);
    reseat_question q = ask(offset_mm.x, offset_mm.y, "any", 0.02);
    reseat_feature surface;
    assert_status(reseat_feature_parse("surface:0", 9, RESEAT_MM, &surface, NULL), RESEAT_OK);
    for (int side = -1; side <= 1; side += 2) {
        reseat_feature_row row;
        q.turns.first_deg = turn_deg - 20.5 + side * 1e-8;
        q.turns.width_deg = 40;
        assert_status(reseat_feature_worst(&q, &surface, RESEAT_REPORTED_POSITION, 0.1, &row),
                      RESEAT_OK);
        assert_near(row.error_mm, 0.016, 1e-12);
        assert_near(row.turn_deg, turn_deg, 1e-3);
    }
}

/* The scatter overflows at half a turn, which a refinement tries, but not at either end. */
static void what_overflows_between_the_turns_of_the_grid_is_an_error(void **state)
{
    reseat_question q = ask(1e153, 0, "180.0944+-0.4", 1e154);
    seat_search search;
    double low = 1e150, high = 1e155, chance = 0;
    q.estimate.in_use_mm = (reseat_xy){0, 1e153};
    for (int i = 0; i < 100; i++) {
        q.estimate.terms.u_spindle_mm = (low + high) / 2;
        const bool overflows = estimate_chance(&q.estimate, 179.75, q.limit_mm, &chance) !=
                               RESEAT_OK;
        *(overflows ? &high : &low) = q.estimate.terms.u_spindle_mm;
    }
    q.estimate.terms.u_spindle_mm = low;
    assert_true(chance_at(&q, 179.6944) > 0.1 && chance_at(&q, 180.4944) > 0.1);
    assert_status(estimate_chance(&q.estimate, 180, q.limit_mm, &chance),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(worst_seat(&q, &search), RESEAT_ERR_NOT_FINITE);
}

/* The scatter of the spindle overflows wherever the probe is turned. */
static void seats_that_overflow_are_not_shown(void **state)
{
    static const char *const seats[] = {"keys:2", "any", "0+-5", "2.5+-2.5"};
    for (size_t i = 0; i < 4; i++) {
        reseat_question q = ask(1e153, 0, seats[i], 1e154);
        const reseat_outcome worst = {.turn_deg = 0};
        reseat_outcome shown[RESEAT_OUTCOMES_MAX];
        size_t count = 77;
        assert_status(shown_seats(&q, &worst, shown, &count), RESEAT_OK);
        assert_int_equal(count, i == 0 ? 2 : i == 1 ? 24 : 3);
        count = 77;
        q.estimate.terms.u_spindle_mm = 1e156;
        assert_status(shown_seats(&q, &worst, shown, &count), RESEAT_ERR_NOT_FINITE);
        assert_int_equal(count, 77);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_worst_turn_next_to_an_end_is_found),
        cmocka_unit_test(the_worst_turn_midway_is_found),
        cmocka_unit_test(the_largest_error_midway_is_found),
        cmocka_unit_test(seats_that_overflow_are_not_shown),
        cmocka_unit_test(what_overflows_between_the_turns_of_the_grid_is_an_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
