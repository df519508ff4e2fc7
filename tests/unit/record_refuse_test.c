/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What the functions of records refuse, each with the record as it was. */
#include "records.h"

#include <stdio.h>
#include "reseat/values.h"
#include "log/record.h"

static reseat_record *made(reseat_record_type type)
{
    reseat_record *record = NULL;
    assert_status(reseat_record_new(type, &record), RESEAT_OK);
    return record;
}

static void no_record_text_or_value_is_refused(void **state)
{
    reseat_record *run = made(RESEAT_RECORD_RUN);
    const reseat_field nothing = RESEAT_FIELD_COUNT, probe = RESEAT_FIELD_PROBE;
    const reseat_seat seat = {.kind = RESEAT_SEAT_ANGLE};
    size_t length = 7;
    assert_status(record_parse(NULL, 0, &run, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(record_parse(RUN SEALED, strlen(RUN SEALED), NULL, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_null(reseat_record_line(NULL, &length));
    assert_int_equal(length, 0);
    assert_null(reseat_record_numbers(run, RESEAT_FIELD_DIRS_DEG, NULL));
    assert_status(reseat_record_set_number(run, nothing, 1, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_record_set_text(run, probe, NULL, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_record_set_numbers(run, RESEAT_FIELD_DIRS_DEG, NULL, 1, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_record_add_text(run, probe, NULL, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_record_set_typed(NULL, probe, "x", RESEAT_MM, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_record_set_typed(run, probe, NULL, RESEAT_MM, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_record_set_typed(run, nothing, "x", RESEAT_MM, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_record_set_typed(run, RESEAT_FIELD_TOUCHES, "x", RESEAT_MM, NULL),
                  RESEAT_ERR_SYNTAX);
    assert_status(reseat_record_set_seat(NULL, &seat, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_record_set_seat(run, NULL, NULL), RESEAT_ERR_ARGUMENT);
    assert_false(reseat_record_has(run, probe));
    reseat_record_free(run);
}

static void numbers_are_as_many_as_a_field_holds(void **state)
{
    static double many[RESEAT_RECORD_COUNT_MAX + 1];
    const reseat_field dirs = RESEAT_FIELD_DIRS_DEG;
    reseat_error error;
    size_t count = 0;
    reseat_record *run = made(RESEAT_RECORD_RUN);
    assert_status(reseat_record_set_numbers(run, dirs, many, 0, &error), RESEAT_ERR_RANGE);
    assert_string_equal(error.key, "dirs_deg");
    assert_status(reseat_record_set_numbers(run, dirs, many, RESEAT_RECORD_COUNT_MAX + 1, NULL),
                  RESEAT_ERR_RANGE);
    assert_status(reseat_record_set_numbers(run, RESEAT_FIELD_PROBE, many, 1, NULL),
                  RESEAT_ERR_ARGUMENT);
    many[1] = (double)NAN;
    assert_status(reseat_record_set_numbers(run, dirs, many, 2, NULL), RESEAT_ERR_NOT_FINITE);
    assert_false(reseat_record_has(run, dirs));
    many[1] = 0;
    assert_status(reseat_record_set_numbers(run, dirs, many, RESEAT_RECORD_COUNT_MAX, NULL),
                  RESEAT_OK);
    assert_non_null(reseat_record_numbers(run, dirs, &count));
    assert_int_equal(count, RESEAT_RECORD_COUNT_MAX);
    reseat_record_free(run);
}

/* "0,0,...", `count` of them. */
static char *repeated(const char *item, size_t count, char *out)
{
    const size_t length = strlen(item);
    for (size_t i = 0; i < count; i++) {
        memcpy(out + i * (length + 1), item, length);
        out[i * (length + 1) + length] = ',';
    }
    out[count * (length + 1) - 1] = '\0';
    return out;
}

static void typed_numbers_are_as_many_as_a_field_holds(void **state)
{
    static char text[4 * RESEAT_RECORD_COUNT_MAX];
    reseat_error error;
    reseat_record *run = made(RESEAT_RECORD_RUN);
    repeated("0", RESEAT_RECORD_COUNT_MAX + 1, text);
    assert_status(reseat_record_set_typed(run, RESEAT_FIELD_DIRS_DEG, text, RESEAT_MM, &error),
                  RESEAT_ERR_RANGE);
    assert_non_null(strstr(error.text, "must be 1 to 1024 numbers"));
    assert_false(reseat_record_has(run, RESEAT_FIELD_DIRS_DEG));
    repeated("0", RESEAT_RECORD_COUNT_MAX, text);
    assert_status(reseat_record_set_typed(run, RESEAT_FIELD_DIRS_DEG, text, RESEAT_MM, &error),
                  RESEAT_OK);
    reseat_record_free(run);
}

static void texts_are_as_many_as_a_field_holds(void **state)
{
    const reseat_field reasons = RESEAT_FIELD_REASONS;
    reseat_record *verdict = made(RESEAT_RECORD_VERDICT);
    assert_status(reseat_record_add_text(verdict, RESEAT_FIELD_PROBE, "P1", NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_record_add_text(verdict, reasons, "", NULL), RESEAT_ERR_SYNTAX);
    assert_status(reseat_record_set_typed(verdict, reasons, "service", RESEAT_MM, NULL),
                  RESEAT_OK);
    for (size_t i = 1; i < RESEAT_RECORD_COUNT_MAX; i++)
        assert_status(reseat_record_add_text(verdict, reasons, "collision", NULL), RESEAT_OK);
    assert_status(reseat_record_add_text(verdict, reasons, "service", NULL), RESEAT_ERR_RANGE);
    assert_int_equal(verdict->values[reasons].count, RESEAT_RECORD_COUNT_MAX);
    reseat_record_free(verdict);
}

static void a_line_is_refused(const char *line, reseat_status status, const char *key,
                              const char *text)
{
    reseat_record *record = NULL;
    reseat_error error;
    assert_status(record_parse(line, strlen(line), &record, &error), status);
    assert_null(record);
    assert_string_equal(error.key, key);
    if (strstr(error.text, text) == NULL)
        fail_msg("expected \"%s\" in \"%s\"", text, error.text);
}

#define VERDICT HEAD "\"verdict\"" WHEN ",\"probe\":\"P1\",\"at\":\"2026-03-02T06:00:00Z\"," \
    "\"verdict\":\"OK\",\"run_seq\":2,\"seat\":\"any\",\"limit_mm\":0.005,\"error_mm\":0.002," \
    "\"chance\":0.99,\"reasons\":"

static void a_list_in_a_line_is_one_of_its_kind_and_not_too_long(void **state)
{
    static char line[12 * RESEAT_RECORD_COUNT_MAX], items[6 * RESEAT_RECORD_COUNT_MAX];
    reseat_record_free(parse(VERDICT "[\"service\"]" SEALED));
    a_line_is_refused(VERDICT "1" SEALED, RESEAT_ERR_SYNTAX, "reasons", "an array of texts");
    a_line_is_refused(VERDICT "[1]" SEALED, RESEAT_ERR_SYNTAX, "reasons", "an array of texts");
    a_line_is_refused(VERDICT "[\"\"]" SEALED, RESEAT_ERR_SYNTAX, "reasons", "must not be empty");
    repeated("\"x\"", RESEAT_RECORD_COUNT_MAX + 1, items);
    snprintf(line, sizeof line, "%s[%s]%s", VERDICT, items, SEALED);
    a_line_is_refused(line, RESEAT_ERR_RANGE, "reasons", "more than");
    repeated("0", RESEAT_RECORD_COUNT_MAX + 1, items);
    snprintf(line, sizeof line, "%s,\"dirs_deg\":[%s]%s", RUN, items, SEALED);
    a_line_is_refused(line, RESEAT_ERR_RANGE, "dirs_deg", "must be 1 to 1024 numbers");
}

static void times_and_seats_have_their_range(void **state)
{
    reseat_record *run = made(RESEAT_RECORD_RUN), *reseated = made(RESEAT_RECORD_RESEAT);
    reseat_seat seat = {.kind = RESEAT_SEAT_ANGLE, .seat_deg = 30, .within_deg = 180};
    static const double wrong[] = {180, -1, (double)NAN, (double)INFINITY};
    assert_status(reseat_record_set_integer(run, RESEAT_FIELD_AT, -62135596801, NULL),
                  RESEAT_ERR_RANGE);
    assert_status(reseat_record_set_integer(run, RESEAT_FIELD_AT, 253402300800, NULL),
                  RESEAT_ERR_RANGE);
    assert_status(reseat_record_set_integer(run, RESEAT_FIELD_TOUCHES, 9007199254740993, NULL),
                  RESEAT_ERR_RANGE);
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        seat.within_deg = wrong[i];
        assert_true(reseat_record_set_seat(reseated, &seat, NULL) != RESEAT_OK);
    }
    seat = (reseat_seat){.kind = RESEAT_SEAT_ANGLE, .seat_deg = (double)NAN};
    assert_status(reseat_record_set_seat(reseated, &seat, NULL), RESEAT_ERR_NOT_FINITE);
    seat.within_deg = 2;
    assert_status(reseat_record_set_seat(reseated, &seat, NULL), RESEAT_ERR_NOT_FINITE);
    assert_false(reseat_record_has(reseated, RESEAT_FIELD_SEAT_DEG));
    reseat_record_free(run);
    reseat_record_free(reseated);
}

static void texts_hold_no_control_characters(void **state)
{
    static const char *const bad[] = {"a\x1F", "a\x7F", "a\xC2\x80", "a\xC2\x9F"};
    static const char *const good[] = {"a\xC2\xA0", "\xC3\x80", "a b"};
    reseat_record *run = made(RESEAT_RECORD_RUN);
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        assert_status(reseat_record_set_text(run, RESEAT_FIELD_NOTE, bad[i], NULL),
                      RESEAT_ERR_SYNTAX);
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++)
        assert_status(reseat_record_set_text(run, RESEAT_FIELD_NOTE, good[i], NULL), RESEAT_OK);
    reseat_record_free(run);
}

static void type_and_version_stay(void **state)
{
    reseat_record *run = parse(RUN SEALED);
    record_clear(run, RESEAT_FIELD_TYPE);
    record_clear(run, RESEAT_FIELD_V);
    assert_true(reseat_record_has(run, RESEAT_FIELD_TYPE) &&
                reseat_record_has(run, RESEAT_FIELD_V));
    assert_non_null(reseat_record_line(run, NULL));
    reseat_record_free(run);
}

static void a_record_without_the_time_of_writing_is_not_sealed(void **state)
{
    reseat_record *run = parse(RUN SEALED);
    record_clear(run, RESEAT_FIELD_RECORDED_AT);
    assert_status(record_seal(run, NULL, NULL), RESEAT_ERR_ARGUMENT);
    reseat_record_free(run);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_record_text_or_value_is_refused),
        cmocka_unit_test(numbers_are_as_many_as_a_field_holds),
        cmocka_unit_test(typed_numbers_are_as_many_as_a_field_holds),
        cmocka_unit_test(texts_are_as_many_as_a_field_holds),
        cmocka_unit_test(a_list_in_a_line_is_one_of_its_kind_and_not_too_long),
        cmocka_unit_test(times_and_seats_have_their_range),
        cmocka_unit_test(texts_hold_no_control_characters),
        cmocka_unit_test(type_and_version_stay),
        cmocka_unit_test(a_record_without_the_time_of_writing_is_not_sealed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
