/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Effective radius by approach direction (lobing), and what a turn of the probe does to it.
 * Directions are those of machine motion at the touch, never the side of the feature.
 */
#ifndef RESEAT_RADIUS_H
#define RESEAT_RADIUS_H

#include <stdbool.h>
#include <stddef.h>
#include "reseat/status.h"

#ifdef __cplusplus
extern "C" {
#endif

#define RESEAT_RADIUS_ORDER_MAX 12      /* highest harmonic of the series */
#define RESEAT_RADIUS_LOBES_SHOWN 12    /* distinct directions that put lobes on record ... */
#define RESEAT_RADIUS_LOBES_ORDER 5     /* ... if they determine harmonics up to this one */

/*
 * r(phi) = mean + sum over k = 2 ... order of (cosine[k] cos k phi + sine[k] sin k phi).
 * Order 1 cannot be told from the offset, and is left out of the curve.
 */
typedef struct reseat_radius_curve {
    double mean_mm;
    double cosine_mm[RESEAT_RADIUS_ORDER_MAX + 1]; /* [0] and [1] are 0, as are those above order */
    double sine_mm[RESEAT_RADIUS_ORDER_MAX + 1];
    double residual_mm;  /* root mean square of what the series, its order 1 included, leaves of
                            the radii over the distinct directions */
    size_t order;        /* 0, or up to RESEAT_RADIUS_ORDER_MAX */
    size_t directions;   /* distinct directions (more than 1 degree apart) */
    double spread_mm;    /* largest less smallest radius over the distinct directions */
} reseat_radius_curve;

/*
 * Fits the curve to radii by direction.
 *
 *   dirs_deg, radii_mm  in   count of each; degrees, any finite value; mm, finite; any order
 *   count               in   1 to RESEAT_RADIUS_COUNT_MAX
 *   curve               out  least-squares series of order min(12, (N - 1) / 2), lowered while
 *                            the system is singular or as good as that, N the count of distinct
 *                            directions; those within 1 degree are one, their radii averaged
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _NOT_FINITE, _RANGE with *curve as it was.
 *
 * Method    Householder QR of the series with its order 1, which is then dropped; handbook 4. A
 *           harmonic counts as singular when less than a millionth of it stands apart from those
 *           below it, and the order as too high where the series would have, in some even
 *           degree, more than four times the scatter of one radius: what was touched on one side
 *           only says nothing of the other. Evenly spaced directions have at most once that.
 *           The order of the touches changes no bit.
 * Accuracy  1e-14 of the radius where the directions are evenly spaced. Held by
 *           tests/unit/radius_test.c.
 * Threads   no shared state.      Memory  allocates nothing (fixed work space on the stack).
 */
RESEAT_API reseat_status reseat_radius_fit(const double *dirs_deg, const double *radii_mm,
                                           size_t count, reseat_radius_curve *curve);
#define RESEAT_RADIUS_COUNT_MAX 1024

/*
 * Reads radii by direction from CSV (reseat/csv.h): a header line `dir_deg,radius_mm`, columns in
 * either order, then a row a direction. Empty rows are passed over.
 *
 *   text, length        in   the bytes
 *   dirs_deg, radii_mm  out  room for `space` of each; radii above 0
 *   space               in
 *   count               out  how many were read, at least 1
 *   error               out  line, column, key and what was expected; may be NULL
 *
 * Returns RESEAT_OK; else *count is as it was, the arrays may hold what was read up to then:
 *   RESEAT_ERR_ARGUMENT, RESEAT_ERR_SYNTAX, RESEAT_ERR_NOT_FINITE
 *   RESEAT_ERR_RANGE    a radius not above 0
 *   RESEAT_ERR_TOO_FEW  no row of radii
 *   RESEAT_ERR_SPACE    more than `space` rows
 */
RESEAT_API reseat_status reseat_radius_read(const char *text, size_t length, double *dirs_deg,
                                            double *radii_mm, size_t space, size_t *count,
                                            reseat_error *error);

/* r(dir), mm. Takes any finite direction; curve must not be NULL. */
RESEAT_API double reseat_radius_at(const reseat_radius_curve *curve, double dir_deg);

/* rho = r(dir) - r(dir - turn): how wrongly a turned probe touches along dir; exactly 0 at 0. */
RESEAT_API double reseat_radius_change(const reseat_radius_curve *curve, double dir_deg,
                                       double turn_deg);

/*
 * Largest radius change by a turn that radii on record show, where their directions do not put
 * lobes on record: the curve's own, at most the sum over k of 2 A_k |sin(k turn / 2)|; and once the
 * radii spread by more than lobing_mm their spread, for lobes of whatever order up to the highest:
 * spread * sin(min(RESEAT_RADIUS_ORDER_MAX / 2 |turn|, 90 degrees)). curve must not be NULL.
 */
RESEAT_API double reseat_radius_seen_change(const reseat_radius_curve *curve, double lobing_mm,
                                            double turn_deg);

/*
 * Whether the curve puts lobes on record: from RESEAT_RADIUS_LOBES_SHOWN directions or more, so
 * spread that it has order RESEAT_RADIUS_LOBES_ORDER or more. False for NULL.
 */
RESEAT_API bool reseat_radius_shows_lobes(const reseat_radius_curve *curve);

/*
 * Amplitude and phase of a harmonic, A cos k(phi - phase).
 *   k             in   2 to RESEAT_RADIUS_ORDER_MAX
 *   amplitude_mm  out  >= 0; 0 above the curve's order
 *   phase_deg     out  [0, 360 / k)
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _NOT_FINITE (the curve is not), _RANGE with the
 * outputs as they were.
 */
RESEAT_API reseat_status reseat_radius_harmonic(const reseat_radius_curve *curve, size_t k,
                                                double *amplitude_mm, double *phase_deg);

/*
 * The harmonic of the largest amplitude: three lobes are of order 3.
 *   order         out  2 to RESEAT_RADIUS_ORDER_MAX; 0 if the curve has none
 *   amplitude_mm  out  half of what the radius changes by in going round; 0 with order 0
 * Returns as reseat_radius_harmonic.
 */
RESEAT_API reseat_status reseat_radius_lobing(const reseat_radius_curve *curve, size_t *order,
                                              double *amplitude_mm);

/*
 * Largest radius change by a turn for which lobes are said to be, where they are not on record:
 * lobing * sin(min(1.5 |turn|, 90 degrees)). lobing_mm >= 0, turn any finite angle.
 */
RESEAT_API double reseat_radius_hidden_change(double lobing_mm, double turn_deg);

#ifdef __cplusplus
}
#endif
#endif
