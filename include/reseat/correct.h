/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Correcting what was measured with a turned probe, once its seat is known (handbook section 9). */
#ifndef RESEAT_CORRECT_H
#define RESEAT_CORRECT_H

#include <stdbool.h>
#include <stddef.h>
#include "reseat/estimate.h"
#include "reseat/find_seat.h"
#include "reseat/plane.h"
#include "reseat/radius.h"
#include "reseat/seat.h"
#include "reseat/status.h"

#ifdef __cplusplus
extern "C" {
#endif

/* What the results are counted from. */
typedef enum reseat_datum {
    RESEAT_DATUM_MACHINE = 0, /* machine coordinates */
    RESEAT_DATUM_BEFORE = 1,  /* a datum that was set with the probe as calibrated */
    RESEAT_DATUM_SAME = 2     /* datum and features probed in the same turned seat */
} reseat_datum;

/* Reads `machine`, `before` or `same`; RESEAT_ERR_ARGUMENT, _SYNTAX with *datum as it was. */
RESEAT_API reseat_status reseat_datum_parse(const char *text, size_t length, reseat_datum *datum,
                                            reseat_error *error);

/* How results are corrected at one seat. */
typedef struct reseat_correction {
    reseat_datum datum;
    bool turn_known;           /* false: measured by a gauge check at a seat that is not known */
    double turn_deg;           /* (-180, 180], of an interval its middle; 0 if not known */
    reseat_xy error_mm;        /* reported minus true, of positions */
    reseat_cov covariance_mm2; /* of the error */
    double u_mm;               /* of a point: in the direction in which it is largest */
    const reseat_radius_curve *curve; /* of the estimate, which must outlive this; may be NULL */
    double radius_u_mm;        /* of a single surface: what the curve leaves */
    double hidden_mm;          /* lobes that are not on record, or that the interval leaves open,
                                  may add this, either way */
} reseat_correction;

/*
 * Puts a correction together.
 *
 *   estimate    in   what is believed of the probe; where its error was measured by a gauge check,
 *                    that shift is the error, and u_run^2 + u(shift)^2 + drift^2 its scatter
 *   turns       in   one turn: of a set it is not known what to correct by, unless the error was
 *                    measured, which holds at whichever of them the probe is
 *   datum       in   SAME: nothing is wrong of one result against the other, so error and
 *                    scatter are 0
 *   correction  out
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _NOT_FINITE, _RANGE (more than one turn of an
 * error that was not measured, too) with *correction as it was.
 */
RESEAT_API reseat_status reseat_correct_at(const reseat_estimate *estimate,
                                           const reseat_turns *turns, reseat_datum datum,
                                           reseat_correction *correction);

/*
 * The same after the seat was found from a gauge check: that shift is the error, and u_run^2 +
 * u(shift)^2 its scatter. RESEAT_ERR_RANGE where no seat was found.
 */
RESEAT_API reseat_status reseat_correct_found(const reseat_estimate *estimate,
                                              const reseat_found *found, reseat_datum datum,
                                              reseat_correction *correction);

/* A result put right. */
typedef struct reseat_corrected {
    reseat_xy at_mm;
    double u_mm; /* what the correction adds to its standard uncertainty, per axis */
} reseat_corrected;

/*
 * Corrects one result: reported - error, of a surface reported - (error . u + rho) u.
 *
 *   reported_mm  in   finite
 *   dir_deg      in   surface: approach direction, u the unit vector along it, rho the change of
 *                     radius by the turn; its uncertainty is that along u, with hidden lobes
 *                     as a wave of that height whose phase is not known
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _NOT_FINITE, or _RANGE (a surface touched with a ball
 * whose lobes are on record, the turn not known) with *corrected as it was.
 */
RESEAT_API reseat_status reseat_correct_point(const reseat_correction *correction,
                                              reseat_xy reported_mm,
                                              reseat_corrected *corrected);
RESEAT_API reseat_status reseat_correct_surface(const reseat_correction *correction,
                                                reseat_xy reported_mm, double dir_deg,
                                                reseat_corrected *corrected);

/* What became of a file of results. */
typedef struct reseat_correct_summary {
    size_t rows;   /* of kind point or surface */
    size_t passed; /* rows of another kind, passed on as they are */
    size_t length; /* bytes of the result, its NUL not counted */
} reseat_correct_summary;

/*
 * Corrects results in CSV (reseat/csv.h): a header with the columns kind, x_mm, y_mm, for surfaces
 * dir_deg, and any others, in any order; then a row a result, its kind `point` or `surface`.
 * corrected_x_mm, corrected_y_mm and u_mm are appended to the header and to these rows; every
 * byte that was there before passes, and so do rows of another kind or with nothing in them. With
 * RESEAT_DATUM_SAME all of it passes as it is.
 *
 *   correction    in
 *   text, length  in   the bytes
 *   out, size     out  room for the result and a NUL; NULL and 0 to learn its length. Holds the
 *                      whole result only if summary->length is below size.
 *   summary       out
 *   error         out  line, column, key and what was expected; may be NULL
 *
 * Returns RESEAT_OK, else *summary is as it was, and out may hold what was written up to then:
 *   RESEAT_ERR_ARGUMENT    a pointer is NULL
 *   RESEAT_ERR_SYNTAX      a column missing, there twice, or one of those to be appended there
 *                          already; a field that is no number; more fields than the header has
 *   RESEAT_ERR_NOT_FINITE  a number too large
 *   RESEAT_ERR_RANGE       a surface, as reseat_correct_surface
 *   RESEAT_ERR_TOO_FEW     no row of kind point or surface
 *   RESEAT_ERR_SPACE       more than RESEAT_CSV_FIELDS_MAX fields in a row
 *
 * Accuracy  corrected values within 1e-12 mm up to 2 m. Held by tests/unit/correct_test.c.
 * Threads   no shared state.      Memory  allocates nothing.
 */
RESEAT_API reseat_status reseat_correct_csv(const reseat_correction *correction, const char *text,
                                            size_t length, char *out, size_t size,
                                            reseat_correct_summary *summary,
                                            reseat_error *error);

#ifdef __cplusplus
}
#endif
#endif
