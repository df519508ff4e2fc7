/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MODEL_SEAT_H
#define RESEAT_MODEL_SEAT_H

#include "reseat/seat.h"

/*
 * OK, or what is wrong with a seat: RESEAT_ERR_ARGUMENT for a kind that does not exist, _NOT_FINITE
 * or _RANGE for a value. Any finite seat_deg passes, as turns between angles reduce them anyway.
 */
reseat_status seat_check(const reseat_seat *seat);

/*
 * Turn k of a list, in (-180, 180]; exact where first_deg and 360 k / count are. NaN for a range,
 * or k not below count.
 */
double seat_list_turn(const reseat_turns *turns, unsigned k);

/* Whether a turn is one of those possible; within 1e-9 degrees. */
bool seat_has_turn(const reseat_turns *turns, double turn_deg);

/*
 * The same from the turn alone, with another offset in use than the run found.
 *
 *   in_use_mm  in   offset that the control adds (x, y); mm; finite; the run's if that is used
 *   turn_deg   in   seat now minus seat at the run; degrees; any finite value
 *
 * The rest as reseat_seat_error.
 */
reseat_status seat_error_by_turn(reseat_xy offset_mm, reseat_xy in_use_mm,
                                                   reseat_xy spindle_mm, double turn_deg,
                                                   reseat_xy *error_mm);

/*
 * Closed forms for a turning part of length r and a limit.
 *
 *   turning_mm  in   |q|, length of the part of the offset that turns with the probe; mm; >= 0
 *   limit_mm    in   mm; > 0
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _NOT_FINITE, _RANGE with *any as it was.
 * Accuracy  8 ulp. Held by tests/unit/seat_test.c.
 */
reseat_status seat_any(double turning_mm, double limit_mm, reseat_any *any);

#define SEAT_KEY_NEAR_DEG 5.0 /* a seat typed as near to one that the keys allow is that one */

/*
 * The seat that is meant where drive keys allow `keys` of them, evenly spaced from the run's: an
 * angle counts as the key seat it lies near, and so does an interval near one alone; an interval
 * near all of them as `keys:N`, near some of them widened, so that it holds them; and anything else
 * as typed. RESEAT_ERR_REFUSED, naming the seats that there are, where none is near.
 */
reseat_status seat_by_keys(const reseat_seat *typed, unsigned keys, double run_deg,
                           reseat_seat *meant, reseat_error *error);

/* An interval that holds the key seats it is near; `unknown` where that is all the way round. */
reseat_seat seat_widened(const reseat_seat *typed);

#endif
