/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What the threads do: each job notes all that it was told, so that two doings can be compared. */
#ifndef RESEAT_TESTS_THREADS_JOBS_H
#define RESEAT_TESTS_THREADS_JOBS_H

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <reseat/reseat.h>

#define demand(condition) \
    do { \
        if (!(condition)) { \
            fprintf(stderr, "%s:%d: not so: %s\n", __FILE__, __LINE__, #condition); \
            abort(); \
        } \
    } while (0)

/* A hash (FNV-1a) of what was noted. */
typedef struct notes {
    uint64_t hash;
} notes;

static inline void note_bytes(notes *n, const void *bytes, size_t count)
{
    const unsigned char *byte = bytes;
    for (size_t i = 0; i < count; i++)
        n->hash = (n->hash ^ byte[i]) * 0x100000001b3u;
}

static inline void note_number(notes *n, double value)
{
    note_bytes(n, &value, sizeof value);
}

static inline void note_text(notes *n, const char *text)
{
    note_bytes(n, text, strlen(text) + 1);
}

static inline void note_count(notes *n, uint64_t value)
{
    note_bytes(n, &value, sizeof value);
}

static inline void note_xy(notes *n, reseat_xy value)
{
    note_number(n, value.x);
    note_number(n, value.y);
}

/* What all threads read and none writes. */
typedef struct shared {
    const char *logs_dir;  /* logs that nobody appends to */
    char *touches;
    char *seatings;
    char *results;
} shared;

typedef struct job {
    const char *name;
    void (*do_it)(const shared *s, notes *n);
} job;

void do_texts(const shared *s, notes *n);
void do_statistics(const shared *s, notes *n);
void do_plane(const shared *s, notes *n);
void do_names(const shared *s, notes *n);
void do_radius(const shared *s, notes *n);
void do_reduction(const shared *s, notes *n);
void do_study(const shared *s, notes *n);
void do_verdict(const shared *s, notes *n);
void do_features(const shared *s, notes *n);
void do_find_seat(const shared *s, notes *n);
void do_correction(const shared *s, notes *n);
void do_record(const shared *s, notes *n);
void do_log(const shared *s, notes *n);
void do_drift(const shared *s, notes *n);
void do_state(const shared *s, notes *n);

#endif
