/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* A control chart in plain characters, a column a run, the newest on the right. */

#include "drift.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include "words.h"

#define COLUMNS 60
#define ROWS 11

/* Values from bottom to top, and how they fall on rows. */
typedef struct scale {
    double least;
    double most;
} scale;

static int row_of(const scale *s, double value)
{
    return (int)lround((s->most - value) / (s->most - s->least) * (ROWS - 1));
}

static void widen(scale *s, double value)
{
    s->least = fmin(s->least, value);
    s->most = fmax(s->most, value);
}

/* The baseline of a point; points are in order, and so are baselines. */
static const reseat_drift_baseline *baseline_of(const reseat_drift *drift, size_t point)
{
    const reseat_drift_baseline *b = drift->baselines;
    while (point >= b->first + b->count)
        b++;
    return b;
}

static const reseat_drift_chart *chart_of(const reseat_drift *drift, size_t point)
{
    const reseat_drift_baseline *b = baseline_of(drift, point);
    return (b->charted & 1u << RESEAT_SERIES_LENGTH) ? &b->charts[RESEAT_SERIES_LENGTH] : NULL;
}

static scale find_scale(const reseat_drift *drift, size_t first)
{
    const double start = drift->points[first].value[RESEAT_SERIES_LENGTH];
    scale s = {start, start};
    for (size_t i = first; i < drift->point_count; i++) {
        const reseat_drift_chart *chart = chart_of(drift, i);
        widen(&s, drift->points[i].value[RESEAT_SERIES_LENGTH]);
        if (chart) {
            widen(&s, chart->lower);
            widen(&s, chart->upper);
        }
    }
    if (!(s.most > s.least)) /* one run, or all alike: it goes into the middle */
        s = (scale){s.least - 0.0001, s.most + 0.0001};
    return s;
}

static void draw_column(const reseat_drift *drift, size_t point, const scale *s,
                        char cells[ROWS][COLUMNS + 1], size_t column)
{
    const reseat_drift_point *p = &drift->points[point];
    const reseat_drift_chart *chart = chart_of(drift, point);
    const unsigned bit = 1u << RESEAT_SERIES_LENGTH;
    if (chart) {
        cells[row_of(s, chart->mean)][column] = '-';
        cells[row_of(s, chart->lower)][column] = '=';
        cells[row_of(s, chart->upper)][column] = '=';
    }
    const bool begins = point > 0 && baseline_of(drift, point)->first == point;
    for (int row = 0; begins && row < ROWS; row++)
        cells[row][column] = '|';
    cells[row_of(s, p->value[RESEAT_SERIES_LENGTH])][column] =
        (p->beyond_3_sigma & bit) ? 'X' : (p->four_of_five & bit) ? '4' : 'o';
}

void drift_chart(const reseat_drift *drift, reseat_unit unit)
{
    char cells[ROWS][COLUMNS + 1];
    const size_t count = drift->point_count;
    size_t shown = COLUMNS;
    if (count < shown)
        shown = count;
    const size_t first = count - shown;
    const scale s = find_scale(drift, first);
    memset(cells, ' ', sizeof cells);
    for (size_t i = 0; i < shown; i++)
        draw_column(drift, first + i, &s, cells, i);
    printf("\nlength in %s, a column a run, the newest on the right\n", reseat_unit_name(unit));
    for (int row = 0; row < ROWS; row++) {
        const bool labelled = row % (ROWS / 2) == 0;
        const double value = s.most - (s.most - s.least) * row / (ROWS - 1);
        size_t end = shown;
        while (end > 0 && cells[row][end - 1] == ' ')
            end--;
        cells[row][end] = '\0';
        printf("%9s |%s\n", labelled ? reseat_words_length(value, unit, 0).text : "", cells[row]);
    }
    printf("          %s to %s; o run, X beyond a limit, 4 four of five on one side,\n"
           "          = limits, - mean, | a baseline begins\n",
           words_date(drift->points[first].at).text, words_date(drift->points[count - 1].at).text);
}
