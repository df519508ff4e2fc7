/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * The joint fit of touches, plainly: normal equations in long double, damped, started where the
 * caller says. Slow, and right where the normal equations are not too ill for 64 bits.
 */
#ifndef RESEAT_TESTS_FUZZ_PLAIN_FIT_H
#define RESEAT_TESTS_FUZZ_PLAIN_FIT_H

#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <string.h>

enum { PLAIN_X, PLAIN_Y, PLAIN_Z, PLAIN_OFFSET_X, PLAIN_OFFSET_Y, PLAIN_RADIUS, PLAIN_UNKNOWNS };

typedef struct plain_point {
    long double x, y, z;
    long double cosine, sine; /* of the turn */
} plain_point;

typedef struct plain_fit {
    const plain_point *points;
    size_t count;
    bool sought[PLAIN_UNKNOWNS];
    long double value[PLAIN_UNKNOWNS];
    long double squares; /* that the residuals come to */
    long double inverse[PLAIN_UNKNOWNS][PLAIN_UNKNOWNS]; /* of the normal matrix */
} plain_fit;

/* Distance to the circle or sphere, and its slopes. */
static inline long double plain_residual(const plain_fit *f, const plain_point *p,
                                         long double *slope)
{
    const long double *v = f->value;
    const long double x = p->x - v[PLAIN_X] + p->cosine * v[PLAIN_OFFSET_X] -
                          p->sine * v[PLAIN_OFFSET_Y];
    const long double y = p->y - v[PLAIN_Y] + p->sine * v[PLAIN_OFFSET_X] +
                          p->cosine * v[PLAIN_OFFSET_Y];
    const long double z = p->z - v[PLAIN_Z];
    const long double length = sqrtl(x * x + y * y + z * z);
    slope[PLAIN_X] = -x / length;
    slope[PLAIN_Y] = -y / length;
    slope[PLAIN_Z] = -z / length;
    slope[PLAIN_OFFSET_X] = (x * p->cosine + y * p->sine) / length;
    slope[PLAIN_OFFSET_Y] = (y * p->cosine - x * p->sine) / length;
    slope[PLAIN_RADIUS] = -1;
    return length - v[PLAIN_RADIUS];
}

static inline long double plain_squares(const plain_fit *f)
{
    long double slope[PLAIN_UNKNOWNS], sum = 0;
    for (size_t i = 0; i < f->count; i++) {
        const long double r = plain_residual(f, &f->points[i], slope);
        sum += r * r;
    }
    return sum;
}

/* The normal matrix, 1 on the diagonal for what is not sought, and J'r. */
static inline void plain_normal(const plain_fit *f, long double m[][PLAIN_UNKNOWNS],
                                long double *right)
{
    long double slope[PLAIN_UNKNOWNS];
    memset(m, 0, sizeof(long double[PLAIN_UNKNOWNS][PLAIN_UNKNOWNS]));
    memset(right, 0, sizeof(long double[PLAIN_UNKNOWNS]));
    for (size_t i = 0; i < f->count; i++) {
        const long double r = plain_residual(f, &f->points[i], slope);
        for (int j = 0; j < PLAIN_UNKNOWNS; j++) {
            if (!f->sought[j])
                continue;
            right[j] += slope[j] * r;
            for (int k = 0; k < PLAIN_UNKNOWNS; k++)
                m[j][k] += f->sought[k] ? slope[j] * slope[k] : 0;
        }
    }
    for (int j = 0; j < PLAIN_UNKNOWNS; j++)
        if (!f->sought[j])
            m[j][j] = 1;
}

/* Gauss and Jordan, the largest pivot first; false if there is none. */
static inline bool plain_invert(long double m[][PLAIN_UNKNOWNS], long double out[][PLAIN_UNKNOWNS])
{
    for (int i = 0; i < PLAIN_UNKNOWNS; i++)
        for (int j = 0; j < PLAIN_UNKNOWNS; j++)
            out[i][j] = i == j ? 1 : 0;
    for (int c = 0; c < PLAIN_UNKNOWNS; c++) {
        int pivot = c;
        for (int i = c + 1; i < PLAIN_UNKNOWNS; i++)
            pivot = fabsl(m[i][c]) > fabsl(m[pivot][c]) ? i : pivot;
        const long double by = m[pivot][c];
        if (!(fabsl(by) > 0))
            return false;
        for (int j = 0; j < PLAIN_UNKNOWNS; j++) {
            const long double a = m[pivot][j], b = out[pivot][j];
            m[pivot][j] = m[c][j];
            out[pivot][j] = out[c][j];
            m[c][j] = a / by;
            out[c][j] = b / by;
        }
        for (int i = 0; i < PLAIN_UNKNOWNS; i++) {
            const long double times = i == c ? 0 : m[i][c];
            for (int j = 0; j < PLAIN_UNKNOWNS; j++) {
                m[i][j] -= times * m[c][j];
                out[i][j] -= times * out[c][j];
            }
        }
    }
    return true;
}

/* One step, damped; false where there is none. */
static inline bool plain_step(plain_fit *f, long double damping)
{
    long double m[PLAIN_UNKNOWNS][PLAIN_UNKNOWNS], inverse[PLAIN_UNKNOWNS][PLAIN_UNKNOWNS];
    long double right[PLAIN_UNKNOWNS];
    plain_normal(f, m, right);
    for (int j = 0; j < PLAIN_UNKNOWNS; j++)
        m[j][j] *= 1 + damping;
    if (!plain_invert(m, inverse))
        return false;
    for (int j = 0; j < PLAIN_UNKNOWNS; j++)
        for (int k = 0; k < PLAIN_UNKNOWNS; k++)
            f->value[j] -= f->sought[j] ? inverse[j][k] * right[k] : 0;
    f->squares = plain_squares(f);
    return true;
}

/*
 * Goes down from f->value until no step descends, which says little of the last half of the digits,
 * and then on by steps that need not; false where the matrix is singular.
 */
static inline bool plain_settle(plain_fit *f)
{
    long double m[PLAIN_UNKNOWNS][PLAIN_UNKNOWNS], right[PLAIN_UNKNOWNS], damping = 0;
    f->squares = plain_squares(f);
    for (int i = 0; i < 300 && damping < 1e9L; i++) {
        plain_fit next = *f;
        if (plain_step(&next, damping) && next.squares < f->squares) {
            *f = next;
            damping /= 10;
        } else {
            damping = damping > 1e-9L ? 10 * damping : 1e-8L;
        }
    }
    for (int i = 0; i < 30; i++)
        if (!plain_step(f, 0))
            return false;
    plain_normal(f, m, right);
    if (!plain_invert(m, f->inverse))
        return false;
    for (int j = 0; j < PLAIN_UNKNOWNS; j++)
        f->inverse[j][j] *= f->sought[j] ? 1 : 0;
    return true;
}

/* By how much an error of every point may come out larger in an unknown. */
static inline long double plain_gain(const plain_fit *f)
{
    long double sum = 0;
    for (int j = 0; j < PLAIN_UNKNOWNS; j++)
        sum += f->inverse[j][j];
    return sqrtl(sum * f->count);
}

#endif
