/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "model/radius.h"

#include <math.h>
#include "base/csv.h"
#include "maths/plane.h"
#include "maths/triangle.h"

/*
 * A harmonic of which less than this share stands apart from those below it is not determined:
 * radii come with some six good digits, and beyond that it would be all noise.
 */
static const double independent_share = 1e-6;

static const double wild_scatter = 16; /* a curve that scatters more than so many radii is none */
static const double look_every_deg = 2; /* the highest harmonic has a period of 30 */

/* 1, cos phi, sin phi, cos 2 phi, ... */
static void terms(double dir_deg, size_t order, double *v)
{
    v[0] = 1;
    for (size_t k = 1; k <= order; k++)
        plane_sincos((double)k * dir_deg, &v[2 * k], &v[2 * k - 1]);
}

/* Equations for the radii less the first one. */
static void series(const directed_radius *list, size_t count, size_t order, triangle *t)
{
    triangle_column block[TRIANGLE_UNKNOWNS + 1];
    triangle_start(t, 2 * order + 1);
    for (size_t i = 0; i < count; i++) {
        const size_t row = i % TRIANGLE_ROWS;
        double v[TRIANGLE_UNKNOWNS];
        terms(list[i].dir_deg, order, v);
        for (size_t j = 0; j <= 2 * order; j++)
            block[j][row] = v[j];
        block[2 * order + 1][row] = list[i].radius_mm - list[0].radius_mm;
        if (row + 1 == TRIANGLE_ROWS || i + 1 == count)
            triangle_fold(t, block, row + 1);
    }
}

/* The largest scatter of the curve in any direction, by that of a radius. */
static double scatter_of(const triangle *t, size_t order)
{
    double most2 = 0;
    for (double dir_deg = 0; dir_deg < 360; dir_deg += look_every_deg) {
        double v[TRIANGLE_UNKNOWNS], scatter2 = 0;
        terms(dir_deg, order, v);
        triangle_whiten(t, 2 * order + 1, v);
        for (size_t i = 0; i < 2 * order + 1; i++)
            scatter2 += v[i] * v[i];
        most2 = fmax(most2, scatter2);
    }
    return sqrt(most2);
}

static double spread_of(const directed_radius *list, size_t count)
{
    double low_mm = list[0].radius_mm, high_mm = low_mm;
    for (size_t i = 1; i < count; i++) {
        low_mm = fmin(low_mm, list[i].radius_mm);
        high_mm = fmax(high_mm, list[i].radius_mm);
    }
    return high_mm - low_mm;
}

static reseat_radius_curve curve_of(const directed_radius *list, size_t count)
{
    const size_t most = (count - 1) / 3;
    triangle t;
    series(list, count, most < RESEAT_RADIUS_ORDER_MAX ? most : RESEAT_RADIUS_ORDER_MAX, &t);
    const size_t rank = triangle_rank(&t, independent_share);
    reseat_radius_curve curve = {.order = (rank - 1) / 2, .directions = count,
                                 .spread_mm = spread_of(list, count)};
    while ((curve.scatter_ratio = scatter_of(&t, curve.order)) > wild_scatter)
        curve.order--; /* that of order 0 is below 1 */
    const size_t used = 2 * curve.order + 1;
    double x[TRIANGLE_UNKNOWNS];
    triangle_solve(&t, used, x);
    curve.mean_mm = list[0].radius_mm + x[0];
    for (size_t k = 1; k <= curve.order; k++) {
        curve.cosine_mm[k] = x[2 * k - 1];
        curve.sine_mm[k] = x[2 * k];
    }
    if (count > used)
        curve.residual_mm = sqrt(triangle_residual2(&t, used) / (double)(count - used));
    return curve;
}

/* The series went through sums and squares: it is finite if these are. */
static bool is_finite(const reseat_radius_curve *curve)
{
    double sum = fabs(curve->mean_mm) + curve->residual_mm + curve->spread_mm;
    for (size_t k = 1; k <= curve->order; k++)
        sum += fabs(curve->cosine_mm[k]) + fabs(curve->sine_mm[k]);
    return isfinite(sum);
}

reseat_status reseat_radius_fit(const double *dirs_deg, const double *radii_mm, size_t count,
                                reseat_radius_curve *curve)
{
    if (!dirs_deg || !radii_mm || !curve)
        return RESEAT_ERR_ARGUMENT;
    if (count < 1 || count > RESEAT_RADIUS_COUNT_MAX)
        return RESEAT_ERR_RANGE;
    directed_radius list[RESEAT_RADIUS_COUNT_MAX];
    for (size_t i = 0; i < count; i++) {
        if (!isfinite(dirs_deg[i]) || !isfinite(radii_mm[i]))
            return RESEAT_ERR_NOT_FINITE;
        list[i] = (directed_radius){dirs_deg[i], radii_mm[i]};
    }
    const reseat_radius_curve fitted = curve_of(list, directions_merge(list, count));
    if (!is_finite(&fitted))
        return RESEAT_ERR_NOT_FINITE;
    *curve = fitted;
    return RESEAT_OK;
}

double reseat_radius_at(const reseat_radius_curve *curve, double dir_deg)
{
    const double phi_deg = reseat_plane_turn(dir_deg);
    double sum_mm = 0;
    for (size_t k = curve->order; k >= 1; k--) {
        double sine, cosine;
        plane_sincos((double)k * phi_deg, &sine, &cosine);
        sum_mm += curve->cosine_mm[k] * cosine + curve->sine_mm[k] * sine;
    }
    return curve->mean_mm + sum_mm;
}

/*
 * cos k phi - cos k(phi - turn) = -2 sin(k turn/2) sin k(phi - turn/2), and the like for the sine:
 * no cancellation at small turns, and whole periods give 0 because sin(k turn/2) does.
 */
double radius_change(const reseat_radius_curve *curve, double dir_deg, double turn_deg)
{
    const double half_deg = reseat_plane_turn(turn_deg) / 2;
    const double middle_deg = reseat_plane_turn(dir_deg) - half_deg;
    double change_mm = 0;
    for (size_t k = curve->order; k >= 1; k--) {
        double across, half_cosine, sine, cosine;
        plane_sincos((double)k * half_deg, &across, &half_cosine);
        plane_sincos((double)k * middle_deg, &sine, &cosine);
        change_mm += 2 * across * (curve->sine_mm[k] * cosine - curve->cosine_mm[k] * sine);
    }
    return change_mm;
}

/* Grows with the turn as a lobe of that order does, to all of it after half a period. */
static double grown(double most_mm, double order, double turn_deg)
{
    double sine, cosine;
    plane_sincos(fmin(order / 2 * fabs(reseat_plane_turn(turn_deg)), 90), &sine, &cosine);
    return most_mm * sine;
}

static double amplitude(const reseat_radius_curve *curve, size_t k)
{
    return reseat_plane_length((reseat_xy){curve->cosine_mm[k], curve->sine_mm[k]});
}

double radius_change_within(const reseat_radius_curve *curve, double within_deg)
{
    double most_mm = 0;
    for (size_t k = 1; k <= curve->order; k++)
        most_mm += grown(2 * amplitude(curve, k), (double)k, within_deg);
    return most_mm;
}

double radius_change_u(const reseat_radius_curve *curve, double turn_deg)
{
    return sqrt(2.0) * grown(curve->residual_mm, 3, turn_deg);
}

double radius_hidden_change(double lobing_mm, double turn_deg)
{
    return grown(lobing_mm, 3, turn_deg);
}

double radius_seen_change(const reseat_radius_curve *curve, double lobing_mm, double turn_deg)
{
    const double half_deg = reseat_plane_turn(turn_deg) / 2;
    double curve_mm = 0;
    for (size_t k = 1; k <= curve->order; k++) {
        double across, half_cosine;
        plane_sincos((double)k * half_deg, &across, &half_cosine);
        curve_mm += 2 * fabs(across) * amplitude(curve, k);
    }
    return curve->spread_mm > lobing_mm
               ? fmax(curve_mm, grown(curve->spread_mm, RESEAT_RADIUS_ORDER_MAX, turn_deg))
               : curve_mm;
}

bool radius_shows_lobes(const reseat_radius_curve *curve)
{
    return curve && curve->directions >= RESEAT_RADIUS_LOBES_SHOWN &&
           curve->order >= RESEAT_RADIUS_LOBES_ORDER &&
           curve->scatter_ratio <= RESEAT_RADIUS_LOBES_SCATTER;
}

reseat_status reseat_radius_harmonic(const reseat_radius_curve *curve, size_t k,
                                     double *amplitude_mm, double *phase_deg)
{
    if (!curve || !amplitude_mm || !phase_deg)
        return RESEAT_ERR_ARGUMENT;
    if (k < 2 || k > RESEAT_RADIUS_ORDER_MAX)
        return RESEAT_ERR_RANGE;
    const reseat_xy vector = {curve->cosine_mm[k], curve->sine_mm[k]};
    if (!isfinite(amplitude(curve, k)))
        return RESEAT_ERR_NOT_FINITE;
    *amplitude_mm = amplitude(curve, k);
    *phase_deg = plane_seat(reseat_plane_bearing(vector)) / (double)k; /* below 360 / k */
    return RESEAT_OK;
}

reseat_status reseat_radius_lobing(const reseat_radius_curve *curve, size_t *order,
                                   double *amplitude_mm)
{
    if (!curve || !order || !amplitude_mm)
        return RESEAT_ERR_ARGUMENT;
    if (curve->order > RESEAT_RADIUS_ORDER_MAX)
        return RESEAT_ERR_RANGE;
    size_t largest = 0;
    double most_mm = 0;
    for (size_t k = 2; k <= curve->order; k++) {
        const double mm = amplitude(curve, k);
        if (!isfinite(mm))
            return RESEAT_ERR_NOT_FINITE;
        if (mm > most_mm) {
            most_mm = mm;
            largest = k;
        }
    }
    *order = largest;
    *amplitude_mm = most_mm;
    return RESEAT_OK;
}

enum { DIR, RADIUS, KINDS };

static const column_kind kinds[KINDS] = {
    [DIR] = {.name = "dir_deg", .required = true},
    [RADIUS] = {.name = "radius", .length = true, .required = true},
};

/* Where the directions and the radii go. */
typedef struct radii {
    double *dirs_deg;
    double *radii_mm;
} radii;

static reseat_status take_radius(const columns *c, const csv_row *row, const double *values,
                                 void *list, size_t place)
{
    const csv_field *const field = &row->fields[c->fields[RADIUS]];
    if (!(values[RADIUS] > 0))
        return columns_refuse(c, row, c->fields[RADIUS], "", RESEAT_ERR_RANGE,
                              "expected a radius above 0, read %s",
                              error_echo(field->text, field->length).text);
    const radii *const to = list;
    if (to) {
        to->dirs_deg[place] = values[DIR];
        to->radii_mm[place] = values[RADIUS];
    }
    return RESEAT_OK;
}

reseat_status reseat_radius_read(const char *text, size_t length, double *dirs_deg,
                                 double *radii_mm, size_t space, size_t *count,
                                 reseat_error *error)
{
    static const columns_table table = {.kinds = kinds, .count = KINDS, .what = "radii",
                                        .least = 1, .most = RESEAT_RADIUS_COUNT_MAX,
                                        .take = take_radius};
    if ((!text && length > 0) || !dirs_deg || !radii_mm || !count)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    columns c;
    return columns_read(text, length, &table, &(radii){dirs_deg, radii_mm}, space, &c, count,
                        error);
}

/* 1 degree, and room for the rounding of directions such as 10.1 and 11.1. */
static const double reach_deg = 1 + 1e-9;

static bool before(directed_radius a, directed_radius b)
{
    return a.dir_deg < b.dir_deg || (a.dir_deg <= b.dir_deg && a.radius_mm < b.radius_mm);
}

/* Shell's method: in place, no allocation, quick enough for any file of touches. */
static void sort(directed_radius *list, size_t count)
{
    for (size_t gap = count / 2; gap > 0; gap = gap == 2 ? 1 : gap * 5 / 11) {
        for (size_t i = gap; i < count; i++) {
            const directed_radius moved = list[i];
            size_t j = i;
            for (; j >= gap && before(moved, list[j - gap]); j -= gap)
                list[j] = list[j - gap];
            list[j] = moved;
        }
    }
}

/* Sorts the list; returns the index after its widest gap, the one across 0 if no other is wider. */
static size_t sort_from_widest_gap(directed_radius *list, size_t count)
{
    size_t widest = 0;
    for (size_t i = 0; i < count; i++)
        list[i].dir_deg = plane_seat(list[i].dir_deg);
    sort(list, count);
    double gap_deg = list[0].dir_deg + 360 - list[count - 1].dir_deg;
    for (size_t i = 1; i < count; i++) {
        if (list[i].dir_deg - list[i - 1].dir_deg > gap_deg) {
            gap_deg = list[i].dir_deg - list[i - 1].dir_deg;
            widest = i;
        }
    }
    return widest;
}

/* Averages the touches that lie within reach of list[start], and returns how many those are. */
static size_t average(const directed_radius *list, size_t count, size_t start, size_t left,
                      directed_radius *mean)
{
    const directed_radius first = list[start];
    double dirs_deg = 0;
    double radii_mm = 0;
    size_t n = 0;
    for (; n < left; n++) {
        const directed_radius next = list[(start + n) % count];
        const double ahead_deg = plane_seat(next.dir_deg - first.dir_deg);
        if (n > 0 && ahead_deg > reach_deg)
            break;
        dirs_deg += ahead_deg;
        radii_mm += next.radius_mm - first.radius_mm;
    }
    mean->dir_deg = plane_seat(first.dir_deg + dirs_deg / (double)n);
    mean->radius_mm = first.radius_mm + radii_mm / (double)n;
    return n;
}

double directions_arc(directed_radius *list, size_t count)
{
    assert(count > 0);
    const size_t start = sort_from_widest_gap(list, count);
    const size_t end = (start + count - 1) % count;
    return plane_seat(list[end].dir_deg - list[start].dir_deg);
}

size_t directions_merge(directed_radius *list, size_t count)
{
    assert(count > 0);
    directed_radius distinct[DIRECTIONS_MAX];
    const size_t start = sort_from_widest_gap(list, count);
    size_t found = 0;
    for (size_t done = 0; done < count; found++) {
        assert(found < DIRECTIONS_MAX);
        done += average(list, count, (start + done) % count, count - done, &distinct[found]);
    }
    for (size_t i = 0; i < found; i++)
        list[i] = distinct[i];
    sort(list, found);
    return found;
}
