/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * OK or RECALIBRATE: the worst possible seat decides, an unrecorded angle is not a random one
 * (handbook section 6).
 */
#ifndef RESEAT_VERDICT_H
#define RESEAT_VERDICT_H

#include <stdbool.h>
#include <stddef.h>
#include "reseat/estimate.h"
#include "reseat/plane.h"
#include "reseat/seat.h"
#include "reseat/status.h"

#ifdef __cplusplus
extern "C" {
#endif

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
    RESEAT_REASON_DAMAGE_IGNORED = 8 /* said where it was; alone it leaves an OK standing */
} reseat_reason;
#define RESEAT_REASON_COUNT 9

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
 * Largest turn, either way, up to which the chance after two seatings stays at the confidence;
 * 0 if it does not even without a turn, 180 if at every turn. Arguments as in reseat_question.
 */
RESEAT_API reseat_status reseat_verdict_allowed_turn(const reseat_estimate *estimate,
                                                     double limit_mm, double confidence,
                                                     double *turn_deg);

/*
 * Largest turning part |q| for which the chance after half a turn and two seatings reaches the
 * confidence, in the direction that q has now; 0 if none does. The offset in use is the run's.
 */
RESEAT_API reseat_status reseat_verdict_allowed_offset(const reseat_estimate *estimate,
                                                       double limit_mm, double confidence,
                                                       double *offset_mm);

#ifdef __cplusplus
}
#endif
#endif
