/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <stdio.h>
#include "check.h"
#include "reseat/status.h"

static void every_status_has_its_own_text(void **state)
{
    for (int a = RESEAT_OK; a <= RESEAT_ERR_REFUSED; a++) {
        const char *text = reseat_status_text((reseat_status)a);
        assert_non_null(text);
        assert_true(strlen(text) > 0);
        assert_string_not_equal(text, "unknown status");
        for (int b = RESEAT_OK; b < a; b++)
            assert_string_not_equal(text, reseat_status_text((reseat_status)b));
    }
}

static void a_value_outside_the_enum_is_called_unknown(void **state)
{
    assert_string_equal(reseat_status_text((reseat_status)-1), "unknown status");
    assert_string_equal(reseat_status_text((reseat_status)15), "unknown status");
}

static void the_version_is_three_numbers(void **state)
{
    int major = -1, minor = -1, patch = -1, end = 0;
    assert_int_equal(sscanf(reseat_version(), "%d.%d.%d%n", &major, &minor, &patch, &end), 3);
    assert_int_equal(strlen(reseat_version()), end);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_status_has_its_own_text),
        cmocka_unit_test(the_version_is_three_numbers),
        cmocka_unit_test(a_value_outside_the_enum_is_called_unknown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
