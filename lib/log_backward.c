/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * A window of the file is split into lines forwards, which the standard library does fast, and its
 * lines are given from the last to the first.
 */
#include <errno.h>
#include <string.h>
#include "log_lines.h"

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
