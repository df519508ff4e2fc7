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
        size_t wrong = 99;
        const char *what = json_guard(rows[i].text, strlen(rows[i].text), &wrong);
        if (what == NULL || strcmp(what, rows[i].what) != 0 || wrong != rows[i].wrong)
            fail_msg("%s: %s at byte %zu", rows[i].text, what != NULL ? what : "nothing", wrong);
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
        size_t wrong = 99;
        const char *what = json_guard(texts[i], strlen(texts[i]), &wrong);
        if (what != NULL)
            fail_msg("%s: %s at byte %zu", texts[i], what, wrong);
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
