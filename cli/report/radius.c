/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The effective radius round the probe, by direction of motion, its deviations magnified. */

#include "scale.h"

#include <inttypes.h>
#include <math.h>

#define SIZE 360.0 /* pixels of the figure */
#define CENTRE (SIZE / 2)
#define MEAN_RADIUS 86.0 /* at which the mean is drawn */
#define RING 18.0        /* pixels from ring to ring */

typedef struct lobes {
    const double *dirs_deg, *radii_mm;
    size_t count;
    reseat_radius_curve curve;
    double ring_mm;
    svg figure;
} lobes;

/* Where something is in the figure: so many pixels from the centre; a radius, magnified. */
static reseat_xy place(double pixels, double dir_deg)
{
    const reseat_xy unit = reseat_plane_unit(dir_deg);
    return (reseat_xy){CENTRE + pixels * unit.x, CENTRE - pixels * unit.y};
}

static reseat_xy place_radius(const lobes *l, double radius_mm, double dir_deg)
{
    return place(MEAN_RADIUS + (radius_mm - l->curve.mean_mm) / l->ring_mm * RING, dir_deg);
}

static void draw_lobes(lobes *l)
{
    for (int ring = -3; ring <= 3; ring++)
        svg_dot(&l->figure, ring == 0 ? "mean" : "ring", (reseat_xy){CENTRE, CENTRE},
                MEAN_RADIUS + ring * RING);
    for (int dir = 0; dir < 360; dir += 90) {
        const reseat_xy at = place(MEAN_RADIUS + 3 * RING + (dir % 180 ? 14 : 8), dir);
        svg_text(&l->figure, dir == 0 ? "start" : dir == 180 ? "end" : "mid", at.x, at.y + 4, 0,
                 shown_print("%d°", dir).text);
    }
    svg_path_begin(&l->figure, "curve");
    for (int dir = 0; dir <= 360; dir += 2)
        svg_path_to(&l->figure, place_radius(l, reseat_radius_at(&l->curve, dir), dir), dir == 0);
    svg_path_end(&l->figure);
    for (size_t i = 0; i < l->count; i++)
        svg_dot(&l->figure, "run", place_radius(l, l->radii_mm[i], l->dirs_deg[i]), 2.7);
}

void figure_radius(const page *p)
{
    lobes l = {.count = 0};
    size_t radii = 0;
    const char *unit = reseat_unit_name(p->unit);
    const reseat_record *run = p->asked->state.run;
    l.dirs_deg = reseat_record_numbers(run, RESEAT_FIELD_DIRS_DEG, &l.count);
    l.radii_mm = reseat_record_numbers(run, RESEAT_FIELD_RADII_MM, &radii);
    if (l.count == 0 || radii != l.count ||
        reseat_radius_fit(l.dirs_deg, l.radii_mm, l.count, &l.curve) != RESEAT_OK) {
        fputs("<section class=\"none\"><h3>Radius by direction</h3>\n<p>Not on record: the run in "
              "force holds no radii by direction. The budget reckons with lobes that nobody has "
              "seen.</p></section>\n", p->out);
        return;
    }
    double most = 0;
    for (size_t i = 0; i < l.count; i++)
        most = fmax(most, fabs(l.radii_mm[i] - l.curve.mean_mm));
    for (int dir = 0; dir < 360; dir += 2)
        most = fmax(most, fabs(reseat_radius_at(&l.curve, dir) - l.curve.mean_mm));
    l.ring_mm = scale_step(fmax(most, 1e-6), 3);
    const shown told = shown_print(
        "Effective radius by direction of motion, run %" PRId64 ": mean %s %s, heavy ring; from "
        "ring to ring %s %s. Deviations are magnified %.20s times against the mean.", page_run(p),
        words_length(l.curve.mean_mm, p->unit, 0).text, unit,
        words_length(l.ring_mm, p->unit, 2).text, unit,
        words_decimal(RING / l.ring_mm / (MEAN_RADIUS / l.curve.mean_mm), 0).text);
    const svg_about about = {.id = "radius", .class = "square", .title = "Radius by direction",
                             .desc = told.text, .width = SIZE, .height = SIZE};
    l.figure = figure_begin(p, &about, told.text);
    draw_lobes(&l);
    svg_end(&l.figure);
    html_table(p->out, "Data: radius by direction",
               (const char *const[]){"direction, °", shown_print("radius, %s", unit).text, NULL});
    for (size_t i = 0; i < l.count; i++)
        html_row(p->out, (const char *const[]){
            words_decimal(l.dirs_deg[i], 1).text, words_length(l.radii_mm[i], p->unit, 0).text,
            NULL});
    figure_end(p);
}
