/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "check.h"
#include "reseat/history.h"
#include "history/suspect.h"

static suspect_fact run(int64_t seq, double found_x, double in_use_x)
{
    return (suspect_fact){.fact = {.type = RESEAT_RECORD_RUN, .seq = seq, .at = 1000 * seq,
                                   .found_mm = {found_x, 0.002}, .in_use_mm = {in_use_x, 0.002}}};
}

static suspect_fact gauge_check(int64_t seq, double error_x)
{
    return (suspect_fact){.fact = {.type = RESEAT_RECORD_VERIFY, .seq = seq, .at = 1000 * seq},
                          .passed = error_x < 0.004, .error_mm = {error_x, 0}};
}

static suspect_fact event(event_kind kind, int64_t seq, int64_t at)
{
    return (suspect_fact){
        .fact = {.type = RESEAT_RECORD_EVENT, .event = kind, .seq = seq, .at = at}};
}

static size_t find(const suspect_fact *facts, size_t count, reseat_window *windows)
{
    size_t found = 99;
    assert_status(suspect_find(facts, count, 0.005, windows, &found), RESEAT_OK);
    return found;
}

static void a_run_that_finds_another_offset_opens_a_window(void **state)
{
    const suspect_fact facts[] = {run(1, 0.010, 0.010), run(2, 0.011, 0.012),
                                 run(5, -0.011, -0.011), run(6, -0.012, -0.012)};
    reseat_window w[4];
    assert_int_equal(find(facts, 4, w), 1);
    assert_int_equal(w[0].from_seq, 2);
    assert_int_equal(w[0].to_seq, 5);
    assert_int_equal(w[0].from, 2000);
    assert_int_equal(w[0].to, 5000);
    assert_near(w[0].expected_mm.x, 0.012, 0);
    assert_near(w[0].found_mm.x, -0.011, 0);
    assert_near(w[0].error_mm.x, 0.023, 1e-17);
    assert_near(w[0].error_mm.y, 0, 0);
}

static void a_passed_check_shortens_the_window(void **state)
{
    const suspect_fact facts[] = {run(1, 0.010, 0.010), gauge_check(3, 0.003),
                                 run(5, -0.011, -0.011)};
    reseat_window w[3];
    assert_int_equal(find(facts, 3, w), 1);
    assert_int_equal(w[0].from_seq, 3);
    assert_int_equal(w[0].to_seq, 5);
}

/* Not good and not beyond the limit: what is known stays as it is. */
static void a_check_that_did_not_pass_makes_nothing_good(void **state)
{
    const suspect_fact facts[] = {run(1, 0.010, 0.010), gauge_check(3, 0.0045),
                                  run(5, -0.011, -0.011)};
    reseat_window w[3];
    assert_int_equal(find(facts, 3, w), 1);
    assert_int_equal(w[0].from_seq, 1);
    assert_int_equal(w[0].to_seq, 5);
}

static void a_failed_check_ends_no_doubt(void **state)
{
    const suspect_fact facts[] = {run(1, 0.010, 0.010),   gauge_check(3, 0.020),
                                  gauge_check(4, 0.0045), gauge_check(5, 0.019),
                                  run(6, -0.011, -0.011), gauge_check(7, 0.0051)};
    reseat_window w[6];
    assert_int_equal(find(facts, 6, w), 2);
    assert_int_equal(w[0].from_seq, 1);
    assert_int_equal(w[0].to_seq, 6);
    assert_int_equal(w[0].to, 6000);
    assert_false(w[0].open);
    assert_near(w[0].error_mm.x, 0.021, 1e-17); /* the run found more than the checks */
    assert_near(w[0].found_mm.x, -0.011, 0);
    assert_true(w[1].open && w[1].measured);
    assert_int_equal(w[1].from_seq, 6);
    assert_int_equal(w[1].to_seq, -1);
    assert_int_equal(w[1].cause_seq, 7);
    assert_near(w[1].error_mm.x, 0.0051, 0);
    assert_int_equal(w[1].reason, RESEAT_REASON_ERROR_EXCEEDS_LIMIT);
}

static void of_several_findings_the_farthest_stands(void **state)
{
    const suspect_fact facts[] = {run(1, 0.010, 0.010), gauge_check(3, 0.020),
                                  run(6, 0.009, 0.009)};
    reseat_window w[3];
    assert_int_equal(find(facts, 3, w), 1);
    assert_int_equal(w[0].to_seq, 6);
    assert_near(w[0].error_mm.x, 0.020, 0);
    assert_near(w[0].found_mm.x, -0.010, 1e-17);
}

static suspect_fact new_stylus(int64_t seq, int64_t at)
{
    return event(EVENT_STYLUS_CHANGE, seq, at);
}

/* What is found of a new stylus casts doubt from the change on, not on what was before. */
static void a_new_stylus_begins_a_window(void **state)
{
    const suspect_fact facts[] = {
        new_stylus(1, 500), /* nothing is known yet */
        run(2, 0.010, 0.010),
        new_stylus(3, 2500),
        new_stylus(4, 2600),
        run(5, -0.011, -0.011), /* from 3 */
        gauge_check(6, 0.020),
        new_stylus(7, 6500),    /* from 5: known to be wrong already */
        run(8, 0.011, 0.011),   /* from 7 */
        new_stylus(9, 8500),
        gauge_check(10, 0.001),
        run(11, 0.030, 0.030),  /* from 10 */
        new_stylus(12, 11500),
        gauge_check(13, 0.020),
        run(14, 0.030, 0.030),  /* from 12 */
        new_stylus(15, 15000),
        run(15, 0.060, 0.060)}; /* at once */
    const int64_t from[] = {3, 5, 7, 10, 12}, to[] = {5, 7, 8, 11, 14};
    reseat_window w[16];
    assert_int_equal(find(facts, 16, w), 5);
    for (size_t i = 0; i < 5; i++) {
        assert_int_equal(w[i].from_seq, from[i]);
        assert_int_equal(w[i].to_seq, to[i]);
        assert_true(w[i].measured && !w[i].open);
    }
    assert_int_equal(w[0].from, 2500);
    assert_near(w[0].expected_mm.x, 0.010, 0);
    assert_near(w[0].found_mm.x, -0.011, 0);
    assert_near(w[4].error_mm.x, 0.020, 0);
    const suspect_fact same[] = {run(1, 0.010, 0.010), new_stylus(2, 2000), run(3, 0.011, 0.011)};
    assert_int_equal(find(same, 3, w), 0);
    assert_int_equal(find(same, 0, NULL), 0);
}

/* The old stylus hit something, and nothing measured it before it was changed. */
static void a_collision_before_a_new_stylus_leaves_doubt_of_unknown_size(void **state)
{
    const suspect_fact facts[] = {event(EVENT_COLLISION, 1, 500), run(2, 0.010, 0.010),
                                  event(EVENT_COLLISION, 3, 3000), new_stylus(4, 4000),
                                  run(5, 0.011, 0.011), event(EVENT_COLLISION, 6, 6000),
                                  run(7, 0.012, 0.012)};
    reseat_window w[7];
    assert_int_equal(find(facts, 7, w), 1);
    assert_int_equal(w[0].from_seq, 2);
    assert_int_equal(w[0].to_seq, 4);
    assert_false(w[0].measured || w[0].open);
    assert_near(w[0].error_mm.x, 0, 0);
}

/* After one that failed, too: the probe may have been put back as it was. */
static void a_passed_check_makes_good_again(void **state)
{
    const suspect_fact facts[] = {gauge_check(1, 0.001), gauge_check(2, 0.02), /* no run yet */
                                  run(3, 0.010, 0.010), gauge_check(4, 0.020),
                                  gauge_check(5, 0.021), gauge_check(6, 0.001),
                                  gauge_check(7, 0.020)};
    reseat_window w[7];
    assert_int_equal(find(facts, 7, w), 2);
    assert_int_equal(w[0].from_seq, 3);
    assert_int_equal(w[0].to_seq, 6);
    assert_near(w[0].error_mm.x, 0.021, 0);
    assert_int_equal(w[1].from_seq, 6);
    assert_true(w[1].open);
}

static void each_wrong_input_is_refused_untouched(void **state)
{
    suspect_fact facts[] = {run(1, 0.010, 0.010)};
    reseat_window w[1];
    size_t found = 7;
    assert_status(suspect_find(NULL, 1, 1, w, &found), RESEAT_ERR_ARGUMENT);
    assert_status(suspect_find(facts, 1, 1, NULL, &found), RESEAT_ERR_ARGUMENT);
    assert_status(suspect_find(facts, 1, 1, w, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(suspect_find(facts, 1, 0, w, &found), RESEAT_ERR_RANGE);
    assert_status(suspect_find(facts, 1, (double)NAN, w, &found), RESEAT_ERR_NOT_FINITE);
    facts[0].fact.found_mm.x = (double)NAN;
    assert_status(suspect_find(facts, 1, 1, w, &found), RESEAT_ERR_NOT_FINITE);
    assert_int_equal(found, 7);
    reseat_suspect suspect = {.count = 3};
    assert_status(reseat_suspect_read(NULL, NULL, NULL, &suspect, NULL), RESEAT_ERR_ARGUMENT);
    assert_int_equal(suspect.count, 3);
    reseat_suspect_free(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_run_that_finds_another_offset_opens_a_window),
        cmocka_unit_test(a_passed_check_shortens_the_window),
        cmocka_unit_test(a_check_that_did_not_pass_makes_nothing_good),
        cmocka_unit_test(a_failed_check_ends_no_doubt),
        cmocka_unit_test(of_several_findings_the_farthest_stands),
        cmocka_unit_test(a_new_stylus_begins_a_window),
        cmocka_unit_test(a_collision_before_a_new_stylus_leaves_doubt_of_unknown_size),
        cmocka_unit_test(a_passed_check_makes_good_again),
        cmocka_unit_test(each_wrong_input_is_refused_untouched),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
