/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * What is reported of a feature against a ball that is moved towards each of its sides until it
 * touches, by halving, in long double; the circle through the walls is fitted plainly.
 */
#include <stdint.h>
#include "check.h"
#include "input.h"
#include "plain_fit.h"
#include "reseat/probe.h"
#include "model/feature.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#define TOUCHES_MAX 16

static const long double degree = 0.017453292519943295769236907684886127L;

typedef struct scene {
    reseat_feature feature;
    reseat_radius_curve curve;
    reseat_estimate estimate;
    long double x, y; /* the error */
    long double turn_deg;
} scene;

typedef struct found {
    long double along, size, x, y;
    bool out_of_reach;
} found;

static long double ball(const scene *s, long double dir_deg)
{
    long double sum = s->curve.mean_mm;
    for (size_t k = 1; k <= s->curve.order; k++)
        sum += s->curve.cosine_mm[k] * cosl((long double)k * dir_deg * degree) +
               s->curve.sine_mm[k] * sinl((long double)k * dir_deg * degree);
    return sum;
}

/* By how much farther along its approach a flat wall is reported than it stands. */
static long double flat(const scene *s, long double dir_deg)
{
    const long double along = s->x * cosl(dir_deg * degree) + s->y * sinl(dir_deg * degree);
    return along + ball(s, dir_deg) - ball(s, dir_deg - s->turn_deg);
}

/* Where the ball's centre stands against contact after t along a line through the middle. */
static long double beyond(const scene *s, long double t, long double c, long double n,
                          long double contact)
{
    return hypotl(t * c - s->x, t * n - s->y) - contact;
}

/* The reported place of a wall of a bore or boss; false where the ball does not get there. */
static bool round_wall(const scene *s, long double side_deg, long double *wall)
{
    const bool bore = s->feature.kind == RESEAT_FEATURE_BORE;
    const long double dir_deg = bore ? side_deg : side_deg + 180;
    const long double c = cosl(side_deg * degree), n = sinl(side_deg * degree);
    const long double r = ball(s, dir_deg - s->turn_deg), half = s->feature.size_mm / 2;
    const long double contact = bore ? half - r : half + r;
    long double inside = bore ? 0 : s->x * c + s->y * n;
    long double outside = contact + hypotl(s->x, s->y) + 1;
    if (!(beyond(s, inside, c, n, contact) < 0))
        return false;
    for (int i = 0; i < 80; i++) {
        const long double middle = (inside + outside) / 2;
        if (beyond(s, middle, c, n, contact) < 0)
            inside = middle;
        else
            outside = middle;
    }
    *wall = outside + (bore ? ball(s, dir_deg) : -ball(s, dir_deg));
    return true;
}

static found probe_round(const scene *s)
{
    plain_point walls[TOUCHES_MAX];
    plain_fit circle = {.points = walls, .count = s->feature.touches,
                        .sought = {[PLAIN_X] = true, [PLAIN_Y] = true, [PLAIN_RADIUS] = true},
                        .value = {s->x, s->y, [PLAIN_RADIUS] = s->feature.size_mm / 2}};
    for (size_t i = 0; i < circle.count; i++) {
        const long double side_deg = s->feature.dir_deg + 360.0L * i / circle.count;
        long double wall;
        if (!round_wall(s, side_deg, &wall))
            return (found){.out_of_reach = true};
        walls[i] = (plain_point){wall * cosl(side_deg * degree), wall * sinl(side_deg * degree),
                                 0, 1, 0};
    }
    require(plain_settle(&circle));
    return (found){.x = circle.value[PLAIN_X], .y = circle.value[PLAIN_Y],
                   .size = 2 * circle.value[PLAIN_RADIUS] - s->feature.size_mm};
}

/* Where the two walls, as reported, meet. */
static found probe_corner(const scene *s)
{
    const long double a = s->feature.dir_deg * degree, b = s->feature.other_deg * degree;
    const long double first = flat(s, s->feature.dir_deg), second = flat(s, s->feature.other_deg);
    const long double det = cosl(a) * sinl(b) - sinl(a) * cosl(b);
    return (found){.x = (first * sinl(b) - second * sinl(a)) / det,
                   .y = (cosl(a) * second - cosl(b) * first) / det};
}

static found probe_sides(const scene *s)
{
    const bool slot = s->feature.kind == RESEAT_FEATURE_SLOT;
    const long double dir_deg = s->feature.dir_deg, half = s->feature.size_mm / 2;
    const long double there = flat(s, dir_deg), back = flat(s, dir_deg + 180);
    const long double along = s->x * cosl(dir_deg * degree) + s->y * sinl(dir_deg * degree);
    const bool stuck = half - ball(s, dir_deg - s->turn_deg) + along <= 0 ||
                       half - ball(s, dir_deg + 180 - s->turn_deg) - along <= 0;
    return (found){.along = (there - back) / 2, .size = (slot ? 1 : -1) * (there + back),
                   .out_of_reach = slot && stuck};
}

static found probe_plainly(const scene *s)
{
    switch (s->feature.kind) {
    case RESEAT_FEATURE_SURFACE: return (found){.along = flat(s, s->feature.dir_deg)};
    case RESEAT_FEATURE_SLOT:
    case RESEAT_FEATURE_RIDGE: return probe_sides(s);
    case RESEAT_FEATURE_BORE:
    case RESEAT_FEATURE_BOSS: return probe_round(s);
    case RESEAT_FEATURE_CORNER: return probe_corner(s);
    case RESEAT_FEATURE_PAIR:
    case RESEAT_FEATURE_HEIGHT: break;
    }
    return (found){0};
}

static long double expected(const scene *s, reseat_reported quantity, const found *f)
{
    const bool is_round = s->feature.touches > 0;
    switch (quantity) {
    case RESEAT_REPORTED_POSITION: return is_round ? 2 * hypotl(f->x, f->y) : f->along;
    case RESEAT_REPORTED_CENTRE: return is_round ? hypotl(f->x, f->y) : f->along;
    case RESEAT_REPORTED_WIDTH:
    case RESEAT_REPORTED_DIAMETER: return f->size;
    case RESEAT_REPORTED_CENTRE_X:
    case RESEAT_REPORTED_CORNER_X: return f->x;
    case RESEAT_REPORTED_CENTRE_Y:
    case RESEAT_REPORTED_CORNER_Y: return f->y;
    case RESEAT_REPORTED_CORNER: return hypotl(f->x, f->y);
    case RESEAT_REPORTED_DISTANCE:
    case RESEAT_REPORTED_HEIGHT: break;
    }
    return 0;
}

static unsigned kind_count(void)
{
    unsigned kinds = 0;
    while (reseat_feature_quantities((reseat_feature_kind)kinds, NULL))
        kinds++;
    return kinds;
}

static void take_feature(input *in, reseat_feature *f)
{
    memset(f, 0, sizeof *f);
    f->kind = (reseat_feature_kind)(take_byte(in) % kind_count());
    f->dir_deg = take_between(in, -360, 360);
    const bool is_round = f->kind == RESEAT_FEATURE_BORE || f->kind == RESEAT_FEATURE_BOSS;
    if (is_round || f->kind == RESEAT_FEATURE_SLOT || f->kind == RESEAT_FEATURE_RIDGE)
        f->size_mm = take_size(in, -0.5, 2);
    if (is_round)
        f->touches = 3 + take_byte(in) % (TOUCHES_MAX - 2);
    if (f->kind == RESEAT_FEATURE_CORNER)
        f->other_deg = f->dir_deg + take_between(in, 15, 165);
}

static void take_scene(input *in, scene *s)
{
    memset(s, 0, sizeof *s);
    take_feature(in, &s->feature);
    reseat_estimate *e = &s->estimate;
    const double most = take_byte(in) & 1 ? 1 : 0.05;
    e->offset_mm.x = take_between(in, -most, most);
    e->offset_mm.y = take_between(in, -most, most);
    e->in_use_mm = e->offset_mm;
    e->curve = &s->curve;
    s->curve.mean_mm = take_size(in, -1, 1);
    s->curve.order = 1 + take_byte(in) % RESEAT_RADIUS_ORDER_MAX;
    s->curve.directions = 24;
    for (size_t k = 1; k <= s->curve.order; k++) {
        s->curve.cosine_mm[k] = take_between(in, -0.005, 0.005);
        s->curve.sine_mm[k] = take_between(in, -0.005, 0.005);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static scene s;
    input in = {data, size};
    size_t count;
    reseat_effect effect;
    take_scene(&in, &s);
    const double turn_deg = take_between(&in, -180, 180);
    require(reseat_estimate_effect(&s.estimate, turn_deg, &effect) == RESEAT_OK);
    s.x = effect.error_mm.x;
    s.y = effect.error_mm.y;
    s.turn_deg = effect.turn_deg;
    const bool is_round = s.feature.touches > 0;
    if (is_round && hypotl(s.x, s.y) > s.feature.size_mm / 4)
        return 0; /* its walls as reported need be no circle's */
    const found f = probe_plainly(&s);
    const reseat_reported *list = reseat_feature_quantities(s.feature.kind, &count);
    for (size_t i = 0; i < count; i++) {
        reseat_feature_row row;
        const reseat_status status =
            feature_at(&s.estimate, &s.feature, list[i], turn_deg, 0.1, &row);
        require(status == (f.out_of_reach ? RESEAT_ERR_RANGE : RESEAT_OK));
        if (status == RESEAT_OK)
            require(fabsl(row.error_mm - expected(&s, list[i], &f)) <= 1e-12L);
    }
    return 0;
}
