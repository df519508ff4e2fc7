/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MEASURE_CORRECT_H
#define RESEAT_MEASURE_CORRECT_H

#include "reseat/rescue.h"

/* A result put right. */
typedef struct corrected_result {
    reseat_xy at_mm;
    double u_mm; /* what the correction adds to its standard uncertainty, per axis */
} corrected_result;

/*
 * Corrects one result: reported - error, of a surface reported - (error . u + rho) u.
 *
 *   reported_mm  in   finite
 *   dir_deg      in   surface: approach direction, u the unit vector along it, rho the change of
 *                     radius by the turn; its uncertainty is that along u, with hidden lobes
 *                     as a wave of that height whose phase is not known
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _NOT_FINITE, or _RANGE (a surface touched with a ball
 * whose lobes are on record, the turn not known) with *corrected as it was.
 */
reseat_status correct_point(const reseat_correction *correction, reseat_xy reported_mm,
                            corrected_result *corrected);
reseat_status correct_surface(const reseat_correction *correction, reseat_xy reported_mm,
                              double dir_deg, corrected_result *corrected);

#endif
