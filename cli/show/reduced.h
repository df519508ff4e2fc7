/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What the touches of a gauge come to, and how it is shown. */
#ifndef RESEAT_CLI_REDUCED_H
#define RESEAT_CLI_REDUCED_H

#include "../options.h"
#include "json.h"

typedef struct outlier {
    size_t line;        /* of the file */
    double residual_mm;
} outlier;

typedef struct reduced {
    reseat_reduce_setup setup;
    bool dropped;       /* the outliers were left out */
    size_t count;       /* touches in use */
    reseat_touch touches[RESEAT_TOUCHES_MAX];
    reseat_touch_result results[RESEAT_TOUCHES_MAX];
    reseat_reduction reduction;
    size_t outlier_count;
    outlier outliers[RESEAT_TOUCHES_MAX];
} reduced;

void reduced_screen(const arguments *args, const void *found);
void reduced_keys(json *j, const void *found);

#endif
