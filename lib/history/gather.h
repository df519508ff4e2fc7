/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_HISTORY_GATHER_H
#define RESEAT_HISTORY_GATHER_H

#include "reseat/history.h"

/* What is gathered, for who reads lines for it. */

/* The probe whose runs are wanted; "" for all. */
const char *gather_probe(const reseat_gather *gather);

#endif
