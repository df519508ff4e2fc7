/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * How the probe is turned, from one gauge measured before and again (handbook section 8). What is
 * found fits a turn: a bent stylus can move the ball along the same circle.
 */
#ifndef RESEAT_FIND_SEAT_H
#define RESEAT_FIND_SEAT_H

#include <stdbool.h>
#include <stddef.h>
#include "reseat/estimate.h"
#include "reseat/plane.h"
#include "reseat/reduce.h"
#include "reseat/seat.h"
#include "reseat/status.h"

#ifdef __cplusplus
extern "C" {
#endif

#define RESEAT_EXPLAINED_P 0.01    /* a turn that fits worse than this explains nothing */
#define RESEAT_FOUND_CHANCE 0.95   /* of a keyed seat, before it counts as found */

/* How well one seat of several fits. */
typedef struct reseat_found_seat {
    double turn_deg;    /* (-180, 180] */
    double seat_deg;    /* [0, 360); 0 where the run's seat is not known */
    double misfit;      /* distance of what was measured from what this seat would do, in u_m */
    double p;           /* chance of a misfit as large or larger at this seat */
    double probability; /* of this seat, one of them being right */
} reseat_found_seat;

typedef struct reseat_found {
    bool keyed;        /* judged at each of `count` seats; else every turn was possible */
    bool explained;    /* a turn fits: p is at least RESEAT_EXPLAINED_P; free: and the turn, if it
                          can be told, is in the range or outside of it by at most twice its u */
    bool outside;      /* free: a turn fits, but none that was possible */
    bool told;         /* |q| is at least 3 u_m; else the seat cannot be told from this ... */
    bool found;        /* explained, told, and of keyed seats one with RESEAT_FOUND_CHANCE */
    bool seats_named;  /* the run's seat is known, so seat_deg means something */
    double turn_deg;   /* ... and these four are 0; (-180, 180] */
    double turn_u_deg; /* free: standard uncertainty; keyed: 0 */
    double within_deg; /* free: half width of the 95 % interval; keyed: 0 */
    double seat_deg;   /* [0, 360) */
    double misfit;     /* free: by how much the ball left its circle, in u_m, inwards negative;
                          keyed: that of the best seat */
    double p;
    double u_mm;       /* u_m: standard uncertainty per axis of the shift against a turn */
    double turning_mm; /* |q| */
    reseat_xy shift_mm;
    double shift_u_mm; /* per axis */
    reseat_xy error_mm; /* of positions now: the shift, and what the control subtracts amiss */
    reseat_xy offset_now_mm; /* stored offset less the shift, or as measured anew */
    size_t count;      /* of seats, in the order of the keys; 0 if free */
    size_t best;       /* index of the likeliest one ... */
    size_t runner_up;  /* ... and of the next; count where there is none */
    reseat_found_seat seats[RESEAT_SEAT_KEYS_MAX];
} reseat_found;

/*
 * Finds the turn that a shift of the gauge fits.
 *
 *   estimate    in   offset and spindle's part, and their terms; what the control subtracts shows
 *                    in error_mm alone, as long as it was the same for both readings
 *   turns       in   the possible ones: a list, or for a free seat a range, a whole turn or less
 *   shift_mm    in   reading of the gauge now less that at the run
 *   shift_u_mm  in   standard uncertainty of the shift, per axis: both readings and the gauge's
 *                    own movement; > 0
 *   found       out
 *
 * Returns RESEAT_OK, else *found is as it was before the call:
 *   RESEAT_ERR_ARGUMENT    a pointer is NULL
 *   RESEAT_ERR_NOT_FINITE  an input is NaN or infinite, or the result overflows
 *   RESEAT_ERR_RANGE       shift_u_mm not above 0, a term or the width of a range below 0, or no
 *                          turn, or more than RESEAT_SEAT_KEYS_MAX, in a list
 *
 * Method    handbook section 8, u_m^2 = u(shift)^2 + 2 u_seat^2 + 4 sin^2(turn/2) (u_run^2 +
 *           u_spindle^2). Free: the angle from q to q - shift, which uncertainty u_m / |q|; p from
 *           the change of length. Keyed: chi-square of two components at each seat; probability
 *           goes as p / u_m^2. A range limits no fit: what fits outside of it is not explained.
 * Accuracy  the turn within 1e-9 degrees where nothing scatters. Held by
 *           tests/unit/find_seat_test.c; how often the interval covers and how often turns go
 *           unexplained by tests/montecarlo/find_seat.c.
 * Threads   no shared state.      Memory  allocates nothing; the result has some 15 KiB.
 */
RESEAT_API reseat_status reseat_find_seat(const reseat_estimate *estimate,
                                          const reseat_turns *turns, reseat_xy shift_mm,
                                          double shift_u_mm, reseat_found *found);

/*
 * The same from the offset itself, measured then and again now with the spindle turned each time:
 * where the gauge stands, and whether it has moved, no longer matters.
 *
 *   then_mm, then_mm2  in   offset at the run's seat and its covariance
 *   now_mm, now_mm2    in   offset now and its covariance
 *
 * The rest as reseat_find_seat; RESEAT_ERR_RANGE also where a matrix is no covariance or both are
 * zero. Of the covariances the largest eigenvalue counts, either way.
 */
RESEAT_API reseat_status reseat_find_seat_by_offset(const reseat_estimate *estimate,
                                                    const reseat_turns *turns, reseat_xy then_mm,
                                                    reseat_cov then_mm2, reseat_xy now_mm,
                                                    reseat_cov now_mm2, reseat_found *found);

/*
 * The same from touches of one gauge, reduced then and now: by the offsets where the spindle was
 * turned both times, else by the centres of touches with the spindle at its stop.
 *
 *   then, now   in   as reseat_reduce leaves them
 *   shift_u_mm  in   of the centres; > 0; 0 where offsets were found, which bring their own
 *
 * The rest as reseat_find_seat; RESEAT_ERR_SINGULAR where one has an offset and the other has not,
 * or the spindle was not at its stop.
 */
RESEAT_API reseat_status reseat_find_seat_by_touches(const reseat_estimate *estimate,
                                                     const reseat_turns *turns,
                                                     const reseat_reduction *then,
                                                     const reseat_reduction *now,
                                                     double shift_u_mm, reseat_found *found);

#ifdef __cplusplus
}
#endif
#endif
