/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Writes JSON to a stream. */
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

/*
 * Writes members as the words of a format say, `key:kind`, or `kind` alone inside an array; the key
 * % is an argument before the value. What is NULL or NaN does not apply, and is left out. Kinds:
 *   s  const char *, a text      n  double          p  reseat_xy, [x, y]
 *   i  int64_t                   t  int64_t, a time  b  int, true or false
 *   { [  begin an object or an array, } ]  end it
 */
void json_print(json *j, const char *format, ...);

/* Arrays: of numbers, and of objects whose members `item` writes, one by one. */
void json_numbers(json *j, const char *key, const double *values, size_t count);
void json_objects(json *j, const char *key, size_t count,
                  void (*item)(json *j, const void *list, size_t i), const void *list);

/* A number where it applies, else NaN. */
double json_if(bool applies, double value);

#endif
