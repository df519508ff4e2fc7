/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Windows in which results are doubtful, in words. */
#ifndef RESEAT_CLI_WINDOWS_H
#define RESEAT_CLI_WINDOWS_H

#include "words.h"

#define WINDOW_LINE 256

/* "open since 2026-03-02T06:00:00Z (record 12): collision 14", or from when to when. */
void window_when(const reseat_window *w, char line[WINDOW_LINE]);

/* By how much positions may be off. */
void window_error(const reseat_window *w, reseat_unit unit, char line[WINDOW_LINE]);

#endif
