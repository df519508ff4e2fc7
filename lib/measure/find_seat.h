/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MEASURE_FIND_SEAT_H
#define RESEAT_MEASURE_FIND_SEAT_H

#include "reseat/rescue.h"

/*
 * The same from the offset itself, measured then and again now with the spindle turned each time:
 * where the gauge stands, and whether it has moved, no longer matters.
 *
 *   then_mm, then_mm2  in   offset at the run's seat and its covariance
 *   now_mm, now_mm2    in   offset now and its covariance
 *
 * The rest as reseat_find_seat; RESEAT_ERR_RANGE also where a matrix is no covariance or both are
 * zero. Of the covariances the largest eigenvalue counts, either way.
 */
reseat_status find_seat_by_offset(const reseat_estimate *estimate,
                                  const reseat_turns *turns, reseat_xy then_mm,
                                  reseat_cov then_mm2, reseat_xy now_mm,
                                  reseat_cov now_mm2, reseat_found *found);

#endif
