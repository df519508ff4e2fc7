/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * The one model behind all fits: point = centre - R(turn) offset + radius w, |w| = 1, with some of
 * the unknowns left out. Private to the library.
 */
#ifndef RESEAT_LIB_JOINT_H
#define RESEAT_LIB_JOINT_H

#include <stdbool.h>
#include <stddef.h>
#include "reseat/fit.h"
#include "triangle.h"

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
                           const triangle *equations, size_t steps, reseat_joint *joint);

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
