/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What estimate.c shares with the verdict. */
#ifndef RESEAT_ESTIMATE_PARTS_H
#define RESEAT_ESTIMATE_PARTS_H

#include "reseat/estimate.h"

#define RADIANS_PER_DEGREE 0.017453292519943295

/* Multiplies every assumed term. */
void reseat_terms_scale_assumed(reseat_terms *terms, double factor);

/*
 * Largest radius change by a turn where lobes are not on record: what `lobing` says, or what the
 * radii that are there show, if that is more.
 */
double reseat_estimate_hidden(const reseat_estimate *estimate, double turn_deg);

#endif
