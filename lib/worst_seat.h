/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What the parts of the verdict share: its limits, and the search over the possible seats. */
#ifndef RESEAT_WORST_SEAT_H
#define RESEAT_WORST_SEAT_H

#include "reseat/verdict.h"

/* A limit above 0 and a confidence between 0 and 1, both finite. */
reseat_status reseat_check_limit(double limit_mm, double confidence);

typedef struct reseat_search {
    reseat_outcome worst; /* least chance, then larger error, then smaller turn */
    double best_chance;   /* the largest chance met on the way */
} reseat_search;

/* Worst of the question's turns; statuses as reseat_verdict_decide. */
reseat_status reseat_worst_seat(const reseat_question *question, reseat_search *search);

/* The seats to show, as reseat_answer.seats says; statuses as reseat_verdict_decide. */
reseat_status reseat_shown_seats(const reseat_question *question, const reseat_outcome *worst,
                                 reseat_outcome *seats, size_t *count);

#endif
