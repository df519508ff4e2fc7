/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "maths/fit.h"

#include <float.h>
#include <math.h>
#include <string.h>
#include "reseat/touches.h"

/* Centre and radius of the points of a circle or sphere, and what is left. */
static reseat_status fit_round(joint_points *points, bool in_space, sphere_fit *fitted)
{
    const joint_shape shape = {.centre = true, .height = in_space};
    joint_state state;
    triangle equations;
    size_t steps;
    const reseat_status status = joint_solve(points, shape, NULL, &state, &equations, &steps);
    if (status != RESEAT_OK)
        return status;
    const double squares = triangle_residual2(&equations, joint_unknowns(shape));
    *fitted = (sphere_fit){joint_centre(points, &state), state.radius / points->scale,
                              sqrt(squares / (double)points->count) / points->scale, steps};
    return isfinite(fitted->centre_mm.x + fitted->centre_mm.y + fitted->centre_mm.z +
                    fitted->radius_mm + fitted->residual_mm) ? RESEAT_OK : RESEAT_ERR_NOT_FINITE;
}

reseat_status fit_circle(const reseat_xy *points_mm, size_t count, circle_fit *circle)
{
    if (points_mm == NULL || circle == NULL)
        return RESEAT_ERR_ARGUMENT;
    joint_points points = {.plane = points_mm, .count = count};
    sphere_fit fitted;
    const reseat_status status = fit_round(&points, false, &fitted);
    if (status == RESEAT_OK)
        *circle = (circle_fit){{fitted.centre_mm.x, fitted.centre_mm.y}, fitted.radius_mm,
                                  fitted.residual_mm, fitted.steps};
    return status;
}

reseat_status fit_sphere(const reseat_xyz *points_mm, size_t count, sphere_fit *sphere)
{
    if (points_mm == NULL || sphere == NULL)
        return RESEAT_ERR_ARGUMENT;
    joint_points points = {.space = points_mm, .count = count};
    sphere_fit fitted;
    const reseat_status status = fit_round(&points, true, &fitted);
    if (status == RESEAT_OK)
        *sphere = fitted;
    return status;
}

reseat_status fit_joint(const reseat_touch *touches, size_t count,
                        const fit_setup *setup, joint_fit *joint)
{
    if (touches == NULL || setup == NULL || joint == NULL)
        return RESEAT_ERR_ARGUMENT;
    const joint_shape shape = {!setup->centre_known, setup->sphere, setup->offset};
    joint_points points = {.touches = touches, .count = count};
    joint_state state;
    triangle equations;
    size_t steps;
    const reseat_status status =
        joint_solve(&points, shape, setup->centre_known ? &setup->centre_mm : NULL, &state,
                    &equations, &steps);
    if (status != RESEAT_OK)
        return status;
    return joint_report(&points, shape, &state, &equations, steps, joint);
}

static const double step_tolerance = 1e-14; /* of the radius */
static const double step_rounding = 1e-8;   /* below it a step that no longer shrinks is noise */
static const double determined_share = 1e-10; /* triangle_rank: less than that is not determined */
static const size_t steps_max = 1000;

/* Points far off the circle need damping to the end; beyond this a small step would say nothing. */
static const double damping_max = 1;

size_t joint_unknowns(joint_shape shape)
{
    return (shape.centre ? 2u : 0u) + (shape.height ? 1u : 0u) + (shape.offset ? 2u : 0u) + 1u;
}

/* Vectors from the centre to the points: p - c + R(turn) o, in place. */
static void subtract_centre(joint_shape shape, const joint_state *s, size_t fours, joint_block *b)
{
    for (size_t i = 0; i < 4 * fours; i++) {
        b->x[i] -= s->centre[0];
        b->y[i] -= s->centre[1];
    }
    for (size_t i = 0; i < 4 * fours && shape.height; i++)
        b->z[i] -= s->centre[2];
    for (size_t i = 0; i < 4 * fours && shape.offset; i++) {
        b->x[i] += b->cosine[i] * s->offset[0] - b->sine[i] * s->offset[1];
        b->y[i] += b->sine[i] * s->offset[0] + b->cosine[i] * s->offset[1];
    }
}

/*
 * Makes unit vectors of them; what they were longer than the radius goes to `residual`. A point
 * at the centre itself pulls nowhere: it stays 0.
 */
static void normalise(double *restrict x, double *restrict y, double radius, size_t fours,
                      double *restrict residual)
{
    for (size_t i = 0; i < 4 * fours; i++) {
        const double length = sqrt(x[i] * x[i] + y[i] * y[i]);
        const double inverse = 1 / (length + DBL_MIN);
        residual[i] = length - radius;
        x[i] *= inverse;
        y[i] *= inverse;
    }
}

static void normalise_space(double *restrict x, double *restrict y, double *restrict z,
                            double radius, size_t fours, double *restrict residual)
{
    for (size_t i = 0; i < 4 * fours; i++) {
        const double length = sqrt(x[i] * x[i] + y[i] * y[i] + z[i] * z[i]);
        const double inverse = 1 / (length + DBL_MIN);
        residual[i] = length - radius;
        x[i] *= inverse;
        y[i] *= inverse;
        z[i] *= inverse;
    }
}

/* Copies unit vectors, and those turned back with the probe, into the columns of the unknowns. */
static void fill_columns(joint_shape shape, size_t fours, const joint_block *b,
                         triangle_column *block)
{
    const size_t bytes = 4 * fours * sizeof(double);
    size_t column = 0;
    if (shape.centre) {
        memcpy(block[column++], b->x, bytes);
        memcpy(block[column++], b->y, bytes);
    }
    if (shape.height)
        memcpy(block[column++], b->z, bytes);
    for (size_t i = 0; i < 4 * fours && shape.offset; i++) {
        block[column][i] = -(b->cosine[i] * b->x[i] + b->sine[i] * b->y[i]);
        block[column + 1][i] = b->sine[i] * b->x[i] - b->cosine[i] * b->y[i];
    }
    column += shape.offset ? 2 : 0;
    for (size_t i = 0; i < 4 * fours; i++)
        block[column][i] = 1;
}

void joint_equations(const joint_points *points, joint_shape shape, const joint_state *state,
                     size_t first, size_t rows, triangle_column *block)
{
    joint_block b;
    double *const residual = block[joint_unknowns(shape)];
    const size_t fours = joint_gather(points, shape, first, rows, &b);
    subtract_centre(shape, state, fours, &b);
    if (shape.height)
        normalise_space(b.x, b.y, b.z, state->radius, fours, residual);
    else
        normalise(b.x, b.y, state->radius, fours, residual);
    fill_columns(shape, fours, &b, block);
}

/* All equations at a state, folded; returns the sum of the squared residuals. */
static double evaluate(const joint_points *points, joint_shape shape, const joint_state *state,
                       triangle *t)
{
    triangle_column block[JOINT_UNKNOWNS_MAX + 1];
    triangle_start(t, joint_unknowns(shape));
    for (size_t first = 0; first < points->count; first += TRIANGLE_ROWS) {
        const size_t rows = joint_rows(points, first);
        joint_equations(points, shape, state, first, rows, block);
        triangle_fold(t, block, rows);
    }
    return triangle_residual2(t, 0);
}

#define START_UNKNOWNS_MAX 8

/*
 * Squared distances are linear in products of the unknowns, |p|^2 = 2 p.c - 2 R'p.o + 2 c.R o + k,
 * and c.R(turn) o is a cosine and a sine of the turn: seven or eight linear unknowns. Turns are
 * counted from the first, that of `from`: the cosine then tells two turns apart wherever they are.
 */
static size_t start_columns(joint_shape shape, reseat_xy from, size_t fours, const joint_block *b,
                            triangle_column *block)
{
    size_t n = 0;
    for (size_t i = 0; i < 4 * fours; i++)
        block[n][i] = 1;
    n++;
    for (size_t i = 0; i < 4 * fours && shape.centre; i++) {
        block[n][i] = b->x[i];
        block[n + 1][i] = b->y[i];
    }
    n += shape.centre ? 2 : 0;
    for (size_t i = 0; i < 4 * fours && shape.height; i++)
        block[n][i] = b->z[i];
    n += shape.height ? 1 : 0;
    for (size_t i = 0; i < 4 * fours && shape.offset; i++) {
        block[n][i] = b->cosine[i] * b->x[i] + b->sine[i] * b->y[i];
        block[n + 1][i] = b->cosine[i] * b->y[i] - b->sine[i] * b->x[i];
    }
    n += shape.offset ? 2 : 0;
    for (size_t i = 0; i < 4 * fours && shape.offset && shape.centre; i++) {
        block[n][i] = from.x * b->cosine[i] + from.y * b->sine[i];
        block[n + 1][i] = from.x * b->sine[i] - from.y * b->cosine[i];
    }
    return n + (shape.offset && shape.centre ? 2 : 0);
}

static void fold_start(const joint_points *points, joint_shape shape, triangle *t)
{
    triangle_column block[START_UNKNOWNS_MAX + 1];
    const reseat_xy from = reseat_plane_unit(shape.offset ? points->touches->turn_deg : 0);
    for (size_t first = 0; first < points->count; first += TRIANGLE_ROWS) {
        const size_t rows = joint_rows(points, first);
        joint_block b;
        const size_t fours = joint_gather(points, shape, first, rows, &b);
        const size_t unknowns = start_columns(shape, from, fours, &b, block);
        for (size_t i = 0; i < 4 * fours; i++)
            block[unknowns][i] = b.x[i] * b.x[i] + b.y[i] * b.y[i] +
                                 (shape.height ? b.z[i] * b.z[i] : 0);
        if (first == 0)
            triangle_start(t, unknowns);
        triangle_fold(t, block, rows);
    }
}

/* The state that the first `rank` of the linear unknowns give. */
static joint_state start_state(const triangle *t, size_t rank, joint_shape shape)
{
    double x[START_UNKNOWNS_MAX];
    triangle_solve(t, rank, x);
    joint_state state = {.radius = 0};
    size_t n = 1;
    for (size_t axis = shape.centre ? 0 : 2; axis < (shape.height ? 3u : 2u); axis++)
        state.centre[axis] = x[n++] / 2;
    for (size_t axis = 0; axis < 2 && shape.offset && n < rank; axis++)
        state.offset[axis] = -x[n++] / 2;
    double radius2 = x[0];
    for (size_t axis = 0; axis < 3; axis++)
        radius2 += state.centre[axis] * state.centre[axis];
    for (size_t axis = 0; axis < 2; axis++)
        radius2 += state.offset[axis] * state.offset[axis];
    state.radius = sqrt(fmax(radius2, DBL_MIN));
    return state;
}

/*
 * Gives a state the radius that suits its centre and offset, as the linear one holds what columns
 * left out would have said; returns the sum of squares.
 */
static double suit_radius(const joint_points *points, joint_shape shape, joint_state *state)
{
    triangle_column block[JOINT_UNKNOWNS_MAX + 1];
    const double *const residual = block[joint_unknowns(shape)];
    const double count = (double)points->count;
    double sum = 0, squares = 0;
    for (size_t first = 0; first < points->count; first += TRIANGLE_ROWS) {
        const size_t rows = joint_rows(points, first);
        joint_equations(points, shape, state, first, rows, block);
        for (size_t i = 0; i < rows; i++) {
            sum += residual[i];
            squares += residual[i] * residual[i];
        }
    }
    state->radius += sum / count;
    return squares - sum * sum / count;
}

reseat_status joint_start(const joint_points *points, joint_shape shape, joint_state *state)
{
    triangle t;
    fold_start(points, shape, &t);
    const size_t circle = joint_unknowns(shape) - (shape.offset ? 2 : 0);
    const size_t rank = triangle_rank(&t, determined_share);
    if (rank < circle)
        return RESEAT_ERR_SINGULAR;
    *state = start_state(&t, circle, shape);
    if (rank < joint_unknowns(shape) || !shape.offset)
        return RESEAT_OK; /* an offset is small, and found on the way */
    joint_state with_offset = start_state(&t, rank, shape);
    if (suit_radius(points, shape, &with_offset) < suit_radius(points, shape, state))
        *state = with_offset;
    return RESEAT_OK;
}

/* The step that the equations ask for, damped by rows sqrt(lambda) on the unit diagonal. */
static bool solve_step(const triangle *equations, double lambda, double *step)
{
    const size_t n = equations->unknowns;
    if (!(lambda > 0)) {
        if (triangle_rank(equations, DBL_EPSILON) < n)
            return false;
        triangle_solve(equations, n, step);
        return true;
    }
    triangle damped;
    triangle_copy(&damped, equations);
    triangle_column block[JOINT_UNKNOWNS_MAX + 1];
    for (size_t j = 0; j <= n; j++)
        for (size_t i = 0; i < n; i++)
            block[j][i] = i == j ? sqrt(lambda) : 0;
    triangle_fold(&damped, block, n);
    triangle_solve(&damped, n, step);
    return true;
}

static joint_state moved(joint_shape shape, const joint_state *from, const double *step)
{
    joint_state to = *from;
    size_t n = 0;
    for (size_t axis = shape.centre ? 0 : 2; axis < (shape.height ? 3u : 2u); axis++)
        to.centre[axis] += step[n++];
    for (size_t axis = 0; axis < 2 && shape.offset; axis++)
        to.offset[axis] += step[n++];
    to.radius += step[n];
    return to;
}

static bool is_determined(const triangle *equations)
{
    return triangle_rank(equations, determined_share) == equations->unknowns;
}

static double largest(const double *step, size_t n)
{
    double most = 0;
    for (size_t j = 0; j < n; j++)
        most = step[j] < -most || step[j] > most ? fabs(step[j]) : most;
    return most;
}

/* A step and the damping under which it was taken. */
typedef struct stride {
    double size; /* 0: there was none */
    double lambda;
} stride;

/*
 * The rate at which steps shrink in the end, or more: residuals bend the sum of squares, which the
 * equations take for a parabola, by no more than they add up to over the radius.
 */
static double final_rate(const triangle *equations, size_t count, double radius)
{
    const double squares = (double)count * triangle_residual2(equations, 0);
    double cofactors = 0;
    for (size_t j = 0; j < equations->unknowns; j++)
        cofactors += triangle_cofactor(equations, j, j);
    return sqrt(squares) * cofactors / fabs(radius);
}

/*
 * Whether a step, after the one before it, was the last that matters. Damping shortens steps, so
 * that one grew says something only under as much of it as before, that one shrank under no more.
 */
static bool settled(stride now, stride before, const triangle *equations, size_t count,
                    double radius)
{
    const double tolerance = step_tolerance * fabs(radius);
    if (now.size <= tolerance)
        return true;
    if (before.size > 0 && now.lambda >= before.lambda &&
        now.size < step_rounding * fabs(radius) && now.size >= before.size)
        return true;
    /* the next step will be below the tolerance, at the rate so far and at that of the end */
    return now.lambda <= before.lambda && now.size < before.size / 10 &&
           now.size * (now.size / before.size) <= tolerance &&
           now.size * final_rate(equations, count, radius) <= tolerance;
}

/* Whether the sum of squares descends, or rises by rounding alone while steps still shrink. */
static bool descends(double cost, double trial_cost, size_t count, stride now, stride before)
{
    const double rounding = 8 * DBL_EPSILON * (cost + sqrt((double)count * cost));
    return trial_cost <= cost || (trial_cost <= cost + rounding && now.size < before.size);
}

reseat_status joint_refine(const joint_points *points, joint_shape shape, joint_state *state,
                           triangle *equations, size_t *steps)
{
    double cost = evaluate(points, shape, state, equations);
    stride now = {0, 0}, before = {0, 0};
    for (*steps = 1; *steps <= steps_max; ++*steps) {
        double step[JOINT_UNKNOWNS_MAX] = {0};
        const bool determined = solve_step(equations, now.lambda, step);
        if (!determined) {
            now.lambda = 1e-3;
            solve_step(equations, now.lambda, step);
        }
        now.size = largest(step, equations->unknowns);
        const joint_state trial = moved(shape, state, step);
        const double small = step_rounding * fabs(trial.radius);
        if (!determined && now.size < small)
            return RESEAT_ERR_SINGULAR;
        if (now.lambda <= damping_max &&
            settled(now, before, equations, points->count, trial.radius)) {
            *state = trial;
            return is_determined(equations) ? RESEAT_OK : RESEAT_ERR_SINGULAR;
        }
        triangle there;
        const double trial_cost = evaluate(points, shape, &trial, &there);
        if (descends(cost, trial_cost, points->count, now, before) || now.size < small) {
            *state = trial;
            triangle_copy(equations, &there);
            cost = trial_cost;
            before = now;
            now.lambda = now.lambda > 1e-6 ? now.lambda / 10 : 0;
        } else {
            now.lambda = fmax(now.lambda * 10, 1e-3);
        }
    }
    return RESEAT_ERR_NO_CONVERGENCE;
}

reseat_status joint_solve(joint_points *points, joint_shape shape, const reseat_xy *centre_mm,
                          joint_state *state, triangle *equations, size_t *steps)
{
    if (points->count < joint_unknowns(shape))
        return RESEAT_ERR_TOO_FEW;
    reseat_status status = joint_frame(points, shape, centre_mm);
    if (status == RESEAT_OK)
        status = joint_start(points, shape, state);
    return status == RESEAT_OK ? joint_refine(points, shape, state, equations, steps) : status;
}
