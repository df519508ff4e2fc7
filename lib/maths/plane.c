/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "maths/plane.h"

#include <math.h>

static const double RAD_PER_DEG = 0x1.1df46a2529d39p-6;
static const double RAD_PER_DEG_REST = 0x1.5c1d8becdd291p-62; /* pi/180 less the number above */
static const double DEG_PER_RAD = 0x1.ca5dc1a63c1f8p+5;

/* + 0.0 makes a 0 of -0, and nothing else of anything else. */

double reseat_plane_turn(double deg)
{
    const double turn = remainder(deg, 360.0);
    return (turn <= -180.0 ? 180.0 : turn) + 0.0;
}

double plane_seat(double deg)
{
    double seat = fmod(deg, 360.0);
    if (seat < 0)
        seat += 360.0;
    /* the sum is 360 when the angle was a hair below zero */
    return (seat >= 360.0 ? 0.0 : seat) + 0.0;
}

double plane_turn_between(double from_deg, double to_deg)
{
    const double to = reseat_plane_turn(to_deg);
    const double from = reseat_plane_turn(from_deg);
    /* to - from without loss is difference + rest (Knuth's sum), so that only the end rounds. */
    const double difference = to - from;
    const double taken = to - difference;
    const double rest = (to - (difference + taken)) + (taken - from);
    return reseat_plane_turn(reseat_plane_turn(difference) + rest);
}

/* Sine and cosine of an angle of at most 45 degrees. */
static void sincos_of_octant(double deg, double *sine, double *cosine)
{
    /* rad + rest is the angle to twice the precision: the rounding of rad does not reach the end */
    const double rad = deg * RAD_PER_DEG;
    const double rest = fma(deg, RAD_PER_DEG, -rad) + deg * RAD_PER_DEG_REST;
    const double s = sin(rad);
    const double c = cos(rad);
    *sine = s + c * rest;
    *cosine = c - s * rest;
    if (fabs(deg) >= 30.0 && fabs(deg) <= 30.0)
        *sine = copysign(0.5, deg);
    if (fabs(deg) >= 45.0)
        *sine = copysign(*cosine, deg);
}

void plane_sincos(double deg, double *sine, double *cosine)
{
    const double turn = reseat_plane_turn(deg);
    const double quarters = rint(turn / 90.0);
    double s, c;
    sincos_of_octant(turn - 90.0 * quarters, &s, &c); /* the difference is exact */
    if (fabs(quarters) > 1.5) { /* 180 */
        *sine = -s + 0.0;
        *cosine = -c;
    } else if (fabs(quarters) > 0.5) { /* 90, -90 */
        *sine = quarters * c;
        *cosine = -quarters * s + 0.0;
    } else {
        *sine = s;
        *cosine = c;
    }
}

reseat_xy reseat_plane_unit(double deg)
{
    reseat_xy unit;
    plane_sincos(deg, &unit.y, &unit.x);
    return unit;
}

reseat_xy plane_rotate(reseat_xy v, double deg)
{
    const reseat_xy unit = reseat_plane_unit(deg);
    return (reseat_xy){v.x * unit.x - v.y * unit.y, v.x * unit.y + v.y * unit.x};
}

/* Counted from the nearest axis, which is then exact. */
double reseat_plane_bearing(reseat_xy v)
{
    const double x = fabs(v.x);
    const double y = fabs(v.y);
    if (!(x > 0) && !(y > 0) && !isnan(x) && !isnan(y))
        return 0.0;
    double deg = y > x ? 90.0 - atan2(x, y) * DEG_PER_RAD : atan2(y, x) * DEG_PER_RAD;
    if (v.x < 0)
        deg = 180.0 - deg;
    /* a hair below the axis of -X the bearing rounds to -180, whose name is 180 */
    return v.y < 0 && deg < 180.0 ? -deg + 0.0 : deg;
}

double reseat_plane_length(reseat_xy v)
{
    return hypot(v.x, v.y);
}
