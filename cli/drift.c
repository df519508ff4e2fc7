/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat drift SPINDLE: how the offset has moved from run to run. */

#include "commands.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include "log_target.h"
#include "show/answer.h"
#include "show/json.h"
#include "show/sentences.h"
#include "show/words.h"

/* Series of a run whose seat is known. */
#define XY_BITS (1u << RESEAT_SERIES_X | 1u << RESEAT_SERIES_Y)

#define COLUMNS 60
#define ROWS 11

/* The latest lengths: values from bottom to top, a row of cells each, a column a run. */
typedef struct chart {
    double least, most;
    char cells[ROWS][COLUMNS];
} chart;

static void widen(chart *c, double value)
{
    c->least = fmin(c->least, value);
    c->most = fmax(c->most, value);
}

static char *cell(chart *c, size_t column, double value)
{
    return &c->cells[lround((c->most - value) / (c->most - c->least) * (ROWS - 1))][column];
}

/* Limits of the lengths of a baseline; NULL where it has too few runs. */
static const reseat_drift_chart *limits_of(const reseat_drift_baseline *b)
{
    return (b->charted & 1u << RESEAT_SERIES_LENGTH) ? &b->charts[RESEAT_SERIES_LENGTH] : NULL;
}

static void find_scale(chart *c, const reseat_drift *drift, size_t first)
{
    c->least = c->most = drift->points[first].value[RESEAT_SERIES_LENGTH];
    for (size_t i = first; i < drift->point_count; i++)
        widen(c, drift->points[i].value[RESEAT_SERIES_LENGTH]);
    for (size_t i = 0; i < drift->baseline_count; i++) {
        const reseat_drift_baseline *b = &drift->baselines[i];
        if (!limits_of(b) || b->first + b->count <= first)
            continue;
        widen(c, limits_of(b)->lower);
        widen(c, limits_of(b)->upper);
    }
    if (c->most > c->least)
        return;
    c->least -= 0.0001; /* one run, or all alike: it goes into the middle */
    c->most += 0.0001;
}

static void draw_column(chart *c, size_t column, const reseat_drift_baseline *b,
                        const reseat_drift_point *p, bool begins)
{
    const reseat_drift_chart *limits = limits_of(b);
    const unsigned bit = 1u << RESEAT_SERIES_LENGTH;
    if (limits) {
        *cell(c, column, limits->mean) = '-';
        *cell(c, column, limits->lower) = '=';
        *cell(c, column, limits->upper) = '=';
    }
    for (int row = 0; begins && row < ROWS; row++)
        c->cells[row][column] = '|';
    *cell(c, column, p->value[RESEAT_SERIES_LENGTH]) =
        (p->beyond_3_sigma & bit) ? 'X' : (p->four_of_five & bit) ? '4' : 'o';
}

static void print_chart(const reseat_drift *drift, reseat_unit unit)
{
    chart c;
    const size_t count = drift->point_count;
    const size_t first = count > COLUMNS ? count - COLUMNS : 0;
    const reseat_drift_baseline *b = drift->baselines;
    find_scale(&c, drift, first);
    memset(c.cells, ' ', sizeof c.cells);
    for (size_t i = 0; i < count; i++) {
        while (i >= b->first + b->count)
            b++;
        if (i >= first)
            draw_column(&c, i - first, b, &drift->points[i], i > 0 && i == b->first);
    }
    printf("\nlength in %s, a column a run, the newest on the right\n", reseat_unit_name(unit));
    for (int row = 0; row < ROWS; row++) {
        const double value = c.most - (c.most - c.least) * row / (ROWS - 1);
        int end = COLUMNS;
        while (end > 0 && c.cells[row][end - 1] == ' ')
            end--;
        printf("%9s |%.*s\n", row % (ROWS / 2) == 0 ? words_length(value, unit, 0).text : "", end,
               c.cells[row]);
    }
    printf("          %s to %s; o run, X beyond a limit, 4 four of five on one side,\n"
           "          = limits, - mean, | a baseline begins\n",
           words_date(drift->points[first].at).text, words_date(drift->points[count - 1].at).text);
}

#define TABLE_MAX 12 /* latest runs in the table */
#define TREND_DAYS 90

/* Notes on what was left out, without which silence would look like health. */
#define NOTE_BIT(note) (1u << RESEAT_DRIFT_NOTE_##note)
#define NOT_JUDGED                                                                                \
    (NOTE_BIT(FEW_SEATED) | NOTE_BIT(NEWEST_UNSEATED) | NOTE_BIT(ALL_EQUAL) | NOTE_BIT(SINGULAR) | \
     NOTE_BIT(SAME_TIME) | NOTE_BIT(NO_LIMIT))

/* The columns are narrower than the names of the library. */
static const char *const series_names[RESEAT_SERIES_COUNT] = {"X", "Y", "length", "radius",
                                                              "stylus"};

/* Of a column, with a gap before it. */
static int width(reseat_unit unit)
{
    return words_width(unit, 0) + 1;
}

static void print_head(const arguments *args, const reseat_state *state,
                       const reseat_drift *drift)
{
    const words from = words_date(drift->points[0].at);
    answer_probe(state);
    if (drift->point_count == 1)
        printf("  1 run of %s", from.text);
    else
        printf("  %zu runs from %s to %s", drift->point_count, from.text,
               words_date(drift->points[drift->point_count - 1].at).text);
    answer_as_of(stdout, args);
    printf("\n");
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

static void print_due(const reseat_state *state, const reseat_outlook *outlook)
{
    const words date = words_date(outlook->due_at);
    if (!outlook->due_known)
        printf("no due date: %s\n", not_due_sentence(state, outlook));
    else if (outlook->due_days > 0)
        printf("due on %s, in %s: by then %s\n", date.text, words_days(outlook->due_days).text,
               outlook->due_by_age ? "the run is too old"
                                   : "drift will have used up the confidence asked for");
    else
        printf("due since %s: check says RECALIBRATE, even with the seat kept\n", date.text);
}

static void print_series(const reseat_drift_baseline *b, int s, reseat_unit unit)
{
    const reseat_drift_chart *c = &b->charts[s];
    const reseat_trend *t = &b->trends[s];
    const double values[] = {c->mean, c->sigma, c->lower, c->upper};
    const int w = width(unit);
    printf("  %-6s", series_names[s]);
    for (size_t i = 0; i < sizeof values / sizeof values[0]; i++)
        printf("%*s", w, words_length(values[i], unit, 0).text);
    if (b->trended & 1u << s)
        printf("%*s%*s to %*s  %s", w, words_signed(t->slope * TREND_DAYS, unit, 0).text, w,
               words_signed(t->low * TREND_DAYS, unit, 0).text, w - 2,
               words_signed(t->high * TREND_DAYS, unit, 0).text, words_p(t->p).text);
    printf("\n");
}

static void print_tests(const reseat_drift_baseline *b)
{
    if (b->t2_limit > 0)
        printf("  limit of T2 %s\n", words_decimal(b->t2_limit, 2).text);
    if (b->newest_known)
        printf("  newest run %" PRIu64 " against the %zu before it: T2 %s, %s\n", b->newest.seq,
               b->newest.before, words_decimal(b->newest.t2, 2).text, words_p(b->newest.p).text);
    if (b->change_known)
        printf("  largest change after run %" PRIu64 ": T2 %s, %s\n", b->change.after_seq,
               words_decimal(b->change.t2, 2).text, words_p(b->change.p).text);
}

/* u_drift after so many days; empty where it is not finite. */
static words growth_u(const reseat_drift_growth *growth, double days, reseat_unit unit)
{
    double mm = 0;
    return reseat_drift_growth_u(growth, days, &mm) == RESEAT_OK ? words_length(mm, unit, 0)
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
           words_length(p->value[RESEAT_SERIES_LENGTH], unit, 0).text,
           seated ? words_decimal(p->bearing_deg, 1).text : "-",
           p->t2_known ? words_decimal(p->t2, 2).text : "-");
    print_flags(p);
    printf("\n");
}

static void print_points(const reseat_drift *drift, reseat_unit unit)
{
    const size_t count = drift->point_count;
    const size_t first = count > TABLE_MAX ? count - TABLE_MAX : 0;
    const int w = width(unit);
    printf("\n%6s  %-10s%*s%*s%*s%9s%8s  %s, flags\n", "run", "date", w, "X", w, "Y", w, "length",
           "bearing", "T2", reseat_unit_name(unit));
    if (first > 0)
        printf("   ...  %zu earlier run%s: --json shows all\n", first, words_s(first));
    for (size_t i = first; i < count; i++)
        print_point(&drift->points[i], unit);
}

static void print_screen(const arguments *args, const reseat_state *state,
                         const reseat_outlook *outlook)
{
    const reseat_unit unit = args->unit;
    const reseat_drift *drift = &outlook->drift;
    const reseat_drift_split *split = &drift->split;
    print_head(args, state, drift);
    print_findings(drift, unit);
    print_due(state, outlook);
    if (drift->split_known)
        printf("spindle part %s, probe part %s, u %s%s\n",
               words_pair(split->spindle_mm, unit, 0).text,
               words_pair(split->probe_mm, unit, 0).text,
               words_length_in(split->u_mm, unit, 0).text, split->assumed ? " (assumed)" : "");
    for (size_t i = 0; i < drift->baseline_count; i++)
        print_baseline(&drift->baselines[i], i + 1 == drift->baseline_count, unit);
    if (drift->point_count > 1)
        print_chart(drift, unit);
    print_points(drift, unit);
    if (drift->finding_count > 0) { /* the head has scrolled away */
        printf("\n");
        print_findings(drift, unit);
        print_due(state, outlook);
    }
}

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

/* Limits and trends of those series that have them. */
static void put_series(json *j, const reseat_drift_baseline *b)
{
    const reseat_drift_chart *c = b->charts;
    const reseat_trend *t = b->trends;
    json_print(j, b->charted ? "charts:{" : "");
    for (int s = 0; s < RESEAT_SERIES_COUNT; s++)
        if (b->charted & 1u << s)
            json_print(j, "%:{ mean:n sigma:n lower:n upper:n mr_mean:n mr_upper:n }",
                       reseat_series_name((reseat_series)s), c[s].mean, c[s].sigma, c[s].lower,
                       c[s].upper, c[s].mr_mean, c[s].mr_upper);
    json_print(j, b->charted ? "}" : "");
    json_print(j, b->trended ? "trend:{" : "");
    for (int s = 0; s < RESEAT_SERIES_COUNT; s++)
        if (b->trended & 1u << s)
            json_print(j, "%:{ per_day:n low:n high:n p:n }", reseat_series_name((reseat_series)s),
                       t[s].slope, t[s].low, t[s].high, t[s].p);
    json_print(j, b->trended ? "}" : "");
}

static void put_baseline(json *j, const void *drift, size_t i)
{
    const reseat_drift_baseline *b = &((const reseat_drift *)drift)->baselines[i];
    json_print(j, "from_seq:i to_seq:i n:i t2_limit:n", (int64_t)b->from_seq, (int64_t)b->to_seq,
               (int64_t)b->count, json_if(b->t2_limit > 0, b->t2_limit));
    put_series(j, b);
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

static void print_json(const reseat_state *state, const reseat_outlook *outlook)
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

void run_drift(arguments *args)
{
    reseat_state state;
    reseat_outlook outlook;
    if (!log_target_read(args) || !log_target_share(args) || !log_target_state(args, &state))
        return;
    if (log_target_outlook(args, &state, &outlook)) {
        if (args->json)
            print_json(&state, &outlook);
        else
            print_screen(args, &state, &outlook);
        reseat_outlook_free(&outlook);
    }
    reseat_state_free(&state);
}
