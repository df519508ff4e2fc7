/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "check.h"
#include "reseat/history.h"
#include "reseat/probe.h"
#include "model/estimate.h"
#include "history/drift.h"

/* No scatter but drift: |N(0, u^2)| <= A with chance 1 - exp(-A^2 / 2 u^2), so that u is known. */
static reseat_estimate quiet(void)
{
    return (reseat_estimate){.offset_mm = {0.01, 0}, .in_use_mm = {0.01, 0}};
}

static const reseat_drift_growth WALK = {.q_mm2_per_day = 1e-8};

static due_date find(const reseat_estimate *estimate, double limit_mm,
                     const reseat_drift_growth *growth, double max_age_days)
{
    due_date due;
    assert_status(due_find(estimate, limit_mm, 0.95, growth, max_age_days, &due),
                  RESEAT_OK);
    return due;
}

/* u^2 = A^2 / (-2 ln 0.05), and days = u^2 / q: 417.26 for A = 0.005. */
static void the_first_day_is_that_of_the_closed_form(void **state)
{
    const reseat_estimate estimate = quiet();
    const double exact = 0.005 * 0.005 / (-2 * log(0.05)) / 1e-8;
    due_date due = find(&estimate, 0.005, &WALK, 10000);
    assert_near(due.days, ceil(exact), 0);
    assert_false(due.by_age);

    /* Beyond ten years, and where a trend rules: u = days * 1e-5. */
    due = find(&estimate, 0.05, &WALK, 1e6);
    assert_near(due.days, ceil(100 * exact), 0);
    for (int i = 0; i < 16; i++) {
        const double limit_mm = 0.05 + 0.0001 * i;
        due = find(&estimate, limit_mm, &WALK, 1e6);
        assert_near(due.days, ceil(limit_mm * limit_mm / (-2 * log(0.05)) / 1e-8), 0);
    }
    const reseat_drift_growth pull = {.per_day_mm = 1e-5};
    due = find(&estimate, 0.005, &pull, 10000);
    assert_near(due.days, ceil(0.005 / sqrt(-2 * log(0.05)) / 1e-5), 0);
}

static void the_age_allowed_comes_first(void **state)
{
    const reseat_estimate estimate = quiet();
    due_date due = find(&estimate, 0.005, &WALK, 365.5);
    assert_near(due.days, 365, 0);
    assert_true(due.by_age);
    due = find(&estimate, 0.005, &WALK, 418);
    assert_near(due.days, 418, 0);
    assert_false(due.by_age);
    due = find(&estimate, 0.005, &WALK, 0.5);
    assert_near(due.days, 0, 0);
    assert_true(due.by_age);
    const reseat_drift_growth still = {0};
    due = find(&estimate, 0.005, &still, 1e300);
    assert_near(due.days, 1e300, 0);
    assert_true(due.by_age);
}

static void what_is_wrong_today_is_due_today(void **state)
{
    reseat_estimate estimate = quiet();
    estimate.in_use_mm.x = 0.02;
    const due_date due = find(&estimate, 0.005, &WALK, 365);
    assert_near(due.days, 0, 0);
    assert_false(due.by_age);
}

/* The verdict itself agrees: OK the day before, RECALIBRATE on the day. */
static void the_verdict_turns_on_that_day(void **state)
{
    reseat_question question = {.limit_mm = 0.006, .confidence = 0.95};
    question.turns = (reseat_turns){.count = 1};
    question.estimate = quiet();
    question.estimate.terms = terms_assumed();
    question.estimate.out = true; /* whatever it is: a probe that stays in is asked about */
    const due_date due = find(&question.estimate, 0.006, &WALK, 10000);
    assert_true(due.days > 1 && !due.by_age);
    question.estimate.out = false;
    for (int late = 0; late < 2; late++) {
        reseat_answer answer;
        assert_status(reseat_drift_growth_u(&WALK, due.days - 1 + late,
                                            &question.estimate.terms.u_drift_mm), RESEAT_OK);
        assert_status(reseat_verdict_decide(&question, &answer), RESEAT_OK);
        assert_int_equal(answer.ok, late == 0);
    }
}

static void due_refuses_what_it_cannot_take(void **state)
{
    reseat_estimate estimate = quiet();
    const reseat_drift_growth bad = {.q_mm2_per_day = -1};
    due_date due = {7, true};
    assert_status(due_find(NULL, 1, 0.9, &WALK, 1, &due), RESEAT_ERR_ARGUMENT);
    assert_status(due_find(&estimate, 1, 0.9, NULL, 1, &due), RESEAT_ERR_ARGUMENT);
    assert_status(due_find(&estimate, 1, 0.9, &WALK, 1, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(due_find(&estimate, (double)NAN, 0.9, &WALK, 1, &due),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(due_find(&estimate, 1, 0.9, &WALK, (double)INFINITY, &due),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(due_find(&estimate, 0, 0.9, &WALK, 1, &due), RESEAT_ERR_RANGE);
    assert_status(due_find(&estimate, 1, 1, &WALK, 1, &due), RESEAT_ERR_RANGE);
    assert_status(due_find(&estimate, 1, 0, &WALK, 1, &due), RESEAT_ERR_RANGE);
    assert_status(due_find(&estimate, 1, 0.9, &WALK, -1, &due), RESEAT_ERR_RANGE);
    assert_status(due_find(&estimate, 1, 0.9, &bad, 1, &due), RESEAT_ERR_RANGE);
    estimate.terms.u_run_mm = -1;
    assert_status(due_find(&estimate, 1, 0.9, &WALK, 1, &due), RESEAT_ERR_RANGE);
    assert_near(due.days, 7, 0);
    assert_true(due.by_age);
}

/* Beyond 2^53 days doubles do not count every one: the day is good to their spacing. */
static void a_day_too_far_to_count_is_still_found(void **state)
{
    const reseat_estimate estimate = quiet();
    const reseat_drift_growth slow = {.q_mm2_per_day = 1e-30};
    for (int i = 0; i < 32; i++) {
        const double limit_mm = 0.005 + 0.00001 * i;
        const double exact = limit_mm * limit_mm / (-2 * log(0.05)) / 1e-30;
        const due_date due = find(&estimate, limit_mm, &slow, 1e30);
        assert_near(due.days, exact, 1e-9 * exact);
        assert_false(due.by_age);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_first_day_is_that_of_the_closed_form),
        cmocka_unit_test(the_age_allowed_comes_first),
        cmocka_unit_test(what_is_wrong_today_is_due_today),
        cmocka_unit_test(the_verdict_turns_on_that_day),
        cmocka_unit_test(due_refuses_what_it_cannot_take),
        cmocka_unit_test(a_day_too_far_to_count_is_still_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
