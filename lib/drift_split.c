/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "drift_parts.h"

#include <assert.h>
#include <math.h>

/* Means over the runs with a seat: of the offsets, and of the unit vectors at their seats. */
typedef struct middle {
    size_t n;
    reseat_xy offset;
    reseat_xy seat;
} middle;

static middle find_middle(const reseat_drift_run *runs, size_t count)
{
    middle m = {0, {0, 0}, {0, 0}};
    for (size_t i = 0; i < count; i++) {
        if (!runs[i].seat_known)
            continue;
        const reseat_xy e = reseat_plane_unit(runs[i].seat_deg);
        m.n++;
        m.offset.x += runs[i].offset_mm.x;
        m.offset.y += runs[i].offset_mm.y;
        m.seat.x += e.x;
        m.seat.y += e.y;
    }
    const double n = m.n > 0 ? (double)m.n : 1;
    m.offset = (reseat_xy){m.offset.x / n, m.offset.y / n};
    m.seat = (reseat_xy){m.seat.x / n, m.seat.y / n};
    return m;
}

/* v turned and stretched as the unit vector along X is to e. */
static reseat_xy turned(reseat_xy v, reseat_xy e)
{
    return (reseat_xy){v.x * e.x - v.y * e.y, v.y * e.x + v.x * e.y};
}

/*
 * Offsets and seats about their means: o - mean = (e - mean) b. Least squares of that is one
 * quotient of complex numbers; a follows from the means. Returns the sum of |e - mean|^2.
 */
static double solve(const reseat_drift_run *runs, size_t count, const middle *m, reseat_xy *probe)
{
    double spread = 0;
    reseat_xy sum = {0, 0};
    for (size_t i = 0; i < count; i++) {
        if (!runs[i].seat_known)
            continue;
        const reseat_xy e = reseat_plane_unit(runs[i].seat_deg);
        const reseat_xy back = {e.x - m->seat.x, -(e.y - m->seat.y)};
        const reseat_xy o = {runs[i].offset_mm.x - m->offset.x, runs[i].offset_mm.y - m->offset.y};
        const reseat_xy part = turned(o, back);
        spread += back.x * back.x + back.y * back.y;
        sum.x += part.x;
        sum.y += part.y;
    }
    *probe = (reseat_xy){sum.x / spread, sum.y / spread};
    return spread;
}

/* Sum of the squared residuals; *u_squares the sum of what the runs say of their own scatter. */
static double leftover(const reseat_drift_run *runs, size_t count, const reseat_drift_split *split,
                       double *u_squares)
{
    double squares = 0;
    for (size_t i = 0; i < count; i++) {
        if (!runs[i].seat_known)
            continue;
        const reseat_xy b = reseat_plane_rotate(split->probe_mm, runs[i].seat_deg);
        const double x = runs[i].offset_mm.x - split->spindle_mm.x - b.x;
        const double y = runs[i].offset_mm.y - split->spindle_mm.y - b.y;
        const double u = runs[i].offset_u_known ? runs[i].offset_u_mm : U_RUN_ASSUMED_MM;
        squares += x * x + y * y;
        *u_squares += u * u;
    }
    return squares;
}

reseat_status reseat_drift_find_split(const reseat_drift_run *runs, size_t count, double u_seat_mm,
                                      reseat_drift_split *split)
{
    const middle m = find_middle(runs, count);
    reseat_drift_split found = {0};
    const double spread = m.n < 2 ? 0 : solve(runs, count, &m, &found.probe_mm);
    /* The seats must differ by some hundredth of a degree at least. */
    if (!(spread > 1e-8))
        return RESEAT_ERR_SINGULAR;
    const reseat_xy b = turned(found.probe_mm, m.seat);
    found.spindle_mm = (reseat_xy){m.offset.x - b.x, m.offset.y - b.y};
    double u_squares = 0;
    const double squares = leftover(runs, count, &found, &u_squares);
    /* Below 3 degrees of freedom the residuals say too little: the runs' own scatter stands in. */
    const unsigned dof = 2 * (unsigned)m.n - 4;
    found.dof = dof < 3 ? 0 : dof;
    const double variance = found.dof > 0 ? squares / (dof - 2.0)
                                          : u_squares / (double)m.n + u_seat_mm * u_seat_mm;
    found.u_mm = sqrt(variance / spread);
    if (!isfinite(found.spindle_mm.x) || !isfinite(found.spindle_mm.y) || !isfinite(found.u_mm))
        return RESEAT_ERR_NOT_FINITE;
    *split = found;
    return RESEAT_OK;
}
