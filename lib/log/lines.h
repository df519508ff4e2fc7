/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_LOG_LINES_H
#define RESEAT_LOG_LINES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "log/files.h"
#include "log/seal.h"
#include "reseat/log.h"

/* Lines of a file, forwards and backwards in bounded memory, each held against its seal. */

typedef struct raw_line {
    bool there;       /* false: there are no more lines */
    const char *text; /* until the next call; NULL if longer than RESEAT_RECORD_LINE_MAX */
    uint64_t offset;
    uint64_t length;  /* without LF */
    uint64_t end;     /* offset of what follows, its LF passed over */
    bool ended;       /* by an LF */
    bool closes;      /* ends in "} as every record does, or did once */
    const char *seal; /* its 64 digits, if it ends as a sealed line does; else NULL */
    bool holds;       /* the seal is that of the line below the nearest sealed one above */
} raw_line;

#define LINES_FORWARD_SIZE (2 * (size_t)RESEAT_RECORD_LINE_MAX)
#define LINES_BACKWARD_SIZE (4 * (size_t)RESEAT_RECORD_LINE_MAX)
#define LINES_BACKWARD_COUNT 4096
#define LINES_FIRST_SIZE 4096 /* what is read first; then more and more, as more is wanted */

/* Where forward reading goes on: the start of a line, and the seal above it. */
typedef struct line_mark {
    uint64_t offset;
    uint64_t number; /* from 1 */
    bool has_above;
    char above[SEAL_DIGITS];
} line_mark;

typedef struct line_forward {
    const file_calls *calls;
    file_handle file;
    uint64_t end; /* nothing is read beyond; less than it was where the file has shrunk */
    line_mark next;
    size_t step;   /* how much is read at once */
    bool trusting; /* every line that ends in a seal holds: none is computed */
    size_t first;  /* bytes[first] is that at next.offset */
    size_t filled;
    char bytes[LINES_FORWARD_SIZE];
} line_forward;

typedef struct line_backward {
    const file_calls *calls;
    file_handle file;
    uint64_t end;  /* behind the line that is next, its LF included */
    size_t step;   /* how much is read at once */
    uint64_t from; /* offset of bytes[0] */
    size_t count;  /* lines of the window still to be given: the last ones among the starts */
    size_t kept;   /* lines whose starts are known, the newest LINES_BACKWARD_COUNT */
    bool trusting; /* every line that ends in a seal holds: none is computed */
    char above[SEAL_DIGITS];
    uint32_t starts[LINES_BACKWARD_COUNT];
    char bytes[LINES_BACKWARD_SIZE];
} line_backward;

/* Begin at the start of a file, or at its end. */
void line_forward_start(line_forward *lines, const file_calls *calls, file_handle file,
                        uint64_t end);
void line_backward_start(line_backward *lines, const file_calls *calls, file_handle file,
                         uint64_t end);

/* Go on at a mark, or before an offset that ends a line. */
void line_forward_seek(line_forward *lines, const line_mark *mark);
void line_backward_seek(line_backward *lines, uint64_t end);

file_fault line_forward_next(line_forward *lines, raw_line *line);
file_fault line_backward_next(line_backward *lines, raw_line *line);

#endif
