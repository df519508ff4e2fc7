/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What a person wants to know of a record at a glance, and which records were taken back. */
#ifndef RESEAT_CLI_GIST_H
#define RESEAT_CLI_GIST_H

#include <stdio.h>
#include "commands.h"

/* A record in a few words, each begun with a blank, for the place that `escape` is for. */
void gist_print(FILE *out, text_escape *escape, const reseat_record *record, reseat_unit unit);

/* When what a record says happened; where it has no such time, when it was written. */
int64_t gist_time(const reseat_record *record);

/*
 * Whether a record counts as of a time: facts later than that are left out. What has no time of
 * its own, a void or a policy, counts whenever it was written.
 */
bool gist_counts(const reseat_record *record, int64_t as_of);

/* Voids met so far; all zero to begin with. */
typedef struct gist_voids {
    struct gist_void {
        int64_t seq, by;
    } *voids;
    size_t count, space;
} gist_voids;

/* Takes a record of any type; a log is read backwards, to meet a void before what it voids. */
bool gist_note_void(gist_voids *voids, const reseat_record *record); /* false: no memory */
int64_t gist_voided_by(const gist_voids *voids, const reseat_record *record); /* -1: none */
void gist_voids_free(gist_voids *voids);

#endif
