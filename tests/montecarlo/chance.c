/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Chances within a disc against a slow quadrature in long double that shares nothing with them,
 * over random means and covariances from round to thin.
 *
 *     chance [CASES [SEED]]
 */
#include <float.h>
#include <stdio.h>

#include "../unit/disc_peer.h"
#include "maths/chance.h"

static const double ACCURACY = 1e-12;

int main(int argc, char **argv)
{
    const long cases = argc > 1 ? strtol(argv[1], NULL, 10) : 200000;
    const uint64_t first = argc > 2 ? strtoull(argv[2], NULL, 10) : 20260311;
    if (LDBL_MANT_DIG < 64) {
        puts("skipped: long double is no more than double here");
        return 77;
    }
    uint64_t seed = first;
    long wrong = 0, between = 0;
    double worst = 0;
    for (long i = 0; i < cases; i++) {
        const disc_case q = disc_random(&seed);
        double chance = -1;
        const reseat_status status = chance_disc(q.mean, q.covariance, q.limit, &chance);
        const double apart = fabs(chance - disc_chance(&q));
        if (status != RESEAT_OK || !(apart <= ACCURACY))
            wrong++;
        if (!(apart <= worst))
            worst = apart;
        between += chance > 1e-6 && chance < 1 - 1e-6;
    }
    printf("chance: %ld cases, seed %llu, %ld neither 0 nor 1 to 1e-6; worst difference %.2g, "
           "%ld above %g\n",
           cases, (unsigned long long)first, between, worst, wrong, ACCURACY);
    return cases > 0 && wrong == 0 ? 0 : 1;
}
