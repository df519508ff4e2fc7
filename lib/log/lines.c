/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "log/lines.h"

#include <errno.h>
#include <string.h>
#include "base/text.h"
#include "log/file.h"

void line_forward_start(line_forward *lines, const file_calls *calls, int file, uint64_t end)
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

/* Fills the buffer up, `at` being the offset of its first untaken byte. */
static int refill(line_forward *lines, uint64_t at)
{
    const size_t kept = ready(lines);
    memmove(lines->bytes, lines->bytes + lines->first, kept);
    lines->first = 0;
    lines->filled = kept;
    const uint64_t from = at + kept;
    size_t wanted = LINES_FORWARD_SIZE - kept;
    if (wanted > lines->step)
        wanted = lines->step;
    lines->step = LINES_FORWARD_SIZE;
    if (wanted > lines->end - from)
        wanted = (size_t)(lines->end - from);
    const ssize_t got = file_read(lines->calls, lines->file, lines->bytes + kept, wanted, from);
    if (got < 0)
        return -1;
    lines->filled += (size_t)got;
    if ((size_t)got < wanted)
        lines->end = from + (uint64_t)got;
    return 0;
}

/*
 * Finds the LF of the line that begins at bytes[first], NULL if the file ends before one. Of a line
 * that is too long only its end is kept; *dropped counts the bytes before.
 */
static int find_end(line_forward *lines, const char **end, uint64_t *dropped)
{
    size_t searched = 0;
    for (;;) {
        const char *text = lines->bytes + lines->first;
        const uint64_t at = lines->next.offset + *dropped;
        const size_t left = ready(lines);
        *end = left > searched ? memchr(text + searched, '\n', left - searched) : NULL;
        if (*end != NULL || at + left >= lines->end)
            return 0;
        searched = left;
        if (left > RESEAT_RECORD_LINE_MAX) {
            const size_t drop = left - SEAL_TAIL;
            lines->first += drop;
            *dropped += drop;
            searched = SEAL_TAIL;
        }
        if (refill(lines, lines->next.offset + *dropped) != 0)
            return -1;
    }
}

int line_forward_next(line_forward *lines, raw_line *line)
{
    const char *end = NULL;
    uint64_t dropped = 0;
    if (lines->next.offset >= lines->end)
        return 0;
    if (find_end(lines, &end, &dropped) != 0)
        return -1;
    const char *text = lines->bytes + lines->first;
    const size_t kept = end != NULL ? (size_t)(end - text) : ready(lines);
    if (dropped + kept == 0 && end == NULL) /* the file has shrunk to here */
        return 0;
    *line = (raw_line){
        .text = dropped + kept <= RESEAT_RECORD_LINE_MAX ? text : NULL,
        .offset = lines->next.offset,
        .length = dropped + kept,
        .ended = end != NULL,
        .closes = seal_closes(text, kept),
        .seal = seal_of(text, kept),
    };
    const char *above = lines->next.has_above ? lines->next.above : NULL;
    line->holds = line->text != NULL && line->seal != NULL &&
                  (lines->trusting || seal_holds(above, text, kept));
    if (line->seal != NULL) {
        memcpy(lines->next.above, line->seal, SEAL_DIGITS);
        lines->next.has_above = true;
    }
    lines->first += kept + (end != NULL ? 1 : 0);
    lines->next.offset += line->length + (end != NULL ? 1 : 0);
    lines->next.number++;
    return 1;
}

/*
 * A window of the file is split into lines forwards, which the standard library does fast, and its
 * lines are given from the last to the first.
 */

void line_backward_start(line_backward *lines, const file_calls *calls, int file, uint64_t end)
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

/* Reads all of [from, from + count); a file that has shrunk meanwhile is a failure. */
static int read_all(const line_backward *lines, char *bytes, size_t count, uint64_t from)
{
    const ssize_t got = file_read(lines->calls, lines->file, bytes, count, from);
    if (got >= 0 && (size_t)got < count)
        errno = EAGAIN;
    return got >= 0 && (size_t)got == count ? 0 : -1;
}

/* Reads the window before `end`. */
static int read_window(line_backward *lines)
{
    const size_t size = lines->end < lines->step ? (size_t)lines->end : lines->step;
    lines->step = LINES_BACKWARD_SIZE;
    lines->from = lines->end - size;
    return read_all(lines, lines->bytes, size, lines->from);
}

/* Finds the lines that begin in the window. */
static void split(line_backward *lines)
{
    const size_t size = (size_t)(lines->end - lines->from);
    const char *const last = lines->bytes + size - 1; /* where the last line's LF stands */
    const char *at = lines->bytes;
    size_t found = 0;
    if (lines->from > 0) {
        at = memchr(at, '\n', size - 1);
        at = at != NULL ? at + 1 : NULL;
    }
    while (at != NULL) {
        lines->starts[found++ % LINES_BACKWARD_COUNT] = (uint32_t)(at - lines->bytes);
        at = memchr(at, '\n', (size_t)(last - at));
        at = at != NULL ? at + 1 : NULL;
    }
    lines->kept = found;
    lines->count = found < LINES_BACKWARD_COUNT ? found : LINES_BACKWARD_COUNT;
}

/* Fills the window with the lines before `end`; none where one is longer than the largest. */
static int fill(line_backward *lines)
{
    do {
        if (read_window(lines) != 0)
            return -1;
        split(lines);
    } while (lines->count == 0 && lines->end - lines->from < LINES_BACKWARD_SIZE);
    return 0;
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
 * mostly the line right above, else whatever stands there is searched from the end. Its digits go
 * into lines->above; *found says whether there is one.
 */
static int find_above(line_backward *lines, uint64_t offset, bool *found)
{
    char bytes[4096];
    size_t size = SEAL_TAIL + 1;
    *found = false;
    while (!*found && offset > SEAL_TAIL) {
        if (size > offset)
            size = (size_t)offset;
        const uint64_t from = offset - size;
        if (read_all(lines, bytes, size, from) != 0)
            return -1;
        const char *seal = NULL;
        for (uint64_t at = offset; seal == NULL && at - from > SEAL_TAIL; at--)
            seal = seal_before(bytes, from, at);
        if (seal != NULL)
            memcpy(lines->above, seal, SEAL_DIGITS);
        *found = seal != NULL;
        offset = from + SEAL_TAIL;
        size = sizeof bytes;
    }
    return 0;
}

/* The seal of the nearest sealed line above line `index` of the window; *above NULL if none. */
static int seal_above(line_backward *lines, size_t index, const char **above)
{
    const size_t first = lines->kept - lines->count;
    *above = NULL;
    for (size_t i = index; i > first && *above == NULL; i--)
        *above = seal_before(lines->bytes, 0, start_of(lines, i));
    bool found = false;
    if (*above == NULL && find_above(lines, lines->from + start_of(lines, first), &found) != 0)
        return -1;
    if (found)
        *above = lines->above;
    return 0;
}

/* Start of the line that fills the whole window and begins before it. */
static int find_start(const line_backward *lines, uint64_t *start)
{
    char bytes[4096];
    uint64_t end = lines->from;
    while (end > 0) {
        const size_t size = end < sizeof bytes ? (size_t)end : sizeof bytes;
        if (read_all(lines, bytes, size, end - size) != 0)
            return -1;
        for (size_t i = size; i > 0; i--)
            if (bytes[i - 1] == '\n') {
                *start = end - size + i;
                return 0;
            }
        end -= size;
    }
    *start = 0;
    return 0;
}

/* What can be told of the line [offset, lines->end) from its end in the window. */
static void describe(const line_backward *lines, uint64_t offset, raw_line *line)
{
    const uint64_t begin = offset > lines->from ? offset : lines->from;
    const char *text = lines->bytes + (begin - lines->from);
    const bool ended = lines->bytes[lines->end - lines->from - 1] == '\n';
    const size_t kept = (size_t)(lines->end - begin) - (ended ? 1 : 0);
    *line = (raw_line){
        .offset = offset,
        .length = lines->end - offset - (ended ? 1 : 0),
        .ended = ended,
        .closes = seal_closes(text, kept),
        .seal = seal_of(text, kept),
    };
    line->text = line->length <= RESEAT_RECORD_LINE_MAX ? text : NULL;
}

int line_backward_next(line_backward *lines, raw_line *line)
{
    const char *above = NULL;
    uint64_t offset = 0;
    if (lines->end == 0)
        return 0;
    if (lines->count == 0 && fill(lines) != 0)
        return -1;
    if (lines->count == 0) {
        if (find_start(lines, &offset) != 0)
            return -1;
        describe(lines, offset, line); /* longer than any record, so it cannot hold */
        lines->end = offset;
        return 1;
    }
    const size_t index = lines->kept - 1;
    describe(lines, lines->from + start_of(lines, index), line);
    line->holds = lines->trusting && line->text != NULL && line->seal != NULL;
    if (line->text != NULL && line->seal != NULL && !line->holds) {
        if (seal_above(lines, index, &above) != 0)
            return -1;
        line->holds = seal_holds(above, line->text, (size_t)line->length);
    }
    lines->end = line->offset;
    lines->kept--;
    lines->count--;
    return 1;
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
    if (end == NULL || memchr(from.at, '\\', (size_t)(end - from.at)) != NULL)
        return;
    seen->probe = from.at;
    seen->probe_length = (size_t)(end - from.at);
}

bool glance_is_of_other(const record_glance *glance, const char *probe)
{
    return glance->probe != NULL && !word_is(glance->probe, glance->probe_length, probe);
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
