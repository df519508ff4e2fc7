/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Logs written record by record, and the states that they give. Day 0 is LOGS_NOW. */
#ifndef RESEAT_TESTS_STATES_H
#define RESEAT_TESTS_STATES_H

#include "logs.h"
#include "reseat/history.h"
#include "log/seal.h"
#include "history/state.h"

static const reseat_record_type RUN = RESEAT_RECORD_RUN, RESEATED = RESEAT_RECORD_RESEAT,
                                EVENT = RESEAT_RECORD_EVENT, VERIFY = RESEAT_RECORD_VERIFY,
                                POLICY = RESEAT_RECORD_POLICY, VOID = RESEAT_RECORD_VOID;

/* What the runs of these tests have in common. */
#define XY " offset_x_mm=0.004 offset_y_mm=-0.0011"
#define P1_RUN "probe=P1 seat_deg=30" XY
#define P1_CHECK "probe=P1 shift_x_mm=0.0002 shift_y_mm=0.0001 shift_u_mm=0.0005"

static inline int64_t day(double days)
{
    return LOGS_NOW + (int64_t)(days * 86400);
}

/* Gives a record fields written as "name=value name=value". */
static inline void fill(reseat_record *record, const char *fields)
{
    char text[2048], *rest = text;
    snprintf(text, sizeof text, "%s", fields);
    for (char *name = strtok_r(text, " ", &rest); name; name = strtok_r(NULL, " ", &rest)) {
        char *value = strchr(name, '=');
        assert_non_null(value);
        *value++ = '\0';
        const reseat_field field = reseat_field_find(name);
        assert_int_not_equal(field, RESEAT_FIELD_COUNT);
        logs_set(record, field, value);
    }
}

/* Appends a fact of one day, written on another; its number. */
static inline int64_t put_late(const char *log, double written, reseat_record_type type,
                               double happened, const char *fields)
{
    reseat_record *record = logs_record(type);
    logs_now = day(written);
    fill(record, fields);
    if (type != POLICY && type != VOID)
        assert_status(reseat_record_set_integer(record, RESEAT_FIELD_AT, day(happened), NULL),
                      RESEAT_OK);
    return logs_add(log, record);
}

static inline int64_t put(reseat_record_type type, double on, const char *fields)
{
    return put_late("mill-1", on, type, on, fields);
}

static inline int64_t put_void(double on, int64_t seq)
{
    char fields[64];
    snprintf(fields, sizeof fields, "voids=%d why=slip", (int)seq);
    return put(VOID, on, fields);
}

/* The seal of the nearest sealed line; NULL if there is none. */
static inline const char *last_seal(const char *bytes, size_t length)
{
    const char *seal = NULL;
    for (size_t end = length; end > 0 && seal == NULL; end--)
        if (bytes[end - 1] == '\n')
            seal = seal_of(bytes, end - 1);
    return seal;
}

/* Appends a line as no version of this library writes it, under the seal that it needs. */
static inline void put_raw(const char *log, const char *body)
{
    size_t length = 0;
    char digits[SEAL_DIGITS + 1];
    char *bytes = logs_read(log, &length);
    seal_make(last_seal(bytes, length), body, strlen(body), digits);
    FILE *file = fopen(logs_path(log), "ab");
    assert_non_null(file);
    fprintf(file, "%s" SEAL_MARK "%s" SEAL_END "\n", body, digits);
    assert_int_equal(fclose(file), 0);
    free(bytes);
}

static inline reseat_state_request asked_on(double on)
{
    return (reseat_state_request){.dir = logs_dir, .spindle = "mill-1", .as_of = day(on)};
}

/* The state, which there must be. */
static inline reseat_state stand(const reseat_state_request *query)
{
    reseat_state probe_state;
    reseat_error error;
    if (reseat_state_read(query, &probe_state, &error) != RESEAT_OK) {
        print_error("%s\n", error.text);
        fail();
    }
    return probe_state;
}

/* The same without a look into the other logs of the folder. */
static inline reseat_state stand_alone(const reseat_state_request *query)
{
    reseat_state probe_state = {.run = NULL};
    reseat_folder *folder = NULL;
    reseat_error error;
    assert_status(reseat_folder_open(query->dir, &folder), RESEAT_OK);
    if (state_read_alone(folder, query, &probe_state, &error) != RESEAT_OK) {
        print_error("%s\n", error.text);
        fail();
    }
    reseat_folder_close(folder);
    return probe_state;
}

static inline reseat_state stand_on(double on)
{
    const reseat_state_request query = asked_on(on);
    return stand(&query);
}

/* Reading must fail so, leave the output alone and say what is expected. */
static inline void refuse(const reseat_state_request *query, reseat_status status,
                          const char *text)
{
    reseat_state probe_state, before;
    reseat_error error;
    memset(&probe_state, 0x5a, sizeof probe_state);
    memset(&before, 0x5a, sizeof before);
    assert_status(reseat_state_read(query, &probe_state, &error), status);
    assert_memory_equal(&probe_state, &before, sizeof probe_state);
    if (!strstr(error.text, text)) {
        print_error("expected \"%s\" in \"%s\"\n", text, error.text);
        fail();
    }
    assert_status(reseat_state_read(query, &probe_state, NULL), status);
}

static inline int64_t seq_of(const reseat_record *record)
{
    return record ? reseat_record_integer(record, RESEAT_FIELD_SEQ, -1) : -1;
}

/* Whether two states are the same in all that they say. */
static inline void check_same(const reseat_state *a, const reseat_state *b)
{
    assert_string_equal(a->spindle, b->spindle);
    assert_string_equal(a->probe, b->probe);
    assert_string_equal(a->tip, b->tip);
    assert_int_equal(a->as_of, b->as_of);
    assert_int_equal(seq_of(a->run), seq_of(b->run));
    assert_int_equal(seq_of(a->last_reseat), seq_of(b->last_reseat));
    assert_int_equal(seq_of(a->check), seq_of(b->check));
    assert_int_equal(seq_of(a->policy), seq_of(b->policy));
    assert_same_bits(a->age_days, b->age_days);
    assert_int_equal(a->reasons, b->reasons);
    assert_int_equal(a->unknown_types, b->unknown_types);
    assert_int_equal(a->bad_lines, b->bad_lines);
    for (size_t i = 0; i < RESEAT_REASON_COUNT; i++) {
        assert_int_equal(a->events[i].seq, b->events[i].seq);
        assert_int_equal(a->events[i].at, b->events[i].at);
        assert_string_equal(a->events[i].log, b->events[i].log);
    }
    assert_int_equal(a->voided_run, b->voided_run);
    assert_int_equal(a->voided_by, b->voided_by);
    assert_int_equal(a->run_count, b->run_count);
    for (size_t i = 0; i < a->run_count; i++)
        assert_int_equal(a->runs[i].seq, b->runs[i].seq);
    assert_int_equal(a->baseline_count, b->baseline_count);
    for (size_t i = 0; i < a->baseline_count; i++)
        assert_int_equal(a->baselines[i].seq, b->baselines[i].seq);
}

/* The state must be the same where all of the log is read at once. */
static inline void check_whole(const reseat_state_request *request, const reseat_state *s)
{
    reseat_state_request whole = *request;
    whole.whole = true;
    reseat_state all = stand(&whole);
    check_same(s, &all);
    reseat_state_free(&all);
}

#endif
