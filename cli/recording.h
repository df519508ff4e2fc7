/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* A record in the making, and commands that find something out and can record it as well. */
#ifndef RESEAT_CLI_RECORDING_H
#define RESEAT_CLI_RECORDING_H

#include "fields.h"
#include "show/failure.h"

/* What fails first is kept, in args->error, and what comes after does nothing. */
typedef struct draft {
    arguments *args;
    reseat_record *record;
    reseat_status status;
} draft;

draft draft_begin(arguments *args, reseat_record_type type);
void draft_end(draft *d); /* in any case */

/* Fields: a number that is NaN and a text that is NULL are left out. */
void draft_number(draft *d, reseat_field field, double value);
void draft_integer(draft *d, reseat_field field, int64_t value);
void draft_text(draft *d, reseat_field field, const char *text);
void draft_typed(draft *d, reseat_field field, const char *text); /* as a person types it */
void draft_numbers(draft *d, reseat_field field, const double *values, size_t count);
void draft_words(draft *d, reseat_field field, const char *const *texts, size_t count);
void draft_gauge(draft *d, const gauge_option *row, const option_value *typed);
void draft_pair(draft *d, option_id id, reseat_xy mm);

/*
 * What was typed: the fields that are options by their own names, and who is at work; and with
 * these the pairs, seat, probe and tip.
 */
void draft_fields(draft *d);
void draft_person(draft *d); /* who is at work alone */
void draft_options(draft *d);

/* Where no probe is typed the record is of the only one with runs of args->log; where there is
   none it stays without. */
void draft_choose_probe(draft *d);

/* False when it has been said what failed; an error about a field names its option. */
bool draft_is_sound(draft *d);

/* Says that the gauge of a record was past due. */
void gauge_overdue_say(const reseat_record *record);

/* Appends it to args->log, if it is sound, as the options say. */
bool draft_append(draft *d, reseat_appended *done);

/* A record that stands while its answer cannot be printed is told of last. */
void recorded_check_output(const reseat_appended *done);

/* Refuses fields that were typed. */
bool recording_without_fields(arguments *args, const char *text);

/* A run's seat must be typed. */
bool recording_needs_seat(arguments *args);

/*
 * Has what the register says of the gauge whose id was typed stand in the options as if it had been
 * typed, and args->gauge_standing say how it stands; false where it has been told what disagrees.
 */
bool recording_gauge(arguments *args);

/* Refuses, without --record, the options and fields that say how something is recorded. */
bool finding_check(arguments *args);

/* How a finding is shown. */
typedef struct finding {
    const void *found;
    void (*screen)(const arguments *args, const void *found);
    void (*keys)(json *j, const void *found); /* inside the JSON object; NULL if none */
} finding;

/* Appends the record to args->log, unless it is NULL, then shows the finding and the record. */
bool finding_finish(arguments *args, const finding *f, draft *record);

#endif
