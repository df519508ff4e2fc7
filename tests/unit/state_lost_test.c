/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Lines that were cut short and sealed off: what stood in them may have been a reseat. */

#include "states.h"

static const unsigned LOST = 1u << RESEAT_REASON_LOST_RECORDS;

/* Cuts the last line short; where it begins. */
static uint64_t tear(void)
{
    size_t length = 0;
    char *bytes = logs_read("mill-1", &length);
    logs_write("mill-1", bytes, length - 20);
    size_t from = length - 1;
    while (bytes[from - 1] != '\n')
        from--;
    free(bytes);
    return from;
}

/* A record that seals off bytes which a person has looked at, or NULL, has not. */
static void put_repair(int seq, uint64_t from, uint64_t length, const char *why)
{
    char body[512], digits[SEAL_DIGITS + 1];
    size_t size = 0;
    char *bytes = logs_read("mill-1", &size);
    struct sha256_ctx context;
    sha256_init(&context);
    sha256_update(&context, length, (const uint8_t *)bytes + from);
    seal_digits(&context, digits);
    free(bytes);
    snprintf(body, sizeof body,
             "{\"v\":1,\"seq\":%d,\"type\":\"repair\",\"recorded_at\":\"2026-03-12T06:00:00Z\","
             "\"offset_bytes\":%d,\"length_bytes\":%d,\"sha256\":\"%s\"%s%s%s", seq, (int)from,
             (int)length, digits, why ? ",\"why\":\"" : "", why ? why : "", why ? "\"" : "");
    put_raw("mill-1", body);
}

/* The length of the line that begins there, with its LF. */
static uint64_t line_length(uint64_t from)
{
    size_t size = 0;
    char *bytes = logs_read("mill-1", &size);
    const uint64_t length = (uint64_t)(strchr(bytes + from, '\n') + 1 - (bytes + from));
    free(bytes);
    return length;
}

/* The number of the line that begins there. */
static uint64_t line_number(uint64_t from)
{
    size_t size = 0;
    uint64_t number = 1;
    char *bytes = logs_read("mill-1", &size);
    for (uint64_t i = 0; i < from; i++)
        number += bytes[i] == '\n';
    free(bytes);
    return number;
}

/* How many pieces count on a day, and where the first of them begins. */
static void assert_lost(double on, const char *probe, size_t count, uint64_t first)
{
    reseat_state_request query = asked_on(on);
    query.probe = probe;
    for (int whole = 0; whole < 2; whole++) {
        query.whole = whole;
        reseat_state s = stand(&query);
        assert_int_equal(s.lost, count);
        assert_int_equal(s.lost_line, count > 0 ? line_number(first) : 0);
        assert_int_equal(s.reasons & LOST, count > 0 ? LOST : 0);
        assert_int_equal(s.bad_lines, 0);
        reseat_state_free(&s);
    }
}

static void what_was_lost_since_the_run_is_a_reason(void **state)
{
    put(RUN, 0, P1_RUN);
    assert_lost(9, NULL, 0, 0);
    put(RESEATED, 1, "probe=P1 seat_deg=unknown");
    const uint64_t first = tear();
    put(EVENT, 2, "kind=other"); /* seals it off */
    assert_lost(9, NULL, 1, first);
    put(RESEATED, 3, "probe=P1 seat_deg=unknown");
    tear();
    put(VERIFY, 4, P1_CHECK); /* no check brings back a collision */
    assert_lost(9, NULL, 2, first);
    put(RUN, 5, P1_RUN);
    assert_lost(9, NULL, 0, 0);
    assert_lost(4.5, NULL, 2, first); /* as of a time before */
}

/* What was lost may have been about any probe; a run brings back its own alone. */
static void what_was_lost_counts_for_every_probe(void **state)
{
    put(POLICY, 0, "reseats=changer");
    put(RUN, 0, P1_RUN);
    put(RUN, 0, "probe=P2 seat_deg=0" XY);
    put(RESEATED, 1, "probe=P1 seat_deg=unknown");
    const uint64_t first = tear();
    put(RUN, 2, "probe=P2 seat_deg=0" XY);
    assert_lost(9, "P1", 1, first);
    assert_lost(9, "P2", 0, 0);
    put(RUN, 3, P1_RUN);
    assert_lost(9, "P1", 0, 0);
}

/* A run that is recorded late is no later than what was lost. */
static void a_run_recorded_late_does_not_settle_it(void **state)
{
    put(RUN, 0, P1_RUN);
    put(EVENT, 4, "kind=other");
    put(RESEATED, 5, "probe=P1 seat_deg=unknown");
    const uint64_t first = tear();
    put_late("mill-1", 6, RUN, 3, P1_RUN);
    assert_lost(9, NULL, 1, first);
    const int64_t again = put_late("mill-1", 7, RUN, 4, P1_RUN); /* the line that was lost, again */
    assert_lost(9, NULL, 0, 0);
    put_void(8, again);
    assert_lost(9, NULL, 1, first);
}

static void what_a_person_has_looked_at_does_not_count(void **state)
{
    put(RUN, 0, P1_RUN);
    put(RESEATED, 1, "probe=P1 seat_deg=unknown");
    const uint64_t first = tear();
    put(EVENT, 2, "kind=other"); /* repair 2, event 3 */
    const uint64_t length = line_length(first);
    put_repair(4, first, length, NULL); /* nobody says why */
    assert_lost(9, NULL, 1, first);
    put_repair(5, first, length - 2, "a slip"); /* not all of it */
    assert_lost(9, NULL, 1, first);
    put_repair(6, first + 1, length - 1, "a slip");
    assert_lost(9, NULL, 1, first);
    put_repair(7, first, length, "it was the reseat of record 8");
    assert_lost(9, NULL, 0, 0);
    reseat_state s = stand_on(9);
    assert_int_equal(s.sealed_off, 1);
    assert_string_equal(reseat_record_text(s.repair, RESEAT_FIELD_WHY),
                        "it was the reseat of record 8");
    assert_int_equal(s.older_policy, -1); /* there is none */
    reseat_state_free(&s);
    put(RESEATED, 11, "probe=P1 seat_deg=unknown");
    const uint64_t second = tear();
    put(EVENT, 12, "kind=other");
    assert_lost(13, NULL, 1, second); /* not what was lost after that */
    put_repair(11, first, second + line_length(second) - first, "both");
    assert_lost(13, NULL, 0, 0);
}

/* Repairs count whenever they were written, as they say what the bytes are. */
static void a_repair_counts_whatever_was_known(void **state)
{
    put(RUN, 0, P1_RUN);
    put(RESEATED, 1, "probe=P1 seat_deg=unknown");
    const uint64_t first = tear();
    put(EVENT, 2, "kind=other");
    put_repair(4, first, line_length(first), "nothing of weight");
    reseat_state_request query = asked_on(9);
    query.as_known = day(3);
    reseat_state s = stand(&query);
    assert_int_equal(s.lost, 0);
    reseat_state_free(&s);
}

/* Damage that a person has looked at no longer stops; a policy above it may have been replaced. */
static void damage_that_was_looked_at_does_not_stop(void **state)
{
    reseat_appended done;
    put(POLICY, 0, "reseats=changer");
    put(RUN, 0, P1_RUN);
    put(EVENT, 1, "kind=other");
    put(EVENT, 2, "kind=other");
    logs_damage("mill-1", 4);
    reseat_state s;
    const reseat_state_request query = asked_on(9);
    assert_status(reseat_state_read(&query, &s, NULL), RESEAT_ERR_DAMAGED);
    reseat_record *record = logs_record(RESEAT_RECORD_REPAIR);
    logs_set(record, RESEAT_FIELD_WHY, "a note");
    assert_status(logs_append("mill-1", record, NULL, &done, NULL), RESEAT_OK);
    s = stand(&query);
    assert_int_equal(s.reasons, 0);
    assert_int_equal(s.sealed_off, 1);
    assert_int_equal(s.older_policy, 1);
    reseat_state_free(&s);
}

/* In another log that names the probe, since the run. */
static void what_was_lost_elsewhere_counts(void **state)
{
    put(RUN, 2, P1_RUN);
    for (int named = 0; named < 2; named++) {
        const char *log = named ? "mill-3" : "mill-2";
        put_late(log, 1, RUN, 1, named ? P1_RUN : "probe=P2 seat_deg=0" XY);
        put_late(log, 3, EVENT, 3, "kind=other");
        size_t length = 0;
        char *bytes = logs_read(log, &length);
        logs_write(log, bytes, length - 20);
        free(bytes);
        put_late(log, 4, EVENT, 4, "kind=other");
        reseat_state s = stand_on(9);
        assert_int_equal(s.lost, named);
        assert_string_equal(s.lost_log, named ? "mill-3" : "");
        assert_int_equal(s.reasons & LOST, named ? LOST : 0);
        reseat_state_free(&s);
    }
    put(RUN, 5, P1_RUN);
    assert_lost(9, NULL, 0, 0);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(what_was_lost_since_the_run_is_a_reason),
        TEST(what_was_lost_counts_for_every_probe),
        TEST(a_run_recorded_late_does_not_settle_it),
        TEST(what_a_person_has_looked_at_does_not_count),
        TEST(a_repair_counts_whatever_was_known),
        TEST(damage_that_was_looked_at_does_not_stop),
        TEST(what_was_lost_elsewhere_counts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
