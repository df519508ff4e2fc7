/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "model/seat.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include "base/error.h"
#include "base/number.h"
#include "base/text.h"
#include "maths/plane.h"

static const double SAME_TURN_DEG = 1e-9; /* far above rounding, far below any spindle stop */
static const double MEAN_OF_ANY = 0x1.45f306dc9c883p+0;   /* 4 / pi */
static const double RMS_OF_ANY = 0x1.6a09e667f3bcdp+0;    /* sqrt 2 */
static const double P95_OF_ANY = 0x1.fe6bf2e2660afp+0;    /* 2 sin(0.475 pi) */

/*
 * A kind that does not exist is an ARGUMENT, else NOT_FINITE or RANGE for a value. Any finite
 * seat_deg passes, as turns between angles reduce them anyway.
 */
static reseat_status seat_check(const reseat_seat *seat)
{
    switch (seat->kind) {
    case RESEAT_SEAT_SAME:
    case RESEAT_SEAT_ANY:
    case RESEAT_SEAT_UNKNOWN:
        return RESEAT_OK;
    case RESEAT_SEAT_ANGLE:
        if (!isfinite(seat->seat_deg) || !isfinite(seat->within_deg))
            return RESEAT_ERR_NOT_FINITE;
        return seat->within_deg >= 0 && seat->within_deg < 180 ? RESEAT_OK : RESEAT_ERR_RANGE;
    case RESEAT_SEAT_KEYS:
        return seat->keys >= 1 && seat->keys <= RESEAT_SEAT_KEYS_MAX ? RESEAT_OK : RESEAT_ERR_RANGE;
    }
    return RESEAT_ERR_ARGUMENT;
}

/* A seat angle says nothing of the turn where the run's own was not recorded. */
static bool is_unknown(const reseat_seat *seat, bool run_known)
{
    return seat->kind == RESEAT_SEAT_UNKNOWN || (seat->kind == RESEAT_SEAT_ANGLE && !run_known);
}

static reseat_turns turns_of_seat(const reseat_seat *seat, double run_deg)
{
    switch (seat->kind) {
    case RESEAT_SEAT_SAME: return (reseat_turns){.count = 1};
    case RESEAT_SEAT_KEYS: return (reseat_turns){.count = seat->keys, .out = true};
    case RESEAT_SEAT_ANGLE: break;
    default: return (reseat_turns){.range = true, .first_deg = -180, .width_deg = 360, .out = true};
    }
    const double turn_deg = plane_turn_between(run_deg, seat->seat_deg);
    if (seat->within_deg > 0)
        return (reseat_turns){.range = true, .first_deg = turn_deg - seat->within_deg,
                              .width_deg = 2 * seat->within_deg, .out = true};
    return (reseat_turns){.count = 1, .first_deg = turn_deg, .out = true};
}

reseat_status seat_turns(const reseat_seat *seat, double run_deg, bool run_known,
                         const reseat_seat *fallback, reseat_turns *turns)
{
    static const reseat_seat any = {.kind = RESEAT_SEAT_ANY};
    if (!seat || !turns)
        return RESEAT_ERR_ARGUMENT;
    if (run_known && !isfinite(run_deg))
        return RESEAT_ERR_NOT_FINITE;
    reseat_status status = seat_check(seat);
    if (status == RESEAT_OK && fallback)
        status = seat_check(fallback);
    if (status != RESEAT_OK)
        return status;

    if (is_unknown(seat, run_known))
        seat = !fallback || is_unknown(fallback, run_known) ? &any : fallback;
    *turns = turns_of_seat(seat, run_deg);
    turns->run_known = run_known;
    turns->run_deg = run_known ? plane_seat(run_deg) : 0;
    return RESEAT_OK;
}

double seat_list_turn(const reseat_turns *turns, unsigned k)
{
    if (!turns || turns->range || k >= turns->count)
        return (double)NAN;
    return reseat_plane_turn(turns->first_deg + 360.0 * k / turns->count);
}

bool seat_has_turn(const reseat_turns *turns, double turn_deg)
{
    if (!turns || (!turns->range && turns->count == 0))
        return false;
    const double past_deg = plane_turn_between(turns->first_deg, turn_deg);
    if (!turns->range)
        return fabs(remainder(past_deg, 360.0 / turns->count)) <= SAME_TURN_DEG;
    const double ahead_deg = plane_seat(past_deg);
    return ahead_deg <= turns->width_deg + SAME_TURN_DEG || ahead_deg >= 360.0 - SAME_TURN_DEG;
}

reseat_status seat_error_by_turn(reseat_xy offset_mm, reseat_xy in_use_mm, reseat_xy spindle_mm,
                                 double turn_deg, reseat_xy *error_mm)
{
    if (!xy_is_finite(offset_mm) || !xy_is_finite(in_use_mm) || !xy_is_finite(spindle_mm) ||
        !isfinite(turn_deg))
        return RESEAT_ERR_NOT_FINITE;

    const reseat_xy q = xy_less(offset_mm, spindle_mm);
    double sine, cosine;
    plane_sincos(reseat_plane_turn(turn_deg) / 2, &sine, &cosine);
    /* 2 sin h goes to q first: a turn of 0 then gives 0 however long q is. */
    const reseat_xy chord = {2 * sine * q.x, 2 * sine * q.y};
    const reseat_xy error = {
        (in_use_mm.x - offset_mm.x) + (chord.x * sine + chord.y * cosine),
        (in_use_mm.y - offset_mm.y) + (chord.y * sine - chord.x * cosine),
    };
    if (!xy_is_finite(error))
        return RESEAT_ERR_NOT_FINITE;
    *error_mm = error;
    return RESEAT_OK;
}

reseat_status reseat_seat_error(reseat_xy offset_mm, reseat_xy spindle_mm, double run_deg,
                                double now_deg, reseat_xy *error_mm)
{
    if (!error_mm)
        return RESEAT_ERR_ARGUMENT;
    if (!isfinite(run_deg) || !isfinite(now_deg))
        return RESEAT_ERR_NOT_FINITE;
    return seat_error_by_turn(offset_mm, offset_mm, spindle_mm,
                              plane_turn_between(run_deg, now_deg), error_mm);
}

/*
 * Half the turn whose chord is the limit: asin(limit / 2r), from both legs of the triangle. The
 * quotient alone would lose half the digits where the limit comes close to 2r.
 */
static double half_turn_of_limit(double turning_mm, double half_limit_mm)
{
    assert(half_limit_mm < turning_mm);
    const double leg_mm = sqrt(turning_mm - half_limit_mm) * sqrt(turning_mm + half_limit_mm);
    return reseat_plane_bearing((reseat_xy){leg_mm, half_limit_mm});
}

reseat_status seat_any(double turning_mm, double limit_mm, reseat_any *any)
{
    if (!isfinite(turning_mm) || !isfinite(limit_mm) || !isfinite(2 * turning_mm))
        return RESEAT_ERR_NOT_FINITE;
    if (!(turning_mm >= 0) || !(limit_mm > 0))
        return RESEAT_ERR_RANGE;

    const double half_limit_mm = limit_mm / 2;
    const double half_deg =
        half_limit_mm < turning_mm ? half_turn_of_limit(turning_mm, half_limit_mm) : 90;
    *any = (reseat_any){
        .worst_mm = 2 * turning_mm,
        .mean_mm = MEAN_OF_ANY * turning_mm,
        .rms_mm = RMS_OF_ANY * turning_mm,
        .p95_mm = P95_OF_ANY * turning_mm,
        .seats_within = half_deg / 90,
        .allowed_turn_deg = 2 * half_deg,
        .allowed_offset_mm = half_limit_mm,
    };
    return RESEAT_OK;
}

/* Seats as people type them, in and out. */

#define SPELLINGS "same, an angle such as 30 or 180+-5, keys:2, any or unknown"

static const char *const words[] = {"same", "any", "unknown"};
static const reseat_seat_kind kinds[] = {RESEAT_SEAT_SAME, RESEAT_SEAT_ANY, RESEAT_SEAT_UNKNOWN};
#define WORDS (sizeof words / sizeof *words)

#define KEYS "keys:"
#define KEYS_LENGTH (sizeof KEYS - 1)

/* Where `+-` or `±` begins, two bytes either way; the length where there is none. */
static size_t find_plus_minus(const char *text, size_t length)
{
    for (size_t i = 0; i + 1 < length; i++)
        if (memcmp(text + i, "+-", 2) == 0 || memcmp(text + i, "\xC2\xB1", 2) == 0)
            return i;
    return length;
}

static reseat_status parse_angle(const char *text, size_t length, reseat_seat *seat)
{
    double seat_deg, within_deg = 0;
    const size_t end = find_plus_minus(text, length);
    reseat_status status = reseat_number_parse(text, end, &seat_deg, NULL);
    if (status == RESEAT_OK && end < length)
        status = reseat_number_parse(text + end + 2, length - end - 2, &within_deg, NULL);
    if (status != RESEAT_OK)
        return status;
    if (within_deg < 0)
        return RESEAT_ERR_RANGE;
    *seat = (reseat_seat){.kind = RESEAT_SEAT_ANY};
    if (within_deg < 180)
        *seat = (reseat_seat){.kind = RESEAT_SEAT_ANGLE, .seat_deg = plane_seat(seat_deg),
                              .within_deg = fabs(within_deg)}; /* -0 is 0 */
    return RESEAT_OK;
}

reseat_status reseat_seat_parse(const char *text, size_t length, reseat_seat *seat,
                                reseat_error *error)
{
    if (!text || !seat)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    const size_t word = word_find(text, length, words, WORDS);
    const bool keyed = length >= KEYS_LENGTH && memcmp(text, KEYS, KEYS_LENGTH) == 0;
    reseat_seat read = {.kind = keyed ? RESEAT_SEAT_KEYS : RESEAT_SEAT_ANGLE};
    reseat_status status = RESEAT_OK;
    if (word < WORDS)
        read.kind = kinds[word];
    else if (keyed)
        status = count_parse(text + KEYS_LENGTH, length - KEYS_LENGTH, 1, RESEAT_SEAT_KEYS_MAX,
                             &read.keys);
    else
        status = parse_angle(text, length, &read);
    if (status == RESEAT_OK) {
        *seat = read;
        return RESEAT_OK;
    }
    const char *const expected =
        status == RESEAT_ERR_NOT_FINITE ? "a finite number of degrees"
        : status != RESEAT_ERR_RANGE    ? SPELLINGS
        : keyed                         ? "from 1 to 360 keys"
                                        : "a half width of 0 or more degrees";
    return error_set(error, status, 1, "expected %s, read %s", expected,
                     error_echo(text, length).text);
}

reseat_status reseat_seat_format(const reseat_seat *seat, char *text)
{
    char angle[RESEAT_NUMBER_SIZE], within[RESEAT_NUMBER_SIZE] = "";
    if (!seat || !text)
        return RESEAT_ERR_ARGUMENT;
    const reseat_status status = seat_check(seat);
    if (status != RESEAT_OK)
        return status;
    for (size_t i = 0; i < WORDS; i++)
        if (kinds[i] == seat->kind)
            strcpy(text, words[i]);
    if (seat->kind == RESEAT_SEAT_KEYS)
        snprintf(text, RESEAT_SEAT_SIZE, KEYS "%u", seat->keys);
    if (seat->kind == RESEAT_SEAT_ANGLE) {
        reseat_number_format(seat->seat_deg, angle);
        if (seat->within_deg > 0)
            reseat_number_format(seat->within_deg, within);
        assert(strlen(angle) + strlen(within) + 3 <= RESEAT_SEAT_SIZE); /* at most 24 a number */
        strcpy(text, angle);
        strcat(strcat(text, within[0] != '\0' ? "+-" : ""), within);
    }
    return RESEAT_OK;
}
