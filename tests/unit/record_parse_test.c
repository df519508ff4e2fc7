/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "records.h"

#include <stdio.h>
#include <stdlib.h>
#include "log/seal.h"
#include "log/record.h"

static void assert_refused(const char *line, size_t length, reseat_status status, const char *key,
                           const char *message)
{
    reseat_record *record = NULL;
    reseat_error error;
    memset(&error, 0x55, sizeof error);
    assert_status(record_parse(line, length, &record, &error), status);
    assert_null(record);
    assert_string_equal(error.text, message);
    assert_string_equal(error.key, key);
    assert_status(record_parse(line, length, &record, NULL), status);
}

static void refuse(const char *line, reseat_status status, const char *key, const char *message)
{
    assert_refused(line, strlen(line), status, key, message);
}

static void reads_a_run_with_all_that_it_says(void **state)
{
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
    assert_false(reseat_record_has(record, RESEAT_FIELD_REASONS));
    reseat_record_free(record);
}

static void a_field_asked_for_as_what_it_is_not_is_absent(void **state)
{
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
    refuse("", RESEAT_ERR_SYNTAX, "", "does not end in a seal");
    refuse("[1" SEALED, RESEAT_ERR_SYNTAX, "", "expected {");
    refuse(RUN ",\"note\":\"a\tb\"" SEALED, RESEAT_ERR_SYNTAX, "",
           "control byte in a text");
    refuse(RUN ",\"note\":\"a\\u0000b\"" SEALED, RESEAT_ERR_SYNTAX, "", "a text must hold no NUL");
    refuse(RUN ",\"note\":\"a\xFF\"" SEALED, RESEAT_ERR_SYNTAX, "", "not UTF-8");
    refuse(RUN ",\"note\":\"\\ud800\"" SEALED, RESEAT_ERR_SYNTAX, "", "half a surrogate pair");
    refuse(RUN ",\"note\":\"\\udc00\"" SEALED, RESEAT_ERR_SYNTAX, "", "half a surrogate pair");
    refuse(RUN ",\"note\":\"\\q\"" SEALED, RESEAT_ERR_SYNTAX, "", "no such escape");
    refuse(RUN ",\"touches\":01" SEALED, RESEAT_ERR_SYNTAX, "",
           "leading zero");
    refuse(RUN ",\"touches\":1." SEALED, RESEAT_ERR_SYNTAX, "", "expected a digit after the point");
    refuse(RUN ",\"touches\":1e" SEALED, RESEAT_ERR_SYNTAX, "", "expected a digit in the exponent");
    refuse(RUN ",\"touches\":+1" SEALED, RESEAT_ERR_SYNTAX, "", "expected a digit");
    refuse(RUN ",\"touches\":nul" SEALED, RESEAT_ERR_SYNTAX, "", "expected a value");
    refuse(RUN ",\"touches\":\"1" SEALED, RESEAT_ERR_SYNTAX, "", "expected , or }");
    refuse(RUN ",\"touches\" 1" SEALED, RESEAT_ERR_SYNTAX, "", "expected a colon");
    refuse(RUN ",," SEALED, RESEAT_ERR_SYNTAX, "", "expected a text in quotes");
    refuse(RUN ",\"x\":[1,2" SEALED, RESEAT_ERR_SYNTAX, "", "expected , or ]");
    refuse(RUN "},{\"a\":1" SEALED, RESEAT_ERR_SYNTAX, "", "more text after the object");
    assert_refused(RUN ",\"note\":\"a\0b\"" SEALED, sizeof RUN ",\"note\":\"a\0b\"" SEALED - 1,
                   RESEAT_ERR_SYNTAX, "", "control byte in a text");
}

static void names_the_byte_at_which_json_goes_wrong(void **state)
{
    const char *line = RUN ",\"touches\":01" SEALED;
    reseat_record *record = NULL;
    reseat_error error;
    assert_status(record_parse(line, strlen(line), &record, &error), RESEAT_ERR_SYNTAX);
    assert_int_equal(error.column, strlen(RUN ",\"touches\":0") + 1);
}

static void refuses_nesting_beyond_eight(void **state)
{
    reseat_record_free(parse(RUN ",\"x\":[[[[[[[1]]]]]]]" SEALED));
    refuse(RUN ",\"x\":[[[[[[[[1]]]]]]]]" SEALED, RESEAT_ERR_SYNTAX, "", "nested too deep");
}

static void refuses_a_key_that_stands_twice(void **state)
{
    char line[RESEAT_RECORD_LINE_MAX] = RUN;
    refuse(RUN ",\"seq\":4" SEALED, RESEAT_ERR_SYNTAX, "", "duplicate key \"seq\"");
    refuse(RUN ",\"s\\u0065q\":4" SEALED, RESEAT_ERR_SYNTAX, "", "duplicate key \"seq\"");
    refuse(RUN ",\"x\":[{\"a\":1,\"a\":2}]" SEALED, RESEAT_ERR_SYNTAX, "",
           "duplicate key \"a\"");
    for (int i = 0; i < 1000; i++)
        snprintf(line + strlen(line), sizeof line - strlen(line), ",\"x%d\":%d", i, i);
    strcat(line, ",\"x77\":1");
    strcat(line, SEALED);
    refuse(line, RESEAT_ERR_SYNTAX, "", "duplicate key \"x77\"");
    reseat_record_free(parse(RUN ",\"Seq\":4" SEALED)); /* another key: case counts */
}

static void refuses_numbers_that_are_not_finite(void **state)
{
    refuse(RUN ",\"form_mm\":1e999" SEALED, RESEAT_ERR_NOT_FINITE, "", "a number is too large");
    refuse(RUN ",\"x\":[{\"y\":-1e999}]" SEALED, RESEAT_ERR_NOT_FINITE, "",
           "a number is too large");
    refuse(RUN ",\"x\":0.00000000000000000000000000000000000000000000000000000000000000" SEALED,
           RESEAT_ERR_SYNTAX, "", "the number is too long");
}

static void refuses_a_line_that_is_too_long(void **state)
{
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
           "must be at least 1, is 0");
}

static void refuses_texts_that_a_field_cannot_hold(void **state)
{
    refuse(RUN ",\"note\":\"a\\nb\"" SEALED, RESEAT_ERR_SYNTAX, "note",
           "must hold no control characters");
    refuse(RUN ",\"note\":\"a\\u0085b\"" SEALED, RESEAT_ERR_SYNTAX, "note",
           "must hold no control characters");
    refuse(RUN ",\"note\":\"\"" SEALED, RESEAT_ERR_SYNTAX, "note", "must not be empty");
    refuse(RUN ",\"gauge\":\"bell\"" SEALED, RESEAT_ERR_SYNTAX, "gauge",
           "expected one of ring plug sphere bore boss; read \"bell\"");
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
    refuse(RUN ",\"in_use_x_mm\":1" SEALED, RESEAT_ERR_SYNTAX, "in_use_y_mm",
           "missing, as in_use_x_mm is there");
    refuse(RUN ",\"found_y_mm\":1" SEALED, RESEAT_ERR_SYNTAX, "found_x_mm",
           "missing, as found_y_mm is there");
    refuse(RUN ",\"dirs_deg\":[1]" SEALED, RESEAT_ERR_SYNTAX, "radii_mm",
           "missing, as dirs_deg is there");
    refuse(RUN ",\"dirs_deg\":[1],\"radii_mm\":[1,2]" SEALED, RESEAT_ERR_SYNTAX, "radii_mm",
           "must be as many as dirs_deg");
}

static reseat_error error_of(const char *line)
{
    reseat_record *record = NULL;
    reseat_error error;
    assert_status(record_parse(line, strlen(line), &record, &error), RESEAT_ERR_SYNTAX);
    return error;
}

static void tells_by_a_code_what_is_missing(void **state)
{
    reseat_error error = error_of(HEAD "\"void\"" WHEN ",\"voids\":3" SEALED);
    assert_int_equal(error.code, RESEAT_CODE_MISSING);
    assert_string_equal(error.other_key, "");
    error = error_of("{\"v\":1,\"seq\":4" WHEN SEALED);
    assert_int_equal(error.code, RESEAT_CODE_MISSING);
    error = error_of(RUN ",\"dirs_deg\":[1]" SEALED);
    assert_int_equal(error.code, RESEAT_CODE_MISSING_PARTNER);
    assert_string_equal(error.other_key, "dirs_deg");
    error = error_of(RUN ",\"dirs_deg\":[1],\"radii_mm\":[1,2]" SEALED);
    assert_int_equal(error.code, RESEAT_CODE_COUNT_DIFFERS);
    assert_string_equal(error.key, "radii_mm");
    assert_string_equal(error.other_key, "dirs_deg");
    error = error_of(RUN ",\"note\":\"\"" SEALED);
    assert_int_equal(error.code, RESEAT_CODE_NONE);
}

/* Lines made by an independent implementation. */
static void reads_and_verifies_the_reference_logs(void **state)
{
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
        cmocka_unit_test(tells_by_a_code_what_is_missing),
        cmocka_unit_test(reads_and_verifies_the_reference_logs),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
