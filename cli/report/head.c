/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The top of the page: whose, the verdict, why, and what it rests on. */

#include "page.h"

#include <inttypes.h>
#include <string.h>
#include "../show/cautions.h"

static void write_who(const page *p)
{
    html_write(p->out, "<p class=\"who\"><b>%s</b> ", p->spindle);
    if (p->asked) {
        const char *tip = p->asked->state.tip;
        const bool named = strcmp(tip, "main") != 0;
        html_write(p->out, "<span>probe %s%s%s</span> ", p->asked->state.probe,
                   named ? ", tip " : "", named ? tip : "");
    }
    html_write(p->out, "<span>as of %s UTC</span></p>\n", shown_minute(p->as_of).text);
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
    fprintf(p->out, "<h1 class=\"%s\"><svg viewBox=\"0 0 100 100\" aria-hidden=\"true\">%s</svg>"
                    "%s</h1>\n", class, sign,
            p->answer ? reseat_verdict_name(p->answer) : "NO VERDICT");
}

/* A text that goes on becomes one that begins: its first letter is one of ours. */
static char capital(char letter)
{
    return letter >= 'a' && letter <= 'z' ? (char)(letter - 'a' + 'A') : letter;
}

/* The sentence that check ends with, as one of its own. */
static void write_sentence(const page *p)
{
    char text[RESEAT_SENTENCE_SIZE];
    reseat_verdict_text(p->asked->question, p->answer, &p->asked->state, p->unit, text,
                        sizeof text);
    text[0] = capital(text[0]);
    html_prose(p->out, text);
}

static void write_why(const page *p)
{
    FILE *out = p->out;
    fputs("<p class=\"why\">", out);
    if (p->answer) {
        write_sentence(p);
        fputs(p->answer->assumed_decides ? "; it hangs on assumed figures.</p>\n" : ".</p>\n", out);
    } else if (p->asked) {
        fputs("No limit is set for this spindle: record a policy with a limit, and the page has a "
              "verdict.</p>\n", out);
    } else {
        fputs("This log holds no calibration run, so nothing can be said of a probe: record one "
              "and write the page again.</p>\n", out);
    }
}

static void write_left_out(const page *p)
{
    const struct {
        uint64_t count;
        const char *what;
    } parts[] = {{p->log->voided, "taken back"}, {p->log->later, "of later times"},
                 {p->log->audit.bad, "damaged"}, {p->log->audit.sealed_off, "sealed off"}};
    bool any = false;
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        if (parts[i].count == 0)
            continue;
        fprintf(p->out, "%s%" PRIu64 " %s", any ? ", " : "; left out: ", parts[i].count,
                parts[i].what);
        any = true;
    }
    fputs(any ? ". " : "; none is left out. ", p->out);
}

static void write_rule(const page *p)
{
    FILE *out = p->out;
    fputs("<p class=\"rule\">", out);
    if (p->answer) {
        fprintf(out, "Rule: OK only if the chance that no touch is off by more than the limit "
                     "reaches %s at every possible seat; the worst one decides. Seat: ",
                words_confidence(p->asked->question->confidence).text);
        answer_seat(out, reseat_text_html, p->asked, p->unit);
        fputs(". ", out);
    }
    if (p->outlook)
        fprintf(out, "It rests on %zu run%s of the probe", p->outlook->drift.point_count,
                words_s(p->outlook->drift.point_count));
    else
        fputs("No run", out);
    fprintf(out, " among %" PRIu64 " sound record%s", p->log->audit.records,
            words_s(p->log->audit.records));
    write_left_out(p);
    if (p->log->audit.head_seq >= 0)
        html_write(out, "The log ends with record %s, seal %s.",
                   shown_print("%" PRId64, p->log->audit.head_seq).text, p->log->audit.head_seal);
    fputs("</p>\n", out);
}

static void write_damage(const page *p)
{
    FILE *out = p->out;
    if (p->log->audit.bad == 0)
        return;
    fputs("<div class=\"why\"><p><b>The log is damaged</b>; that was passed over, as asked:</p>\n"
          "<ul class=\"told\">\n", out);
    for (size_t i = 0; i < p->log->bad_count; i++)
        html_write(out, "<li>%s: %s</li>\n",
                   shown_print("line %" PRIu64 ", byte %" PRIu64, p->log->bad[i].line,
                               p->log->bad[i].offset).text, p->log->bad[i].what);
    if (p->log->audit.bad > p->log->bad_count)
        fprintf(out, "<li>and %" PRIu64 " more</li>\n",
                p->log->audit.bad - (uint64_t)p->log->bad_count);
    fputs("</ul></div>\n", out);
}

static void write_fact(FILE *out, const char *name, const char *value, const char *more)
{
    html_write(out, "<div><dt>%s</dt><dd>%s", name, value);
    if (more[0])
        html_write(out, " <small>%s</small>", more);
    fputs("</dd></div>\n", out);
}

/* The verdict in figures. */
static void write_answer(const page *p)
{
    const char *unit = reseat_unit_name(p->unit);
    const reseat_question *question = p->asked->question;
    const reseat_outcome *worst = &p->answer->worst;
    const int more = reseat_words_more_digits(worst->error_length_mm, question->limit_mm, p->unit);
    write_fact(p->out, "Largest error",
               reseat_words_length(worst->error_length_mm, p->unit, more).text,
               shown_print("%s, at %s", unit, answer_place(p->answer, worst).text).text);
    write_fact(p->out, "Limit", reseat_words_length(question->limit_mm, p->unit, more).text, unit);
    write_fact(p->out, "Chance within it", words_chance(worst->chance_within).text,
               shown_print("of %s asked for",
                           words_confidence(question->confidence).text).text);
}

static void write_facts(const page *p)
{
    const reseat_state *state = &p->asked->state;
    const int64_t run_at = reseat_record_integer(state->run, RESEAT_FIELD_AT, 0);
    fputs("<dl class=\"facts\">\n", p->out);
    if (p->answer)
        write_answer(p);
    write_fact(p->out, "Last calibrated", words_date(run_at).text,
               shown_print("run %" PRId64 ", %s before", page_run(p),
                           words_days(state->age_days).text).text);
    if (p->outlook->due_known) {
        const shown more = shown_print("in %s%s", words_days(p->outlook->due_days).text,
                                       p->outlook->due_by_age ? ", by age" : ", by drift");
        const bool due = !(p->outlook->due_days > 0);
        write_fact(p->out, due ? "Due since" : "Due", words_date(p->outlook->due_at).text,
                   due ? "" : more.text);
    }
    fputs("</dl>\n", p->out);
}

/* A code such as level-changed reads as a heading: "Level changed: ". */
static void write_told(FILE *out, const char *code, const char *text)
{
    fputs("<li><b>", out);
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
    for (size_t i = 0; i < drift->finding_count; i++) {
        (void)reseat_drift_finding_text(&drift->findings[i], p->unit, text, sizeof text);
        write_told(p->out, reseat_drift_code_name(drift->findings[i].code), text);
    }
    if (drift->finding_count == 0)
        write_told(p->out, "drift", drift->baselines[drift->baseline_count - 1].charted
                                        ? "nothing stands out in the latest baseline"
                                        : "too few runs to tell");
    if (p->answer && p->answer->next != RESEAT_NEXT_NONE)
        write_told(p->out, "next", reseat_next_text(p->answer));
    if (unknown > 0)
        write_told(p->out, "unknown",
                   shown_print("since the run: %" PRIu64 " record%s of a kind that this version "
                               "does not know", unknown, words_s(unknown)).text);
    fputs("</ul>\n", p->out);
}

void page_head(const page *p)
{
    write_who(p);
    write_verdict(p);
    write_why(p);
    write_damage(p);
    if (p->asked) {
        write_facts(p);
        write_findings(p);
    }
    write_rule(p);
    fprintf(p->out, "<p class=\"rule\">%c%s.</p>\n", 'A', caution_sentence() + 1);
}
