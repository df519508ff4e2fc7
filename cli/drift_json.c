/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "drift.h"

#include <inttypes.h>

static void time_json(json *j, const char *key, int64_t at)
{
    char text[RESEAT_TIME_SIZE] = "";
    (void)reseat_time_format(at, text);
    json_text(j, key, text);
}

static void point_json(json *j, const reseat_drift_point *p)
{
    json_open(j, NULL, '{');
    json_integer(j, "seq", (int64_t)p->seq);
    time_json(j, "at", p->at);
    if ((p->known & XY_BITS) == XY_BITS) {
        json_number(j, "x_mm", p->value[RESEAT_SERIES_X]);
        json_number(j, "y_mm", p->value[RESEAT_SERIES_Y]);
    }
    json_number(j, "length_mm", p->value[RESEAT_SERIES_LENGTH]);
    if ((p->known & XY_BITS) == XY_BITS)
        json_number(j, "bearing_deg", p->bearing_deg);
    if (p->t2_known)
        json_number(j, "t2", p->t2);
    json_open(j, "flags", '[');
    if (p->beyond_3_sigma)
        json_text(j, NULL, "beyond-3-sigma");
    if (p->four_of_five)
        json_text(j, NULL, "four-of-five");
    json_close(j, ']');
    json_close(j, '}');
}

static void charts_json(json *j, const reseat_drift_baseline *b)
{
    json_open(j, "charts", '{');
    for (int s = 0; s < RESEAT_SERIES_COUNT; s++) {
        const reseat_drift_chart *c = &b->charts[s];
        if (!(b->charted & 1u << s))
            continue;
        json_open(j, reseat_series_name((reseat_series)s), '{');
        json_number(j, "mean", c->mean);
        json_number(j, "sigma", c->sigma);
        json_number(j, "lower", c->lower);
        json_number(j, "upper", c->upper);
        json_number(j, "mr_mean", c->mr_mean);
        json_number(j, "mr_upper", c->mr_upper);
        json_close(j, '}');
    }
    json_close(j, '}');
}

static void trends_json(json *j, const reseat_drift_baseline *b)
{
    json_open(j, "trend", '{');
    for (int s = 0; s < RESEAT_SERIES_COUNT; s++) {
        const reseat_trend *t = &b->trends[s];
        if (!(b->trended & 1u << s))
            continue;
        json_open(j, reseat_series_name((reseat_series)s), '{');
        json_number(j, "per_day", t->slope);
        json_number(j, "low", t->low);
        json_number(j, "high", t->high);
        json_number(j, "p", t->p);
        json_close(j, '}');
    }
    json_close(j, '}');
}

static void notes_json(json *j, unsigned notes)
{
    json_open(j, "notes", '[');
    for (unsigned note = 0; note < RESEAT_DRIFT_NOTE_COUNT; note++) {
        if (!(notes & 1u << note))
            continue;
        json_open(j, NULL, '{');
        json_text(j, "code", reseat_drift_note_code((reseat_drift_note)note));
        json_text(j, "text", reseat_drift_note_text((reseat_drift_note)note));
        json_close(j, '}');
    }
    json_close(j, ']');
}

static void baseline_json(json *j, const reseat_drift_baseline *b)
{
    json_open(j, NULL, '{');
    json_integer(j, "from_seq", (int64_t)b->from_seq);
    json_integer(j, "to_seq", (int64_t)b->to_seq);
    json_integer(j, "n", (int64_t)b->count);
    if (b->t2_limit > 0)
        json_number(j, "t2_limit", b->t2_limit);
    if (b->charted)
        charts_json(j, b);
    if (b->trended)
        trends_json(j, b);
    if (b->newest_known) {
        json_open(j, "newest", '{');
        json_number(j, "t2", b->newest.t2);
        json_number(j, "p", b->newest.p);
        json_close(j, '}');
    }
    if (b->change_known) {
        json_open(j, "change", '{');
        json_integer(j, "after_seq", (int64_t)b->change.after_seq);
        json_number(j, "t2", b->change.t2);
        json_number(j, "p", b->change.p);
        json_close(j, '}');
    }
    if (!b->growth.assumed) {
        json_open(j, "rate", '{');
        json_number(j, "q_mm2_per_day", b->growth.q_mm2_per_day);
        json_close(j, '}');
    }
    notes_json(j, b->notes);
    json_close(j, '}');
}

static void finding_json(json *j, const reseat_drift *drift, const reseat_drift_finding *f)
{
    char text[512];
    (void)reseat_drift_finding_text(f, RESEAT_MM, text, sizeof text);
    json_open(j, NULL, '{');
    json_text(j, "code", reseat_drift_code_name(f->code));
    json_open(j, "seqs", '[');
    for (size_t i = f->first; i < f->first + f->count; i++)
        if ((drift->points[i].known & f->needs) == f->needs)
            json_integer(j, NULL, (int64_t)drift->points[i].seq);
    json_close(j, ']');
    json_text(j, "text", text);
    json_close(j, '}');
}

static void split_json(json *j, const reseat_drift_split *split)
{
    json_open(j, "split", '{');
    json_pair(j, "spindle_mm", split->spindle_mm);
    json_pair(j, "probe_mm", split->probe_mm);
    json_number(j, "u_mm", split->u_mm);
    json_close(j, '}');
}

void drift_json(const reseat_state *standing, const reseat_outlook *outlook)
{
    const reseat_drift *drift = &outlook->drift;
    json j = {.out = stdout};
    json_open(&j, NULL, '{');
    json_text(&j, "spindle", standing->spindle);
    json_text(&j, "probe", standing->probe);
    json_text(&j, "tip", standing->tip);
    json_open(&j, "runs", '[');
    for (size_t i = 0; i < drift->point_count; i++)
        point_json(&j, &drift->points[i]);
    json_close(&j, ']');
    json_open(&j, "baselines", '[');
    for (size_t i = 0; i < drift->baseline_count; i++)
        baseline_json(&j, &drift->baselines[i]);
    json_close(&j, ']');
    if (outlook->due_known) {
        json_open(&j, "due", '{');
        time_json(&j, "at", outlook->due_at);
        json_number(&j, "days", outlook->due_days);
        json_close(&j, '}');
    }
    if (drift->split_known)
        split_json(&j, &drift->split);
    json_open(&j, "findings", '[');
    for (size_t i = 0; i < drift->finding_count; i++)
        finding_json(&j, drift, &drift->findings[i]);
    json_close(&j, ']');
    json_end(&j);
}
