/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * How the probe's holder sits in the spindle: what is known of its angle, by how much it may be
 * turned since the run, and what a turn does to every reported position.
 */
#ifndef RESEAT_SEAT_H
#define RESEAT_SEAT_H

#include <stdbool.h>
#include <stddef.h>
#include "reseat/plane.h"
#include "reseat/status.h"

#ifdef __cplusplus
extern "C" {
#endif

/* What is known of the present seat, as typed (handbook section 3). */
typedef enum reseat_seat_kind {
    RESEAT_SEAT_SAME = 0,     /* has not left the spindle since the run */
    RESEAT_SEAT_ANGLE = 1,    /* a recorded seat: seat_deg, and within_deg if read roughly */
    RESEAT_SEAT_KEYS = 2,     /* drive keys let it go in `keys` ways, evenly spaced */
    RESEAT_SEAT_ANY = 3,      /* nothing known */
    RESEAT_SEAT_UNKNOWN = 4   /* nobody wrote it down: what the policy says, else any */
} reseat_seat_kind;

typedef struct reseat_seat {
    reseat_seat_kind kind;
    double seat_deg;   /* ANGLE: [0, 360) as read, any finite angle is taken; else 0 */
    double within_deg; /* ANGLE: half width of the interval, 0 to below 180; else 0 */
    unsigned keys;     /* KEYS: 1 to RESEAT_SEAT_KEYS_MAX; else 0 */
} reseat_seat;

#define RESEAT_SEAT_KEYS_MAX 360u
#define RESEAT_SEAT_SIZE 64 /* room for reseat_seat_format */

/*
 * Reads a seat as people type it: `same`, `30`, `180+-5`, `180±5`, `keys:2`, `any`, `unknown`. The
 * whole text is read. Angles are any finite number of degrees and are brought to [0, 360); an
 * interval of half width 180 or more is `any`.
 *
 * Returns RESEAT_OK, else *seat is as it was before the call:
 *   RESEAT_ERR_ARGUMENT    text or seat is NULL
 *   RESEAT_ERR_SYNTAX      none of those spellings
 *   RESEAT_ERR_NOT_FINITE  an angle too large for a double
 *   RESEAT_ERR_RANGE       keys outside 1 to RESEAT_SEAT_KEYS_MAX, or a negative half width
 */
RESEAT_API reseat_status reseat_seat_parse(const char *text, size_t length, reseat_seat *seat,
                                           reseat_error *error);

/*
 * Writes a seat as it can be typed, `180+-5` in ASCII; text has RESEAT_SEAT_SIZE bytes.
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT (a kind that does not exist, too), _NOT_FINITE, _RANGE
 * with text as it was.
 */
RESEAT_API reseat_status reseat_seat_format(const reseat_seat *seat, char *text);

/* The turns since the run that are possible: a list, or a range without gaps. */
typedef struct reseat_turns {
    bool range;        /* false: first_deg + k * 360 / count, k = 0 ... count - 1 */
    unsigned count;    /* list: how many; range: 0 */
    double first_deg;  /* finite; not reduced */
    double width_deg;  /* range: 0 to 360, from first_deg to first_deg + width_deg; list: 0 */
    double run_deg;    /* seat at the run, [0, 360) ... */
    bool run_known;    /* ... if it was recorded, so that seats can be named; else 0 and false */
    bool out;          /* the probe may have been out since the run: two seatings scatter */
} reseat_turns;

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
RESEAT_API reseat_status reseat_seat_turns(const reseat_seat *seat, double run_deg, bool run_known,
                                           const reseat_seat *fallback, reseat_turns *turns);

/*
 * Turn k of a list, in (-180, 180]; exact where first_deg and 360 k / count are. NaN for a range,
 * or k not below count.
 */
RESEAT_API double reseat_seat_list_turn(const reseat_turns *turns, unsigned k);

/* Whether a turn is one of those possible; within 1e-9 degrees. */
RESEAT_API bool reseat_seat_has_turn(const reseat_turns *turns, double turn_deg);

/*
 * Error of every reported position after the probe went back in at another seat angle.
 *
 *   offset_mm   in   stylus offset at the run (x, y); mm; finite
 *   spindle_mm  in   part of it that stays with the spindle (x, y); mm; {0, 0} if unknown
 *   run_deg     in   seat at the run; degrees; any finite value
 *   now_deg     in   seat now; as above
 *   error_mm    out  reported minus true position (x, y); mm
 *
 * Returns RESEAT_OK, else *error_mm is as it was before the call:
 *   RESEAT_ERR_ARGUMENT    error_mm is NULL
 *   RESEAT_ERR_NOT_FINITE  an input is NaN or infinite, or the result overflows
 *
 * Method    half-angle form, 2 q sin(turn/2); handbook section 3. No cancellation at small turns.
 * Accuracy  4 ulp of 2 (|offset| + |spindle|); exactly 0 at the run's seat and exactly twice the
 *           offset at half a turn when the spindle has no part in it. Held by
 *           tests/unit/seat_test.c.
 * Threads   no shared state.      Memory  allocates nothing.
 */
RESEAT_API reseat_status reseat_seat_error(reseat_xy offset_mm, reseat_xy spindle_mm,
                                           double run_deg, double now_deg, reseat_xy *error_mm);

/*
 * The same from the turn alone, with another offset in use than the run found.
 *
 *   in_use_mm  in   offset that the control subtracts (x, y); mm; finite; the run's if that is used
 *   turn_deg   in   seat now minus seat at the run; degrees; any finite value
 *
 * The rest as reseat_seat_error.
 */
RESEAT_API reseat_status reseat_seat_error_by_turn(reseat_xy offset_mm, reseat_xy in_use_mm,
                                                   reseat_xy spindle_mm, double turn_deg,
                                                   reseat_xy *error_mm);

/* What an unknown seat can do, by geometry alone: every turn equally likely, no scatter. */
typedef struct reseat_any {
    double worst_mm;           /* 2 r, at half a turn */
    double mean_mm;            /* 4 r / pi */
    double rms_mm;             /* sqrt(2) r */
    double p95_mm;             /* 95 % of all turns stay below it */
    double seats_within;       /* share of turns that stay within the limit, 0 to 1 */
    double allowed_turn_deg;   /* turn that uses up the limit, 0 to 180 */
    double allowed_offset_mm;  /* offset that no turn can spoil: half the limit */
} reseat_any;

/*
 * Closed forms for a turning part of length r and a limit.
 *
 *   turning_mm  in   |q|, length of the part of the offset that turns with the probe; mm; >= 0
 *   limit_mm    in   mm; > 0
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _NOT_FINITE, _RANGE with *any as it was.
 * Accuracy  8 ulp. Held by tests/unit/seat_test.c.
 */
RESEAT_API reseat_status reseat_seat_any(double turning_mm, double limit_mm, reseat_any *any);

#ifdef __cplusplus
}
#endif
#endif
