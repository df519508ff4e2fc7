/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "question.h"

static void the_budget_is_that_of_the_worst_seat(void **state)
{
    reseat_question q = ask(0.03, 0.04, "keys:2", 0.02);
    assert_status(reseat_terms_set(&q.estimate.terms, RESEAT_TERM_RUN, 0.0003), RESEAT_OK);
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

static void assert_rows(const reseat_question *question, const reseat_budget_row *rows,
                        size_t count)
{
    const reseat_answer a = decide(question);
    assert_int_equal(a.budget_count, count);
    for (size_t i = 0; i < count; i++) {
        assert_int_equal(a.budget[i].term, rows[i].term);
        assert_near(a.budget[i].u_mm, rows[i].u_mm, 1e-18);
        assert_int_equal(a.budget[i].assumed, rows[i].assumed);
    }
}

static void a_gauge_check_has_a_budget_of_its_own(void **state)
{
    reseat_question q = ask(0.03, 0.04, "same", 0.02);
    q.estimate.verified = true;
    q.estimate.shift_u_mm = 0.0004;
    q.estimate.shift_drift_mm = 0.0003;
    assert_status(reseat_terms_set(&q.estimate.terms, RESEAT_TERM_SEAT, 0.001), RESEAT_OK);
    assert_rows(&q, (const reseat_budget_row[]){{RESEAT_TERM_RUN, 0.001, true},
                                                {RESEAT_TERM_SHIFT, 0.0004, false},
                                                {RESEAT_TERM_DRIFT, 0.0003, false},
                                                {RESEAT_TERM_LOBING, 0, true}}, 4);
    q.estimate.shift_reseated = true;
    assert_rows(&q, (const reseat_budget_row[]){{RESEAT_TERM_RUN, 0.001, true},
                                                {RESEAT_TERM_SHIFT, 0.0004, false},
                                                {RESEAT_TERM_SEAT, sqrt(2.0) * 0.001, false},
                                                {RESEAT_TERM_DRIFT, 0.0003, false},
                                                {RESEAT_TERM_LOBING, 0, true}}, 5);
}

static void a_probe_that_has_not_been_out_has_no_seating_in_its_budget(void **state)
{
    const reseat_question q = ask(0.03, 0.04, "same", 0.02);
    const reseat_answer a = decide(&q);
    assert_int_equal(a.budget[1].term, RESEAT_TERM_SEAT);
    assert_near(a.budget[1].u_mm, 0, 0);
    assert_near(a.budget[3].u_mm, 0, 0);
    assert_near(a.budget[6].u_mm, 0, 0);
}

static void the_budget_follows_the_turn(void **state)
{
    const reseat_question q = ask(0.03, 0.04, "270", 0.02);
    const reseat_answer a = decide(&q);
    assert_near(a.budget[3].u_mm, sqrt(2.0) * 0.002, 1e-18);
    const reseat_question ten = ask(0.03, 0.04, "10", 0.02);
    assert_near(decide(&ten).budget[6].u_mm, 0.003 * sin(15 * 3.14159265358979323846 / 180), 1e-18);
}

static void lobes_on_record_scatter_by_what_their_curve_leaves(void **state)
{
    const reseat_radius_curve curve = {.mean_mm = 3, .residual_mm = 0.0002, .order = 5,
                                       .directions = 12};
    reseat_question q = ask(0.03, 0.04, "180", 0.02);
    q.estimate.curve = &curve;
    const reseat_answer a = decide(&q);
    assert_int_equal(a.budget[6].term, RESEAT_TERM_LOBING);
    assert_near(a.budget[6].u_mm, sqrt(2.0) * 0.0002, 1e-18);
    assert_false(a.budget[6].assumed);
}

static void a_verdict_hangs_on_assumed_figures_where_they_can_turn_it(void **state)
{
    reseat_question q = ask(0.004, -0.001, "same", 0.005);
    assert_true(decide(&q).ok);
    assert_true(decide(&q).assumed_decides); /* not with twice the scatter */
    q.limit_mm = 0.05;
    assert_false(decide(&q).assumed_decides);
    q.limit_mm = 0.001;
    assert_false(decide(&q).ok);
    assert_true(decide(&q).assumed_decides); /* OK without any */
    q.estimate.terms.assumed = 0;
    assert_false(decide(&q).assumed_decides);

    const reseat_question far = ask(0.012, -0.005, "180", 0.01);
    assert_false(decide(&far).assumed_decides);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_budget_is_that_of_the_worst_seat),
        cmocka_unit_test(a_gauge_check_has_a_budget_of_its_own),
        cmocka_unit_test(a_probe_that_has_not_been_out_has_no_seating_in_its_budget),
        cmocka_unit_test(the_budget_follows_the_turn),
        cmocka_unit_test(lobes_on_record_scatter_by_what_their_curve_leaves),
        cmocka_unit_test(a_verdict_hangs_on_assumed_figures_where_they_can_turn_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
