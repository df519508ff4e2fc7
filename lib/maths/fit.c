/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "maths/fit.h"

#include <float.h>
#include <math.h>
#include <string.h>
#include "maths/plane.h"

static const double step_tolerance = 1e-14; /* of the radius */
static const double step_rounding = 1e-8;   /* below it a step that no longer shrinks is noise */
static const double determined_share = 1e-10; /* triangle_rank: less than that is not determined */
static const size_t steps_max = 1000;

/* Points far off the circle need damping to the end; beyond this a small step would say nothing. */
static const double damping_max = 1;

size_t fit_unknowns(const fit_setup *sought)
{
    return (sought->centre_known ? 0u : 2u) + (sought->sphere ? 1u : 0u) +
           (sought->offset ? 2u : 0u) + 1u;
}

size_t fit_rows(const fit *f, size_t first)
{
    const size_t left = f->points.count - first;
    return left < TRIANGLE_ROWS ? left : TRIANGLE_ROWS;
}

/* Coordinate or turn of a point, given that of the first. */
static double at(const fit_points *points, const double *first, size_t i)
{
    return *(const double *)(const void *)((const char *)first + i * points->stride);
}

/* Smallest and largest of a coordinate; `check` is 0, or NaN if one of them is not finite. */
typedef struct range {
    double low;
    double high;
    double check;
} range;

static range range_of(const fit_points *points, const double *first)
{
    if (!first)
        return (range){0, 0, 0};
    range r = {*first, *first, 0};
    for (size_t i = 0; i < points->count; i++) {
        const double value = at(points, first, i);
        r.low = value < r.low ? value : r.low;
        r.high = value > r.high ? value : r.high;
        r.check += value * 0;
    }
    return r;
}

/*
 * Origin and scale of the frame; a given centre becomes the origin. NOT_FINITE, or SINGULAR if all
 * points are the same.
 */
static reseat_status set_frame(fit *f)
{
    const fit_points *const p = &f->points;
    const range ranges[] = {range_of(p, p->x_mm), range_of(p, p->y_mm), range_of(p, p->z_mm)};
    double origin[3], most = 0, check = range_of(p, p->turn_deg).check;
    for (size_t axis = 0; axis < 3; axis++) {
        const range *const r = &ranges[axis];
        origin[axis] = r->low / 2 + r->high / 2;
        if (f->sought.centre_known && axis < 2)
            origin[axis] = axis == 0 ? f->sought.centre_mm.x : f->sought.centre_mm.y;
        const double up = r->high - origin[axis], down = origin[axis] - r->low;
        most = up > most ? up : most;
        most = down > most ? down : most;
        check += r->check + origin[axis] * 0;
    }
    if (!isfinite(most + check))
        return RESEAT_ERR_NOT_FINITE;
    if (!(most > 0))
        return RESEAT_ERR_SINGULAR;
    int exponent;
    frexp(most, &exponent);
    /* a wider scale would itself overflow, and points that close are all alike to the machine */
    f->scale = ldexp(1, exponent > -1000 ? -exponent : 1000);
    f->origin_mm = (reseat_xyz){origin[0], origin[1], origin[2]};
    return RESEAT_OK;
}

/* A block of points in their frame, with cosine and sine of the turns where an offset is sought. */
typedef struct block_of_points {
    double x[TRIANGLE_ROWS];
    double y[TRIANGLE_ROWS];
    double z[TRIANGLE_ROWS];
    double cosine[TRIANGLE_ROWS];
    double sine[TRIANGLE_ROWS];
} block_of_points;

static void gather_turns(const fit_points *points, size_t first, size_t rows, block_of_points *b)
{
    double before_deg = (double)NAN;
    for (size_t i = 0; i < rows; i++) {
        const double turn_deg = at(points, points->turn_deg, first + i);
        /* touches mostly come turn by turn: the same turn as before needs no new sine */
        if (turn_deg <= before_deg && turn_deg >= before_deg) {
            b->sine[i] = b->sine[i - 1];
            b->cosine[i] = b->cosine[i - 1];
        } else {
            plane_sincos(turn_deg, &b->sine[i], &b->cosine[i]);
        }
        before_deg = turn_deg;
    }
}

/* Reads a block, filled up with zeros to a multiple of four rows; returns how many fours. */
static size_t gather(const fit *f, size_t first, size_t rows, block_of_points *b)
{
    const fit_points *const p = &f->points;
    for (size_t i = 0; i < rows; i++) {
        b->x[i] = (at(p, p->x_mm, first + i) - f->origin_mm.x) * f->scale;
        b->y[i] = (at(p, p->y_mm, first + i) - f->origin_mm.y) * f->scale;
        b->z[i] = p->z_mm ? (at(p, p->z_mm, first + i) - f->origin_mm.z) * f->scale : 0;
    }
    if (f->sought.offset)
        gather_turns(p, first, rows, b);
    const size_t fours = (rows + 3) / 4;
    for (size_t i = rows; i < 4 * fours; i++)
        b->x[i] = b->y[i] = b->z[i] = b->cosine[i] = b->sine[i] = 0;
    return fours;
}

/* Vectors from the centre to the points: p - c + R(turn) o, in place. */
static void subtract_centre(const fit_setup *sought, const fit_state *s, size_t fours,
                            block_of_points *b)
{
    for (size_t i = 0; i < 4 * fours; i++) {
        b->x[i] -= s->centre[0];
        b->y[i] -= s->centre[1];
    }
    for (size_t i = 0; i < 4 * fours && sought->sphere; i++)
        b->z[i] -= s->centre[2];
    for (size_t i = 0; i < 4 * fours && sought->offset; i++) {
        b->x[i] += b->cosine[i] * s->offset[0] - b->sine[i] * s->offset[1];
        b->y[i] += b->sine[i] * s->offset[0] + b->cosine[i] * s->offset[1];
    }
}

/*
 * Makes unit vectors of them; what they were longer than the radius goes to `residual`. A point
 * at the centre itself pulls nowhere: it stays 0.
 */
static void normalise(double *restrict x, double *restrict y, double *restrict z, double radius,
                      size_t fours, double *restrict residual)
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
static void fill_columns(const fit_setup *sought, size_t fours, const block_of_points *b,
                         triangle_column *block)
{
    const size_t bytes = 4 * fours * sizeof(double);
    size_t column = 0;
    if (!sought->centre_known) {
        memcpy(block[column++], b->x, bytes);
        memcpy(block[column++], b->y, bytes);
    }
    if (sought->sphere)
        memcpy(block[column++], b->z, bytes);
    for (size_t i = 0; i < 4 * fours && sought->offset; i++) {
        block[column][i] = -(b->cosine[i] * b->x[i] + b->sine[i] * b->y[i]);
        block[column + 1][i] = b->sine[i] * b->x[i] - b->cosine[i] * b->y[i];
    }
    column += sought->offset ? 2 : 0;
    for (size_t i = 0; i < 4 * fours; i++)
        block[column][i] = 1;
}

void fit_equations(const fit *f, const fit_state *state, size_t first, size_t rows,
                   triangle_column *block)
{
    block_of_points b;
    double *const residual = block[fit_unknowns(&f->sought)];
    const size_t fours = gather(f, first, rows, &b);
    subtract_centre(&f->sought, state, fours, &b);
    normalise(b.x, b.y, b.z, state->radius, fours, residual);
    fill_columns(&f->sought, fours, &b, block);
}

/* All equations at a state, folded; returns the sum of the squared residuals. */
static double evaluate(const fit *f, const fit_state *state, triangle *t)
{
    triangle_column block[FIT_UNKNOWNS_MAX + 1];
    triangle_start(t, fit_unknowns(&f->sought));
    for (size_t first = 0, rows; (rows = fit_rows(f, first)) > 0; first += rows) {
        fit_equations(f, state, first, rows, block);
        triangle_fold(t, block, rows);
    }
    return triangle_residual2(t, 0);
}

fit_residuals fit_residuals_at(const fit *f, const fit_state *state)
{
    triangle_column block[FIT_UNKNOWNS_MAX + 1];
    const double *const residual = block[fit_unknowns(&f->sought)];
    fit_residuals all = {.low = DBL_MAX, .high = -DBL_MAX};
    for (size_t first = 0, rows; (rows = fit_rows(f, first)) > 0; first += rows) {
        fit_equations(f, state, first, rows, block);
        for (size_t i = 0; i < rows; i++) {
            all.sum += residual[i];
            all.squares += residual[i] * residual[i];
            all.low = fmin(all.low, residual[i]);
            all.high = fmax(all.high, residual[i]);
            if (fabs(residual[i]) > fabs(all.at_worst)) {
                all.worst = first + i;
                all.at_worst = residual[i];
            }
        }
    }
    return all;
}

#define START_UNKNOWNS_MAX 8

/*
 * Squared distances are linear in products of the unknowns, |p|^2 = 2 p.c - 2 R'p.o + 2 c.R o + k,
 * and c.R(turn) o is a cosine and a sine of the turn: seven or eight linear unknowns. Turns are
 * counted from the first, that of `from`: the cosine then tells two turns apart wherever they are.
 */
static size_t start_columns(const fit_setup *sought, reseat_xy from, size_t fours,
                            const block_of_points *b, triangle_column *block)
{
    size_t n = 0;
    for (size_t i = 0; i < 4 * fours; i++) {
        n = 0;
        block[n++][i] = 1;
        if (!sought->centre_known) {
            block[n++][i] = b->x[i];
            block[n++][i] = b->y[i];
        }
        if (sought->sphere)
            block[n++][i] = b->z[i];
        if (sought->offset) {
            block[n++][i] = b->cosine[i] * b->x[i] + b->sine[i] * b->y[i];
            block[n++][i] = b->cosine[i] * b->y[i] - b->sine[i] * b->x[i];
        }
        if (sought->offset && !sought->centre_known) {
            block[n++][i] = from.x * b->cosine[i] + from.y * b->sine[i];
            block[n++][i] = from.x * b->sine[i] - from.y * b->cosine[i];
        }
    }
    return n;
}

static void fold_start(const fit *f, triangle *t)
{
    triangle_column block[START_UNKNOWNS_MAX + 1];
    const fit_setup *const sought = &f->sought;
    const reseat_xy from = reseat_plane_unit(sought->offset ? *f->points.turn_deg : 0);
    for (size_t first = 0, rows; (rows = fit_rows(f, first)) > 0; first += rows) {
        block_of_points b;
        const size_t fours = gather(f, first, rows, &b);
        const size_t unknowns = start_columns(sought, from, fours, &b, block);
        for (size_t i = 0; i < 4 * fours; i++)
            block[unknowns][i] = b.x[i] * b.x[i] + b.y[i] * b.y[i] + b.z[i] * b.z[i];
        if (first == 0)
            triangle_start(t, unknowns);
        triangle_fold(t, block, rows);
    }
}

/* The state that the first `rank` of the linear unknowns give. */
static fit_state start_state(const triangle *t, size_t rank, const fit_setup *sought)
{
    double x[START_UNKNOWNS_MAX];
    triangle_solve(t, rank, x);
    fit_state state = {.radius = 0};
    size_t n = 1;
    for (size_t axis = sought->centre_known ? 2 : 0; axis < (sought->sphere ? 3u : 2u); axis++)
        state.centre[axis] = x[n++] / 2;
    for (size_t axis = 0; axis < 2 && sought->offset && n < rank; axis++)
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
static double suit_radius(const fit *f, fit_state *state)
{
    const double count = (double)f->points.count;
    const fit_residuals r = fit_residuals_at(f, state);
    state->radius += r.sum / count;
    return r.squares - r.sum * r.sum / count;
}

static reseat_status find_start(fit *f)
{
    triangle t;
    fold_start(f, &t);
    const size_t circle = fit_unknowns(&f->sought) - (f->sought.offset ? 2 : 0);
    const size_t rank = triangle_rank(&t, determined_share);
    if (rank < circle)
        return RESEAT_ERR_SINGULAR;
    f->state = start_state(&t, circle, &f->sought);
    if (rank < fit_unknowns(&f->sought) || !f->sought.offset)
        return RESEAT_OK; /* an offset is small, and found on the way */
    fit_state with_offset = start_state(&t, rank, &f->sought);
    if (suit_radius(f, &with_offset) < suit_radius(f, &f->state))
        f->state = with_offset;
    return RESEAT_OK;
}

static reseat_status begin(fit *f)
{
    if (f->points.count < fit_unknowns(&f->sought))
        return RESEAT_ERR_TOO_FEW;
    const reseat_status status = set_frame(f);
    return status == RESEAT_OK ? find_start(f) : status;
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
    triangle_column block[FIT_UNKNOWNS_MAX + 1];
    for (size_t j = 0; j <= n; j++)
        for (size_t i = 0; i < n; i++)
            block[j][i] = i == j ? sqrt(lambda) : 0;
    triangle_fold(&damped, block, n);
    triangle_solve(&damped, n, step);
    return true;
}

static fit_state moved(const fit_setup *sought, const fit_state *from, const double *step)
{
    fit_state to = *from;
    size_t n = 0;
    for (size_t axis = sought->centre_known ? 2 : 0; axis < (sought->sphere ? 3u : 2u); axis++)
        to.centre[axis] += step[n++];
    for (size_t axis = 0; axis < 2 && sought->offset; axis++)
        to.offset[axis] += step[n++];
    to.radius += step[n];
    return to;
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

/* Improves the state until it settles. */
static reseat_status refine(fit *f)
{
    triangle *const equations = &f->equations;
    double cost = evaluate(f, &f->state, equations);
    stride now = {0, 0}, before = {0, 0};
    for (f->steps = 1; f->steps <= steps_max; f->steps++) {
        double step[FIT_UNKNOWNS_MAX] = {0};
        const bool determined = solve_step(equations, now.lambda, step);
        if (!determined) {
            now.lambda = 1e-3;
            solve_step(equations, now.lambda, step);
        }
        now.size = largest(step, equations->unknowns);
        const fit_state trial = moved(&f->sought, &f->state, step);
        const double small = step_rounding * fabs(trial.radius);
        if (!determined && now.size < small)
            return RESEAT_ERR_SINGULAR;
        if (now.lambda <= damping_max &&
            settled(now, before, equations, f->points.count, trial.radius)) {
            f->state = trial;
            return triangle_rank(equations, determined_share) == equations->unknowns
                       ? RESEAT_OK
                       : RESEAT_ERR_SINGULAR;
        }
        triangle there;
        const double trial_cost = evaluate(f, &trial, &there);
        if (descends(cost, trial_cost, f->points.count, now, before) || now.size < small) {
            f->state = trial;
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

static reseat_xyz centre_of(const fit *f)
{
    return (reseat_xyz){f->origin_mm.x + f->state.centre[0] / f->scale,
                        f->origin_mm.y + f->state.centre[1] / f->scale,
                        f->origin_mm.z + f->state.centre[2] / f->scale};
}

reseat_status fit_round(fit_points points, round_fit *round)
{
    fit f = {.points = points, .sought = {.sphere = points.z_mm != NULL}};
    reseat_status status = begin(&f);
    if (status == RESEAT_OK)
        status = refine(&f);
    if (status != RESEAT_OK)
        return status;
    const double squares = triangle_residual2(&f.equations, fit_unknowns(&f.sought));
    const round_fit found = {centre_of(&f), f.state.radius / f.scale,
                             sqrt(squares / (double)points.count) / f.scale, f.steps};
    if (!isfinite(found.centre_mm.x + found.centre_mm.y + found.centre_mm.z + found.radius_mm +
                  found.residual_mm))
        return RESEAT_ERR_NOT_FINITE;
    *round = found;
    return RESEAT_OK;
}

/* Results in millimetres. The cofactors are those of lengths by lengths, and have no scale. */
static joint_fit result_of(const fit *f)
{
    const size_t n = fit_unknowns(&f->sought);
    const size_t o = n - 3; /* the offset stands before the radius */
    const triangle *const t = &f->equations;
    const fit_residuals r = fit_residuals_at(f, &f->state);
    joint_fit joint = {.centre_mm = centre_of(f), .radius_mm = f->state.radius / f->scale,
                       .unknowns = n, .dof = f->points.count - n,
                       .form_mm = r.high / f->scale - r.low / f->scale,
                       .worst = r.worst, .worst_mm = r.at_worst / f->scale,
                       .radius_cofactor = triangle_cofactor(t, n - 1, n - 1), .steps = f->steps};
    if (f->sought.offset) {
        joint.offset_mm = (reseat_xy){f->state.offset[0] / f->scale, f->state.offset[1] / f->scale};
        joint.offset_cofactor = (reseat_cov){triangle_cofactor(t, o, o),
                                             triangle_cofactor(t, o, o + 1),
                                             triangle_cofactor(t, o + 1, o + 1)};
    }
    if (joint.dof > 0)
        joint.residual_sd_mm = sqrt(triangle_residual2(t, n) / (double)joint.dof) / f->scale;
    return joint;
}

reseat_status fit_begin(const reseat_touch *touches, size_t count, const fit_setup *setup, fit *f)
{
    f->points = fit_touches(touches, count, setup->sphere);
    f->sought = *setup;
    return begin(f);
}

reseat_status fit_joint(const reseat_touch *touches, size_t count, const fit_setup *setup, fit *f,
                        joint_fit *joint)
{
    reseat_status status = fit_begin(touches, count, setup, f);
    if (status == RESEAT_OK)
        status = refine(f);
    if (status != RESEAT_OK)
        return status;
    const joint_fit found = result_of(f);
    if (!isfinite(found.centre_mm.x + found.centre_mm.y + found.centre_mm.z + found.offset_mm.x +
                  found.offset_mm.y + found.radius_mm + found.form_mm + found.offset_cofactor.xx +
                  found.offset_cofactor.yy + found.radius_cofactor))
        return RESEAT_ERR_NOT_FINITE;
    *joint = found;
    return RESEAT_OK;
}
