/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Orthogonal-distance fits of circles, spheres and of touches taken at several spindle turns: the
 * sum of the squared distances from the points to the curve is least (handbook section 7).
 *
 * Method    algebraic start; Gauss-Newton with Householder QR of the Jacobian, damped after
 *           Levenberg and Marquardt where a step would not descend; points moved to the middle of
 *           their range and scaled by a power of two. Ends when a step is below 1e-14 of the
 *           radius, or the next one would be by the trend of the last two and by what the residuals
 *           allow, or when steps below 1e-8 of it no longer shrink. One to three steps for touches,
 *           never more than 1000.
 * Accuracy  circle, sphere: centre and radius within 1e-12 of the radius for exact data on arcs of
 *           45 degrees or more; 1e-9 mm at 100 mm from the origin. Held by tests/unit/fit_test.c.
 * Threads   no shared state.      Memory  allocates nothing, whatever the number of points.
 *
 * Every fit returns RESEAT_OK, else its output is as it was before the call:
 *   RESEAT_ERR_ARGUMENT        a pointer is NULL
 *   RESEAT_ERR_NOT_FINITE      an input is NaN or infinite, or the result overflows
 *   RESEAT_ERR_TOO_FEW         fewer points than unknowns
 *   RESEAT_ERR_SINGULAR        the points do not determine the unknowns: all alike, on a line or in
 *                              a plane, or, for an offset, all at one turn and no centre given
 *   RESEAT_ERR_NO_CONVERGENCE  nearly so
 */
#ifndef RESEAT_FIT_H
#define RESEAT_FIT_H

#include <stdbool.h>
#include <stddef.h>
#include "reseat/plane.h"
#include "reseat/status.h"

#ifdef __cplusplus
extern "C" {
#endif

/* A point or vector of space. */
typedef struct reseat_xyz {
    double x;
    double y;
    double z;
} reseat_xyz;

typedef struct reseat_circle {
    reseat_xy centre_mm;
    double radius_mm;
    double residual_mm; /* root mean square of the distances to the circle */
    size_t steps;       /* that the fit took */
} reseat_circle;

/* Circle through 3 or more points. */
RESEAT_API reseat_status reseat_fit_circle(const reseat_xy *points_mm, size_t count,
                                           reseat_circle *circle);

typedef struct reseat_sphere {
    reseat_xyz centre_mm;
    double radius_mm;
    double residual_mm;
    size_t steps;
} reseat_sphere;

/* Sphere through 4 or more points. */
RESEAT_API reseat_status reseat_fit_sphere(const reseat_xyz *points_mm, size_t count,
                                           reseat_sphere *sphere);

/* One trigger of the probe. The fits read the position and the turn alone. */
typedef struct reseat_touch {
    double x_mm; /* spindle position at which it fired */
    double y_mm;
    double z_mm;
    double turn_deg; /* spindle turned by */
    double dir_deg;  /* approach direction, from +X; where has_dir */
    bool has_dir;
    long set;        /* repeat number */
    size_t line;     /* in the file it was read from, from 1; 0 if none */
    size_t column;   /* of its x there */
} reseat_touch;

/* What is sought in touches. */
typedef struct reseat_fit_setup {
    bool sphere;         /* touches in space, on a sphere; else z_mm is not read */
    bool offset;         /* the offset, too: needs two turns, or the centre */
    bool centre_known;
    reseat_xy centre_mm; /* of the gauge, where known; its height is always sought */
} reseat_fit_setup;

/*
 * touch = centre - R(turn) offset + radius w, |w| = 1. A cofactor times the variance of one touch
 * is the variance of a result.
 */
typedef struct reseat_joint {
    reseat_xyz centre_mm; /* as given where it was; z is 0 in the plane */
    reseat_xy offset_mm;  /* {0, 0} where not sought */
    double radius_mm;     /* at which the ball's centre goes round */
    size_t unknowns;      /* circle 3, sphere 4; 2 more for the offset, 2 fewer for a centre */
    size_t dof;           /* touches less unknowns */
    double residual_sd_mm; /* sqrt(sum of squares / dof); 0 where dof is 0 */
    double form_mm;        /* largest less smallest residual */
    size_t worst;          /* index of the touch with the largest residual */
    double worst_mm;       /* which that is, with its sign: outside the fitted circle is positive */
    reseat_cov offset_cofactor;
    double radius_cofactor;
    size_t steps;
} reseat_joint;

/*
 * Offset, centre and radius from touches at several spindle turns, or with the centre known.
 *
 *   touches  in   count of them; positions mm, turns degrees
 *   setup    in
 *   joint    out
 *
 * Where fewer than ten touches differ, or all lie on one side of the gauge, the sum of squares can
 * have several minima, of which the nearest to the start is returned: residual_sd_mm tells.
 *
 * Accuracy  1e-9 mm, covariance 1e-6 relative, against vectors of 40 digits.
 */
RESEAT_API reseat_status reseat_fit_joint(const reseat_touch *touches, size_t count,
                                          const reseat_fit_setup *setup, reseat_joint *joint);

#ifdef __cplusplus
}
#endif
#endif
