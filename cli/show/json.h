/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Writes JSON to a stream, a member a call. A key is NULL inside an array. A number that is NaN
 * does not apply, and is left out with its key.
 */
#ifndef RESEAT_CLI_JSON_H
#define RESEAT_CLI_JSON_H

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include "reseat/reseat.h"

typedef struct json {
    FILE *out;
    bool comma; /* one is due before the next member */
} json;

json json_begin(FILE *out); /* '{' of the whole object */
void json_end(json *j);     /* '}' of it, and a newline */

void json_open(json *j, const char *key, char bracket); /* '{' or '[' */
void json_close(json *j, char bracket);                 /* '}' or ']' */
void json_number(json *j, const char *key, double value);
void json_integer(json *j, const char *key, int64_t value);
void json_bool(json *j, const char *key, bool value);
void json_text(json *j, const char *key, const char *text);
void json_time(json *j, const char *key, int64_t at);

/* A number where it applies, else NaN. */
double json_if(bool applies, double value);

/* Members that are numbers, up to the one without a key; and an object of them alone. */
typedef struct json_member {
    const char *key;
    double value;
} json_member;
void json_members(json *j, const json_member *members);
void json_object(json *j, const char *key, const json_member *members);

/* Arrays: of numbers, [x, y], and of objects whose members `item` writes, one by one. */
void json_numbers(json *j, const char *key, const double *values, size_t count);
void json_pair(json *j, const char *key, reseat_xy value);
void json_objects(json *j, const char *key, size_t count,
                  void (*item)(json *j, const void *list, size_t i), const void *list);

#endif
