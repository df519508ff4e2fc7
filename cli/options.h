/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The command line: one table of options, and what was read by it. */
#ifndef RESEAT_CLI_OPTIONS_H
#define RESEAT_CLI_OPTIONS_H

#include <stdbool.h>
#include <stdint.h>
#include "reseat/reseat.h"

typedef enum command_id {
    CMD_CHECK,
    CMD_ALLOWED,
    COMMAND_COUNT
} command_id;

typedef enum option_id {
    OPT_OFFSET,
    OPT_SEAT,
    OPT_LIMIT,
    OPT_TOLERANCE,
    OPT_SHARE,
    OPT_CONFIDENCE,
    OPT_BUDGET,
    OPT_IN_USE,
    OPT_RUN_SEAT,
    OPT_SPINDLE_PART,
    OPT_RADII,
    OPT_U_RUN,
    OPT_U_SEAT,
    OPT_U_TURN,
    OPT_U_SPINDLE,
    OPT_U_TOUCH,
    OPT_LOBING,
    OPT_UNIT,
    OPT_JSON,
    OPT_HELP,
    OPT_VERSION,
    OPTION_COUNT
} option_id;

typedef enum option_kind {
    KIND_FLAG,
    KIND_TEXT,
    KIND_LENGTH,        /* number */
    KIND_POSITIVE,      /* a length above 0: number */
    KIND_UNCERTAINTY,   /* a length of 0 or more: number */
    KIND_PAIR,          /* pair */
    KIND_DEGREES,       /* number */
    KIND_DEGREES_U,     /* degrees, 0 or more: number */
    KIND_SHARE,         /* above 0, at most 1: number */
    KIND_CONFIDENCE,    /* above 0, below 1: number */
    KIND_SEAT,          /* seat */
    KIND_UNIT           /* unit */
} option_kind;

typedef struct option {
    const char *name;     /* without the dashes */
    option_kind kind;
    const char *value;    /* what its value is called in help; "" for a flag */
    unsigned commands;    /* bits 1u << command_id */
    const char *help;     /* one line */
} option;

typedef struct option_value {
    bool given;
    const char *text;
    double number;
    reseat_xy pair;
    reseat_seat seat;
    reseat_unit unit;
} option_value;

#define WORDS_MAX 4

typedef struct arguments {
    const char *words[WORDS_MAX]; /* what is no option: COMMAND [SPINDLE] ... */
    int word_count;
    option_value options[OPTION_COUNT];
    bool json;
    bool bad_value; /* options_read stopped at a value, not at how the line is put together */
    reseat_unit unit;
} arguments;

/* The table, OPTION_COUNT rows, in the order in which help shows them. */
const option *option_table(void);

/*
 * Splits the command line into words and options and reads the options' values; false, with
 * *error filled (key: the option as typed), when it cannot. Which options a command takes is
 * checked by options_fit.
 */
bool options_read(int argc, char **argv, arguments *args, reseat_error *error);

/* Whether every option given goes with the command; else false with *error filled. */
bool options_fit(const arguments *args, command_id command, const char *name,
                 reseat_error *error);

#endif
