/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "check.h"
#include "reseat/log.h"
#include "reseat/values.h"

static void assert_taken(reseat_size size, const char *text, reseat_unit unit, const char *noted)
{
    char note[RESEAT_SIZE_NOTE] = "untouched";
    assert_status(reseat_size_judge(size, text, unit, note, NULL), RESEAT_OK);
    assert_string_equal(note, noted);
}

static void assert_refused(reseat_size size, const char *text, reseat_unit unit, const char *said)
{
    char note[RESEAT_SIZE_NOTE] = "untouched";
    reseat_error error;
    assert_status(reseat_size_judge(size, text, unit, note, &error), RESEAT_ERR_RANGE);
    if (said)
        assert_string_equal(error.text, said);
    assert_string_equal(note, "untouched");
    assert_status(reseat_size_judge(size, text, unit, note, NULL), RESEAT_ERR_RANGE);
}

/* The ends of each range, and the next number beyond them. */
static void every_range_has_its_ends(void **state)
{
    static const struct {
        reseat_size size;
        const char *below, *least, *most, *above;
    } rows[] = {
        {RESEAT_SIZE_LIMIT, "0.00049999", "0.0005", "0.2", "0.2000001"},
        {RESEAT_SIZE_TOLERANCE, "0.00499", "0.005", "2", "2.00001"},
        {RESEAT_SIZE_OFFSET, "0.0000999,-0.0000999", "0.0001,0", "-1,1", "0,-1.00001"},
        {RESEAT_SIZE_OFFSET, "0,0.00005", "0,-0.0001", "0,0", "1.00001,0"},
        {RESEAT_SIZE_PART, NULL, "0,0.00001", "1,-1", "1.00001,0"},
        {RESEAT_SIZE_U, NULL, "0", "0.1", "0.10001"},
        {RESEAT_SIZE_SHIFT_U, "0", "0.0000001", "0.1", "0.10001"},
        {RESEAT_SIZE_SHIFT_U, "0um", "0.1um", "100um", "0in"},
        {RESEAT_SIZE_RADIUS, "0.0999", "0.1", "25", "25.001"},
        {RESEAT_SIZE_DIAMETER, "0.999", "1", "500", "500.001"},
        {RESEAT_SIZE_STYLUS_LENGTH, "4.999", "5", "1000", "1000.001"},
        {RESEAT_SIZE_READING, NULL, "0,0", "-10000,10000", "0,10000.1"},
        {RESEAT_SIZE_TEMPERATURE, "-10.01", "-10", "60", "60.01"},
        {RESEAT_SIZE_CONFIDENCE, "49.99%", "50%", "0.999999", "100%"},
        {RESEAT_SIZE_AT, "1989-12-31T23:59:59Z", "1990-01-01T00:00:00Z", "9999-12-31T23:59:59Z",
         NULL},
        {RESEAT_SIZE_FEATURE, "bore:20mm=0.00499", "bore:20mm=0.005", "slot:9mm:0=width:2",
         "slot:9mm:0=width:2.001"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (rows[i].below)
            assert_refused(rows[i].size, rows[i].below, RESEAT_MM, NULL);
        assert_taken(rows[i].size, rows[i].least, RESEAT_MM, "");
        assert_taken(rows[i].size, rows[i].most, RESEAT_MM, "");
        if (rows[i].above)
            assert_refused(rows[i].size, rows[i].above, RESEAT_MM, NULL);
    }
}

static void says_what_to_type(void **state)
{
    (void)state;
    assert_refused(RESEAT_SIZE_LIMIT, "10", RESEAT_MM,
                   "expected 0.0005 to 0.2 mm, read 10 mm; type 10mm or 10um");
    assert_refused(RESEAT_SIZE_LIMIT, "0.01", RESEAT_UM,
                   "expected 0.0005 to 0.2 mm, read 0.01 um; type 0.01um or 0.01mm");
    assert_refused(RESEAT_SIZE_STYLUS_LENGTH, "0.05", RESEAT_MM,
                   "expected 5 to 1000 mm, read 0.05 mm; type 0.05mm if it is meant");
    assert_refused(RESEAT_SIZE_OFFSET, "4,-1.1", RESEAT_MM,
                   "expected an offset of 0.0001 to 1 mm, or of 0,0, read 4,-1.1 mm; "
                   "type 4mm,-1.1mm or 4um,-1.1um");
    assert_refused(RESEAT_SIZE_OFFSET, "0.000004,0", RESEAT_MM,
                   "expected an offset of 0.0001 to 1 mm, or of 0,0, read 0.000004,0 mm; "
                   "type 0.000004mm,0mm if it is meant");
    assert_refused(RESEAT_SIZE_OFFSET, "0.04,0", RESEAT_UM,
                   "expected an offset of 0.0001 to 1 mm, or of 0,0, read 0.04,0 um; "
                   "type 0.04um,0um or 0.04mm,0mm");
}

static void a_unit_at_the_number_is_meant(void **state)
{
    (void)state;
    assert_taken(RESEAT_SIZE_LIMIT, "10um", RESEAT_MM, "");
    assert_taken(RESEAT_SIZE_LIMIT, "10", RESEAT_UM, "");
    assert_taken(RESEAT_SIZE_LIMIT, "10mm", RESEAT_UM,
                 "10mm is unusual, expected 0.0005 to 0.2 mm; taken, as its unit is typed");
    assert_taken(RESEAT_SIZE_PART, "4mm,0mm", RESEAT_MM,
                 "4mm,0mm is unusual, expected parts up to 1 mm; taken, as its unit is typed");
}

static void leaves_to_the_reader_what_does_not_read(void **state)
{
    static const char *const texts[] = {"", "ten", "-5", "0", "1,2,3", "1e999", "5 mm"};
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        assert_taken(RESEAT_SIZE_LIMIT, texts[i], RESEAT_MM, "");
    assert_taken(RESEAT_SIZE_OFFSET, "4mm,5", RESEAT_MM, "");
    assert_taken(RESEAT_SIZE_FEATURE, "bore:2000mm", RESEAT_MM, "");
    assert_taken(RESEAT_SIZE_ANY, "1e9", RESEAT_MM, "");
}

static void checks_its_arguments(void **state)
{
    char note[RESEAT_SIZE_NOTE] = "";
    (void)state;
    assert_status(reseat_size_judge((reseat_size)15, "1", RESEAT_MM, note, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_size_judge(RESEAT_SIZE_U, NULL, RESEAT_MM, note, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_size_judge(RESEAT_SIZE_U, "1", RESEAT_MM, NULL, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_size_judge(RESEAT_SIZE_U, "1", (reseat_unit)4, note, NULL),
                  RESEAT_ERR_ARGUMENT);
}

static void fields_have_sizes(void **state)
{
    (void)state;
    assert_int_equal(reseat_field_size(RESEAT_FIELD_LIMIT_MM), RESEAT_SIZE_LIMIT);
    assert_int_equal(reseat_field_size(RESEAT_FIELD_AT), RESEAT_SIZE_AT);
    assert_int_equal(reseat_field_size(RESEAT_FIELD_U_AXIAL_MM), RESEAT_SIZE_U);
    assert_int_equal(reseat_field_size(RESEAT_FIELD_SHIFT_U_MM), RESEAT_SIZE_SHIFT_U);
    assert_int_equal(reseat_field_size(RESEAT_FIELD_NOTE), RESEAT_SIZE_ANY);
    assert_int_equal(reseat_field_size(RESEAT_FIELD_COUNT), RESEAT_SIZE_ANY);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_range_has_its_ends),
        cmocka_unit_test(says_what_to_type),
        cmocka_unit_test(a_unit_at_the_number_is_meant),
        cmocka_unit_test(leaves_to_the_reader_what_does_not_read),
        cmocka_unit_test(checks_its_arguments),
        cmocka_unit_test(fields_have_sizes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
