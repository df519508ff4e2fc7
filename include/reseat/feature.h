/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * What a turned probe gets wrong of features: surfaces, slots, bores, corners and so on, as their
 * touches come out with the stored calibration (handbook section 5).
 *
 *     surface:DIR                        DIR the approach direction, degrees
 *     slot:WIDTH:DIR   ridge:WIDTH:DIR   DIR the axis through both sides
 *     bore:DIAMETER[:TOUCHES[:START]]    4 touches, evenly spaced, unless said otherwise;
 *     boss:DIAMETER[:TOUCHES[:START]]    START the side touched first, 0 unless said otherwise
 *     corner:DIR1:DIR2                   approach directions of its two walls
 *     pair                               two features probed in one seat by the same touches
 *     height                             one touch downwards
 */
#ifndef RESEAT_FEATURE_H
#define RESEAT_FEATURE_H

#include <stdbool.h>
#include <stddef.h>
#include "reseat/estimate.h"
#include "reseat/units.h"
#include "reseat/verdict.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum reseat_feature_kind {
    RESEAT_FEATURE_SURFACE = 0,
    RESEAT_FEATURE_SLOT = 1,
    RESEAT_FEATURE_RIDGE = 2,
    RESEAT_FEATURE_BORE = 3,
    RESEAT_FEATURE_BOSS = 4,
    RESEAT_FEATURE_CORNER = 5,
    RESEAT_FEATURE_PAIR = 6,
    RESEAT_FEATURE_HEIGHT = 7
} reseat_feature_kind;

/* What is reported of a feature; each error is reported minus true. */
typedef enum reseat_reported {
    RESEAT_REPORTED_POSITION = 0, /* of a surface along DIR; bore, boss: twice `centre` */
    RESEAT_REPORTED_CENTRE = 1,   /* slot, ridge: along DIR; bore, boss: length in the plane */
    RESEAT_REPORTED_WIDTH = 2,
    RESEAT_REPORTED_CENTRE_X = 3,
    RESEAT_REPORTED_CENTRE_Y = 4,
    RESEAT_REPORTED_DIAMETER = 5,
    RESEAT_REPORTED_CORNER = 6,   /* length in the plane */
    RESEAT_REPORTED_CORNER_X = 7,
    RESEAT_REPORTED_CORNER_Y = 8,
    RESEAT_REPORTED_DISTANCE = 9,
    RESEAT_REPORTED_HEIGHT = 10
} reseat_reported;
#define RESEAT_REPORTED_COUNT 11

/* "position", "centre_x" and so on; "" for a value that is no quantity. */
RESEAT_API const char *reseat_reported_name(reseat_reported quantity);

#define RESEAT_FEATURE_TOUCHES_MIN 3u
#define RESEAT_FEATURE_TOUCHES_MAX 360u

typedef struct reseat_feature {
    reseat_feature_kind kind;
    double size_mm;          /* width or diameter, > 0; else 0 */
    double dir_deg;          /* surface, slot, ridge; corner: DIR1; bore, boss: START; else 0 */
    double other_deg;        /* corner: DIR2, more than 1 degree from parallel; else 0 */
    unsigned touches;        /* bore, boss: 3 to 360; else 0 */
    bool judged;             /* a tolerance was typed */
    reseat_reported quantity; /* that the tolerance is for; the feature's first one unless typed */
    double tolerance_mm;     /* full width (or diameter) of its zone, > 0; 0 if there is none */
    size_t spec_length;      /* bytes typed before the tolerance */
} reseat_feature;

/*
 * Reads a feature as people type it, with `=T` or `=QUANTITY:T` behind it for a tolerance:
 * `bore:20mm`, `bore:20mm:3:45=diameter:0.02mm`, `surface:90=0.05mm`.
 *
 *   text, length  in   the bytes; the whole text is read
 *   unit          in   what a bare length is in
 *   feature       out
 *   error         out  column and what was expected; may be NULL
 *
 * Returns RESEAT_OK, else *feature is as it was before the call:
 *   RESEAT_ERR_ARGUMENT    text or feature is NULL, or unit is no unit
 *   RESEAT_ERR_SYNTAX      no such feature or quantity, a part too many or too few, no number
 *   RESEAT_ERR_NOT_FINITE  a number too large for a double
 *   RESEAT_ERR_RANGE       a size or tolerance not above 0, fewer than 3 or more than 360 touches,
 *                          walls of a corner that are parallel
 */
RESEAT_API reseat_status reseat_feature_parse(const char *text, size_t length, reseat_unit unit,
                                              reseat_feature *feature, reseat_error *error);

/*
 * The standard set, as it can be typed: surfaces in +X, +Y, -X and -Y, a bore, a slot, a corner, a
 * pair and a height; NULL from RESEAT_FEATURE_STANDARD_COUNT on.
 */
RESEAT_API const char *reseat_feature_standard(size_t index);
#define RESEAT_FEATURE_STANDARD_COUNT 9

/* The quantities of a kind of feature, that which a tolerance judges first; NULL and 0 for none. */
RESEAT_API const reseat_reported *reseat_feature_quantities(reseat_feature_kind kind,
                                                            size_t *count);

/* A quantity at one possible seat. */
typedef struct reseat_feature_row {
    reseat_reported quantity;
    double turn_deg;      /* (-180, 180] */
    double seat_deg;      /* [0, 360); 0 where the run's seat is not known, or not asked */
    double error_mm;      /* reported minus true; of a length in the plane >= 0 */
    reseat_xy toward_mm;  /* the same in the plane; {0, 0} for what has no place in it */
    double u_mm;          /* standard uncertainty of error_mm; of a length in the plane below
                             1e-12 mm, which points nowhere, in the direction where it is largest */
    double hidden_mm;     /* what lobes that are not on record may add, either way */
    bool judged;          /* the tolerance is for this quantity: the rest holds */
    double allowed_mm;    /* else 0 ... */
    double chance_within; /* ... and 1 */
    bool ok;              /* ... and true */
} reseat_feature_row;

/*
 * What one quantity of a feature is off by after one turn.
 *
 *   estimate  in   what is believed of the probe; its curve, where there is one, is taken for the
 *                  radius by direction (a known radius alone is a curve with nothing but mean_mm),
 *                  else the ball is a point: bores and bosses are then off by a little less
 *   feature   in   as reseat_feature_parse leaves it
 *   quantity  in   one of its quantities
 *   turn_deg  in   seat now minus seat at the run; any finite value
 *   share     in   of a tolerance that probing may use; above 0, at most 1
 *   row       out
 *
 * Returns RESEAT_OK, else *row is as it was before the call:
 *   RESEAT_ERR_ARGUMENT       a pointer is NULL, or the feature has no such quantity
 *   RESEAT_ERR_NOT_FINITE     an input is NaN or infinite, or the result overflows
 *   RESEAT_ERR_RANGE          a value outside its range; or the ball does not get to the touches: a
 *                             bore or slot no wider than the ball and its error, a boss passed by;
 *                             for bore and boss to within a 1e-9th of their size
 *   RESEAT_ERR_NO_CONVERGENCE, _SINGULAR  the circle through the touches could not be found
 *
 * Method    exact: the true ball is moved to contact along each approach, and what the stored
 *           calibration reports of it goes through the feature, for bore and boss the
 *           least-squares circle. Scatter reaches a quantity through its first derivative by the
 *           error; width, diameter and distance have none of it. Lengths in the plane are judged
 *           in the plane: by the chance that the two components together stay within. What the
 *           fit of the lobes left, and lobes that are not on record, come from every touch on its
 *           own, the latter each in the worse sign.
 * Accuracy  1e-12 mm for features up to 100 mm; scatter of bores and bosses a millionth of itself.
 *           Held by tests/unit/feature_test.c and feature_judge_test.c.
 * Threads   no shared state.      Memory  allocates nothing.
 */
RESEAT_API reseat_status reseat_feature_at(const reseat_estimate *estimate,
                                           const reseat_feature *feature,
                                           reseat_reported quantity, double turn_deg,
                                           double share, reseat_feature_row *row);

/*
 * The same at the worst of the question's possible seats: least chance, then larger error, then
 * smaller turn; without a tolerance the larger error alone decides. The question's limit is not
 * read. RECALIBRATE also where the question already has a reason for it.
 *
 * Returns as reseat_feature_at. Method as reseat_verdict_decide.
 */
RESEAT_API reseat_status reseat_feature_worst(const reseat_question *question,
                                              const reseat_feature *feature,
                                              reseat_reported quantity, double share,
                                              reseat_feature_row *row);

#ifdef __cplusplus
}
#endif
#endif
