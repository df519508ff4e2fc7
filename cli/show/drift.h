/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What drift shows. */
#ifndef RESEAT_CLI_DRIFT_H
#define RESEAT_CLI_DRIFT_H

#include "../options.h"

void drift_screen(const arguments *args, const reseat_state *state,
                  const reseat_outlook *outlook);
void drift_json(const reseat_state *state, const reseat_outlook *outlook);

/* The latest lengths as a chart of characters, 64 columns wide and less. */
void drift_chart(const reseat_drift *drift, reseat_unit unit);

/* Series of a run whose seat is known. */
#define XY_BITS (1u << RESEAT_SERIES_X | 1u << RESEAT_SERIES_Y)

#endif
