/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* When a run will have to be made again, if nothing happens until then (handbook section 11). */
#ifndef RESEAT_DUE_H
#define RESEAT_DUE_H

#include <stdbool.h>
#include "reseat/drift.h"
#include "reseat/estimate.h"
#include "reseat/status.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct reseat_due {
    double days; /* whole days since the run, or since the gauge check that stands for it */
    bool by_age; /* it is max_age_days that is up, not the chance */
} reseat_due;

/*
 * The first day on which the verdict would be RECALIBRATE for a probe that stays in the spindle.
 *
 *   estimate      in   as for a verdict on seat `same`; its u_drift_mm and out are not read
 *   limit_mm      in   > 0
 *   confidence    in   above 0 and below 1
 *   growth        in   how u_drift grows from day to day
 *   max_age_days  in   >= 0; finite; due no later than this
 *   due           out  0 days where the verdict is RECALIBRATE at once
 *
 * Returns RESEAT_OK, or RESEAT_ERR_ARGUMENT, _NOT_FINITE, _RANGE with *due as it was.
 *
 * Method    u_drift grows, and the chance falls as it does wherever the error is within the limit
 *           and the scatter the same all round; as it need not fall otherwise, ten years are gone
 *           through day by day. What lies beyond is found by halving.
 * Threads   no shared state.      Memory  allocates nothing.
 */
RESEAT_API reseat_status reseat_due_find(const reseat_estimate *estimate, double limit_mm,
                                         double confidence, const reseat_drift_growth *growth,
                                         double max_age_days, reseat_due *due);

#ifdef __cplusplus
}
#endif
#endif
