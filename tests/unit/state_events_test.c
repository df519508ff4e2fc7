/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What stands against a run: events, age, its probe in other spindles. */

#include "states.h"

/* The reasons on a day for P1, and the event behind the one that is asked for, -1 for none. */
static int64_t check_event(double on, unsigned reasons, reseat_reason reason)
{
    reseat_state_request query = asked_on(on);
    query.probe = "P1";
    reseat_state s = stand(&query);
    const int64_t seq = s.events[reason].seq;
    assert_int_equal(s.reasons, reasons);
    reseat_state_free(&s);
    return seq;
}

static const struct {
    const char *kind;
    reseat_reason reason;
} kinds[] = {
    {"collision", RESEAT_REASON_COLLISION},
    {"stylus-change", RESEAT_REASON_STYLUS_CHANGE},
    {"service", RESEAT_REASON_SERVICE},
};
#define KINDS (sizeof kinds / sizeof kinds[0])

static void an_event_since_the_run_is_a_reason(void **state)
{
    unsigned reasons = 0;
    put(RUN, 0, P1_RUN);
    for (size_t i = 0; i < KINDS; i++) {
        char fields[64];
        const double on = 1 + (double)i;
        snprintf(fields, sizeof fields, "kind=%s%s", kinds[i].kind, i == 1 ? "" : " probe=P1");
        const int64_t seq = put(EVENT, on, fields);
        assert_int_equal(check_event(on - 0.5, reasons, kinds[i].reason), -1);
        reasons |= 1u << kinds[i].reason;
        assert_int_equal(check_event(on, reasons, kinds[i].reason), seq);
    }
    put(RUN, 9, P1_RUN);
    for (size_t i = 0; i < KINDS; i++)
        assert_int_equal(check_event(10, 0, kinds[i].reason), -1);
}

static void the_first_event_of_a_kind_is_named(void **state)
{
    put(RUN, 0, P1_RUN);
    put(EVENT, 5, "kind=collision");
    const int64_t first = put_late("mill-1", 6, EVENT, 3, "kind=collision probe=P1");
    put(EVENT, 7, "kind=collision");
    assert_int_equal(check_event(8, 1u << RESEAT_REASON_COLLISION, RESEAT_REASON_COLLISION),
                     first);
    reseat_state s = stand_on(8);
    assert_int_equal(s.events[RESEAT_REASON_COLLISION].at, day(3));
    assert_string_equal(s.events[RESEAT_REASON_COLLISION].log, "");
    reseat_state_free(&s);
}

static void events_of_another_probe_or_kind_do_not_count(void **state)
{
    put(RUN, 0, P1_RUN);
    put(EVENT, 1, "kind=other note=belt");
    put(EVENT, 2, "kind=other probe=P1");
    for (size_t i = 0; i < KINDS; i++) {
        char fields[64];
        snprintf(fields, sizeof fields, "kind=%s probe=P2", kinds[i].kind);
        put(EVENT, 3, fields);
    }
    check_event(4, 0, RESEAT_REASON_COLLISION);
    reseat_state s = stand_on(4);
    assert_int_equal(s.baseline_count, 0);
    reseat_state_free(&s);
}

static void events_before_the_run_part_the_runs_all_the_same(void **state)
{
    put(RUN, 0, P1_RUN);
    const int64_t service = put(EVENT, 5, "kind=service");
    put(RUN, 10, P1_RUN);
    const int64_t late = put_late("mill-1", 11, EVENT, 2, "kind=stylus-change probe=P1");
    reseat_state s = stand_on(12);
    assert_int_equal(s.reasons, 0);
    assert_int_equal(s.run_count, 2);
    assert_int_equal(s.baseline_count, 2);
    assert_int_equal(s.baselines[0].seq, late);
    assert_int_equal(s.baselines[1].seq, service);
    assert_int_equal(s.baselines[1].at, day(5));
    reseat_state_free(&s);
}

/* An event at the very time of the run is later than it if it was written later. */
static void an_event_at_the_time_of_the_run_counts_by_its_number(void **state)
{
    put(EVENT, 0, "kind=service");
    put(RUN, 0, P1_RUN);
    check_event(1, 0, RESEAT_REASON_SERVICE);
    put(EVENT, 0, "kind=service");
    assert_int_equal(check_event(1, 1u << RESEAT_REASON_SERVICE, RESEAT_REASON_SERVICE), 3);
}

static void a_run_is_too_old_after_the_days_of_the_policy(void **state)
{
    const unsigned old = 1u << RESEAT_REASON_TOO_OLD;
    put(RUN, 0, P1_RUN);
    check_event(365, 0, RESEAT_REASON_TOO_OLD);
    check_event(365.01, old, RESEAT_REASON_TOO_OLD);
    put(POLICY, 1, "max_age_days=90.5");
    check_event(90.5, 0, RESEAT_REASON_TOO_OLD);
    check_event(90.51, old, RESEAT_REASON_TOO_OLD);
    put(POLICY, 2, "max_age_days=1000");
    check_event(1000, 0, RESEAT_REASON_TOO_OLD);
}

static const unsigned ELSEWHERE = 1u << RESEAT_REASON_ELSEWHERE;

static void a_run_in_another_log_since_is_a_reason(void **state)
{
    put(RUN, 10, P1_RUN);
    put_late("hmc-1", 5, RUN, 5, P1_RUN);
    put_late("hmc-1", 15, RUN, 15, "probe=P2 seat_deg=0" XY);
    put_late("hmc-1", 15, RESEATED, 15, "probe=P1 seat_deg=0");
    put_late("hmc-1", 15, EVENT, 15, "kind=collision");
    put_late("hmc-1", 15, EVENT, 15, "kind=service probe=P1");
    check_event(30, 0, RESEAT_REASON_ELSEWHERE);
    const int64_t seq = put_late("hmc-1", 20, RUN, 18, P1_RUN);
    check_event(17, 0, RESEAT_REASON_ELSEWHERE);
    assert_int_equal(check_event(18, ELSEWHERE, RESEAT_REASON_ELSEWHERE), seq);
    reseat_state s = stand_on(30);
    assert_string_equal(s.events[RESEAT_REASON_ELSEWHERE].log, "hmc-1");
    assert_int_equal(s.events[RESEAT_REASON_ELSEWHERE].at, day(18));
    reseat_state_free(&s);
    reseat_state_request query = asked_on(30);
    s = stand_alone(&query);
    assert_int_equal(s.reasons, 0);
    reseat_state_free(&s);
    put(RUN, 40, P1_RUN);
    check_event(50, 0, RESEAT_REASON_ELSEWHERE);
}

/* Nothing orders two logs: what was at the same time may have been since. */
static void a_run_in_another_log_at_the_same_time_is_a_reason(void **state)
{
    put(RUN, 10, P1_RUN);
    put_late("hmc-1", 11, RUN, 10 - 1.0 / 86400, P1_RUN);
    check_event(30, 0, RESEAT_REASON_ELSEWHERE);
    const int64_t seq = put_late("hmc-1", 12, RUN, 10, P1_RUN);
    assert_int_equal(check_event(30, ELSEWHERE, RESEAT_REASON_ELSEWHERE), seq);
}

static void the_first_use_in_all_other_logs_is_named(void **state)
{
    put(RUN, 0, P1_RUN);
    put_late("hmc-1", 20, RUN, 20, P1_RUN);
    const int64_t first = put_late("hmc-2", 25, RUN, 15, P1_RUN);
    put_late("hmc-2", 30, RUN, 30, P1_RUN);
    put_late("mill-9", 18, RUN, 18, P1_RUN);
    put_late("mill-9", 31, RUN, 15, P1_RUN); /* as early, in a log that is looked into later */
    assert_int_equal(check_event(40, ELSEWHERE, RESEAT_REASON_ELSEWHERE), first);
    reseat_state s = stand_on(40);
    assert_string_equal(s.events[RESEAT_REASON_ELSEWHERE].log, "hmc-2");
    assert_int_equal(s.events[RESEAT_REASON_ELSEWHERE].at, day(15));
    reseat_state_free(&s);
    check_event(14, 0, RESEAT_REASON_ELSEWHERE);
}

static void a_collision_or_stylus_change_in_another_log_is_a_reason(void **state)
{
    put(RUN, 0, P1_RUN);
    put_late("hmc-2", 1, EVENT, -1, "kind=collision probe=P1");
    check_event(9, 0, RESEAT_REASON_ELSEWHERE);
    const int64_t hit = put_late("hmc-2", 2, EVENT, 2, "kind=collision probe=P1");
    assert_int_equal(check_event(9, ELSEWHERE, RESEAT_REASON_ELSEWHERE), hit);
    put_late("hmc-2", 3, VOID, 3, "voids=2 why=slip");
    check_event(9, 0, RESEAT_REASON_ELSEWHERE);
    put_late("hmc-1", 4, EVENT, 4, "kind=stylus-change probe=P1");
    assert_int_equal(check_event(9, ELSEWHERE, RESEAT_REASON_ELSEWHERE), 1);
    put_late("hmc-1", 5, VOID, 5, "voids=1 why=slip");
    check_event(9, 0, RESEAT_REASON_ELSEWHERE);
}

/* More of them than any list of fixed length would have held. */
static void many_voids_in_another_log_all_count(void **state)
{
    put(RUN, 0, P1_RUN);
    for (int i = 0; i < 300; i++)
        put_late("hmc-1", 1, RUN, 1, P1_RUN);
    for (int i = 0; i < 300; i++) {
        char fields[32];
        check_event(9, ELSEWHERE, RESEAT_REASON_ELSEWHERE);
        snprintf(fields, sizeof fields, "voids=%d why=slip", i + 1);
        put_late("hmc-1", 2, VOID, 2, fields);
    }
    check_event(9, 0, RESEAT_REASON_ELSEWHERE);
}

/* Changes the type of the event of a line, so that its seal does not hold. */
static void spoil(const char *log, unsigned line)
{
    size_t length = 0;
    char *bytes = logs_read(log, &length);
    *strstr(bytes + logs_line(bytes, line), "service") = 'x';
    logs_write(log, bytes, length);
    free(bytes);
}

static void a_bad_line_of_another_log_since_the_run_stops_it(void **state)
{
    put(RUN, 10, P1_RUN);
    put_late("hmc-1", 5, EVENT, 5, "kind=service probe=P1"); /* it has been there at all */
    put_late("hmc-1", 6, EVENT, 6, "kind=service");
    put_late("hmc-1", 7, EVENT, 7, "kind=service");
    put_late("hmc-1", 15, EVENT, 15, "kind=service");
    put_late("hmc-1", 20, EVENT, 20, "kind=service");
    spoil("hmc-1", 3); /* before the run, and a good line below: not looked at */
    check_event(30, 0, RESEAT_REASON_ELSEWHERE);
    spoil("hmc-1", 5);
    reseat_state_request query = asked_on(30);
    refuse(&query, RESEAT_ERR_DAMAGED, "line 5 of the log of hmc-1 is damaged");
    refuse(&query, RESEAT_ERR_DAMAGED, "so whether P1 was used there is not known");
    query.despite_damage = true;
    reseat_state s = stand(&query);
    assert_int_equal(s.bad_lines, 1);
    assert_string_equal(s.bad_log, "");
    assert_int_equal(s.reasons, 1u << RESEAT_REASON_DAMAGE_IGNORED);
    reseat_state_free(&s);
    const int64_t seq = put_late("hmc-1", 25, RUN, 25, P1_RUN); /* nothing above it can undo that */
    assert_int_equal(check_event(30, ELSEWHERE, RESEAT_REASON_ELSEWHERE), seq);
    put_late("hmc-2", 26, RUN, 26, P1_RUN);
    assert_int_equal(check_event(30, ELSEWHERE, RESEAT_REASON_ELSEWHERE), seq);
}

/* Of a log that does not name the probe it is told, and the verdict goes on. */
static void a_bad_line_of_a_log_of_other_probes_is_told(void **state)
{
    put(RUN, 10, P1_RUN);
    put_late("hmc-1", 5, RUN, 5, "probe=P2 seat_deg=0" XY);
    put_late("hmc-1", 15, EVENT, 15, "kind=service");
    put_late("hmc-1", 20, EVENT, 20, "kind=service");
    spoil("hmc-1", 3);
    reseat_state s = stand_on(30);
    assert_string_equal(s.bad_log, "hmc-1");
    assert_int_equal(s.reasons, 0);
    assert_int_equal(s.bad_lines, 0);
    reseat_state_free(&s);
    put_late("hmc-1", 40, RESEATED, 40, "probe=P1 seat_deg=0"); /* later, but it has been there */
    reseat_state_request query = asked_on(30);
    refuse(&query, RESEAT_ERR_DAMAGED, "line 3 of the log of hmc-1 is damaged");
    query.as_known = day(30);
    refuse(&query, RESEAT_ERR_DAMAGED, "line 3 of the log of hmc-1 is damaged");
}

static void a_copy_under_another_name_stops_it(void **state)
{
    size_t length = 0;
    put(RUN, 0, P1_RUN);
    char *bytes = logs_read("mill-1", &length);
    logs_write("mill-1.old", bytes, length);
    free(bytes);
    reseat_state_request query = asked_on(1);
    refuse(&query, RESEAT_ERR_DAMAGED, "this is the log of mill-1, not of mill-1.old");
    query.despite_damage = true;
    reseat_state s = stand(&query);
    assert_int_equal(s.bad_lines, 1);
    reseat_state_free(&s);
}

static void a_later_version_in_another_log_stops_it(void **state)
{
    put(RUN, 0, P1_RUN);
    put_late("hmc-1", -1, EVENT, -1, "kind=service");
    put_raw("hmc-1", "{\"v\":2,\"seq\":2,\"type\":\"run\",\"recorded_at\":"
                     "\"2026-03-05T06:00:00Z\",\"place\":\"P1\"");
    reseat_state_request query = asked_on(9);
    refuse(&query, RESEAT_ERR_DAMAGED, "record 2 of hmc-1 was written by a later version");
    query.despite_damage = true;
    refuse(&query, RESEAT_ERR_DAMAGED, "record 2 of hmc-1 was written by a later version");
}

static void an_empty_or_foreign_file_beside_it_does_not_matter(void **state)
{
    put(RUN, 0, P1_RUN);
    logs_write("hmc-1", "", 0);
    logs_write("UPPER", "no log", 6);
    check_event(1, 0, RESEAT_REASON_ELSEWHERE);
}

#define OTHER_RUN "probe=P1 seat_deg=30 offset_x_mm=0.019 offset_y_mm=-0.0011"

/* The control may still hold the offset of a run that was taken back: until another is in force. */
static void a_later_run_that_is_void_is_told(void **state)
{
    put(POLICY, 0, "limit_mm=0.005");
    put(RUN, 0, P1_RUN);
    const int64_t wrong = put(RUN, 2, OTHER_RUN);
    put(RUN, 2.5, "probe=P2 seat_deg=30 offset_x_mm=0.1 offset_y_mm=0");
    put_void(3, wrong);
    put_void(3, wrong + 1);
    reseat_state_request query = asked_on(4);
    query.probe = "P1";
    reseat_state s = stand(&query);
    assert_int_equal(s.voided_run, wrong);
    assert_int_equal(s.voided_by, wrong + 2);
    assert_near(s.voided_in_use_mm.x, 0.019, 0);
    check_whole(&query, &s);
    reseat_state_free(&s);

    query.as_of = day(1); /* it was not there yet */
    s = stand(&query);
    assert_int_equal(s.voided_run, -1);
    reseat_state_free(&s);
    query.as_of = day(4);
    query.as_known = day(2.9); /* nor taken back */
    s = stand(&query);
    assert_int_equal(seq_of(s.run), wrong);
    assert_int_equal(s.voided_run, -1);
    reseat_state_free(&s);

    query.as_known = 0;
    put(RUN, 5, P1_RUN);
    query.as_of = day(6);
    s = stand(&query);
    assert_int_equal(s.voided_run, -1);
    check_whole(&query, &s);
    reseat_state_free(&s);
}

/* With what the control adds now nothing is left to be told. */
static void a_run_that_is_void_with_the_same_offset_in_use_is_not(void **state)
{
    put(RUN, 0, P1_RUN);
    put_void(3, put(RUN, 2, OTHER_RUN " in_use_x_mm=0.004 in_use_y_mm=-0.0011"));
    put_void(3, put(RUN, -1, OTHER_RUN)); /* before the run in force */
    reseat_state s = stand_on(4);
    assert_int_equal(s.voided_run, -1);
    reseat_state_free(&s);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_later_run_that_is_void_is_told),
        TEST(a_run_that_is_void_with_the_same_offset_in_use_is_not),
        TEST(an_event_since_the_run_is_a_reason),
        TEST(the_first_event_of_a_kind_is_named),
        TEST(events_of_another_probe_or_kind_do_not_count),
        TEST(events_before_the_run_part_the_runs_all_the_same),
        TEST(an_event_at_the_time_of_the_run_counts_by_its_number),
        TEST(a_run_is_too_old_after_the_days_of_the_policy),
        TEST(a_run_in_another_log_since_is_a_reason),
        TEST(a_run_in_another_log_at_the_same_time_is_a_reason),
        TEST(the_first_use_in_all_other_logs_is_named),
        TEST(a_collision_or_stylus_change_in_another_log_is_a_reason),
        TEST(many_voids_in_another_log_all_count),
        TEST(a_bad_line_of_another_log_since_the_run_stops_it),
        TEST(a_bad_line_of_a_log_of_other_probes_is_told),
        TEST(a_copy_under_another_name_stops_it),
        TEST(a_later_version_in_another_log_stops_it),
        TEST(an_empty_or_foreign_file_beside_it_does_not_matter),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
