/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include "base/text.h"
#include "log/file.h"

#define MARK_DIGITS_LEAST 8

/* An audit in progress. */
typedef struct audit_work {
    log_reader *log;
    const reseat_log_mark *mark;
    void (*found)(void *context, const reseat_log_bad *bad);
    void *context;
    reseat_audit done;
    bool any;        /* a sound record has been met */
    bool gap_known;  /* bad lines stand behind it, so numbers may be missing */
    char recorded_at[RESEAT_TIME_SIZE]; /* of the newest sound record */
} audit_work;

PRINTF_LIKE(3, 4)
static void report(audit_work *work, const reseat_log_line *line, const char *format, ...)
{
    reseat_log_bad bad = {.line = line->number, .offset = line->offset};
    va_list values;
    va_start(values, format);
    vsnprintf(bad.what, sizeof bad.what, format, values);
    va_end(values);
    work->done.bad++;
    if (work->found)
        work->found(work->context, &bad);
}

/* Numbers go up by one, from the `log` record's 0; behind lost lines, up. */
static void check_order(audit_work *work, const reseat_log_line *line, const walk_step *read)
{
    const int64_t last = work->done.head_seq;
    const bool in_order = !work->any ? work->gap_known || read->seq == 0
                          : work->gap_known ? read->seq > last : read->seq == last + 1;
    if (!in_order)
        report(work, line, "its seq is %" PRId64 " where %" PRId64 " was expected", read->seq,
               last + 1);
    else if (!work->any && !work->gap_known && read->type != RESEAT_RECORD_LOG)
        report(work, line, "the log does not begin with a `log` record");
    if (work->any && work->done.backwards == 0 &&
        strcmp(read->recorded_at, work->recorded_at) < 0)
        work->done.backwards = line->number;
}

static const char *seal_digits_of(const reseat_log_line *line)
{
    return line->text + line->length - SEAL_DIGITS - (sizeof SEAL_END - 1);
}

static void compare_mark(audit_work *work, const reseat_log_line *line, const walk_step *read)
{
    if (!work->mark || read->seq != work->mark->seq)
        return;
    const char *seal = work->mark->seal;
    const bool same = memcmp(seal_digits_of(line), seal, strlen(seal)) == 0;
    work->done.expected = same ? RESEAT_EXPECTED_FOUND : RESEAT_EXPECTED_DIFFERENT;
}

/* Read whole, as it is by those who use it: what they would refuse is not called sound here. */
static reseat_status take_sound(audit_work *work, const reseat_log_line *line, reseat_error *error)
{
    walk_step read = {.line = *line};
    if (walk_read(&read) != RESEAT_OK)
        return error_plain(error, RESEAT_ERR_MEMORY);
    if (read.invalid) {
        bool looked_at = false;
        reseat_status status = log_is_looked_at(work->log, line, &looked_at, error);
        work->gap_known = true;
        work->done.sealed_off += looked_at ? 1 : 0;
        if (status != RESEAT_OK || looked_at)
            return status;
        report(work, line, "sealed, but no record: %s%s%.120s", read.why.key,
               read.why.key[0] != '\0' ? ": " : "", read.why.text);
        return RESEAT_OK;
    }
    check_order(work, line, &read);
    compare_mark(work, line, &read);
    work->done.records++;
    work->done.head_seq = read.seq;
    memcpy(work->done.head_seal, seal_digits_of(line), SEAL_DIGITS);
    memcpy(work->recorded_at, read.recorded_at, sizeof work->recorded_at);
    work->any = true;
    work->gap_known = false;
    return RESEAT_OK;
}

/* Of a line whose seal does not fit: whether its number says that a line is missing above it. */
static void take_bad(audit_work *work, const reseat_log_line *line)
{
    static const char mark[] = "\xEF\xBB\xBF";
    record_glance glance;
    const bool marked = line->offset == 0 && line->text && line->length >= sizeof mark - 1 &&
                        memcmp(line->text, mark, sizeof mark - 1) == 0;
    const bool numbered = line->text && work->any && !work->gap_known &&
                          log_glance(line->text, (size_t)line->length, &glance);
    if (numbered && glance.seq > work->done.head_seq + 1)
        report(work, line, "%s; its seq is %" PRId64 " where %" PRId64 " was expected, "
               "so lines are missing", line->what, glance.seq, work->done.head_seq + 1);
    else
        report(work, line, "%s", marked ? "a byte order mark was put first by an editor or a copy"
                                        : line->what);
    work->gap_known = true;
}

/* Where a whole record may have stood, numbers are missing. */
static void take_sealed_off(audit_work *work, const reseat_log_line *line)
{
    work->done.sealed_off++;
    work->gap_known = work->gap_known || !line->text ||
                      seal_closes(line->text, (size_t)line->length);
}

/* How many lines there are if each ends in CR LF, else 0. */
static reseat_status count_converted(log_reader *log, uint64_t *lines, reseat_error *error)
{
    raw_line line = {.there = true};
    bool converted = true;
    file_fault fault = FILE_OK;
    log->lines.at = 0;
    for (*lines = 0; !fault && converted; *lines += line.there && converted ? 1 : 0) {
        fault = line_next(&log->lines, &line);
        if (!line.there)
            break;
        converted = line.text && line.ended && line.length > 0 &&
                    line.text[line.length - 1] == '\r';
    }
    log->lines.at = 0;
    *lines = converted ? *lines : 0;
    return fault ? log_io_error(log->name, fault, error) : RESEAT_OK;
}

static reseat_status read_through(audit_work *work, reseat_error *error)
{
    for (;;) {
        reseat_log_line line;
        reseat_status status = log_next(work->log, &line, error);
        if (status != RESEAT_OK || line.state == RESEAT_LINE_NONE)
            return status;
        if (line.state == RESEAT_LINE_SOUND)
            status = take_sound(work, &line, error);
        else if (line.state == RESEAT_LINE_SEALED_OFF)
            take_sealed_off(work, &line);
        else
            take_bad(work, &line);
        if (status != RESEAT_OK)
            return status;
    }
}

/* The first line of all, if it is another spindle's: bad, but not damaged. */
static reseat_status check_spindle(audit_work *work, reseat_error *error)
{
    reseat_error why;
    const reseat_log_line first = {.number = 1};
    const reseat_status status = log_check_head(work->log, &why);
    if (status == RESEAT_ERR_DAMAGED)
        report(work, &first, "%.*s", (int)sizeof why.text, why.text);
    else if (status != RESEAT_OK && error)
        *error = why;
    return status == RESEAT_ERR_DAMAGED ? RESEAT_OK : status;
}

/* What befell the whole file is said once, not of each line. */
static reseat_status audit_lines(audit_work *work, reseat_error *error)
{
    const reseat_log_line first = {.number = 1};
    uint64_t converted = 0;
    reseat_status status = count_converted(work->log, &converted, error);
    if (status == RESEAT_OK && work->log->lines.end == 0) {
        report(work, &first, "the file is empty, so it is no log");
        return RESEAT_OK;
    }
    if (status == RESEAT_OK && converted > 0) {
        report(work, &first, "line ends were changed to CR LF by an editor or a copy");
        work->done.bad = converted;
        return RESEAT_OK;
    }
    if (status == RESEAT_OK)
        status = check_spindle(work, error);
    return status == RESEAT_OK ? read_through(work, error) : status;
}

reseat_status log_audit(const file_calls *calls, const char *dir, const char *name,
                        const reseat_log_mark *mark,
                        void (*found)(void *context, const reseat_log_bad *bad), void *context,
                        reseat_audit *audit, reseat_error *error)
{
    audit_work work = {.mark = mark, .found = found, .context = context, .done.head_seq = -1};
    reseat_status status = log_open_any(calls, dir, name, &work.log, error);
    if (mark)
        work.done.expected = RESEAT_EXPECTED_MISSING;
    if (status == RESEAT_OK)
        status = audit_lines(&work, error);
    log_close(work.log);
    if (status != RESEAT_OK)
        return status;
    work.done.whole = work.done.bad == 0 && (work.done.expected == RESEAT_EXPECTED_NOT_ASKED ||
                                             work.done.expected == RESEAT_EXPECTED_FOUND);
    *audit = work.done;
    return RESEAT_OK;
}

reseat_status reseat_log_audit(const char *dir, const char *name, const reseat_log_mark *mark,
                               void (*found)(void *context, const reseat_log_bad *bad),
                               void *context, reseat_audit *audit, reseat_error *error)
{
    if (!dir || !name || !audit)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    return log_audit(&file_system_calls, dir, name, mark, found, context, audit, error);
}

reseat_status reseat_log_mark_parse(const char *text, size_t length, reseat_log_mark *mark,
                                    reseat_error *error)
{
    reseat_log_mark read = {0, ""};
    size_t at = 0;
    if (!text || !mark)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    while (at < length && at < 15 && is_digit(text[at]))
        read.seq = 10 * read.seq + (text[at++] - '0');
    const size_t digits = at < length ? length - at - 1 : 0;
    const bool fits = at > 0 && at < length && text[at] == ':' && digits >= MARK_DIGITS_LEAST &&
                      digits <= SEAL_DIGITS;
    if (fits)
        memcpy(read.seal, text + at + 1, digits);
    if (!fits || strspn(read.seal, "0123456789abcdef") < digits)
        return error_set(error, RESEAT_ERR_SYNTAX, 0,
                         "expected SEQ:SEAL such as 41:3f9a5c0b12de, read %s",
                         error_echo(text, length).text);
    *mark = read;
    return RESEAT_OK;
}
