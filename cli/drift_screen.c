/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What drift shows a person: what was found first, then what it rests on. */

#include "drift.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define ROWS_MAX 12 /* latest runs in the table */
#define TREND_DAYS 90

/* Notes on what was left out, without which silence would look like health. */
#define NOTE_BIT(note) (1u << RESEAT_DRIFT_NOTE_##note)
#define NOT_JUDGED                                                                                \
    (NOTE_BIT(FEW_SEATED) | NOTE_BIT(NEWEST_UNSEATED) | NOTE_BIT(ALL_EQUAL) | NOTE_BIT(SINGULAR) | \
     NOTE_BIT(SAME_TIME) | NOTE_BIT(NO_LIMIT))

static const char *fixed_text(char *out, double value, int decimals)
{
    char number[RESEAT_NUMBER_SIZE] = "";
    (void)reseat_number_fixed(value, decimals, number);
    snprintf(out, TEXT_SIZE, "%.*s", TEXT_SIZE - 1, number);
    return out;
}

/* Room for a sign, a digit, the point, what follows it, and a gap before. */
static int width(reseat_unit unit)
{
    const int digits = reseat_unit_decimals(unit) + 5;
    return digits > 9 ? digits : 9;
}

static void print_head(const reseat_state *standing, const reseat_drift *drift)
{
    char name[160], from[TEXT_SIZE], to[TEXT_SIZE];
    reseat_text_terminal(standing->probe, strlen(standing->probe), name, sizeof name);
    printf("%s  probe %s", standing->spindle, name);
    if (strcmp(standing->tip, "main") != 0) {
        reseat_text_terminal(standing->tip, strlen(standing->tip), name, sizeof name);
        printf(" tip %s", name);
    }
    drift_date(from, drift->points[0].at);
    drift_date(to, drift->points[drift->point_count - 1].at);
    if (drift->point_count == 1)
        printf("  1 run of %s\n", from);
    else
        printf("  %zu runs from %s to %s\n", drift->point_count, from, to);
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

static const char *why_not_due(const reseat_state *standing, const reseat_outlook *outlook)
{
    if (!standing->policy)
        return "no policy is on record, so no limit";
    return outlook->input.limit_mm > 0 ? "it lies too far ahead" : "the policy sets no limit";
}

static void print_due(const reseat_state *standing, const reseat_outlook *outlook)
{
    char date[TEXT_SIZE], days[TEXT_SIZE];
    if (!outlook->due_known) {
        printf("no due date: %s\n", why_not_due(standing, outlook));
        return;
    }
    drift_date(date, outlook->due_at);
    if (outlook->due_days > 0)
        printf("due on %s, in %s: by then %s\n", date, text_days(days, outlook->due_days),
               outlook->due_by_age ? "the run is too old"
                                   : "drift will have used up the confidence asked for");
    else
        printf("due since %s: check says RECALIBRATE, even with the seat kept\n", date);
}

static void print_split(const reseat_drift *drift, reseat_unit unit)
{
    char x[TEXT_SIZE], y[TEXT_SIZE], u[TEXT_SIZE];
    const reseat_drift_split *split = &drift->split;
    if (!drift->split_known)
        return;
    printf("spindle part X %s Y %s", text_signed(x, split->spindle_mm.x, unit, 0),
           text_signed(y, split->spindle_mm.y, unit, 0));
    printf(", probe part X %s Y %s, u %s %s%s\n", text_signed(x, split->probe_mm.x, unit, 0),
           text_signed(y, split->probe_mm.y, unit, 0), text_length(u, split->u_mm, unit, 0),
           reseat_unit_name(unit), split->assumed ? " (assumed)" : "");
}

static void print_series(const reseat_drift_baseline *b, int s, reseat_unit unit)
{
    static const char *const names[RESEAT_SERIES_COUNT] = {"X", "Y", "length", "radius",
                                                           "stylus"};
    char text[5][TEXT_SIZE], p[TEXT_SIZE];
    const reseat_drift_chart *c = &b->charts[s];
    const reseat_trend *t = &b->trends[s];
    const int w = width(unit);
    printf("  %-6s%*s%*s%*s%*s", names[s], w, text_length(text[0], c->mean, unit, 0), w,
           text_length(text[1], c->sigma, unit, 0), w, text_length(text[2], c->lower, unit, 0), w,
           text_length(text[3], c->upper, unit, 0));
    if (b->trended & 1u << s)
        printf("%*s%*s to %*s  %s", w, text_signed(text[0], t->slope * TREND_DAYS, unit, 0), w,
               text_signed(text[1], t->low * TREND_DAYS, unit, 0), w - 2,
               text_signed(text[2], t->high * TREND_DAYS, unit, 0), text_p(p, t->p));
    printf("\n");
}

static void print_tests(const reseat_drift_baseline *b)
{
    char t2[TEXT_SIZE], p[TEXT_SIZE];
    if (b->t2_limit > 0)
        printf("  limit of T2 %s\n", fixed_text(t2, b->t2_limit, 2));
    if (b->newest_known)
        printf("  newest run %" PRIu64 " against the %zu before it: T2 %s, %s\n", b->newest.seq,
               b->newest.before, fixed_text(t2, b->newest.t2, 2), text_p(p, b->newest.p));
    if (b->change_known)
        printf("  largest change after run %" PRIu64 ": T2 %s, %s\n", b->change.after_seq,
               fixed_text(t2, b->change.t2, 2), text_p(p, b->change.p));
}

/* How u_drift grows, as two figures that can be used. */
static void print_growth(const reseat_drift_growth *growth, reseat_unit unit)
{
    static const double days[] = {30, 365};
    char u[2][TEXT_SIZE] = {"", ""};
    for (int i = 0; i < 2; i++) {
        double mm = 0;
        if (reseat_drift_growth_u(growth, days[i], &mm) == RESEAT_OK)
            text_length(u[i], mm, unit, 0);
    }
    printf("  u_drift %s %s after 30 days, %s after 365", u[0], reseat_unit_name(unit), u[1]);
    if (growth->assumed)
        printf(" (assumed)\n");
    else
        printf(" (from %zu run%s%s)\n", growth->runs, text_s(growth->runs),
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
    static const char *const names[RESEAT_SERIES_COUNT] = {"X", "Y", "length", "radius",
                                                           "stylus"};
    const unsigned flags[] = {p->beyond_3_sigma, p->four_of_five};
    const char *const codes[] = {"beyond-3-sigma", "four-of-five"};
    for (int i = 0; i < 2; i++) {
        if (!flags[i])
            continue;
        printf("%s%s", i > 0 && flags[0] ? ", " : "  ", codes[i]);
        for (int s = 0; s < RESEAT_SERIES_COUNT; s++)
            if (flags[i] & 1u << s)
                printf(" %s", names[s]);
    }
}

static void print_point(const reseat_drift_point *p, reseat_unit unit)
{
    char date[TEXT_SIZE], text[5][TEXT_SIZE] = {"-", "-", "", "-", "-"};
    if ((p->known & XY_BITS) == XY_BITS) {
        text_signed(text[0], p->value[RESEAT_SERIES_X], unit, 0);
        text_signed(text[1], p->value[RESEAT_SERIES_Y], unit, 0);
        fixed_text(text[3], p->bearing_deg, 1);
    }
    text_length(text[2], p->value[RESEAT_SERIES_LENGTH], unit, 0);
    if (p->t2_known)
        fixed_text(text[4], p->t2, 2);
    const int w = width(unit);
    printf("%6" PRIu64 "  %s%*s%*s%*s%9s%8s", p->seq, drift_date(date, p->at), w, text[0], w,
           text[1], w, text[2], text[3], text[4]);
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
        printf("   ...  %zu earlier run%s: --json shows all\n", first, text_s(first));
    for (size_t i = first; i < count; i++)
        print_point(&drift->points[i], unit);
}

void drift_screen(const arguments *args, const reseat_state *standing,
                  const reseat_outlook *outlook)
{
    const reseat_unit unit = args->unit;
    const reseat_drift *drift = &outlook->drift;
    print_head(standing, drift);
    print_findings(drift, unit);
    print_due(standing, outlook);
    print_split(drift, unit);
    for (size_t i = 0; i < drift->baseline_count; i++)
        print_baseline(&drift->baselines[i], i + 1 == drift->baseline_count, unit);
    if (drift->point_count > 1)
        drift_chart(drift, unit);
    print_points(drift, unit);
    if (drift->finding_count > 0) { /* the head has scrolled away */
        printf("\n");
        print_findings(drift, unit);
        print_due(standing, outlook);
    }
}
