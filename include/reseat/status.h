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

/* Where a text went wrong. Readers take it as an optional last argument; NULL is allowed. */
typedef struct reseat_error {
    size_t line;    /* from 1; 0 where there are no lines */
    size_t column;  /* byte in the line, from 1; 0 where it does not apply */
    char key[64];   /* name of the column, field or option; "" if none */
    char text[320]; /* one line of English: what was expected and what was read; NUL-terminated */
    char spare[96]; /* zero; room to grow without changing the size */
} reseat_error;

/* One line of English for a status, static, never NULL; "unknown status" for other values. */
RESEAT_API const char *reseat_status_text(reseat_status status);

/* Version of the library at run time, "0.1.0"; static. */
RESEAT_API const char *reseat_version(void);

#ifdef __cplusplus
}
#endif
#endif
