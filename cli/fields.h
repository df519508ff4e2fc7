/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Which fields of a record are options, of which command, and what they are called. */
#ifndef RESEAT_CLI_FIELDS_H
#define RESEAT_CLI_FIELDS_H

#include "options.h"

/* An option that is a pair, and the two fields of a record that it is. */
typedef struct option_pair {
    option_id option;
    reseat_field x, y;
} option_pair;

#define PAIR_COUNT 6
const option_pair *pair_table(void);
const option_pair *pair_of_option(option_id id);      /* NULL where it is none of them */
const option_pair *pair_of_field(reseat_field field);

/* Options that say what a certificate does, and the fields of a gauge and of its runs. */
typedef struct gauge_option {
    option_id option;
    reseat_field field;
} gauge_option;

#define GAUGE_OPTION_COUNT 8
const gauge_option *gauge_options(void);

/* Whether a person types records of that type. */
bool type_is_typed(reseat_record_type type);

/* Fields that a person types for a record of that type, as options. */
bool field_is_typed(reseat_field field, reseat_record_type type);

/* Whether a command that finds out what it records takes a field beside that as an option. */
bool field_goes_with(reseat_field field, command_id command);

/* Whether a command takes a field as an option; record does if any of its types has it. */
bool field_of_command(reseat_field field, command_id command);

/* Whether `record SPINDLE policy --no-FIELD` is taken. */
bool field_is_dropped(reseat_field field);

/* How a list of options is written: in help, in the manual. */
typedef struct list_writer {
    void (*begin)(const char *type); /* the fields of a type of record; NULL: the fields beside */
    void (*item)(const char *name, const char *value, const char *help);
    void (*end)(void); /* may be NULL */
} list_writer;

/* The fields that a command takes as options, for record a list for each type. */
void list_fields(const list_writer *w, command_id command);

/* The field as an option, without the dashes; and as it is typed, be it a part of a pair. */
option_text field_option(reseat_field field);
option_text field_key(reseat_field field);

/* The same as a command has it: of a gauge record's options are called otherwise. */
option_text field_key_of(reseat_field field, command_id command);

#endif
