/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What drift shows a person: what was found first, then what it rests on. */

#include "drift.h"

#include <inttypes.h>
#include "answer.h"

#define ROWS_MAX 12 /* latest runs in the table */
#define TREND_DAYS 90

/* Notes on what was left out, without which silence would look like health. */
#define NOTE_BIT(note) (1u << RESEAT_DRIFT_NOTE_##note)
#define NOT_JUDGED                                                                                \
    (NOTE_BIT(FEW_SEATED) | NOTE_BIT(NEWEST_UNSEATED) | NOTE_BIT(ALL_EQUAL) | NOTE_BIT(SINGULAR) | \
     NOTE_BIT(SAME_TIME) | NOTE_BIT(NO_LIMIT))

/* The columns are narrower than the names of the library. */
static const char *const series_names[RESEAT_SERIES_COUNT] = {"X", "Y", "length", "radius",
                                                              "stylus"};

/* Room for a sign, a digit, the point, what follows it, and a gap before. */
static int width(reseat_unit unit)
{
    const int digits = reseat_unit_decimals(unit) + 5;
    return digits > 9 ? digits : 9;
}

static void print_head(const reseat_state *state, const reseat_drift *drift)
{
    const words from = words_date(drift->points[0].at);
    answer_probe(state);
    if (drift->point_count == 1)
        printf("  1 run of %s\n", from.text);
    else
        printf("  %zu runs from %s to %s\n", drift->point_count, from.text,
               words_date(drift->points[drift->point_count - 1].at).text);
}

static void print_findings(const reseat_drift *drift, reseat_unit unit)
{
    char text[512];
    const reseat_drift_baseline *latest = &drift->baselines[drift->baseline_count - 1];
    for (size_t i = 0; i < drift->finding_count; i++) {
        (void)reseat_drift_finding_text(&drift->findings[i], unit, text, sizeof text);
        printf("%s: %s\n", reseat_drift_code_name(drift->findings[i].code), text);
    }
    if (drift->finding_count > 0)
        return;
    if (!latest->charted)
        printf("nothing could be judged: see below why\n");
    else if (latest->notes & NOT_JUDGED)
        printf("nothing stands out as far as could be judged: see below what could not\n");
    else
        printf("nothing stands out\n");
}

static void print_due(const reseat_outlook *outlook)
{
    const words date = words_date(outlook->due_at);
    if (!outlook->due_known)
        printf("no due date: %s\n", outlook->not_due);
    else if (outlook->due_days > 0)
        printf("due on %s, in %s: by then %s\n", date.text, words_days(outlook->due_days).text,
               outlook->due_by_age ? "the run is too old"
                                   : "drift will have used up the confidence asked for");
    else
        printf("due since %s: check says RECALIBRATE, even with the seat kept\n", date.text);
}

static void print_split(const reseat_drift *drift, reseat_unit unit)
{
    const reseat_drift_split *split = &drift->split;
    if (drift->split_known)
        printf("spindle part %s, probe part %s, u %s %s%s\n",
               words_pair(split->spindle_mm, unit, 0).text,
               words_pair(split->probe_mm, unit, 0).text,
               reseat_words_length(split->u_mm, unit, 0).text, reseat_unit_name(unit),
               split->assumed ? " (assumed)" : "");
}

static void print_series(const reseat_drift_baseline *b, int s, reseat_unit unit)
{
    const reseat_drift_chart *c = &b->charts[s];
    const reseat_trend *t = &b->trends[s];
    const double values[] = {c->mean, c->sigma, c->lower, c->upper};
    const int w = width(unit);
    printf("  %-6s", series_names[s]);
    for (size_t i = 0; i < sizeof values / sizeof values[0]; i++)
        printf("%*s", w, reseat_words_length(values[i], unit, 0).text);
    if (b->trended & 1u << s)
        printf("%*s%*s to %*s  %s", w, words_signed(t->slope * TREND_DAYS, unit, 0).text, w,
               words_signed(t->low * TREND_DAYS, unit, 0).text, w - 2,
               words_signed(t->high * TREND_DAYS, unit, 0).text, words_p(t->p).text);
    printf("\n");
}

static void print_tests(const reseat_drift_baseline *b)
{
    if (b->t2_limit > 0)
        printf("  limit of T2 %s\n", reseat_words_number(b->t2_limit, 2).text);
    if (b->newest_known)
        printf("  newest run %" PRIu64 " against the %zu before it: T2 %s, %s\n", b->newest.seq,
               b->newest.before, reseat_words_number(b->newest.t2, 2).text,
               words_p(b->newest.p).text);
    if (b->change_known)
        printf("  largest change after run %" PRIu64 ": T2 %s, %s\n", b->change.after_seq,
               reseat_words_number(b->change.t2, 2).text, words_p(b->change.p).text);
}

/* u_drift after so many days; empty where it is not finite. */
static words growth_u(const reseat_drift_growth *growth, double days, reseat_unit unit)
{
    double mm = 0;
    return reseat_drift_growth_u(growth, days, &mm) == RESEAT_OK ? reseat_words_length(mm, unit, 0)
                                                                 : (words){""};
}

static void print_growth(const reseat_drift_growth *growth, reseat_unit unit)
{
    printf("  u_drift %s %s after 30 days, %s after 365", growth_u(growth, 30, unit).text,
           reseat_unit_name(unit), growth_u(growth, 365, unit).text);
    if (growth->assumed)
        printf(" (assumed)\n");
    else
        printf(" (from %zu run%s%s)\n", growth->runs, words_s(growth->runs),
               growth->per_day_mm > 0 ? ", trend" : "");
}

static void print_baseline(const reseat_drift_baseline *b, bool latest, reseat_unit unit)
{
    if (b->count == 1)
        printf("\nbaseline of run %" PRIu64, b->from_seq);
    else
        printf("\nbaseline of runs %" PRIu64 " to %" PRIu64 ", %zu of them", b->from_seq, b->to_seq,
               b->count);
    if (b->begun_by_seq > 0)
        printf(", after event %" PRIu64, b->begun_by_seq);
    printf("\n");
    if (b->charted)
        printf("  %-6s%*s%*s%*s%*s%*s\n", reseat_unit_name(unit), width(unit), "mean", width(unit),
               "sigma", width(unit), "lower", width(unit), "upper", 3 * width(unit) + 2,
               "in 90 days, 95 % interval");
    for (int s = 0; s < RESEAT_SERIES_COUNT; s++)
        if (b->charted & 1u << s)
            print_series(b, s, unit);
    print_tests(b);
    if (latest || !b->growth.assumed)
        print_growth(&b->growth, unit);
    for (unsigned note = 0; note < RESEAT_DRIFT_NOTE_COUNT; note++)
        if (b->notes & 1u << note)
            printf("  %s\n", reseat_drift_note_text((reseat_drift_note)note));
}

/* "beyond-3-sigma X length, four-of-five Y". */
static void print_flags(const reseat_drift_point *p)
{
    const unsigned flags[] = {p->beyond_3_sigma, p->four_of_five};
    const char *const codes[] = {"beyond-3-sigma", "four-of-five"};
    for (int i = 0; i < 2; i++) {
        if (!flags[i])
            continue;
        printf("%s%s", i > 0 && flags[0] ? ", " : "  ", codes[i]);
        for (int s = 0; s < RESEAT_SERIES_COUNT; s++)
            if (flags[i] & 1u << s)
                printf(" %s", series_names[s]);
    }
}

static void print_point(const reseat_drift_point *p, reseat_unit unit)
{
    const bool seated = (p->known & XY_BITS) == XY_BITS;
    const int w = width(unit);
    printf("%6" PRIu64 "  %s%*s%*s%*s%9s%8s", p->seq, words_date(p->at).text, w,
           seated ? words_signed(p->value[RESEAT_SERIES_X], unit, 0).text : "-", w,
           seated ? words_signed(p->value[RESEAT_SERIES_Y], unit, 0).text : "-", w,
           reseat_words_length(p->value[RESEAT_SERIES_LENGTH], unit, 0).text,
           seated ? reseat_words_number(p->bearing_deg, 1).text : "-",
           p->t2_known ? reseat_words_number(p->t2, 2).text : "-");
    print_flags(p);
    printf("\n");
}

static void print_points(const reseat_drift *drift, reseat_unit unit)
{
    const size_t count = drift->point_count;
    const size_t first = count > ROWS_MAX ? count - ROWS_MAX : 0;
    const int w = width(unit);
    printf("\n%6s  %-10s%*s%*s%*s%9s%8s  %s, flags\n", "run", "date", w, "X", w, "Y", w, "length",
           "bearing", "T2", reseat_unit_name(unit));
    if (first > 0)
        printf("   ...  %zu earlier run%s: --json shows all\n", first, words_s(first));
    for (size_t i = first; i < count; i++)
        print_point(&drift->points[i], unit);
}

void drift_screen(const arguments *args, const reseat_state *state,
                  const reseat_outlook *outlook)
{
    const reseat_unit unit = args->unit;
    const reseat_drift *drift = &outlook->drift;
    print_head(state, drift);
    print_findings(drift, unit);
    print_due(outlook);
    print_split(drift, unit);
    for (size_t i = 0; i < drift->baseline_count; i++)
        print_baseline(&drift->baselines[i], i + 1 == drift->baseline_count, unit);
    if (drift->point_count > 1)
        drift_chart(drift, unit);
    print_points(drift, unit);
    if (drift->finding_count > 0) { /* the head has scrolled away */
        printf("\n");
        print_findings(drift, unit);
        print_due(outlook);
    }
}
