/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * How often what was measured lies within 1.96 of its stated standard uncertainty from the truth,
 * axis by axis: the offset of a calibration, by gauge, directions, lobes and how the gauge moved;
 * the turn of a probe that was put back, found by a shift or by half a turn; results put right; the
 * two parts of the offset that a study finds.
 *
 *     coverage [RUNS [SEED]]
 *
 * Exit 1 if any row of these is below 93 %. Of gauges that moved by just so much that scatter could
 * explain it, the coverage is printed and not judged; tests/MEASURED.md says why.
 */
#include <inttypes.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include "random.h"
#include "reseat/rescue.h"
#include "reseat/seat.h"
#include "reseat/touches.h"
#include "maths/plane.h"
#include "model/estimate.h"
#include "model/seat.h"

#define TWO_SIDED_95 1.959963984540054
#define LEAST_PERCENT 93.0
#define MUCH_PERCENT 99.5
#define VISITS_MAX 4
#define DIRS_MAX 13 /* with one on top of a sphere */

static unsigned runs;
static random_source source;
static bool sound = true;

typedef struct tally {
    unsigned within;
    unsigned of;
} tally;

static void count(tally *t, double off_mm, double u_mm)
{
    t->within += fabs(off_mm) <= TWO_SIDED_95 * u_mm;
    t->of++;
}

static void count_pair(tally *t, reseat_xy found_mm, reseat_xy true_mm, double u_mm)
{
    count(t, found_mm.x - true_mm.x, u_mm);
    count(t, found_mm.y - true_mm.y, u_mm);
}

/* Prints a share, marked where it is too small or larger than it need be. */
static void show(const tally *t, bool judged)
{
    const double percent = 100.0 * t->within / t->of;
    const bool low = judged && !(percent >= LEAST_PERCENT);
    printf(" %7.2f%c", percent, low ? '!' : percent > MUCH_PERCENT ? '+' : ' ');
    sound = sound && !low;
}

static reseat_xy scattered(reseat_xy at, double u_mm)
{
    at.x += u_mm * random_normal(&source);
    at.y += u_mm * random_normal(&source);
    return at;
}

static reseat_xy anywhere(double length_mm)
{
    return plane_rotate((reseat_xy){length_mm, 0}, 360 * random_uniform(&source));
}

static reseat_xy sum(reseat_xy a, reseat_xy b)
{
    return (reseat_xy){a.x + b.x, a.y + b.y};
}

/* Calibrations. */

static const double touch_mm = 0.0005; /* scatter of a touch */
static const double radius_mm = 2.95;

/* How the gauge moves: at one moment between two visits, by so much. */
typedef enum movement { STILL, AT_ONCE, A_LITTLE } movement;

typedef struct calibration {
    reseat_gauge_kind kind;
    size_t visits;
    double turns_deg[VISITS_MAX];
    size_t dirs;
    size_t order;     /* of lobes; 0: none */
    double lobes_mm;  /* largest less smallest radius */
    double lobe_deg;
    double start_deg; /* of the directions */
    reseat_xy offset_mm;
    double moved_mm;
    size_t moved_before; /* this visit; 0: not at all */
} calibration;

/* A touch along dir_deg, `up` on top of a sphere. */
static reseat_touch touch_of(const calibration *c, size_t visit, double dir_deg, bool up,
                             reseat_xy moved)
{
    const double turn_deg = c->turns_deg[visit];
    double sine = 0, cosine = 0;
    plane_sincos((double)c->order * (dir_deg - turn_deg - c->lobe_deg), &sine, &cosine);
    const double r = radius_mm + (c->order > 0 && !up ? c->lobes_mm / 2 * cosine : 0);
    const double off_mm = touch_mm * random_normal(&source);
    const bool inside = c->kind == RESEAT_GAUGE_RING;
    const double reach_mm = (inside ? 25 - r : -25 - r) + off_mm;
    const reseat_xy u = reseat_plane_unit(dir_deg), o = plane_rotate(c->offset_mm, turn_deg);
    const double flat_mm = up ? 0 : reach_mm;
    return (reseat_touch){.x_mm = moved.x + flat_mm * u.x - o.x,
                          .y_mm = moved.y + flat_mm * u.y - o.y,
                          .z_mm = up ? -reach_mm : 0, .turn_deg = turn_deg};
}

static const reseat_reduction *calibrate(calibration *c)
{
    static reseat_touch touches[VISITS_MAX * DIRS_MAX];
    static reseat_touch_result results[VISITS_MAX * DIRS_MAX];
    static reseat_reduction found;
    const reseat_reduce_setup setup = reseat_reduce_assumed(c->kind, 50);
    size_t n = 0;
    reseat_xy at = {0, 0};
    c->offset_mm = anywhere(0.02);
    c->start_deg = 360 * random_uniform(&source);
    c->lobe_deg = 360 * random_uniform(&source);
    for (size_t visit = 0; visit < c->visits; visit++) {
        if (visit == c->moved_before && visit > 0)
            at = anywhere(c->moved_mm);
        for (size_t i = 0; i < c->dirs; i++)
            touches[n++] = touch_of(c, visit, c->start_deg + 360.0 * (double)i / (double)c->dirs,
                                    false, at);
        if (c->kind == RESEAT_GAUGE_SPHERE)
            touches[n++] = touch_of(c, visit, 0, true, at);
    }
    if (reseat_reduce(touches, n, &setup, results, &found, NULL) != RESEAT_OK)
        exit(2);
    return &found;
}

/* A cell of the table: lobes up to 3 um, movements up to 5 um, where there are some. */
static tally cover(calibration *c, movement how)
{
    tally t = {0, 0};
    for (unsigned i = 0; i < runs; i++) {
        c->lobes_mm = 0.003 * random_uniform(&source);
        c->moved_before =
            how == STILL ? 0 : 1 + (size_t)(random_uniform(&source) * (double)(c->visits - 1));
        c->moved_mm = how == AT_ONCE ? 0.005 * random_uniform(&source)
                                     : 0.001 * fabs(random_normal(&source));
        const reseat_reduction *found = calibrate(c);
        count_pair(&t, found->offset_mm, c->offset_mm, found->offset_u_mm);
    }
    return t;
}

static void cover_rows(const char *turns, calibration *c, movement how, const char *gauge)
{
    static const size_t dirs[] = {3, 4, 5, 8, 12};
    static const char *const moves[] = {"still", "moved at once", "moved a little"};
    for (size_t d = 0; d < sizeof dirs / sizeof *dirs; d++) {
        c->dirs = dirs[d];
        printf("  %-12s %-6s %-15s %3zu", turns, gauge, moves[how], c->dirs);
        for (c->order = 0; c->order <= 6; c->order += c->order == 0 ? 2 : 1) {
            const tally t = cover(c, how);
            show(&t, true);
        }
        printf("\n");
    }
}

static void calibrations(void)
{
    static const char *const gauges[] = {"ring", "plug", "sphere"};
    printf("offset, %u each; no lobes, then lobes of 0 to 3 um of orders 2 to 6\n"
           "  turns        gauge  it was         dirs       0        2        3        4        5"
           "        6\n", runs);
    for (int kind = 0; kind < 3; kind++) {
        calibration back = {.kind = (reseat_gauge_kind)kind, .visits = 3,
                            .turns_deg = {0, 180, 0}};
        calibration once = back, round = {.kind = back.kind, .visits = 4,
                                          .turns_deg = {0, 90, 180, 270}};
        once.visits = 2;
        cover_rows("0 180 0", &back, STILL, gauges[kind]);
        cover_rows("0 180 0", &back, AT_ONCE, gauges[kind]);
        cover_rows("0 180", &once, STILL, gauges[kind]);
        cover_rows("0 180", &once, A_LITTLE, gauges[kind]);
        cover_rows("0 90 180 270", &round, STILL, gauges[kind]);
    }
}

/* Movements of one size: those that are too small to show are in no uncertainty. */
static void movements(void)
{
    static const double moved_um[] = {0.25, 0.5, 0.75, 1, 1.5, 2, 3, 5};
    static const size_t dirs[] = {4, 5, 8, 12};
    printf("offset, ring at 0 180 0 without lobes that moved at once by so many um (not judged)\n"
           "  dirs    ");
    for (size_t m = 0; m < sizeof moved_um / sizeof *moved_um; m++)
        printf(" %7.2f ", moved_um[m]);
    printf("\n");
    for (size_t d = 0; d < sizeof dirs / sizeof *dirs; d++) {
        printf("  %-8zu", dirs[d]);
        for (size_t m = 0; m < sizeof moved_um / sizeof *moved_um; m++) {
            calibration c = {.visits = 3, .turns_deg = {0, 180, 0}, .dirs = dirs[d]};
            tally t = {0, 0};
            c.moved_mm = moved_um[m] / 1000;
            for (unsigned i = 0; i < runs; i++) {
                c.moved_before = 1 + i % 2;
                const reseat_reduction *found = calibrate(&c);
                count_pair(&t, found->offset_mm, c.offset_mm, found->offset_u_mm);
            }
            show(&t, false);
        }
        printf("\n");
    }
}

/* Probes that were put back. */

static const double reading_u_mm = 0.001;

/* What is true, and what is believed of it. */
typedef struct put_back {
    double turn_deg;
    reseat_xy now_mm; /* the ball, as it sits */
    reseat_estimate believed;
} put_back;

static put_back put_it_back(double length_mm, double turn_deg)
{
    put_back p = {.turn_deg = turn_deg, .believed = {.terms = terms_assumed(), .out = true}};
    reseat_estimate *const e = &p.believed;
    const reseat_terms *const t = &e->terms;
    const reseat_xy spindle_mm = {0.004, -0.003}, probe_mm = anywhere(length_mm);
    const double then_deg = t->u_turn_deg * random_normal(&source);
    const double now_deg = turn_deg + t->u_turn_deg * random_normal(&source);
    const reseat_xy run_mm = scattered(sum(spindle_mm, plane_rotate(probe_mm, then_deg)),
                                       t->u_seat_mm);
    p.now_mm = scattered(sum(spindle_mm, plane_rotate(probe_mm, now_deg)), t->u_seat_mm);
    e->spindle_mm = scattered(spindle_mm, t->u_spindle_mm);
    e->offset_mm = e->in_use_mm = scattered(run_mm, t->u_run_mm);
    /* the reading at the run was made with the ball where it was then */
    e->shift_mm = xy_less(run_mm, p.now_mm);
    return p;
}

static reseat_turns turns_of(unsigned keys)
{
    const reseat_seat seat = {.kind = keys > 0 ? RESEAT_SEAT_KEYS : RESEAT_SEAT_ANY,
                              .keys = keys};
    reseat_turns turns;
    if (seat_turns(&seat, 0, true, NULL, &turns) != RESEAT_OK)
        exit(2);
    return turns;
}

/* By the shift of a fixed gauge, or with the spindle turned by half a turn. */
static reseat_found find(const put_back *p, const reseat_turns *turns, bool half_turn)
{
    static reseat_found found;
    const reseat_estimate *const e = &p->believed;
    reseat_status status;
    if (half_turn) {
        const reseat_xy centre_mm = {120, 80};
        reseat_xy offset_mm = {0, 0};
        double u_mm = 0;
        status = reseat_half_turn_offset(
            scattered(xy_less(sum(centre_mm, e->in_use_mm), p->now_mm), reading_u_mm),
            scattered(sum(sum(centre_mm, e->in_use_mm), p->now_mm), reading_u_mm), reading_u_mm,
            &offset_mm, &u_mm);
        if (status == RESEAT_OK)
            status = reseat_find_seat_by_offset(e, turns, offset_mm, u_mm, &found);
    } else {
        status = reseat_find_seat(e, turns, scattered(e->shift_mm, reading_u_mm), reading_u_mm,
                                  &found);
    }
    if (status != RESEAT_OK)
        exit(2);
    return found;
}

static const double lengths_mm[] = {0.02, 0.03, 0.05, 0.1};
#define LENGTHS (sizeof lengths_mm / sizeof *lengths_mm)

static void head(const char *what)
{
    printf("%s, %u each; the probe's part of the offset is so many um\n  %-36s", what, runs, "");
    for (size_t i = 0; i < LENGTHS; i++)
        printf(" %7.0f ", 1000 * lengths_mm[i]);
    printf("\n");
}

static void free_seats(bool half_turn)
{
    const reseat_turns any = turns_of(0);
    printf("  any seat, by %-23s", half_turn ? "half a turn" : "a shift");
    for (size_t i = 0; i < LENGTHS; i++) {
        tally t = {0, 0};
        for (unsigned k = 0; k < runs; k++) {
            const put_back p = put_it_back(lengths_mm[i], 360 * random_uniform(&source) - 180);
            const reseat_found found = find(&p, &any, half_turn);
            if (found.settled)
                count(&t, plane_turn_between(p.turn_deg, found.turn_deg), found.turn_u_deg);
        }
        show(&t, true);
    }
    printf("\n");
}

/* Of those keyed seats that are told, how many are the right one. */
static void keyed_seats(unsigned keys, bool half_turn)
{
    const reseat_turns turns = turns_of(keys);
    printf("  keys:%u, by %-25s", keys, half_turn ? "half a turn" : "a shift");
    for (size_t i = 0; i < LENGTHS; i++) {
        tally t = {0, 0};
        for (unsigned k = 0; k < runs; k++) {
            const double turn_deg = 360.0 * floor(keys * random_uniform(&source)) / keys;
            const put_back p = put_it_back(lengths_mm[i], turn_deg);
            const reseat_found found = find(&p, &turns, half_turn);
            if (found.settled)
                count(&t, plane_turn_between(turn_deg, found.turn_deg), 1e-6);
        }
        show(&t, true);
    }
    printf("\n");
}

static void seats_found(void)
{
    head("seat found");
    for (int half_turn = 0; half_turn <= 1; half_turn++) {
        free_seats(half_turn);
        for (unsigned keys = 2; keys <= 4; keys++)
            keyed_seats(keys, half_turn);
    }
}

/* A point that was measured with the probe as it sits; true at 0, 0. */
static void count_corrected(const put_back *p, const reseat_correction *correction, tally *t)
{
    const reseat_xy error_mm = xy_less(p->believed.in_use_mm, p->now_mm);
    reseat_corrected right = {{0, 0}, 0};
    if (reseat_correct_point(correction, error_mm, &right) != RESEAT_OK)
        exit(2);
    count_pair(t, right.at_mm, (reseat_xy){0, 0}, right.u_mm);
}

/* A way to know what to correct by: the seat as recorded, or found from a check. */
typedef enum knowledge { RECORDED, BY_SHIFT, BY_HALF_TURN } knowledge;

static void correct_points(knowledge by, unsigned keys)
{
    static const char *const names[] = {"seat on record", "found by a shift",
                                        "found by half a turn"};
    const reseat_turns possible = turns_of(keys);
    printf("  %-20s %-15s", names[by], keys > 0 ? "keys:2" : "any seat");
    for (size_t i = 0; i < LENGTHS; i++) {
        tally t = {0, 0};
        for (unsigned k = 0; k < runs; k++) {
            const double turn_deg = keys > 0 ? 180 : 360 * random_uniform(&source) - 180;
            const put_back p = put_it_back(lengths_mm[i], turn_deg);
            const reseat_found found = find(&p, &possible, by == BY_HALF_TURN);
            const reseat_turns one = {.range = true, .first_deg = turn_deg};
            reseat_correction correction;
            if (by != RECORDED && !found.settled)
                continue;
            if ((by == RECORDED
                     ? reseat_correct_at(&p.believed, &one, RESEAT_DATUM_MACHINE, &correction)
                     : reseat_correct_found(&p.believed, &found, RESEAT_DATUM_MACHINE,
                                            &correction)) != RESEAT_OK)
                exit(2);
            count_corrected(&p, &correction, &t);
        }
        show(&t, true);
    }
    printf("\n");
}

static void corrected_results(void)
{
    head("corrected points");
    for (knowledge by = RECORDED; by <= BY_HALF_TURN; by++)
        for (unsigned keys = 0; keys <= 2; keys += 2)
            correct_points(by, keys);
}

/* Three lobes of a probe: its radius less the mean. */
static double lobe(double lobes_mm, double lobe_deg, double dir_deg)
{
    double sine, cosine;
    plane_sincos(3 * (dir_deg - lobe_deg), &sine, &cosine);
    return lobes_mm / 2 * cosine;
}

#define RADII 36

/* One touch of a surface with lobes up to 3 um, its radii on record or not; true at 0. */
static void count_surface(bool on_record, double length_mm, tally *t)
{
    static double dirs_deg[RADII], radii_mm[RADII];
    reseat_radius_curve curve;
    const double lobes_mm = 0.003 * random_uniform(&source);
    const double lobe_deg = 360 * random_uniform(&source);
    const double dir_deg = 360 * random_uniform(&source);
    put_back p = put_it_back(length_mm, 360 * random_uniform(&source) - 180);
    for (size_t i = 0; i < RADII; i++) {
        dirs_deg[i] = 360.0 / RADII * (double)i;
        radii_mm[i] = radius_mm + lobe(lobes_mm, lobe_deg, dirs_deg[i]) +
                      touch_mm * random_normal(&source);
    }
    if (reseat_radius_fit(dirs_deg, radii_mm, RADII, &curve) != RESEAT_OK)
        exit(2);
    p.believed.curve = on_record ? &curve : NULL;
    const reseat_turns one = {.range = true, .first_deg = p.turn_deg};
    const reseat_xy error_mm = xy_less(p.believed.in_use_mm, p.now_mm);
    const reseat_xy u = reseat_plane_unit(dir_deg);
    const double off_mm = error_mm.x * u.x + error_mm.y * u.y + lobe(lobes_mm, lobe_deg, dir_deg) -
                          lobe(lobes_mm, lobe_deg, dir_deg - p.turn_deg);
    reseat_correction correction;
    reseat_corrected right = {{0, 0}, 0};
    if (reseat_correct_at(&p.believed, &one, RESEAT_DATUM_MACHINE, &correction) != RESEAT_OK ||
        reseat_correct_surface(&correction, (reseat_xy){off_mm * u.x, off_mm * u.y}, dir_deg,
                               &right) != RESEAT_OK)
        exit(2);
    count(t, right.at_mm.x * u.x + right.at_mm.y * u.y, right.u_mm);
}

static void corrected_surfaces(void)
{
    head("corrected surfaces, lobes up to 3 um, seat on record");
    for (int on_record = 0; on_record <= 1; on_record++) {
        printf("  %-36s", on_record ? "36 radii on record" : "no radii on record");
        for (size_t i = 0; i < LENGTHS; i++) {
            tally t = {0, 0};
            for (unsigned k = 0; k < runs; k++)
                count_surface(on_record, lengths_mm[i], &t);
            show(&t, true);
        }
        printf("\n");
    }
}

/* Studies: so many seatings, at so many seats. */
static void study(size_t seatings, size_t seats)
{
    static const reseat_xy spindle_mm = {0.004, -0.003}, probe_mm = {0.02, 0.01};
    tally spindle = {0, 0}, probe = {0, 0};
    for (unsigned k = 0; k < runs; k++) {
        reseat_seating list[64];
        reseat_study found;
        for (size_t i = 0; i < seatings; i++) {
            const double seat_deg = 360.0 * (double)(i % seats) / (double)seats;
            list[i] = (reseat_seating){
                seat_deg, scattered(sum(spindle_mm, plane_rotate(probe_mm, seat_deg)), 0.002), 0};
        }
        if (reseat_study_solve(list, seatings, false, &found) != RESEAT_OK)
            exit(2);
        count_pair(&spindle, found.spindle_mm, spindle_mm, found.spindle_u_mm);
        count_pair(&probe, found.probe_mm, probe_mm, found.probe_u_mm);
    }
    printf("  %8zu %5zu ", seatings, seats);
    show(&spindle, true);
    show(&probe, true);
    printf("\n");
}

static void studies(void)
{
    static const size_t counts[] = {4, 5, 6, 8, 12, 24};
    printf("study, %u each: spindle's part, probe's part\n  seatings seats\n", runs);
    for (size_t i = 0; i < sizeof counts / sizeof *counts; i++)
        for (size_t seats = 2; seats <= 4; seats++)
            study(counts[i], seats);
}

int main(int argc, char **argv)
{
    runs = argc > 1 ? (unsigned)strtoul(argv[1], NULL, 10) : 2000;
    source.state = argc > 2 ? strtoull(argv[2], NULL, 10) : 20260302;
    if (runs == 0 || source.state == 0) {
        fprintf(stderr, "usage: coverage [RUNS [SEED]], both above 0\n");
        return 2;
    }
    printf("coverage %u %" PRIu64 ": per cent of axes within 1.96 u; ! below %.0f, + above %.1f\n",
           runs, source.state, LEAST_PERCENT, MUCH_PERCENT);
    calibrations();
    movements();
    seats_found();
    corrected_results();
    corrected_surfaces();
    studies();
    printf("%s\n", sound ? "as stated" : "NOT as stated");
    return sound ? 0 : 1;
}
