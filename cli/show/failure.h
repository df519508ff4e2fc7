/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Says why nothing was done: one line on standard error, or an error object on standard output with
 * --json. All but the last two keep the exit code in the arguments and return false, so that what
 * can fail is a chain of &&.
 */
#ifndef RESEAT_CLI_FAILURE_H
#define RESEAT_CLI_FAILURE_H

#include "../options.h"
#include "json.h"

/* Exit codes; what each means stands in reseat --help. */
enum {
    EXIT_DONE = 0,
    EXIT_RECALIBRATE = 1,
    EXIT_INPUT = 2,
    EXIT_DAMAGED = 3,
    EXIT_IO = 4,
    EXIT_BUSY = 5,
    EXIT_NOTHING = 6
};

/* Wrong use, exit 2; key may be "". */
bool refuse(arguments *args, const char *key, const char *text);

/* The same with another exit code. */
bool fail_text(arguments *args, int exit, const char *key, const char *text);

/* An error that was found in what was typed; usage tells wrong use from bad input. */
bool fail_typed(arguments *args, bool usage, const reseat_error *error);

/*
 * Whether the library did what it was asked; where not, why is told. A call without an error has
 * a key of ours; of the others NULL, and what they left in args->error, its text maybe empty.
 */
bool succeeded(arguments *args, reseat_status status, const char *key);
bool succeeded_in_file(arguments *args, reseat_status status, const char *file);

/* The member `error` of a JSON object. */
void failure_json(json *j, int exit, bool usage, const char *text);

/* Exit code of a status other than RESEAT_OK. */
int failure_exit(reseat_status status);

#endif
