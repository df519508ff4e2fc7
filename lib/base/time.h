/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_BASE_TIME_H
#define RESEAT_BASE_TIME_H

/* Seconds since 1970 as days, and how far they go. */

#define SECONDS_A_DAY 86400
#define FIRST_SECOND (-62135596800LL) /* 0001-01-01T00:00:00Z */
#define LAST_SECOND 253402300799LL    /* 9999-12-31T23:59:59Z */

#endif
