/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Files that are read whole, and the one that is written: whole beside its name first, then
 * renamed, so that nobody meets half of it, and never over a log.
 */

#include "files.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

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

char *file_load(arguments *args, const char *name, size_t *length)
{
    const bool standard = strcmp(name, "-") == 0;
    FILE *file = standard ? stdin : fopen(name, "rb");
    char *bytes = file ? read_all(file, length) : NULL;
    const int fault = errno;
    if (file && !standard)
        fclose(file);
    if (bytes)
        return bytes;
    const bool failed = (file && fault != EISDIR) || fault == ENOMEM;
    fail_text(args, failed ? EXIT_IO : EXIT_INPUT, name, strerror(fault));
    return NULL;
}

static const char *name_of(const arguments *args)
{
    return args->options[OPT_OUTPUT].text;
}

/* A folder that is not there, or not ours, was wrongly typed; the rest is a failure. */
static bool fail(arguments *args, int fault)
{
    const bool typed = fault == ENOENT || fault == ENOTDIR || fault == EACCES ||
                       fault == ENAMETOOLONG;
    char text[160];
    snprintf(text, sizeof text, "%s; nothing was written", strerror(fault));
    return fail_text(args, typed ? EXIT_INPUT : EXIT_IO, name_of(args), text);
}

static bool ends_like_log(const char *name)
{
    static const char ending[] = ".jsonl";
    const size_t length = strlen(name);
    const size_t end = sizeof ending - 1;
    return length >= end && strcmp(name + length - end, ending) == 0;
}

/*
 * Whether what is there may be a log: lines of JSON begin with {", whatever the file is called.
 * What cannot be read may be one too.
 */
static bool is_no_log(arguments *args)
{
    char bytes[2] = "";
    FILE *file = fopen(name_of(args), "rb");
    if (!file)
        return fail(args, errno);
    const size_t count = fread(bytes, 1, sizeof bytes, file);
    const int fault = ferror(file) ? errno : 0;
    fclose(file);
    if (fault)
        return fail(args, fault);
    return count != sizeof bytes || memcmp(bytes, "{\"", sizeof bytes) != 0 ||
           refuse(args, name_of(args), "begins like a log, which is never replaced");
}

bool output_check(arguments *args)
{
    struct stat there;
    const char *name = name_of(args);
    if (strcmp(name, "-") == 0)
        return !args->json || refuse(args, "--json",
                                     "does not go together with -o -: both are standard output");
    if (ends_like_log(name))
        return refuse(args, name_of(args), "is the name of a log, which is never replaced");
    if (stat(name, &there) != 0)
        return errno == ENOENT || fail(args, errno);
    if (!S_ISREG(there.st_mode))
        return refuse(args, name_of(args), "is there, and no file");
    return is_no_log(args) &&
           (args->options[OPT_FORCE].given ||
            refuse(args, name, "is there already; --force replaces it"));
}

bool output_folder(arguments *args, const char *folder)
{
    struct stat there;
    if (mkdir(folder, 0777) == 0)
        return true;
    if (errno != EEXIST || stat(folder, &there) != 0)
        return fail(args, errno);
    return S_ISDIR(there.st_mode) || refuse(args, folder, "is there, and no folder");
}

/* 0, or what went wrong. */
static int write_all(int file, const char *bytes, size_t length)
{
    const mode_t mask = umask(0);
    umask(mask);
    (void)fchmod(file, 0666 & ~mask); /* some disks have no modes: the file is as good */
    while (length > 0) {
        const ssize_t done = write(file, bytes, length);
        if (done < 0 && errno == EINTR)
            continue;
        if (done <= 0)
            return done < 0 ? errno : ENOSPC;
        bytes += done;
        length -= (size_t)done;
    }
    return fsync(file) == 0 ? 0 : errno;
}

/* Gives the file its name; without --force never that of a file that came to be meanwhile. */
static int put(const char *beside, const char *name, bool force)
{
    if (!force && link(beside, name) == 0)
        return 0;
    if (!force && errno == EEXIST)
        return EEXIST;
    return rename(beside, name) == 0 ? 0 : errno; /* also where there are no links */
}

static bool write_named(arguments *args, const char *bytes, size_t length)
{
    const char *name = name_of(args);
    const size_t size = strlen(name) + sizeof ".XXXXXX";
    char *beside = malloc(size);
    if (!beside)
        return fail(args, ENOMEM);
    snprintf(beside, size, "%s.XXXXXX", name);
    const int file = mkstemp(beside);
    int fault = file >= 0 ? write_all(file, bytes, length) : errno;
    if (file >= 0 && close(file) != 0 && fault == 0)
        fault = errno;
    if (fault == 0)
        fault = put(beside, name, args->options[OPT_FORCE].given);
    if (file >= 0)
        (void)unlink(beside); /* gone already, if it was renamed */
    free(beside);
    if (fault == EEXIST)
        return refuse(args, name_of(args), "is there already; --force replaces it");
    return fault == 0 || fail(args, fault);
}

/* What failed before the last buffer is not told by fflush. */
bool output_is_sound(void)
{
    return fflush(stdout) == 0 && !ferror(stdout);
}

bool output_write(arguments *args, const char *bytes, size_t length)
{
    if (args->options[OPT_OUTPUT].given && strcmp(name_of(args), "-") != 0)
        return write_named(args, bytes, length);
    fwrite(bytes, 1, length, stdout); /* main sees whether all of it could be written */
    return true;
}
