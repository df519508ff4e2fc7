/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "check.h"
#include "reseat/record.h"
#include "reseat/text.h"

#include <float.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include "seal.h"

#define SEALED ",\"seal\":\"85da4e8c50004914d1fb89748ccb118b2902b8ccb1498531c2b6ea16074423a7\"}"
#define HEAD "{\"v\":1,\"seq\":4,\"type\":"
#define WHEN ",\"recorded_at\":\"2026-03-02T06:00:00Z\""
#define RUN HEAD "\"run\"" WHEN \
    ",\"probe\":\"P1\",\"at\":\"2026-03-02T06:00:00Z\",\"seat_deg\":0," \
    "\"offset_x_mm\":0.004,\"offset_y_mm\":-0.0011"

static reseat_record *parse(const char *line)
{
    reseat_record *record = NULL;
    reseat_error error;
    if (reseat_record_parse(line, strlen(line), &record, &error) != RESEAT_OK) {
        print_error("%s: %s\n", error.key, error.text);
        fail();
    }
    return record;
}

static void assert_refused(const char *line, size_t length, reseat_status status, const char *key,
                           const char *message)
{
    reseat_record *record = NULL;
    reseat_error error;
    memset(&error, 0x55, sizeof error);
    assert_status(reseat_record_parse(line, length, &record, &error), status);
    assert_null(record);
    assert_string_equal(error.text, message);
    assert_string_equal(error.key, key);
    assert_status(reseat_record_parse(line, length, &record, NULL), status);
}

static void refuse(const char *line, reseat_status status, const char *key, const char *message)
{
    assert_refused(line, strlen(line), status, key, message);
}

static void reads_a_run_with_all_that_it_says(void **state)
{
    (void)state;
    reseat_record *record = parse(
        RUN ",\"tip\":\"left\",\"dirs_deg\":[0,90,180],\"radii_mm\":[2.9991,2.9987,2.9993],"
        "\"gauge\":\"ring\",\"touches\":12,\"by\":\"tech-2\",\"note\":\"after a crash \\u00e9\""
        SEALED);
    size_t count = 0;
    assert_int_equal(reseat_record_type_of(record), RESEAT_RECORD_RUN);
    assert_int_equal(reseat_record_integer(record, RESEAT_FIELD_SEQ, -1), 4);
    assert_int_equal(reseat_record_integer(record, RESEAT_FIELD_AT, -1), 1772431200);
    assert_string_equal(reseat_record_text(record, RESEAT_FIELD_PROBE), "P1");
    assert_string_equal(reseat_record_text(record, RESEAT_FIELD_TYPE), "run");
    assert_same_bits(reseat_record_number(record, RESEAT_FIELD_OFFSET_X_MM, 9.0), 0.004);
    assert_same_bits(reseat_record_number(record, RESEAT_FIELD_SEAT_DEG, 9.0), 0.0);
    assert_int_equal(reseat_record_integer(record, RESEAT_FIELD_TOUCHES, -1), 12);
    const double *radii = reseat_record_numbers(record, RESEAT_FIELD_RADII_MM, &count);
    assert_int_equal(count, 3);
    assert_same_bits(radii[1], 2.9987);
    assert_string_equal(reseat_record_text(record, RESEAT_FIELD_NOTE), "after a crash \xC3\xA9");
    reseat_record_free(record);
}

static void says_what_is_absent_and_what_is_null(void **state)
{
    (void)state;
    size_t count = 7;
    reseat_record *record = parse(
        HEAD "\"reseat\"" WHEN ",\"probe\":\"P1\",\"at\":\"2026-03-02T06:00:00Z\",\"seat_deg\":null"
        SEALED);
    assert_true(reseat_record_has(record, RESEAT_FIELD_SEAT_DEG));
    assert_true(reseat_record_is_null(record, RESEAT_FIELD_SEAT_DEG));
    assert_same_bits(reseat_record_number(record, RESEAT_FIELD_SEAT_DEG, 9.0), 9.0);
    assert_false(reseat_record_has(record, RESEAT_FIELD_WITHIN_DEG));
    assert_false(reseat_record_is_null(record, RESEAT_FIELD_WITHIN_DEG));
    assert_null(reseat_record_text(record, RESEAT_FIELD_WHY));
    assert_null(reseat_record_numbers(record, RESEAT_FIELD_DIRS_DEG, &count));
    assert_int_equal(count, 0);
    assert_int_equal(reseat_record_integer(record, RESEAT_FIELD_TOUCHES, -3), -3);
    assert_null(reseat_record_text_at(record, RESEAT_FIELD_REASONS, 0));
    reseat_record_free(record);
}

static void a_field_asked_for_as_what_it_is_not_is_absent(void **state)
{
    (void)state;
    reseat_record *record = parse(RUN SEALED);
    assert_same_bits(reseat_record_number(record, RESEAT_FIELD_PROBE, 9.0), 9.0);
    assert_int_equal(reseat_record_integer(record, RESEAT_FIELD_OFFSET_X_MM, -3), -3);
    assert_null(reseat_record_text(record, RESEAT_FIELD_AT));
    assert_false(reseat_record_has(record, RESEAT_FIELD_COUNT));
    assert_null(reseat_record_text(NULL, RESEAT_FIELD_PROBE));
    assert_int_equal(reseat_record_type_of(NULL), RESEAT_RECORD_OTHER);
    reseat_record_free(record);
    reseat_record_free(NULL);
}

static void keeps_the_line_to_the_byte_with_unknown_fields(void **state)
{
    (void)state;
    const char *line = RUN ",\"later\":{\"a\":[1,{}]},\"kind\":7,\"note\":\"n\"" SEALED;
    size_t length = 0;
    reseat_record *record = parse(line);
    assert_string_equal(reseat_record_line(record, &length), line);
    assert_int_equal(length, strlen(line));
    assert_false(reseat_record_has(record, RESEAT_FIELD_KIND));
    reseat_record_free(record);
}

static void reads_fields_in_any_order_but_the_seal_last(void **state)
{
    (void)state;
    reseat_record *record = parse(
        "{\"why\":\"typed twice\",\"voids\":3" WHEN ",\"type\":\"void\", \"seq\" : 4 ,\"v\":1"
        SEALED);
    assert_int_equal(reseat_record_type_of(record), RESEAT_RECORD_VOID);
    assert_int_equal(reseat_record_integer(record, RESEAT_FIELD_VOIDS, -1), 3);
    reseat_record_free(record);
    refuse(RUN ",\"seal\":\"85da4e8c50004914d1fb89748ccb118b2902b8ccb1498531c2b6ea16074423a7\","
           "\"note\":\"n\"}", RESEAT_ERR_SYNTAX, "", "does not end in a seal");
}

static void a_type_or_version_not_known_is_read_as_other(void **state)
{
    (void)state;
    reseat_record *record =
        parse(HEAD "\"spin\"" WHEN ",\"probe\":\"P1\",\"touches\":\"x\"" SEALED);
    assert_int_equal(reseat_record_type_of(record), RESEAT_RECORD_OTHER);
    assert_string_equal(reseat_record_text(record, RESEAT_FIELD_TYPE), "spin");
    assert_string_equal(reseat_record_text(record, RESEAT_FIELD_PROBE), "P1");
    reseat_record_free(record);
    record = parse("{\"v\":2,\"seq\":4,\"type\":\"run\"" WHEN ",\"offset_x_mm\":\"new\"" SEALED);
    assert_int_equal(reseat_record_type_of(record), RESEAT_RECORD_OTHER);
    assert_int_equal(reseat_record_integer(record, RESEAT_FIELD_V, 0), 2);
    reseat_record_free(record);
}

static void refuses_what_is_no_json_object(void **state)
{
    (void)state;
    refuse("", RESEAT_ERR_SYNTAX, "", "does not end in a seal");
    refuse("[1" SEALED, RESEAT_ERR_SYNTAX, "", "expected {");
    refuse(RUN ",\"note\":\"a\tb\"" SEALED, RESEAT_ERR_SYNTAX, "",
           "a control byte stands in a text");
    refuse(RUN ",\"note\":\"a\\u0000b\"" SEALED, RESEAT_ERR_SYNTAX, "", "a text must hold no NUL");
    refuse(RUN ",\"note\":\"a\xFF\"" SEALED, RESEAT_ERR_SYNTAX, "", "not UTF-8");
    refuse(RUN ",\"note\":\"\\ud800\"" SEALED, RESEAT_ERR_SYNTAX, "", "half a surrogate pair");
    refuse(RUN ",\"note\":\"\\udc00\"" SEALED, RESEAT_ERR_SYNTAX, "", "half a surrogate pair");
    refuse(RUN ",\"note\":\"\\q\"" SEALED, RESEAT_ERR_SYNTAX, "", "no such escape");
    refuse(RUN ",\"touches\":01" SEALED, RESEAT_ERR_SYNTAX, "",
           "a zero stands before another digit");
    refuse(RUN ",\"touches\":1." SEALED, RESEAT_ERR_SYNTAX, "", "expected a digit after the point");
    refuse(RUN ",\"touches\":1e" SEALED, RESEAT_ERR_SYNTAX, "", "expected a digit in the exponent");
    refuse(RUN ",\"touches\":+1" SEALED, RESEAT_ERR_SYNTAX, "", "expected a digit");
    refuse(RUN ",\"touches\":nul" SEALED, RESEAT_ERR_SYNTAX, "", "expected a value");
    refuse(RUN ",\"touches\":\"1" SEALED, RESEAT_ERR_SYNTAX, "", "expected , or }");
    refuse(RUN ",\"touches\" 1" SEALED, RESEAT_ERR_SYNTAX, "", "expected a colon");
    refuse(RUN ",," SEALED, RESEAT_ERR_SYNTAX, "", "expected a text in quotes");
    refuse(RUN ",\"x\":[1,2" SEALED, RESEAT_ERR_SYNTAX, "", "expected , or ]");
    refuse(RUN "},{\"a\":1" SEALED, RESEAT_ERR_SYNTAX, "", "something stands after the object");
    assert_refused(RUN ",\"note\":\"a\0b\"" SEALED, sizeof RUN ",\"note\":\"a\0b\"" SEALED - 1,
                   RESEAT_ERR_SYNTAX, "", "a control byte stands in a text");
}

static void names_the_byte_at_which_json_goes_wrong(void **state)
{
    (void)state;
    const char *line = RUN ",\"touches\":01" SEALED;
    reseat_record *record = NULL;
    reseat_error error;
    assert_status(reseat_record_parse(line, strlen(line), &record, &error), RESEAT_ERR_SYNTAX);
    assert_int_equal(error.column, strlen(RUN ",\"touches\":0") + 1);
}

static void refuses_nesting_beyond_eight(void **state)
{
    (void)state;
    reseat_record_free(parse(RUN ",\"x\":[[[[[[[1]]]]]]]" SEALED));
    refuse(RUN ",\"x\":[[[[[[[[1]]]]]]]]" SEALED, RESEAT_ERR_SYNTAX, "", "nested too deep");
}

static void refuses_a_key_that_stands_twice(void **state)
{
    (void)state;
    char line[RESEAT_RECORD_LINE_MAX] = RUN;
    refuse(RUN ",\"seq\":4" SEALED, RESEAT_ERR_SYNTAX, "", "the key \"seq\" stands twice");
    refuse(RUN ",\"s\\u0065q\":4" SEALED, RESEAT_ERR_SYNTAX, "", "the key \"seq\" stands twice");
    refuse(RUN ",\"x\":[{\"a\":1,\"a\":2}]" SEALED, RESEAT_ERR_SYNTAX, "",
           "the key \"a\" stands twice");
    for (int i = 0; i < 1000; i++)
        snprintf(line + strlen(line), sizeof line - strlen(line), ",\"x%d\":%d", i, i);
    strcat(line, ",\"x77\":1");
    strcat(line, SEALED);
    refuse(line, RESEAT_ERR_SYNTAX, "", "the key \"x77\" stands twice");
    reseat_record_free(parse(RUN ",\"Seq\":4" SEALED)); /* another key: case counts */
}

static void refuses_numbers_that_are_not_finite(void **state)
{
    (void)state;
    refuse(RUN ",\"form_mm\":1e999" SEALED, RESEAT_ERR_NOT_FINITE, "", "a number is too large");
    refuse(RUN ",\"x\":[{\"y\":-1e999}]" SEALED, RESEAT_ERR_NOT_FINITE, "",
           "a number is too large");
    refuse(RUN ",\"x\":0.00000000000000000000000000000000000000000000000000000000000000" SEALED,
           RESEAT_ERR_SYNTAX, "", "the number is too long");
}

static void refuses_a_line_that_is_too_long(void **state)
{
    (void)state;
    static char line[RESEAT_RECORD_LINE_MAX + 2];
    const size_t head = strlen(RUN), tail = strlen(SEALED);
    memset(line, ' ', sizeof line);
    memcpy(line, RUN, head);
    memcpy(line + RESEAT_RECORD_LINE_MAX - tail, SEALED, tail + 1);
    reseat_record_free(parse(line));
    memcpy(line + RESEAT_RECORD_LINE_MAX + 1 - tail, SEALED, tail + 1);
    line[RESEAT_RECORD_LINE_MAX - tail] = ' ';
    refuse(line, RESEAT_ERR_SYNTAX, "", "longer than 65536 bytes");
}

static void refuses_fields_missing_or_of_another_type(void **state)
{
    (void)state;
    refuse("{\"v\":1" WHEN ",\"type\":\"void\",\"voids\":3,\"why\":\"w\"" SEALED, RESEAT_ERR_SYNTAX,
           "seq", "missing");
    refuse("{\"seq\":1" WHEN ",\"type\":\"void\",\"voids\":3,\"why\":\"w\"" SEALED,
           RESEAT_ERR_SYNTAX, "v", "missing");
    refuse(HEAD "\"void\",\"voids\":3,\"why\":\"w\"" SEALED, RESEAT_ERR_SYNTAX, "recorded_at",
           "missing");
    refuse("{\"v\":1,\"seq\":4" WHEN SEALED, RESEAT_ERR_SYNTAX, "type", "missing");
    refuse(HEAD "\"void\"" WHEN ",\"voids\":3" SEALED, RESEAT_ERR_SYNTAX, "why", "missing");
    refuse(HEAD "7" WHEN SEALED, RESEAT_ERR_SYNTAX, "type", "expected a text");
    refuse(RUN ",\"form_mm\":\"0.1\"" SEALED, RESEAT_ERR_SYNTAX, "form_mm", "expected a number");
    refuse(RUN ",\"form_mm\":null" SEALED, RESEAT_ERR_SYNTAX, "form_mm", "expected a number");
    refuse(RUN ",\"tip\":1" SEALED, RESEAT_ERR_SYNTAX, "tip", "expected a text");
    refuse(RUN ",\"dirs_deg\":1" SEALED, RESEAT_ERR_SYNTAX, "dirs_deg",
           "expected an array of numbers");
    refuse(RUN ",\"dirs_deg\":[true]" SEALED, RESEAT_ERR_SYNTAX, "dirs_deg",
           "expected an array of numbers");
    refuse(HEAD "\"run\"" WHEN ",\"probe\":\"P1\",\"at\":7" SEALED, RESEAT_ERR_SYNTAX, "at",
           "expected a time in quotes");
    refuse(HEAD "\"policy\"" WHEN ",\"note\":\"n\"" SEALED, RESEAT_ERR_SYNTAX, "",
           "a policy has at least one field");
}

static void refuses_values_outside_their_range(void **state)
{
    (void)state;
    refuse(RUN ",\"radius_mm\":0" SEALED, RESEAT_ERR_RANGE, "radius_mm", "must be above 0, is 0");
    refuse(RUN ",\"form_mm\":-1e-9" SEALED, RESEAT_ERR_RANGE, "form_mm",
           "must be at least 0, is -1e-9");
    refuse(RUN ",\"touches\":1.5" SEALED, RESEAT_ERR_RANGE, "touches", "must be a whole number");
    refuse(RUN ",\"touches\":9007199254740994" SEALED, RESEAT_ERR_RANGE, "touches",
           "must be at least 1 and at most 9007199254740992, is 9007199254740994");
    refuse(HEAD "\"policy\"" WHEN ",\"confidence\":1" SEALED, RESEAT_ERR_RANGE, "confidence",
           "must be above 0 and below 1, is 1");
    refuse(RUN ",\"radii_mm\":[3,-3]" SEALED, RESEAT_ERR_RANGE, "radii_mm",
           "must be above 0, is -3");
    refuse("{\"v\":0,\"seq\":4,\"type\":\"run\"" WHEN SEALED, RESEAT_ERR_RANGE, "v",
           "must be at least 1 and at most 9007199254740992, is 0");
}

static void refuses_texts_that_a_field_cannot_hold(void **state)
{
    (void)state;
    refuse(RUN ",\"note\":\"a\\nb\"" SEALED, RESEAT_ERR_SYNTAX, "note",
           "must hold no control characters");
    refuse(RUN ",\"note\":\"a\\u0085b\"" SEALED, RESEAT_ERR_SYNTAX, "note",
           "must hold no control characters");
    refuse(RUN ",\"note\":\"\"" SEALED, RESEAT_ERR_SYNTAX, "note", "must not be empty");
    refuse(RUN ",\"gauge\":\"bell\"" SEALED, RESEAT_ERR_SYNTAX, "gauge",
           "expected one of ring plug sphere; read \"bell\"");
    refuse(HEAD "\"policy\"" WHEN ",\"seats\":\"30\"" SEALED, RESEAT_ERR_SYNTAX, "seats",
           "expected keys:N or any, read \"30\"");
    refuse(HEAD "\"log\"" WHEN ",\"spindle\":\"Mill 2\",\"format\":\"reseat-log\"" SEALED,
           RESEAT_ERR_SYNTAX, "spindle",
           "expected a name of a-z 0-9 . _ - that begins with a-z 0-9, read \"Mill 2\"");
    refuse(HEAD "\"run\"" WHEN ",\"probe\":\"P1\",\"at\":\"2026-03-02\"" SEALED, RESEAT_ERR_SYNTAX,
           "at",
           "expected T and a time of day after the date, such as T06:00, read \"2026-03-02\"");
}

static void refuses_halves_of_what_belongs_together(void **state)
{
    (void)state;
    refuse(RUN ",\"in_use_x_mm\":1" SEALED, RESEAT_ERR_SYNTAX, "in_use_y_mm",
           "missing, as in_use_x_mm is there");
    refuse(RUN ",\"found_y_mm\":1" SEALED, RESEAT_ERR_SYNTAX, "found_x_mm",
           "missing, as found_y_mm is there");
    refuse(RUN ",\"dirs_deg\":[1]" SEALED, RESEAT_ERR_SYNTAX, "radii_mm",
           "missing, as dirs_deg is there");
    refuse(RUN ",\"dirs_deg\":[1],\"radii_mm\":[1,2]" SEALED, RESEAT_ERR_SYNTAX, "radii_mm",
           "must be as many as dirs_deg");
}

static reseat_record *make(reseat_record_type type)
{
    reseat_record *record = NULL;
    assert_status(reseat_record_new(type, &record), RESEAT_OK);
    return record;
}

static reseat_record *make_run(void)
{
    reseat_record *record = make(RESEAT_RECORD_RUN);
    assert_status(reseat_record_set_integer(record, RESEAT_FIELD_SEQ, 12, NULL), RESEAT_OK);
    assert_status(reseat_record_set_integer(record, RESEAT_FIELD_RECORDED_AT, 1772431260, NULL),
                  RESEAT_OK);
    assert_status(reseat_record_set_text(record, RESEAT_FIELD_PROBE, "P1", NULL), RESEAT_OK);
    assert_status(reseat_record_set_integer(record, RESEAT_FIELD_AT, 1772431200, NULL), RESEAT_OK);
    assert_status(reseat_record_set_null(record, RESEAT_FIELD_SEAT_DEG, NULL), RESEAT_OK);
    assert_status(reseat_record_set_number(record, RESEAT_FIELD_OFFSET_X_MM, 0.1 + 0.2, NULL),
                  RESEAT_OK);
    assert_status(reseat_record_set_number(record, RESEAT_FIELD_OFFSET_Y_MM, -0.0, NULL),
                  RESEAT_OK);
    return record;
}

/* The expected seal is that of the bytes by Python's hashlib. */
static void writes_fields_in_their_order_and_seals_them(void **state)
{
    (void)state;
    reseat_record *record = make_run();
    const double dirs[] = {0, 90}, radii[] = {1e-9, 2.9987};
    assert_status(reseat_record_set_text(record, RESEAT_FIELD_NOTE, "a \"b\" \\ \xC3\xA9", NULL),
                  RESEAT_OK);
    assert_status(reseat_record_set_numbers(record, RESEAT_FIELD_RADII_MM, radii, 2, NULL),
                  RESEAT_OK);
    assert_status(reseat_record_set_numbers(record, RESEAT_FIELD_DIRS_DEG, dirs, 2, NULL),
                  RESEAT_OK);
    assert_status(reseat_record_set_number(record, RESEAT_FIELD_TOUCHES, 12, NULL), RESEAT_OK);
    assert_null(reseat_record_line(record, NULL));
    assert_status(reseat_record_seal(record, NULL, NULL), RESEAT_OK);
    assert_string_equal(reseat_record_line(record, NULL),
        "{\"v\":1,\"seq\":12,\"type\":\"run\",\"recorded_at\":\"2026-03-02T06:01:00Z\","
        "\"probe\":\"P1\",\"at\":\"2026-03-02T06:00:00Z\",\"seat_deg\":null,"
        "\"offset_x_mm\":0.30000000000000004,\"offset_y_mm\":-0,\"dirs_deg\":[0,90],"
        "\"radii_mm\":[1e-9,2.9987],\"touches\":12,\"note\":\"a \\\"b\\\" \\\\ \xC3\xA9\","
        "\"seal\":\"3c05c4ce7738981ffd91e196dab98bf51fc1a353c2cd7055c6923daf0d7348b9\"}");
    reseat_record_free(record);
}

/* Random bits, the corners of the range, and the numbers that lose bits in other hands. */
static void numbers_come_back_to_the_bit(void **state)
{
    (void)state;
    const double corners[] = {0.1 + 0.2, 1e-9, -0.0, 0.0, DBL_MAX, -DBL_MAX, DBL_MIN, 5e-324,
                              1.0 / 3.0, 123456789012345680.0, 1e21, -1e-7};
    const size_t count = sizeof corners / sizeof corners[0];
    uint64_t bits = 0x9E3779B97F4A7C15u;
    for (size_t i = 0; i < 20000; i++) {
        double value;
        bits ^= bits << 13;
        bits ^= bits >> 7;
        bits ^= bits << 17;
        memcpy(&value, &bits, sizeof value);
        if (i < count)
            value = corners[i];
        if (!isfinite(value))
            continue;
        reseat_record *record = make_run();
        assert_status(reseat_record_set_number(record, RESEAT_FIELD_OFFSET_X_MM, value, NULL),
                      RESEAT_OK);
        assert_status(reseat_record_seal(record, NULL, NULL), RESEAT_OK);
        reseat_record *read = parse(reseat_record_line(record, NULL));
        assert_same_bits(reseat_record_number(read, RESEAT_FIELD_OFFSET_X_MM, 9.0), value);
        reseat_record_free(read);
        reseat_record_free(record);
    }
}

static void a_seal_covers_the_one_above(void **state)
{
    (void)state;
    reseat_record *record = make_run();
    assert_status(reseat_record_seal(record, NULL, NULL), RESEAT_OK);
    char first[RESEAT_SEAL_SIZE];
    snprintf(first, sizeof first, "%s", reseat_record_text(record, RESEAT_FIELD_SEAL));
    assert_status(reseat_record_seal(record, first, NULL), RESEAT_OK);
    assert_string_not_equal(reseat_record_text(record, RESEAT_FIELD_SEAL), first);
    size_t length = 0;
    const char *line = reseat_record_line(record, &length);
    assert_true(seal_holds(first, line, length));
    assert_false(seal_holds(NULL, line, length));
    reseat_record_free(record);
}

static void a_change_takes_line_and_seal_away(void **state)
{
    (void)state;
    reseat_record *record = make_run();
    assert_status(reseat_record_seal(record, NULL, NULL), RESEAT_OK);
    assert_status(reseat_record_set_text(record, RESEAT_FIELD_BY, "tech-2", NULL), RESEAT_OK);
    assert_null(reseat_record_line(record, NULL));
    assert_null(reseat_record_text(record, RESEAT_FIELD_SEAL));
    assert_status(reseat_record_seal(record, NULL, NULL), RESEAT_OK);
    reseat_record_clear(record, RESEAT_FIELD_BY);
    assert_null(reseat_record_line(record, NULL));
    assert_null(reseat_record_text(record, RESEAT_FIELD_BY));
    reseat_record_free(record);
}

static void a_record_that_lacks_something_is_not_sealed(void **state)
{
    (void)state;
    reseat_error error;
    reseat_record *record = make_run();
    reseat_record_clear(record, RESEAT_FIELD_OFFSET_Y_MM);
    assert_status(reseat_record_seal(record, NULL, &error), RESEAT_ERR_SYNTAX);
    assert_string_equal(error.key, "offset_y_mm");
    assert_status(reseat_record_set_number(record, RESEAT_FIELD_OFFSET_Y_MM, 0.0, NULL), RESEAT_OK);
    reseat_record_clear(record, RESEAT_FIELD_SEQ);
    assert_status(reseat_record_seal(record, NULL, &error), RESEAT_ERR_ARGUMENT);
    assert_null(reseat_record_line(record, NULL));
    assert_status(reseat_record_seal(NULL, NULL, &error), RESEAT_ERR_ARGUMENT);
    reseat_record_free(record);
}

static void a_check_asks_for_all_but_what_the_log_gives(void **state)
{
    (void)state;
    reseat_error error;
    reseat_record *record = make_run();
    reseat_record_clear(record, RESEAT_FIELD_SEQ);
    reseat_record_clear(record, RESEAT_FIELD_RECORDED_AT);
    assert_status(reseat_record_check(record, &error), RESEAT_OK);
    reseat_record_clear(record, RESEAT_FIELD_PROBE);
    assert_status(reseat_record_check(record, &error), RESEAT_ERR_SYNTAX);
    assert_string_equal(error.key, "probe");
    assert_status(reseat_record_check(NULL, &error), RESEAT_ERR_ARGUMENT);
    reseat_record_free(record);
}

static void counts_the_texts_of_a_field(void **state)
{
    (void)state;
    reseat_record *record = make(RESEAT_RECORD_VERDICT);
    assert_int_equal(reseat_record_text_count(record, RESEAT_FIELD_REASONS), 0);
    assert_status(reseat_record_add_text(record, RESEAT_FIELD_REASONS, "collision", NULL),
                  RESEAT_OK);
    assert_status(reseat_record_add_text(record, RESEAT_FIELD_REASONS, "too-old", NULL), RESEAT_OK);
    assert_int_equal(reseat_record_text_count(record, RESEAT_FIELD_REASONS), 2);
    assert_string_equal(reseat_record_text_at(record, RESEAT_FIELD_REASONS, 1), "too-old");
    assert_null(reseat_record_text_at(record, RESEAT_FIELD_REASONS, 2));
    assert_int_equal(reseat_record_text_count(record, RESEAT_FIELD_PROBE), 0);
    reseat_record_free(record);
}

static void a_record_too_long_for_a_line_is_not_sealed(void **state)
{
    (void)state;
    reseat_error error;
    reseat_record *record = make_run();
    double values[RESEAT_RECORD_COUNT_MAX];
    for (size_t i = 0; i < RESEAT_RECORD_COUNT_MAX; i++)
        values[i] = DBL_MAX;
    assert_status(reseat_record_set_numbers(record, RESEAT_FIELD_DIRS_DEG, values, 1024, NULL),
                  RESEAT_OK);
    assert_status(reseat_record_set_numbers(record, RESEAT_FIELD_RADII_MM, values, 1024, NULL),
                  RESEAT_OK);
    assert_status(reseat_record_seal(record, NULL, &error), RESEAT_OK); /* 51 KiB */
    reseat_record_free(record);
    record = make(RESEAT_RECORD_VERDICT);
    assert_status(reseat_record_set_text(record, RESEAT_FIELD_PROBE, "P1", NULL), RESEAT_OK);
    assert_status(reseat_record_set_integer(record, RESEAT_FIELD_SEQ, 3, NULL), RESEAT_OK);
    assert_status(reseat_record_set_integer(record, RESEAT_FIELD_RECORDED_AT, 0, NULL), RESEAT_OK);
    assert_status(reseat_record_set_integer(record, RESEAT_FIELD_AT, 0, NULL), RESEAT_OK);
    assert_status(reseat_record_set_integer(record, RESEAT_FIELD_RUN_SEQ, 2, NULL), RESEAT_OK);
    assert_status(reseat_record_set_text(record, RESEAT_FIELD_VERDICT, "OK", NULL), RESEAT_OK);
    assert_status(reseat_record_set_text(record, RESEAT_FIELD_SEAT, "same", NULL), RESEAT_OK);
    assert_status(reseat_record_set_number(record, RESEAT_FIELD_LIMIT_MM, 0.005, NULL), RESEAT_OK);
    assert_status(reseat_record_set_number(record, RESEAT_FIELD_ERROR_MM, 0.0, NULL), RESEAT_OK);
    assert_status(reseat_record_set_number(record, RESEAT_FIELD_CHANCE, 1.0, NULL), RESEAT_OK);
    for (int i = 0; i < 1024; i++)
        assert_status(reseat_record_add_text(record, RESEAT_FIELD_REASONS,
                      "a-reason-that-takes-all-the-room-there-is-for-one-of-them-a-rea", NULL),
                      RESEAT_OK);
    assert_status(reseat_record_seal(record, NULL, &error), RESEAT_ERR_RANGE);
    assert_string_equal(error.text, "the record is longer than 65536 bytes");
    assert_null(reseat_record_line(record, NULL));
    reseat_record_free(record);
}

static void refuses_to_set_what_a_type_does_not_take(void **state)
{
    (void)state;
    reseat_error error;
    reseat_record *record = make_run();
    assert_status(reseat_record_set_number(record, RESEAT_FIELD_LIMIT_MM, 1.0, &error),
                  RESEAT_ERR_ARGUMENT);
    assert_string_equal(error.key, "limit_mm");
    assert_string_equal(error.text, "not a field to set in a run record");
    assert_status(reseat_record_set_text(record, RESEAT_FIELD_OFFSET_X_MM, "1", &error),
                  RESEAT_ERR_ARGUMENT);
    assert_string_equal(error.text, "not a field of this kind");
    assert_status(reseat_record_set_text(record, RESEAT_FIELD_SEAL, "x", NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_record_set_text(record, RESEAT_FIELD_TYPE, "run", NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_record_set_integer(record, RESEAT_FIELD_V, 2, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_record_set_null(record, RESEAT_FIELD_OFFSET_X_MM, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_record_set_number(record, RESEAT_FIELD_OFFSET_X_MM, (double)NAN, NULL),
                  RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_record_set_numbers(record, RESEAT_FIELD_DIRS_DEG, NULL, 1, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_record_set_integer(record, RESEAT_FIELD_AT, 253402300800, NULL),
                  RESEAT_ERR_RANGE);
    assert_status(reseat_record_set_integer(record, RESEAT_FIELD_SEQ, INT64_C(9007199254740993),
                                            NULL), RESEAT_ERR_RANGE);
    assert_status(reseat_record_set_number(NULL, RESEAT_FIELD_LIMIT_MM, 1.0, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_record_set_text(record, RESEAT_FIELD_COUNT, "x", NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_same_bits(reseat_record_number(record, RESEAT_FIELD_OFFSET_X_MM, 9.0), 0.1 + 0.2);
    assert_int_equal(reseat_record_integer(record, RESEAT_FIELD_SEQ, -1), 12);
    assert_status(reseat_record_new(RESEAT_RECORD_OTHER, &record), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_record_new(RESEAT_RECORD_RUN, NULL), RESEAT_ERR_ARGUMENT);
    reseat_record_free(record);
}

static void assert_typed(reseat_record *record, reseat_field field, const char *text,
                         const char *shown)
{
    char out[64];
    reseat_error error;
    if (reseat_record_set_typed(record, field, text, RESEAT_MM, &error) != RESEAT_OK) {
        print_error("%s\n", error.text);
        fail();
    }
    assert_int_equal(reseat_record_show(record, field, out, sizeof out), strlen(shown));
    assert_string_equal(out, shown);
}

static void reads_values_as_people_type_them(void **state)
{
    (void)state;
    reseat_record *record = make(RESEAT_RECORD_RUN), *policy = make(RESEAT_RECORD_POLICY);
    assert_typed(record, RESEAT_FIELD_OFFSET_X_MM, "-4um", "-0.004");
    assert_typed(record, RESEAT_FIELD_OFFSET_Y_MM, "0.1in", "2.54");
    assert_typed(record, RESEAT_FIELD_AT, "2026-03-02T07:00+01:00", "2026-03-02T06:00:00Z");
    assert_typed(record, RESEAT_FIELD_SEAT_DEG, "-90", "270");
    assert_typed(record, RESEAT_FIELD_SEAT_DEG, "unknown", "unknown");
    assert_typed(record, RESEAT_FIELD_TOUCHES, "12", "12");
    assert_typed(record, RESEAT_FIELD_DIRS_DEG, "0,90,180", "0 90 180");
    assert_typed(record, RESEAT_FIELD_RADII_MM, "3,2999um,3mm", "3 2.999 3");
    assert_typed(record, RESEAT_FIELD_GAUGE, "ring", "ring");
    assert_typed(policy, RESEAT_FIELD_CONFIDENCE, "95%", "0.95");
    assert_typed(policy, RESEAT_FIELD_SEATS, "keys:2", "keys:2");
    reseat_record_free(record);
    reseat_record_free(policy);
}

static void says_which_option_was_typed_wrong(void **state)
{
    (void)state;
    reseat_error error;
    reseat_record *record = make(RESEAT_RECORD_RUN);
    assert_status(reseat_record_set_typed(record, RESEAT_FIELD_GAUGE_DIAMETER_MM, "50,2", RESEAT_MM,
                                          &error), RESEAT_ERR_SYNTAX);
    assert_string_equal(error.key, "gauge-diameter");
    assert_status(reseat_record_set_typed(record, RESEAT_FIELD_RADII_MM, "3,,3", RESEAT_MM, &error),
                  RESEAT_ERR_SYNTAX);
    assert_string_equal(error.key, "radii");
    assert_status(reseat_record_set_typed(record, RESEAT_FIELD_TOUCHES, "1.5", RESEAT_MM, &error),
                  RESEAT_ERR_RANGE);
    assert_status(reseat_record_set_typed(record, RESEAT_FIELD_LIMIT_MM, "1", RESEAT_MM, &error),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_record_set_typed(record, RESEAT_FIELD_COUNT, "1", RESEAT_MM, &error),
                  RESEAT_ERR_ARGUMENT);
    assert_false(reseat_record_has(record, RESEAT_FIELD_RADII_MM));
    reseat_record_free(record);
}

static void takes_a_seat_as_angle_interval_or_unknown(void **state)
{
    (void)state;
    reseat_error error;
    reseat_record *record = make(RESEAT_RECORD_RESEAT), *run = make(RESEAT_RECORD_RUN);
    const reseat_seat roughly = {RESEAT_SEAT_ANGLE, 180.0, 5.0, 0};
    const reseat_seat unknown = {RESEAT_SEAT_UNKNOWN, 0.0, 0.0, 0};
    const reseat_seat keys = {RESEAT_SEAT_KEYS, 0.0, 0.0, 2};
    const reseat_seat angle = {RESEAT_SEAT_ANGLE, 30.0, 0.0, 0};
    assert_status(reseat_record_set_seat(record, &roughly, NULL), RESEAT_OK);
    assert_same_bits(reseat_record_number(record, RESEAT_FIELD_SEAT_DEG, 9.0), 180.0);
    assert_same_bits(reseat_record_number(record, RESEAT_FIELD_WITHIN_DEG, 9.0), 5.0);
    assert_status(reseat_record_set_seat(record, &unknown, NULL), RESEAT_OK);
    assert_true(reseat_record_is_null(record, RESEAT_FIELD_SEAT_DEG));
    assert_false(reseat_record_has(record, RESEAT_FIELD_WITHIN_DEG));
    assert_status(reseat_record_set_seat(record, &keys, &error), RESEAT_ERR_SYNTAX);
    assert_status(reseat_record_set_seat(run, &roughly, &error), RESEAT_ERR_SYNTAX);
    assert_string_equal(error.text, "expected an angle or `unknown`");
    assert_status(reseat_record_set_seat(run, &angle, NULL), RESEAT_OK);
    assert_status(reseat_record_set_seat(run, NULL, NULL), RESEAT_ERR_ARGUMENT);
    reseat_record_free(record);
    reseat_record_free(run);
}

static void options_are_fields_less_their_unit(void **state)
{
    (void)state;
    const struct {
        reseat_field field;
        const char *option;
    } cases[] = {
        {RESEAT_FIELD_GAUGE_DIAMETER_MM, "gauge-diameter"}, {RESEAT_FIELD_FEED_MM_MIN, "feed"},
        {RESEAT_FIELD_TEMPERATURE_C, "temperature"},        {RESEAT_FIELD_DIRS_DEG, "dirs"},
        {RESEAT_FIELD_MAX_AGE_DAYS, "max-age"},             {RESEAT_FIELD_U_SEAT_MM, "u-seat"},
        {RESEAT_FIELD_OFFSET_DOF, "offset-dof"},            {RESEAT_FIELD_COUNT, ""},
    };
    char out[32];
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        assert_int_equal(reseat_field_option(cases[i].field, out, sizeof out),
                         strlen(cases[i].option));
        assert_string_equal(out, cases[i].option);
    }
    assert_int_equal(reseat_field_option(RESEAT_FIELD_FEED_MM_MIN, out, 3), 4);
    assert_string_equal(out, "fe");
    assert_int_equal(reseat_field_option(RESEAT_FIELD_FEED_MM_MIN, NULL, 0), 4);
}

static void finds_fields_and_types_by_name(void **state)
{
    (void)state;
    for (unsigned i = 0; i < RESEAT_FIELD_COUNT; i++) {
        const reseat_field_row *row = reseat_field_about((reseat_field)i);
        assert_int_equal(reseat_field_find(row->name), i);
        assert_true(row->required != 0 || row->optional != 0);
        assert_int_equal(row->required & row->optional, 0);
        assert_true(strlen(row->meaning) > 0);
    }
    assert_int_equal(reseat_field_find("offset"), RESEAT_FIELD_COUNT);
    assert_int_equal(reseat_field_find(NULL), RESEAT_FIELD_COUNT);
    assert_null(reseat_field_about(RESEAT_FIELD_COUNT));
    for (unsigned type = 1; type < RESEAT_RECORD_TYPE_COUNT; type++)
        assert_int_equal(reseat_record_type_find(reseat_record_type_name((reseat_record_type)type)),
                         type);
    assert_int_equal(reseat_record_type_find(""), RESEAT_RECORD_OTHER);
    assert_int_equal(reseat_record_type_find(NULL), RESEAT_RECORD_OTHER);
    assert_string_equal(reseat_record_type_name((reseat_record_type)77), "");
}

static void the_schema_is_counted_as_snprintf_counts(void **state)
{
    (void)state;
    const size_t length = reseat_record_schema(NULL, 0);
    char *schema = malloc(length + 1);
    assert_non_null(schema);
    assert_int_equal(reseat_record_schema(schema, length + 1), length);
    assert_int_equal(strlen(schema), length);
    assert_non_null(strstr(schema, "\"radii_mm\":{\"type\":\"array\",\"maxItems\":1024,\"items\":"
                                   "{\"type\":\"number\",\"exclusiveMinimum\":0}"));
    free(schema);
    assert_null(reseat_record_line(NULL, NULL));
}

/* Lines made by an independent implementation. */
static void reads_and_verifies_the_reference_logs(void **state)
{
    (void)state;
    const char *data = getenv("RESEAT_TEST_DATA");
    static char line[RESEAT_RECORD_LINE_MAX];
    size_t lines = 0;
    for (int i = 1; i <= 3; i++) {
        char path[512], above[RESEAT_SEAL_SIZE] = "";
        snprintf(path, sizeof path, "%s/drift/case-%d.jsonl", data, i);
        FILE *file = fopen(path, "r");
        assert_non_null(file);
        for (int64_t seq = 0; fgets(line, sizeof line, file) != NULL; seq++, lines++) {
            line[strcspn(line, "\n")] = '\0';
            reseat_record *record = parse(line);
            assert_true(seal_holds(seq == 0 ? NULL : above, line, strlen(line)));
            assert_int_equal(reseat_record_integer(record, RESEAT_FIELD_SEQ, -1), seq);
            snprintf(above, sizeof above, "%s", reseat_record_text(record, RESEAT_FIELD_SEAL));
            reseat_record_free(record);
        }
        fclose(file);
    }
    assert_int_equal(lines, 99);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_a_run_with_all_that_it_says),
        cmocka_unit_test(says_what_is_absent_and_what_is_null),
        cmocka_unit_test(a_field_asked_for_as_what_it_is_not_is_absent),
        cmocka_unit_test(keeps_the_line_to_the_byte_with_unknown_fields),
        cmocka_unit_test(reads_fields_in_any_order_but_the_seal_last),
        cmocka_unit_test(a_type_or_version_not_known_is_read_as_other),
        cmocka_unit_test(refuses_what_is_no_json_object),
        cmocka_unit_test(names_the_byte_at_which_json_goes_wrong),
        cmocka_unit_test(refuses_nesting_beyond_eight),
        cmocka_unit_test(refuses_a_key_that_stands_twice),
        cmocka_unit_test(refuses_numbers_that_are_not_finite),
        cmocka_unit_test(refuses_a_line_that_is_too_long),
        cmocka_unit_test(refuses_fields_missing_or_of_another_type),
        cmocka_unit_test(refuses_values_outside_their_range),
        cmocka_unit_test(refuses_texts_that_a_field_cannot_hold),
        cmocka_unit_test(refuses_halves_of_what_belongs_together),
        cmocka_unit_test(writes_fields_in_their_order_and_seals_them),
        cmocka_unit_test(numbers_come_back_to_the_bit),
        cmocka_unit_test(a_seal_covers_the_one_above),
        cmocka_unit_test(a_change_takes_line_and_seal_away),
        cmocka_unit_test(a_record_that_lacks_something_is_not_sealed),
        cmocka_unit_test(a_check_asks_for_all_but_what_the_log_gives),
        cmocka_unit_test(counts_the_texts_of_a_field),
        cmocka_unit_test(a_record_too_long_for_a_line_is_not_sealed),
        cmocka_unit_test(refuses_to_set_what_a_type_does_not_take),
        cmocka_unit_test(reads_values_as_people_type_them),
        cmocka_unit_test(says_which_option_was_typed_wrong),
        cmocka_unit_test(takes_a_seat_as_angle_interval_or_unknown),
        cmocka_unit_test(options_are_fields_less_their_unit),
        cmocka_unit_test(finds_fields_and_types_by_name),
        cmocka_unit_test(the_schema_is_counted_as_snprintf_counts),
        cmocka_unit_test(reads_and_verifies_the_reference_logs),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
