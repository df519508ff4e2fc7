/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MATHS_FIT_H
#define RESEAT_MATHS_FIT_H

#include <stdbool.h>
#include <stddef.h>
#include "maths/triangle.h"
#include "reseat/status.h"
#include "reseat/touches.h"

typedef struct circle_fit {
    reseat_xy centre_mm;
    double radius_mm;
    double residual_mm; /* root mean square of the distances to the circle */
    size_t steps;       /* that the fit took */
} circle_fit;

/* Circle through 3 or more points. */
reseat_status fit_circle(const reseat_xy *points_mm, size_t count,
                                           circle_fit *circle);

typedef struct sphere_fit {
    reseat_xyz centre_mm;
    double radius_mm;
    double residual_mm;
    size_t steps;
} sphere_fit;

/* Sphere through 4 or more points. */
reseat_status fit_sphere(const reseat_xyz *points_mm, size_t count,
                                           sphere_fit *sphere);

/* What is sought in touches. */
typedef struct fit_setup {
    bool sphere;         /* touches in space, on a sphere; else z_mm is not read */
    bool offset;         /* the offset, too: needs two turns, or the centre */
    bool centre_known;
    reseat_xy centre_mm; /* of the gauge, where known; its height is always sought */
} fit_setup;

/*
 * touch = centre - R(turn) offset + radius w, |w| = 1. A cofactor times the variance of one touch
 * is the variance of a result.
 */
typedef struct joint_fit {
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
} joint_fit;

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
reseat_status fit_joint(const reseat_touch *touches, size_t count,
                                          const fit_setup *setup, joint_fit *joint);

/*
 * The one model behind all fits: point = centre - R(turn) offset + radius w, |w| = 1, with some of
 * the unknowns left out. Private to the library.
 */

/* Which unknowns there are, in this order: centre x and y, its z, offset x and y, radius. */
typedef struct joint_shape {
    bool centre; /* x and y */
    bool height; /* z: points in space */
    bool offset;
} joint_shape;

#define JOINT_UNKNOWNS_MAX 6

/* Points, one of three kinds, and the frame in which they are worked on: (p - origin) scale. */
typedef struct joint_points {
    const reseat_xy *plane;
    const reseat_xyz *space;
    const reseat_touch *touches;
    size_t count;
    reseat_xyz origin_mm;
    double scale; /* a power of two */
} joint_points;

/* Values of the unknowns in that frame. */
typedef struct joint_state {
    double centre[3];
    double offset[2];
    double radius;
} joint_state;

size_t joint_unknowns(joint_shape shape);

/* Rows of the block that begins at a point. */
size_t joint_rows(const joint_points *points, size_t first);

/* The centre, in millimetres. */
reseat_xyz joint_centre(const joint_points *points, const joint_state *state);

/*
 * Origin and scale that bring the points to within about 1; a given centre becomes the origin.
 * RESEAT_ERR_NOT_FINITE, or RESEAT_ERR_SINGULAR if all points are the same.
 */
reseat_status joint_frame(joint_points *points, joint_shape shape, const reseat_xy *centre_mm);

/*
 * Linearised equations of `rows` points from `first` on: a column for each unknown, then the
 * residuals (distance to the centre less radius).
 */
void joint_equations(const joint_points *points, joint_shape shape, const joint_state *state,
                     size_t first, size_t rows, triangle_column *block);

/*
 * Starting values by linear least squares: with the offset where the touches determine it in that
 * system and it comes nearer than without. RESEAT_ERR_SINGULAR if there are none.
 */
reseat_status joint_start(const joint_points *points, joint_shape shape, joint_state *state);

/* Improves *state until it settles; *triangle holds the equations there, *steps how many. */
reseat_status joint_refine(const joint_points *points, joint_shape shape, joint_state *state,
                           triangle *equations, size_t *steps);

/* Frame, start and refinement in one. */
reseat_status joint_solve(joint_points *points, joint_shape shape, const reseat_xy *centre_mm,
                          joint_state *state, triangle *equations, size_t *steps);

/* What was found, in millimetres; NOT_FINITE, with *joint as it was, if that overflows. */
reseat_status joint_report(const joint_points *points, joint_shape shape, const joint_state *state,
                           const triangle *equations, size_t steps, joint_fit *joint);

/* A block of points in their frame, with cosine and sine of the turns where an offset is sought. */
typedef struct joint_block {
    double x[TRIANGLE_ROWS];
    double y[TRIANGLE_ROWS];
    double z[TRIANGLE_ROWS];
    double cosine[TRIANGLE_ROWS];
    double sine[TRIANGLE_ROWS];
} joint_block;

/* Reads a block, filled up with zeros to a multiple of four rows; returns how many fours. */
size_t joint_gather(const joint_points *points, joint_shape shape, size_t first, size_t rows,
                    joint_block *block);

#endif
