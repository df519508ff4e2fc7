/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "check.h"
#include "base/csv.h"

static csv_row row;

static csv_reader reader(const char *text)
{
    return csv_start(text, strlen(text));
}

static void assert_field(size_t index, const char *text, size_t column)
{
    assert_true(index < row.count);
    assert_int_equal(row.fields[index].length, strlen(text));
    assert_memory_equal(row.fields[index].text, text, strlen(text));
    assert_int_equal(row.fields[index].column, column);
}

static void parts_fields_at_commas(void **state)
{
    csv_reader csv = reader("a,bc,,d\n1,2\n");
    assert_status(csv_next(&csv, &row, NULL), RESEAT_OK);
    assert_int_equal(row.count, 4);
    assert_field(0, "a", 1);
    assert_field(1, "bc", 3);
    assert_field(2, "", 6);
    assert_field(3, "d", 7);
    assert_status(csv_next(&csv, &row, NULL), RESEAT_OK);
    assert_int_equal(row.count, 2);
    assert_int_equal(row.line, 2);
    assert_false(csv_more(&csv));
}

static void takes_any_line_end_and_none_at_the_last_row(void **state)
{
    csv_reader csv = reader("a\r\nb\n\nc\r");
    const char *const texts[] = {"a", "b", "", "c"};
    const size_t endings[] = {2, 1, 1, 1};
    for (size_t i = 0; i < 4; i++) {
        assert_status(csv_next(&csv, &row, NULL), RESEAT_OK);
        assert_int_equal(row.count, 1);
        assert_field(0, texts[i], 1);
        assert_int_equal(row.ending, endings[i]);
        assert_int_equal(row.line, i + 1);
    }
    assert_false(csv_more(&csv));
    csv = reader("x");
    assert_status(csv_next(&csv, &row, NULL), RESEAT_OK);
    assert_int_equal(row.ending, 0);
}

static void rows_give_back_every_byte(void **state)
{
    const char *const text = "\xEF\xBB\xBF n , \"q \"\"x\"\", y\r\n2\"\t,z\r\n\r\n,\n last , ";
    char copy[64];
    size_t length = 3;
    memcpy(copy, text, 3);
    for (csv_reader csv = reader(text); csv_more(&csv);) {
        assert_status(csv_next(&csv, &row, NULL), RESEAT_OK);
        memcpy(copy + length, row.text, row.length + row.ending);
        length += row.length + row.ending;
    }
    assert_int_equal(length, strlen(text));
    assert_memory_equal(copy, text, length);
}

static void steps_over_a_byte_order_mark_and_blanks(void **state)
{
    csv_reader csv = reader("\xEF\xBB\xBF x_mm ,\ty_mm\n");
    assert_status(csv_next(&csv, &row, NULL), RESEAT_OK);
    assert_field(0, "x_mm", 2);
    assert_field(1, "y_mm", 9);
    csv = reader("\xEF\xBB");
    assert_status(csv_next(&csv, &row, NULL), RESEAT_OK);
    assert_int_equal(row.length, 2);
}

static void quoted_fields_hold_commas_quotes_and_line_ends(void **state)
{
    csv_reader csv = reader("\"a,b\", \"say \"\"no\"\"\" ,\"two\r\nlines\"\nnext\n");
    assert_status(csv_next(&csv, &row, NULL), RESEAT_OK);
    assert_int_equal(row.count, 3);
    assert_field(0, "a,b", 2);
    assert_field(1, "say \"\"no\"\"", 9);
    assert_field(2, "two\r\nlines", 23);
    assert_true(row.fields[2].quoted);
    assert_status(csv_next(&csv, &row, NULL), RESEAT_OK);
    assert_int_equal(row.line, 3);
}

static void names_line_and_column_of_a_bad_quote(void **state)
{
    const struct {
        const char *text;
        size_t line, column;
    } cases[] = {
        {"a,b\"c\n", 1, 4},
        {"ab,\"c\" d\n", 1, 8},
        {"a\n b,\"never\nclosed", 2, 4},
        {"\"a\nb\" c,d\n", 2, 4},
    };
    for (size_t i = 0; i < 4; i++) {
        csv_reader csv = reader(cases[i].text);
        reseat_error error;
        reseat_status status = RESEAT_OK;
        while (status == RESEAT_OK)
            status = csv_next(&csv, &row, &error);
        assert_status(status, RESEAT_ERR_SYNTAX);
        assert_int_equal(error.line, cases[i].line);
        assert_int_equal(error.column, cases[i].column);
        assert_true(strlen(error.text) > 0);
    }
}

static void leaves_reader_and_row_alone_on_failure(void **state)
{
    csv_reader csv = reader("a,\"b\n");
    const csv_reader before = csv;
    memset(&row, 0x5a, sizeof row);
    csv_row same;
    memset(&same, 0x5a, sizeof same);
    assert_status(csv_next(&csv, &row, NULL), RESEAT_ERR_SYNTAX);
    assert_memory_equal(&csv, &before, sizeof csv);
    csv = reader("");
    assert_status(csv_next(&csv, &row, NULL), RESEAT_ERR_NOT_FOUND);
    assert_memory_equal(&row, &same, sizeof row);
    csv = csv_start(NULL, 0);
    assert_false(csv_more(&csv));
}

static void takes_as_many_fields_as_it_says_and_no_more(void **state)
{
    char text[CSV_FIELDS_MAX + 1];
    memset(text, ',', sizeof text);
    csv_reader csv = csv_start(text, CSV_FIELDS_MAX - 1);
    assert_status(csv_next(&csv, &row, NULL), RESEAT_OK);
    assert_int_equal(row.count, CSV_FIELDS_MAX);
    csv = csv_start(text, CSV_FIELDS_MAX);
    reseat_error error;
    assert_status(csv_next(&csv, &row, &error), RESEAT_ERR_SPACE);
    assert_int_equal(error.line, 1);
}

static void numbers_come_with_line_column_and_key(void **state)
{
    csv_reader csv = reader("\n 1.5 ,\"-2e-3\",3;14,1e999\n");
    reseat_error error;
    double value = 7;
    assert_status(csv_next(&csv, &row, NULL), RESEAT_OK);
    assert_status(csv_next(&csv, &row, NULL), RESEAT_OK);
    assert_status(csv_number(&row, 0, "x_mm", &value, NULL), RESEAT_OK);
    assert_same_bits(value, 1.5);
    assert_status(csv_number(&row, 1, "y_mm", &value, NULL), RESEAT_OK);
    assert_same_bits(value, -0.002);
    assert_status(csv_number(&row, 2, "z_mm", &value, &error), RESEAT_ERR_SYNTAX);
    assert_int_equal(error.line, 2);
    assert_in_range(error.column, 16, 19);
    assert_string_equal(error.key, "z_mm");
    assert_status(csv_number(&row, 3, "set", &value, &error), RESEAT_ERR_NOT_FINITE);
    assert_string_equal(error.key, "set");
    assert_status(csv_number(&row, 4, "turn_deg", &value, &error), RESEAT_ERR_SYNTAX);
    assert_int_equal(error.column, row.length + 1);
    assert_same_bits(value, -0.002);
}

static void a_cr_or_tab_within_a_field_is_part_of_it(void **state)
{
    csv_reader csv = reader("a\rb,c\td,e \t\n");
    assert_status(csv_next(&csv, &row, NULL), RESEAT_OK);
    assert_int_equal(row.count, 3);
    assert_field(0, "a\rb", 1);
    assert_field(1, "c\td", 5);
    assert_field(2, "e", 9);
}

static void a_quote_may_end_the_text(void **state)
{
    csv_reader csv = reader("1,\"a\"");
    assert_status(csv_next(&csv, &row, NULL), RESEAT_OK);
    assert_int_equal(row.count, 2);
    assert_field(1, "a", 4);
    assert_false(csv_more(&csv));
}

static void the_header_tells_the_separator(void **state)
{
    const struct {
        const char *text;
        char separator;
    } cases[] = {
        {"", ','},
        {"a", ','},
        {"a,b;c,d\n1;2;3", ','},
        {"a;b", ';'},
        {"At;Offset, X;Offset, Y", ';'},
        {"\"a;b;c\",d", ','},
        {"\n;;\n\na;b\n1,2,3", ';'},
        {"a\tb", '\t'},
        {"\ta, b\tc, d\te\n", '\t'},
        {"a,b\tc,d\n", ','},
        {"a,\tb\t,c\t\n", ','},
        {"\"a\"\t\"b\"", '\t'},
        {"\"two\nlines\";b", ';'},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
        assert_int_equal(reader(cases[i].text).separator, cases[i].separator);
}

static void decimal_commas_go_with_semicolons_and_tabs(void **state)
{
    const struct {
        const char *text;
        bool taken;
        double value;
    } cases[] = {
        {"a;b\n0,5;1", true, 0.5},   {"a\tb\n-1,25e-1\t1", true, -0.125},
        {"a;b\n0.5;1", true, 0.5},   {"a;b\n\"0,5\";1", true, 0.5},
        {"a,b\n\"0,5\",1", false, 0}, {"a;b\n1.000,5;1", false, 0},
        {"a;b\n1,000,5;1", false, 0}, {"a;b\n00,5;1", false, 0},
        {"a;b\n;1", false, 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        double value = 7;
        reseat_error error;
        csv_reader csv = reader(cases[i].text);
        assert_status(csv_next(&csv, &row, NULL), RESEAT_OK);
        assert_status(csv_next(&csv, &row, NULL), RESEAT_OK);
        assert_status(csv_number(&row, 0, "a", &value, &error),
                      cases[i].taken ? RESEAT_OK : RESEAT_ERR_SYNTAX);
        assert_same_bits(value, cases[i].taken ? cases[i].value : 7);
    }
    assert_true(reader("a;b\n1;2,5").comma);
    assert_false(reader("a;b\n1;2.5\n, ,").comma);
    assert_false(reader("a,b\n1,2").comma);
}

static void a_decimal_comma_that_is_too_long_is_refused(void **state)
{
    char text[300] = "a;b\n0,";
    double value = 7;
    csv_reader csv;
    memset(text + 6, '1', 200);
    csv = reader(text);
    assert_status(csv_next(&csv, &row, NULL), RESEAT_OK);
    assert_status(csv_next(&csv, &row, NULL), RESEAT_OK);
    assert_status(csv_number(&row, 0, "a", &value, NULL), RESEAT_ERR_SYNTAX);
}

static void rows_without_anything_are_stepped_over(void **state)
{
    csv_reader csv = reader("a;b\n;\n \t;;;\r\n\"\";\"\"\n\n1;2\n;;\n;");
    assert_true(csv_more_filled(&csv));
    assert_status(csv_next(&csv, &row, NULL), RESEAT_OK);
    assert_true(csv_more_filled(&csv));
    assert_status(csv_next(&csv, &row, NULL), RESEAT_OK);
    assert_int_equal(row.line, 6);
    assert_false(csv_more_filled(&csv));
    csv = reader(",,x");
    assert_true(csv_more_filled(&csv));
    assert_status(csv_next(&csv, &row, NULL), RESEAT_OK);
    assert_int_equal(row.count, 3);
}

static void names_are_in_any_case_with_blanks_for_underscores(void **state)
{
    const struct {
        const char *text;
        bool is;
    } cases[] = {
        {"offset_x_mm", true}, {"Offset X MM", true},  {"OFFSET_X  mm", true},
        {"offset_x", false},   {"offset_x_mm_", false}, {"offset-x-mm", false},
        {"offset  x_mm ", false}, {"", false},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        const csv_field field = {cases[i].text, strlen(cases[i].text), 1, false};
        assert_int_equal(csv_is_name(&field, "offset_x_mm"), cases[i].is);
    }
}

static void other_encodings_are_named(void **state)
{
    reseat_error error;
    assert_status(csv_check_encoding("\xFF\xFE" "a", 3, &error), RESEAT_ERR_SYNTAX);
    assert_non_null(strstr(error.text, "UTF-16"));
    assert_int_equal(error.line, 1);
    assert_status(csv_check_encoding("\xFE\xFF", 2, NULL), RESEAT_ERR_SYNTAX);
    assert_status(csv_check_encoding("\xFF", 1, NULL), RESEAT_OK);
    assert_status(csv_check_encoding(NULL, 0, NULL), RESEAT_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(parts_fields_at_commas),
        cmocka_unit_test(the_header_tells_the_separator),
        cmocka_unit_test(decimal_commas_go_with_semicolons_and_tabs),
        cmocka_unit_test(a_decimal_comma_that_is_too_long_is_refused),
        cmocka_unit_test(rows_without_anything_are_stepped_over),
        cmocka_unit_test(names_are_in_any_case_with_blanks_for_underscores),
        cmocka_unit_test(other_encodings_are_named),
        cmocka_unit_test(takes_any_line_end_and_none_at_the_last_row),
        cmocka_unit_test(rows_give_back_every_byte),
        cmocka_unit_test(steps_over_a_byte_order_mark_and_blanks),
        cmocka_unit_test(quoted_fields_hold_commas_quotes_and_line_ends),
        cmocka_unit_test(names_line_and_column_of_a_bad_quote),
        cmocka_unit_test(leaves_reader_and_row_alone_on_failure),
        cmocka_unit_test(takes_as_many_fields_as_it_says_and_no_more),
        cmocka_unit_test(numbers_come_with_line_column_and_key),
        cmocka_unit_test(a_cr_or_tab_within_a_field_is_part_of_it),
        cmocka_unit_test(a_quote_may_end_the_text),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
