/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The register of gauges: what is in force, what a run takes from it, and what is refused. */

#include "states.h"

#include "base/error.h"
#include "history/gauges.h"

#define GAUGE RESEAT_RECORD_GAUGE
#define RING "gauge=ring gauge_diameter_mm=50.0021"
#define R50 "gauge_id=R50 " RING

static int64_t put_gauge(double on, const char *fields)
{
    return put_late("gauges", on, GAUGE, on, fields);
}

/* The gauges in force, as "R50 1, S25 2 overdue"; the status. */
static reseat_status list(reseat_state_request query, const char *id, char *said,
                          uint64_t *bad_lines, reseat_error *error)
{
    const reseat_gauge_entry *gauges = (const reseat_gauge_entry *)said;
    size_t count = 77;
    assert_status(reseat_folder_open(logs_dir, &query.folder), RESEAT_OK);
    *bad_lines = 77;
    const reseat_status status =
        reseat_folder_gauges(&query, id, &gauges, &count, bad_lines, error);
    if (status != RESEAT_OK)
        assert_true(count == 77 && *bad_lines == 77 && gauges == (const reseat_gauge_entry *)said);
    said[0] = '\0';
    for (size_t i = 0; status == RESEAT_OK && i < count; i++)
        sprintf(said + strlen(said), "%s%s %d%s", i > 0 ? ", " : "",
                reseat_record_text(gauges[i].record, RESEAT_FIELD_GAUGE_ID),
                (int)reseat_record_integer(gauges[i].record, RESEAT_FIELD_SEQ, -1),
                gauges[i].overdue ? " overdue" : "");
    reseat_folder_close(query.folder);
    return status;
}

static void assert_in_force(reseat_state_request query, const char *id, const char *expected)
{
    char said[512];
    uint64_t bad_lines = 0;
    reseat_error error;
    if (list(query, id, said, &bad_lines, &error) != RESEAT_OK)
        fail_msg("%s", error.text);
    assert_string_equal(said, expected);
    assert_int_equal(bad_lines, 0);
}

static void assert_no_list(reseat_state_request query, const char *id, reseat_status status,
                           const char *text)
{
    char said[512];
    uint64_t bad_lines = 0;
    reseat_error error;
    assert_status(list(query, id, said, &bad_lines, &error), status);
    assert_string_equal(error.text, text);
    assert_status(list(query, id, said, &bad_lines, NULL), status);
}

/* Has a record filled from the register; the status. */
static reseat_status fill_from(reseat_record *record, double on, reseat_gauge_standing *standing,
                               reseat_error *error)
{
    const reseat_state_request query = {.dir = logs_dir, .as_of = day(on)};
    return reseat_gauge_fill(&query, record, standing, error);
}

/* A record of that type and fields, filled on a day, which must be so. */
static reseat_record *filled(reseat_record_type type, const char *fields, double on,
                             reseat_gauge_standing expected)
{
    reseat_record *record = logs_record(type);
    reseat_gauge_standing standing;
    reseat_error error;
    fill(record, fields);
    if (fill_from(record, on, &standing, &error) != RESEAT_OK)
        fail_msg("%s", error.text);
    assert_int_equal(standing, expected);
    return record;
}

static void assert_not_filled(reseat_record_type type, const char *fields, double on,
                              reseat_status status, const char *key, const char *text)
{
    reseat_record *record = logs_record(type);
    reseat_gauge_standing standing;
    reseat_error error;
    fill(record, fields);
    assert_status(fill_from(record, on, &standing, &error), status);
    assert_string_equal(error.key, key);
    assert_string_equal(error.text, text);
    reseat_record_free(record);
}

static reseat_status enter(const char *log, reseat_record_type type, const char *fields, bool begin,
                           reseat_recorded *done, reseat_error *error)
{
    const reseat_record_request request = {.dir = logs_dir, .spindle = log, .begin = begin};
    const file_calls calls = logs_calls();
    reseat_record *record = logs_record(type);
    fill(record, fields);
    const bool dated = reseat_record_has(record, RESEAT_FIELD_AT);
    const reseat_status status = record_enter(&calls, &request, record, done, error);
    if (status != RESEAT_OK)
        assert_int_equal(reseat_record_has(record, RESEAT_FIELD_AT), dated);
    reseat_record_free(record);
    return status;
}

static reseat_recorded take(const char *log, reseat_record_type type, const char *fields,
                            bool begin)
{
    reseat_recorded done;
    reseat_error error;
    if (enter(log, type, fields, begin, &done, &error) != RESEAT_OK)
        fail_msg("%s: %s", error.key, error.text);
    return done;
}

static void slip(const char *log, reseat_record_type type, const char *fields, bool begin,
                 reseat_status status, const char *text)
{
    reseat_recorded done;
    reseat_error error;
    assert_status(enter(log, type, fields, begin, &done, &error), status);
    assert_string_equal(error.text, text);
}

static void the_latest_record_of_a_gauge_is_in_force(void **state)
{
    put_gauge(0, R50);
    put_gauge(1, "gauge_id=A9 gauge=sphere gauge_diameter_mm=25");
    put_late("gauges", 5, GAUGE, 3, R50 " gauge_certificate=two");
    put_late("gauges", 6, GAUGE, 2, R50 " gauge_certificate=late");
    assert_in_force(asked_on(9), NULL, "A9 2, R50 3");
    assert_in_force(asked_on(2.5), NULL, "A9 2, R50 4");
    assert_in_force(asked_on(0.5), NULL, "R50 1");
    assert_in_force(asked_on(-1), NULL, "");
    assert_in_force(asked_on(9), "R50", "R50 3");
    reseat_state_request known = asked_on(9);
    known.as_known = day(4);
    assert_in_force(known, NULL, "A9 2, R50 1");
    put_late("gauges", 7, VOID, 7, "voids=3 why=slip");
    assert_in_force(asked_on(9), NULL, "A9 2, R50 4");
    known.as_known = day(6.5);
    assert_in_force(known, NULL, "A9 2, R50 3");
}

/* A gauge is due at the end of what its certificate says. */
static void a_gauge_past_due_is_told(void **state)
{
    char fields[160], due[RESEAT_TIME_SIZE];
    assert_status(reseat_time_format(day(10), due), RESEAT_OK);
    snprintf(fields, sizeof fields, R50 " gauge_due_at=%s", due);
    put_gauge(0, fields);
    assert_in_force(asked_on(10), NULL, "R50 1");
    assert_in_force(asked_on(10 + 1.0 / 86400), NULL, "R50 1 overdue");
    reseat_record_free(filled(VERIFY, "gauge_id=R50", 10, RESEAT_GAUGE_CERTIFIED));
    reseat_record_free(filled(VERIFY, "gauge_id=R50", 11, RESEAT_GAUGE_OVERDUE));
    reseat_record *run = filled(RUN, "gauge_id=R50", 11, RESEAT_GAUGE_OVERDUE);
    char doubts[64];
    reseat_record_show(run, RESEAT_FIELD_DOUBTS, doubts, sizeof doubts);
    assert_string_equal(doubts, "gauge-overdue");
    reseat_record_free(run);
    run = filled(RUN, "gauge_id=R50", 10, RESEAT_GAUGE_CERTIFIED);
    assert_false(reseat_record_has(run, RESEAT_FIELD_DOUBTS));
    reseat_record_free(run);
}

static void a_run_takes_over_what_the_register_says_at_its_time(void **state)
{
    put_gauge(0, R50 " gauge_diameter_u_mm=0.0004 gauge_certificate=one expansion_per_k=1e-5 "
              "gauge_due_at=2027-03-02T23:59:59Z");
    put_gauge(5, "gauge_id=R50 gauge=ring gauge_diameter_mm=50.0023 gauge_certificate=two");
    reseat_record *run = filled(RUN, "gauge_id=R50 at=2026-03-05T06:00:00Z", 99,
                                RESEAT_GAUGE_CERTIFIED);
    assert_string_equal(reseat_record_text(run, RESEAT_FIELD_GAUGE), "ring");
    assert_string_equal(reseat_record_text(run, RESEAT_FIELD_GAUGE_CERTIFICATE), "one");
    assert_same_bits(reseat_record_number(run, RESEAT_FIELD_GAUGE_DIAMETER_MM, 0), 50.0021);
    assert_same_bits(reseat_record_number(run, RESEAT_FIELD_GAUGE_DIAMETER_U_MM, 0), 4e-4);
    assert_int_equal(reseat_record_integer(run, RESEAT_FIELD_GAUGE_DUE_AT, 0), 1804031999);
    assert_false(reseat_record_has(run, RESEAT_FIELD_EXPANSION_PER_K));
    reseat_record_free(run);
    run = filled(RUN, "gauge_id=R50", 6, RESEAT_GAUGE_CERTIFIED);
    assert_string_equal(reseat_record_text(run, RESEAT_FIELD_GAUGE_CERTIFICATE), "two");
    assert_false(reseat_record_has(run, RESEAT_FIELD_GAUGE_DIAMETER_U_MM));
    reseat_record_free(run);
    reseat_record *gauge = filled(GAUGE, "gauge_id=R50", 1, RESEAT_GAUGE_CERTIFIED);
    assert_same_bits(reseat_record_number(gauge, RESEAT_FIELD_EXPANSION_PER_K, 0), 1e-5);
    reseat_record_free(gauge);
}

static void what_is_typed_must_agree(void **state)
{
    static const char rest[] = " of gauge R50 (record 1): leave it out, or name the gauge that "
                               "was touched";
    static const struct {
        const char *field, *typed, *registered;
    } cases[] = {{"gauge_diameter_mm", "50.0021001", "50.0021"},
                 {"gauge", "plug", "ring"},
                 {"gauge_certificate", "LAB-2", "LAB-1"},
                 {"gauge_diameter_u_mm", "0.0008", "0.0004"},
                 {"gauge_due_at", "2027-03-03T23:59:59Z", "2027-03-02T23:59:59Z"}};
    put_gauge(0, R50 " gauge_diameter_u_mm=0.0004 gauge_certificate=LAB-1 "
              "gauge_due_at=2027-03-02T23:59:59Z");
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        char fields[160], text[200];
        snprintf(fields, sizeof fields, "gauge_id=R50 %s=%s", cases[i].field, cases[i].typed);
        snprintf(text, sizeof text, "the register says %s%s", cases[i].registered, rest);
        assert_not_filled(RUN, fields, 1, RESEAT_ERR_REFUSED, cases[i].field, text);
    }
    reseat_record *run = filled(RUN, "gauge_id=R50 gauge=ring gauge_diameter_mm=50.00210004 "
                                "gauge_certificate=LAB-1 gauge_diameter_u_mm=0.0004", 1,
                                RESEAT_GAUGE_CERTIFIED);
    assert_same_bits(reseat_record_number(run, RESEAT_FIELD_GAUGE_DIAMETER_MM, 0), 50.00210004);
    reseat_record_free(run);
}

/* What the register does not say may be typed. */
static void what_the_register_leaves_open_may_be_typed(void **state)
{
    put_gauge(0, R50);
    reseat_record *run = filled(RUN, "gauge_id=R50 gauge_certificate=LAB-1", 1,
                                RESEAT_GAUGE_CERTIFIED);
    assert_string_equal(reseat_record_text(run, RESEAT_FIELD_GAUGE_CERTIFICATE), "LAB-1");
    reseat_record_free(run);
}

static void a_gauge_that_is_not_there_is_refused(void **state)
{
    put_gauge(0, R50);
    assert_not_filled(RUN, "gauge_id=R5O", 1, RESEAT_ERR_REFUSED, "gauge_id",
                      "gauge R5O is not in the register (did you mean R50?)");
    assert_not_filled(VERIFY, "gauge_id=other", 1, RESEAT_ERR_REFUSED, "gauge_id",
                      "gauge other is not in the register");
    assert_not_filled(RUN, "gauge_id=R50", -1, RESEAT_ERR_REFUSED, "gauge_id",
                      "gauge R50 is in the register only from 2026-03-02T06:00:00Z on; record the "
                      "certificate that it had before");
    assert_no_list(asked_on(1), "R5O", RESEAT_ERR_REFUSED,
                   "gauge R5O is not in the register (did you mean R50?)");
    put_late("gauges", 1, VOID, 1, "voids=1 why=slip");
    assert_not_filled(RUN, "gauge_id=R50", 1, RESEAT_ERR_REFUSED, "gauge_id",
                      "gauge R50 is not in the register");
}

static void without_a_register_all_stays_as_it_is(void **state)
{
    char text[160];
    snprintf(text, sizeof text, "there is no register of gauges in \"%s\"", logs_dir);
    reseat_record *run = filled(RUN, "gauge_id=R50", 1, RESEAT_GAUGE_UNREGISTERED);
    assert_false(reseat_record_has(run, RESEAT_FIELD_GAUGE));
    reseat_record_free(run);
    assert_no_list(asked_on(1), NULL, RESEAT_ERR_NOT_FOUND, text);
    const reseat_recorded done = take("mill-1", RUN, P1_RUN " gauge_id=R50", true);
    assert_int_equal(done.gauge, RESEAT_GAUGE_UNREGISTERED);
    put_gauge(0, R50);
    reseat_record_free(filled(RUN, P1_RUN, 1, RESEAT_GAUGE_UNREGISTERED));
}

static void damage_stops_what_asks_for_a_gauge(void **state)
{
    static const char text[] = "line 2 of the log of gauges is damaged: its seal does not fit its "
                               "bytes and the seal above; reseat audit gauges shows all";
    char said[512];
    uint64_t bad_lines = 0;
    put_gauge(0, R50);
    put_gauge(1, "gauge_id=S25 gauge=sphere gauge_diameter_mm=25");
    logs_damage("gauges", 2);
    reseat_state_request query = asked_on(2);
    assert_no_list(query, NULL, RESEAT_ERR_DAMAGED, text);
    assert_not_filled(RUN, "gauge_id=S25", 2, RESEAT_ERR_DAMAGED, "", text);
    slip("mill-1", RUN, P1_RUN " gauge_id=S25", true, RESEAT_ERR_DAMAGED, text);
    query.despite_damage = true;
    assert_status(list(query, NULL, said, &bad_lines, NULL), RESEAT_OK);
    assert_string_equal(said, "S25 2");
    assert_int_equal(bad_lines, 1);
    take("mill-1", RUN, P1_RUN, true);
    logs_write("gauges", "", 0);
    assert_no_list(query, NULL, RESEAT_ERR_DAMAGED,
                   "the register of gauges is empty: put back a copy, or remove the file");
    logs_write("gauges", "{\"v\":1", 6);
    assert_not_filled(RUN, "gauge_id=S25", 2, RESEAT_ERR_DAMAGED, "",
                      "line 1 of the log of gauges was cut short; record it again, then check");
}

static void a_gauge_is_recorded_in_the_register_alone(void **state)
{
    static const char kept[] = "\"gauges\" cannot name a spindle: it ends in a dot, is a device "
                               "on some systems, or is kept for the gauges";
    slip("mill-1", GAUGE, R50, true, RESEAT_ERR_ARGUMENT, "gauges are recorded in their register");
    slip("gauges", RUN, P1_RUN, true, RESEAT_ERR_SYNTAX, kept);
    slip("gauges", POLICY, "limit_mm=0.01", true, RESEAT_ERR_SYNTAX, kept);
    const reseat_recorded first = take("gauges", GAUGE, R50, true);
    assert_true(first.new_gauge && first.appended.began && first.later_gauge == -1);
    const reseat_recorded second = take("gauges", GAUGE, "gauge_id=R9 " RING, false);
    assert_true(second.new_gauge && !second.appended.began);
    take("gauges", VOID, "voids=2 why=slip", false);
    reseat_state_request query = asked_on(1);
    query.spindle = "gauges";
    reseat_state found;
    reseat_error error;
    assert_status(reseat_state_read(&query, &found, &error), RESEAT_ERR_SYNTAX);
    assert_string_equal(error.text, kept);
    char probe[RESEAT_RECORD_NAME_MAX + 1];
    assert_status(reseat_state_probe(&query, probe, &error), RESEAT_ERR_SYNTAX);
}

static void slips_in_the_register_are_refused(void **state)
{
    static const char other[] = "record 1 has another gauge of that name, of another kind or "
                                "size: void it if it is wrong, or name this one otherwise";
    take("gauges", GAUGE, R50 " calibrated_at=2026-03-01T12:00:00Z", true);
    slip("gauges", GAUGE, R50 " calibrated_at=2026-03-01T12:00:00Z", false, RESEAT_ERR_REFUSED,
         "that gauge is recorded as 1 from the same time on: if that is wrong, void it first");
    slip("gauges", GAUGE, R50 " calibrated_at=2026-03-01T12:00:00Z at=2026-03-02T00:00:00Z", false,
         RESEAT_ERR_REFUSED, "that gauge is recorded as 1: if that is wrong, void it first");
    slip("gauges", GAUGE, "gauge_id=R50 gauge=ring gauge_diameter_mm=50.2", false,
         RESEAT_ERR_REFUSED, other);
    slip("gauges", GAUGE, "gauge_id=R50 gauge=plug gauge_diameter_mm=50.0021", false,
         RESEAT_ERR_REFUSED, other);
    slip("gauges", GAUGE, "gauge_id=R50 gauge=ring gauge_diameter_mm=50.0022", true,
         RESEAT_ERR_REFUSED, "--new: that gauge is in the register already; leave it out");
    slip("gauges", GAUGE, "gauge_id=B gauge=bore gauge_diameter_mm=8", false, RESEAT_ERR_REFUSED,
         "expected ring, plug or sphere: no other gauge has a certified diameter");
    slip("gauges", GAUGE, "gauge_id=B gauge=boss gauge_diameter_mm=8", false, RESEAT_ERR_REFUSED,
         "expected ring, plug or sphere: no other gauge has a certified diameter");
    slip("gauges", GAUGE, "gauge_id=B " RING " calibrated_at=2026-03-02T18:00:01Z", false,
         RESEAT_ERR_REFUSED, "lies ahead");
    slip("gauges", GAUGE, "gauge_id=B " RING " calibrated_at=2026-03-01T12:00:00Z "
         "gauge_due_at=2026-03-01T12:00:00Z", false, RESEAT_ERR_REFUSED,
         "lies before the gauge was certified");
    slip("gauges", GAUGE, "gauge_id=B gauge=ring", false, RESEAT_ERR_SYNTAX, "missing");
}

/* A certificate is in force from its date on, which may be noon of a day not half over. */
static void a_certificate_counts_from_its_date(void **state)
{
    take("gauges", GAUGE, R50 " calibrated_at=2026-03-01T12:00:00Z", true);
    take("gauges", GAUGE, "gauge_id=R9 " RING " calibrated_at=2026-03-02T18:00:00Z", false);
    const reseat_recorded done =
        take("gauges", GAUGE, R50 " calibrated_at=2025-03-01T12:00:00Z", false);
    assert_true(!done.new_gauge && done.later_gauge == 1);
    assert_in_force(asked_on(-0.5), NULL, "R50 1");
    assert_in_force(asked_on(-100), NULL, "R50 3");
    assert_in_force(asked_on(0), NULL, "R50 1, R9 2");
}

static void a_run_recorded_is_held_against_the_register(void **state)
{
    put_gauge(0, R50 " gauge_certificate=one gauge_due_at=2026-03-02T23:59:59Z");
    slip("mill-1", RUN, P1_RUN " gauge_id=R51", true, RESEAT_ERR_REFUSED,
         "gauge R51 is not in the register (did you mean R50?)");
    slip("mill-1", RUN, P1_RUN " gauge_id=R50 gauge_diameter_mm=30", true, RESEAT_ERR_REFUSED,
         "the register says 50.0021 of gauge R50 (record 1): leave it out, or name the gauge "
         "that was touched");
    const reseat_recorded done = take("mill-1", RUN, P1_RUN " gauge_id=R50", true);
    assert_int_equal(done.gauge, RESEAT_GAUGE_CERTIFIED);
    logs_now = day(1);
    assert_int_equal(take("mill-1", RUN, P1_RUN " gauge_id=R50", false).gauge,
                     RESEAT_GAUGE_OVERDUE);
    assert_int_equal(take("mill-1", VERIFY, P1_CHECK " gauge_id=R50", false).gauge,
                     RESEAT_GAUGE_OVERDUE);
    size_t length = 0;
    char *bytes = logs_read("mill-1", &length);
    const char *second = bytes + logs_line(bytes, 3);
    assert_non_null(strstr(bytes, "\"gauge_diameter_mm\":50.0021,\"gauge_certificate\":\"one\""));
    assert_non_null(strstr(second, "\"doubts\":[\"gauge-overdue\"]"));
    assert_true(strstr(bytes, "doubts") > second);
    free(bytes);
}

static void refuses_what_is_no_request(void **state)
{
    reseat_state_request query = {.dir = logs_dir};
    reseat_record *record = logs_record(RUN);
    reseat_gauge_standing standing = RESEAT_GAUGE_OVERDUE;
    const reseat_gauge_entry *gauges;
    size_t count;
    uint64_t bad_lines;
    reseat_error error;
    assert_status(reseat_gauge_fill(NULL, record, &standing, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_gauge_fill(&query, NULL, &standing, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_gauge_fill(&query, record, NULL, &error), RESEAT_ERR_ARGUMENT);
    assert_string_equal(error.text, reseat_status_text(RESEAT_ERR_ARGUMENT));
    assert_status(reseat_folder_gauges(&query, NULL, &gauges, &count, &bad_lines, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_folder_open(logs_dir, &query.folder), RESEAT_OK);
    assert_status(reseat_folder_gauges(NULL, NULL, &gauges, &count, &bad_lines, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_folder_gauges(&query, NULL, NULL, &count, &bad_lines, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_folder_gauges(&query, NULL, &gauges, NULL, &bad_lines, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_folder_gauges(&query, NULL, &gauges, &count, NULL, NULL),
                  RESEAT_ERR_ARGUMENT);
    query.dir = NULL;
    assert_status(reseat_gauge_fill(&query, record, &standing, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_folder_gauges(&query, NULL, &gauges, &count, &bad_lines, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_int_equal(standing, RESEAT_GAUGE_OVERDUE);
    reseat_folder_close(query.folder);
    reseat_record_free(record);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(the_latest_record_of_a_gauge_is_in_force),
        TEST(a_gauge_past_due_is_told),
        TEST(a_run_takes_over_what_the_register_says_at_its_time),
        TEST(what_is_typed_must_agree),
        TEST(what_the_register_leaves_open_may_be_typed),
        TEST(a_gauge_that_is_not_there_is_refused),
        TEST(without_a_register_all_stays_as_it_is),
        TEST(damage_stops_what_asks_for_a_gauge),
        TEST(a_gauge_is_recorded_in_the_register_alone),
        TEST(slips_in_the_register_are_refused),
        TEST(a_certificate_counts_from_its_date),
        TEST(a_run_recorded_is_held_against_the_register),
        TEST(refuses_what_is_no_request),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
