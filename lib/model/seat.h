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

#endif
