/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Any bytes as a file of radii by direction, and the curve through those that read: it is finite,
 * and a turn of nothing or of a whole turn changes nothing.
 */
#include <math.h>
#include <stdint.h>
#include "check.h"
#include "reseat/probe.h"
#include "model/radius.h"

#define RADII_MAX 64

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void check_curve(const double *dirs_deg, const double *radii_mm, size_t count)
{
    reseat_radius_curve curve;
    const reseat_status status = reseat_radius_fit(dirs_deg, radii_mm, count, &curve);
    require(status == RESEAT_OK || status == RESEAT_ERR_NOT_FINITE);
    if (status != RESEAT_OK)
        return;
    require(curve.directions >= 1 && curve.directions <= count);
    require(curve.order <= RESEAT_RADIUS_ORDER_MAX && 2 * curve.order < curve.directions + 1);
    require(isfinite(curve.mean_mm) && curve.residual_mm >= 0 && isfinite(curve.residual_mm));
    for (size_t k = 0; k <= RESEAT_RADIUS_ORDER_MAX; k++)
        require(isfinite(curve.cosine_mm[k]) && isfinite(curve.sine_mm[k]));
    require(same_bits(fabs(radius_change(&curve, dirs_deg[0], 0)), 0));
    require(same_bits(fabs(radius_change(&curve, dirs_deg[0], 360)), 0));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    double dirs_deg[RADII_MAX], radii_mm[RADII_MAX];
    size_t count = SIZE_MAX;
    reseat_error error;
    const reseat_status status =
        reseat_radius_read((const char *)data, size, dirs_deg, radii_mm, RADII_MAX, &count, &error);
    if (status == RESEAT_OK) {
        require(count >= 1 && count <= RADII_MAX);
        for (size_t i = 0; i < count; i++)
            require(isfinite(dirs_deg[i]) && radii_mm[i] > 0 && isfinite(radii_mm[i]));
        check_curve(dirs_deg, radii_mm, count);
    } else {
        require(count == SIZE_MAX);
        require(error.text[0] != '\0');
    }
    return 0;
}
