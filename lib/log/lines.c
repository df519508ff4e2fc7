/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "log/lines.h"

#include <string.h>
#include "base/text.h"
#include "log/file.h"

/* What is told of a line from its last `kept` bytes; whether its seal holds is yet to be seen. */
static raw_line describe(const char *text, size_t kept, uint64_t offset, uint64_t length,
                         bool ended)
{
    return (raw_line){
        .there = true,
        .text = length <= RESEAT_RECORD_LINE_MAX ? text : NULL,
        .offset = offset,
        .length = length,
        .end = offset + length + (ended ? 1 : 0),
        .ended = ended,
        .closes = seal_closes(text, kept),
        .seal = seal_of(text, kept),
    };
}

void line_forward_start(line_forward *lines, const file_calls *calls, file_handle file,
                        uint64_t end)
{
    static const line_mark start = {.number = 1};
    lines->trusting = false;
    lines->calls = calls;
    lines->file = file;
    lines->end = end;
    lines->step = LINES_FIRST_SIZE;
    line_forward_seek(lines, &start);
}

void line_forward_seek(line_forward *lines, const line_mark *mark)
{
    lines->next = *mark;
    lines->first = lines->filled = 0;
}

/* Bytes of the file in the buffer that no line has taken yet. */
static size_t ready(const line_forward *lines)
{
    return lines->filled - lines->first;
}

static size_t smaller(size_t a, uint64_t b)
{
    return a < b ? a : (size_t)b;
}

/* Fills the buffer up, `at` being the offset of its first untaken byte. */
static file_fault refill(line_forward *lines, uint64_t at)
{
    const size_t kept = ready(lines);
    memmove(lines->bytes, lines->bytes + lines->first, kept);
    lines->first = 0;
    lines->filled = kept;
    const uint64_t from = at + kept;
    const size_t wanted = smaller(smaller(LINES_FORWARD_SIZE - kept, lines->step),
                                  lines->end - from);
    size_t got = 0;
    lines->step = LINES_FORWARD_SIZE;
    const file_fault fault = lines->calls->read(lines->file, lines->bytes + kept, wanted, from,
                                                &got);
    if (fault)
        return fault;
    lines->filled += got;
    if (got < wanted)
        lines->end = from + got;
    return FILE_OK;
}

/*
 * Finds the LF of the line that begins at bytes[first], NULL if the file ends before one. Of a line
 * that is too long only its end is kept; *dropped counts the bytes before.
 */
static file_fault find_end(line_forward *lines, const char **end, uint64_t *dropped)
{
    size_t searched = 0;
    for (;;) {
        const char *text = lines->bytes + lines->first;
        const uint64_t at = lines->next.offset + *dropped;
        const size_t left = ready(lines);
        *end = left > searched ? memchr(text + searched, '\n', left - searched) : NULL;
        if (*end || at + left >= lines->end)
            return FILE_OK;
        searched = left;
        if (left > RESEAT_RECORD_LINE_MAX) {
            const size_t drop = left - SEAL_TAIL;
            lines->first += drop;
            *dropped += drop;
            searched = SEAL_TAIL;
        }
        const file_fault fault = refill(lines, lines->next.offset + *dropped);
        if (fault)
            return fault;
    }
}

file_fault line_forward_next(line_forward *lines, raw_line *line)
{
    const char *end = NULL;
    uint64_t dropped = 0;
    line->there = false;
    if (lines->next.offset >= lines->end)
        return FILE_OK;
    const file_fault fault = find_end(lines, &end, &dropped);
    const char *text = lines->bytes + lines->first;
    const size_t kept = end ? (size_t)(end - text) : ready(lines);
    if (fault || (dropped + kept == 0 && !end)) /* the file has shrunk to here */
        return fault;
    *line = describe(text, kept, lines->next.offset, dropped + kept, end);
    if (line->text && line->seal)
        line->holds = lines->trusting ||
                      seal_holds(lines->next.has_above ? lines->next.above : NULL, text, kept);
    if (line->seal) {
        memcpy(lines->next.above, line->seal, SEAL_DIGITS);
        lines->next.has_above = true;
    }
    lines->first += kept + (end ? 1 : 0);
    lines->next.offset = line->end;
    lines->next.number++;
    return FILE_OK;
}

/*
 * A window of the file is split into lines forwards, which the standard library does fast, and its
 * lines are given from the last to the first.
 */

void line_backward_start(line_backward *lines, const file_calls *calls, file_handle file,
                         uint64_t end)
{
    lines->calls = calls;
    lines->file = file;
    lines->step = LINES_FIRST_SIZE;
    lines->trusting = false;
    line_backward_seek(lines, end);
}

void line_backward_seek(line_backward *lines, uint64_t end)
{
    lines->end = end;
    lines->count = lines->kept = 0;
}

/* Reads the window before `end`. */
static file_fault read_window(line_backward *lines)
{
    const size_t size = smaller(lines->step, lines->end);
    lines->step = LINES_BACKWARD_SIZE;
    lines->from = lines->end - size;
    return file_read_all(lines->calls, lines->file, lines->bytes, size, lines->from);
}

/* Where the line after the next LF of [at, last) begins. */
static const char *line_after(const char *at, const char *last)
{
    const char *lf = memchr(at, '\n', (size_t)(last - at));
    return lf ? lf + 1 : NULL;
}

/* Finds the lines that begin in the window. */
static void split(line_backward *lines)
{
    const char *const last = lines->bytes + (lines->end - lines->from) - 1; /* the last one's LF */
    const char *at = lines->from > 0 ? line_after(lines->bytes, last) : lines->bytes;
    size_t found = 0;
    for (; at; at = line_after(at, last))
        lines->starts[found++ % LINES_BACKWARD_COUNT] = (uint32_t)(at - lines->bytes);
    lines->kept = found;
    lines->count = smaller(LINES_BACKWARD_COUNT, found);
}

/* Fills the window with the lines before `end`; none where one is longer than the largest. */
static file_fault fill(line_backward *lines)
{
    file_fault fault;
    do {
        fault = read_window(lines);
        if (!fault)
            split(lines);
    } while (!fault && lines->count == 0 && lines->end - lines->from < LINES_BACKWARD_SIZE);
    return fault;
}

/* Start of the line that has `count` lines of the window above it, in the window. */
static size_t start_of(const line_backward *lines, size_t count)
{
    return lines->starts[count % LINES_BACKWARD_COUNT];
}

/* The digits of a sealed line that ends before the offset `at`; bytes[0] is that at `from`. */
static const char *seal_before(const char *bytes, uint64_t from, uint64_t at)
{
    if (at - from < SEAL_TAIL + 1 || bytes[at - from - 1] != '\n')
        return NULL;
    return seal_of(bytes + (at - from - 1 - SEAL_TAIL), SEAL_TAIL);
}

/*
 * The nearest sealed line that ends at or before `offset`, a start of a line outside the window:
 * mostly the line right above, else whatever stands there is searched from the end. *above points
 * to its digits in lines->above, and stays NULL if there is none.
 */
static file_fault find_above(line_backward *lines, uint64_t offset, const char **above)
{
    char bytes[4096];
    size_t size = SEAL_TAIL + 1;
    while (!*above && offset > SEAL_TAIL) {
        size = smaller(size, offset);
        const uint64_t from = offset - size;
        const file_fault fault = file_read_all(lines->calls, lines->file, bytes, size, from);
        if (fault)
            return fault;
        const char *seal = NULL;
        for (uint64_t at = offset; !seal && at - from > SEAL_TAIL; at--)
            seal = seal_before(bytes, from, at);
        if (seal)
            *above = memcpy(lines->above, seal, SEAL_DIGITS);
        offset = from + SEAL_TAIL;
        size = sizeof bytes;
    }
    return FILE_OK;
}

/* The seal of the nearest sealed line above line `index` of the window; *above NULL if none. */
static file_fault seal_above(line_backward *lines, size_t index, const char **above)
{
    const size_t first = lines->kept - lines->count;
    *above = NULL;
    for (size_t i = index; i > first && !*above; i--)
        *above = seal_before(lines->bytes, 0, start_of(lines, i));
    return *above ? FILE_OK : find_above(lines, lines->from + start_of(lines, first), above);
}

/* Start of the line that fills the whole window and begins before it. */
static file_fault find_start(const line_backward *lines, uint64_t *start)
{
    char bytes[4096];
    for (*start = lines->from; *start > 0;) {
        const size_t size = smaller(sizeof bytes, *start);
        const file_fault fault = file_read_all(lines->calls, lines->file, bytes, size,
                                               *start - size);
        if (fault)
            return fault;
        for (size_t i = size; i > 0; i--, (*start)--)
            if (bytes[i - 1] == '\n')
                return FILE_OK;
    }
    return FILE_OK;
}

/* The line [offset, lines->end), of which the window has the end at least. */
static raw_line last_line(const line_backward *lines, uint64_t offset)
{
    const uint64_t begin = offset > lines->from ? offset : lines->from;
    const bool ended = lines->bytes[lines->end - lines->from - 1] == '\n';
    const uint64_t end = lines->end - (ended ? 1 : 0);
    return describe(lines->bytes + (begin - lines->from), (size_t)(end - begin), offset,
                    end - offset, ended);
}

/* Longer than any record, so it cannot hold. */
static file_fault give_long(line_backward *lines, raw_line *line)
{
    uint64_t offset = 0;
    const file_fault fault = find_start(lines, &offset);
    if (fault)
        return fault;
    *line = last_line(lines, offset);
    lines->end = offset;
    return FILE_OK;
}

file_fault line_backward_next(line_backward *lines, raw_line *line)
{
    const char *above = NULL;
    line->there = false;
    if (lines->end == 0)
        return FILE_OK;
    file_fault fault = lines->count == 0 ? fill(lines) : FILE_OK;
    if (!fault && lines->count == 0)
        return give_long(lines, line);
    if (fault)
        return fault;
    const size_t index = lines->kept - 1;
    raw_line last = last_line(lines, lines->from + start_of(lines, index));
    const bool sealed = last.text && last.seal;
    if (sealed && !lines->trusting) {
        fault = seal_above(lines, index, &above);
        if (fault)
            return fault;
    }
    last.holds = sealed && (lines->trusting || seal_holds(above, last.text, (size_t)last.length));
    *line = last;
    lines->end = last.offset;
    lines->kept--;
    lines->count--;
    return FILE_OK;
}

typedef struct cursor {
    const char *at;
    const char *end;
} cursor;

static bool take(cursor *from, const char *text, size_t length)
{
    if ((size_t)(from->end - from->at) < length || memcmp(from->at, text, length) != 0)
        return false;
    from->at += length;
    return true;
}

static bool take_seq(cursor *from, int64_t *seq)
{
    const char *first = from->at;
    int64_t value = 0;
    while (from->at < from->end && *from->at >= '0' && *from->at <= '9' && from->at - first < 16)
        value = 10 * value + (*from->at++ - '0');
    *seq = value;
    return from->at > first && (*first != '0' || from->at - first == 1);
}

static bool take_type(cursor *from, reseat_record_type *type)
{
    for (unsigned i = 1; i < RESEAT_RECORD_TYPE_COUNT; i++) {
        const char *name = reseat_record_type_name((reseat_record_type)i);
        const size_t length = strlen(name);
        if ((size_t)(from->end - from->at) > length && from->at[length] == '"' &&
            memcmp(from->at, name, length) == 0) {
            from->at += length;
            *type = (reseat_record_type)i;
            return true;
        }
    }
    return false;
}

/* 2026-03-02T06:00:00Z: whether it is a time at all is left to who reads the whole record. */
static bool take_time(cursor *from)
{
    static const char form[] = "dddd-dd-ddTdd:dd:ddZ";
    if (from->end - from->at < GLANCE_TIME)
        return false;
    for (size_t i = 0; i < GLANCE_TIME; i++, from->at++) {
        const bool digit = *from->at >= '0' && *from->at <= '9';
        if (form[i] == 'd' ? !digit : *from->at != form[i])
            return false;
    }
    return true;
}

/* A text that ends in its next quotation mark and needs no reading of escapes. */
static void take_probe(cursor from, record_glance *seen)
{
    static const char key[] = ",\"probe\":\"";
    if (!take(&from, key, sizeof key - 1))
        return;
    const char *end = memchr(from.at, '"', (size_t)(from.end - from.at));
    if (!end || memchr(from.at, '\\', (size_t)(end - from.at)))
        return;
    seen->probe = from.at;
    seen->probe_length = (size_t)(end - from.at);
}

bool glance_is_of_other(const record_glance *glance, const char *probe)
{
    return glance->probe && !word_is(glance->probe, glance->probe_length, probe);
}

bool log_glance(const char *line, size_t length, record_glance *glance)
{
    static const char v[] = "{\"v\":1,\"seq\":", type[] = ",\"type\":\"", when[] =
        "\",\"recorded_at\":\"";
    cursor from = {line, line + length};
    record_glance seen = {0};
    if (!take(&from, v, sizeof v - 1) || !take_seq(&from, &seen.seq) ||
        !take(&from, type, sizeof type - 1) || !take_type(&from, &seen.type) ||
        !take(&from, when, sizeof when - 1) || !take_time(&from))
        return false;
    seen.recorded_at = from.at - GLANCE_TIME;
    if (!take(&from, "\"", 1))
        return false;
    seen.rest = from.at;
    take_probe(from, &seen);
    *glance = seen;
    return true;
}
