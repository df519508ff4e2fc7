/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_MATHS_TRIANGLE_H
#define RESEAT_MATHS_TRIANGLE_H

#include <stdbool.h>
#include <stddef.h>

/*
 * Linear least squares by Householder QR, a block of equations at a time: only the triangle is
 * kept, so any number of equations takes the same room. Private to the library.
 */

#define TRIANGLE_UNKNOWNS 25 /* mean and 12 harmonics */
#define TRIANGLE_ROWS 64     /* equations in a block; a multiple of four */

/* A block: a column for each unknown, then one for the right-hand sides. */
typedef double triangle_column[TRIANGLE_ROWS];

typedef struct triangle {
    size_t unknowns;
    double rest2; /* squared length of what is left over */
    double r[TRIANGLE_UNKNOWNS * (TRIANGLE_UNKNOWNS + 1)]; /* upper triangle and Q'b, by rows of
                                                              unknowns + 1 */
} triangle;

void triangle_start(triangle *t, size_t unknowns);
void triangle_copy(triangle *to, const triangle *from); /* what is in use of it */

/* Adds `rows` equations, 1 to TRIANGLE_ROWS; the block is overwritten. */
void triangle_fold(triangle *t, triangle_column *block, size_t rows);

/*
 * How many of the leading columns are independent: the first of which less than `share` of its
 * length stands across those before it ends the count.
 */
size_t triangle_rank(const triangle *t, double share);

/* Solves for the first `count` unknowns alone, which must be independent. */
void triangle_solve(const triangle *t, size_t count, double *x);

/* Squared length of the residuals when only the first `count` unknowns are used. */
double triangle_residual2(const triangle *t, size_t count);

/* Solves R'z = v for the first `count` unknowns, in place: |z|^2 = v' (A'A)^-1 v. */
void triangle_whiten(const triangle *t, size_t count, double *v);

/* Entry (i, j) of (A'A)^-1 when all unknowns are used: variance one, what comes of it there. */
double triangle_cofactor(const triangle *t, size_t i, size_t j);

#endif
