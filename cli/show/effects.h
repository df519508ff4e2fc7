/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What reseat effects found, and how it is shown. */
#ifndef RESEAT_CLI_EFFECTS_H
#define RESEAT_CLI_EFFECTS_H

#include "answer.h"

/* A quantity of a feature at its worst seat. */
typedef struct effect_row {
    const char *spec; /* as typed, spec_length bytes of it */
    const reseat_feature *feature;
    reseat_feature_row found;
} effect_row;

#define EFFECT_ROWS_MAX (FEATURES_MAX * 5)

typedef struct effects {
    bool standard; /* the features were not typed */
    bool ok;       /* every tolerance that was typed is kept */
    size_t count;
    effect_row rows[EFFECT_ROWS_MAX];
    reseat_feature features[RESEAT_FEATURE_STANDARD_COUNT];
    bool named;    /* the run's seat is known, so that seats have names */
} effects;

void effects_screen(const arguments *args, const request *asked, const effects *all);
void effects_json(const effects *all);

#endif
