/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * From raw touches of a gauge to stylus offset, effective radius and their uncertainty, and from
 * repeated reseats to the scatter of a seating.
 */
#ifndef RESEAT_TOUCHES_H
#define RESEAT_TOUCHES_H

#include <stdbool.h>
#include <stddef.h>
#include "reseat/probe.h"

#ifdef __cplusplus
extern "C" {
#endif

/*
 * Orthogonal-distance fits of circles, spheres and of touches taken at several spindle turns: the
 * sum of the squared distances from the points to the curve is least.
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

/* A point or vector of space. */
typedef struct reseat_xyz {
    double x;
    double y;
    double z;
} reseat_xyz;

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

/* Reading the touches of a calibration from CSV. */

#define RESEAT_TOUCHES_MAX 2048 /* in one file and in one reduction */

/* What a file of touches has. */
typedef struct reseat_touches {
    size_t count;
    reseat_unit unit; /* of its lengths; the touches themselves are in mm */
    bool has_turn;
    bool has_dir;
    bool has_z;
    bool has_set;
} reseat_touches;

/*
 * Reads touches: a header line with the columns in any order, then a row for each touch.
 *
 *   turn_deg             spindle turned by; 0 where there is no such column
 *   dir_deg              direction of machine motion; found from the geometry if not given
 *   x_mm, y_mm, z_mm     spindle position; z only for a sphere; or all with _in, or all with _um
 *   set                  repeat number, a whole one
 *
 *   text, length  in   the file's bytes, CSV after RFC 4180; empty rows are passed over
 *   list          out  `room` touches; no file has more than RESEAT_TOUCHES_MAX
 *   touches       out  how many there are, and which columns
 *   error         out  line, column and name of the column that is wrong; may be NULL
 *
 * Returns RESEAT_OK, else the list and *touches are as they were:
 *   RESEAT_ERR_ARGUMENT    text, list or touches is NULL
 *   RESEAT_ERR_SYNTAX      a column unknown, missing, twice or in another unit; a field that is no
 *                          number or too many of them in a row; quotes out of place
 *   RESEAT_ERR_NOT_FINITE  a number is too large
 *   RESEAT_ERR_RANGE       a repeat number that is not whole, or beyond a million; more touches
 *                          than RESEAT_TOUCHES_MAX
 *   RESEAT_ERR_TOO_FEW     no row below the header
 *   RESEAT_ERR_SPACE       more touches than `room`
 *
 * Threads   no shared state.      Memory  allocates nothing.
 */
RESEAT_API reseat_status reseat_touches_read(const char *text, size_t length, reseat_touch *list,
                                             size_t room, reseat_touches *touches,
                                             reseat_error *error);

/*
 * From the touches of a gauge to the stylus offset, the effective radius and how well both are
 * known.
 */

typedef enum reseat_gauge_kind {
    RESEAT_GAUGE_RING = 0,   /* touched from inside */
    RESEAT_GAUGE_PLUG = 1,   /* touched from outside, at one height */
    RESEAT_GAUGE_SPHERE = 2, /* touched from outside, at any height */
    RESEAT_GAUGE_BORE = 3,   /* any bore: as a ring, its diameter need not be known */
    RESEAT_GAUGE_BOSS = 4    /* any boss: as a plug, likewise */
} reseat_gauge_kind;

/* Reads `ring`, `plug`, `sphere`, `bore` or `boss`: the whole text. */
RESEAT_API reseat_status reseat_gauge_kind_parse(const char *text, size_t length,
                                                 reseat_gauge_kind *kind, reseat_error *error);

/* "ring", "plug", "sphere", "bore", "boss"; "" for a value that is no kind. */
RESEAT_API const char *reseat_gauge_kind_name(reseat_gauge_kind kind);

/* What stands in because nobody gave it; the bits 1u << reseat_assumption are collected. */
typedef enum reseat_assumption {
    RESEAT_ASSUMED_GAUGE_U = 0,     /* the certified diameter is taken as exact */
    RESEAT_ASSUMED_TEMPERATURE = 1, /* 20 degrees, u 0.5 */
    RESEAT_ASSUMED_EXPANSION = 2,   /* 11.5e-6 per kelvin, u 1.15e-6 */
    RESEAT_ASSUMED_U_TOUCH = 3,     /* too few touches: their scatter is not from these touches */
    RESEAT_ASSUMED_MOVEMENT = 4,    /* two turns only: 0.0005 mm for the gauge having moved */
    RESEAT_ASSUMED_LOBING = 5       /* 0.003 mm, where lobes would show as an offset */
} reseat_assumption;
#define RESEAT_ASSUMPTION_COUNT 6

/*
 * "gauge_diameter_u", "temperature", "expansion", "u_touch", "gauge_movement", "lobing"; else "".
 */
RESEAT_API const char *reseat_assumption_name(reseat_assumption assumption);

/* The same in a few words with its figures, static; "" for a value that is no assumption. */
RESEAT_API const char *reseat_assumption_meaning(reseat_assumption assumption);

/* What would make the next calibration better; the bits 1u << reseat_advice are collected. */
typedef enum reseat_advice {
    RESEAT_ADVICE_TURNS = 0,      /* one turn and no centre: touch at a second turn, best at 180 */
    RESEAT_ADVICE_CLOSURE = 1,    /* come back to the first turn: 0, 180, 0 */
    RESEAT_ADVICE_TOUCHES = 2,    /* too few to judge their scatter, or to single out a bad one */
    RESEAT_ADVICE_DIRECTIONS = 3, /* fewer than 12 all round: lobes may hide */
    RESEAT_ADVICE_REPEATS = 4,    /* number repeats in `set` to learn the repeatability */
    RESEAT_ADVICE_OUTLIERS = 5,   /* look at the rows named, and touch them again */
    RESEAT_ADVICE_GAUGE_U = 6,    /* give the certified uncertainty of the gauge's diameter */
    RESEAT_ADVICE_TEMPERATURE = 7 /* give the gauge's temperature */
} reseat_advice;
#define RESEAT_ADVICE_COUNT 8

/* One sentence of English, static; "" for a value that is no advice. */
RESEAT_API const char *reseat_advice_text(reseat_advice advice);

typedef struct reseat_gauge {
    reseat_gauge_kind kind;
    double diameter_mm;     /* certified, at 20 degrees; > 0, or 0 for a bore or boss of any size */
    double diameter_u_mm;   /* its standard uncertainty */
    double temperature_c;   /* of gauge and machine */
    double temperature_u_c;
    double expansion_per_k; /* of the gauge */
    double expansion_u_per_k;
} reseat_gauge;

typedef struct reseat_reduce_setup {
    reseat_gauge gauge;
    bool centre_known;   /* where the gauge stands is known from elsewhere ... */
    reseat_xy centre_mm;
    double centre_u_mm;  /* ... with this standard uncertainty per axis */
    double u_touch_mm;   /* repeatability; for the scatter where there are too few touches */
    unsigned assumed;    /* bits of the above that nobody gave */
    double lobing_mm;    /* largest radius change that a turn of the probe can make */
    bool in_use_known;   /* the control adds another offset than the one that is found ... */
    reseat_xy in_use_mm; /* ... this one */
} reseat_reduce_setup;

/* The assumed figures for a gauge of a kind and diameter, all marked assumed; no centre. The
   diameter of a bore or boss may be 0. */
RESEAT_API reseat_reduce_setup reseat_reduce_assumed(reseat_gauge_kind kind, double diameter_mm);

/* What was found of one touch. */
typedef struct reseat_touch_result {
    double dir_deg;     /* approach direction in the machine, [0, 360) */
    double radius_mm;   /* effective radius that it shows */
    double residual_mm; /* outside the fitted circle is positive */
    double studentised; /* residual by its deleted standard deviation; 0 if not tested */
    bool outlier;
} reseat_touch_result;

#define RESEAT_REDUCE_TURNS_MAX 360
#define RESEAT_REDUCE_DIRS_MAX 360
#define RESEAT_REDUCE_DOUBTS_MAX 2

typedef struct reseat_reduction {
    size_t touches;
    size_t dof;               /* touches less unknowns */
    bool has_offset;          /* no: one turn and no centre, so the centre might be an offset */
    reseat_xy offset_mm;      /* else 0, like the two below */
    reseat_cov offset_cov_mm2;
    double offset_u_mm;       /* standard, per axis, the worse one; widened for few touches, with
                                 what lobes and a gauge that moved may have done to the offset */
    reseat_xyz centre_mm;     /* of the gauge, or of the touches without an offset; z: sphere */
    double fit_radius_mm;     /* at which the ball's centre goes round */
    double radius_mm;         /* effective; 0 without a diameter, like its u */
    double radius_u_mm;
    double form_mm;           /* largest less smallest residual */
    double residual_sd_mm;    /* 0 where dof is 0 */
    size_t dirs;              /* distinct directions in the probe's frame, rising */
    double dirs_deg[RESEAT_REDUCE_DIRS_MAX];
    double radii_mm[RESEAT_REDUCE_DIRS_MAX]; /* without a diameter less their mean, nearly */
    reseat_radius_curve curve; /* through them */
    size_t turns;             /* distinct, rising */
    double turns_deg[RESEAT_REDUCE_TURNS_MAX];
    bool has_repeatability;
    double repeatability_mm;  /* pooled over the repeats of the same touch, less what the gauge
                                 moved between them */
    size_t repeatability_dof;
    bool has_closure;
    double closure_mm;        /* how far the gauge moved until the first turn came again for good,
                                 the first of the turns that did */
    bool outliers_tested;     /* no: too few touches to single out a bad one */
    size_t outliers;          /* how many results are marked */
    unsigned assumed;         /* bits 1u << reseat_assumption */
    unsigned advice;          /* bits 1u << reseat_advice */
    bool has_radius;          /* no: a bore or boss whose diameter is not known */
    reseat_xy reading_mm;     /* what the gauge's centre reads with the offset in use; 0 if none */
    bool gauge_moved;         /* the closure is more than scatter explains */
    size_t doubts;            /* why this should not be recorded as it is, but touched again: */
    const char *doubt[RESEAT_REDUCE_DOUBTS_MAX]; /* static, "outliers" and "gauge-moved" */
} reseat_reduction;

/*
 * Reduces touches.
 *
 *   touches    in   count of them, at most RESEAT_TOUCHES_MAX; finite
 *   setup      in   uncertainties >= 0
 *   results    out  one for each touch
 *   reduction  out
 *   error      out  which row, and what is wrong; may be NULL
 *
 * Returns RESEAT_OK, else results and *reduction are as they were:
 *   RESEAT_ERR_ARGUMENT        a pointer is NULL, or the gauge is of no kind
 *   RESEAT_ERR_NOT_FINITE      an input, or a result, is not finite
 *   RESEAT_ERR_RANGE           too many touches or turns; diameter not above 0, an uncertainty
 *                              below 0; a gauge that its temperature makes 0.2 % larger or smaller;
 *                              a residual over 1 mm; a `dir_deg` that leads away from the surface;
 *                              a radius left for the ball that is not 0.1 to 25 mm; an offset of
 *                              more than 1 mm along an axis, or of nothing, from turns at which
 *                              all touches are the same
 *   RESEAT_ERR_TOO_FEW         fewer touches than unknowns
 *   RESEAT_ERR_SINGULAR        directions all within 90 degrees, or nothing else to be determined
 *   RESEAT_ERR_NO_CONVERGENCE  nearly so
 *
 * Method    joint orthogonal-distance fit of centre, offset and radius; the
 *           covariance from the residuals, or from u_touch below 3 degrees of freedom; radii by
 *           direction in the probe's frame, on a sphere from within 10 degrees of its equator.
 *           offset_u has (g lobing / 2)^2 / 2 added to its square, g being the largest length of
 *           the offset error that a radius cos k(dir - dir0) of amplitude 1, k = 2 ... 6, brings
 *           into the fit: at 0 and 180 1 for 3, 4 and 6 even directions, 0 for 5, 7 and more.
 *           Closure and repeatability after each visit, touches in a row at one turn, has its own
 *           centre. With dof that of this, and u that of the closure c by its residuals, the gauge
 *           moved where (1 + c^2 / (dof u^2))^(-dof/2) < 0.01: then c / 4 is added to offset_u,
 *           which is what a gauge that moved once between 0, 180 and 0 does to the offset; with two
 *           turns and no return 0.0005 mm.
 *           Outliers after harmonics 2 ... min(order, 6) where there are 7 directions: deleted
 *           studentised residual beyond Student's t for 1 - 0.005/touches, and more than 0.0001 mm
 *           from what the others predict. The worst of these is named, with those as large within
 *           1 %, and left out while the others are judged again; one that was not beyond the limit
 *           before is named then if beyond that for 1 - 0.0005/touches. Named, never dropped from
 *           the fit: reseat_reduce_keep does that.
 * Accuracy  1e-9 mm, covariance 1e-6 relative. Held by tests/unit/reduce_test.c.
 * Threads   no shared state.      Memory  allocates nothing; some 200 KiB of stack.
 */
RESEAT_API reseat_status reseat_reduce(const reseat_touch *touches, size_t count,
                                       const reseat_reduce_setup *setup,
                                       reseat_touch_result *results, reseat_reduction *reduction,
                                       reseat_error *error);

/*
 * Moves the touches that are no outliers to the front, in their order; returns how many, 0 where a
 * pointer is NULL.
 */
RESEAT_API size_t reseat_reduce_keep(reseat_touch *touches, size_t count,
                                     const reseat_touch_result *results);

/*
 * Repeated reseats: the scatter of one seating, and which part of the offset stays with the
 * spindle.
 */

#define RESEAT_STUDY_MAX 2048     /* seatings in one study */
#define RESEAT_STUDY_DOF_NEEDED 3 /* for a scatter that is more than a guess */

/* One seating and what was found of it: an offset, or the reading of a gauge's centre. */
typedef struct reseat_seating {
    double seat_deg;
    reseat_xy found_mm;
    size_t line; /* in the file it was read from, from 1; 0 if none */
} reseat_seating;

/* A seating that does not fit: most often its seat, or its sign, was written down wrongly. */
typedef struct reseat_study_outlier {
    size_t index;     /* into the list */
    size_t line;      /* of the seating */
    double off_mm;    /* from what the others predict; 0 where too few are left to say */
    bool fits_seat;   /* at another seat of the list it would fit: */
    double seat_deg;
} reseat_study_outlier;
#define RESEAT_STUDY_OUTLIERS 32

typedef struct reseat_study {
    size_t seatings;
    size_t seats;         /* different ones */
    size_t dof;           /* of u_seat: 2 seatings less 4 unknowns, or 2 with one seat alone */
    double u_seat_mm;     /* scatter of one seating, per axis */
    bool has_probe;       /* two or more seats */
    reseat_xy probe_mm;   /* b, the part that turns with the probe, at seat 0 */
    double probe_u_mm;    /* standard, per axis, the worse one; widened for few seatings */
    bool has_spindle;     /* two or more seats, and offsets rather than readings */
    reseat_xy spindle_mm; /* a, the part that stays with the spindle */
    double spindle_u_mm;
    bool assumed;         /* dof below RESEAT_STUDY_DOF_NEEDED: u from 0.002 mm a seating */
    bool outliers_tested; /* no: too few seatings to single out one that does not fit */
    size_t outliers;      /* seatings that do not fit the others; they are in all of the above. The
                             first RESEAT_STUDY_OUTLIERS of them, in their order: */
    reseat_study_outlier outlier[RESEAT_STUDY_OUTLIERS];
} reseat_study;

/*
 * Least squares o = a + R(seat) b over seatings.
 *
 *   seatings  in   count of them, 2 to RESEAT_STUDY_MAX; finite
 *   readings  in   false: offsets o, each found by a whole run; true: readings m of the centre of a
 *                  gauge that stayed where it is, with the same offset in use. As the
 *                  control adds that, m = gauge + in use - o: b is found, a is not.
 *   study     out
 *
 * Returns RESEAT_OK, else *study is as it was before the call:
 *   RESEAT_ERR_ARGUMENT    a pointer is NULL
 *   RESEAT_ERR_NOT_FINITE  an input or the result is not finite
 *   RESEAT_ERR_RANGE       more than RESEAT_STUDY_MAX
 *   RESEAT_ERR_TOO_FEW     fewer than 2
 *   RESEAT_ERR_SINGULAR    seats so close together that their difference is lost in rounding
 *
 * Method    Householder QR, the seatings less their middle; u = sqrt(largest eigenvalue of the
 *           part's covariance * dof / (dof - 2)). A seating does not fit where its deleted
 *           studentised residual, both coordinates together, is beyond F(2, dof - 2) for
 *           1 - 0.01/seatings, and it lies over 0.0001 mm from what the others predict. The worst
 *           is named, with those as far within 1 %, and left out while the others are judged
 *           again; one that was not beyond the limit before is named then if beyond that for
 *           1 - 0.001/seatings.
 * Accuracy  1e-12 of the largest coordinate's range. Held by tests/unit/study_test.c.
 * Threads   no shared state.      Memory  allocates nothing.
 */
RESEAT_API reseat_status reseat_study_solve(const reseat_seating *seatings, size_t count,
                                            bool readings, reseat_study *study);

/*
 * Reads seatings from CSV: `seat_deg` and either `offset_x_mm`, `offset_y_mm` or, for readings,
 * `x_mm`, `y_mm`; or all with _in, or all with _um. Arguments and errors as reseat_touches_read
 * (reseat/touches.h), and a table with columns of both kinds is a RESEAT_ERR_SYNTAX.
 */
RESEAT_API reseat_status reseat_study_read(const char *text, size_t length, reseat_seating *list,
                                           size_t room, size_t *count, bool *readings,
                                           reseat_error *error);

#ifdef __cplusplus
}
#endif
#endif
