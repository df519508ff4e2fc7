/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The commands: each reads its arguments, calls the library, prints, and sets the exit code. */
#ifndef RESEAT_CLI_COMMANDS_H
#define RESEAT_CLI_COMMANDS_H

#include "options.h"

typedef void command_run(arguments *args);
command_run run_check, run_allowed, run_effects, run_record, run_history, run_audit, run_drift,
    run_gauge, run_overview, run_suspect, run_report, run_reduce, run_study, run_find_seat,
    run_correct;

/* The runs of all logs that name a gauge, as history shows them. */
void history_of_gauge(arguments *args, const char *gauge_id);

/* What who typed no command sees in ten lines; what --help prints, and for a command. */
void help_brief(FILE *out);
void help_all(void);
void help_command(command_id id);

#endif
