/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_LOG_SEAL_H
#define RESEAT_LOG_SEAL_H

#include <nettle/sha2.h>
#include <stdbool.h>
#include <stddef.h>

/* The seal at the end of a line, a SHA-256 (FIPS 180-4) that ties it to all lines above. */

#define SEAL_DIGITS 64
#define SEAL_MARK ",\"seal\":\""
#define SEAL_END "\"}"
#define SEAL_TAIL (sizeof SEAL_MARK - 1 + SEAL_DIGITS + sizeof SEAL_END - 1)

/* The digits of a line that ends as a sealed one does; NULL if it does not. */
const char *seal_of(const char *line, size_t length);

/*
 * Whether a line ends as every record does, sealed or not, or did so before something befell its
 * last bytes: a whole seal with other bytes behind it than zeros. A record that was cut short, and
 * whatever a crash may have left in the place of the rest, mostly has neither.
 */
bool seal_closes(const char *line, size_t length);

/*
 * The seal of `length` bytes below a line with the seal `above` (its 64 digits, or NULL for none);
 * digits has room for 64 and a NUL.
 */
void seal_make(const char *above, const char *bytes, size_t length, char *digits);

/* Ends a hash and writes it as 64 digits and a NUL. */
void seal_digits(struct sha256_ctx *context, char *digits);

/* Whether the seal of a line that seal_of has found one in is that of its bytes below `above`. */
bool seal_holds(const char *above, const char *line, size_t length);

/* 64 lower-case hexadecimal digits. */
bool seal_is_digits(const char *text, size_t length);

#endif
