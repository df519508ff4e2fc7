/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * What the library makes of the system's calls on a real file, each of which is interrupted, fails
 * in every way it knows, or does a part of its work (linked with --wrap).
 */
#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>
#include "disk.h"

int __real_open(const char *path, int flags, ...);
int __wrap_open(const char *path, int flags, ...);
ssize_t __real_pread(int file, void *bytes, size_t count, off_t offset);
ssize_t __wrap_pread(int file, void *bytes, size_t count, off_t offset);
ssize_t __real_write(int file, const void *bytes, size_t count);
ssize_t __wrap_write(int file, const void *bytes, size_t count);
int __real_ftruncate(int file, off_t length);
int __wrap_ftruncate(int file, off_t length);
int __real_flock(int file, int operation);
int __wrap_flock(int file, int operation);
int __real_fsync(int file);
int __wrap_fsync(int file);
int __real_fchmod(int file, mode_t mode);
int __wrap_fchmod(int file, mode_t mode);
struct dirent *__real_readdir(DIR *folder);
struct dirent *__wrap_readdir(DIR *folder);

static const char *struck; /* the call that fails, NULL for none ... */
static int number;         /* ... with this errno; 0: it does a part of its work ... */
static long times;         /* ... so many times, and then no more */
static long made;          /* calls of that name since */

static bool strikes(const char *name)
{
    if (!struck || strcmp(struck, name) != 0 || ++made > times)
        return false;
    errno = number;
    return true;
}

int __wrap_open(const char *path, int flags, ...)
{
    va_list values;
    va_start(values, flags);
    const unsigned mode = (flags & O_CREAT) != 0 ? va_arg(values, unsigned) : 0;
    va_end(values);
    return strikes("open") ? -1 : __real_open(path, flags, mode);
}

ssize_t __wrap_pread(int file, void *bytes, size_t count, off_t offset)
{
    if (!strikes("pread"))
        return __real_pread(file, bytes, count, offset);
    return number != 0 ? -1 : __real_pread(file, bytes, count > 1 ? 1 : count, offset);
}

ssize_t __wrap_write(int file, const void *bytes, size_t count)
{
    if (!strikes("write"))
        return __real_write(file, bytes, count);
    return number != 0 ? -1 : __real_write(file, bytes, count / 2);
}

int __wrap_ftruncate(int file, off_t length)
{
    return strikes("ftruncate") ? -1 : __real_ftruncate(file, length);
}

int __wrap_flock(int file, int operation)
{
    return strikes("flock") ? -1 : __real_flock(file, operation);
}

int __wrap_fsync(int file)
{
    return strikes("fsync") ? -1 : __real_fsync(file);
}

int __wrap_fchmod(int file, mode_t mode)
{
    return strikes("fchmod") ? -1 : __real_fchmod(file, mode);
}

struct dirent *__wrap_readdir(DIR *folder)
{
    return strikes("readdir") ? NULL : __real_readdir(folder);
}

/* What the C library calls them where offsets have 64 bits. */
#define ALSO(name) __attribute__((alias("__wrap_" name)))
int __wrap_open64(const char *path, int flags, ...) ALSO("open");
ssize_t __wrap_pread64(int file, void *bytes, size_t count, off_t offset) ALSO("pread");
int __wrap_ftruncate64(int file, off_t length) ALSO("ftruncate");
struct dirent *__wrap_readdir64(DIR *folder) ALSO("readdir");

static const file_calls *const sys = &file_system_calls;
static char dir[64], path[80];
static file_handle file;

static file_fault open_it(void)
{
    file_handle opened;
    const file_fault fault = sys->open(path, FILE_BEGIN, &opened);
    if (!fault)
        sys->close(opened);
    return fault;
}

static file_fault read_it(void)
{
    char bytes[10] = "";
    size_t got = 0;
    const file_fault fault = sys->read(file, bytes, sizeof bytes, 0, &got);
    demand(fault || (got == 6 && memcmp(bytes, "abcdef", 6) == 0), "%zu bytes: %s", got, bytes);
    return fault;
}

/* Leaves six bytes. */
static file_fault append_it(void)
{
    size_t written = 9;
    const file_fault fault = sys->append(file, "ghij", 4, &written);
    demand(written == (fault == FILE_PART ? 2 : fault ? 0 : 4), "%zu written", written);
    demand(__real_ftruncate((int)file, 6) == 0, "ftruncate");
    return fault;
}

static file_fault cut_it(void)
{
    return sys->cut(file, 6);
}

static file_fault lock_it(void)
{
    return sys->try_lock(file, path);
}

static file_fault sync_it(void)
{
    return sys->sync(file);
}

static file_fault sync_its_folder(void)
{
    return sys->sync_folder(dir);
}

/* In a folder of a group's; the file must be open to the group where it says so. */
static file_fault share_it(void)
{
    struct stat about;
    demand(chmod(dir, 02755) == 0 && chmod(path, 0600) == 0, "chmod");
    const file_fault fault = sys->share(file, dir);
    demand(stat(path, &about) == 0, "stat");
    demand(struck || (about.st_mode & 0777) == 0660, "mode %o", (unsigned)about.st_mode);
    return fault;
}

static bool count_names(void *context, const char *name)
{
    *(int *)context += name[0] != '.' ? 1 : 0;
    return true;
}

static file_fault list_it(void)
{
    int names = 0;
    const file_fault fault = sys->list(dir, count_names, &names);
    demand(fault || names == 1, "%d names", names);
    return fault;
}

static void check(const char *name, int error, long count, file_fault (*act)(void),
                  file_fault expected, long calls)
{
    struck = name;
    number = error;
    times = count;
    made = 0;
    const file_fault fault = act();
    demand(fault == expected, "%s, %s, %ld times: %s", name, strerror(error), count,
           fault ? file_reason(fault) : "done");
    demand(calls == 0 || made == calls, "%s: %ld calls", name, made);
    struck = NULL;
}

/* A signal is no reason to fail, unless there is no end of them. */
static void interrupt_all(void)
{
    static const struct {
        const char *name;
        file_fault (*act)(void);
    } rows[] = {{"open", open_it}, {"pread", read_it}, {"write", append_it},
                {"ftruncate", cut_it}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        check(rows[i].name, EINTR, 1, rows[i].act, FILE_OK, 0);
        check(rows[i].name, EINTR, 99, rows[i].act, FILE_OK, 0);
        check(rows[i].name, EINTR, 1000, rows[i].act, FILE_SIGNAL, 100);
    }
    check("flock", EINTR, 1, lock_it, FILE_BUSY, 1); /* is tried again in a while */
    check("fsync", EINTR, 1, sync_it, FILE_SIGNAL, 1); /* is not tried again */
}

static void fail_all(void)
{
    static const struct {
        int number;
        file_fault fault;
    } rows[] = {{EACCES, FILE_NO_PERMISSION}, {EPERM, FILE_NO_PERMISSION}, {ENOENT, FILE_MISSING},
                {ENOSPC, FILE_FULL}, {EDQUOT, FILE_QUOTA}, {EFBIG, FILE_TOO_LARGE},
                {EIO, FILE_BROKEN}, {EROFS, FILE_READ_ONLY}, {EISDIR, FILE_NOT_PLAIN},
                {ENOTDIR, FILE_NO_FOLDER}, {ELOOP, FILE_LINK}, {EMFILE, FILE_TOO_MANY_OPEN},
                {ENFILE, FILE_TOO_MANY_OPEN}, {ENOLCK, FILE_NO_LOCKS}, {EOPNOTSUPP, FILE_NO_LOCKS},
                {EWOULDBLOCK, FILE_BUSY}, {ENOMEM, FILE_NO_MEMORY}, {ENXIO, FILE_REFUSED}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        check("open", rows[i].number, 1, open_it, rows[i].fault, 1);
        check("open", rows[i].number, 1, sync_its_folder, rows[i].fault, 1);
        check("pread", rows[i].number, 1, read_it, rows[i].fault, 1);
        check("write", rows[i].number, 1, append_it, rows[i].fault, 1);
        check("ftruncate", rows[i].number, 1, cut_it, rows[i].fault, 1);
        check("flock", rows[i].number, 1, lock_it, rows[i].fault, 1);
        check("fsync", rows[i].number, 1, sync_it, rows[i].fault, 1);
        check("fsync", rows[i].number, 1, sync_its_folder, rows[i].fault, 1);
        check("readdir", rows[i].number, 1, list_it, rows[i].fault, 1);
        check("fchmod", rows[i].number, 1, share_it,
              rows[i].number == EPERM ? FILE_OK : rows[i].fault, 1); /* another's file is left */
    }
}

static void do_all(void)
{
    check(NULL, 0, 0, open_it, FILE_OK, 0);
    check(NULL, 0, 0, read_it, FILE_OK, 0);
    check(NULL, 0, 0, append_it, FILE_OK, 0);
    check(NULL, 0, 0, cut_it, FILE_OK, 0);
    check(NULL, 0, 0, lock_it, FILE_OK, 0);
    check(NULL, 0, 0, sync_it, FILE_OK, 0);
    check(NULL, 0, 0, sync_its_folder, FILE_OK, 0);
    check(NULL, 0, 0, share_it, FILE_OK, 0);
    check(NULL, 0, 0, list_it, FILE_OK, 0);
    check("pread", 0, 1, read_it, FILE_OK, 0);    /* a byte, and on the next call the rest */
    check("pread", 0, 1000, read_it, FILE_OK, 7); /* byte by byte to the end */
    check("write", 0, 1, append_it, FILE_PART, 1);
}

static bool no_room(void *context, const char *name)
{
    (void)context, (void)name;
    return false;
}

int main(void)
{
    strcpy(dir, "/tmp/reseat-faults-XXXXXX");
    demand(mkdtemp(dir), "mkdtemp");
    snprintf(path, sizeof path, "%s/mill-1.jsonl", dir);
    uint64_t length = 0;
    size_t written = 0;
    demand(sys->open(path, FILE_APPEND, &file) == FILE_MISSING, "open");
    demand(sys->open(path, FILE_BEGIN, &file) == FILE_OK, "begin");
    demand(sys->append(file, "abcdef", 6, &written) == FILE_OK && written == 6, "append");
    demand(sys->about(file, &length) == FILE_OK && length == 6, "about");
    demand(sys->folder(dir) == FILE_OK && sys->folder(path) == FILE_NO_FOLDER, "folder");
    demand(sys->folder("/tmp/none/there") == FILE_MISSING, "folder");
    demand(sys->list(dir, no_room, NULL) == FILE_NO_MEMORY, "list");
    demand(sys->list(path, no_room, NULL) == FILE_NO_FOLDER, "list");
    do_all();
    interrupt_all();
    fail_all();
    sys->close(file);
    demand(unlink(path) == 0 && rmdir(dir) == 0, "remove");
    return 0;
}
