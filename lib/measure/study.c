/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <math.h>
#include <stdio.h>
#include "base/csv.h"
#include "maths/plane.h"
#include "maths/triangle.h"
#include "reseat/touches.h"

static const double same_seat_deg = 1e-9;
static const double independent_share = 1e-9;
static const double assumed_seat_mm = 0.002; /* scatter of one seating, where it is not found */

/* The unknowns: the part that stays, x and y, then the part that turns. */
#define UNKNOWNS 4
#define STAYS 2

static size_t different_seats(const reseat_seating *seatings, size_t count)
{
    size_t different = 0;
    for (size_t i = 0; i < count; i++) {
        size_t j = 0;
        while (j < i && fabs(plane_turn_between(seatings[j].seat_deg, seatings[i].seat_deg)) >
                            same_seat_deg)
            j++;
        different += j == i;
    }
    return different;
}

/* Equations of what was found less what was found first. */
static void fold(const reseat_seating *seatings, size_t count, size_t unknowns, triangle *t)
{
    const reseat_xy first = seatings[0].found_mm;
    triangle_start(t, unknowns);
    for (size_t i = 0; i < count; i++) {
        triangle_column block[UNKNOWNS + 1] = {{1, 0}, {0, 1}};
        double sine, cosine;
        plane_sincos(seatings[i].seat_deg, &sine, &cosine);
        block[2][0] = cosine;
        block[2][1] = sine;
        block[3][0] = -sine;
        block[3][1] = cosine;
        block[unknowns][0] = seatings[i].found_mm.x - first.x;
        block[unknowns][1] = seatings[i].found_mm.y - first.y;
        triangle_fold(t, block, 2);
    }
}

/* Standard uncertainty of the pair of unknowns that begins at `first`, in its worst direction. */
static double pair_u(const triangle *t, size_t first, double variance)
{
    const double xx = triangle_cofactor(t, first, first);
    const double yy = triangle_cofactor(t, first + 1, first + 1);
    const double xy = triangle_cofactor(t, first, first + 1);
    return sqrt(covariance_largest((reseat_cov){xx, xy, yy}) * variance);
}

static void parts(const triangle *t, const reseat_seating *first, bool readings, reseat_study *s)
{
    double x[UNKNOWNS];
    triangle_solve(t, UNKNOWNS, x);
    s->assumed = s->dof < RESEAT_STUDY_DOF_NEEDED;
    const double dof = (double)s->dof;
    const double variance = s->assumed ? assumed_seat_mm * assumed_seat_mm
                                       : s->u_seat_mm * s->u_seat_mm * dof / (dof - 2);
    s->has_probe = true;
    s->probe_mm = readings ? (reseat_xy){-x[2], -x[3]} : (reseat_xy){x[2], x[3]};
    s->probe_u_mm = pair_u(t, STAYS, variance);
    s->has_spindle = !readings;
    if (s->has_spindle) {
        s->spindle_mm = (reseat_xy){first->found_mm.x + x[0], first->found_mm.y + x[1]};
        s->spindle_u_mm = pair_u(t, 0, variance);
    }
}

reseat_status reseat_study_solve(const reseat_seating *seatings, size_t count, bool readings,
                                 reseat_study *study)
{
    if (!seatings || !study)
        return RESEAT_ERR_ARGUMENT;
    if (count < 2)
        return RESEAT_ERR_TOO_FEW;
    if (count > RESEAT_STUDY_MAX)
        return RESEAT_ERR_RANGE;
    for (size_t i = 0; i < count; i++)
        if (!isfinite(seatings[i].seat_deg) || !xy_is_finite(seatings[i].found_mm))
            return RESEAT_ERR_NOT_FINITE;
    reseat_study s = {.seatings = count, .seats = different_seats(seatings, count)};
    const size_t unknowns = s.seats > 1 ? UNKNOWNS : STAYS;
    triangle t;
    fold(seatings, count, unknowns, &t);
    if (triangle_rank(&t, independent_share) < unknowns)
        return RESEAT_ERR_SINGULAR;
    s.dof = 2 * count - unknowns;
    if (s.dof > 0)
        s.u_seat_mm = sqrt(triangle_residual2(&t, unknowns) / (double)s.dof);
    if (s.seats > 1)
        parts(&t, &seatings[0], readings, &s);
    if (!isfinite(s.u_seat_mm + s.probe_u_mm + s.spindle_u_mm + s.probe_mm.x + s.probe_mm.y +
                  s.spindle_mm.x + s.spindle_mm.y))
        return RESEAT_ERR_NOT_FINITE;
    *study = s;
    return RESEAT_OK;
}

enum { SEAT, OFFSET_X, OFFSET_Y, X, Y, KINDS };

static const column_kind kinds[KINDS] = {
    [SEAT] = {.name = "seat_deg", .required = true},
    [OFFSET_X] = {.name = "offset_x", .length = true},
    [OFFSET_Y] = {.name = "offset_y", .length = true},
    [X] = {.name = "x", .length = true},
    [Y] = {.name = "y", .length = true},
};

/* What stands for x; the column after it stands for y. */
static size_t x_column(const columns *c)
{
    return columns_has(c, X) || columns_has(c, Y) ? X : OFFSET_X;
}

static reseat_status check_header(const columns *c, const csv_row *header)
{
    const size_t x = x_column(c);
    const size_t offset = c->fields[columns_has(c, OFFSET_X) ? OFFSET_X : OFFSET_Y];
    if (x == X && offset != COLUMNS_ABSENT) {
        char key[sizeof c->error->key];
        const csv_field *const field = &header->fields[offset];
        snprintf(key, sizeof key, "%.*s", (int)field->length, field->text); /* offset_x_mm, say */
        return columns_refuse(c, header, offset, key, RESEAT_ERR_SYNTAX,
                              "expected offsets or readings of a gauge's centre, not both");
    }
    const reseat_status status = columns_require(c, x, header);
    return status == RESEAT_OK ? columns_require(c, x + 1, header) : status;
}

static reseat_status take_seating(const columns *c, const csv_row *row, const double *values,
                                  void *list, size_t place)
{
    const size_t x = x_column(c);
    if (list)
        ((reseat_seating *)list)[place] =
            (reseat_seating){values[SEAT], {values[x], values[x + 1]}, row->line};
    return RESEAT_OK;
}

reseat_status reseat_study_read(const char *text, size_t length, reseat_seating *list, size_t room,
                                size_t *count, bool *readings, reseat_error *error)
{
    static const columns_table table = {.kinds = kinds, .count = KINDS, .what = "seatings",
                                        .least = 2, .most = RESEAT_STUDY_MAX,
                                        .check = check_header, .take = take_seating};
    if (!text || !list || !count || !readings)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    columns c;
    const reseat_status status = columns_read(text, length, &table, list, room, &c, count, error);
    if (status == RESEAT_OK)
        *readings = x_column(&c) == X;
    return status;
}
