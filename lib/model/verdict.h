/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MODEL_VERDICT_H
#define RESEAT_MODEL_VERDICT_H

#include "reseat/probe.h"

/* A confidence between 0 and 1; a limit above 0 with it; all finite. */
reseat_status verdict_check_confidence(double confidence);
reseat_status verdict_check_limit(double limit_mm, double confidence);

/* A search for the worst of the possible turns: least chance, larger error, smaller turn. */
typedef struct seat_search {
    /* What is asked of a turn; nothing more is asked once *status is not RESEAT_OK. */
    reseat_outcome (*outcome_at)(const void *context, double turn_deg, reseat_status *status);
    const void *context;
    bool by_error;        /* the larger error is the worse, as no chance is asked for */
    reseat_status status; /* the first that is not RESEAT_OK; the results are then of no use */
    reseat_outcome worst;
    double best_chance;   /* the largest met on the way */
} seat_search;

/* Searches the question's turns; NOT_FINITE or RANGE for no such turns, or as outcome_at says. */
reseat_status worst_turn(const reseat_question *question, seat_search *search);

/* The same by the chance of the verdict itself; statuses as reseat_verdict_decide. */
reseat_status worst_seat(const reseat_question *question, seat_search *search);

/* The seat that a turn leads to; 0 where the run's is not known. */
double seat_named(const reseat_turns *turns, double turn_deg);

/* The seats to show, as reseat_answer.seats says; statuses as reseat_verdict_decide. */
reseat_status shown_seats(const reseat_question *question, const reseat_outcome *worst,
                          reseat_outcome *seats, size_t *count);

/*
 * Largest turn, either way, up to which the chance after two seatings stays at the confidence;
 * 0 if it does not even without a turn, 180 if at every turn.
 */
reseat_status verdict_allowed_turn(const reseat_estimate *estimate, double limit_mm,
                                   double confidence, double *turn_deg);

/*
 * Largest turning part |q| for which the chance after half a turn and two seatings reaches the
 * confidence, in the direction that q has now; 0 if none does. The offset in use is the run's.
 */
reseat_status verdict_allowed_offset(const reseat_estimate *estimate, double limit_mm,
                                     double confidence, double *offset_mm);

#endif
