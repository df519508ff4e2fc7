/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Plane geometry in degrees. Right-handed machine frame, Z along the spindle axis; angles are
 * counterclockwise positive seen from +Z looking at the table, measured from +X.
 */
#ifndef RESEAT_PLANE_H
#define RESEAT_PLANE_H

#include "reseat/status.h"

#ifdef __cplusplus
extern "C" {
#endif

/* A vector of the XY plane. */
typedef struct reseat_xy {
    double x;
    double y;
} reseat_xy;

/* A symmetric 2 by 2 matrix, such as a covariance. */
typedef struct reseat_cov {
    double xx;
    double xy;
    double yy;
} reseat_cov;

/*
 * The functions below take any finite value and check nothing: a NaN in gives NaN out.
 * They share no state and allocate nothing.
 */

/* The same angle in (-180, 180]; exact. */
RESEAT_API double reseat_plane_turn(double deg);

/* The same angle in [0, 360); exact but for negative angles, which round once. */
RESEAT_API double reseat_plane_seat(double deg);

/*
 * Turn from one seat to another, in (-180, 180]: both are reduced first, so whole degrees stay
 * exact and a whole turn added to a whole-degree seat changes no bit.
 */
RESEAT_API double reseat_plane_turn_between(double from_deg, double to_deg);

/*
 * Sine and cosine of an angle in degrees, reduced in degrees: exact at every multiple of 90 and,
 * for the halves they contain, at multiples of 30; elsewhere within 2 ulp for any finite angle.
 */
RESEAT_API void reseat_plane_sincos(double deg, double *sine, double *cosine);

/* The unit vector at an angle. */
RESEAT_API reseat_xy reseat_plane_unit(double deg);

/* v turned counterclockwise by an angle. */
RESEAT_API reseat_xy reseat_plane_rotate(reseat_xy v, double deg);

/* Direction of v in (-180, 180]; 0 for the zero vector; exact on the axes. */
RESEAT_API double reseat_plane_bearing(reseat_xy v);

/* Length of v, without overflow or underflow on the way. */
RESEAT_API double reseat_plane_length(reseat_xy v);

#ifdef __cplusplus
}
#endif
#endif
