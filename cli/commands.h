/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The commands, and what several of them share. */
#ifndef RESEAT_CLI_COMMANDS_H
#define RESEAT_CLI_COMMANDS_H

#include "json.h"
#include "options.h"
#include "text.h"

/* Each reads its arguments, calls the library, prints, and returns the exit code. */
int cmd_check(const arguments *args);
int cmd_allowed(const arguments *args);

/*
 * The bytes of a whole file, `-` for standard input, to be freed; NULL when it cannot be read,
 * with the exit code of what has been said in *exit.
 */
char *file_read(const arguments *args, const char *name, size_t *length, int *exit);

/* A question put together from what is typed. It points into itself: not to be copied. */
typedef struct asking {
    reseat_question question;
    reseat_radius_curve curve;
    double dirs_deg[RESEAT_RADIUS_COUNT_MAX];
    const char *seat_from; /* "typed" or "default" */
    char seat[RESEAT_SEAT_SIZE];
} asking;

/* Fills *out from the options; EXIT_DONE, or the exit code of what it has refused. */
int typed_question(const arguments *args, asking *out);

/* Keys that check and allowed have in common. */
void answer_limits_json(json *j, const reseat_answer *answer);
void answer_budget_json(json *j, const reseat_answer *answer);
void answer_budget(const reseat_answer *answer, reseat_unit unit);

#endif
