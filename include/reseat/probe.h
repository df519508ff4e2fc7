/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * What is believed of a probe in the spindle, and what follows from it: effective radius by
 * direction, error and chance at one turn, the verdict, and the error of features.
 */
#ifndef RESEAT_PROBE_H
#define RESEAT_PROBE_H

#include <stdbool.h>
#include <stddef.h>
#include "reseat/seat.h"

#ifdef __cplusplus
extern "C" {
#endif

/*
 * Effective radius by approach direction (lobing), and what a turn of the probe does to it.
 * Directions are those of machine motion at the touch, never the side of the feature.
 */

#define RESEAT_RADIUS_ORDER_MAX 12      /* highest harmonic of the series */
#define RESEAT_RADIUS_LOBES_SHOWN 12    /* distinct directions that put lobes on record ... */
#define RESEAT_RADIUS_LOBES_ORDER 3     /* ... if they determine harmonics up to this one, ... */
#define RESEAT_RADIUS_LOBES_SCATTER 4   /* ... and the curve scatters nowhere by more radii */

/*
 * r(phi) = mean + sum over k = 1 ... order of (cosine[k] cos k phi + sine[k] sin k phi). Radii on
 * record are what is left beside the stored offset, so order 1 is a lobe like any other.
 */
typedef struct reseat_radius_curve {
    double mean_mm;
    double cosine_mm[RESEAT_RADIUS_ORDER_MAX + 1]; /* [0] is 0, as are those above order */
    double sine_mm[RESEAT_RADIUS_ORDER_MAX + 1];
    double residual_mm;  /* standard deviation of the radii about the series, over directions -
                            2 order - 1 degrees of freedom; 0 where there is none */
    size_t order;        /* 0, or up to RESEAT_RADIUS_ORDER_MAX */
    size_t directions;   /* distinct directions (more than 1 degree apart) */
    double spread_mm;    /* largest less smallest radius over the distinct directions */
    double scatter_ratio; /* largest scatter of the curve in any even degree, by a radius's */
} reseat_radius_curve;

/*
 * Fits the curve to radii by direction.
 *
 *   dirs_deg, radii_mm  in   count of each; degrees, any finite value; mm, finite; any order
 *   count               in   1 to RESEAT_RADIUS_COUNT_MAX
 *   curve               out  least-squares series of order min(12, (N - 1) / 3), lowered while
 *                            the system is singular or as good as that, N the count of distinct
 *                            directions; those within 1 degree are one, their radii averaged
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _NOT_FINITE, _RANGE with *curve as it was.
 *
 * Method    Householder QR of the series. A harmonic counts as singular when less than a millionth
 *           of it stands apart from those below it, and the order as too high where the series
 *           would have, in some even degree, more than 16 times the scatter of one radius: what
 *           was touched on one side only says nothing of the other. Evenly spaced directions have
 *           at most once that.
 *           The order of the touches changes no bit.
 * Accuracy  1e-14 of the radius where the directions are evenly spaced. Held by
 *           tests/unit/radius_test.c.
 * Threads   no shared state.      Memory  allocates nothing (fixed work space on the stack).
 */
RESEAT_API reseat_status reseat_radius_fit(const double *dirs_deg, const double *radii_mm,
                                           size_t count, reseat_radius_curve *curve);
#define RESEAT_RADIUS_COUNT_MAX 1024

/*
 * Reads radii by direction from CSV (RFC 4180): a header line `dir_deg,radius_mm`, columns in
 * either order, then a row a direction. Empty rows are passed over.
 *
 *   text, length        in   the bytes
 *   dirs_deg, radii_mm  out  room for `space` of each; radii above 0
 *   space               in
 *   count               out  how many were read, at least 1
 *   error               out  line, column, key and what was expected; may be NULL
 *
 * Returns RESEAT_OK, else the arrays and *count are as they were:
 *   RESEAT_ERR_ARGUMENT, RESEAT_ERR_SYNTAX, RESEAT_ERR_NOT_FINITE
 *   RESEAT_ERR_RANGE    a radius not above 0, or more than RESEAT_RADIUS_COUNT_MAX rows
 *   RESEAT_ERR_TOO_FEW  no row of radii
 *   RESEAT_ERR_SPACE    more than `space` rows
 */
RESEAT_API reseat_status reseat_radius_read(const char *text, size_t length, double *dirs_deg,
                                            double *radii_mm, size_t space, size_t *count,
                                            reseat_error *error);

/* r(dir), mm. Takes any finite direction; curve must not be NULL. */
RESEAT_API double reseat_radius_at(const reseat_radius_curve *curve, double dir_deg);

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
 * What is believed of a probe in the spindle, and the error that follows at one turn: mean,
 * scatter, and the chance that no touch is wrong by more than a limit.
 */

/* The terms of the uncertainty budget, in the order in which they are shown. */
typedef enum reseat_term {
    RESEAT_TERM_RUN = 0,
    RESEAT_TERM_SEAT = 1,
    RESEAT_TERM_TURN = 2,
    RESEAT_TERM_SPINDLE = 3,
    RESEAT_TERM_TOUCH = 4,
    RESEAT_TERM_DRIFT = 5,
    RESEAT_TERM_LOBING = 6,
    RESEAT_TERM_AXIAL = 7,
    RESEAT_TERM_SHIFT = 8 /* of a gauge check's shift; never assumed */
} reseat_term;
#define RESEAT_TERM_COUNT 9

/* "u_run", "u_seat" ... "u_drift", "lobing", "u_axial", "shift_u"; "" where there is no term. */
RESEAT_API const char *reseat_term_name(reseat_term term);

/* Standard uncertainties; each finite and >= 0. */
typedef struct reseat_terms {
    double u_run_mm;     /* of the stored offset, per axis */
    double u_seat_mm;    /* scatter of one seating, per axis, at the ball */
    double u_turn_deg;   /* scatter of the orientation stop and key play */
    double u_spindle_mm; /* how well the spindle's part is known, per axis */
    double u_touch_mm;   /* probe repeatability, per axis */
    double u_drift_mm;   /* growth since the run, per axis */
    double u_axial_mm;   /* Z scatter of one seating */
    double lobing_mm;    /* largest radius change by a turn where lobes are not on record, unless
                            the radii that are there spread more */
    unsigned assumed;    /* bit 1u << reseat_term: an assumed figure stands in */
} reseat_terms;

/*
 * Gives a term a value, which is then no longer assumed.
 *   value  in   mm, or degrees for RESEAT_TERM_TURN; finite; >= 0
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT (NULL; RESEAT_TERM_SHIFT, which is no part of the
 * terms), _NOT_FINITE, _RANGE with *terms as it was.
 */
RESEAT_API reseat_status reseat_terms_set(reseat_terms *terms, reseat_term term, double value);

typedef struct reseat_estimate {
    reseat_xy offset_mm;  /* found by the run */
    reseat_xy in_use_mm;  /* added by the control; the run's unless said otherwise */
    reseat_xy spindle_mm; /* part that stays with the spindle; {0, 0} if unknown */
    reseat_terms terms;
    bool out;             /* the probe has, or may have, been out since the run: two seatings */

    /* Radius by direction on record; curve NULL if there is none. */
    const reseat_radius_curve *curve;
    const double *dirs_deg; /* the directions on record, dirs of them; may be NULL with 0 */
    size_t dirs;

    /* The result of a gauge check since the last reseat: its shift replaces error and scatter. */
    bool verified;
    reseat_xy shift_mm;
    double shift_u_mm;    /* standard uncertainty per axis, >= 0 */
    double shift_drift_mm; /* growth since the check, per axis, >= 0 */
    bool shift_reseated;  /* two more seatings scatter: it goes out at every tool change */
    bool shift_anew;      /* the check measured the offset itself, so the run's own error is no
                             part of the shift */

    /* What the control adds now less what it added when the gauge was read at the run. */
    reseat_xy in_use_change_mm;
} reseat_estimate;

/*
 * Gives the part of the offset that stays with the spindle. An assumed u_spindle falls to 0.0002
 * mm with it, and stays assumed. Returns RESEAT_OK, RESEAT_ERR_ARGUMENT or RESEAT_ERR_NOT_FINITE.
 */
RESEAT_API reseat_status reseat_estimate_set_spindle(reseat_estimate *estimate,
                                                     reseat_xy spindle_mm);

typedef struct reseat_effect {
    double turn_deg;          /* (-180, 180] */
    reseat_xy error_mm;       /* reported minus true */
    reseat_cov covariance_mm2;
    double hidden_mm;         /* radius change either way, where lobes are not on record; else 0 */
    double radius_u_mm;       /* standard uncertainty of a radius change, where they are; else 0 */
    double length_low_mm;     /* where the length of error_mm lies with 95 %, by what scatters */
    double length_high_mm;    /* along it; of no error along the widest axis; from 0 on */
} reseat_effect;

/*
 * Error of every position at one turn, and its covariance.
 *
 *   estimate  in   finite; terms >= 0
 *   turn_deg  in   seat now minus seat at the run; any finite value
 *   effect    out
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _NOT_FINITE, _RANGE with *effect as it was.
 *
 * Method    C = (u_run^2 + n u_seat^2 + u_drift^2 + u_touch^2 + 4 sin^2(turn/2) u_spindle^2) I
 *           + 2 (|q| u_turn)^2 t t', t the unit vector across R(turn) q.
 */
RESEAT_API reseat_status reseat_estimate_effect(const reseat_estimate *estimate, double turn_deg,
                                                reseat_effect *effect);

/*
 * OK or RECALIBRATE: the worst possible seat decides, an unrecorded angle is not a random one.
 */

#define RESEAT_CONFIDENCE 0.95 /* unless the user or the policy says otherwise */
#define RESEAT_SHARE 0.10      /* of a tolerance that probing may use, unless said otherwise */

/* Why a verdict is not OK; the bits 1u << reason are collected in one number. */
typedef enum reseat_reason {
    RESEAT_REASON_ERROR_EXCEEDS_LIMIT = 0,
    RESEAT_REASON_CHANCE_BELOW_CONFIDENCE = 1,
    RESEAT_REASON_LIMIT_BELOW_UNCERTAINTY = 2,
    RESEAT_REASON_COLLISION = 3,
    RESEAT_REASON_STYLUS_CHANGE = 4,
    RESEAT_REASON_SERVICE = 5,
    RESEAT_REASON_TOO_OLD = 6,
    RESEAT_REASON_ELSEWHERE = 7,
    RESEAT_REASON_DAMAGE_IGNORED = 8, /* said where it was; alone it leaves an OK standing */
    RESEAT_REASON_LOST_RECORDS = 9,     /* a line since the run was lost, and nobody looked at it */
    RESEAT_REASON_UNEXPLAINED_SHIFT = 10, /* no possible seat explains a gauge check */
    RESEAT_REASON_UNLIKE_BEFORE = 11    /* the run is unlike those before it */
} reseat_reason;
#define RESEAT_REASON_COUNT 12

/* "error-exceeds-limit" and so on; "" for a value that is no reason. */
RESEAT_API const char *reseat_reason_code(reseat_reason reason);

/* The one step that helps most after RECALIBRATE. */
typedef enum reseat_next {
    RESEAT_NEXT_NONE = 0,         /* the verdict is OK */
    RESEAT_NEXT_CALIBRATE = 1,    /* a new run, or the probe as it was at the last */
    RESEAT_NEXT_GAUGE_CHECK = 2,  /* at some possible seat all is well: find out which it is */
    RESEAT_NEXT_SPINDLE_PART = 3, /* two runs half a turn apart would learn the spindle's part */
    RESEAT_NEXT_RECORD_SEAT = 4,  /* at no possible seat all is well: a new run, its seat */
    RESEAT_NEXT_BETTER_U = 5      /* measure the term named in reseat_answer.next_term */
} reseat_next;

typedef struct reseat_question {
    reseat_estimate estimate;
    reseat_turns turns;   /* possible turns since the run */
    double limit_mm;      /* largest error the user allows the probe to add; > 0 */
    double confidence;    /* chance that it must reach; above 0 and below 1 */
    unsigned reasons;     /* found in the log beforehand: COLLISION and what follows it; else 0 */
} reseat_question;

/*
 * A question about an offset that is typed rather than on record: the run's offset in use, no
 * part of it known to stay with the spindle, nothing about lobes, every term assumed, the
 * confidence RESEAT_CONFIDENCE; the limit is still to be given.
 *
 *   offset_mm  in   stored stylus offset; mm; finite
 *   run_deg    in   seat at the run; degrees; finite
 *   seat       in   what is known of the present seat
 *   question   out
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _NOT_FINITE, _RANGE with *question as it was.
 */
RESEAT_API reseat_status reseat_verdict_question(reseat_xy offset_mm, double run_deg,
                                                 const reseat_seat *seat,
                                                 reseat_question *question);

/* One possible seat. */
typedef struct reseat_outcome {
    double turn_deg;          /* (-180, 180] */
    double seat_deg;          /* [0, 360); 0 where the run's seat is not known */
    reseat_xy error_mm;
    double error_length_mm;
    double error_bearing_deg; /* (-180, 180] */
    double chance_within;     /* 0 to 1 */
} reseat_outcome;

/* What a term adds at the worst seat, and whether anybody gave it. */
typedef struct reseat_budget_row {
    reseat_term term;
    double u_mm; /* standard, per axis; u_turn: across the offset only; lobing: a bound */
    bool assumed;
} reseat_budget_row;

#define RESEAT_OUTCOMES_MAX RESEAT_SEAT_KEYS_MAX

typedef struct reseat_answer {
    bool ok;
    bool seats_named;      /* the run's seat is known, so seat_deg means something */
    bool assumed_decides;  /* with the assumed terms at 0 (RECALIBRATE) or doubled (OK) it turns */
    unsigned reasons;      /* bits 1u << reseat_reason */
    reseat_next next;
    reseat_term next_term; /* for RESEAT_NEXT_BETTER_U */
    size_t count;
    reseat_outcome seats[RESEAT_OUTCOMES_MAX]; /* one for a single turn; both ends, then the
                              worst, for a range; each for a list; 0, 15, ... for a whole turn */
    reseat_outcome worst;
    double turning_mm;     /* |q|, length of the part of the offset that turns */
    reseat_any any;        /* closed forms for |q| and the limit, geometry alone */
    double allowed_turn_deg;  /* chance (two seatings) stays at the confidence up to it; 0: none */
    double allowed_offset_mm; /* largest |q| for which half a turn does */
    reseat_budget_row budget[RESEAT_TERM_COUNT]; /* at the worst seat; budget_count of them */
    size_t budget_count;
} reseat_answer;

/*
 * The verdict on a question.
 *
 *   question  in   finite; ranges as above
 *   answer    out
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _NOT_FINITE, _RANGE with *answer as it was. Not
 * being able to decide is an error, never a verdict.
 *
 * Method    least chance over the possible turns; chances within 1e-12 count as equal, then the
 *           larger error, then the smaller turn. A range is searched at its ends, at its largest
 *           error, and on a 1 degree grid refined by golden section.
 * Accuracy  the worst chance of a range within 1e-9 of a brute-force scan. Held by
 *           tests/unit/verdict_test.c.
 * Threads   no shared state.      Memory  allocates nothing; the answer has some 20 KiB.
 */
RESEAT_API reseat_status reseat_verdict_decide(const reseat_question *question,
                                               reseat_answer *answer);

/* Limit from the full width of a tolerance zone: share * tolerance / 2; both must be > 0. */
RESEAT_API reseat_status reseat_verdict_limit(double tolerance_mm, double share, double *limit_mm);

/*
 * What a turned probe gets wrong of features: surfaces, slots, bores, corners and so on, as their
 * touches come out with the stored calibration.
 *
 *     surface:DIR                        DIR the approach direction, degrees
 *     slot:WIDTH:DIR   ridge:WIDTH:DIR   DIR the axis through both sides
 *     bore:DIAMETER[:TOUCHES[:START]]    4 touches, evenly spaced, unless said otherwise;
 *     boss:DIAMETER[:TOUCHES[:START]]    START the side touched first, 0 unless said otherwise
 *     corner:DIR1:DIR2                   approach directions of its two walls
 *     pair                               two features probed in one seat by the same touches
 *     height                             one touch downwards
 */

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
 * The same at the worst of the question's possible seats: least chance, then larger error, then
 * smaller turn; without a tolerance the larger error alone decides. The question's limit is not
 * read. RECALIBRATE also where the question already has a reason for it.
 *
 * Returns RESEAT_OK, else *row is as it was before the call:
 *   RESEAT_ERR_ARGUMENT       a pointer is NULL, or the feature has no such quantity
 *   RESEAT_ERR_NOT_FINITE     an input is NaN or infinite, or the result overflows
 *   RESEAT_ERR_RANGE          a value outside its range; or the ball does not get to the touches: a
 *                             bore or slot no wider than the ball and its error, a boss passed by
 *   RESEAT_ERR_NO_CONVERGENCE, _SINGULAR  the circle through the touches could not be found
 *
 * Method    the true ball is moved to contact along each approach, and what the stored calibration
 *           reports of it goes through the feature, for bore and boss the least-squares circle; the
 *           worst seat as in reseat_verdict_decide.
 * Accuracy  1e-12 mm for features up to 100 mm. Held by tests/unit/feature_test.c.
 */
RESEAT_API reseat_status reseat_feature_worst(const reseat_question *question,
                                              const reseat_feature *feature,
                                              reseat_reported quantity, double share,
                                              reseat_feature_row *row);

#ifdef __cplusplus
}
#endif
#endif
