/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Points in time: whole seconds of UTC, as RFC 3339 text. */
#ifndef RESEAT_TIME_H
#define RESEAT_TIME_H

#include <stdint.h>
#include "reseat/status.h"

#ifdef __cplusplus
extern "C" {
#endif

/* "2026-03-02T06:00:00Z" and its NUL. */
#define RESEAT_TIME_SIZE 21

/*
 * Reads an RFC 3339 time, `2026-03-02T06:00:00Z` or with an offset such as `+01:00`; the seconds
 * may be left out. The whole text is read. Years 1 to 9999; a fraction of a second is refused, as
 * records hold whole seconds.
 *
 *   seconds  out  since 1970-01-01T00:00:00Z, leap seconds not counted
 *
 * Returns RESEAT_OK, else *seconds is as it was before the call:
 *   RESEAT_ERR_ARGUMENT  text or seconds is NULL
 *   RESEAT_ERR_SYNTAX    not of that form, no zone given, or no such day or hour
 */
RESEAT_API reseat_status reseat_time_parse(const char *text, size_t length, int64_t *seconds,
                                           reseat_error *error);

/*
 * Writes a time in UTC, whole seconds, ending in `Z`.
 *
 *   seconds  in   from year 1 to the end of year 9999
 *   text     out  RESEAT_TIME_SIZE bytes
 *
 * Returns RESEAT_OK, RESEAT_ERR_ARGUMENT or RESEAT_ERR_RANGE.
 */
RESEAT_API reseat_status reseat_time_format(int64_t seconds, char *text);

#ifdef __cplusplus
}
#endif
#endif
