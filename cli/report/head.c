/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The top of the page: whose, the verdict, why, and what it rests on. */

#include "page.h"

#include <inttypes.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "html.h"

static const char *minute(char *out, int64_t at)
{
    char text[RESEAT_TIME_SIZE] = "";
    (void)reseat_time_format(at, text);
    snprintf(out, TEXT_SIZE, "%.10s %.5s UTC", text, text[0] ? text + 11 : "");
    return out;
}

static void write_who(const page *p)
{
    char time[TEXT_SIZE];
    FILE *out = p->out;
    fputs("<p class=\"who\"><b>", out);
    html_text(out, p->spindle);
    fputs("</b> ", out);
    if (p->asked) {
        fputs("<span>probe ", out);
        html_text(out, p->asked->standing.probe);
        if (strcmp(p->asked->standing.tip, "main") != 0) {
            fputs(", tip ", out);
            html_text(out, p->asked->standing.tip);
        }
        fputs("</span> ", out);
    }
    fprintf(out, "<span>as of %s</span></p>\n", minute(time, p->as_of));
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
    const char *sign = !p->answer ? dash : p->answer->ok ? check : stop;
    fprintf(p->out, "<h1 class=\"%s\"><svg viewBox=\"0 0 100 100\" aria-hidden=\"true\">%s</svg>",
            class, sign);
    html_text(p->out, p->answer ? check_verdict(p->answer) : "NO VERDICT");
    fputs("</h1>\n", p->out);
}

/*
 * The sentence that check ends with, as one of its own: its first letter is one of ours. False
 * where there is no memory.
 */
static bool write_sentence(const page *p)
{
    char *text = NULL;
    size_t length = 0;
    FILE *sentence = open_memstream(&text, &length);
    if (sentence)
        check_sentence(sentence, p->asked, p->answer, p->unit);
    const bool held = sentence && text_close(sentence, &text);
    if (held) {
        if (text[0] >= 'a' && text[0] <= 'z')
            text[0] = (char)(text[0] - 'a' + 'A');
        html_prose(p->out, text);
    }
    free(text);
    return held;
}

static bool write_why(const page *p)
{
    FILE *out = p->out;
    fputs("<p class=\"why\">", out);
    if (p->answer) {
        if (!write_sentence(p))
            return false;
        fputs(p->answer->assumed_decides ? "; it hangs on assumed figures.</p>\n" : ".</p>\n", out);
    } else if (p->asked) {
        fputs("No limit is set for this spindle: record a policy with a limit, and the page has a "
              "verdict.</p>\n", out);
    } else {
        fputs("This log holds no calibration run, so nothing can be said of a probe: record one "
              "and write the page again.</p>\n", out);
    }
    return true;
}

static void write_left_out(const page *p)
{
    const struct {
        uint64_t count;
        const char *what;
    } parts[] = {{p->log->voids.count, "taken back"}, {p->log->later, "of later times"},
                 {p->log->audit.bad, "damaged"}, {p->log->audit.sealed_off, "sealed off"}};
    bool any = false;
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        if (parts[i].count == 0)
            continue;
        html_print(p->out, "%s%" PRIu64 " %s", any ? ", " : "; left out: ", parts[i].count,
                   parts[i].what);
        any = true;
    }
    fputs(any ? ". " : "; none is left out. ", p->out);
}

static void write_rule(const page *p)
{
    char text[TEXT_SIZE];
    FILE *out = p->out;
    fputs("<p class=\"rule\">", out);
    if (p->answer) {
        html_print(out, "Rule: OK only if the chance that no touch is off by more than the limit "
                        "reaches %s at every possible seat; the worst one decides. Seat: ",
                   text_confidence(text, p->asked->question->confidence));
        check_seat(out, reseat_text_html, p->asked, p->unit);
        fputs(". ", out);
    }
    if (p->outlook)
        html_print(out, "It rests on %zu run%s of the probe", p->outlook->drift.point_count,
                   text_s(p->outlook->drift.point_count));
    else
        fputs("No run", out);
    html_print(out, " among %" PRIu64 " sound record%s", p->log->audit.records,
               text_s(p->log->audit.records));
    write_left_out(p);
    if (p->log->audit.head_seq >= 0)
        html_print(out, "The log ends with record %" PRId64 ", seal %s.",
                   p->log->audit.head_seq, p->log->audit.head_seal);
    fputs("</p>\n", out);
}

static void write_damage(const page *p)
{
    FILE *out = p->out;
    if (p->log->audit.bad == 0)
        return;
    fputs("<div class=\"why\"><p><b>The log is damaged</b>; that was passed over, as asked:</p>\n"
          "<ul class=\"told\">\n", out);
    for (size_t i = 0; i < p->log->bad_count; i++) {
        fputs("<li>", out);
        html_print(out, "line %" PRIu64 ", byte %" PRIu64 ": %s", p->log->bad[i].line,
                   p->log->bad[i].offset, p->log->bad[i].what);
        fputs("</li>\n", out);
    }
    if (p->log->audit.bad > p->log->bad_count)
        fprintf(out, "<li>and %" PRIu64 " more</li>\n",
                p->log->audit.bad - (uint64_t)p->log->bad_count);
    fputs("</ul></div>\n", out);
}

static void write_fact(FILE *out, const char *name, const char *value, const char *more)
{
    fputs("<div><dt>", out);
    html_text(out, name);
    fputs("</dt><dd>", out);
    html_text(out, value);
    if (more[0]) {
        fputs(" <small>", out);
        html_text(out, more);
        fputs("</small>", out);
    }
    fputs("</dd></div>\n", out);
}

static void write_run_fact(const page *p)
{
    char date[TEXT_SIZE], more[2 * TEXT_SIZE], days[TEXT_SIZE];
    const reseat_record *run = p->asked->standing.run;
    snprintf(more, sizeof more, "run %" PRId64 ", %s before",
             reseat_record_integer(run, RESEAT_FIELD_SEQ, -1),
             text_days(days, p->asked->standing.age_days));
    write_fact(p->out, "Last calibrated",
               drift_date(date, reseat_record_integer(run, RESEAT_FIELD_AT, 0)), more);
}

static void write_facts(const page *p)
{
    char value[TEXT_SIZE], more[2 * TEXT_SIZE], text[TEXT_SIZE];
    const char *unit = reseat_unit_name(p->unit);
    fputs("<dl class=\"facts\">\n", p->out);
    if (p->answer) {
        const double limit = p->asked->question->limit_mm;
        const double error = p->answer->worst.error_length_mm;
        const int digits = text_more_digits(error, limit, p->unit);
        snprintf(more, sizeof more, "%s, at %s", unit, text_where(text, p->answer,
                                                                  &p->answer->worst));
        write_fact(p->out, "Largest error", text_length(value, error, p->unit, digits), more);
        write_fact(p->out, "Limit", text_length(value, limit, p->unit, digits), unit);
        snprintf(more, sizeof more, "of %s asked for",
                 text_confidence(text, p->asked->question->confidence));
        write_fact(p->out, "Chance within it", text_chance(value, p->answer->worst.chance_within),
                   more);
    }
    write_run_fact(p);
    if (p->outlook->due_known) {
        snprintf(more, sizeof more, "in %s%s", text_days(text, p->outlook->due_days),
                 p->outlook->due_by_age ? ", by age" : ", by drift");
        write_fact(p->out, p->outlook->due_days > 0 ? "Due" : "Due since",
                   drift_date(value, p->outlook->due_at), p->outlook->due_days > 0 ? more : "");
    }
    fputs("</dl>\n", p->out);
}

/* A code such as level-changed reads as a heading: "Level changed: ". */
static void write_told(FILE *out, const char *code, const char *text)
{
    fputs("<li><b>", out);
    for (size_t i = 0; code[i]; i++)
        fputc(i == 0 && code[i] >= 'a' && code[i] <= 'z' ? code[i] - 'a' + 'A'
              : code[i] == '-' ? ' ' : code[i], out);
    fputs(":</b> ", out);
    html_prose(out, text);
    fputs("</li>\n", out);
}

/* What stands out in the runs, and what to do next. */
static void write_findings(const page *p)
{
    char text[512];
    const reseat_drift *drift = &p->outlook->drift;
    fputs("<ul class=\"told\">\n", p->out);
    for (size_t i = 0; i < drift->finding_count; i++) {
        (void)reseat_drift_finding_text(&drift->findings[i], p->unit, text, sizeof text);
        write_told(p->out, reseat_drift_code_name(drift->findings[i].code), text);
    }
    if (drift->finding_count == 0)
        write_told(p->out, "drift", drift->baselines[drift->baseline_count - 1].charted
                                        ? "nothing stands out in the latest baseline"
                                        : "too few runs to tell");
    if (p->answer && p->answer->next != RESEAT_NEXT_NONE)
        write_told(p->out, "next", check_next(p->answer));
    if (p->asked->standing.unknown_types > 0) {
        snprintf(text, sizeof text, "since the run: %" PRIu64 " record%s of a kind that this "
                                    "version does not know", p->asked->standing.unknown_types,
                 text_s(p->asked->standing.unknown_types));
        write_told(p->out, "unknown", text);
    }
    fputs("</ul>\n", p->out);
}

bool page_head(const page *p)
{
    write_who(p);
    write_verdict(p);
    if (!write_why(p))
        return false;
    write_damage(p);
    if (p->asked) {
        write_facts(p);
        write_findings(p);
    }
    write_rule(p);
    fprintf(p->out, "<p class=\"rule\">%c%s.</p>\n", 'A', text_caution() + 1);
    return true;
}
