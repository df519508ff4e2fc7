/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What estimate.c shares with the verdict. */
#ifndef RESEAT_ESTIMATE_PARTS_H
#define RESEAT_ESTIMATE_PARTS_H

#include "reseat/estimate.h"

#define RADIANS_PER_DEGREE 0.017453292519943295

/* Multiplies every assumed term. */
void reseat_terms_scale_assumed(reseat_terms *terms, double factor);

/* Whether lobes count as on record: a curve through enough distinct directions. */
bool reseat_estimate_has_lobes(const reseat_estimate *estimate);

/*
 * Largest radius change by a turn where they do not: what `lobing` says, or what the radii that
 * are on record show, if that is more.
 */
double reseat_estimate_hidden(const reseat_estimate *estimate, double turn_deg);

#endif
