/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * The page from top to bottom: the verdict first, then what it rests on, with what is to be known
 * of the log as a whole, and every record of it.
 */

#include "page.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>
#include "../show/sentences.h"
#include "../show/windows.h"
#include "figure.h"

/* Shows the sound records to `visit`, the newest first; it returns whether memory was enough. */
static reseat_status each_record(const reseat_state_request *query,
                                 bool (*visit)(void *context, const reseat_entry *entry),
                                 void *context, reseat_error *error)
{
    reseat_records *records = NULL;
    reseat_entry entry;
    reseat_status status = reseat_records_open(query, &records, error);
    if (status != RESEAT_OK)
        return status;
    while ((status = reseat_records_next(records, &entry, error)) == RESEAT_OK)
        if (entry.record && !visit(context, &entry))
            break;
    reseat_records_close(records);
    return status == RESEAT_OK ? RESEAT_ERR_MEMORY : status == RESEAT_ERR_NOT_FOUND ? RESEAT_OK
                                                                                    : status;
}

static bool take_newest(void *context, const reseat_entry *entry)
{
    int64_t *newest = context;
    const int64_t at = reseat_record_integer(entry->record, RESEAT_FIELD_RECORDED_AT, 0);
    *newest = at > *newest ? at : *newest;
    return true;
}

reseat_status page_log_newest(const reseat_state_request *query, int64_t *recorded_at,
                              reseat_error *error)
{
    *recorded_at = 0;
    return each_record(query, take_newest, recorded_at, error);
}

static void note_bad(void *context, const reseat_log_bad *bad)
{
    page_log *log = context;
    if (log->bad_count < PAGE_BAD_MAX)
        log->bad[log->bad_count++] = *bad;
}

static bool take_record(void *context, const reseat_entry *entry)
{
    page_log *log = context;
    log->later += !record_counts(entry->record, log->until);
    log->voided += entry->voided_by >= 0;
    if (reseat_record_type_of(entry->record) != RESEAT_RECORD_EVENT)
        return true;
    struct page_event *more = realloc(log->events, (log->event_count + 1) * sizeof *more);
    if (!more)
        return false;
    const char *kind = reseat_record_text(entry->record, RESEAT_FIELD_KIND);
    struct page_event *event = &more[log->event_count++];
    log->events = more;
    event->seq = (uint64_t)reseat_record_integer(entry->record, RESEAT_FIELD_SEQ, -1);
    snprintf(event->kind, sizeof event->kind, "%s", kind ? kind : "event");
    return true;
}

reseat_status page_log_read(page_log *log, const reseat_state_request *query, int64_t until,
                            reseat_error *error)
{
    const reseat_status status = reseat_log_audit(query->dir, query->spindle, NULL, note_bad, log,
                                                  &log->audit, error);
    log->query = query;
    log->until = until;
    return status == RESEAT_OK ? each_record(query, take_record, log, error) : status;
}

int64_t page_run(const page *p)
{
    return reseat_record_integer(p->asked->state.run, RESEAT_FIELD_SEQ, -1);
}

shown page_baseline(const page *p, size_t baseline)
{
    const uint64_t seq = p->outlook->drift.baselines[baseline].begun_by_seq;
    const char *kind = "event";
    if (seq == 0)
        return shown_print("baseline %zu", baseline + 1);
    for (size_t i = 0; i < p->log.event_count; i++)
        if (p->log.events[i].seq == seq)
            kind = p->log.events[i].kind;
    return shown_print("baseline %zu, after %s %" PRIu64, baseline + 1, kind, seq);
}

shown page_probe_name(const page_probe *probe)
{
    const bool named = strcmp(probe->tip, "main") != 0;
    return shown_print("probe %s%s%s", probe->probe, named ? ", tip " : "",
                       named ? probe->tip : "");
}

shown page_titled(const page *p, const char *title)
{
    return p->probe_count > 1 ? shown_print("%s, %.160s", title,
                                            page_probe_name(p->probes[p->part]).text)
                              : shown_print("%s", title);
}

/* "as of 2026-03-02 06:00 UTC", and what was known by which time. */
static shown when_of(const page *p)
{
    const int64_t known = p->log.query->as_known;
    return shown_print("as of %s UTC%s%s%s", shown_minute(p->as_of).text,
                       known ? ", as known by " : "", known ? shown_minute(known).text : "",
                       known ? " UTC" : "");
}

static void write_who(const page *p)
{
    html_write(p->out, "<p class=\"who\"><b>%s</b> ", p->log.query->spindle);
    if (p->probe_count > 1)
        fprintf(p->out, "<span>%zu probes and tips</span> ", p->probe_count);
    else if (p->probe_count == 1)
        html_write(p->out, "<span>%s</span> ", page_probe_name(p->probes[0]).text);
    html_write(p->out, "<span>%s</span></p>\n", when_of(p).text);
}

static const char *word_of(const page_probe *probe)
{
    return probe->judged ? verdict_word(&probe->answer) : "NO VERDICT";
}

/* Several probes: how many need a calibration, and where on the page each is. */
static void write_probes(const page *p)
{
    size_t bad = 0;
    for (size_t i = 0; i < p->probe_count; i++)
        bad += p->probes[i]->judged && !p->probes[i]->answer.ok;
    fprintf(p->out, "<nav><p class=\"why\">%zu of %zu need a calibration.</p>\n"
                    "<ul class=\"told\">\n", bad, p->probe_count);
    for (size_t i = 0; i < p->probe_count; i++)
        html_write(p->out, "<li><a href=\"#%s\">%s</a>: <b>%s</b></li>\n",
                   shown_print("probe-%zu", i + 1).text, page_probe_name(p->probes[i]).text,
                   word_of(p->probes[i]));
    fputs("</ul></nav>\n", p->out);
}

/* The sign has a shape of its own for each verdict. */
static void write_verdict(const page *p)
{
    static const char check[] = "<circle cx=\"50\" cy=\"50\" r=\"44\"/>"
                                "<path d=\"M29 52L45 67L72 35\"/>";
    static const char stop[] = "<path d=\"M32 6H68L94 32V68L68 94H32L6 68V32z\"/>"
                               "<path d=\"M50 26V56M50 73V74\"/>";
    static const char dash[] = "<path d=\"M12 50H88\"/>";
    const char *class = !p->answer ? "open" : p->answer->ok ? "good" : "bad";
    const char *level = p->part == 0 ? "h1" : "h2"; /* the worst probe's is the page's */
    const char *sign = !p->answer ? dash : p->answer->ok ? check : stop;
    fprintf(p->out, "<%s class=\"verdict %s\"><svg viewBox=\"0 0 100 100\" aria-hidden=\"true\">"
                    "%s</svg>%s</%s>\n", level, class, sign,
            p->asked ? word_of(p->probes[p->part]) : "NO VERDICT", level);
}

/* A text that goes on becomes one that begins: its first letter is one of ours. */
static char capital(char letter)
{
    return letter >= 'a' && letter <= 'z' ? (char)(letter - 'a' + 'A') : letter;
}

static void write_why(const page *p)
{
    FILE *out = p->out;
    char text[SENTENCE_SIZE];
    fputs("<p class=\"why\">", out);
    if (p->answer) {
        verdict_sentence(p->asked->question, p->answer, &p->asked->state, p->unit, text,
                         sizeof text);
        text[0] = capital(text[0]);
        html_prose(out, text);
        fputs(p->answer->assumed_decides ? "; depends on assumed uncertainties.</p>\n"
                                         : ".</p>\n", out);
    } else if (p->asked) {
        fputs("No limit is set for this spindle: record a policy with a limit, and the page has a "
              "verdict.</p>\n", out);
    } else {
        fputs("This log holds no calibration run, so nothing can be said of a probe: record one "
              "and write the page again.</p>\n", out);
    }
}

static void write_rule(const page *p)
{
    const reseat_audit *audit = &p->log.audit;
    const struct {
        uint64_t count;
        const char *what;
    } left[] = {{p->log.voided, "taken back"}, {p->log.later, "of later times"},
                {audit->bad, "damaged"}, {audit->sealed_off, "sealed off"}};
    const char *before = "; left out: ";
    FILE *out = p->out;
    fputs("<p class=\"rule\">", out);
    if (p->answer) {
        fprintf(out, "Rule: OK only if the chance that no touch is off by more than the limit "
                     "reaches %s at every possible seat; the worst one decides. Seat: ",
                words_confidence(p->asked->question->confidence).text);
        answer_seat(out, reseat_text_html, p->asked, p->unit);
        fputs(". ", out);
    }
    const size_t runs = p->outlook ? p->outlook->drift.point_count : 0;
    fputs(p->outlook ? shown_print("It rests on %zu run%s of the probe", runs, words_s(runs)).text
                     : "No run", out);
    fprintf(out, " among %" PRIu64 " sound record%s", audit->records, words_s(audit->records));
    for (size_t i = 0; i < sizeof left / sizeof left[0]; i++) {
        if (left[i].count == 0)
            continue;
        fprintf(out, "%s%" PRIu64 " %s", before, left[i].count, left[i].what);
        before = ", ";
    }
    fputs(before[0] == ',' ? ". " : "; none is left out. ", out);
    if (audit->head_seq >= 0)
        html_write(out, "The log ends with record %s, seal %s.",
                   shown_print("%" PRId64, audit->head_seq).text, audit->head_seal);
    fputs("</p>\n", out);
}

static void write_damage(const page *p)
{
    FILE *out = p->out;
    if (p->log.audit.bad == 0)
        return;
    fputs("<div class=\"why\"><p><b>The log is damaged</b>; that was passed over, as asked:</p>\n"
          "<ul class=\"told\">\n", out);
    for (size_t i = 0; i < p->log.bad_count; i++)
        html_write(out, "<li>%s: %s</li>\n",
                   shown_print("line %" PRIu64 ", byte %" PRIu64, p->log.bad[i].line,
                               p->log.bad[i].offset).text, p->log.bad[i].what);
    if (p->log.audit.bad > p->log.bad_count)
        fprintf(out, "<li>and %" PRIu64 " more</li>\n",
                p->log.audit.bad - (uint64_t)p->log.bad_count);
    fputs("</ul></div>\n", out);
}

static void write_fact(FILE *out, const char *name, const char *value, const char *more)
{
    html_write(out, "<div><dt>%s</dt><dd>%s", name, value);
    if (more[0])
        html_write(out, " <small>%s</small>", more);
    fputs("</dd></div>\n", out);
}

/* A collision, say, is a reason beside which a chance would mislead. */
static bool rests_on_figures(const reseat_answer *answer)
{
    const unsigned figures = 1u << RESEAT_REASON_ERROR_EXCEEDS_LIMIT |
                             1u << RESEAT_REASON_CHANCE_BELOW_CONFIDENCE |
                             1u << RESEAT_REASON_LIMIT_BELOW_UNCERTAINTY;
    return answer->ok || (answer->reasons & figures) != 0;
}

static void write_facts(const page *p)
{
    const reseat_state *state = &p->asked->state;
    const int64_t run_at = reseat_record_integer(state->run, RESEAT_FIELD_AT, 0);
    fputs("<dl class=\"facts\">\n", p->out);
    if (p->answer) {
        const char *unit = reseat_unit_name(p->unit);
        const reseat_question *question = p->asked->question;
        const reseat_outcome *worst = &p->answer->worst;
        const int more = words_more_digits(worst->error_length_mm, question->limit_mm, p->unit);
        write_fact(p->out, "Expected error",
                   words_length(worst->error_length_mm, p->unit, more).text,
                   shown_print("%s, at %s", unit, answer_place(p->answer, worst).text).text);
        write_fact(p->out, "Limit", words_length(question->limit_mm, p->unit, more).text, unit);
        if (rests_on_figures(p->answer))
            write_fact(p->out, "Chance within it", words_chance(worst->chance_within).text,
                       shown_print("of %s asked for",
                                   words_confidence(question->confidence).text).text);
    }
    write_fact(p->out, "Last calibrated", words_date(run_at).text,
               shown_print("run %" PRId64 ", %s before", page_run(p),
                           words_days(state->age_days).text).text);
    if (p->outlook->due_known) {
        const bool due = !(p->outlook->due_days > 0);
        write_fact(p->out, due ? "Due since" : "Due", words_date(p->outlook->due_at).text,
                   due ? "" : shown_print("in %s, by %s", words_days(p->outlook->due_days).text,
                                          p->outlook->due_by_age ? "age" : "drift").text);
    }
    fputs("</dl>\n", p->out);
}

/* A code such as level-changed reads as a heading: "Level changed: ". */
/* What is about the run in force is as loud as the verdict. */
static void write_told(FILE *out, const char *code, const char *text, bool loud)
{
    fputs(loud ? "<li class=\"loud\"><b>" : "<li><b>", out);
    for (size_t i = 0; code[i]; i++)
        fputc(i == 0 ? capital(code[i]) : code[i] == '-' ? ' ' : code[i], out);
    fputs(":</b> ", out);
    html_prose(out, text);
    fputs("</li>\n", out);
}

/* What stands out in the runs, and what to do next. */
static void write_findings(const page *p)
{
    char text[512];
    const reseat_drift *drift = &p->outlook->drift;
    const uint64_t unknown = p->asked->state.unknown_types;
    fputs("<ul class=\"told\">\n", p->out);
    if (remark_sentence(REMARK_DOUBTS, &p->asked->state, &p->asked->logged, text, sizeof text) > 0)
        write_told(p->out, "doubtful", text, true);
    for (size_t i = 0; i < drift->finding_count; i++) {
        const reseat_drift_finding *finding = &drift->findings[i];
        (void)reseat_drift_finding_text(finding, p->unit, text, sizeof text);
        write_told(p->out, reseat_drift_code_name(finding->code), text,
                   finding->code == RESEAT_DRIFT_NEWEST_RUN_ODD);
    }
    if (drift->finding_count == 0)
        write_told(p->out, "drift", drift->baselines[drift->baseline_count - 1].charted
                                        ? "nothing stands out in the latest baseline"
                                        : "too few runs to tell", false);
    if (p->answer && next_sentence(p->answer, &p->asked->state, text, sizeof text) > 0)
        write_told(p->out, "next", text, false);
    if (unknown > 0)
        write_told(p->out, "unknown",
                   shown_print("since the run: %" PRIu64 " record%s of a kind that this version "
                               "does not know", unknown, words_s(unknown)).text, false);
    fputs("</ul>\n", p->out);
}

/* When results were or are in doubt, the open windows first. */
static void write_windows(const page *p)
{
    char when[WINDOW_LINE], error[WINDOW_LINE];
    const reseat_suspect *suspect = &p->probes[p->part]->suspect;
    if (suspect->count == 0)
        return;
    fputs("<p class=\"rule\">Results are in doubt:</p>\n<ul class=\"told\">\n", p->out);
    for (size_t i = 0; i < suspect->count; i++) {
        window_when(&suspect->windows[i], when);
        window_error(&suspect->windows[i], p->unit, error);
        when[0] = capital(when[0]);
        fputs(suspect->windows[i].open ? "<li class=\"open\">" : "<li>", p->out);
        html_write(p->out, "%s", when);
        html_prose(p->out, shown_print("; %s.", error).text);
        fputs("</li>\n", p->out);
    }
    fputs("</ul>\n", p->out);
}

static void write_head(const page *p)
{
    write_verdict(p);
    write_why(p);
    write_damage(p);
    if (p->asked) {
        write_facts(p);
        write_findings(p);
        write_windows(p);
    }
    write_rule(p);
    fprintf(p->out, "<p class=\"rule\">%c%s.</p>\n", 'A', caution_sentence() + 1);
}

/* "baseline 2, after stylus-change 26: 19 runs, 27 to 49" */
static shown tell_baseline(const page *p, size_t baseline)
{
    const reseat_drift_baseline *b = &p->outlook->drift.baselines[baseline];
    const shown to = b->count > 1 ? shown_print(" to %" PRIu64, b->to_seq) : (shown){""};
    return shown_print("%s: %zu run%s, %" PRIu64 "%s", page_baseline(p, baseline).text, b->count,
                       words_s(b->count), b->from_seq, to.text);
}

/* Limits and trends of every baseline; each is named above its rows. */
static void write_limits(const page *p)
{
    const reseat_drift *drift = &p->outlook->drift;
    const reseat_unit unit = p->unit;
    html_table(p->out, page_titled(p, shown_print("Limits and trends of each baseline, %s",
                                                  reseat_unit_name(unit)).text).text,
               "baseline|series|mean|sigma|lower|upper|mean range|upper range|in 90 days|p");
    for (size_t i = 0; i < drift->baseline_count; i++) {
        const reseat_drift_baseline *b = &drift->baselines[i];
        html_write(p->out, "<tr><th colspan=\"10\" scope=\"rowgroup\">%s%s\n",
                   tell_baseline(p, i).text, b->charted ? "" : "; too few for limits");
        for (int s = 0; s < RESEAT_SERIES_COUNT; s++) {
            const reseat_drift_chart *c = &b->charts[s];
            const bool trended = b->trended & 1u << s;
            if (!(b->charted & 1u << s))
                continue;
            fprintf(p->out, "<tr><td>%zu<td>%s", i + 1, reseat_series_name((reseat_series)s));
            const double lengths[] = {c->mean, c->sigma, c->lower, c->upper, c->mr_mean,
                                      c->mr_upper};
            for (size_t k = 0; k < sizeof lengths / sizeof lengths[0]; k++)
                fprintf(p->out, "<td>%s", words_length(lengths[k], unit, 0).text);
            fprintf(p->out, "<td>%s<td>%s\n",
                    trended ? words_signed(b->trends[s].slope * 90, unit, 0).text : "",
                    trended ? words_decimal(b->trends[s].p, 4).text : "");
        }
    }
    html_table_end(p->out);
}

/* Charts with their key and what is to be known of them: a narrow one numbers baselines alone. */
static void write_charts(page *p)
{
    const size_t baselines = p->outlook->drift.baseline_count;
    const unsigned notes = figure_latest(p)->notes;
    figure_keys(p, (const figure_key[]){
        {SAMPLE_DOT, "run", "run"},
        {SAMPLE_NEWEST, "newest", "newest run"},
        {SAMPLE_MARK, "beyond", "beyond 3 sigma"},
        {SAMPLE_MARK, "over", "moving range beyond its limit"},
        {SAMPLE_MARK, "four", "four of five beyond 1 sigma on one side"},
        {SAMPLE_LINE, "mean", "mean"},
        {SAMPLE_LINE, "control", "control limits, 3 sigma"},
        {SAMPLE_LINE, "shop", p->answer ? "the shop's limit" : NULL},
        {SAMPLE_LINE, "cut", baselines > 1 ? "a baseline ends and another begins" : NULL},
        {.class = NULL}});
    fputs(baselines > 1 ? "<ul class=\"notes\">\n" : "", p->out);
    for (size_t i = 0; baselines > 1 && i < baselines; i++)
        html_write(p->out, "<li>%s</li>\n", tell_baseline(p, i).text);
    fputs(baselines > 1 ? "</ul>\n" : "", p->out);
    fputs(notes ? "<ul class=\"notes\">\n" : "", p->out);
    for (unsigned note = 0; note < RESEAT_DRIFT_NOTE_COUNT; note++)
        if (notes & 1u << note)
            html_write(p->out, "<li>%s</li>\n", reseat_drift_note_text((reseat_drift_note)note));
    fputs(notes ? "</ul>\n" : "", p->out);
    figure_charts(p);
}

static void write_runs(page *p)
{
    fputs("<h2>How the runs moved</h2>\n"
          "<p class=\"rule\">In true time, in the probe's frame: the seat's turn is taken off. "
          "Below each chart, by how much a run differs from the "
          "one before.</p>\n", p->out);
    write_charts(p);
    write_limits(p);
    fputs("<h2>Where it lies, and what a turn does</h2>\n<div class=\"pair\">\n", p->out);
    figure_target(p);
    if (p->answer) {
        figure_turn(p);
        figure_budget(p);
    }
    figure_radius(p);
    fputs("</div>\n", p->out);
}

/* A row; the oldest of too many are counted alone. */
static bool write_record(void *context, const reseat_entry *entry)
{
    page *p = context;
    const reseat_record *record = entry->record;
    const int64_t by = entry->voided_by;
    const char *type = reseat_record_type_name(reseat_record_type_of(record));
    if (!record_counts(record, p->log.until) || ++p->listed > PAGE_RECORDS_MAX)
        return true;
    fprintf(p->out, "<tr%s><td>%" PRId64 "<td>%s<td>%s<td>", by >= 0 ? " class=\"void\"" : "",
            reseat_record_integer(record, RESEAT_FIELD_SEQ, -1),
            shown_minute(record_time(record)).text, type[0] ? type : "unknown");
    if (by >= 0)
        fputs("<s>", p->out);
    record_summary(p->out, reseat_text_html, record, p->unit);
    if (by >= 0)
        fprintf(p->out, "</s> taken back by %" PRId64, by);
    fputs("\n", p->out);
    return true;
}

static void write_records(page *p, reseat_error *error)
{
    fputs("<h2 id=\"records\">Every record, the newest first</h2>\n<div class=\"scroll\" "
          "role=\"region\" tabindex=\"0\" aria-labelledby=\"records\"><table class=\"records\" "
          "aria-labelledby=\"records\"><thead><tr><th scope=\"col\">record"
          "<th scope=\"col\">time, UTC"
          "<th scope=\"col\">kind<th scope=\"col\">what it says</thead>\n<tbody>\n", p->out);
    p->status = each_record(p->log.query, write_record, p, error);
    fputs("</tbody></table></div>\n", p->out);
    if (p->listed > PAGE_RECORDS_MAX)
        html_write(p->out, "The newest %s records are listed; reseat history %s lists all of them."
                           "\n", shown_print("%d of %" PRIu64, PAGE_RECORDS_MAX,
                                             p->log.audit.records).text, p->log.query->spindle);
}

/* All that is said of one probe. */
static void write_probe(page *p)
{
    const page_probe *probe = p->probes[p->part];
    p->asked = &probe->asked;
    p->outlook = &probe->outlook;
    p->answer = probe->judged ? &probe->answer : NULL;
    if (p->probe_count > 1)
        html_write(p->out, "<section id=\"%s\" aria-label=\"%s\">\n<p class=\"who\"><b>%s</b>"
                           "</p>\n", shown_print("probe-%zu", p->part + 1).text,
                   page_probe_name(probe).text, page_probe_name(probe).text);
    write_head(p);
    write_runs(p);
    fputs(p->probe_count > 1 ? "</section>\n" : "", p->out);
}

/* On paper alone: who looked at it, and what was decided. */
static void write_signing(FILE *out)
{
    static const char *const lines[] = {"Checked by", "Date", "Decision", "Remark"};
    fputs("<dl class=\"sign\">\n", out);
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++)
        fprintf(out, "<div><dt>%s</dt><dd></dd></div>\n", lines[i]);
    fputs("</dl>\n", out);
}

void page_begin(FILE *out, const char *title)
{
    fputs("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
          "<meta http-equiv=\"Content-Security-Policy\" "
          "content=\"default-src 'none'; style-src 'unsafe-inline'\">\n"
          "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n", out);
    html_write(out, "<title>%s</title>\n", title);
    page_style(out);
    fputs("</head>\n<body>\n<main>\n", out);
}

void page_end(FILE *out)
{
    write_signing(out);
    fputs("</main>\n</body>\n</html>\n", out);
}

/* What stands at the foot of every sheet of paper. */
static void write_foot(const page *p)
{
    html_write(p->out, "<style media=\"print\">@page{@bottom-left{content:\"%s, %s\"}"
                       "@bottom-right{content:\"page \" counter(page) \" of \" counter(pages)}}"
                       "</style>\n", p->log.query->spindle, when_of(p).text);
}

reseat_status page_write(page *p, reseat_error *error)
{
    FILE *out = p->out;
    page_begin(out, shown_print("%s: %s", p->log.query->spindle,
                                p->probe_count > 0 && p->probes[0]->judged
                                    ? word_of(p->probes[0]) : "no verdict").text);
    write_foot(p);
    svg_marks(out);
    write_who(p);
    if (p->probe_count > 1)
        write_probes(p);
    if (p->probe_count == 0)
        write_head(p);
    for (p->part = 0; p->part < p->probe_count; p->part++)
        write_probe(p);
    if (p->status == RESEAT_OK)
        write_records(p, error);
    fputs("<h2>Cautions</h2>\n<ul class=\"notes\">\n", out);
    for (size_t i = 0; cautions()[i]; i++)
        fprintf(out, "<li>%s</li>\n", cautions()[i]);
    fputs("</ul>\n", out);
    page_end(out);
    return p->status;
}
