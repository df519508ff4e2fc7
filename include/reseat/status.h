/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * What every call returns, and how a reader of text says what it expected.
 *
 * Rules that hold everywhere in the library:
 *   - RESEAT_OK never comes with a result that is not finite.
 *   - On any other status every output is as it was before the call (a reseat_error is not an
 *     output: it is filled then, and only then).
 *   - Nothing prints, exits, sets a locale or keeps state between calls.
 */
#ifndef RESEAT_STATUS_H
#define RESEAT_STATUS_H

#include <stddef.h>

#if defined(__GNUC__)
#define RESEAT_API __attribute__((visibility("default")))
#else
#define RESEAT_API
#endif

#ifdef __cplusplus
extern "C" {
#endif

/* The values are pinned: none is renumbered or reused. */
typedef enum reseat_status {
    RESEAT_OK = 0,
    RESEAT_ERR_ARGUMENT = 1,       /* a pointer is NULL, or an enum value does not exist */
    RESEAT_ERR_NOT_FINITE = 2,     /* an input, or the result, is NaN or infinite */
    RESEAT_ERR_RANGE = 3,          /* finite, but outside the range stated */
    RESEAT_ERR_SYNTAX = 4,         /* a text is not what was expected */
    RESEAT_ERR_TOO_FEW = 5,        /* fewer data than unknowns */
    RESEAT_ERR_SINGULAR = 6,       /* the data do not determine the result */
    RESEAT_ERR_NO_CONVERGENCE = 7, /* an iteration did not settle */
    RESEAT_ERR_SPACE = 8,          /* the caller's buffer or workspace is too small */
    RESEAT_ERR_MEMORY = 9,         /* an allocation failed */
    RESEAT_ERR_IO = 10,            /* reading or writing failed, or durability is unknown */
    RESEAT_ERR_DAMAGED = 11,       /* the log is damaged */
    RESEAT_ERR_BUSY = 12,          /* another writer kept the log locked */
    RESEAT_ERR_NOT_FOUND = 13,     /* nothing on record */
    RESEAT_ERR_REFUSED = 14        /* well formed, but a rule of the log forbids it */
} reseat_status;

/*
 * What a caller may want to say in its own words, or to act on; for all else the status will do.
 * The values are pinned.
 */
typedef enum reseat_error_code {
    RESEAT_CODE_NONE = 0,
    RESEAT_CODE_MISSING = 1,         /* `key` must be given */
    RESEAT_CODE_MISSING_PARTNER = 2, /* `key` must be given, as `other_key` is */
    RESEAT_CODE_COUNT_DIFFERS = 3,   /* `key` must have as many entries as `other_key` */
    RESEAT_CODE_NO_LOG = 4,          /* there is no such log */
    RESEAT_CODE_EMPTY_LOG = 5,       /* there is, but nothing is in it yet */
    RESEAT_CODE_NO_FOLDER = 6,       /* the folder of the logs is not there, or is no folder */
    RESEAT_CODE_CLOCK_BEHIND = 7     /* `key` must be given, as the clock is behind the log */
} reseat_error_code;

/*
 * What went wrong, and where. An optional last argument; NULL is allowed. Callers go by the code
 * and show the text, which may change.
 */
typedef struct reseat_error {
    size_t line;        /* from 1; 0 where there are no lines */
    size_t column;      /* byte in the line, from 1; 0 where it does not apply */
    reseat_error_code code;
    char key[64];       /* name of the column, field or option; "" if none */
    char other_key[64]; /* a second one that the error is about */
    char text[320];     /* one line of English; NUL-terminated */
    char spare[96];     /* zero; room to grow without changing the size */
} reseat_error;

/* One line of English for a status, static, never NULL; "unknown status" for other values. */
RESEAT_API const char *reseat_status_text(reseat_status status);

/* Version of the library at run time, "0.1.0"; static. */
RESEAT_API const char *reseat_version(void);

#ifdef __cplusplus
}
#endif
#endif
