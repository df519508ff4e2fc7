/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Commands that find something out, and with --record SPINDLE write it down as well. */
#ifndef RESEAT_CLI_RECORDED_H
#define RESEAT_CLI_RECORDED_H

#include "commands.h"

/* A finding: how it is shown, and with --record the record that it becomes. */
typedef struct finding {
    const void *found;
    void (*screen)(const arguments *args, const void *found);
    void (*keys)(json *j, const void *found); /* inside the JSON object */
    reseat_record *record;                    /* NULL without --record; to be freed */
} finding;

/*
 * EXIT_DONE, or the exit code of what has been refused: options and fields that say how something
 * is recorded, without --record.
 */
int recorded_check(const arguments *args);

/* The same for fields alone: whether none was typed. */
int recorded_refuse_fields(const arguments *args, const char *text);

/* Appends the record, if there is one, then shows the finding; the exit code. */
int recorded_finish(const arguments *args, const finding *f);

#endif
