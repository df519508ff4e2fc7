/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The command line: the tables of commands and options, and what was read by them. */
#ifndef RESEAT_CLI_OPTIONS_H
#define RESEAT_CLI_OPTIONS_H

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include "reseat/reseat.h"

typedef enum command_id {
    CMD_CHECK,
    CMD_ALLOWED,
    CMD_EFFECTS,
    CMD_RECORD,
    CMD_HISTORY,
    CMD_AUDIT,
    CMD_GAUGE,
    CMD_DRIFT,
    CMD_OVERVIEW,
    CMD_SUSPECT,
    CMD_REPORT,
    CMD_REDUCE,
    CMD_STUDY,
    CMD_FIND_SEAT,
    CMD_CORRECT,
    COMMAND_COUNT
} command_id;

typedef enum option_id {
    OPT_OFFSET,
    OPT_SEAT,
    OPT_SEAT_WRITTEN,
    OPT_FEATURE,
    OPT_LIMIT,
    OPT_TOLERANCE,
    OPT_SHARE,
    OPT_CONFIDENCE,
    OPT_BUDGET,
    OPT_WAS_OUT,
    OPT_IN_USE,
    OPT_FOUND,
    OPT_SHIFT,
    OPT_SHIFT_U,
    OPT_READING,
    OPT_AT_0,
    OPT_AT_180,
    OPT_READING_U,
    OPT_THEN,
    OPT_NOW,
    OPT_DATUM,
    OPT_RUN_SEAT,
    OPT_SPINDLE_PART,
    OPT_RADII,
    OPT_U_RUN,
    OPT_U_SEAT,
    OPT_U_TURN,
    OPT_U_SPINDLE,
    OPT_U_TOUCH,
    OPT_LOBING,
    OPT_NEW,
    OPT_LATE,
    OPT_DRY_RUN,
    OPT_RECORD,
    OPT_RECORD_FOUND,
    OPT_RECORD_IN,
    OPT_GAUGE,
    OPT_DIAMETER,
    OPT_DIAMETER_U,
    OPT_TEMPERATURE,
    OPT_TEMPERATURE_U,
    OPT_EXPANSION,
    OPT_EXPANSION_U,
    OPT_CERTIFICATE,
    OPT_CALIBRATED,
    OPT_DUE,
    OPT_RUNS,
    OPT_CENTRE,
    OPT_CENTRE_U,
    OPT_DROP_OUTLIERS,
    OPT_DESPITE_DOUBTS,
    OPT_DESPITE_DAMAGE,
    OPT_SINCE,
    OPT_UNTIL,
    OPT_TYPE,
    OPT_FORMAT,
    OPT_EXPECT,
    OPT_OUTPUT,
    OPT_FORCE,
    OPT_LOG,
    OPT_PROBE,
    OPT_TIP,
    OPT_AS_OF,
    OPT_AS_KNOWN,
    OPT_UNIT,
    OPT_JSON,
    OPT_HELP,
    OPT_VERSION,
    OPTION_COUNT
} option_id;

typedef enum option_kind {
    KIND_FLAG,
    KIND_TEXT,
    KIND_SPINDLE,       /* a text; left out, what RESEAT_SPINDLE says */
    KIND_LENGTH,        /* number */
    KIND_POSITIVE,      /* a length above 0: number */
    KIND_UNCERTAINTY,   /* a length of 0 or more: number */
    KIND_PAIR,          /* pair */
    KIND_NUMBER,        /* number */
    KIND_NUMBER_U,      /* 0 or more: number */
    KIND_DEGREES,       /* number */
    KIND_DEGREES_U,     /* degrees, 0 or more: number */
    KIND_SHARE,         /* above 0, at most 1: number */
    KIND_CONFIDENCE,    /* above 0, below 1: number */
    KIND_SEAT,          /* seat */
    KIND_FEATURE,       /* may be given again: features */
    KIND_TIME,          /* a time, or a date, which is the end of its day: time */
    KIND_SINCE,         /* the same, but the start of the day: time */
    KIND_NOON,          /* the same, but the noon of the day: time */
    KIND_UNIT,          /* unit */
    KIND_GAUGE,         /* gauge */
    KIND_DATUM,         /* datum */
    KIND_MARK           /* mark */
} option_kind;

typedef struct option {
    const char *name;     /* without the dashes; two commands may mean different things by one. A
                             letter alone has one dash, `-o FILE`, a word two, `--log DIR` */
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
    int64_t time;
    reseat_unit unit;
    reseat_gauge_kind gauge;
    reseat_datum datum;
    reseat_log_mark mark;
} option_value;

#define WORDS_MAX 4
#define FEATURES_MAX 64

typedef struct arguments {
    command_id command;           /* COMMAND_COUNT if none was typed */
    const char *words[WORDS_MAX]; /* what follows the command and is no option */
    int word_count;
    option_value options[OPTION_COUNT];
    const char *feature_texts[FEATURES_MAX]; /* as typed */
    reseat_feature features[FEATURES_MAX];
    int feature_count;
    option_value fields[RESEAT_FIELD_COUNT];  /* fields of a record, as typed */
    option_value dropped[RESEAT_FIELD_COUNT]; /* record policy: --no-FIELD */
    bool gauge_asked; /* what was typed of the gauge has been held against the register, ... */
    reseat_gauge_standing gauge_standing; /* ... where it stands so */
    bool json;
    bool bad_value; /* it stopped at a value, not at how the line is put together */
    reseat_unit unit;
    int exit; /* the exit code; 0 until a failure or a verdict says otherwise */
    reseat_state_request log; /* which log is meant, once log_target_set has said it */
    reseat_error error;       /* of what failed last */
} arguments;

typedef struct command_row {
    const char *name;
    const char *group;    /* heading in the short help */
    const char *synopsis; /* after `reseat NAME` */
    const char *summary;  /* one line of the list of commands */
    const char *details;  /* what a person must know to use it; lines that begin with two blanks
                             are a table */
    const char *example;
} command_row;

/* The table of commands, COMMAND_COUNT rows, in the order in which help shows them. */
const command_row *command_table(void);

/* The table, OPTION_COUNT rows, in the order in which help shows them. */
const option *option_table(void);

/* An option as it is typed, `-o`, `--log`. It lives to the end of the full expression. */
typedef struct option_text {
    char text[64];
} option_text;
option_text option_key(const char *name);

/* The texts that an option may be, separated by blanks; NULL where there is no saying. */
const char *option_choices(option_id id);

/* Whether a command takes an option at all. */
bool command_takes(command_id command, option_id id);

/* A command's name, as typed; and the one of that name, or COMMAND_COUNT. */
const char *command_name(command_id id);
command_id command_find(const char *name);

/*
 * Splits the command line into command, words and options and reads the options' values; false,
 * with *error filled (key: the option as typed), when it cannot.
 */
bool options_read(int argc, char **argv, arguments *args, reseat_error *error);

#endif
