/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What the parts of the verdict share: its limits, and the search over the possible seats. */
#ifndef RESEAT_WORST_SEAT_H
#define RESEAT_WORST_SEAT_H

#include "reseat/verdict.h"

/* A confidence between 0 and 1; a limit above 0 with it; all finite. */
reseat_status reseat_check_confidence(double confidence);
reseat_status reseat_check_limit(double limit_mm, double confidence);

typedef struct reseat_search {
    reseat_outcome worst; /* least chance, then larger error, then smaller turn */
    double best_chance;   /* the largest chance met on the way */
} reseat_search;

/* What is tried at every possible turn. */
typedef struct reseat_trial {
    reseat_status (*outcome_at)(const void *context, double turn_deg, reseat_outcome *outcome);
    const void *context;
    bool by_error; /* the larger error is the worse, as no chance is asked for */
} reseat_trial;

/* Worst of the question's turns by a trial; RESEAT_ERR_NOT_FINITE, _RANGE for no such turns. */
reseat_status reseat_worst_turn(const reseat_question *question, const reseat_trial *trial,
                                reseat_search *search);

/* The seat that a turn leads to; 0 where the run's is not known. */
double reseat_seat_named(const reseat_turns *turns, double turn_deg);

/* Worst of the question's turns; statuses as reseat_verdict_decide. */
reseat_status reseat_worst_seat(const reseat_question *question, reseat_search *search);

/* The seats to show, as reseat_answer.seats says; statuses as reseat_verdict_decide. */
reseat_status reseat_shown_seats(const reseat_question *question, const reseat_outcome *worst,
                                 reseat_outcome *seats, size_t *count);

#endif
