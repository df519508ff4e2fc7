/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The parts of manual and completion that are made from the tables; each prints its own. */
#ifndef RESEAT_CLI_WRITE_MANUAL_H
#define RESEAT_CLI_WRITE_MANUAL_H

#include "fields.h"

void manual_summaries(void); /* the commands, a line each */
void manual_common(void);    /* the options of every command */
void manual_commands(void);  /* a section a command, with its own options and fields */
void manual_cautions(void);

void completion_tables(void); /* shell functions that know what each command takes */

/* Whether every command takes it. */
bool option_is_common(const option *row);

#endif
