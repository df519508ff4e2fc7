/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_HISTORY_DUE_H
#define RESEAT_HISTORY_DUE_H

#include "reseat/history.h"

typedef struct due_date {
    double days; /* whole days since the run, or since the gauge check that stands for it */
    bool by_age; /* it is max_age_days that is up, not the chance */
} due_date;

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
reseat_status due_find(const reseat_estimate *estimate, double limit_mm,
                       double confidence, const reseat_drift_growth *growth,
                       double max_age_days, due_date *due);

#endif
