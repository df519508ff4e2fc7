/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Seats as people type them, in and out. */
#include "reseat/seat.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include "error.h"
#include "reseat/number.h"
#include "seat_check.h"
#include "whole.h"
#include "word.h"

#define SPELLINGS "same, an angle such as 30 or 180+-5, keys:2, any or unknown"

typedef struct word {
    const char *text;
    reseat_seat_kind kind;
} word;

static const word words[] = {
    {"same", RESEAT_SEAT_SAME},
    {"any", RESEAT_SEAT_ANY},
    {"unknown", RESEAT_SEAT_UNKNOWN},
};
static const size_t word_count = sizeof words / sizeof words[0];

static const char keys_prefix[] = "keys:";

static bool begins_with(const char *text, size_t length, const char *expected)
{
    return length >= strlen(expected) && memcmp(text, expected, strlen(expected)) == 0;
}

static reseat_status refuse(reseat_status status, const char *expected, const char *text,
                            size_t length, reseat_error *error)
{
    return reseat_error_set(error, status, 1, "expected %s, read %s", expected,
                            reseat_error_echo(text, length).text);
}

/* Where `+-` or `±` begins, and how many bytes it has; length and 0 where there is none. */
static size_t find_plus_minus(const char *text, size_t length, size_t *bytes)
{
    for (size_t i = 0; i + 1 < length; i++) {
        if (memcmp(text + i, "+-", 2) == 0 || memcmp(text + i, "\xC2\xB1", 2) == 0) {
            *bytes = 2;
            return i;
        }
    }
    *bytes = 0;
    return length;
}

static reseat_status parse_angle(const char *text, size_t length, reseat_seat *seat)
{
    double seat_deg, within_deg = 0;
    size_t bytes;
    const size_t end = find_plus_minus(text, length, &bytes);
    reseat_status status = reseat_number_parse(text, end, &seat_deg, NULL);
    if (status == RESEAT_OK && bytes > 0)
        status = reseat_number_parse(text + end + bytes, length - end - bytes, &within_deg, NULL);
    if (status != RESEAT_OK)
        return status;
    if (within_deg < 0)
        return RESEAT_ERR_RANGE;
    if (within_deg >= 180)
        *seat = (reseat_seat){.kind = RESEAT_SEAT_ANY};
    else
        *seat = (reseat_seat){.kind = RESEAT_SEAT_ANGLE,
                              .seat_deg = reseat_plane_seat(seat_deg),
                              .within_deg = fabs(within_deg)}; /* -0 is 0 */
    return RESEAT_OK;
}

/* What was wrong, in words; OK passes. */
static reseat_status explain(reseat_status status, bool keys, const char *text, size_t length,
                             reseat_error *error)
{
    switch (status) {
    case RESEAT_OK:
        return RESEAT_OK;
    case RESEAT_ERR_RANGE:
        return refuse(status, keys ? "from 1 to 360 keys" : "a half width of 0 or more degrees",
                      text, length, error);
    case RESEAT_ERR_NOT_FINITE:
        return refuse(status, "a finite number of degrees", text, length, error);
    default:
        return refuse(status, SPELLINGS, text, length, error);
    }
}

reseat_status reseat_seat_parse(const char *text, size_t length, reseat_seat *seat,
                                reseat_error *error)
{
    if (text == NULL || seat == NULL)
        return reseat_error_plain(error, RESEAT_ERR_ARGUMENT);
    for (size_t i = 0; i < word_count; i++) {
        if (word_is(text, length, words[i].text)) {
            *seat = (reseat_seat){.kind = words[i].kind};
            return RESEAT_OK;
        }
    }
    if (!begins_with(text, length, keys_prefix))
        return explain(parse_angle(text, length, seat), false, text, length, error);

    unsigned keys = 0;
    const size_t skip = strlen(keys_prefix);
    const reseat_status status = whole_parse(text + skip, length - skip, 1, RESEAT_SEAT_KEYS_MAX,
                                             &keys);
    if (status == RESEAT_OK)
        *seat = (reseat_seat){.kind = RESEAT_SEAT_KEYS, .keys = keys};
    return explain(status, true, text, length, error);
}

static void format_angle(const reseat_seat *seat, char *text)
{
    char angle[RESEAT_NUMBER_SIZE], within[RESEAT_NUMBER_SIZE] = "";
    reseat_number_format(seat->seat_deg, angle);
    if (seat->within_deg > 0)
        reseat_number_format(seat->within_deg, within);
    assert(strlen(angle) + strlen(within) + 3 <= RESEAT_SEAT_SIZE); /* a number has 24 at most */
    strcpy(text, angle);
    if (seat->within_deg > 0)
        strcat(strcat(text, "+-"), within);
}

reseat_status reseat_seat_format(const reseat_seat *seat, char *text)
{
    if (seat == NULL || text == NULL)
        return RESEAT_ERR_ARGUMENT;
    const reseat_status status = reseat_seat_check(seat);
    if (status != RESEAT_OK)
        return status;
    for (size_t i = 0; i < word_count; i++)
        if (words[i].kind == seat->kind)
            strcpy(text, words[i].text);
    if (seat->kind == RESEAT_SEAT_KEYS)
        snprintf(text, RESEAT_SEAT_SIZE, "%s%u", keys_prefix, seat->keys);
    if (seat->kind == RESEAT_SEAT_ANGLE)
        format_angle(seat, text);
    return RESEAT_OK;
}
