/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * How the probe's holder sits in the spindle: plane geometry in degrees, what is known of the seat
 * angle, by how much the probe may be turned since the run, and what a turn does to positions.
 */
#ifndef RESEAT_SEAT_H
#define RESEAT_SEAT_H

#include <stdbool.h>
#include <stddef.h>
#include "reseat/values.h"

#ifdef __cplusplus
extern "C" {
#endif

/*
 * Plane geometry in degrees. Right-handed machine frame, Z along the spindle axis; angles are
 * counterclockwise positive seen from +Z looking at the table, measured from +X.
 */

/*
 * The functions below take any finite value and check nothing: a NaN in gives NaN out.
 * They share no state and allocate nothing.
 */

/* The same angle in (-180, 180]; exact. */
RESEAT_API double reseat_plane_turn(double deg);

/* The unit vector at an angle. */
RESEAT_API reseat_xy reseat_plane_unit(double deg);

/* Direction of v in (-180, 180]; 0 for the zero vector; exact on the axes. */
RESEAT_API double reseat_plane_bearing(reseat_xy v);

/* Length of v, without overflow or underflow on the way. */
RESEAT_API double reseat_plane_length(reseat_xy v);

/*
 * How the probe's holder sits in the spindle: what is known of its angle, by how much it may be
 * turned since the run, and what a turn does to every reported position.
 */

/* What is known of the present seat, as typed. */
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
 * Method    half-angle form, 2 q sin(turn/2). No cancellation at small turns.
 * Accuracy  4 ulp of 2 (|offset| + |spindle|); exactly 0 at the run's seat and exactly twice the
 *           offset at half a turn when the spindle has no part in it. Held by
 *           tests/unit/seat_test.c.
 * Threads   no shared state.      Memory  allocates nothing.
 */
RESEAT_API reseat_status reseat_seat_error(reseat_xy offset_mm, reseat_xy spindle_mm,
                                           double run_deg, double now_deg, reseat_xy *error_mm);

/* What an unknown seat can do, by geometry alone: every turn equally likely, no scatter. */
typedef struct reseat_any {
    double worst_mm;           /* 2 r, at half a turn */
    double mean_mm;            /* 4 r / pi */
    double rms_mm;             /* sqrt(2) r */
    double p95_mm;             /* 95 % of all turns stay below it */
    double seats_within;       /* share of turns that stay within the limit, 0 to 1 */
    double allowed_turn_deg;   /* turn that uses up the limit, 0 to 180 */
    double allowed_offset_mm;  /* offset that half a turn cannot spoil: half the limit */
} reseat_any;

#ifdef __cplusplus
}
#endif
#endif
