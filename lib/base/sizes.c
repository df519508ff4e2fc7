/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <math.h>
#include <stdio.h>
#include <string.h>
#include "base/error.h"
#include "reseat/values.h"

/* How a size is written. A length may have the unit at the number; the others need none. */
typedef enum form { LENGTH, PAIR, SHARE, NUMBER, TIME } form;

/* In mm, degrees Celsius, seconds since 1970. */
static const struct range {
    form form;
    double least, most;
    const char *text;
} ranges[] = {
    [RESEAT_SIZE_LIMIT] = {LENGTH, 0.0005, 0.2, "0.0005 to 0.2 mm"},
    [RESEAT_SIZE_TOLERANCE] = {LENGTH, 0.005, 2, "0.005 to 2 mm"},
    [RESEAT_SIZE_OFFSET] = {PAIR, 0.0001, 1, "an offset of 0.0001 to 1 mm, or of 0,0"},
    [RESEAT_SIZE_PART] = {PAIR, 0, 1, "parts up to 1 mm"},
    [RESEAT_SIZE_U] = {LENGTH, 0, 0.1, "at most 0.1 mm"},
    [RESEAT_SIZE_SHIFT_U] = {LENGTH, 0, 0.1, "at most 0.1 mm"},
    [RESEAT_SIZE_RADIUS] = {LENGTH, 0.1, 25, "0.1 to 25 mm"},
    [RESEAT_SIZE_DIAMETER] = {LENGTH, 1, 500, "1 to 500 mm"},
    [RESEAT_SIZE_STYLUS_LENGTH] = {LENGTH, 5, 1000, "5 to 1000 mm"},
    [RESEAT_SIZE_READING] = {PAIR, 0, 10000, "parts up to 10000 mm"},
    [RESEAT_SIZE_TEMPERATURE] = {NUMBER, -10, 60, "-10 to 60 degrees Celsius"},
    [RESEAT_SIZE_CONFIDENCE] = {SHARE, 0.5, 1, "50% to below 100%"},
    [RESEAT_SIZE_AT] = {TIME, 631152000, 1e15, "a time from 1990 on"},
};

/* A length as typed: the digits, and whether a unit follows them. */
typedef struct typed {
    const char *text;
    size_t length, digits;
    double mm;
} typed;

static bool read_length(typed *part, reseat_unit unit)
{
    part->digits = 0;
    while (part->digits < part->length && strchr("0123456789+-.eE", part->text[part->digits]))
        part->digits++;
    return reseat_length_parse(part->text, part->length, unit, &part->mm, NULL) == RESEAT_OK;
}

/* Both parts of a pair, or a length alone; 0 where it is none. */
static int read_parts(form kind, const char *text, reseat_unit unit, typed parts[2])
{
    const size_t first = strcspn(text, ",");
    reseat_xy mm;
    parts[0] = (typed){.text = text, .length = kind == PAIR ? first : strlen(text)};
    if (!read_length(&parts[0], unit))
        return 0;
    if (kind != PAIR)
        return 1;
    if (reseat_length_pair_parse(text, strlen(text), unit, &mm, NULL) != RESEAT_OK)
        return 0;
    parts[1] = (typed){.text = text + first + 1, .length = strlen(text + first + 1)};
    return read_length(&parts[1], unit) ? 2 : 0;
}

/* Nothing and less than nothing is left to who reads the value. */
static bool is_usual(const struct range *range, const typed *parts, int count)
{
    if (range->form == LENGTH)
        return parts[0].mm <= 0 || (parts[0].mm >= range->least && parts[0].mm <= range->most);
    const double x = fabs(parts[0].mm), y = fabs(parts[count - 1].mm);
    return x <= range->most && y <= range->most &&
           (x >= range->least || y >= range->least || !(x > 0 || y > 0));
}

/* The parts with a unit each, as they can be typed. */
static void put_parts(char *out, size_t size, const typed *parts, int count, reseat_unit unit)
{
    int length = 0;
    for (int i = 0; i < count && (size_t)length < size; i++)
        length += snprintf(out + length, size - (size_t)length, "%s%.*s%s", i ? "," : "",
                           (int)parts[i].digits, parts[i].text, reseat_unit_name(unit));
}

/*
 * The first unit in which the bare digits are usual, or `unit`. An offset next to nothing is in mm
 * or in metres: to name inches would be to mislead.
 */
static reseat_unit find_usual(const struct range *range, const typed *parts, int count,
                              reseat_unit unit)
{
    const double least = range->form == PAIR ? range->least : 0;
    const bool tiny = fabs(parts[0].mm) < least && fabs(parts[count - 1].mm) < least;
    for (int other = RESEAT_MM; other <= (tiny ? RESEAT_MM : RESEAT_THOU); other++) {
        typed as[2] = {parts[0], parts[count - 1]};
        as[0].length = as[0].digits;
        as[1].length = as[1].digits;
        if (read_length(&as[0], (reseat_unit)other) && read_length(&as[1], (reseat_unit)other) &&
            is_usual(range, as, count))
            return (reseat_unit)other;
    }
    return unit;
}

static reseat_status judge_length(const struct range *range, const char *text, reseat_unit unit,
                                  char *note, reseat_error *error)
{
    typed parts[2];
    char shown[64], other[64];
    const int count = read_parts(range->form, text, unit, parts);
    if (count == 0 || is_usual(range, parts, count))
        return RESEAT_OK;
    if (parts[0].digits < parts[0].length) {
        (void)snprintf(note, RESEAT_SIZE_NOTE, "%.60s is unusual, expected %s; taken, as its unit "
                       "is typed", text, range->text);
        return RESEAT_OK;
    }
    const reseat_unit usual = find_usual(range, parts, count, unit);
    put_parts(shown, sizeof shown, parts, count, unit);
    put_parts(other, sizeof other, parts, count, usual);
    return error_set(error, RESEAT_ERR_RANGE, 0, "expected %s, read %.60s %s; type %s%s%s",
                     range->text, text, reseat_unit_name(unit), shown,
                     usual == unit ? " if it is meant" : " or ", usual == unit ? "" : other);
}

/* What no unit can make right. */
static bool is_possible(reseat_size size, const char *text)
{
    const struct range *range = &ranges[size];
    const size_t length = strlen(text);
    double value = 0;
    int64_t seconds = 0;
    reseat_status status;
    switch (range->form) {
    case SHARE: status = reseat_share_parse(text, length, &value, NULL); break;
    case NUMBER: status = reseat_number_parse(text, length, &value, NULL); break;
    case TIME:
        status = reseat_time_parse(text, length, &seconds, NULL);
        value = (double)seconds;
        break;
    default:
        return size != RESEAT_SIZE_SHIFT_U ||
               reseat_length_parse(text, length, RESEAT_MM, &value, NULL) != RESEAT_OK ||
               value > 0;
    }
    return status != RESEAT_OK || (value >= range->least && value <= range->most &&
                                   (range->form != SHARE || value < range->most));
}

/* Where the tolerance of a feature stands in it; NULL without one. */
static const char *find_tolerance(const char *feature)
{
    const char *equals = strchr(feature, '=');
    const char *colon = equals ? strrchr(equals, ':') : NULL;
    return colon ? colon + 1 : equals ? equals + 1 : NULL;
}

reseat_status reseat_size_judge(reseat_size size, const char *text, reseat_unit unit, char *note,
                                reseat_error *error)
{
    if ((unsigned)size > RESEAT_SIZE_FEATURE || !text || !note || !reseat_unit_name(unit)[0])
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    char said[RESEAT_SIZE_NOTE] = "";
    reseat_status status = RESEAT_OK;
    if (size == RESEAT_SIZE_FEATURE) {
        text = find_tolerance(text);
        size = RESEAT_SIZE_TOLERANCE;
    }
    if (!text || size == RESEAT_SIZE_ANY)
        status = RESEAT_OK;
    else if (!is_possible(size, text))
        status = error_set(error, RESEAT_ERR_RANGE, 0, "expected %s, read %s",
                           size == RESEAT_SIZE_SHIFT_U ? "a length above 0" : ranges[size].text,
                           error_echo(text, strlen(text)).text);
    else if (ranges[size].form <= PAIR)
        status = judge_length(&ranges[size], text, unit, said, error);
    if (status == RESEAT_OK)
        memcpy(note, said, sizeof said);
    return status;
}
