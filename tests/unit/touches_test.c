/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <stdio.h>
#include "check.h"
#include "reseat/touches.h"

static reseat_touch list[RESEAT_TOUCHES_MAX];
static reseat_touches touches;
static reseat_error error;

static reseat_status read_text(const char *text)
{
    return reseat_touches_read(text, strlen(text), list, RESEAT_TOUCHES_MAX, &touches, &error);
}

static void columns_come_in_any_order(void **state)
{
    assert_status(read_text("set,y_mm,dir_deg,x_mm,turn_deg,z_mm\n2,-7.25,90,1e2,180,-210\n"),
                  RESEAT_OK);
    assert_int_equal(touches.count, 1);
    assert_true(touches.has_turn && touches.has_dir && touches.has_set && touches.has_z);
    assert_same_bits(list[0].x_mm, 100.0);
    assert_same_bits(list[0].y_mm, -7.25);
    assert_same_bits(list[0].z_mm, -210.0);
    assert_same_bits(list[0].turn_deg, 180.0);
    assert_same_bits(list[0].dir_deg, 90.0);
    assert_int_equal(list[0].set, 2);
    assert_int_equal(list[0].line, 2);
    assert_int_equal(list[0].column, 12);
}

static void columns_left_out_are_zero(void **state)
{
    assert_status(read_text("x_mm,y_mm\n1,2\n3,4\n"), RESEAT_OK);
    assert_int_equal(touches.count, 2);
    assert_false(touches.has_turn || touches.has_dir || touches.has_set || touches.has_z);
    assert_same_bits(list[1].turn_deg, 0.0);
    assert_false(list[1].has_dir);
    assert_int_equal(list[1].line, 3);
}

static void inches_and_micrometres_are_read_as_millimetres(void **state)
{
    assert_status(read_text("x_in,y_in,z_in\n1,-0.5,2\n"), RESEAT_OK);
    assert_int_equal(touches.unit, RESEAT_INCH);
    assert_same_bits(list[0].x_mm, 25.4);
    assert_same_bits(list[0].y_mm, -12.7);
    assert_same_bits(list[0].z_mm, 50.8);
    assert_status(read_text("x_um,y_um\n1,-2500\n"), RESEAT_OK);
    assert_same_bits(list[0].x_mm, 0.001);
    assert_same_bits(list[0].y_mm, -2.5);
}

static void quotes_marks_blanks_and_line_ends_do_not_matter(void **state)
{
    assert_status(read_text("\xEF\xBB\xBF\"x_mm\" , y_mm\r\n\r\n \"1.5\",  2 \r\n , \r\n"),
                  RESEAT_ERR_SYNTAX);
    assert_int_equal(error.line, 4);
    assert_status(read_text("\xEF\xBB\xBF\r\n\"x_mm\" , y_mm\r\n\r\n \"1.5\",  2 \r\n \t\r\n"),
                  RESEAT_OK);
    assert_int_equal(touches.count, 1);
    assert_same_bits(list[0].x_mm, 1.5);
    assert_same_bits(list[0].y_mm, 2.0);
    assert_int_equal(list[0].line, 4);
    assert_status(read_text("x_mm,y_mm\n1,2"), RESEAT_OK);
    assert_int_equal(touches.count, 1);
}

static void names_line_column_and_key_of_what_is_wrong(void **state)
{
    const struct {
        const char *text;
        reseat_status status;
        size_t line, column;
        const char *key, *says;
    } cases[] = {
        {"", RESEAT_ERR_SYNTAX, 1, 1, "", "header"},
        {" \n\t\r\n", RESEAT_ERR_SYNTAX, 1, 1, "", "header"},
        {"x_mm\n1\n", RESEAT_ERR_SYNTAX, 1, 5, "y_mm", "no column"},
        {"y_in\n1\n", RESEAT_ERR_SYNTAX, 1, 5, "x_in", "no column"},
        {"x_mm,y_mm,feed\n1,2,3\n", RESEAT_ERR_SYNTAX, 1, 11, "",
         "some of turn_deg, dir_deg, x_mm, y_mm, z_mm, set, separated by commas; read \"feed\""},
        {"x,y\n1,2\n", RESEAT_ERR_SYNTAX, 1, 1, "", "x_mm"},
        {"X_cm,y_mm\n1,2\n", RESEAT_ERR_SYNTAX, 1, 1, "", "\"X_cm\""},
        {"x_mm;y_mm\n1;2\n", RESEAT_ERR_SYNTAX, 1, 1, "", "\"x_mm;y_mm\""},
        {"turn_mm,x_mm,y_mm\n", RESEAT_ERR_SYNTAX, 1, 1, "", "turn_deg"},
        {"x_mm,y_in\n1,2\n", RESEAT_ERR_SYNTAX, 1, 6, "y_in", "one unit"},
        {"x_mm,y_mm,x_mm\n1,2,3\n", RESEAT_ERR_SYNTAX, 1, 11, "x_mm", "twice"},
        {"x_mm,y_mm\n", RESEAT_ERR_TOO_FEW, 2, 0, "", "1 or more touches"},
        {"x_mm,y_mm\n1,2\n3,a4\n", RESEAT_ERR_SYNTAX, 3, 3, "y_mm", "\"a4\""},
        {"x_mm,y_mm\n1,2\n3\n", RESEAT_ERR_SYNTAX, 3, 2, "y_mm", "nothing"},
        {"x_mm,y_mm\n1,2,3\n", RESEAT_ERR_SYNTAX, 2, 5, "", "2 fields"},
        {"x_mm,y_mm\n3,14,2,71\n", RESEAT_ERR_SYNTAX, 2, 6, "", "2 fields"},
        {"x_mm,y_mm\nnan,2\n", RESEAT_ERR_SYNTAX, 2, 1, "x_mm", "number"},
        {"x_mm,y_mm\n1,1e999\n", RESEAT_ERR_NOT_FINITE, 2, 3, "y_mm", ""},
        {"x_in,y_in\n1,1e308\n", RESEAT_ERR_NOT_FINITE, 2, 3, "y_in", "large"},
        {"set,x_mm,y_mm\n1.5,1,2\n", RESEAT_ERR_RANGE, 2, 1, "set", "whole"},
        {"set,x_mm,y_mm\n1e7,1,2\n", RESEAT_ERR_RANGE, 2, 1, "set", "whole"},
        {"x_mm,y_mm\n1,\"2\n", RESEAT_ERR_SYNTAX, 2, 3, "", "closed"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        memset(&error, 0, sizeof error);
        assert_status(read_text(cases[i].text), cases[i].status);
        assert_int_equal(error.line, cases[i].line);
        assert_int_equal(error.column, cases[i].column);
        assert_string_equal(error.key, cases[i].key);
        assert_non_null(strstr(error.text, cases[i].says));
        assert_status(reseat_touches_read(cases[i].text, strlen(cases[i].text), list, 9, &touches,
                                          NULL), cases[i].status);
    }
}

static void leaves_output_alone_on_failure(void **state)
{
    reseat_touch before[3];
    reseat_touches touches_before;
    memset(list, 0x5a, sizeof before);
    memset(&touches, 0x5a, sizeof touches);
    memset(before, 0x5a, sizeof before);
    memset(&touches_before, 0x5a, sizeof touches_before);
    const char *const good = "x_mm,y_mm\n1,2\n3,4\n";
    assert_status(read_text("x_mm,y_mm\n1,2\n3,oops\n"), RESEAT_ERR_SYNTAX);
    assert_status(reseat_touches_read(good, strlen(good), list, 1, &touches, &error),
                  RESEAT_ERR_SPACE);
    assert_status(reseat_touches_read(NULL, 0, list, 1, &touches, &error), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_touches_read(good, 3, NULL, 1, &touches, &error), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_touches_read(good, 3, list, 1, NULL, &error), RESEAT_ERR_ARGUMENT);
    assert_memory_equal(list, before, sizeof before);
    assert_memory_equal(&touches, &touches_before, sizeof touches);
}

static void more_touches_than_a_file_may_have_are_refused(void **state)
{
    static char text[16 + 4 * (RESEAT_TOUCHES_MAX + 1)];
    size_t length = (size_t)sprintf(text, "x_mm,y_mm\n");
    for (size_t i = 0; i <= RESEAT_TOUCHES_MAX; i++) {
        memcpy(text + length, "1,2\n", 4);
        length += 4;
    }
    assert_status(reseat_touches_read(text, length, list, RESEAT_TOUCHES_MAX, &touches, &error),
                  RESEAT_ERR_RANGE);
    assert_int_equal(error.line, RESEAT_TOUCHES_MAX + 2);
    assert_int_equal(error.column, 1);
    assert_status(reseat_touches_read(text, length - 4, list, RESEAT_TOUCHES_MAX, &touches, &error),
                  RESEAT_OK);
    assert_int_equal(touches.count, RESEAT_TOUCHES_MAX);
}

static void a_header_that_cannot_be_read_is_refused(void **state)
{
    assert_status(read_text("x_mm,\"y_mm\n1,2\n"), RESEAT_ERR_SYNTAX);
    assert_int_equal(error.line, 1);
    assert_int_equal(error.column, 6);
    assert_string_equal(error.text, "this quote is never closed");
}

static void a_set_is_a_whole_number(void **state)
{
    static const char *const sets[] = {"x", "1.5", "-1.5", "1000001", "-1000001"};
    for (size_t i = 0; i < sizeof sets / sizeof sets[0]; i++) {
        char text[64];
        snprintf(text, sizeof text, "x_mm,y_mm,set\n1,2,%s\n", sets[i]);
        assert_status(read_text(text), i == 0 ? RESEAT_ERR_SYNTAX : RESEAT_ERR_RANGE);
        assert_string_equal(error.key, "set");
        assert_int_equal(error.line, 2);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(columns_come_in_any_order),
        cmocka_unit_test(columns_left_out_are_zero),
        cmocka_unit_test(inches_and_micrometres_are_read_as_millimetres),
        cmocka_unit_test(quotes_marks_blanks_and_line_ends_do_not_matter),
        cmocka_unit_test(names_line_column_and_key_of_what_is_wrong),
        cmocka_unit_test(leaves_output_alone_on_failure),
        cmocka_unit_test(more_touches_than_a_file_may_have_are_refused),
        cmocka_unit_test(a_header_that_cannot_be_read_is_refused),
        cmocka_unit_test(a_set_is_a_whole_number),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
