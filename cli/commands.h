/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The commands: each reads its arguments, calls the library, prints, and sets the exit code. */
#ifndef RESEAT_CLI_COMMANDS_H
#define RESEAT_CLI_COMMANDS_H

#include "options.h"

void run_check(arguments *args);
void run_allowed(arguments *args);
void run_effects(arguments *args);
void run_record(arguments *args);
void run_history(arguments *args);
void run_audit(arguments *args);
void run_drift(arguments *args);
void run_overview(arguments *args);
void run_suspect(arguments *args);
void run_report(arguments *args);
void run_reduce(arguments *args);
void run_study(arguments *args);
void run_find_seat(arguments *args);
void run_correct(arguments *args);

/* What who typed no command sees in ten lines; what --help prints, and for a command. */
void help_brief(FILE *out);
void help_all(void);
void help_command(command_id id);

#endif
