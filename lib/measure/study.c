/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <math.h>
#include <stdio.h>
#include <string.h>
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

/* Equations of what was found less what was found first; those marked are left out. */
static void fold(const reseat_seating *seatings, size_t count, size_t unknowns,
                 const bool *left_out, triangle *t)
{
    const reseat_xy first = seatings[0].found_mm;
    triangle_start(t, unknowns);
    for (size_t i = 0; i < count; i++) {
        triangle_column block[UNKNOWNS + 1] = {{1, 0}, {0, 1}};
        double sine, cosine;
        if (left_out && left_out[i])
            continue;
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

/*
 * Which seatings do not belong to the others. Both coordinates of one are judged together, as it is
 * written down, or misread, as a whole: the model is linear in complex numbers, so that both have
 * one leverage and no part in each other.
 */

#define DOF_NEEDED 4 /* to single out one that does not fit */

static const double false_share = 0.01;   /* of all studies */
static const double hidden_share = 0.001; /* the same, of those that a worse one had hidden */
static const double least_mm = 0.0001;    /* smaller ones are the control's last digit */
static const double tie_share = 0.01;     /* as much alike cannot be told apart */
static const double lone_sd_mm = 1e-9;    /* of the others, where they agree exactly */
static const double fits_p = 0.01;        /* another seat that fits worse is not named */

typedef struct fitted {
    const reseat_seating *list;
    size_t count;
    size_t unknowns;
    bool out[RESEAT_STUDY_MAX];  /* named, and left out */
    bool seen[RESEAT_STUDY_MAX]; /* beyond the limit already while all were there */
    triangle equations;
    double x[UNKNOWNS];
    size_t left;                 /* not named ... */
    size_t dof;                  /* ... and with these */
    double squares_mm2;
} fitted;

/* False where those left are too few, or no longer tell the unknowns. */
static bool fit_left(fitted *f)
{
    fold(f->list, f->count, f->unknowns, f->out, &f->equations);
    f->left = 0;
    for (size_t i = 0; i < f->count; i++)
        f->left += !f->out[i];
    f->dof = 2 * f->left > f->unknowns ? 2 * f->left - f->unknowns : 0;
    if (triangle_rank(&f->equations, independent_share) < f->unknowns)
        return false;
    triangle_solve(&f->equations, f->unknowns, f->x);
    f->squares_mm2 = triangle_residual2(&f->equations, f->unknowns);
    return true;
}

/* How far what was found at a seat is from what those left say of it, and their leverage there. */
static double off_at(const fitted *f, reseat_xy found_mm, double seat_deg, double *leverage)
{
    double sine = 0, cosine = 0;
    plane_sincos(seat_deg, &sine, &cosine);
    double row[UNKNOWNS] = {1, 0, cosine, -sine};
    const double *x = f->x;
    const reseat_xy first = f->list[0].found_mm;
    const bool turns = f->unknowns == UNKNOWNS;
    const reseat_xy off = {
        found_mm.x - first.x - x[0] - (turns ? cosine * x[2] - sine * x[3] : 0),
        found_mm.y - first.y - x[1] - (turns ? sine * x[2] + cosine * x[3] : 0)};
    triangle_whiten(&f->equations, f->unknowns, row);
    *leverage = 0;
    for (size_t i = 0; i < f->unknowns; i++)
        *leverage += row[i] * row[i];
    return reseat_plane_length(off);
}

/* What goes with one of those left of the sum of squares, 0 where it alone tells something. */
static double share_of(const fitted *f, size_t i, double *off_mm)
{
    double leverage;
    const double residual_mm = off_at(f, f->list[i].found_mm, f->list[i].seat_deg, &leverage);
    const double left = 1 - leverage;
    *off_mm = left > 1e-9 ? residual_mm / left : 0;
    return residual_mm * *off_mm;
}

/* Chance of a share as large: F(2, dof - 2) of the deleted studentised residual. */
static double chance_of(const fitted *f, double share_mm2)
{
    const double others_mm2 = fmax(f->squares_mm2 - share_mm2, 0);
    return f->squares_mm2 > 0 ? pow(others_mm2 / f->squares_mm2, (double)(f->dof - 2) / 2) : 1;
}

/* The largest share beyond its limit; 0 for none. */
static double worst_share(fitted *f, bool first_round)
{
    double worst_mm2 = 0;
    for (size_t i = 0; i < f->count; i++) {
        double off_mm = 0;
        const double share_mm2 = f->out[i] ? 0 : share_of(f, i, &off_mm);
        const double p = chance_of(f, share_mm2) * (double)f->left;
        if (first_round)
            f->seen[i] = p < false_share;
        if (off_mm > least_mm && p < (f->seen[i] ? false_share : hidden_share))
            worst_mm2 = fmax(worst_mm2, share_mm2);
    }
    return worst_mm2;
}

/* The other seat of those left that a seating would fit best, if it fits that. */
static void suggest_seat(const fitted *f, const reseat_seating *own, reseat_study_outlier *named)
{
    double least = HUGE_VAL, leverage;
    for (size_t i = 0; i < f->count; i++) {
        const double seat_deg = f->list[i].seat_deg;
        if (f->out[i] || fabs(plane_turn_between(seat_deg, own->seat_deg)) <= same_seat_deg)
            continue;
        const double off_mm = off_at(f, own->found_mm, seat_deg, &leverage);
        const double others_mm2 = fmax(f->squares_mm2, (double)f->dof * lone_sd_mm * lone_sd_mm);
        const double ratio = off_mm * off_mm / (1 + leverage) / others_mm2;
        if (off_mm < least && pow(1 + ratio, -(double)f->dof / 2) >= fits_p) {
            least = off_mm;
            named->fits_seat = true;
            named->seat_deg = plane_seat(seat_deg);
        }
    }
}

/* Names those left out, as the rest has it. */
static void name_outliers(const fitted *f, bool told, reseat_study *s)
{
    for (size_t i = 0; i < f->count; i++) {
        double leverage;
        if (!f->out[i] || s->outliers++ >= RESEAT_STUDY_OUTLIERS)
            continue;
        reseat_study_outlier *named = &s->outlier[s->outliers - 1];
        named->line = f->list[i].line;
        named->index = i;
        if (!told) /* those left no longer tell where it should be */
            continue;
        named->off_mm = off_at(f, f->list[i].found_mm, f->list[i].seat_deg, &leverage);
        if (f->unknowns == UNKNOWNS && f->dof > 0)
            suggest_seat(f, &f->list[i], named);
    }
}

static void find_outliers(const reseat_seating *seatings, size_t count, size_t unknowns,
                          reseat_study *s)
{
    fitted f = {.list = seatings, .count = count, .unknowns = unknowns};
    bool told = fit_left(&f), first_round = true;
    s->outliers_tested = told && f.dof >= DOF_NEEDED;
    while (told && f.dof >= DOF_NEEDED) {
        const double worst_mm2 = worst_share(&f, first_round);
        double off_mm;
        if (!(worst_mm2 > 0))
            break;
        bool named[RESEAT_STUDY_MAX];
        for (size_t i = 0; i < count; i++)
            named[i] = f.out[i] || (share_of(&f, i, &off_mm) >= (1 - tie_share) * worst_mm2 &&
                                    off_mm > least_mm);
        memcpy(f.out, named, count * sizeof *named);
        first_round = false;
        told = fit_left(&f);
    }
    name_outliers(&f, told, s);
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
    fold(seatings, count, unknowns, NULL, &t);
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
    find_outliers(seatings, count, unknowns, &s);
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
