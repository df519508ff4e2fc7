/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* A probe that touches a gauge without error: what reductions are tested with. */
#ifndef RESEAT_TESTS_PROBE_H
#define RESEAT_TESTS_PROBE_H

#include <math.h>
#include "reseat/seat.h"
#include "reseat/touches.h"
#include "maths/plane.h"

typedef struct probe {
    reseat_xy offset_mm;
    double radius_mm;
    double lobe_mm; /* three lobes, the first at lobe_deg in the probe's frame */
    double lobe_deg;
} probe;

static inline double probe_radius(const probe *p, double dir_deg)
{
    double sine, cosine;
    plane_sincos(3 * (dir_deg - p->lobe_deg), &sine, &cosine);
    return p->radius_mm + p->lobe_mm * cosine;
}

/* Moving along dir_deg, `up_deg` below (ring, plug: 0) the equator, with the spindle turned. */
static inline reseat_touch probe_touch(const probe *p, const reseat_gauge *gauge,
                                       reseat_xyz centre_mm, double turn_deg, double dir_deg,
                                       double up_deg)
{
    const int inside = gauge->kind == RESEAT_GAUGE_RING;
    const double r = probe_radius(p, dir_deg - turn_deg);
    const double reach_mm = inside ? gauge->diameter_mm / 2 - r : -(gauge->diameter_mm / 2 + r);
    const reseat_xy u = reseat_plane_unit(dir_deg);
    const reseat_xy o = plane_rotate(p->offset_mm, turn_deg);
    double sine, cosine;
    plane_sincos(up_deg, &sine, &cosine);
    return (reseat_touch){.x_mm = centre_mm.x + reach_mm * cosine * u.x - o.x,
                          .y_mm = centre_mm.y + reach_mm * cosine * u.y - o.y,
                          .z_mm = centre_mm.z - reach_mm * sine, .turn_deg = turn_deg};
}

/* `dirs` evenly spaced directions from 10 degrees on at each turn; returns how many touches. */
static inline size_t probe_run(const probe *p, const reseat_gauge *gauge, reseat_xyz centre_mm,
                               const double *turns_deg, size_t turns, size_t dirs,
                               reseat_touch *touches)
{
    size_t n = 0;
    for (size_t k = 0; k < turns; k++)
        for (size_t i = 0; i < dirs; i++, n++) {
            touches[n] = probe_touch(p, gauge, centre_mm, turns_deg[k],
                                     10 + 360.0 * (double)i / (double)dirs, 0);
            touches[n].line = n + 2;
            touches[n].column = 3;
        }
    return n;
}

#endif
