/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Touches of a gauge, a little off, fitted by the library and plainly. Where the noise leaves no
 * doubt there is a result, and neither from there nor from the truth does the plain fit come to a
 * smaller sum of squares.
 */
#include <stdint.h>
#include "check.h"
#include "input.h"
#include "plain_fit.h"
#include "reseat/touches.h"
#include "maths/fit.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#define TOUCHES_MAX 24

static const long double degree = 0.017453292519943295769236907684886127L;

typedef struct made {
    reseat_touch touches[TOUCHES_MAX];
    plain_point points[TOUCHES_MAX];
    plain_fit truth;
    fit_setup setup;
    double size_mm; /* of the coordinates */
    double noise_mm;
} made;

static void make_touch(input *in, made *m, size_t i, double arc_deg)
{
    const long double *v = m->truth.value;
    const double along = take_between(in, 0, arc_deg) * 0.0174532925199433;
    const double up = m->setup.sphere ? take_between(in, 0, 1.5) : 0;
    const double turn = m->setup.offset ? 60.0 * (take_byte(in) % 6) : 0;
    const double radius = (double)v[PLAIN_RADIUS] + m->noise_mm * take_between(in, -1, 1);
    const long double c = cosl(turn * degree), s = sinl(turn * degree);
    reseat_touch *t = &m->touches[i];
    t->turn_deg = turn;
    t->x_mm = (double)(v[PLAIN_X] - c * v[PLAIN_OFFSET_X] + s * v[PLAIN_OFFSET_Y]) +
              radius * cos(along) * cos(up);
    t->y_mm = (double)(v[PLAIN_Y] - s * v[PLAIN_OFFSET_X] - c * v[PLAIN_OFFSET_Y]) +
              radius * sin(along) * cos(up);
    t->z_mm = m->setup.sphere ? (double)v[PLAIN_Z] + radius * sin(up) : 0;
    m->points[i] = (plain_point){t->x_mm, t->y_mm, t->z_mm, c, s};
}

static void make(input *in, made *m)
{
    memset(m, 0, sizeof *m);
    const unsigned bits = take_byte(in);
    long double *v = m->truth.value;
    bool *sought = m->truth.sought;
    m->setup.sphere = bits & 1;
    m->setup.offset = bits & 2;
    m->setup.centre_known = bits & 4;
    sought[PLAIN_RADIUS] = true;
    sought[PLAIN_X] = sought[PLAIN_Y] = !m->setup.centre_known;
    sought[PLAIN_Z] = m->setup.sphere;
    sought[PLAIN_OFFSET_X] = sought[PLAIN_OFFSET_Y] = m->setup.offset;
    v[PLAIN_X] = m->setup.centre_mm.x = take_between(in, -200, 200);
    v[PLAIN_Y] = m->setup.centre_mm.y = take_between(in, -200, 200);
    v[PLAIN_Z] = m->setup.sphere ? take_between(in, -200, 200) : 0;
    v[PLAIN_OFFSET_X] = m->setup.offset ? take_between(in, -0.1, 0.1) : 0;
    v[PLAIN_OFFSET_Y] = m->setup.offset ? take_between(in, -0.1, 0.1) : 0;
    v[PLAIN_RADIUS] = take_size(in, 0, 2);
    const double arc_deg = take_between(in, 45, 360);
    m->noise_mm = (double)v[PLAIN_RADIUS] * take_size(in, -9, -2);
    m->truth.points = m->points;
    m->truth.count = 3 + take_byte(in) % (TOUCHES_MAX - 2);
    m->size_mm = 200 + (double)v[PLAIN_RADIUS];
    for (size_t i = 0; i < m->truth.count; i++)
        make_touch(in, m, i, arc_deg);
}

/* By the fit of circles and spheres where that is what is asked. */
static reseat_status fit_of(const made *m, joint_fit *joint)
{
    reseat_status status;
    fit work;
    if (m->setup.offset || m->setup.centre_known || m->truth.count % 2 == 0)
        return fit_joint(m->touches, m->truth.count, &m->setup, &work, joint);
    memset(joint, 0, sizeof *joint);
    if (m->setup.sphere) {
        reseat_xyz points[TOUCHES_MAX];
        round_fit sphere;
        for (size_t i = 0; i < m->truth.count; i++)
            points[i] = (reseat_xyz){m->touches[i].x_mm, m->touches[i].y_mm, m->touches[i].z_mm};
        status = fit_round(fit_space(points, m->truth.count), &sphere);
        joint->centre_mm = sphere.centre_mm;
        joint->radius_mm = sphere.radius_mm;
    } else {
        reseat_xy points[TOUCHES_MAX];
        round_fit circle;
        for (size_t i = 0; i < m->truth.count; i++)
            points[i] = (reseat_xy){m->touches[i].x_mm, m->touches[i].y_mm};
        status = fit_round(fit_plane(points, m->truth.count), &circle);
        joint->centre_mm = circle.centre_mm;
        joint->radius_mm = circle.radius_mm;
    }
    return status;
}

static bool is_repeat(const made *m, size_t i, size_t j)
{
    const plain_point *a = &m->points[i], *b = &m->points[j];
    const long double apart = hypotl(hypotl(a->x - b->x, a->y - b->y), a->z - b->z);
    return apart < 0.01L * m->truth.value[PLAIN_RADIUS] &&
           fabs(m->touches[i].turn_deg - m->touches[j].turn_deg) < 1;
}

/* Touches that are no other's repeats. */
static size_t distinct(const made *m)
{
    size_t count = 0;
    for (size_t i = 0; i < m->truth.count; i++) {
        size_t j = 0;
        while (j < i && !is_repeat(m, i, j))
            j++;
        count += j == i;
    }
    return count;
}

/*
 * Whether there is no doubt about which of the least sums is meant: the noise is small, there are
 * two touches more than the start of the fit has unknowns, which are up to eight, and no result
 * hangs on a touch or two.
 */
static bool is_plain(const made *m, const plain_fit *truth)
{
    const long double gain = plain_gain(truth);
    return distinct(m) >= 10 && gain < 100 &&
           gain * m->noise_mm < 0.01L * m->truth.value[PLAIN_RADIUS];
}

static void compare(const made *m, const joint_fit *j)
{
    const long double found[PLAIN_UNKNOWNS] = {j->centre_mm.x, j->centre_mm.y, j->centre_mm.z,
                                               j->offset_mm.x, j->offset_mm.y, j->radius_mm};
    plain_fit near = m->truth, truth = m->truth;
    memcpy(near.value, found, sizeof found);
    const long double squares = plain_squares(&near);
    if (!plain_settle(&near) || !plain_settle(&truth) || !is_plain(m, &truth) ||
        !(plain_gain(&near) < 1e3L))
        return;
    /* coordinates have 53 bits, the last step may be 1e-14 of the radius */
    const long double off = 8e-16L * m->size_mm + 1e-13L * m->truth.value[PLAIN_RADIUS];
    const long double rounding = m->truth.count * off * off * plain_gain(&near);
    require(squares <= near.squares * (1 + 1e-9L) + rounding);
    require(squares <= truth.squares * (1 + 1e-9L) + rounding);
    for (int i = 0; i < PLAIN_UNKNOWNS; i++)
        require(fabsl(found[i] - near.value[i]) <= off * plain_gain(&near) * 4);
    if (j->unknowns == 0 || !m->setup.offset)
        return;
    const long double xx = near.inverse[PLAIN_OFFSET_X][PLAIN_OFFSET_X];
    const long double yy = near.inverse[PLAIN_OFFSET_Y][PLAIN_OFFSET_Y];
    const long double xy = near.inverse[PLAIN_OFFSET_X][PLAIN_OFFSET_Y];
    const long double within = 1e-6L * (xx + yy);
    require(fabsl(j->offset_cofactor.xx - xx) <= within);
    require(fabsl(j->offset_cofactor.yy - yy) <= within);
    require(fabsl(j->offset_cofactor.xy - xy) <= within);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static made m;
    input in = {data, size};
    joint_fit joint;
    make(&in, &m);
    const reseat_status status = fit_of(&m, &joint);
    if (status == RESEAT_OK) {
        compare(&m, &joint);
        return 0;
    }
    plain_fit truth = m.truth;
    size_t unknowns = 0;
    for (int i = 0; i < PLAIN_UNKNOWNS; i++)
        unknowns += truth.sought[i];
    require((status == RESEAT_ERR_TOO_FEW) == (truth.count < unknowns));
    if (status != RESEAT_ERR_TOO_FEW && plain_settle(&truth))
        require(!is_plain(&m, &truth) || plain_gain(&truth) > 1e3L);
    return 0;
}
