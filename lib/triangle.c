/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "triangle.h"
#include <assert.h>
#include <math.h>
#include <string.h>

void triangle_start(triangle *t, size_t unknowns)
{
    assert(unknowns > 0 && unknowns <= TRIANGLE_UNKNOWNS);
    memset(t, 0, sizeof *t);
    t->unknowns = unknowns;
}

/* Four sums side by side: less rounding than one, and a compiler may keep them in one register. */
static double dot(const double *a, const double *b, size_t n)
{
    double sum[4] = {0, 0, 0, 0};
    size_t i = 0;
    for (; i + 4 <= n; i += 4)
        for (size_t lane = 0; lane < 4; lane++)
            sum[lane] += a[i + lane] * b[i + lane];
    for (; i < n; i++)
        sum[0] += a[i] * b[i];
    return (sum[0] + sum[1]) + (sum[2] + sum[3]);
}

/* Reflects (r[j][j], column j) onto the diagonal and everything to its right with it. */
static void reflect(triangle *t, triangle_column *block, size_t rows, size_t j)
{
    double *const row = t->r[j];
    const double below = dot(block[j], block[j], rows);
    if (!(below > 0))
        return;
    const double length = copysign(sqrt(row[j] * row[j] + below), row[j]);
    const double head = row[j] + length; /* the same sign: no cancellation */
    row[j] = -length;
    for (size_t k = j + 1; k <= t->unknowns; k++) {
        const double w = (row[k] * head + dot(block[j], block[k], rows)) / (head * length);
        row[k] -= w * head;
        for (size_t i = 0; i < rows; i++)
            block[k][i] -= w * block[j][i];
    }
}

void triangle_fold(triangle *t, triangle_column *block, size_t rows)
{
    assert(rows > 0 && rows <= TRIANGLE_ROWS);
    for (size_t j = 0; j < t->unknowns; j++)
        reflect(t, block, rows, j);
    t->rest2 += dot(block[t->unknowns], block[t->unknowns], rows);
}

size_t triangle_rank(const triangle *t, double share)
{
    for (size_t j = 0; j < t->unknowns; j++) {
        double length2 = 0;
        for (size_t i = 0; i <= j; i++)
            length2 += t->r[i][j] * t->r[i][j];
        if (!(fabs(t->r[j][j]) > share * sqrt(length2)))
            return j;
    }
    return t->unknowns;
}

void triangle_solve(const triangle *t, size_t count, double *x)
{
    assert(count <= t->unknowns);
    for (size_t j = count; j-- > 0;) {
        double sum = t->r[j][t->unknowns];
        for (size_t k = j + 1; k < count; k++)
            sum -= t->r[j][k] * x[k];
        x[j] = sum / t->r[j][j];
    }
}

double triangle_residual2(const triangle *t, size_t count)
{
    double sum = t->rest2;
    for (size_t j = count; j < t->unknowns; j++)
        sum += t->r[j][t->unknowns] * t->r[j][t->unknowns];
    return sum;
}

void triangle_whiten(const triangle *t, size_t count, double *v)
{
    assert(count <= t->unknowns);
    for (size_t j = 0; j < count; j++) {
        for (size_t i = 0; i < j; i++)
            v[j] -= t->r[i][j] * v[i];
        v[j] /= t->r[j][j];
    }
}
