/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <stdio.h>
#include "check.h"
#include "reseat/history.h"

#define SEAL ",\"seal\":\"85da4e8c50004914d1fb89748ccb118b2902b8ccb1498531c2b6ea16074423a7\"}"

/* A log in which P1's main tip has the runs 2, 6 and 9; seq 9 is of an earlier time than 6. */
static const char *const LINES[] = {
    "{\"v\":1,\"seq\":0,\"type\":\"log\",\"recorded_at\":\"2026-03-01T06:00:00Z\","
    "\"spindle\":\"mill-1\",\"format\":\"reseat-log\"" SEAL,
    "{\"v\":1,\"seq\":1,\"type\":\"event\",\"recorded_at\":\"2026-03-01T06:00:00Z\","
    "\"at\":\"2026-03-01T06:00:00Z\",\"kind\":\"service\"" SEAL,
    "{\"v\":1,\"seq\":2,\"type\":\"run\",\"recorded_at\":\"2026-03-02T06:00:00Z\","
    "\"probe\":\"P1\",\"at\":\"2026-03-02T06:00:00Z\",\"seat_deg\":30,\"offset_x_mm\":0.004,"
    "\"offset_y_mm\":-0.0011,\"offset_u_mm\":0.0004,\"radius_mm\":2.99,"
    "\"stylus_length_mm\":150.0" SEAL,
    "{\"v\":1,\"seq\":3,\"type\":\"run\",\"recorded_at\":\"2026-03-03T06:00:00Z\","
    "\"probe\":\"P1\",\"tip\":\"left\",\"at\":\"2026-03-03T06:00:00Z\",\"seat_deg\":0,"
    "\"offset_x_mm\":0.02,\"offset_y_mm\":0.0" SEAL,
    "{\"v\":1,\"seq\":4,\"type\":\"run\",\"recorded_at\":\"2026-03-04T06:00:00Z\","
    "\"probe\":\"P2\",\"at\":\"2026-03-04T06:00:00Z\",\"seat_deg\":0,\"offset_x_mm\":0.03,"
    "\"offset_y_mm\":0.0" SEAL,
    "{\"v\":1,\"seq\":5,\"type\":\"run\",\"recorded_at\":\"2026-03-05T06:00:00Z\","
    "\"probe\":\"P1\",\"at\":\"2026-03-05T06:00:00Z\",\"seat_deg\":0,\"offset_x_mm\":4.0,"
    "\"offset_y_mm\":0.0" SEAL,
    "{\"v\":1,\"seq\":6,\"type\":\"run\",\"recorded_at\":\"2026-03-08T06:00:00Z\","
    "\"probe\":\"P1\",\"tip\":\"main\",\"at\":\"2026-03-08T06:00:00Z\",\"seat_deg\":null,"
    "\"offset_x_mm\":0.005,\"offset_y_mm\":0.0" SEAL,
    "{\"v\":1,\"seq\":7,\"type\":\"void\",\"recorded_at\":\"2026-03-09T06:00:00Z\","
    "\"voids\":5,\"why\":\"inches\"" SEAL,
    "{\"v\":1,\"seq\":8,\"type\":\"event\",\"recorded_at\":\"2026-03-09T06:00:00Z\","
    "\"at\":\"2026-03-09T06:00:00Z\",\"kind\":\"collision\",\"probe\":\"P2\"" SEAL,
    "{\"v\":1,\"seq\":9,\"type\":\"run\",\"recorded_at\":\"2026-03-09T06:00:00Z\","
    "\"probe\":\"P1\",\"at\":\"2026-03-07T06:00:00Z\",\"seat_deg\":0,\"offset_x_mm\":0.006,"
    "\"offset_y_mm\":0.0" SEAL,
    "{\"v\":1,\"seq\":10,\"type\":\"event\",\"recorded_at\":\"2026-03-10T06:00:00Z\","
    "\"at\":\"2026-03-10T06:00:00Z\",\"kind\":\"stylus-change\",\"probe\":\"P1\"" SEAL,
    "{\"v\":1,\"seq\":11,\"type\":\"event\",\"recorded_at\":\"2026-03-11T06:00:00Z\","
    "\"at\":\"2026-03-11T06:00:00Z\",\"kind\":\"other\"" SEAL,
    "{\"v\":1,\"seq\":12,\"type\":\"event\",\"recorded_at\":\"2026-03-12T06:00:00Z\","
    "\"at\":\"2026-03-12T06:00:00Z\",\"kind\":\"collision\",\"probe\":\"P1\"" SEAL,
    "{\"v\":1,\"seq\":13,\"type\":\"void\",\"recorded_at\":\"2026-03-13T06:00:00Z\","
    "\"voids\":12,\"why\":\"another machine\"" SEAL,
};
#define LINE_COUNT (sizeof LINES / sizeof LINES[0])

static const int64_t DAY_6 = 1772776800; /* 2026-03-06T06:00:00Z */

static void take(reseat_gather *gather, const char *line)
{
    reseat_record *record = NULL;
    reseat_error error;
    assert_status(reseat_record_parse(line, strlen(line), &record, &error), RESEAT_OK);
    assert_status(reseat_gather_take(gather, record), RESEAT_OK);
    reseat_record_free(record);
}

static void check_whole(const reseat_drift_input *input)
{
    assert_int_equal(input->run_count, 3);
    assert_int_equal(input->runs[0].seq, 2);
    assert_int_equal(input->runs[1].seq, 9);
    assert_int_equal(input->runs[2].seq, 6);
    assert_int_equal(input->event_count, 2);
    assert_int_equal(input->events[0].seq, 1);
    assert_int_equal(input->events[1].seq, 10);
}

static void runs_of_one_tip_are_gathered_in_order(void **state)
{
    reseat_gather *gather = NULL;
    reseat_drift_input input = {.limit_mm = 0.005};
    assert_status(reseat_gather_new("P1", "main", INT64_MAX, &gather), RESEAT_OK);
    for (size_t i = 0; i < LINE_COUNT; i++)
        take(gather, LINES[i]);
    assert_status(reseat_gather_get(gather, 0, NULL, NULL, &input), RESEAT_OK);
    check_whole(&input);
    assert_near(input.limit_mm, 0.005, 0);
    const reseat_drift_run *run = &input.runs[0];
    assert_true(run->seat_known && run->offset_u_known && run->radius_known);
    assert_true(run->stylus_length_known);
    assert_int_equal(run->at, 1772431200);
    assert_near(run->seat_deg, 30, 0);
    assert_near(run->offset_mm.x, 0.004, 0);
    assert_near(run->offset_mm.y, -0.0011, 0);
    assert_near(run->offset_u_mm, 0.0004, 0);
    assert_near(run->radius_mm, 2.99, 0);
    assert_near(run->stylus_length_mm, 150, 0);
    assert_false(input.runs[2].seat_known || input.runs[2].offset_u_known);
    assert_false(input.runs[2].radius_known || input.runs[2].stylus_length_known);
    reseat_gather_free(gather);
}

static void a_log_may_be_gathered_backwards(void **state)
{
    reseat_gather *gather = NULL;
    reseat_drift_input input = {0};
    assert_status(reseat_gather_new("P1", "main", INT64_MAX, &gather), RESEAT_OK);
    for (size_t i = LINE_COUNT; i > 0; i--)
        take(gather, LINES[i - 1]);
    assert_status(reseat_gather_get(gather, 0, NULL, NULL, &input), RESEAT_OK);
    check_whole(&input);
    reseat_gather_free(gather);
}

static void later_facts_are_left_out_but_not_later_voids(void **state)
{
    reseat_gather *gather = NULL;
    reseat_drift_input input = {0};
    assert_status(reseat_gather_new("P1", "main", DAY_6, &gather), RESEAT_OK);
    for (size_t i = 0; i < LINE_COUNT; i++)
        take(gather, LINES[i]);
    assert_status(reseat_gather_get(gather, 0, NULL, NULL, &input), RESEAT_OK);
    assert_int_equal(input.run_count, 1);
    assert_int_equal(input.runs[0].seq, 2);
    assert_int_equal(input.event_count, 1);
    reseat_gather_free(gather);
}

static void a_fact_of_the_last_moment_that_is_asked_for_counts(void **state)
{
    reseat_gather *gather = NULL;
    const int64_t second = 1772431200; /* of the run 2 */
    for (int before = 0; before <= 1; before++) {
        assert_status(reseat_gather_new("P1", "main", second - before, &gather), RESEAT_OK);
        take(gather, LINES[2]);
        assert_int_equal(reseat_gather_count(gather), before == 1 ? 0 : 1);
        reseat_gather_free(gather);
    }
}

static void what_a_run_does_not_say_is_0(void **state)
{
    reseat_record *record = NULL;
    assert_status(reseat_record_new(RESEAT_RECORD_RUN, &record), RESEAT_OK);
    const reseat_drift_run run = reseat_gather_run(record), nothing = reseat_gather_run(NULL);
    reseat_record_free(record);
    for (int i = 0; i < 2; i++) {
        const reseat_drift_run *r = i == 0 ? &run : &nothing;
        assert_int_equal(r->seq, 0);
        assert_true(r->at == 0 && !r->seat_known && !r->offset_u_known && !r->radius_known);
        assert_same_bits(r->offset_mm.x, 0.0);
        assert_same_bits(r->offset_mm.y, 0.0);
        assert_same_bits(r->seat_deg, 0.0);
        assert_same_bits(r->offset_u_mm, 0.0);
        assert_same_bits(r->radius_mm, 0.0);
        assert_same_bits(r->stylus_length_mm, 0.0);
    }
}

static void gathering_goes_on_after_giving(void **state)
{
    reseat_gather *gather = NULL;
    reseat_drift_input input = {0};
    assert_status(reseat_gather_new("P1", "main", INT64_MAX, &gather), RESEAT_OK);
    assert_int_equal(reseat_gather_count(gather), 0);
    for (size_t i = 0; i < LINE_COUNT; i++) {
        take(gather, LINES[i]);
        assert_int_equal(reseat_gather_count(gather), i < 2 ? 0 : 1);
        assert_status(reseat_gather_get(gather, 0, NULL, NULL, &input),
                      i < 2 ? RESEAT_ERR_RANGE : RESEAT_OK);
    }
    check_whole(&input);
    for (int i = 0; i < 1000; i++) /* the same run again and again: room is made */
        take(gather, LINES[2]);
    assert_status(reseat_gather_get(gather, 0, NULL, NULL, &input), RESEAT_OK);
    assert_int_equal(input.run_count, 1003);
    reseat_gather_free(gather);
}

static void all_tips_are_gathered_at_once(void **state)
{
    static const struct {
        const char *probe, *tip;
        size_t runs, events;
    } expected[] = {{"P1", "left", 1, 2}, {"P1", "main", 3, 2}, {"P2", "main", 1, 2}};
    reseat_gather *gather = NULL;
    reseat_drift_input input = {0};
    assert_status(reseat_gather_new(NULL, NULL, INT64_MAX, &gather), RESEAT_OK);
    for (size_t i = 0; i < LINE_COUNT; i++)
        take(gather, LINES[i]);
    assert_int_equal(reseat_gather_count(gather), 3);
    for (size_t i = 0; i < 3; i++) {
        const char *probe = NULL;
        const char *tip = NULL;
        assert_status(reseat_gather_get(gather, i, &probe, &tip, &input), RESEAT_OK);
        assert_string_equal(probe, expected[i].probe);
        assert_string_equal(tip, expected[i].tip);
        assert_int_equal(input.run_count, expected[i].runs);
        assert_int_equal(input.event_count, expected[i].events);
    }
    assert_int_equal(input.events[1].seq, 8);
    assert_status(reseat_gather_get(gather, 3, NULL, NULL, &input), RESEAT_ERR_RANGE);
    reseat_gather_free(gather);
}

/* A tip whose only run is void is none. */
static void a_tip_without_runs_does_not_count(void **state)
{
    reseat_gather *gather = NULL;
    assert_status(reseat_gather_new(NULL, NULL, INT64_MAX, &gather), RESEAT_OK);
    take(gather, LINES[5]);
    assert_int_equal(reseat_gather_count(gather), 1);
    take(gather, LINES[7]);
    assert_int_equal(reseat_gather_count(gather), 0);
    take(gather, LINES[4]);
    assert_int_equal(reseat_gather_count(gather), 1);
    reseat_gather_free(gather);
}

/* The only runs of the first and of the last tip are void. */
static void tips_without_runs_stand_behind_those_with_some(void **state)
{
    reseat_gather *gather = NULL;
    reseat_drift_input input = {0};
    const char *probe = NULL;
    char line[512];
    assert_status(reseat_gather_new(NULL, NULL, INT64_MAX, &gather), RESEAT_OK);
    for (int i = 0; i < 5; i++) {
        snprintf(line, sizeof line, "{\"v\":1,\"seq\":%d,\"type\":\"run\",\"recorded_at\":"
                 "\"2026-03-02T06:00:00Z\",\"probe\":\"P%d\",\"at\":\"2026-03-02T06:00:00Z\","
                 "\"seat_deg\":0,\"offset_x_mm\":0.004,\"offset_y_mm\":0.0" SEAL, i + 1, i);
        take(gather, line);
    }
    for (int i = 1; i <= 5; i += 2) {
        snprintf(line, sizeof line, "{\"v\":1,\"seq\":%d,\"type\":\"void\",\"recorded_at\":"
                 "\"2026-03-02T06:00:00Z\",\"voids\":%d,\"why\":\"slip\"" SEAL, i + 6, i);
        take(gather, line);
    }
    assert_int_equal(reseat_gather_count(gather), 2);
    for (size_t i = 0; i < 2; i++) {
        assert_status(reseat_gather_get(gather, i, &probe, NULL, &input), RESEAT_OK);
        assert_string_equal(probe, i == 0 ? "P1" : "P3");
    }
    reseat_gather_free(gather);
}

static void gather_refuses_what_it_cannot_take(void **state)
{
    char name[RESEAT_RECORD_NAME_MAX + 2];
    memset(name, 'p', sizeof name);
    name[sizeof name - 1] = '\0';
    reseat_gather *gather = NULL;
    reseat_drift_input input = {0};
    assert_status(reseat_gather_new("P1", "main", 0, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_gather_new(name, "main", 0, &gather), RESEAT_ERR_RANGE);
    assert_status(reseat_gather_new("P1", name, 0, &gather), RESEAT_ERR_RANGE);
    assert_null(gather);
    assert_int_equal(reseat_gather_count(NULL), 0);
    assert_status(reseat_gather_new(name + 1, name + 1, 0, &gather), RESEAT_OK);
    assert_status(reseat_gather_take(gather, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_gather_take(NULL, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_gather_get(gather, 0, NULL, NULL, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_gather_get(NULL, 0, NULL, NULL, &input), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_gather_get(gather, 0, NULL, NULL, &input), RESEAT_ERR_RANGE);
    reseat_gather_free(gather);
    reseat_gather_free(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(runs_of_one_tip_are_gathered_in_order),
        cmocka_unit_test(a_log_may_be_gathered_backwards),
        cmocka_unit_test(later_facts_are_left_out_but_not_later_voids),
        cmocka_unit_test(a_fact_of_the_last_moment_that_is_asked_for_counts),
        cmocka_unit_test(what_a_run_does_not_say_is_0),
        cmocka_unit_test(gathering_goes_on_after_giving),
        cmocka_unit_test(all_tips_are_gathered_at_once),
        cmocka_unit_test(a_tip_without_runs_does_not_count),
        cmocka_unit_test(gather_refuses_what_it_cannot_take),
        cmocka_unit_test(tips_without_runs_stand_behind_those_with_some),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
