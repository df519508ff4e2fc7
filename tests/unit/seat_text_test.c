/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "check.h"
#include "reseat/seat.h"

static reseat_seat parsed(const char *text)
{
    reseat_seat seat = {.kind = (reseat_seat_kind)99};
    assert_status(reseat_seat_parse(text, strlen(text), &seat, NULL), RESEAT_OK);
    return seat;
}

static void assert_seat(const char *text, reseat_seat_kind kind, double seat_deg,
                        double within_deg, unsigned keys)
{
    const reseat_seat seat = parsed(text);
    assert_int_equal(seat.kind, kind);
    assert_same_bits(seat.seat_deg, seat_deg);
    assert_same_bits(seat.within_deg, within_deg);
    assert_int_equal(seat.keys, keys);
}

static void reads_every_spelling(void **state)
{
    assert_seat("same", RESEAT_SEAT_SAME, 0, 0, 0);
    assert_seat("any", RESEAT_SEAT_ANY, 0, 0, 0);
    assert_seat("unknown", RESEAT_SEAT_UNKNOWN, 0, 0, 0);
    assert_seat("keys:1", RESEAT_SEAT_KEYS, 0, 0, 1);
    assert_seat("keys:360", RESEAT_SEAT_KEYS, 0, 0, 360);
    assert_seat("30", RESEAT_SEAT_ANGLE, 30, 0, 0);
    assert_seat("0.5", RESEAT_SEAT_ANGLE, 0.5, 0, 0);
    assert_seat("-90", RESEAT_SEAT_ANGLE, 270, 0, 0);
    assert_seat("-0", RESEAT_SEAT_ANGLE, 0, 0, 0);
    assert_seat("+450", RESEAT_SEAT_ANGLE, 90, 0, 0);
    assert_seat("3.6e9", RESEAT_SEAT_ANGLE, 0, 0, 0);
    assert_seat("180+-5", RESEAT_SEAT_ANGLE, 180, 5, 0);
    assert_seat("180\xC2\xB1" "5", RESEAT_SEAT_ANGLE, 180, 5, 0);
    assert_seat("-30+-2.5", RESEAT_SEAT_ANGLE, 330, 2.5, 0);
    assert_seat("30+-+5", RESEAT_SEAT_ANGLE, 30, 5, 0);
    assert_seat("30+-0", RESEAT_SEAT_ANGLE, 30, 0, 0);
    assert_seat("30+--0", RESEAT_SEAT_ANGLE, 30, 0, 0);
    assert_seat("30+-179.9", RESEAT_SEAT_ANGLE, 30, 179.9, 0);
    assert_seat("30+-180", RESEAT_SEAT_ANY, 0, 0, 0);
    assert_seat("30+-1e300", RESEAT_SEAT_ANY, 0, 0, 0);
}

static void refuses_every_other_spelling(void **state)
{
    static const struct {
        const char *text;
        reseat_status status;
    } wrong[] = {
        {"", RESEAT_ERR_SYNTAX},          {" ", RESEAT_ERR_SYNTAX},
        {" same", RESEAT_ERR_SYNTAX},     {"same ", RESEAT_ERR_SYNTAX},
        {"Same", RESEAT_ERR_SYNTAX},      {"ANY", RESEAT_ERR_SYNTAX},
        {"sam", RESEAT_ERR_SYNTAX},       {"unknowns", RESEAT_ERR_SYNTAX},
        {"keys", RESEAT_ERR_SYNTAX},      {"keys:", RESEAT_ERR_SYNTAX},
        {"keys:2.5", RESEAT_ERR_SYNTAX},  {"keys:+2", RESEAT_ERR_SYNTAX},
        {"keys:-2", RESEAT_ERR_SYNTAX},   {"keys: 2", RESEAT_ERR_SYNTAX},
        {"keys:02", RESEAT_ERR_SYNTAX},   {"keys:2 ", RESEAT_ERR_SYNTAX},
        {"Keys:2", RESEAT_ERR_SYNTAX},    {"keys:0", RESEAT_ERR_RANGE},
        {"keys:361", RESEAT_ERR_RANGE},   {"keys:999", RESEAT_ERR_RANGE},
        {"keys:99999999999999999999999999", RESEAT_ERR_RANGE},
        {"30 ", RESEAT_ERR_SYNTAX},       {"30,5", RESEAT_ERR_SYNTAX},
        {"0x1e", RESEAT_ERR_SYNTAX},      {"nan", RESEAT_ERR_SYNTAX},
        {"+-5", RESEAT_ERR_SYNTAX},       {"30+-", RESEAT_ERR_SYNTAX},
        {"30+-5+-5", RESEAT_ERR_SYNTAX},  {"30 +- 5", RESEAT_ERR_SYNTAX},
        {"30-+5", RESEAT_ERR_SYNTAX},     {"30\xB1" "5", RESEAT_ERR_SYNTAX},
        {"30+--5", RESEAT_ERR_RANGE},     {"1e999", RESEAT_ERR_NOT_FINITE},
        {"30+-1e999", RESEAT_ERR_NOT_FINITE},
    };
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        reseat_seat seat = {.kind = RESEAT_SEAT_KEYS, .keys = 77};
        reseat_error error = {.line = 7};
        const char *text = wrong[i].text;
        assert_status(reseat_seat_parse(text, strlen(text), &seat, &error), wrong[i].status);
        assert_status(reseat_seat_parse(text, strlen(text), &seat, NULL), wrong[i].status);
        assert_int_equal(seat.keys, 77);
        assert_non_null(strstr(error.text, "expected "));
        assert_int_equal(error.line, 0);
        assert_int_equal(error.column, 1);
    }
}

static void a_refusal_says_what_was_expected_and_read(void **state)
{
    reseat_seat seat;
    reseat_error error;
    reseat_seat_parse("Same", 4, &seat, &error);
    assert_string_equal(error.text, "expected same, an angle such as 30 or 180+-5, keys:2, any or "
                                    "unknown, read \"Same\"");
    reseat_seat_parse("keys:999", 8, &seat, &error);
    assert_string_equal(error.text, "expected from 1 to 360 keys, read \"keys:999\"");
    reseat_seat_parse("5+--1", 5, &seat, &error);
    assert_string_equal(error.text, "expected a half width of 0 or more degrees, read \"5+--1\"");
}

static void reads_only_the_bytes_it_is_given(void **state)
{
    reseat_seat seat;
    assert_status(reseat_seat_parse("30+-5", 2, &seat, NULL), RESEAT_OK);
    assert_same_bits(seat.within_deg, 0.0);
    assert_status(reseat_seat_parse("30+-5", 3, &seat, NULL), RESEAT_ERR_SYNTAX);
    assert_status(reseat_seat_parse("same\0", 5, &seat, NULL), RESEAT_ERR_SYNTAX);
    assert_status(reseat_seat_parse(NULL, 0, &seat, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_seat_parse("same", 4, NULL, NULL), RESEAT_ERR_ARGUMENT);
}

static void writes_seats_that_read_back(void **state)
{
    static const char *const texts[] = {
        "same", "any", "unknown", "keys:1", "keys:360", "30", "0", "180+-5",
        "0.1+-0.30000000000000004",
        "1.2345678901234567e-300+-4.9406564584124654e-324",
        "359.99999999999994+-179.99999999999997",
    };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        const reseat_seat seat = parsed(texts[i]);
        char text[RESEAT_SEAT_SIZE];
        assert_status(reseat_seat_format(&seat, text), RESEAT_OK);
        const reseat_seat again = parsed(text);
        assert_int_equal(again.kind, seat.kind);
        assert_same_bits(again.seat_deg, seat.seat_deg);
        assert_same_bits(again.within_deg, seat.within_deg);
        assert_int_equal(again.keys, seat.keys);
    }
    const reseat_seat about = {.kind = RESEAT_SEAT_ANGLE, .seat_deg = 180, .within_deg = 5};
    const reseat_seat keys = {.kind = RESEAT_SEAT_KEYS, .keys = 2};
    char text[RESEAT_SEAT_SIZE];
    assert_status(reseat_seat_format(&about, text), RESEAT_OK);
    assert_string_equal(text, "180+-5");
    assert_status(reseat_seat_format(&keys, text), RESEAT_OK);
    assert_string_equal(text, "keys:2");
}

static void writes_no_seat_that_does_not_exist(void **state)
{
    const reseat_seat angle = {.kind = RESEAT_SEAT_ANGLE}, keys = {.kind = RESEAT_SEAT_KEYS};
    reseat_seat bad[] = {{.kind = (reseat_seat_kind)5}, angle, angle, keys};
    bad[1].seat_deg = (double)NAN;
    bad[2].within_deg = 180;
    const reseat_status expected[] = {RESEAT_ERR_ARGUMENT, RESEAT_ERR_NOT_FINITE, RESEAT_ERR_RANGE,
                                      RESEAT_ERR_RANGE};
    char text[RESEAT_SEAT_SIZE] = "as it was";
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        assert_status(reseat_seat_format(&bad[i], text), expected[i]);
    assert_status(reseat_seat_format(NULL, text), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_seat_format(&angle, NULL), RESEAT_ERR_ARGUMENT);
    assert_string_equal(text, "as it was");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_every_spelling),
        cmocka_unit_test(refuses_every_other_spelling),
        cmocka_unit_test(a_refusal_says_what_was_expected_and_read),
        cmocka_unit_test(reads_only_the_bytes_it_is_given),
        cmocka_unit_test(writes_seats_that_read_back),
        cmocka_unit_test(writes_no_seat_that_does_not_exist),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
