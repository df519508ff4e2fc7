/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MODEL_SEAT_H
#define RESEAT_MODEL_SEAT_H

#include "reseat/seat.h"

/*
 * Turn k of a list, in (-180, 180]; exact where first_deg and 360 k / count are. NaN for a range,
 * or k not below count.
 */
double seat_list_turn(const reseat_turns *turns, unsigned k);

/* Whether a turn is one of those possible; within 1e-9 degrees. */
bool seat_has_turn(const reseat_turns *turns, double turn_deg);

/*
 * As reseat_seat_error, from the turn alone and with in_use_mm, the offset that the control adds,
 * which need not be the run's.
 */
reseat_status seat_error_by_turn(reseat_xy offset_mm, reseat_xy in_use_mm, reseat_xy spindle_mm,
                                 double turn_deg, reseat_xy *error_mm);

/*
 * Closed forms for a turning part |q| >= 0 and a limit > 0. Returns RESEAT_OK, or NOT_FINITE or
 * RANGE with *any as it was.
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

/*
 * Turns that a seat leaves possible.
 *
 *   seat       in   what is known of the present seat
 *   run_deg    in   seat at the run; finite; not read when run_known is false
 *   run_known  in   whether it was recorded: if not, an angle or an interval says nothing and
 *                   becomes `unknown`
 *   fallback   in   what `unknown` stands for, the policy's `seats`; NULL or `unknown` itself: any
 *   turns      out  the possible turns; out is false for `same` alone
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _NOT_FINITE, _RANGE with *turns as it was.
 */
reseat_status seat_turns(const reseat_seat *seat, double run_deg, bool run_known,
                                           const reseat_seat *fallback, reseat_turns *turns);

/* An interval that holds the key seats it is near; `unknown` where that is all the way round. */
reseat_seat seat_widened(const reseat_seat *typed);

#endif
