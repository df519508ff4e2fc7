/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What is gathered, for who reads lines for it. */
#ifndef RESEAT_GATHER_PARTS_H
#define RESEAT_GATHER_PARTS_H

#include "reseat/gather.h"

/* The probe whose runs are wanted; "" for all. */
const char *gather_probe(const reseat_gather *gather);

#endif
