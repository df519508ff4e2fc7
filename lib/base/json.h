/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_BASE_JSON_H
#define RESEAT_BASE_JSON_H

#include <stdbool.h>
#include <stddef.h>
#include "reseat/status.h"

/* JSON objects, read strictly. Nothing else in the library knows which parser reads them. */

#define JSON_DEPTH_MAX 8
#define JSON_NUMBER_MAX 63 /* characters; the parser reads no more of a number */

typedef enum json_kind {
    JSON_NULL,
    JSON_BOOL,
    JSON_NUMBER,
    JSON_TEXT,
    JSON_ARRAY,
    JSON_OBJECT
} json_kind;

/* An object, a member of one, or an item of an array. */
typedef struct json_value {
    json_kind kind;
    const char *name; /* of a member; else NULL */
    double number;    /* finite */
    const char *text; /* UTF-8 without NUL inside */
    void *node;
} json_value;

/*
 * Reads an object: RFC 8259 to the letter, no key twice, numbers finite.
 *
 * Returns RESEAT_OK, or RESEAT_ERR_SYNTAX, _NOT_FINITE, _MEMORY with *object as it was.
 */
reseat_status json_read(const char *text, size_t length, json_value *object, reseat_error *error);
void json_free(const json_value *object);

/* Go through members or items in their order; false when there are no more. */
bool json_first(const json_value *container, json_value *value);
bool json_next(json_value *value);

#endif
