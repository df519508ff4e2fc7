/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "drift.h"

#include "json.h"

static void put_point(json *j, const void *drift, size_t i)
{
    const reseat_drift_point *p = &((const reseat_drift *)drift)->points[i];
    const bool seated = (p->known & XY_BITS) == XY_BITS;
    json_print(j, "seq:i at:t x_mm:n y_mm:n length_mm:n bearing_deg:n t2:n flags:[ s s ]",
               (int64_t)p->seq, p->at, json_if(seated, p->value[RESEAT_SERIES_X]),
               json_if(seated, p->value[RESEAT_SERIES_Y]), p->value[RESEAT_SERIES_LENGTH],
               json_if(seated, p->bearing_deg), json_if(p->t2_known, p->t2),
               p->beyond_3_sigma ? "beyond-3-sigma" : NULL,
               p->four_of_five ? "four-of-five" : NULL);
}

static void put_charts(json *j, const reseat_drift_baseline *b)
{
    json_print(j, "charts:{");
    for (int s = 0; s < RESEAT_SERIES_COUNT; s++) {
        const reseat_drift_chart *c = &b->charts[s];
        if (b->charted & 1u << s)
            json_print(j, "%:{ mean:n sigma:n lower:n upper:n mr_mean:n mr_upper:n }",
                       reseat_series_name((reseat_series)s), c->mean, c->sigma, c->lower,
                       c->upper, c->mr_mean, c->mr_upper);
    }
    json_print(j, "}");
}

static void put_trends(json *j, const reseat_drift_baseline *b)
{
    json_print(j, "trend:{");
    for (int s = 0; s < RESEAT_SERIES_COUNT; s++) {
        const reseat_trend *t = &b->trends[s];
        if (b->trended & 1u << s)
            json_print(j, "%:{ per_day:n low:n high:n p:n }",
                       reseat_series_name((reseat_series)s), t->slope, t->low, t->high, t->p);
    }
    json_print(j, "}");
}

static void put_baseline(json *j, const void *drift, size_t i)
{
    const reseat_drift_baseline *b = &((const reseat_drift *)drift)->baselines[i];
    json_print(j, "from_seq:i to_seq:i n:i t2_limit:n", (int64_t)b->from_seq, (int64_t)b->to_seq,
               (int64_t)b->count, json_if(b->t2_limit > 0, b->t2_limit));
    if (b->charted)
        put_charts(j, b);
    if (b->trended)
        put_trends(j, b);
    if (b->newest_known)
        json_print(j, "newest:{ t2:n p:n }", b->newest.t2, b->newest.p);
    if (b->change_known)
        json_print(j, "change:{ after_seq:i t2:n p:n }", (int64_t)b->change.after_seq,
                   b->change.t2, b->change.p);
    if (!b->growth.assumed)
        json_print(j, "rate:{ q_mm2_per_day:n }", b->growth.q_mm2_per_day);
    json_print(j, "notes:[");
    for (unsigned note = 0; note < RESEAT_DRIFT_NOTE_COUNT; note++)
        if (b->notes & 1u << note)
            json_print(j, "{ code:s text:s }", reseat_drift_note_code((reseat_drift_note)note),
                       reseat_drift_note_text((reseat_drift_note)note));
    json_print(j, "]");
}

static void put_finding(json *j, const void *list, size_t k)
{
    char text[512];
    const reseat_drift *drift = list;
    const reseat_drift_finding *f = &drift->findings[k];
    (void)reseat_drift_finding_text(f, RESEAT_MM, text, sizeof text);
    json_print(j, "code:s seqs:[", reseat_drift_code_name(f->code));
    for (size_t i = f->first; i < f->first + f->count; i++)
        if ((drift->points[i].known & f->needs) == f->needs)
            json_print(j, "i", (int64_t)drift->points[i].seq);
    json_print(j, "] text:s", text);
}

void drift_json(const reseat_state *state, const reseat_outlook *outlook)
{
    const reseat_drift *drift = &outlook->drift;
    json j = json_begin(stdout);
    json_print(&j, "spindle:s probe:s tip:s", state->spindle, state->probe, state->tip);
    json_objects(&j, "runs", drift->point_count, put_point, drift);
    json_objects(&j, "baselines", drift->baseline_count, put_baseline, drift);
    if (outlook->due_known)
        json_print(&j, "due:{ at:t days:n }", outlook->due_at, outlook->due_days);
    if (drift->split_known)
        json_print(&j, "split:{ spindle_mm:p probe_mm:p u_mm:n }", drift->split.spindle_mm,
                   drift->split.probe_mm, drift->split.u_mm);
    json_objects(&j, "findings", drift->finding_count, put_finding, drift);
    json_end(&j);
}
