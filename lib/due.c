/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "reseat/due.h"

#include <math.h>
#include <stddef.h>
#include "impossible.h"

static const double DAY_BY_DAY = 3653;

typedef struct asked {
    reseat_estimate estimate;
    double limit_mm;
    double confidence;
    const reseat_drift_growth *growth;
} asked;

/* Whether the chance after some days falls short. */
static reseat_status falls_short(asked *a, double days, bool *short_of)
{
    double chance = 0;
    reseat_status status = reseat_drift_growth_u(a->growth, days, &a->estimate.terms.u_drift_mm);
    if (status == RESEAT_OK)
        status = reseat_estimate_chance(&a->estimate, 0, a->limit_mm, &chance);
    if (status == RESEAT_OK)
        *short_of = !(chance >= a->confidence);
    return status;
}

/* The first of the days up to `last` that falls short; *days is left where none does. */
static reseat_status walk(asked *a, double last, bool *found, double *days)
{
    for (double day = 0; day <= last; day++) {
        const reseat_status status = falls_short(a, day, found);
        if (status != RESEAT_OK)
            return status;
        if (*found) {
            *days = day;
            break;
        }
    }
    return RESEAT_OK;
}

/* The same for the days after `from`, which does not fall short, by halving. */
static reseat_status halve(asked *a, double from, double last, bool *found, double *days)
{
    reseat_status status = falls_short(a, last, found);
    if (status != RESEAT_OK || !*found)
        return status;
    double enough = from;
    double late = last;
    while (late - enough > 1) {
        const double middle = floor(enough + (late - enough) / 2);
        bool short_of = false;
        if (!(middle > enough && middle < late))
            break; /* days so far away that doubles do not count them */
        status = falls_short(a, middle, &short_of);
        if (impossible(status != RESEAT_OK)) /* what is finite after more days is so after fewer */
            return status;
        if (short_of)
            late = middle;
        else
            enough = middle;
    }
    *days = late;
    return RESEAT_OK;
}

reseat_status reseat_due_find(const reseat_estimate *estimate, double limit_mm, double confidence,
                              const reseat_drift_growth *growth, double max_age_days,
                              reseat_due *due)
{
    if (estimate == NULL || growth == NULL || due == NULL)
        return RESEAT_ERR_ARGUMENT;
    if (!isfinite(limit_mm) || !isfinite(confidence) || !isfinite(max_age_days))
        return RESEAT_ERR_NOT_FINITE;
    if (!(limit_mm > 0) || !(confidence > 0 && confidence < 1) || !(max_age_days >= 0))
        return RESEAT_ERR_RANGE;
    asked a = {*estimate, limit_mm, confidence, growth};
    a.estimate.out = false;
    const double last = floor(max_age_days);
    const double near = fmin(last, DAY_BY_DAY);
    double days = last;
    bool found = false;
    reseat_status status = walk(&a, near, &found, &days);
    if (status == RESEAT_OK && !found && last > near)
        status = halve(&a, near, last, &found, &days);
    if (status == RESEAT_OK)
        *due = (reseat_due){.days = days, .by_age = !found};
    return status;
}
