/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Six doubles of any bits: a chance, or the error that fits them; never a NaN. */
#include <math.h>
#include <stdint.h>

#include "check.h"
#include "maths/chance.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static bool all_finite(const double *values, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (!isfinite(values[i]))
            return false;
    return true;
}

static void check_disc(const double *v)
{
    const reseat_cov c = {v[2], v[3], v[4]};
    double chance = 7, mirrored = 7;
    const reseat_status status = chance_disc((reseat_xy){v[0], v[1]}, c, v[5], &chance);
    require((status == RESEAT_ERR_NOT_FINITE) == !all_finite(v, 6));
    if (status != RESEAT_OK) {
        require(same_bits(chance, 7));
        return;
    }
    require(chance >= 0 && chance <= 1);
    require(chance_disc((reseat_xy){-v[0], -v[1]}, c, v[5], &mirrored) == RESEAT_OK);
    require(same_bits(chance, mirrored));
}

static void check_line(const double *v)
{
    double chance = 7;
    const reseat_status status = chance_line(v[0], v[1], v[2], &chance);
    require((status == RESEAT_ERR_NOT_FINITE) == !all_finite(v, 3));
    require(status == RESEAT_OK ? chance >= 0 && chance <= 1 : same_bits(chance, 7));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    double values[6] = {0};
    memcpy(values, data, size < sizeof values ? size : sizeof values);
    check_disc(values);
    check_line(values);
    return 0;
}
