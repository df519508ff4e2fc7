/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <assert.h>
#include <float.h>
#include <math.h>
#include "maths/fit.h"
#include "maths/plane.h"

/* Reading the points of a fit, block by block, in a frame that suits them. */

/* Smallest and largest of the coordinates; `check` is 0, or NaN if one of them is not finite. */
typedef struct range {
    double low[3];
    double high[3];
    double check;
} range;

static void widen(range *r, size_t axis, double value)
{
    r->low[axis] = value < r->low[axis] ? value : r->low[axis];
    r->high[axis] = value > r->high[axis] ? value : r->high[axis];
    r->check += value * 0;
}

static range range_of_plane(const reseat_xy *p, size_t count)
{
    range r = {{p[0].x, p[0].y, 0}, {p[0].x, p[0].y, 0}, 0};
    for (size_t i = 0; i < count; i++) {
        widen(&r, 0, p[i].x);
        widen(&r, 1, p[i].y);
    }
    return r;
}

static range range_of_space(const reseat_xyz *p, size_t count)
{
    range r = {{p[0].x, p[0].y, p[0].z}, {p[0].x, p[0].y, p[0].z}, 0};
    for (size_t i = 0; i < count; i++) {
        widen(&r, 0, p[i].x);
        widen(&r, 1, p[i].y);
        widen(&r, 2, p[i].z);
    }
    return r;
}

static range range_of_touches(const reseat_touch *p, size_t count, joint_shape shape)
{
    const double z = shape.height ? p[0].z_mm : 0;
    range r = {{p[0].x_mm, p[0].y_mm, z}, {p[0].x_mm, p[0].y_mm, z}, 0};
    for (size_t i = 0; i < count; i++) {
        widen(&r, 0, p[i].x_mm);
        widen(&r, 1, p[i].y_mm);
        if (shape.height)
            widen(&r, 2, p[i].z_mm);
        r.check += p[i].turn_deg * 0;
    }
    return r;
}

static range range_of(const joint_points *points, joint_shape shape)
{
    if (points->plane != NULL)
        return range_of_plane(points->plane, points->count);
    if (points->space != NULL)
        return range_of_space(points->space, points->count);
    return range_of_touches(points->touches, points->count, shape);
}

/* Half of the widest range, about the origin that was chosen. */
static double reach(const range *r, const double *origin)
{
    double most = 0;
    for (size_t axis = 0; axis < 3; axis++) {
        const double up = r->high[axis] - origin[axis];
        const double down = origin[axis] - r->low[axis];
        most = up > most ? up : most;
        most = down > most ? down : most;
    }
    return most;
}

reseat_status joint_frame(joint_points *points, joint_shape shape, const reseat_xy *centre_mm)
{
    assert(points->count > 0 && (centre_mm != NULL) == !shape.centre);
    const range r = range_of(points, shape);
    double origin[3];
    for (size_t axis = 0; axis < 3; axis++)
        origin[axis] = r.low[axis] / 2 + r.high[axis] / 2;
    if (centre_mm != NULL) {
        origin[0] = centre_mm->x;
        origin[1] = centre_mm->y;
    }
    const double most = reach(&r, origin);
    if (!isfinite(most + r.check) || !isfinite(origin[0]) || !isfinite(origin[1]))
        return RESEAT_ERR_NOT_FINITE;
    if (!(most > 0))
        return RESEAT_ERR_SINGULAR;
    int exponent;
    frexp(most, &exponent);
    /* a wider scale would itself overflow, and points that close are all alike to the machine */
    points->scale = ldexp(1, exponent > -1000 ? -exponent : 1000);
    points->origin_mm = (reseat_xyz){origin[0], origin[1], origin[2]};
    return RESEAT_OK;
}

static void gather_turns(const reseat_touch *touches, size_t rows, joint_block *block)
{
    for (size_t i = 0; i < rows; i++) {
        /* touches mostly come turn by turn: the same turn as before needs no new sine */
        const bool again = i > 0 && !(touches[i].turn_deg < touches[i - 1].turn_deg) &&
                           !(touches[i].turn_deg > touches[i - 1].turn_deg);
        if (again) {
            block->sine[i] = block->sine[i - 1];
            block->cosine[i] = block->cosine[i - 1];
        } else {
            plane_sincos(touches[i].turn_deg, &block->sine[i], &block->cosine[i]);
        }
    }
}

static void gather_touches(const joint_points *points, joint_shape shape, size_t first, size_t rows,
                           joint_block *block)
{
    const reseat_touch *const p = points->touches + first;
    const reseat_xyz o = points->origin_mm;
    for (size_t i = 0; i < rows; i++) {
        block->x[i] = (p[i].x_mm - o.x) * points->scale;
        block->y[i] = (p[i].y_mm - o.y) * points->scale;
        block->z[i] = shape.height ? (p[i].z_mm - o.z) * points->scale : 0;
    }
    if (shape.offset)
        gather_turns(p, rows, block);
}

static void gather_plane(const joint_points *points, size_t first, size_t rows, joint_block *block)
{
    const reseat_xy *const p = points->plane + first;
    const reseat_xyz o = points->origin_mm;
    for (size_t i = 0; i < rows; i++) {
        block->x[i] = (p[i].x - o.x) * points->scale;
        block->y[i] = (p[i].y - o.y) * points->scale;
    }
}

static void gather_space(const joint_points *points, size_t first, size_t rows, joint_block *block)
{
    const reseat_xyz *const p = points->space + first;
    const reseat_xyz o = points->origin_mm;
    for (size_t i = 0; i < rows; i++) {
        block->x[i] = (p[i].x - o.x) * points->scale;
        block->y[i] = (p[i].y - o.y) * points->scale;
        block->z[i] = (p[i].z - o.z) * points->scale;
    }
}

size_t joint_gather(const joint_points *points, joint_shape shape, size_t first, size_t rows,
                    joint_block *block)
{
    if (points->plane != NULL)
        gather_plane(points, first, rows, block);
    else if (points->space != NULL)
        gather_space(points, first, rows, block);
    else
        gather_touches(points, shape, first, rows, block);
    const size_t fours = (rows + 3) / 4;
    for (size_t i = rows; i < 4 * fours; i++)
        block->x[i] = block->y[i] = block->z[i] = block->cosine[i] = block->sine[i] = 0;
    return fours;
}

size_t joint_rows(const joint_points *points, size_t first)
{
    const size_t left = points->count - first;
    return left < TRIANGLE_ROWS ? left : TRIANGLE_ROWS;
}

reseat_xyz joint_centre(const joint_points *points, const joint_state *state)
{
    return (reseat_xyz){points->origin_mm.x + state->centre[0] / points->scale,
                        points->origin_mm.y + state->centre[1] / points->scale,
                        points->origin_mm.z + state->centre[2] / points->scale};
}

/* What a fit of touches found, in millimetres. */

/* Largest and smallest residual, from the equations at the solution. */
static void residuals(const joint_points *points, joint_shape shape, const joint_state *state,
                      joint_fit *joint)
{
    const size_t unknowns = joint_unknowns(shape);
    double low = DBL_MAX;
    double high = -DBL_MAX;
    for (size_t first = 0; first < points->count; first += TRIANGLE_ROWS) {
        triangle_column block[JOINT_UNKNOWNS_MAX + 1];
        const size_t rows = joint_rows(points, first);
        joint_equations(points, shape, state, first, rows, block);
        for (size_t i = 0; i < rows; i++) {
            const double residual_mm = block[unknowns][i] / points->scale;
            low = fmin(low, residual_mm);
            high = fmax(high, residual_mm);
            if (fabs(residual_mm) > fabs(joint->worst_mm)) {
                joint->worst = first + i;
                joint->worst_mm = residual_mm;
            }
        }
    }
    joint->form_mm = high - low;
}

/* Results in millimetres. The cofactors are those of lengths by lengths, and have no scale. */
static joint_fit unscaled(const joint_points *points, joint_shape shape,
                          const joint_state *state, const triangle *equations)
{
    const size_t n = joint_unknowns(shape);
    const size_t o = n - 3; /* the offset stands before the radius */
    joint_fit joint = {.unknowns = n, .dof = points->count - n};
    joint.centre_mm = joint_centre(points, state);
    joint.radius_mm = state->radius / points->scale;
    joint.radius_cofactor = triangle_cofactor(equations, n - 1, n - 1);
    if (shape.offset) {
        joint.offset_mm.x = state->offset[0] / points->scale;
        joint.offset_mm.y = state->offset[1] / points->scale;
        joint.offset_cofactor = (reseat_cov){triangle_cofactor(equations, o, o),
                                             triangle_cofactor(equations, o, o + 1),
                                             triangle_cofactor(equations, o + 1, o + 1)};
    }
    if (joint.dof > 0)
        joint.residual_sd_mm =
            sqrt(triangle_residual2(equations, n) / (double)joint.dof) / points->scale;
    residuals(points, shape, state, &joint);
    return joint;
}

static bool is_finite(const joint_fit *joint)
{
    return isfinite(joint->centre_mm.x + joint->centre_mm.y + joint->centre_mm.z +
                    joint->offset_mm.x + joint->offset_mm.y + joint->radius_mm + joint->form_mm +
                    joint->offset_cofactor.xx + joint->offset_cofactor.yy +
                    joint->radius_cofactor);
}

reseat_status joint_report(const joint_points *points, joint_shape shape, const joint_state *state,
                           const triangle *equations, size_t steps, joint_fit *joint)
{
    joint_fit found = unscaled(points, shape, state, equations);
    found.steps = steps;
    const bool finite = is_finite(&found);
    if (finite)
        *joint = found;
    return finite ? RESEAT_OK : RESEAT_ERR_NOT_FINITE;
}
