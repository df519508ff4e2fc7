/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Reads a log from its end back, no farther than is needed. */

#include <string.h>
#include "error.h"
#include "log_file.h"
#include "reseat/time.h"
#include "standing_parts.h"

static reseat_status later_version(const char *name, int64_t seq, reseat_error *error)
{
    return reseat_error_set(error, RESEAT_ERR_DAMAGED, 0,
                            "record %lld of %s was written by a later version of reseat, which "
                            "alone can decide on it", (long long)seq, name);
}

reseat_status standing_bad_line(reseat_log *log, const char *name, const reseat_log_line *line,
                                reseat_error *error)
{
    uint64_t number = 0;
    const reseat_status status = reseat_log_number(log, line->offset, &number, error);
    if (status != RESEAT_OK)
        return status;
    if (line->state == RESEAT_LINE_TORN)
        return reseat_error_set(error, RESEAT_ERR_DAMAGED, 0,
                                "line %llu of the log of %s was cut short; record it again, then "
                                "check", (unsigned long long)number, name);
    /* an audit does not ask what the fields of a sealed line say */
    return reseat_error_set(error, RESEAT_ERR_DAMAGED, 0,
                            "line %llu of the log of %s is damaged: %s; reseat %s %s shows all",
                            (unsigned long long)number, name, line->what,
                            line->state == RESEAT_LINE_SOUND ? "history" : "audit", name);
}

reseat_status standing_parse(const reseat_standing_query *query, reseat_log *log,
                             const reseat_log_line *line, uint64_t *bad_lines,
                             reseat_record **record, reseat_error *error)
{
    reseat_record *read = NULL;
    const reseat_status status = reseat_record_parse(line->text, (size_t)line->length, &read, NULL);
    if (status == RESEAT_ERR_MEMORY)
        return reseat_error_plain(error, status);
    if (status == RESEAT_OK && reseat_record_integer(read, RESEAT_FIELD_V, 0) >
                                   RESEAT_RECORD_VERSION) {
        const int64_t seq = fact_of(read).seq;
        reseat_record_free(read);
        return later_version(log->name, seq, error);
    }
    if (status != RESEAT_OK && !query->despite_damage) {
        reseat_log_line bad = *line;
        bad.what = "its seal holds, but it is no record";
        return standing_bad_line(log, log->name, &bad, error);
    }
    *bad_lines += status != RESEAT_OK;
    *record = read;
    return RESEAT_OK;
}

/*
 * How far reading back has come. A time is a text in which earlier is smaller, and "" where nothing
 * is known to be early enough. No fact lies further ahead of its writing than the log allows.
 */
typedef struct progress {
    bool settled; /* whose tip is meant, unless runs of another probe stand above */
    bool several; /* probes have runs and none is asked for: only their names are wanted */
    bool past;    /* no run, event or policy above counts: at most names are wanted */
    char before_run[RESEAT_TIME_SIZE];  /* what was written before is earlier than the latest run */
    char before_kept[RESEAT_TIME_SIZE]; /* ... than all runs that are kept, if none more are */
    const char *probe; /* the one asked for, or whose tip is settled; else NULL */
} progress;

static void write_before(int64_t at, char *text)
{
    if (reseat_time_format(at - RESEAT_LOG_AHEAD_SECONDS, text) != RESEAT_OK)
        text[0] = '\0';
}

static void look_at_progress(const gathering *g, progress *p)
{
    reseat_status ignored;
    const track *t = gathering_choose(g, &ignored, NULL);
    *p = (progress){.past = p->past, .probe = g->query->probe};
    p->several = !g->query->probe && gathering_has_several(g);
    if (!t || !(g->query->tip || strcmp(t->tip, "main") == 0))
        return;
    p->settled = true;
    p->probe = t->probe;
    write_before(t->runs[t->run_count - 1].at, p->before_run);
    if (t->run_count == RESEAT_STANDING_RUNS_MAX)
        write_before(t->runs[0].at, p->before_kept);
}

static bool is_before(const record_glance *seen, const char *time)
{
    return time[0] != '\0' && memcmp(seen->recorded_at, time, GLANCE_TIME) < 0;
}

/* Whether a record can still matter, by the first bytes of its line. */
static bool can_matter(const gathering *g, const progress *p, const record_glance *seen)
{
    if (p->several)
        return seen->type == RESEAT_RECORD_VOID || seen->type == RESEAT_RECORD_RUN;
    const bool other = glance_is_of_other(seen, p->probe);
    switch (seen->type) {
    case RESEAT_RECORD_VOID: return true;
    case RESEAT_RECORD_POLICY: return !g->policy;
    case RESEAT_RECORD_RESEAT:
    case RESEAT_RECORD_VERIFY: return !other && !is_before(seen, p->before_run);
    case RESEAT_RECORD_EVENT: return !other && !is_before(seen, p->before_kept);
    case RESEAT_RECORD_RUN:
        if (!other && !is_before(seen, p->before_kept))
            return true;
        /* one of another probe leaves open which is meant, or is a name to tell */
        return g->query->probe ? !p->settled : other || seen->probe == NULL;
    default: return false;
    }
}

/* A sound line; *done when no line above it can matter. */
static reseat_status take_line(gathering *g, progress *p, reseat_log *log,
                               const reseat_log_line *line, bool *done, reseat_error *error)
{
    record_glance seen;
    if ((p->probe || p->several) && log_glance(line->text, (size_t)line->length, &seen)) {
        p->past = p->past || (p->settled && g->policy && is_before(&seen, p->before_kept));
        log->backward->trusting = p->past; /* nothing is decided on what names alone come from */
        *done = p->past && g->query->probe;
        if (*done || !can_matter(g, p, &seen))
            return RESEAT_OK;
    }
    reseat_record *record = NULL;
    uint64_t ignored = 0;
    const reseat_status status = standing_parse(g->query, log, line,
                                                p->past ? &ignored : &g->bad_lines, &record, error);
    if (status != RESEAT_OK || !record)
        return p->past && status == RESEAT_ERR_DAMAGED ? RESEAT_OK : status;
    const bool is_run = reseat_record_type_of(record) == RESEAT_RECORD_RUN;
    if (!gathering_take(g, record))
        return reseat_error_plain(error, RESEAT_ERR_MEMORY);
    if (is_run && !p->several)
        look_at_progress(g, p);
    return RESEAT_OK;
}

static reseat_status take_bad_line(gathering *g, const progress *p, reseat_log *log,
                                   const reseat_log_line *line, reseat_error *error)
{
    if (p->past || line->state == RESEAT_LINE_SEALED_OFF)
        return RESEAT_OK;
    if (!g->query->despite_damage)
        return standing_bad_line(log, g->query->spindle, line, error);
    g->bad_lines++;
    return RESEAT_OK;
}

static reseat_status read_back(gathering *g, reseat_log *log, reseat_error *error)
{
    progress p = {.probe = g->query->probe};
    reseat_log_line line;
    bool done = false;
    reseat_status status = RESEAT_OK;
    while (status == RESEAT_OK && !done) {
        status = reseat_log_previous(log, &line, error);
        if (status != RESEAT_OK || line.state == RESEAT_LINE_NONE)
            break;
        status = line.state == RESEAT_LINE_SOUND ? take_line(g, &p, log, &line, &done, error)
                                                 : take_bad_line(g, &p, log, &line, error);
    }
    return status;
}

/* The line that begins the log must be sound too, also where reading stopped before it. */
static reseat_status check_head(gathering *g, const reseat_log *log, reseat_error *error)
{
    if (log->has_head || log->end == 0)
        return RESEAT_OK;
    if (!g->query->despite_damage)
        return reseat_error_set(error, RESEAT_ERR_DAMAGED, 0,
                                "the log of %s does not begin with a sound `log` record; reseat "
                                "audit %s shows all", g->query->spindle, g->query->spindle);
    if (g->bad_lines == 0)
        g->bad_lines = 1;
    return RESEAT_OK;
}

reseat_status gathering_read(gathering *g, reseat_error *error)
{
    reseat_log *log;
    reseat_status status = reseat_log_open(g->query->dir, g->query->spindle, &log, error);
    if (status != RESEAT_OK)
        return status;
    status = read_back(g, log, error);
    if (status == RESEAT_OK)
        status = check_head(g, log, error);
    reseat_log_close(log);
    return status;
}
