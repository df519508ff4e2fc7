/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MODEL_ESTIMATE_H
#define RESEAT_MODEL_ESTIMATE_H

#include "reseat/probe.h"

#define RADIANS_PER_DEGREE 0.017453292519943295

/* The assumed figures, every term marked assumed but u_drift_mm, which is 0 and not. */
reseat_terms terms_assumed(void);

/*
 * Sets u_seat to a scatter that was measured with so many degrees of freedom, INFINITY where that
 * is not known: widened by Student's t, or where there are 2 or fewer, at least as assumed.
 */
void terms_set_seat(reseat_terms *terms, double u_mm, double dof);

/* Multiplies every assumed term. */
void terms_scale_assumed(reseat_terms *terms, double factor);

/*
 * Largest radius change by a turn where lobes are not on record: what `lobing` says, or what the
 * radii that are there show, if that is more.
 */
double estimate_hidden(const reseat_estimate *estimate, double turn_deg);

/*
 * Chance that the error stays within the limit, > 0, at one turn: the smaller of that of the disc
 * and, if the probe is turned, of surfaces touched from every 15 degrees, the directions on record
 * and the bearing of the error, lobes included, hidden ones in the worse sign. 1e-12 absolute;
 * returns as reseat_estimate_effect.
 */
reseat_status estimate_chance(const reseat_estimate *estimate, double turn_deg, double limit_mm,
                              double *chance);

/* The same, or NaN unless *status is RESEAT_OK before and after: the first failure stays there. */
double estimate_chance_or_nan(const reseat_estimate *estimate, double turn_deg, double limit_mm,
                              reseat_status *status);

#endif
