/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The runs of a chart as a table below it. */

#include "chart.h"

#include <inttypes.h>
#include "drift.h"
#include "html.h"

static void write_row(const chart *c, size_t i)
{
    char text[TEXT_SIZE];
    FILE *out = c->p->out;
    double range = 0;
    const reseat_drift_point *point = chart_point(c, i);
    fprintf(out, "<tr><td>%" PRIu64, point->seq);
    html_cell(out, drift_date(text, point->at));
    html_cell(out, text_length(text, point->value[c->s], c->p->unit, 0));
    const bool known = reseat_drift_moving_range(c->drift, i, c->s, &range) == RESEAT_OK;
    html_cell(out, known ? text_length(text, range, c->p->unit, 0) : "");
    html_cell(out, point->beyond_3_sigma & chart_bit(c) ? "beyond-3-sigma"
                   : point->four_of_five & chart_bit(c) ? "four-of-five" : "");
    fputs("\n", out);
}

void chart_data(const chart *c)
{
    const char *unit = reseat_unit_name(c->p->unit);
    char value[TEXT_SIZE], range[TEXT_SIZE], summary[128];
    snprintf(value, sizeof value, "%s, %s", c->name, unit);
    snprintf(range, sizeof range, "moving range, %s", unit);
    if (c->drawn < c->known)
        snprintf(summary, sizeof summary, "Data: %s of the %zu runs that are drawn, of %zu",
                 c->name, c->drawn, c->known);
    else
        snprintf(summary, sizeof summary, "Data: %s of %zu run%s", c->name, c->known,
                 text_s(c->known));
    const char *const columns[] = {"run", "date", value, range, "flag"};
    page_data(c->p->out, summary, columns, 5);
    for (size_t i = 0; i < c->drift->point_count; i++)
        if (c->kept[i])
            write_row(c, i);
}
