/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * append_bench COUNT: durable appends within one process. By turns, COUNT times: reseat_log_append;
 * the line it wrote last by open, write, fsync and close to a bare file; and, where SQLite is
 * there, the same line by a prepared INSERT, one transaction each, synchronous = FULL, to a
 * database with a rollback journal and to one with a write-ahead log. Prints ratios of medians.
 *
 * Works in a new folder of $TMPDIR, else /var/tmp: on a disk, where fsync means something.
 */

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>
#include "reseat/reseat.h"

#if HAVE_SQLITE
#include <sqlite3.h>
#endif

#define PATH_SIZE 512

typedef struct line {
    const char *text; /* with LF */
    size_t length;
} line;

static char folder[PATH_SIZE / 2];

static void insist(int held, const char *what)
{
    if (held)
        return;
    fprintf(stderr, "append_bench: %s failed\n", what);
    exit(1);
}

static const char *path(const char *name)
{
    static char text[PATH_SIZE];
    snprintf(text, sizeof text, "%s/%s", folder, name);
    return text;
}

static double seconds_now(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* Makes and appends a record; the line written, until the next call. */
static line append_ours(void)
{
    static char text[RESEAT_RECORD_LINE_MAX + 1];
    static const reseat_append how = {.begin = true};
    reseat_record *record = NULL;
    size_t length = 0;
    insist(reseat_record_new(RESEAT_RECORD_RESEAT, &record) == RESEAT_OK &&
               reseat_record_set_text(record, RESEAT_FIELD_PROBE, "P1", NULL) == RESEAT_OK &&
               reseat_record_set_number(record, RESEAT_FIELD_SEAT_DEG, 0, NULL) == RESEAT_OK &&
               reseat_record_set_text(record, RESEAT_FIELD_WHY, "battery", NULL) == RESEAT_OK &&
               reseat_log_append(folder, "mill-1", record, &how, NULL, NULL) == RESEAT_OK,
           "appending a record");
    memcpy(text, reseat_record_line(record, &length), length);
    text[length] = '\n';
    reseat_record_free(record);
    return (line){text, length + 1};
}

static void append_bare(const line *l)
{
    const int file = open(path("bare"), O_WRONLY | O_APPEND | O_CREAT | O_CLOEXEC, 0664);
    insist(file >= 0 && write(file, l->text, l->length) == (ssize_t)l->length &&
               fsync(file) == 0 && close(file) == 0,
           "appending to a bare file");
}

#if HAVE_SQLITE
typedef struct database {
    sqlite3 *connection;
    sqlite3_stmt *insert;
} database;

static database open_database(const char *name, const char *mode)
{
    char setup[128];
    database d = {NULL, NULL};
    snprintf(setup, sizeof setup, "PRAGMA journal_mode = %s; PRAGMA synchronous = FULL;"
             "CREATE TABLE records (line TEXT NOT NULL)", mode);
    insist(sqlite3_open(path(name), &d.connection) == SQLITE_OK &&
               sqlite3_exec(d.connection, setup, NULL, NULL, NULL) == SQLITE_OK &&
               sqlite3_prepare_v2(d.connection, "INSERT INTO records VALUES (?)", -1, &d.insert,
                                  NULL) == SQLITE_OK,
           "setting up a database");
    return d;
}

static void append_row(const database *d, const line *l)
{
    insist(sqlite3_bind_text(d->insert, 1, l->text, (int)l->length - 1, SQLITE_STATIC) ==
                   SQLITE_OK &&
               sqlite3_step(d->insert) == SQLITE_DONE && sqlite3_reset(d->insert) == SQLITE_OK,
           "inserting a row");
}

static void close_database(const database *d, int64_t rows)
{
    sqlite3_stmt *count = NULL;
    insist(sqlite3_prepare_v2(d->connection, "SELECT count(*) FROM records", -1, &count, NULL) ==
                   SQLITE_OK &&
               sqlite3_step(count) == SQLITE_ROW && sqlite3_column_int64(count, 0) == rows,
           "counting the rows");
    sqlite3_finalize(count);
    sqlite3_finalize(d->insert);
    sqlite3_close(d->connection);
}
#else
typedef struct database {
    char nothing;
} database;

static database open_database(const char *name, const char *mode)
{
    (void)name;
    (void)mode;
    return (database){0};
}

static void append_row(const database *d, const line *l)
{
    (void)d;
    (void)l;
}

static void close_database(const database *d, int64_t rows)
{
    (void)d;
    (void)rows;
}
#endif

static int compare(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *times, size_t count)
{
    qsort(times, count, sizeof *times, compare);
    return times[count / 2];
}

static void say(const char *peer, const char *aim, double ours, double *times, size_t count)
{
    const double theirs = median(times, count);
    printf("append within a process against %s: %.2f times its peer (aim %s; %zu each, medians "
           "%.3f and %.3f ms)\n", peer, ours / theirs, aim, count, 1e3 * ours, 1e3 * theirs);
}

enum { OURS, BARE, JOURNAL, AHEAD, WAYS };

/* What one way of them takes to append the line, which ours makes anew. */
static double time_one(int way, line *l, const database *journal, const database *ahead)
{
    const double start = seconds_now();
    if (way == OURS)
        *l = append_ours();
    else if (way == BARE)
        append_bare(l);
    else
        append_row(way == JOURNAL ? journal : ahead, l);
    return seconds_now() - start;
}

/* Each round begins with another way: what one leaves to the disk may hold up the next. */
static void measure(double *const times[WAYS], size_t count)
{
    const database journal = open_database("journal.db", "DELETE");
    const database ahead = open_database("ahead.db", "WAL");
    line l = append_ours();
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < WAYS; k++) {
            const size_t way = (i + k) % WAYS;
            times[way][i] = time_one((int)way, &l, &journal, &ahead);
        }
    close_database(&journal, (int64_t)count);
    close_database(&ahead, (int64_t)count);
}

static void compare_all(size_t count)
{
    double *times[WAYS];
    for (size_t k = 0; k < WAYS; k++)
        insist((times[k] = calloc(count, sizeof *times[k])) != NULL, "allocating");
    measure(times, count);
    const double ours = median(times[OURS], count);
    say("open, write, fsync, close", "1.1", ours, times[BARE], count);
    if (HAVE_SQLITE) {
        say("SQLite, rollback journal", "below 1", ours, times[JOURNAL], count);
        say("SQLite, write-ahead log", "below 1", ours, times[AHEAD], count);
    } else {
        printf("append within a process against SQLite: left out, it is not here\n");
    }
    for (size_t k = 0; k < WAYS; k++)
        free(times[k]);
}

/* Every byte is sound, and not one record more or less than was appended. */
static void audit(size_t count)
{
    reseat_audit found;
    insist(reseat_log_audit(folder, "mill-1", NULL, NULL, NULL, &found, NULL) == RESEAT_OK &&
               found.whole && found.records == count + 2, /* the first, and one before measuring */
           "the audit");
}

int main(int argc, char **argv)
{
    static const char *const left[] = {"mill-1.jsonl", "bare", "journal.db", "ahead.db"};
    const char *base = getenv("TMPDIR");
    const int count = argc == 2 ? atoi(argv[1]) : 0;
    if (count < 1) {
        fprintf(stderr, "use: append_bench COUNT\n");
        return 2;
    }
    snprintf(folder, sizeof folder, "%s/reseat-bench-XXXXXX",
             base != NULL && base[0] != '\0' ? base : "/var/tmp");
    insist(mkdtemp(folder) != NULL, "making a folder");
    compare_all((size_t)count);
    audit((size_t)count);
    for (size_t i = 0; i < sizeof left / sizeof left[0]; i++)
        unlink(path(left[i]));
    rmdir(folder);
    return 0;
}
