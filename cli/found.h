/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* A seat found from a gauge check: typed, shown, written down. */
#ifndef RESEAT_CLI_FOUND_H
#define RESEAT_CLI_FOUND_H

#include "commands.h"

/* EXIT_DONE, or the exit code of what is missing of --shift and --shift-u. */
int found_check_shift(const arguments *args);

/* Finds the seat that --shift fits among those that the question leaves. */
int found_by_shift(const arguments *args, const asking *asked, reseat_found *found);

/* Records what was found, if asked to, and shows it; the exit code of find-seat. */
int found_finish(const arguments *args, const asking *asked, const reseat_found *found);

#endif
