/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "check.h"
#include "reseat/probe.h"

static reseat_status read(const char *text, double *dirs, double *radii, size_t space,
                          size_t *count, reseat_error *error)
{
    memset(error, 0, sizeof *error);
    return reseat_radius_read(text, strlen(text), dirs, radii, space, count, error);
}

static void reads_columns_in_either_order_and_passes_over_empty_rows(void **state)
{
    double dirs[4], radii[4];
    size_t count = 0;
    reseat_error error;
    const char *text = "radius_mm,dir_deg\r\n2.9951,0\r\n\r\n2.9947,-90\r\n";
    assert_status(read(text, dirs, radii, 4, &count, &error), RESEAT_OK);
    assert_int_equal(count, 2);
    assert_near(dirs[1], -90, 0);
    assert_near(radii[1], 2.9947, 0);
    assert_status(read("dir_deg,radius_mm\n45,3", dirs, radii, 4, &count, &error), RESEAT_OK);
    assert_int_equal(count, 1);
    assert_near(dirs[0], 45, 0);
}

static void names_the_line_and_column_of_what_is_wrong(void **state)
{
    static const struct {
        const char *text;
        reseat_status status;
        size_t line, column;
    } cases[] = {
        {"", RESEAT_ERR_SYNTAX, 1, 1},
        {"dir,radius\n0,3\n", RESEAT_ERR_SYNTAX, 1, 1},
        {"dir_deg,dir_deg\n0,3\n", RESEAT_ERR_SYNTAX, 1, 9},
        {"dir_deg,radius_mm\n0,3\n15\n", RESEAT_ERR_SYNTAX, 3, 3},
        {"dir_deg,radius_mm\n0,3\n15,x\n", RESEAT_ERR_SYNTAX, 3, 4},
        {"dir_deg,radius_mm\n0,1e999\n", RESEAT_ERR_NOT_FINITE, 2, 3},
        {"dir_deg,radius_mm\n0,-3\n", RESEAT_ERR_RANGE, 2, 3},
        {"radius_mm,dir_deg\n0.3,0\n0,15\n", RESEAT_ERR_RANGE, 3, 1},
        {"dir_deg,radius_mm\n", RESEAT_ERR_TOO_FEW, 2, 0},
        {"dir_deg,radius_mm\n0,3\n15,3\n30,3\n", RESEAT_ERR_SPACE, 0, 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        double dirs[2], radii[2];
        size_t count = 77;
        reseat_error error;
        assert_status(read(cases[i].text, dirs, radii, 2, &count, &error), cases[i].status);
        assert_int_equal(error.line, cases[i].line);
        assert_int_equal(error.column, cases[i].column);
        assert_true(strlen(error.text) > 0);
        assert_int_equal(count, 77);
    }
}

static void refuses_what_is_missing(void **state)
{
    double value;
    size_t count = 77;
    assert_status(reseat_radius_read(NULL, 1, &value, &value, 1, &count, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_radius_read("", 0, NULL, &value, 1, &count, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_radius_read("", 0, &value, NULL, 1, &count, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_radius_read("", 0, &value, &value, 1, NULL, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_radius_read("", 0, &value, &value, 1, &count, NULL), RESEAT_ERR_SYNTAX);
    assert_int_equal(count, 77);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_columns_in_either_order_and_passes_over_empty_rows),
        cmocka_unit_test(names_the_line_and_column_of_what_is_wrong),
        cmocka_unit_test(refuses_what_is_missing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
