/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Texts that are no object, each cut where it goes wrong: what is said, and at which byte. */
#include "check.h"
#include "base/json.h"

typedef struct row {
    const char *text;
    size_t wrong;
    const char *what;
} row;

static void says_what_is_wrong_and_where(void **state)
{
    static const row rows[] = {
        {"", 0, "expected {"},
        {"[1]", 0, "expected {"},
        {"{", 1, "expected a text in quotes"},
        {"{\"a", 3, "a text does not end"},
        {"{\"a\"", 4, "expected a colon"},
        {"{\"a\":", 5, "expected a digit"},
        {"{\"a\":1", 6, "expected , or }"},
        {"{\"a\":[1", 7, "expected , or ]"},
        {"{\"a\":-}", 6, "expected a digit"},
        {"{\"a\":01}", 6, "leading zero"},
        {"{\"a\":1.}", 7, "expected a digit after the point"},
        {"{\"a\":1e}", 7, "expected a digit in the exponent"},
        {"{\"a\":1E+}", 8, "expected a digit in the exponent"},
        {"{\"a\":tru", 5, "expected a value"},
        {"{\"a\":nul0}", 5, "expected a value"},
        {"{\"a\\", 4, "no such escape"},
        {"{\"a\\x\":1}", 4, "no such escape"},
        {"{\"\\u12", 6, "expected four hexadecimal digits after \\u"},
        {"{\"\\u12g4\":1}", 6, "expected four hexadecimal digits after \\u"},
        {"{\"\\u12:4\":1}", 6, "expected four hexadecimal digits after \\u"},
        {"{\"\\u0000\":1}", 8, "a text must hold no NUL"},
        {"{\"\\ud800\":1}", 8, "half a surrogate pair"},
        {"{\"\\ud800\\n\":1}", 9, "half a surrogate pair"},
        {"{\"\\ud800\\uzz\":1}", 10, "half a surrogate pair"},
        {"{\"\\ud800\\u0041\":1}", 14, "half a surrogate pair"},
        {"{\"\\ud800\\ue000\":1}", 14, "half a surrogate pair"},
        {"{\"\\udc00\":1}", 8, "half a surrogate pair"},
        {"{\"a\":\"\x1F\"}", 6, "control byte in a text"},
        {"{\"a\":1}2", 7, "more text after the object"},
        {"{\"\xFF\":1}", 0, "not UTF-8"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        json_value object = {.node = NULL};
        reseat_error error = {.text = "nothing"};
        const reseat_status status =
            json_read(rows[i].text, strlen(rows[i].text), &object, &error);
        if (status != RESEAT_ERR_SYNTAX || object.node != NULL ||
            strcmp(error.text, rows[i].what) != 0 || error.column != rows[i].wrong + 1)
            fail_msg("%s: %s in column %zu", rows[i].text, error.text, error.column);
    }
}

static void takes_all_that_the_grammar_has(void **state)
{
    static const char *const texts[] = {
        "{}", "{ \t\r\n}", "{\"a\":[]}", "{\"a\" : [ 1 , -0.5e-3,\t2E5,\r1e+9 ]\n}",
        "{\"a\":{\"b\":null},\"c\":true,\"d\":false}",
        "{\"\\\"\\\\\\/\\b\\f\\n\\r\\t\":\"\\u00e4\\uD83D\\uDE00\\uE000\"}",
        "{\"\xC3\xA4\":1}",
    };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        json_value object = {.node = NULL};
        reseat_error error = {0};
        if (json_read(texts[i], strlen(texts[i]), &object, &error) != RESEAT_OK)
            fail_msg("%s: %s in column %zu", texts[i], error.text, error.column);
        json_free(&object);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(says_what_is_wrong_and_where),
        cmocka_unit_test(takes_all_that_the_grammar_has),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
