/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "maths/triangle.h"

#include <assert.h>
#include <math.h>
#include <string.h>

static const double *row_of(const triangle *t, size_t j)
{
    return t->r + j * (t->unknowns + 1);
}

void triangle_start(triangle *t, size_t unknowns)
{
    assert(unknowns > 0 && unknowns <= TRIANGLE_UNKNOWNS);
    t->unknowns = unknowns;
    t->rest2 = 0;
    memset(t->r, 0, unknowns * (unknowns + 1) * sizeof *t->r);
}

void triangle_copy(triangle *to, const triangle *from)
{
    to->unknowns = from->unknowns;
    to->rest2 = from->rest2;
    memcpy(to->r, from->r, from->unknowns * (from->unknowns + 1) * sizeof *from->r);
}

/* Rows come in fours: the four sums do not wait for each other, and have less rounding than one. */
static double dot(const double *restrict a, const double *restrict b, size_t fours)
{
    double s0 = 0, s1 = 0, s2 = 0, s3 = 0;
    for (size_t i = 0; i < 4 * fours; i += 4) {
        s0 += a[i] * b[i];
        s1 += a[i + 1] * b[i + 1];
        s2 += a[i + 2] * b[i + 2];
        s3 += a[i + 3] * b[i + 3];
    }
    return (s0 + s1) + (s2 + s3);
}

static void subtract(double *restrict a, double w, const double *restrict b, size_t fours)
{
    for (size_t i = 0; i < 4 * fours; i++)
        a[i] -= w * b[i];
}

/* Reflects (r[j][j], column j) onto the diagonal and everything to its right with it. */
static void reflect(triangle *t, triangle_column *block, size_t fours, size_t j)
{
    double *const row = t->r + j * (t->unknowns + 1);
    const double below = dot(block[j], block[j], fours);
    if (below <= 0) /* a NaN is to spread, so that it is found */
        return;
    const double length = copysign(sqrt(row[j] * row[j] + below), row[j]);
    const double head = row[j] + length; /* the same sign: no cancellation */
    const double weight = 1 / (head * length);
    row[j] = -length;
    for (size_t k = j + 1; k <= t->unknowns; k++) {
        const double w = (row[k] * head + dot(block[j], block[k], fours)) * weight;
        row[k] -= w * head;
        subtract(block[k], w, block[j], fours);
    }
}

void triangle_fold(triangle *t, triangle_column *block, size_t rows)
{
    assert(rows > 0 && rows <= TRIANGLE_ROWS);
    const size_t fours = (rows + 3) / 4;
    for (size_t k = 0; k <= t->unknowns; k++)
        for (size_t i = rows; i < 4 * fours; i++)
            block[k][i] = 0; /* equations that say nothing */
    for (size_t j = 0; j < t->unknowns; j++)
        reflect(t, block, fours, j);
    t->rest2 += dot(block[t->unknowns], block[t->unknowns], fours);
}

size_t triangle_rank(const triangle *t, double share)
{
    for (size_t j = 0; j < t->unknowns; j++) {
        const double across = row_of(t, j)[j];
        double length2 = 0;
        for (size_t i = 0; i <= j; i++)
            length2 += row_of(t, i)[j] * row_of(t, i)[j];
        if (!(across * across > share * share * length2))
            return j;
    }
    return t->unknowns;
}

void triangle_solve(const triangle *t, size_t count, double *x)
{
    assert(count <= t->unknowns);
    for (size_t j = count; j-- > 0;) {
        const double *const row = row_of(t, j);
        double sum = row[t->unknowns];
        for (size_t k = j + 1; k < count; k++)
            sum -= row[k] * x[k];
        x[j] = sum / row[j];
    }
}

double triangle_residual2(const triangle *t, size_t count)
{
    double sum = t->rest2;
    for (size_t j = count; j < t->unknowns; j++)
        sum += row_of(t, j)[t->unknowns] * row_of(t, j)[t->unknowns];
    return sum;
}

void triangle_whiten(const triangle *t, size_t count, double *v)
{
    assert(count <= t->unknowns);
    for (size_t j = 0; j < count; j++) {
        for (size_t i = 0; i < j; i++)
            v[j] -= row_of(t, i)[j] * v[i];
        v[j] /= row_of(t, j)[j];
    }
}

double triangle_cofactor(const triangle *t, size_t i, size_t j)
{
    double a[TRIANGLE_UNKNOWNS] = {0}, b[TRIANGLE_UNKNOWNS] = {0}, sum = 0;
    a[i] = 1;
    b[j] = 1;
    triangle_whiten(t, t->unknowns, a);
    triangle_whiten(t, t->unknowns, b);
    for (size_t k = 0; k < t->unknowns; k++)
        sum += a[k] * b[k];
    return sum;
}
