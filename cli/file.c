/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Files that commands read whole. */

#include "commands.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FILE_MAX ((size_t)64 << 20) /* bytes; a table of a million touches is smaller */
#define BLOCK 65536

/* Reads the rest of a stream; NULL with errno set when it cannot. */
static char *read_all(FILE *file, size_t *length)
{
    char *bytes = NULL;
    size_t n = 0;
    for (;;) {
        char *more = n > FILE_MAX ? NULL : realloc(bytes, n + BLOCK);
        if (!more) {
            errno = n > FILE_MAX ? EFBIG : ENOMEM;
            break;
        }
        bytes = more;
        const size_t got = fread(bytes + n, 1, BLOCK, file);
        n += got;
        if (got == 0 && ferror(file))
            break;
        if (got == 0) {
            *length = n;
            return bytes;
        }
    }
    free(bytes);
    return NULL;
}

char *file_load(const arguments *args, const char *name, size_t *length, int *exit)
{
    char shown[128];
    const bool standard = strcmp(name, "-") == 0;
    FILE *file = standard ? stdin : fopen(name, "rb");
    char *bytes = file ? read_all(file, length) : NULL;
    const int fault = errno;
    if (file && !standard)
        fclose(file);
    if (bytes)
        return bytes;
    reseat_text_terminal(name, strlen(name), shown, sizeof shown);
    const bool failed = (file && fault != EISDIR) || fault == ENOMEM;
    *exit = text_refuse(args, failed ? EXIT_IO : EXIT_INPUT, shown, strerror(fault));
    return NULL;
}
