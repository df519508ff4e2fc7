/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "records.h"

#include <float.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include "log/seal.h"
#include "log/record.h"

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
    assert_status(record_set_null(record, RESEAT_FIELD_SEAT_DEG, NULL), RESEAT_OK);
    assert_status(reseat_record_set_number(record, RESEAT_FIELD_OFFSET_X_MM, 0.1 + 0.2, NULL),
                  RESEAT_OK);
    assert_status(reseat_record_set_number(record, RESEAT_FIELD_OFFSET_Y_MM, -0.0, NULL),
                  RESEAT_OK);
    return record;
}

/* The expected seal is that of the bytes by Python's hashlib. */
static void writes_fields_in_their_order_and_seals_them(void **state)
{
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
    assert_status(record_seal(record, NULL, NULL), RESEAT_OK);
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
        assert_status(record_seal(record, NULL, NULL), RESEAT_OK);
        reseat_record *read = parse(reseat_record_line(record, NULL));
        assert_same_bits(reseat_record_number(read, RESEAT_FIELD_OFFSET_X_MM, 9.0), value);
        reseat_record_free(read);
        reseat_record_free(record);
    }
}

static void a_seal_covers_the_one_above(void **state)
{
    reseat_record *record = make_run();
    assert_status(record_seal(record, NULL, NULL), RESEAT_OK);
    char first[RESEAT_SEAL_SIZE];
    snprintf(first, sizeof first, "%s", reseat_record_text(record, RESEAT_FIELD_SEAL));
    assert_status(record_seal(record, first, NULL), RESEAT_OK);
    assert_string_not_equal(reseat_record_text(record, RESEAT_FIELD_SEAL), first);
    size_t length = 0;
    const char *line = reseat_record_line(record, &length);
    assert_true(seal_holds(first, line, length));
    assert_false(seal_holds(NULL, line, length));
    reseat_record_free(record);
}

static void a_change_takes_line_and_seal_away(void **state)
{
    reseat_record *record = make_run();
    assert_status(record_seal(record, NULL, NULL), RESEAT_OK);
    assert_status(reseat_record_set_text(record, RESEAT_FIELD_BY, "tech-2", NULL), RESEAT_OK);
    assert_null(reseat_record_line(record, NULL));
    assert_null(reseat_record_text(record, RESEAT_FIELD_SEAL));
    assert_status(record_seal(record, NULL, NULL), RESEAT_OK);
    record_clear(record, RESEAT_FIELD_BY);
    assert_null(reseat_record_line(record, NULL));
    assert_null(reseat_record_text(record, RESEAT_FIELD_BY));
    reseat_record_free(record);
}

static void a_record_that_lacks_something_is_not_sealed(void **state)
{
    reseat_error error;
    reseat_record *record = make_run();
    record_clear(record, RESEAT_FIELD_OFFSET_Y_MM);
    assert_status(record_seal(record, NULL, &error), RESEAT_ERR_SYNTAX);
    assert_string_equal(error.key, "offset_y_mm");
    assert_status(reseat_record_set_number(record, RESEAT_FIELD_OFFSET_Y_MM, 0.0, NULL), RESEAT_OK);
    record_clear(record, RESEAT_FIELD_SEQ);
    assert_status(record_seal(record, NULL, &error), RESEAT_ERR_ARGUMENT);
    assert_null(reseat_record_line(record, NULL));
    assert_status(record_seal(NULL, NULL, &error), RESEAT_ERR_ARGUMENT);
    reseat_record_free(record);
}

static void a_check_asks_for_all_but_what_the_log_gives(void **state)
{
    reseat_error error;
    reseat_record *record = make_run();
    record_clear(record, RESEAT_FIELD_SEQ);
    record_clear(record, RESEAT_FIELD_RECORDED_AT);
    assert_status(reseat_record_check(record, &error), RESEAT_OK);
    record_clear(record, RESEAT_FIELD_PROBE);
    assert_status(reseat_record_check(record, &error), RESEAT_ERR_SYNTAX);
    assert_string_equal(error.key, "probe");
    assert_status(reseat_record_check(NULL, &error), RESEAT_ERR_ARGUMENT);
    reseat_record_free(record);
}

static void counts_the_texts_of_a_field(void **state)
{
    reseat_record *record = make(RESEAT_RECORD_VERDICT);
    const record_value *const reasons = &record->values[RESEAT_FIELD_REASONS];
    assert_int_equal(reasons->count, 0);
    assert_status(reseat_record_add_text(record, RESEAT_FIELD_REASONS, "collision", NULL),
                  RESEAT_OK);
    assert_status(reseat_record_add_text(record, RESEAT_FIELD_REASONS, "too-old", NULL), RESEAT_OK);
    assert_int_equal(reasons->count, 2);
    assert_string_equal(reasons->as.texts[0], "collision");
    assert_string_equal(reasons->as.texts[1], "too-old");
    reseat_record_free(record);
}

static void a_record_too_long_for_a_line_is_not_sealed(void **state)
{
    reseat_error error;
    reseat_record *record = make_run();
    double values[RESEAT_RECORD_COUNT_MAX];
    for (size_t i = 0; i < RESEAT_RECORD_COUNT_MAX; i++)
        values[i] = DBL_MAX;
    assert_status(reseat_record_set_numbers(record, RESEAT_FIELD_DIRS_DEG, values, 1024, NULL),
                  RESEAT_OK);
    assert_status(reseat_record_set_numbers(record, RESEAT_FIELD_RADII_MM, values, 1024, NULL),
                  RESEAT_OK);
    assert_status(record_seal(record, NULL, &error), RESEAT_OK); /* 51 KiB */
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
    assert_status(record_seal(record, NULL, &error), RESEAT_ERR_RANGE);
    assert_string_equal(error.text, "the record is longer than 65536 bytes");
    assert_null(reseat_record_line(record, NULL));
    reseat_record_free(record);
}

static void refuses_to_set_what_a_type_does_not_take(void **state)
{
    reseat_error error;
    reseat_record *record = make_run();
    assert_status(reseat_record_set_number(record, RESEAT_FIELD_LIMIT_MM, 1.0, &error),
                  RESEAT_ERR_ARGUMENT);
    assert_string_equal(error.key, "limit_mm");
    assert_string_equal(error.text, "run records have no such field to set");
    assert_status(reseat_record_set_text(record, RESEAT_FIELD_OFFSET_X_MM, "1", &error),
                  RESEAT_ERR_ARGUMENT);
    assert_string_equal(error.text, "not a field of this kind");
    assert_status(reseat_record_set_text(record, RESEAT_FIELD_SEAL, "x", NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_record_set_text(record, RESEAT_FIELD_TYPE, "run", NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_record_set_integer(record, RESEAT_FIELD_V, 2, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(record_set_null(record, RESEAT_FIELD_OFFSET_X_MM, NULL),
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

static void each_field_is_written_in_one_place_and_the_seal_last(void **state)
{
    bool seen[RESEAT_FIELD_COUNT] = {false};
    for (size_t place = 0; place < RESEAT_FIELD_COUNT; place++) {
        const reseat_field field = reseat_field_at(place);
        assert_true((unsigned)field < RESEAT_FIELD_COUNT);
        assert_false(seen[field]);
        seen[field] = true;
    }
    assert_int_equal(reseat_field_at(0), RESEAT_FIELD_V);
    assert_int_equal(reseat_field_at(RESEAT_FIELD_COUNT - 1), RESEAT_FIELD_SEAL);
    assert_int_equal(reseat_field_at(RESEAT_FIELD_COUNT), RESEAT_FIELD_COUNT);
    assert_int_equal(reseat_field_at((size_t)-1), RESEAT_FIELD_COUNT);
}

static void finds_fields_and_types_by_name(void **state)
{
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

int main(void)
{
    const struct CMUnitTest tests[] = {
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
        cmocka_unit_test(each_field_is_written_in_one_place_and_the_seal_last),
        cmocka_unit_test(finds_fields_and_types_by_name),
        cmocka_unit_test(the_schema_is_counted_as_snprintf_counts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
