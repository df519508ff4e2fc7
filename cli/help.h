/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What who typed no command sees in ten lines; what --help prints, and for a command. */
#ifndef RESEAT_CLI_HELP_H
#define RESEAT_CLI_HELP_H

#include "options.h"

void help_brief(FILE *out);
void help_all(void);
void help_command(command_id id);

#endif
