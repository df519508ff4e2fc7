/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Two doubles of any bits as angles, then as a vector: against long double. */
#include <float.h>
#include <math.h>
#include <stdint.h>
#include "check.h"
#include "reseat/seat.h"
#include "maths/plane.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static const long double degree = 0.017453292519943295769236907684886127L;

/* Within so many units in the last place of the value expected. */
static void require_ulps(double actual, long double expected, long double ulps)
{
    const double size = fabs((double)expected);
    const long double ulp = fmaxl(nextafter(size, INFINITY) - size, DBL_TRUE_MIN);
    require(fabsl(actual - expected) <= ulps * ulp);
}

/* The rest to the nearest quarter turn is exact, and small enough for sinl to be. */
static void check_sincos(double deg)
{
    const long double within = fmodl(deg, 360);
    const long double quarters = roundl(within / 90), rest = (within - 90 * quarters) * degree;
    const long double s = sinl(rest), c = cosl(rest);
    const int quarter = ((int)quarters % 4 + 4) % 4;
    const long double sines[] = {s, c, -s, -c}, cosines[] = {c, -s, -c, s};
    double sine, cosine;
    plane_sincos(deg, &sine, &cosine);
    require_ulps(sine, sines[quarter], 2);
    require_ulps(cosine, cosines[quarter], 2);
}

static void check_turn(double deg)
{
    const double turn = reseat_plane_turn(deg), seat = plane_seat(deg);
    require(turn > -180 && turn <= 180 && seat >= 0 && seat < 360);
    const long double rest = fmodl(deg, 360);
    const long double expected = rest > 180 ? rest - 360 : rest <= -180 ? rest + 360 : rest;
    require(!(turn < expected) && !(turn > expected));
    const long double positive = rest < 0 ? rest + 360 : rest;
    const long double off = fabsl(seat - positive);
    require(fminl(off, 360 - off) <= 128 * DBL_EPSILON);
}

static void check_between(double from, double to)
{
    const double turn = plane_turn_between(from, to);
    require(turn > -180 && turn <= 180);
    const long double off =
        fabsl(fmodl(fmodl(to, 360) - fmodl(from, 360) - turn, 360));
    require(fminl(off, 360 - off) <= 720 * DBL_EPSILON);
}

static void check_vector(reseat_xy v)
{
    const long double length = hypotl(v.x, v.y), bearing = atan2l(v.y, v.x) / degree;
    const double found = reseat_plane_bearing(v);
    require(found > -180 && found <= 180);
    if (length > 0 && length <= DBL_MAX)
        require_ulps(reseat_plane_length(v), length, 2);
    if (!(length > 0)) {
        require(!(found < 0) && !(found > 0));
    } else {
        require(fabsl(found - bearing) <= 4 * DBL_EPSILON * fabsl(bearing) + DBL_MIN ||
                fabsl(bearing) > 179.9999L);
    }
}

/* Where nothing overflows on the way. */
static void check_error(reseat_xy offset, double run, double now)
{
    reseat_xy error;
    if (!(fabs(offset.x) < 1e300 && fabs(offset.y) < 1e300))
        return;
    const double turn = plane_turn_between(run, now);
    const long double sine = sinl(turn * degree), half = sinl(turn * degree / 2);
    require(reseat_seat_error(offset, (reseat_xy){0, 0}, run, now, &error) == RESEAT_OK);
    const long double less = 2 * half * half; /* 1 - cos turn */
    const long double x = less * offset.x + sine * offset.y;
    const long double y = less * offset.y - sine * offset.x;
    const long double size = 2 * hypotl(offset.x, offset.y) * DBL_EPSILON + DBL_TRUE_MIN;
    require(hypotl(error.x - x, error.y - y) <= 4 * size);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    double v[4] = {0};
    memcpy(v, data, size < sizeof v ? size : sizeof v);
    for (int i = 0; i < 4; i++)
        if (!isfinite(v[i]))
            return 0;
    check_sincos(v[0]);
    check_turn(v[0]);
    check_between(v[0], v[1]);
    check_vector((reseat_xy){v[2], v[3]});
    check_error((reseat_xy){v[2], v[3]}, v[0], v[1]);
    return 0;
}
