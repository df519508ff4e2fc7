/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "log/file.h"

#include <string.h>

#define FIRST_SIZE 4096 /* what is read first; then whole windows, as more is wanted */
#define PIECE 256       /* about the length of a line */

static size_t smaller(size_t a, uint64_t b)
{
    return a < b ? a : (size_t)b;
}

void line_start(line_reader *lines, const file_calls *calls, file_handle file, uint64_t end)
{
    lines->calls = calls;
    lines->file = file;
    lines->end = end;
    lines->at = lines->from = 0;
    lines->size = 0;
    lines->step = FIRST_SIZE;
    lines->trusting = false;
}

/* Has the window hold `size` bytes from there on, or what is left of them in a shorter file. */
static file_fault load(line_reader *lines, uint64_t from, size_t size)
{
    if (from >= lines->from && from + size <= lines->from + lines->size)
        return FILE_OK;
    lines->from = from;
    lines->size = 0;
    lines->step = LINES_SIZE;
    const file_fault fault = lines->calls->read(lines->file, lines->bytes, size, from,
                                                &lines->size);
    if (!fault && lines->size < size)
        lines->end = from + lines->size;
    return !fault && lines->at > lines->end ? FILE_CHANGED : fault;
}

/* Where the line that begins at lines->at ends, its LF included. */
static file_fault find_end(line_reader *lines, uint64_t *end)
{
    file_fault fault = FILE_OK;
    const char *lf = NULL;
    for (*end = lines->at; !fault && !lf && *end < lines->end;) {
        const char *const filled = lines->bytes + lines->size;
        if (*end >= lines->from && *end < lines->from + lines->size) {
            const char *const text = lines->bytes + (*end - lines->from);
            lf = memchr(text, '\n', (size_t)(filled - text));
            *end += (uint64_t)((lf ? lf + 1 : filled) - text);
        } else { /* from the line's start on, as long as one window holds it */
            const uint64_t from = *end - lines->at < LINES_SIZE ? lines->at : *end;
            fault = load(lines, from, smaller(lines->step, lines->end - from));
        }
    }
    return fault;
}

/* The last LF of a text, searched for piece by piece with what is fast forwards; NULL if none. */
static const char *last_lf(const char *text, const char *end)
{
    const char *lf = NULL;
    while (!lf && end > text) {
        const char *const piece = end - text > PIECE ? end - PIECE : text;
        for (const char *at = piece; (at = memchr(at, '\n', (size_t)(end - at))); at++)
            lf = at;
        end = piece;
    }
    return lf;
}

/* Where the line begins that ends at lines->at, its LF included. */
static file_fault find_begin(line_reader *lines, uint64_t *begin)
{
    file_fault fault = FILE_OK;
    const char *lf = NULL;
    for (*begin = lines->at - 1; !fault && !lf && *begin > 0;) {
        if (*begin > lines->from && *begin <= lines->from + lines->size) {
            lf = last_lf(lines->bytes, lines->bytes + (*begin - lines->from));
            *begin = lines->from + (uint64_t)(lf ? lf + 1 - lines->bytes : 0);
        } else { /* up to the line's end, as long as one window holds it */
            const uint64_t to = lines->at - *begin < LINES_SIZE ? lines->at : *begin;
            const size_t size = smaller(lines->step, to);
            fault = load(lines, to - size, size);
        }
    }
    return fault;
}

/* The digits of a sealed line that ends before the offset `at`; bytes[0] is that at `from`. */
static const char *seal_before(const char *bytes, uint64_t from, uint64_t at)
{
    if (at < from + SEAL_TAIL + 1 || bytes[at - from - 1] != '\n')
        return NULL;
    return seal_of(bytes + (at - from - 1 - SEAL_TAIL), SEAL_TAIL);
}

/*
 * The seal of the nearest sealed line that ends at or before `offset`, the start of a line in the
 * window: mostly the line right above, else whatever stands there is searched from the end. *above
 * is NULL if there is none.
 */
static file_fault find_above(line_reader *lines, uint64_t offset, const char **above)
{
    char bytes[4096];
    size_t size = SEAL_TAIL + 1;
    *above = seal_before(lines->bytes, lines->from, offset);
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

/* Tells of the line [begin, end), of which the window gets at least the last bytes. */
static file_fault describe(line_reader *lines, uint64_t begin, uint64_t end, raw_line *line)
{
    const char *above = NULL;
    size_t size = smaller(LINES_SIZE, end - begin);
    file_fault fault = load(lines, end - size, size);
    if (fault || end == begin || end > lines->end) /* the file has shrunk to here */
        return fault;
    const char *text = lines->bytes + (end - size - lines->from);
    const bool ended = text[size - 1] == '\n';
    size -= ended ? 1 : 0;
    *line = (raw_line){
        .there = true,
        .offset = begin,
        .length = end - begin - (ended ? 1 : 0),
        .end = end,
        .ended = ended,
        .closes = seal_closes(text, size),
        .seal = seal_of(text, size),
    };
    if (line->length > RESEAT_RECORD_LINE_MAX)
        return FILE_OK;
    line->text = text;
    if (line->seal && !lines->trusting)
        fault = find_above(lines, begin, &above);
    line->holds = line->seal && !fault && (lines->trusting || seal_holds(above, text, size));
    return fault;
}

file_fault line_next(line_reader *lines, raw_line *line)
{
    uint64_t end = lines->at;
    *line = (raw_line){.there = false};
    file_fault fault = lines->at < lines->end ? find_end(lines, &end) : FILE_OK;
    if (!fault && end > lines->at)
        fault = describe(lines, lines->at, end, line);
    if (!fault && line->there)
        lines->at = end;
    return fault;
}

file_fault line_previous(line_reader *lines, raw_line *line)
{
    uint64_t begin = 0;
    *line = (raw_line){.there = false};
    if (lines->at == 0)
        return FILE_OK;
    file_fault fault = find_begin(lines, &begin);
    if (!fault)
        fault = describe(lines, begin, lines->at, line);
    if (!fault)
        lines->at = begin;
    return fault;
}

file_fault line_hash(const line_reader *lines, byte_range range, bool with_lf, char *digits)
{
    char bytes[16384];
    struct sha256_ctx context;
    sha256_init(&context);
    while (range.from < range.to) {
        const size_t size = smaller(sizeof bytes, range.to - range.from);
        const file_fault fault = file_read_all(lines->calls, lines->file, bytes, size,
                                               range.from);
        if (fault)
            return fault;
        sha256_update(&context, size, (const uint8_t *)bytes);
        range.from += size;
    }
    if (with_lf)
        sha256_update(&context, 1, (const uint8_t *)"\n");
    seal_digits(&context, digits);
    return FILE_OK;
}
