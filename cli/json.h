/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Writes JSON to a stream, a value a call. A key is NULL inside an array; nothing is kept but
 * whether a comma is due.
 */
#ifndef RESEAT_CLI_JSON_H
#define RESEAT_CLI_JSON_H

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include "reseat/reseat.h"

typedef struct json {
    FILE *out;
    bool comma;
} json;

void json_open(json *j, const char *key, char bracket); /* '{' or '[' */
void json_close(json *j, char bracket);                 /* '}' or ']' */
void json_end(json *j);                                 /* '}' of the whole object, and a newline */
void json_number(json *j, const char *key, double value);
void json_integer(json *j, const char *key, int64_t value);
void json_bool(json *j, const char *key, bool value);
void json_text(json *j, const char *key, const char *text);
void json_pair(json *j, const char *key, reseat_xy value); /* [x, y] */

#endif
