/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * What a machine that goes down in the middle of an append may leave of the bytes that were not
 * yet synced: any beginning of them, the rest missing, zeros or garbage. Twice in a row, as the
 * next append, which seals that off, may meet the same. Then the log must go on: all that was
 * acknowledged stands there byte for byte and in order, and every byte is sound or sealed off.
 */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "log/file.h"
#include "scenarios.h"

typedef enum rest {
    REST_MISSING, REST_ZEROS, REST_GARBAGE, REST_COUNT
} rest;

static uint64_t seed;
static long images, like_records;

/* An append that was on its way: what was on the disk, and what was written but not synced. */
typedef struct unsynced {
    char *bytes;
    size_t old_length;
    size_t length;
} unsynced;

/* Makes the append that the crash interrupts, without its acknowledgement. */
static unsynced append_unsynced(reseat_record *record, bool *refused)
{
    const reseat_append how = {.begin = true};
    reseat_error error;
    unsynced made = {.old_length = disk.there ? disk.length : 0};
    disk_reset_calls();
    const reseat_status status = log_append(&disk_calls, DISK_DIR, DISK_NAME, record, &how, NULL,
                                            &error);
    reseat_record_free(record);
    *refused = status == RESEAT_ERR_DAMAGED;
    demand(status == RESEAT_OK || *refused, "%s", error.text);
    made.length = disk.length;
    made.bytes = malloc(made.length + 1);
    demand(made.bytes != NULL, "out of memory in the test itself");
    memcpy(made.bytes, disk.bytes, made.length);
    return made;
}

/* Puts on the disk what the crash left: the first `kept` of the bytes not synced, and the rest. */
static void crash(const unsynced *made, size_t kept, rest how)
{
    char *left = malloc(made->length + 1);
    demand(left != NULL, "out of memory in the test itself");
    memcpy(left, made->bytes, made->length);
    for (size_t i = made->old_length + kept; i < made->length; i++)
        left[i] = how == REST_ZEROS ? '\0' : (char)next_random(&seed);
    disk_put(left, how == REST_MISSING ? made->old_length + kept : made->length);
    free(left);
    images++;
}

/*
 * Garbage may happen to end a line as records do, or stand behind a record of which the LF alone is
 * missing, or for its brace with an LF behind; then refusing is right.
 */
static bool looks_like_records(size_t from, size_t garbage)
{
    for (size_t i = garbage < 2 ? 0 : garbage - 2; i <= garbage && i + 2 < disk.length; i++)
        if (memcmp(disk.bytes + i, "\"}", 2) == 0)
            return true;
    if (garbage >= 1 && garbage + 1 < disk.length && disk.bytes[garbage - 1] == '"' &&
        disk.bytes[garbage + 1] == '\n')
        return true;
    for (size_t i = from; i + 1 < disk.length; i++)
        if (memcmp(disk.bytes + i, "\"}", 2) == 0 &&
            (i + 2 == disk.length || disk.bytes[i + 2] == '\n'))
            return true;
    return false;
}

static void check_end(const char *acknowledged, size_t length, const char *about)
{
    reseat_audit found;
    const size_t before = disk.length;
    char states[512];
    disk_append(record_run(0.009));
    demand(memcmp(disk.bytes, acknowledged, length) == 0 && disk.length > before,
           "%s: what was acknowledged is not as it was", about);
    demand(log_audit(&disk_calls, DISK_DIR, DISK_NAME, NULL, NULL, NULL, &found, NULL) == RESEAT_OK,
           "%s: no audit", about);
    demand(found.whole, "%s: %" PRIu64 " bad lines", about, found.bad);
    demand(read_states(states, sizeof states) == RESEAT_OK, "%s: %s", about, act_error.text);
    demand(states[strlen(states) - 1] == 'S', "%s: the last record is not sound", about);
}

/* After a crash that left `garbage` as the first of the bytes that were not written. */
static void crash_again(const char *acknowledged, size_t length, size_t garbage, size_t samples,
                        const char *about)
{
    bool refused = false;
    const size_t here = disk.length;
    const unsynced second = append_unsynced(record_run(0.006), &refused);
    if (refused) {
        demand(looks_like_records(length, garbage), "%s: refused without a reason", about);
        like_records++;
        free(second.bytes);
        return;
    }
    const size_t count = second.length - here;
    for (size_t i = 0; i < samples; i++) {
        char twice[160];
        const size_t kept = samples > count ? i % (count + 1)
                                            : (size_t)(next_random(&seed) % (count + 1));
        const rest how = (rest)(next_random(&seed) % REST_COUNT);
        crash(&second, kept, how);
        snprintf(twice, sizeof twice, "%s, then %zu of %zu kept, rest %d", about, kept, count, how);
        if (looks_like_records(here + kept, here + kept) && how == REST_GARBAGE) {
            like_records++;
            continue;
        }
        check_end(acknowledged, length, twice);
    }
    free(second.bytes);
}

/* Every beginning of the bytes of one append, every kind of rest, and second crashes for each. */
static void crash_everywhere(const char *name, reseat_record *record, size_t samples)
{
    bool refused = false;
    const long before = images;
    const unsynced first = append_unsynced(record, &refused);
    demand(!refused, "%s: refused", name);
    const size_t count = first.length - first.old_length;
    demand(count > 0, "%s: nothing was written", name);
    for (size_t kept = 0; kept <= count; kept++)
        for (int how = 0; how < REST_COUNT; how++) {
            char about[96];
            crash(&first, kept, (rest)how);
            snprintf(about, sizeof about, "%s: %zu of %zu kept, rest %d", name, kept, count, how);
            crash_again(first.bytes, first.old_length, first.old_length + kept, samples, about);
        }
    printf("%s: %zu bytes, %ld images\n", name, count, images - before);
    free(first.bytes);
}

static void put_torn(void)
{
    disk_append(record_run(0.003));
    disk_append(record_run(0.004));
    disk_put_more(0, "{\"v\":1,\"seq\":3,\"type\":\"ru");
}

int main(int argc, char **argv)
{
    const unsigned long samples = argc > 1 ? strtoul(argv[1], NULL, 10)
                                           : (unsigned long)faults_seconds();
    seed = argc > 2 ? strtoull(argv[2], NULL, 10) : 1;
    printf("seed %" PRIu64 ", %lu second crashes a first one\n", seed, samples);
    demand(samples > 0 && seed > 0, "use: crash_faults [SECOND-CRASHES [SEED]]");
    disk_put(NULL, 0);
    crash_everywhere("begin a log", record_run(0.005), samples);
    disk_put(NULL, 0);
    disk_append(record_run(0.004));
    crash_everywhere("append", record_run(0.005), samples);
    disk_put(NULL, 0);
    put_torn();
    crash_everywhere("append below a torn line", record_run(0.005), samples);
    disk_put(NULL, 0);
    put_torn();
    disk_append(record_run(0.005));
    disk_put_more(0, "{\"v\":1,\"seq\":5,\"type\":\"ru");
    crash_everywhere("repair", record_repair(), samples); /* two pieces */
    printf("%ld images, %ld with garbage that ends as records do\n", images, like_records);
    return 0;
}
