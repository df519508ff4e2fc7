/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * How a feature answers to its touches when each comes out a little longer or shorter on its own.
 * The least-squares circle through n walls that are evenly spread answers with its centre by 2/n
 * of each along its direction, and with its diameter by 2/n of each.
 */
#include "feature_parts.h"

#include <math.h>

static double larger_length(reseat_xy a, reseat_xy b)
{
    return fmax(hypot(a.x + b.x, a.y + b.y), hypot(a.x - b.x, a.y - b.y));
}

/*
 * Longest sum of n evenly spread unit vectors, each taken either way: those of one half plane, as
 * a chain of chords. With an odd n they lie half as far apart, opposite ones filling the gaps.
 */
static double longest_sum(unsigned n)
{
    double sine, cosine;
    reseat_plane_sincos((n % 2 == 0 ? 180.0 : 90.0) / n, &sine, &cosine);
    return (n % 2 == 0 ? 2 : 1) / sine;
}

static double round_reach(const reseat_feature *feature, feature_source from)
{
    const double each = 2.0 / feature->touches;
    if (from == FEATURE_PLANE_LENGTH)
        return each * longest_sum(feature->touches);
    double sum = 0;
    for (unsigned i = 0; i < feature->touches; i++) {
        const reseat_xy u = reseat_plane_unit(feature_side(feature, i));
        sum += fabs(from == FEATURE_PLANE_X ? u.x : u.y);
    }
    return each * sum;
}

static double corner_reach(const reseat_feature *feature, feature_source from)
{
    const reseat_xy first = feature_corner_weight(feature, 0);
    const reseat_xy second = feature_corner_weight(feature, 1);
    if (from == FEATURE_PLANE_LENGTH)
        return larger_length(first, second);
    return from == FEATURE_PLANE_X ? fabs(first.x) + fabs(second.x)
                                   : fabs(first.y) + fabs(second.y);
}

double feature_lobe_reach(const reseat_feature *feature, feature_source from)
{
    switch (from) {
    case FEATURE_ALONG: return 1;
    case FEATURE_SIZE: return 2;
    case FEATURE_PLANE_X:
    case FEATURE_PLANE_Y:
    case FEATURE_PLANE_LENGTH:
        return feature_is_round(feature) ? round_reach(feature, from)
                                         : corner_reach(feature, from);
    case FEATURE_NOTHING: break;
    }
    return 0;
}

double feature_lobe_variance(const reseat_feature *feature, feature_source from)
{
    if (from == FEATURE_SIZE)
        return feature_is_round(feature) ? 4.0 / feature->touches : 2;
    if (from == FEATURE_ALONG) /* the middle of two sides has half the variance of one */
        return feature->kind == RESEAT_FEATURE_SLOT || feature->kind == RESEAT_FEATURE_RIDGE ? 0.5
                                                                                             : 1;
    return 0;
}

reseat_cov feature_lobe_covariance(const reseat_feature *feature)
{
    if (feature_is_round(feature))
        return (reseat_cov){2.0 / feature->touches, 0, 2.0 / feature->touches};
    if (feature->kind != RESEAT_FEATURE_CORNER)
        return (reseat_cov){0, 0, 0};
    const reseat_xy first = feature_corner_weight(feature, 0);
    const reseat_xy second = feature_corner_weight(feature, 1);
    return (reseat_cov){first.x * first.x + second.x * second.x,
                        first.x * first.y + second.x * second.y,
                        first.y * first.y + second.y * second.y};
}
