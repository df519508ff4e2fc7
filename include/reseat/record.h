/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * One record of a log: a flat JSON object on a line of its own, sealed (handbook section 10). One
 * table of fields drives reading, checks, writing, what people type, columns and the schema.
 */
#ifndef RESEAT_RECORD_H
#define RESEAT_RECORD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "reseat/seat.h"
#include "reseat/status.h"
#include "reseat/units.h"

#ifdef __cplusplus
extern "C" {
#endif

#define RESEAT_RECORD_VERSION 1        /* `v` of what is written */
#define RESEAT_RECORD_LINE_MAX 65536   /* bytes of a line without its LF */
#define RESEAT_RECORD_NOTE_MAX 1000    /* bytes of a note, and of a reason typed */
#define RESEAT_RECORD_NAME_MAX 64      /* bytes of the name of a spindle, probe, tip, person */
#define RESEAT_RECORD_COUNT_MAX 1024   /* entries of an array */
#define RESEAT_SEAL_SIZE 65            /* 64 hexadecimal digits and a NUL */

/* What a record says; the values are pinned. */
typedef enum reseat_record_type {
    RESEAT_RECORD_OTHER = 0, /* read: a type, or a `v`, that this version does not know */
    RESEAT_RECORD_LOG = 1,
    RESEAT_RECORD_RUN = 2,
    RESEAT_RECORD_RESEAT = 3,
    RESEAT_RECORD_EVENT = 4,
    RESEAT_RECORD_VERIFY = 5,
    RESEAT_RECORD_POLICY = 6,
    RESEAT_RECORD_VERDICT = 7,
    RESEAT_RECORD_VOID = 8,
    RESEAT_RECORD_REPAIR = 9
} reseat_record_type;
#define RESEAT_RECORD_TYPE_COUNT 10

/* "run" and so on, as in the log; "" for RESEAT_RECORD_OTHER and for a value that is no type. */
RESEAT_API const char *reseat_record_type_name(reseat_record_type type);

/* The type of that name, or RESEAT_RECORD_OTHER. */
RESEAT_API reseat_record_type reseat_record_type_find(const char *name);

/* The fields, in the order in which they are written. */
typedef enum reseat_field {
    RESEAT_FIELD_V,
    RESEAT_FIELD_SEQ,
    RESEAT_FIELD_TYPE,
    RESEAT_FIELD_RECORDED_AT,
    RESEAT_FIELD_SPINDLE,
    RESEAT_FIELD_FORMAT,
    RESEAT_FIELD_PROBE,
    RESEAT_FIELD_AT,
    RESEAT_FIELD_KIND,
    RESEAT_FIELD_SEAT_DEG,
    RESEAT_FIELD_WITHIN_DEG,
    RESEAT_FIELD_OFFSET_X_MM,
    RESEAT_FIELD_OFFSET_Y_MM,
    RESEAT_FIELD_SHIFT_X_MM,
    RESEAT_FIELD_SHIFT_Y_MM,
    RESEAT_FIELD_SHIFT_U_MM,
    RESEAT_FIELD_VERDICT,
    RESEAT_FIELD_RUN_SEQ,
    RESEAT_FIELD_SEAT,
    RESEAT_FIELD_LIMIT_MM,
    RESEAT_FIELD_ERROR_MM,
    RESEAT_FIELD_CHANCE,
    RESEAT_FIELD_CONFIDENCE,
    RESEAT_FIELD_SEATS,
    RESEAT_FIELD_RESEATS,
    RESEAT_FIELD_MAX_AGE_DAYS,
    RESEAT_FIELD_U_SEAT_MM,
    RESEAT_FIELD_U_TURN_DEG,
    RESEAT_FIELD_U_SPINDLE_MM,
    RESEAT_FIELD_SPINDLE_X_MM,
    RESEAT_FIELD_SPINDLE_Y_MM,
    RESEAT_FIELD_U_TOUCH_MM,
    RESEAT_FIELD_U_AXIAL_MM,
    RESEAT_FIELD_LOBING_MM,
    RESEAT_FIELD_TIP,
    RESEAT_FIELD_REASONS,
    RESEAT_FIELD_OFFSET_U_MM,
    RESEAT_FIELD_OFFSET_DOF,
    RESEAT_FIELD_IN_USE_X_MM,
    RESEAT_FIELD_IN_USE_Y_MM,
    RESEAT_FIELD_FOUND_X_MM,
    RESEAT_FIELD_FOUND_Y_MM,
    RESEAT_FIELD_RADIUS_MM,
    RESEAT_FIELD_RADIUS_U_MM,
    RESEAT_FIELD_DIRS_DEG,
    RESEAT_FIELD_RADII_MM,
    RESEAT_FIELD_STYLUS_LENGTH_MM,
    RESEAT_FIELD_GAUGE,
    RESEAT_FIELD_GAUGE_ID,
    RESEAT_FIELD_GAUGE_DIAMETER_MM,
    RESEAT_FIELD_TEMPERATURE_C,
    RESEAT_FIELD_FEED_MM_MIN,
    RESEAT_FIELD_TOUCHES,
    RESEAT_FIELD_FORM_MM,
    RESEAT_FIELD_REPEATABILITY_MM,
    RESEAT_FIELD_WHY,
    RESEAT_FIELD_VOIDS,
    RESEAT_FIELD_OFFSET_BYTES,
    RESEAT_FIELD_LENGTH_BYTES,
    RESEAT_FIELD_SHA256,
    RESEAT_FIELD_BY,
    RESEAT_FIELD_NOTE,
    RESEAT_FIELD_SEAL,
    RESEAT_FIELD_COUNT
} reseat_field;

typedef enum reseat_kind {
    RESEAT_KIND_NUMBER = 0,
    RESEAT_KIND_NUMBER_OR_NULL = 1, /* null: the fact is that it was not recorded */
    RESEAT_KIND_INTEGER = 2,        /* up to 2^53 */
    RESEAT_KIND_TIME = 3,           /* RFC 3339 text in the log, whole seconds in memory */
    RESEAT_KIND_TEXT = 4,           /* UTF-8 without control characters, not empty */
    RESEAT_KIND_NUMBERS = 5,
    RESEAT_KIND_TEXTS = 6
} reseat_kind;

/* What a number counts: how it is typed, shown, and named as an option. */
typedef enum reseat_quantity {
    RESEAT_QUANTITY_PLAIN = 0,
    RESEAT_QUANTITY_LENGTH = 1, /* mm */
    RESEAT_QUANTITY_ANGLE = 2,  /* degrees */
    RESEAT_QUANTITY_SHARE = 3   /* a chance; `95%` may be typed for 0.95 */
} reseat_quantity;

/* What values look like. */
typedef struct reseat_shape {
    reseat_kind kind;
    reseat_quantity quantity;
    bool above, below;  /* least itself is excluded, or most */
    double least, most; /* of a number, or of each in an array; -DBL_MAX, DBL_MAX: open */
    size_t bytes_max;   /* of a text */
} reseat_shape;

/* A row of the table. */
typedef struct reseat_field_row {
    const char *name;
    const reseat_shape *shape;
    const char *choices;  /* the texts allowed, parted by blanks; NULL for any */
    unsigned required;    /* types that have it, bits 1u << reseat_record_type ... */
    unsigned optional;    /* ... and that may have it */
    const char *meaning;  /* a few words for help and schema */
} reseat_field_row;

/* The row of a field; NULL for a value that is no field. */
RESEAT_API const reseat_field_row *reseat_field_about(reseat_field field);

/* The field of that name, or RESEAT_FIELD_COUNT. */
RESEAT_API reseat_field reseat_field_find(const char *name);

/*
 * The name that a field has as an option: less its unit, with dashes (`gauge-diameter`). Returns
 * its length and writes as snprintf does.
 */
RESEAT_API size_t reseat_field_option(reseat_field field, char *out, size_t size);

/*
 * The JSON Schema (2020-12) of a record of any type. Returns its length and writes as snprintf
 * does.
 */
RESEAT_API size_t reseat_record_schema(char *out, size_t size);

/* A record in memory. Not to be used by two threads at once. */
typedef struct reseat_record reseat_record;

/*
 * A new record without any field but `v` and `type`. Every record is let go with
 * reseat_record_free, which takes NULL too.
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT (record NULL, or no type that can be written) or
 * RESEAT_ERR_MEMORY, with *record as it was.
 */
RESEAT_API reseat_status reseat_record_new(reseat_record_type type, reseat_record **record);
RESEAT_API void reseat_record_free(reseat_record *record);

/*
 * Reads a line of a log. Its seal is not compared with the line above: reseat/log.h does that.
 *
 *   line, length  in   the bytes without LF; need not end in NUL
 *   record        out  to be freed
 *   error         out  key: the field; column: the byte, for what is no JSON; may be NULL
 *
 * Fields that the table does not give the type are kept in the line and otherwise ignored. A
 * type that is not known, or a `v` above 1, is read as RESEAT_RECORD_OTHER with the fields that
 * every record has and, if they are there, `probe` and `at`.
 *
 * Returns RESEAT_OK, else *record is as it was before the call:
 *   RESEAT_ERR_ARGUMENT    line or record is NULL
 *   RESEAT_ERR_SYNTAX      no JSON object of a record: too long, NUL, bad UTF-8, nested more than
 *                          8 deep, a key twice, a field missing or of the wrong type, no seal last
 *   RESEAT_ERR_NOT_FINITE  a number too large for a double
 *   RESEAT_ERR_RANGE       a value outside its range
 *   RESEAT_ERR_MEMORY
 *
 * Accuracy  numbers to the bit. Held by tests/unit/record_test.c.
 */
RESEAT_API reseat_status reseat_record_parse(const char *line, size_t length,
                                             reseat_record **record, reseat_error *error);

/*
 * What a record says. A field that is not there gives `absent`, NULL or 0; so does one asked for
 * as what it is not. Texts and arrays live as long as the record.
 */
RESEAT_API reseat_record_type reseat_record_type_of(const reseat_record *record);
RESEAT_API bool reseat_record_has(const reseat_record *record, reseat_field field);
RESEAT_API bool reseat_record_is_null(const reseat_record *record, reseat_field field);
RESEAT_API double reseat_record_number(const reseat_record *record, reseat_field field,
                                       double absent); /* null gives `absent` too */
RESEAT_API int64_t reseat_record_integer(const reseat_record *record, reseat_field field,
                                         int64_t absent); /* of times as well: seconds */
RESEAT_API const char *reseat_record_text(const reseat_record *record, reseat_field field);
RESEAT_API const double *reseat_record_numbers(const reseat_record *record, reseat_field field,
                                               size_t *count);
RESEAT_API size_t reseat_record_text_count(const reseat_record *record, reseat_field field);
RESEAT_API const char *reseat_record_text_at(const reseat_record *record, reseat_field field,
                                             size_t index);

/* A field as plain text for a table; "" if not there. Returns and writes as snprintf does. */
RESEAT_API size_t reseat_record_show(const reseat_record *record, reseat_field field, char *out,
                                     size_t size);

/* The sealed line without LF, as it was read or made; NULL as long as there is none. */
RESEAT_API const char *reseat_record_line(const reseat_record *record, size_t *length);

/*
 * Give a field a value, or another; it must be one that the record's type takes. A line that the
 * record had is gone. Numbers go into number and integer fields, integers into these and times.
 *
 * Each returns RESEAT_OK, else the record is as it was before the call:
 *   RESEAT_ERR_ARGUMENT    a pointer is NULL, or no field of this type, or not of this kind
 *   RESEAT_ERR_NOT_FINITE  a number is NaN or infinite
 *   RESEAT_ERR_RANGE       outside the field's range, or not whole in an integer field
 *   RESEAT_ERR_SYNTAX      a text that the field cannot hold
 *   RESEAT_ERR_MEMORY
 */
RESEAT_API reseat_status reseat_record_set_number(reseat_record *record, reseat_field field,
                                                  double value, reseat_error *error);
RESEAT_API reseat_status reseat_record_set_integer(reseat_record *record, reseat_field field,
                                                   int64_t value, reseat_error *error);
RESEAT_API reseat_status reseat_record_set_null(reseat_record *record, reseat_field field,
                                                reseat_error *error);
RESEAT_API reseat_status reseat_record_set_text(reseat_record *record, reseat_field field,
                                                const char *text, reseat_error *error);
RESEAT_API reseat_status reseat_record_set_numbers(reseat_record *record, reseat_field field,
                                                   const double *values, size_t count,
                                                   reseat_error *error);
RESEAT_API reseat_status reseat_record_add_text(reseat_record *record, reseat_field field,
                                                const char *text, reseat_error *error);
RESEAT_API void reseat_record_clear(reseat_record *record, reseat_field field);

/*
 * Gives a field the value that a person typed: lengths with or without a unit, shares, times,
 * whole numbers, arrays parted by commas; an angle is brought to [0, 360) where it is a seat.
 *
 *   unit   in   what a bare length is in
 *   error  out  what was expected and read; key: the field's option; may be NULL
 *
 * Returns as the functions above.
 */
RESEAT_API reseat_status reseat_record_set_typed(reseat_record *record, reseat_field field,
                                                 const char *text, reseat_unit unit,
                                                 reseat_error *error);

/*
 * Gives `seat_deg`, and `within_deg` where the type has it, what was typed for a seat: an angle,
 * or `unknown` for null. Other seats are refused, as no record holds them.
 */
RESEAT_API reseat_status reseat_record_set_seat(reseat_record *record, const reseat_seat *seat,
                                                reseat_error *error);

/*
 * Whether all fields are there that the type asks for, and pairs and arrays are whole. `v`, `seq`,
 * `recorded_at` and `seal` are not asked for, as the log gives them.
 *
 * Returns RESEAT_OK, RESEAT_ERR_ARGUMENT, or RESEAT_ERR_SYNTAX with the key in *error.
 */
RESEAT_API reseat_status reseat_record_check(const reseat_record *record, reseat_error *error);

/*
 * Writes a whole record as a line and seals it. reseat_log_append does this for a log in use.
 *
 *   record  in/out  `seq` and `recorded_at` are set; gets `seal` and a line
 *   above   in      the 64 hexadecimal digits of the nearest sealed line above; NULL if none
 *
 * Returns RESEAT_OK, or the errors of reseat_record_check, RESEAT_ERR_RANGE for a line above
 * RESEAT_RECORD_LINE_MAX, or RESEAT_ERR_MEMORY, with the record as it was before the call.
 *
 * Method    seal = SHA-256(above || bytes before `,"seal":`) in lower-case hexadecimal.
 */
RESEAT_API reseat_status reseat_record_seal(reseat_record *record, const char *above,
                                            reseat_error *error);

#ifdef __cplusplus
}
#endif
#endif
