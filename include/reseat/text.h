/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Text from outside, made harmless for the place where it is shown. */
#ifndef RESEAT_TEXT_H
#define RESEAT_TEXT_H

#include <stdbool.h>
#include <stddef.h>
#include "reseat/status.h"

#ifdef __cplusplus
extern "C" {
#endif

/* Whether the bytes are well-formed UTF-8 (RFC 3629: no surrogates, no overlong forms). */
RESEAT_API bool reseat_text_is_utf8(const char *text, size_t length);

/*
 * Each writes the bytes of `text` for one kind of place and returns the length of the whole
 * result without NUL, as snprintf does: a result that does not fit in `size` is cut (at a
 * character) and still ends in NUL, and out may be NULL with size 0.
 *
 *   terminal  control bytes, C1, line and paragraph separators, bidirectional controls, zero-width
 *             characters and bad UTF-8 appear as \xHH or \u{HHHH}
 *   csv       the same, quoted by RFC 4180 where needed and where a semicolon is in it; a text that
 *             begins with = + - @ tab or CR gets a leading '
 *   html      the same, and & < > " ' escaped: for text and for quoted attributes
 *   json      the inside of a JSON string (RFC 8259): the same characters as \uHHHH or \n, \r, \t;
 *             each byte of bad UTF-8 becomes U+FFFD
 *
 * A text that is NULL is an empty one. Nothing is allocated.
 */
RESEAT_API size_t reseat_text_terminal(const char *text, size_t length, char *out, size_t size);
RESEAT_API size_t reseat_text_csv(const char *text, size_t length, char *out, size_t size);
RESEAT_API size_t reseat_text_html(const char *text, size_t length, char *out, size_t size);
RESEAT_API size_t reseat_text_json(const char *text, size_t length, char *out, size_t size);

/*
 * Index of the name nearest to a mistyped word by edit distance (a swap of neighbours counts as
 * one step), or `count` when none is within a third of the word's length, at least 1. Of equally
 * near names the first; words and names of more than 64 bytes are near nothing.
 */
RESEAT_API size_t reseat_text_nearest(const char *word, const char *const *names, size_t count);

#ifdef __cplusplus
}
#endif
#endif
