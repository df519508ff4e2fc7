/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* How a probe is turned, from one gauge check, and results corrected once that is known. */
#ifndef RESEAT_RESCUE_H
#define RESEAT_RESCUE_H

#include <stdbool.h>
#include <stddef.h>
#include "reseat/touches.h"

#ifdef __cplusplus
extern "C" {
#endif

/*
 * How the probe is turned, from one gauge measured before and again. What is
 * found fits a turn: a bent stylus can move the ball along the same circle.
 */

#define RESEAT_EXPLAINED_P 0.01    /* a turn that fits worse than this explains nothing */
#define RESEAT_FOUND_CHANCE 0.95   /* of a keyed seat, before it counts as found */
#define RESEAT_READING_U_MM 0.001  /* of one reading of a centre, per axis, unless said otherwise */

/* How well one seat of several fits. */
typedef struct reseat_found_seat {
    double turn_deg;    /* (-180, 180] */
    double seat_deg;    /* [0, 360); 0 where the run's seat is not known */
    double misfit;      /* distance of what was measured from what this seat would do, in u_m */
    double p;           /* chance of a misfit as large or larger at this seat */
    double probability; /* of this seat, one of them being right */
} reseat_found_seat;

typedef struct reseat_found {
    bool keyed;        /* judged at each of `count` seats; else every turn was possible */
    bool explained;    /* a turn fits: p is at least RESEAT_EXPLAINED_P; free: and the turn, if it
                          is resolvable, is in the range or outside of it by at most twice its u */
    bool outside;      /* free: a turn fits, but none that was possible */
    bool resolvable;   /* free: |q| is at least 3 u_m; keyed: one seat has RESEAT_FOUND_CHANCE;
                          else this cannot resolve the seat ... */
    bool settled;      /* explained and resolvable */
    bool seats_named;  /* the run's seat is known, so seat_deg means something */
    double turn_deg;   /* ... and these four are 0; (-180, 180] */
    double turn_u_deg; /* free: standard uncertainty; keyed: 0 */
    double within_deg; /* free: half width of the 95 % interval; keyed: 0 */
    double seat_deg;   /* [0, 360) */
    double misfit;     /* free: by how much the ball left its circle, in u_m, inwards negative;
                          keyed: that of the best seat */
    double p;
    double u_mm;       /* u_m: standard uncertainty per axis of the shift against a turn */
    double turning_mm; /* |q| */
    reseat_xy shift_mm; /* what a turn is to explain: the reading's, less what the control adds now
                           more than at the run; or the run's offset less that measured anew */
    double shift_u_mm; /* per axis */
    reseat_xy error_mm; /* of positions now: what the control adds less the offset now */
    reseat_xy offset_now_mm; /* the run's less shift_mm, or as measured anew */
    size_t count;      /* of seats, in the order of the keys; 0 if free */
    size_t best;       /* index of the likeliest one ... */
    size_t runner_up;  /* ... and of the next; count where there is none */
    reseat_found_seat seats[RESEAT_SEAT_KEYS_MAX];
    bool anew;         /* the offset itself was measured, rather than how far a gauge moved */
    bool opposite;     /* nothing explains the shift, but a turn does the opposite one, ... */
    double opposite_deg; /* ... this, or to this seat where seats_named; 0 where unresolvable */
    reseat_xy read_mm; /* the shift as it was read; {0, 0} where the offset was measured anew */
    bool unturned;     /* measured anew as none, within its u, though the run's was twice as large
                          as could be so: as if the spindle had not been turned; not explained */
    reseat_turns possible; /* as they were given */
} reseat_found;

/*
 * Finds the turn that a shift of the gauge fits.
 *
 *   estimate    in   offset and spindle's part, and their terms; what the control adds, and by
 *                    how much that has changed since the run, which is no part of a turn
 *   turns       in   the possible ones: a list, or for a free seat a range, a whole turn or less
 *   shift_mm    in   reading of the gauge now less that at the run, as the control shows them
 *   shift_u_mm  in   standard uncertainty of the shift, per axis: both readings and the gauge's
 *                    own movement; > 0
 *   found       out
 *
 * Returns RESEAT_OK, else *found is as it was before the call:
 *   RESEAT_ERR_ARGUMENT    a pointer is NULL
 *   RESEAT_ERR_NOT_FINITE  an input is NaN or infinite, or the result overflows
 *   RESEAT_ERR_RANGE       shift_u_mm not above 0, a term or the width of a range below 0, or no
 *                          turn, or more than RESEAT_SEAT_KEYS_MAX, in a list
 *
 * Method    local names: u_m^2 = u(shift)^2 + u_drift^2 + 2 u_seat^2 + 4 sin^2(turn/2) (u_run^2
 *           + u_spindle^2). Free: the angle from q to q - shift, with uncertainty u_m / |q|; p
 *           from the change of length. Keyed: chi-square of two components at each seat;
 *           probability goes as p / u_m^2. A range limits no fit: what fits outside of it is not
 *           explained.
 * Accuracy  the turn within 1e-9 degrees where nothing scatters. Held by
 *           tests/unit/find_seat_test.c; how often the interval covers and how often turns go
 *           unexplained by tests/montecarlo/find_seat.c.
 * Threads   no shared state.      Memory  allocates nothing; the result has some 15 KiB.
 */
RESEAT_API reseat_status reseat_find_seat(const reseat_estimate *estimate,
                                          const reseat_turns *turns, reseat_xy shift_mm,
                                          double shift_u_mm, reseat_found *found);

/*
 * The same from the offset itself, measured anew with the probe as it sits: neither a gauge nor
 * what was read at the run matters.
 *
 *   offset_now_mm  in   ball centre less spindle axis; finite
 *   offset_u_mm    in   its standard uncertainty per axis; > 0
 *
 * The rest as reseat_find_seat.
 */
RESEAT_API reseat_status reseat_find_seat_by_offset(const reseat_estimate *estimate,
                                                    const reseat_turns *turns,
                                                    reseat_xy offset_now_mm, double offset_u_mm,
                                                    reseat_found *found);

/*
 * The offset from two readings of the centre of one feature that stays where it is: a bore, a boss
 * or a ball, with the spindle at its stop and turned by half a turn, the control adding the same
 * offset to both. No gauge is needed, and what the control adds is no part of it.
 *
 *   at_0_mm, at_180_mm  in   the readings; finite
 *   reading_u_mm        in   standard uncertainty of one reading, per axis; > 0, finite
 *   offset_mm           out  ball centre less spindle axis
 *   offset_u_mm         out  per axis
 *
 * Returns RESEAT_OK, else the outputs are as they were before the call:
 *   RESEAT_ERR_ARGUMENT, _NOT_FINITE, _RANGE
 *   RESEAT_ERR_SINGULAR  the readings are equal: one is a copy, or the spindle was not turned
 *
 * Method    reversal: a reading is true + added - offset, turned true + added + offset; half the
 *           difference remains. Evans, Hocken & Estler, Self-calibration: reversal, redundancy,
 *           error separation, and "absolute testing", CIRP Annals 45 (1996) 617.
 * Accuracy  to the last bit but one. Held by tests/unit/find_seat_test.c.
 */
RESEAT_API reseat_status reseat_half_turn_offset(reseat_xy at_0_mm, reseat_xy at_180_mm,
                                                 double reading_u_mm, reseat_xy *offset_mm,
                                                 double *offset_u_mm);

/*
 * The same from touches: by the offset now, where the spindle was turned, else by the centres of
 * touches of one gauge then and now with the spindle at its stop.
 *
 *   then, now   in   as reseat_reduce leaves them; `then` may be NULL where `now` has an offset
 *   shift_u_mm  in   of the centres; > 0; 0 where there is an offset, which brings its own
 *
 * The rest as reseat_find_seat; RESEAT_ERR_SINGULAR where only `then` has an offset, or the spindle
 * was not at its stop.
 */
RESEAT_API reseat_status reseat_find_seat_by_touches(const reseat_estimate *estimate,
                                                     const reseat_turns *turns,
                                                     const reseat_reduction *then,
                                                     const reseat_reduction *now,
                                                     double shift_u_mm, reseat_found *found);

/* Correcting what was measured with a turned probe, once its seat is known. */

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
 * The same after a check: what was measured is the error, whether a seat explains it or not, and
 * u_run^2 + u(shift)^2 its scatter. The turn is the one found, or where none was, known only as far
 * as it was before. RESEAT_ERR_RANGE where the spindle was not turned between two readings.
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

typedef struct reseat_line_range {
    size_t first;
    size_t last;
} reseat_line_range;
#define RESEAT_CORRECT_RANGES 24

/* What became of a file of results. */
typedef struct reseat_correct_summary {
    size_t rows;   /* of kind point or surface */
    size_t passed; /* rows of another kind, passed on as they are */
    size_t length; /* bytes of the result, its NUL not counted */
    size_t passed_ranges; /* of lines on which such rows begin; the first of them: */
    reseat_line_range passed_lines[RESEAT_CORRECT_RANGES];
    reseat_unit unit; /* of the lengths, and of what is appended */
} reseat_correct_summary;

/*
 * Corrects results in CSV (RFC 4180): a header with the columns kind, x_mm, y_mm, for surfaces
 * dir_deg, and any others, in any order; then a row a result, its kind `point` or `surface`.
 * corrected_x_mm, corrected_y_mm and u_mm are appended to the header and to these rows, all with
 * _in or _um where x and y have it; every byte that was there before passes, and so do rows of
 * another kind or with nothing in them. With RESEAT_DATUM_SAME all of it passes as it is.
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
 *   RESEAT_ERR_REFUSED     nothing was wrong: the error is exactly 0, and nothing was turned
 *   RESEAT_ERR_SPACE       more than 256 fields in a row
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
