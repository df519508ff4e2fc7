/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <string.h>
#include "log_lines.h"

void line_forward_start(line_forward *lines, const file_calls *calls, int file, uint64_t end)
{
    static const line_mark start = {.number = 1};
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
    line->holds = line->text != NULL && line->seal != NULL && seal_holds(above, text, kept);
    if (line->seal != NULL) {
        memcpy(lines->next.above, line->seal, SEAL_DIGITS);
        lines->next.has_above = true;
    }
    lines->first += kept + (end != NULL ? 1 : 0);
    lines->next.offset += line->length + (end != NULL ? 1 : 0);
    lines->next.number++;
    return 1;
}
