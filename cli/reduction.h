/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* From a file of touches to what they come to. */
#ifndef RESEAT_CLI_REDUCTION_H
#define RESEAT_CLI_REDUCTION_H

#include "show/failure.h"

typedef struct outlier {
    size_t line;        /* of the file */
    double residual_mm;
} outlier;

typedef struct reduced {
    reseat_reduce_setup setup;
    bool dropped;       /* the outliers were left out */
    bool gauge_overdue; /* by the register */
    size_t count;       /* touches in use */
    reseat_touch touches[RESEAT_TOUCHES_MAX];
    reseat_touch_result results[RESEAT_TOUCHES_MAX];
    reseat_reduction reduction;
    size_t outlier_count;
    outlier outliers[RESEAT_TOUCHES_MAX];
} reduced;

/* What to do now about its doubts, a line each; on standard error it is said who speaks. */
void reduction_print_doubts(FILE *out, const reduced *found, reseat_unit unit);

/* Refuses to record what is doubtful: all of that in one line, and what else can be done. */
bool reduction_refuse_doubts(arguments *args, const char *key, const reduced *found,
                             const char *otherwise);

/*
 * Reads touches and reduces them, with the gauge that the options describe; what the shop's policy
 * says of the probe, NULL for none, stands in for assumed figures.
 */
bool reduction_read(arguments *args, const char *file, const reseat_record *policy,
                    reduced *found);

#endif
