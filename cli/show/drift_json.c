/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "drift.h"

#include <math.h>
#include "json.h"

static void put_point(json *j, const void *drift, size_t i)
{
    const reseat_drift_point *p = &((const reseat_drift *)drift)->points[i];
    const bool seated = (p->known & XY_BITS) == XY_BITS;
    json_integer(j, "seq", (int64_t)p->seq);
    json_time(j, "at", p->at);
    json_members(j, (const json_member[]){
                        {"x_mm", json_if(seated, p->value[RESEAT_SERIES_X])},
                        {"y_mm", json_if(seated, p->value[RESEAT_SERIES_Y])},
                        {"length_mm", p->value[RESEAT_SERIES_LENGTH]},
                        {"bearing_deg", json_if(seated, p->bearing_deg)},
                        {"t2", json_if(p->t2_known, p->t2)},
                        {NULL, 0}});
    json_open(j, "flags", '[');
    if (p->beyond_3_sigma)
        json_text(j, NULL, "beyond-3-sigma");
    if (p->four_of_five)
        json_text(j, NULL, "four-of-five");
    json_close(j, ']');
}

static void put_charts(json *j, const reseat_drift_baseline *b)
{
    json_open(j, "charts", '{');
    for (int s = 0; s < RESEAT_SERIES_COUNT; s++) {
        const reseat_drift_chart *c = &b->charts[s];
        if (b->charted & 1u << s)
            json_object(j, reseat_series_name((reseat_series)s),
                        (const json_member[]){{"mean", c->mean},
                                              {"sigma", c->sigma},
                                              {"lower", c->lower},
                                              {"upper", c->upper},
                                              {"mr_mean", c->mr_mean},
                                              {"mr_upper", c->mr_upper},
                                              {NULL, 0}});
    }
    json_close(j, '}');
}

static void put_trends(json *j, const reseat_drift_baseline *b)
{
    json_open(j, "trend", '{');
    for (int s = 0; s < RESEAT_SERIES_COUNT; s++) {
        const reseat_trend *t = &b->trends[s];
        if (b->trended & 1u << s)
            json_object(j, reseat_series_name((reseat_series)s),
                        (const json_member[]){{"per_day", t->slope},
                                              {"low", t->low},
                                              {"high", t->high},
                                              {"p", t->p},
                                              {NULL, 0}});
    }
    json_close(j, '}');
}

static void put_notes(json *j, unsigned notes)
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

static void put_change(json *j, const reseat_drift_baseline *b)
{
    json_open(j, "change", '{');
    json_integer(j, "after_seq", (int64_t)b->change.after_seq);
    json_number(j, "t2", b->change.t2);
    json_number(j, "p", b->change.p);
    json_close(j, '}');
}

static void put_baseline(json *j, const void *drift, size_t i)
{
    const reseat_drift_baseline *b = &((const reseat_drift *)drift)->baselines[i];
    json_integer(j, "from_seq", (int64_t)b->from_seq);
    json_integer(j, "to_seq", (int64_t)b->to_seq);
    json_integer(j, "n", (int64_t)b->count);
    json_number(j, "t2_limit", json_if(b->t2_limit > 0, b->t2_limit));
    if (b->charted)
        put_charts(j, b);
    if (b->trended)
        put_trends(j, b);
    if (b->newest_known)
        json_object(j, "newest",
                    (const json_member[]){{"t2", b->newest.t2}, {"p", b->newest.p}, {NULL, 0}});
    if (b->change_known)
        put_change(j, b);
    if (!b->growth.assumed)
        json_object(j, "rate",
                    (const json_member[]){{"q_mm2_per_day", b->growth.q_mm2_per_day}, {NULL, 0}});
    put_notes(j, b->notes);
}

static void put_finding(json *j, const void *list, size_t k)
{
    char text[512];
    const reseat_drift *drift = list;
    const reseat_drift_finding *f = &drift->findings[k];
    (void)reseat_drift_finding_text(f, RESEAT_MM, text, sizeof text);
    json_text(j, "code", reseat_drift_code_name(f->code));
    json_open(j, "seqs", '[');
    for (size_t i = f->first; i < f->first + f->count; i++)
        if ((drift->points[i].known & f->needs) == f->needs)
            json_integer(j, NULL, (int64_t)drift->points[i].seq);
    json_close(j, ']');
    json_text(j, "text", text);
}

void drift_json(const reseat_standing *standing, const reseat_outlook *outlook)
{
    const reseat_drift *drift = &outlook->drift;
    json j = json_begin(stdout);
    json_text(&j, "spindle", standing->spindle);
    json_text(&j, "probe", standing->probe);
    json_text(&j, "tip", standing->tip);
    json_objects(&j, "runs", drift->point_count, put_point, drift);
    json_objects(&j, "baselines", drift->baseline_count, put_baseline, drift);
    if (outlook->due_known) {
        json_open(&j, "due", '{');
        json_time(&j, "at", outlook->due_at);
        json_number(&j, "days", outlook->due_days);
        json_close(&j, '}');
    }
    if (drift->split_known) {
        json_open(&j, "split", '{');
        json_pair(&j, "spindle_mm", drift->split.spindle_mm);
        json_pair(&j, "probe_mm", drift->split.probe_mm);
        json_number(&j, "u_mm", drift->split.u_mm);
        json_close(&j, '}');
    }
    json_objects(&j, "findings", drift->finding_count, put_finding, drift);
    json_end(&j);
}
