/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What drift and overview have in common. */
#ifndef RESEAT_CLI_DRIFT_H
#define RESEAT_CLI_DRIFT_H

#include "commands.h"

/* Drift and due date of a state. EXIT_DONE, or the exit code of what has been said. */
int drift_find(const arguments *args, const reseat_state_request *request,
               const reseat_state *state, reseat_outlook *outlook);

/* What drift shows. */
void drift_screen(const arguments *args, const reseat_state *standing,
                  const reseat_outlook *outlook);
void drift_json(const reseat_state *standing, const reseat_outlook *outlook);

/* The latest lengths as a chart of characters, 64 columns wide and less. */
void drift_chart(const reseat_drift *drift, reseat_unit unit);

/* Series of a run whose seat is known. */
#define XY_BITS (1u << RESEAT_SERIES_X | 1u << RESEAT_SERIES_Y)

/* "2026-03-02". */
const char *drift_date(char *out, int64_t at);

#endif
