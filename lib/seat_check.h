/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_SEAT_CHECK_H
#define RESEAT_SEAT_CHECK_H

#include "reseat/seat.h"

/*
 * OK, or what is wrong with a seat: RESEAT_ERR_ARGUMENT for a kind that does not exist, _NOT_FINITE
 * or _RANGE for a value. Any finite seat_deg passes, as turns between angles reduce them anyway.
 */
reseat_status reseat_seat_check(const reseat_seat *seat);

#endif
