/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MATHS_FIT_H
#define RESEAT_MATHS_FIT_H

#include "maths/triangle.h"
#include "reseat/touches.h"

/*
 * Orthogonal-distance fits, all of one model: point = centre - R(turn) offset + radius w, |w| = 1,
 * with some of the unknowns left out. Method, accuracy and statuses stand in reseat/touches.h.
 */

/* Coordinates wherever they stand, `stride` bytes from one point to the next. */
typedef struct fit_points {
    const double *x_mm;
    const double *y_mm;
    const double *z_mm;     /* NULL: points of the plane */
    const double *turn_deg; /* NULL: none */
    size_t stride;
    size_t count;
} fit_points;

static inline fit_points fit_plane(const reseat_xy *p, size_t count)
{
    return (fit_points){&p->x, &p->y, NULL, NULL, sizeof *p, count};
}

static inline fit_points fit_space(const reseat_xyz *p, size_t count)
{
    return (fit_points){&p->x, &p->y, &p->z, NULL, sizeof *p, count};
}

/* In the plane unless they lie on a sphere. */
static inline fit_points fit_touches(const reseat_touch *p, size_t count, bool sphere)
{
    return (fit_points){&p->x_mm, &p->y_mm, sphere ? &p->z_mm : NULL, &p->turn_deg, sizeof *p,
                        count};
}

/* A circle through 3 or more points of the plane, a sphere through 4 or more of space. */
typedef struct round_fit {
    reseat_xyz centre_mm; /* z is 0 in the plane */
    double radius_mm;
    double residual_mm; /* root mean square of the distances to it */
    size_t steps;       /* that the fit took */
} round_fit;

reseat_status fit_round(fit_points points, round_fit *round);

/* What is sought in points. */
typedef struct fit_setup {
    bool sphere;         /* touches in space, on a sphere; else z_mm is not read */
    bool offset;         /* the offset, too: needs two turns, or the centre */
    bool centre_known;
    reseat_xy centre_mm; /* of the gauge, where known; its height is always sought */
} fit_setup;

/* A cofactor times the variance of one touch is the variance of a result. */
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

#define FIT_UNKNOWNS_MAX 6

typedef struct fit_state {
    double centre[3];
    double offset[2];
    double radius;
} fit_state;

/* A fit in progress, in a frame that brings the points to within about 1: (p - origin) scale. */
typedef struct fit {
    fit_points points;
    fit_setup sought;
    reseat_xyz origin_mm;
    double scale;       /* a power of two */
    fit_state state;    /* in that frame */
    triangle equations; /* at that state */
    size_t steps;
} fit;

/*
 * Offset, centre and radius from touches at several spindle turns, or with the centre known. *f is
 * left with the frame, the state and the equations that the result comes from; on failure what is
 * sought is set.
 *
 * Where fewer than ten touches differ, or all lie on one side of the gauge, the sum of squares can
 * have several minima, of which the nearest to the start is returned: residual_sd_mm tells.
 *
 * Accuracy  1e-9 mm, covariance 1e-6 relative, against vectors of 40 digits.
 */
reseat_status fit_joint(const reseat_touch *touches, size_t count, const fit_setup *setup, fit *f,
                        joint_fit *joint);

/*
 * Frame and starting values of such a fit alone, by linear least squares: with the offset where
 * the touches determine it in that system and it comes nearer than without.
 */
reseat_status fit_begin(const reseat_touch *touches, size_t count, const fit_setup *setup, fit *f);

/* In this order: centre x and y, its z, offset x and y, radius. */
size_t fit_unknowns(const fit_setup *sought);

/* Rows of the block that begins at a point; 0 behind the last. */
size_t fit_rows(const fit *f, size_t first);

/*
 * Linearised equations of `rows` points from `first` on: a column for each unknown, then the
 * residuals (distance to the centre less radius).
 */
void fit_equations(const fit *f, const fit_state *state, size_t first, size_t rows,
                   triangle_column *block);

/* Residuals at a state, in the frame. */
typedef struct fit_residuals {
    double sum;
    double squares;
    double low;
    double high;
    size_t worst;    /* index of the largest ... */
    double at_worst; /* ... and that one, with its sign */
} fit_residuals;

fit_residuals fit_residuals_at(const fit *f, const fit_state *state);

#endif
