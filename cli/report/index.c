/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "index.h"

#include <inttypes.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "../show/sentences.h"
#include "figure.h"

#define SPARK_RUNS 60    /* latest ones in a line of lengths */
#define SPARK_WIDTH 120.0
#define SPARK_HEIGHT 30.0
#define BAR_WIDTH 100.0  /* of which the limit is the half */
#define BAR_HEIGHT 14.0

typedef enum index_rank { RANK_FAILED, RANK_BAD, RANK_OPEN, RANK_GOOD } index_rank;

struct index_row {
    index_rank rank;
    char spindle[RESEAT_LOG_NAME_SIZE];
    shown probe;
    char why[SENTENCE_SIZE]; /* reasons, or what failed */
    double error_mm, limit_mm;
    double age_days;
    bool due_known;
    int64_t due_at;
    unsigned findings; /* bits 1u << reseat_drift_code */
    double lengths[SPARK_RUNS];
    size_t length_count;
    bool charted;
    reseat_drift_chart chart; /* of the length, in the latest baseline */
};

static index_row *add_row(shop_index *shop, const char *spindle)
{
    if (shop->count == shop->room) {
        const size_t room = shop->room > 0 ? 2 * shop->room : 16;
        index_row *more = realloc(shop->rows, room * sizeof *more);
        if (!more) {
            shop->failed = true;
            return NULL;
        }
        shop->rows = more;
        shop->room = room;
    }
    index_row *row = &shop->rows[shop->count++];
    *row = (index_row){.rank = RANK_OPEN};
    snprintf(row->spindle, sizeof row->spindle, "%s", spindle);
    return row;
}

static void take_drift(index_row *row, const reseat_outlook *outlook)
{
    const reseat_drift *drift = &outlook->drift;
    const size_t first = drift->point_count > SPARK_RUNS ? drift->point_count - SPARK_RUNS : 0;
    for (size_t i = first; i < drift->point_count; i++)
        row->lengths[row->length_count++] = drift->points[i].value[RESEAT_SERIES_LENGTH];
    for (size_t i = 0; i < drift->finding_count; i++)
        row->findings |= 1u << drift->findings[i].code;
    if (drift->baseline_count > 0) {
        const reseat_drift_baseline *latest = &drift->baselines[drift->baseline_count - 1];
        row->charted = latest->charted & 1u << RESEAT_SERIES_LENGTH;
        row->chart = latest->charts[RESEAT_SERIES_LENGTH];
    }
    row->due_known = outlook->due_known;
    row->due_at = outlook->due_at;
}

void index_add(shop_index *shop, const page *p)
{
    if (p->probe_count == 0)
        index_fail(shop, p->log.query->spindle, "no run on record");
    for (size_t i = 0; i < p->probe_count; i++) {
        const page_probe *probe = p->probes[i];
        index_row *row = add_row(shop, p->log.query->spindle);
        if (!row)
            return;
        row->probe = page_probe_name(probe);
        row->age_days = probe->asked.state.age_days;
        take_drift(row, &probe->outlook);
        snprintf(row->why, sizeof row->why, "no limit in its policy");
        if (!probe->judged)
            continue;
        row->rank = probe->answer.ok ? RANK_GOOD : RANK_BAD;
        row->error_mm = probe->answer.worst.error_length_mm;
        row->limit_mm = probe->asked.question->limit_mm;
        verdict_sentence(probe->asked.question, &probe->answer, &probe->asked.state, p->unit,
                         row->why, sizeof row->why);
    }
}

void index_fail(shop_index *shop, const char *spindle, const char *why)
{
    index_row *row = add_row(shop, spindle);
    if (!row)
        return;
    row->rank = RANK_FAILED;
    snprintf(row->why, sizeof row->why, "%s", why);
}

static int compare_rows(const void *a, const void *b)
{
    const index_row *left = a, *right = b;
    if (left->rank != right->rank)
        return left->rank < right->rank ? -1 : 1;
    if (left->due_known != right->due_known)
        return left->due_known ? -1 : 1;
    if (left->due_at != right->due_at)
        return left->due_at < right->due_at ? -1 : 1;
    const int spindles = strcmp(left->spindle, right->spindle);
    return spindles != 0 ? spindles : strcmp(left->probe.text, right->probe.text);
}

/* How many need a calibration, of those of which something can be said. */
static void write_count(const shop_index *shop, FILE *out)
{
    size_t bad = 0, judged = 0;
    for (size_t i = 0; i < shop->count; i++) {
        bad += shop->rows[i].rank == RANK_BAD;
        judged += shop->rows[i].rank == RANK_BAD || shop->rows[i].rank == RANK_GOOD;
    }
    fprintf(out, "<h1 class=\"verdict count %s\">%zu of %zu need%s a calibration</h1>\n",
            bad > 0 ? "bad" : judged > 0 ? "good" : "open", bad, judged, bad == 1 ? "s" : "");
}

static void write_trouble(const shop_index *shop, FILE *out, const reseat_gauge_entry *gauges,
                          size_t gauge_count)
{
    for (size_t i = 0; i < shop->count && shop->rows[i].rank == RANK_FAILED; i++)
        html_write(out, "<p class=\"loud\"><b>%s:</b> %s</p>\n", shop->rows[i].spindle,
                   shop->rows[i].why);
    for (size_t i = 0; i < gauge_count; i++) {
        const reseat_record *record = gauges[i].record;
        const char *id = reseat_record_text(record, RESEAT_FIELD_GAUGE_ID);
        if (gauges[i].overdue)
            html_write(out, "<p class=\"loud\"><b>Gauge %s</b> is overdue since %s</p>\n",
                       id ? id : "", words_date(reseat_record_integer(
                                         record, RESEAT_FIELD_GAUGE_DUE_AT, 0)).text);
    }
}

/* Error against limit: the limit is a mark in the middle, and what is beyond the end is cut. */
static void write_bar(FILE *out, const index_row *row, reseat_unit unit)
{
    const int more = words_more_digits(row->error_mm, row->limit_mm, unit);
    const double width = fmin(row->error_mm / row->limit_mm, 2) * BAR_WIDTH / 2;
    const shown told = shown_print("%s of %s %s", words_length(row->error_mm, unit, more).text,
                                   words_length(row->limit_mm, unit, more).text,
                                   reseat_unit_name(unit));
    html_write(out, "<svg class=\"row\" role=\"img\" aria-label=\"Expected error %s\" "
                    "viewBox=\"0 0 %s %s\"><rect class=\"bar\" x=\"0\" y=\"2\" width=\"%s\" "
                    "height=\"10\"/><line class=\"shop\" x1=\"%s\" y1=\"0\" x2=\"%s\" y2=\"14\"/>"
                    "</svg> %s", told.text, words_brief(BAR_WIDTH, 0).text,
               words_brief(BAR_HEIGHT, 0).text, words_brief(width, 1).text,
               words_brief(BAR_WIDTH / 2, 0).text, words_brief(BAR_WIDTH / 2, 0).text, told.text);
}

/* The latest lengths, with the limits of their baseline. */
static void write_spark(FILE *out, const index_row *row)
{
    scale s = {HUGE_VAL, -HUGE_VAL, SPARK_HEIGHT - 2, 2};
    for (size_t i = 0; i < row->length_count; i++)
        scale_take(&s, row->lengths[i]);
    if (row->charted) {
        scale_take(&s, row->chart.lower);
        scale_take(&s, row->chart.upper);
    }
    scale_pad(&s, 0.05);
    html_write(out, "<svg class=\"row\" role=\"img\" aria-label=\"Length of the offset, %s\" "
                    "viewBox=\"0 0 120 30\">",
               shown_print("the latest %zu run%s", row->length_count,
                           words_s(row->length_count)).text);
    const double limits[] = {row->chart.lower, row->chart.upper};
    for (size_t i = 0; i < 2 && row->charted; i++)
        html_write(out, "<line class=\"control\" x1=\"0\" y1=\"%s\" x2=\"120\" y2=\"%s\"/>",
                   words_brief(scale_place(&s, limits[i]), 1).text,
                   words_brief(scale_place(&s, limits[i]), 1).text);
    fputs("<path class=\"join\" d=\"", out);
    const double step = row->length_count > 1 ? (SPARK_WIDTH - 8) / (double)(row->length_count - 1)
                                              : 0;
    for (size_t i = 0; i < row->length_count; i++)
        fprintf(out, "%s%s %s", i == 0 ? "M" : "L", words_brief(4 + step * (double)i, 1).text,
                words_brief(scale_place(&s, row->lengths[i]), 1).text);
    const size_t last = row->length_count - 1;
    html_write(out, "\"/><circle class=\"run\" cx=\"%s\" cy=\"%s\" r=\"2.7\"/></svg>",
               words_brief(4 + step * (double)last, 1).text,
               words_brief(scale_place(&s, row->lengths[last]), 1).text);
}

/* "moved steadily, odd run" */
static void write_codes(FILE *out, unsigned findings)
{
    const char *between = "";
    for (unsigned code = 0; code < RESEAT_DRIFT_CODE_COUNT; code++) {
        if (!(findings & 1u << code))
            continue;
        fputs(between, out);
        for (const char *at = reseat_drift_code_name((reseat_drift_code)code); *at; at++)
            fputc(*at == '-' ? ' ' : *at, out);
        between = ", ";
    }
}

static void write_row(FILE *out, const index_row *row, reseat_unit unit)
{
    static const char *const verdicts[] = {"", "RECALIBRATE", "NO VERDICT", "OK"};
    static const char *const classes[] = {"", "bad", "open", "good"};
    html_write(out, "<tr><td><a href=\"%s.html\">%s</a> %s<td><b class=\"word %s\">%s</b><td>",
               row->spindle, row->spindle, row->probe.text, classes[row->rank],
               verdicts[row->rank]);
    if (row->limit_mm > 0)
        write_bar(out, row, unit);
    fprintf(out, "<td>%s ago<td>%s%s<td>", words_days(row->age_days).text,
            row->due_known ? "due " : "", row->due_known ? words_date(row->due_at).text : "");
    write_codes(out, row->findings);
    fputs("<td>", out);
    if (row->length_count > 0)
        write_spark(out, row);
    fputs("<tr class=\"reason\"><td colspan=\"7\">", out);
    html_prose(out, row->why);
    fputs("\n", out);
}

void index_write(shop_index *shop, FILE *out, int64_t as_of, reseat_unit unit,
                 const reseat_gauge_entry *gauges, size_t gauge_count)
{
    qsort(shop->rows, shop->count, sizeof *shop->rows, compare_rows);
    page_begin(out, "all spindles");
    html_write(out, "<p class=\"who\"><b>All spindles</b> <span>as of %s UTC</span></p>\n",
               shown_minute(as_of).text);
    write_count(shop, out);
    write_trouble(shop, out, gauges, gauge_count);
    fputs("<div class=\"scroll\" role=\"region\" tabindex=\"0\" aria-label=\"Probes\">"
          "<table class=\"shop\" aria-label=\"Probes, the worst first\"><thead><tr>"
          "<th scope=\"col\">spindle, probe<th scope=\"col\">verdict"
          "<th scope=\"col\">expected error, limit<th scope=\"col\">calibrated"
          "<th scope=\"col\">due<th scope=\"col\">findings<th scope=\"col\">length</thead>\n"
          "<tbody>\n", out);
    for (size_t i = 0; i < shop->count; i++)
        if (shop->rows[i].rank != RANK_FAILED)
            write_row(out, &shop->rows[i], unit);
    fputs("</tbody></table></div>\n", out);
    fprintf(out, "<p class=\"rule\">%c%s.</p>\n", 'A', caution_sentence() + 1);
    page_end(out);
}

void index_free(shop_index *shop)
{
    free(shop->rows);
}
