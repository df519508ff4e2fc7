/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* A record in a few words, and what became of one. */
#ifndef RESEAT_CLI_RECORD_SUMMARY_H
#define RESEAT_CLI_RECORD_SUMMARY_H

#include "../options.h"
#include "json.h"
#include "words.h"

/* A record in a few words, each begun with a blank, for the place that `escape` is for. */
void record_summary(FILE *out, text_escape *escape, const reseat_record *record, reseat_unit unit);

/* When what a record says happened; where it has no such time, when it was written. */
int64_t record_time(const reseat_record *record);

/*
 * Whether a record counts as of a time: facts later than that are left out. What has no time of
 * its own, a void or a policy, counts whenever it was written.
 */
bool record_counts(const reseat_record *record, int64_t as_of);

/* Whether it was written a day or more after it happened. */
bool record_is_late(const reseat_record *record);

/* What became of a record that was appended: a line, and members of an object. */
void recorded_print(const char *spindle, reseat_record_type type, const reseat_appended *done);
void recorded_json(json *j, const reseat_appended *done);

#endif
