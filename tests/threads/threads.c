/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Eight threads at once use every kind of public function, each job in another order, and are told
 * what one thread alone is told; then two of them append to one log while the others read it.
 * Meant to run under the thread sanitizer. RESEAT_TEST_SAMPLES and RESEAT_TEST_DATA say where the
 * files are.
 */
#include <inttypes.h>
#include <pthread.h>
#include <stdatomic.h>
#include <unistd.h>
#include "jobs.h"
#include "log/file.h"

#define THREADS 8
#define WRITERS 2
#define ROUNDS 3
#define APPENDED 40 /* by each writer */

static const job jobs[] = {
    {"texts", do_texts},         {"statistics", do_statistics}, {"plane", do_plane},
    {"names", do_names},         {"radius", do_radius},         {"reduction", do_reduction},
    {"study", do_study},         {"verdict", do_verdict},       {"features", do_features},
    {"find seat", do_find_seat}, {"correction", do_correction}, {"record", do_record},
    {"log", do_log},             {"drift", do_drift},           {"state", do_state},
};
#define JOBS (sizeof jobs / sizeof jobs[0])

typedef struct thread {
    const shared *s;
    size_t number;
    pthread_barrier_t *begin;
    atomic_uint *writing;    /* writers at work */
    const char *dir;         /* of the log that is appended to */
    uint64_t told[JOBS];     /* in the last round */
    size_t reads;
} thread;

static uint64_t do_job(size_t index, const shared *s)
{
    notes n = {0xcbf29ce484222325u};
    jobs[index].do_it(s, &n);
    return n.hash;
}

static void *do_all(void *context)
{
    thread *t = context;
    pthread_barrier_wait(t->begin);
    for (size_t i = 0; i < ROUNDS * JOBS; i++) {
        const size_t index = (i + t->number * 2) % JOBS;
        const uint64_t told = do_job(index, t->s);
        demand(i < JOBS || told == t->told[index]);
        t->told[index] = told;
    }
    return NULL;
}

static void append(const char *dir, double x_mm)
{
    reseat_record *record = NULL;
    const reseat_append how = {.begin = true};
    reseat_error error = {0};
    demand(reseat_record_new(RESEAT_RECORD_RUN, &record) == RESEAT_OK);
    demand(reseat_record_set_text(record, RESEAT_FIELD_PROBE, "P1", NULL) == RESEAT_OK);
    demand(reseat_record_set_number(record, RESEAT_FIELD_SEAT_DEG, 0, NULL) == RESEAT_OK);
    demand(reseat_record_set_number(record, RESEAT_FIELD_OFFSET_X_MM, x_mm, NULL) == RESEAT_OK);
    demand(reseat_record_set_number(record, RESEAT_FIELD_OFFSET_Y_MM, 0, NULL) == RESEAT_OK);
    const reseat_status status = reseat_log_append(dir, "mill-1", record, &how, NULL, &error);
    if (status != RESEAT_OK)
        fprintf(stderr, "%s\n", error.text);
    demand(status == RESEAT_OK);
    reseat_record_free(record);
}

/*
 * Has a record checked against the log that others write to. A dry run takes no lock, so that a run
 * of a later second may come in between: the record is of an earlier time, and said to be.
 */
static void enter(const char *dir)
{
    reseat_record *record = NULL;
    reseat_recorded recorded;
    const reseat_seat unknown = {.kind = RESEAT_SEAT_UNKNOWN};
    const reseat_record_request request = {.dir = dir, .spindle = "mill-1", .late = true,
                                           .append = {.dry_run = true}};
    demand(reseat_record_new(RESEAT_RECORD_RESEAT, &record) == RESEAT_OK);
    demand(reseat_record_set_text(record, RESEAT_FIELD_PROBE, "P1", NULL) == RESEAT_OK);
    demand(reseat_record_set_seat(record, &unknown, NULL) == RESEAT_OK);
    demand(reseat_record_set_integer(record, RESEAT_FIELD_AT, 1577836800, NULL) == RESEAT_OK);
    demand(reseat_record_enter(&request, record, &recorded, NULL) == RESEAT_OK);
    demand(!recorded.new_probe);
    reseat_record_free(record);
}

/* The register, which a gauge is added to before threads ask for it. */
static void add_gauge(const char *dir)
{
    reseat_record *record = NULL;
    reseat_recorded recorded;
    const reseat_record_request request = {.dir = dir, .spindle = RESEAT_LOG_GAUGES, .begin = true};
    demand(reseat_record_new(RESEAT_RECORD_GAUGE, &record) == RESEAT_OK);
    demand(reseat_record_set_text(record, RESEAT_FIELD_GAUGE_ID, "R50", NULL) == RESEAT_OK);
    demand(reseat_record_set_text(record, RESEAT_FIELD_GAUGE, "ring", NULL) == RESEAT_OK);
    demand(reseat_record_set_number(record, RESEAT_FIELD_GAUGE_DIAMETER_MM, 50, NULL) ==
           RESEAT_OK);
    demand(reseat_record_enter(&request, record, &recorded, NULL) == RESEAT_OK);
    reseat_record_free(record);
}

static void ask_gauge(const char *dir)
{
    const reseat_gauge_entry *gauges;
    size_t count = 0;
    uint64_t bad_lines = 0;
    reseat_state_request query = {.dir = dir, .as_of = INT32_MAX};
    reseat_record *record = NULL;
    reseat_gauge_standing standing;
    demand(reseat_folder_open(dir, &query.folder) == RESEAT_OK);
    demand(reseat_folder_gauges(&query, NULL, &gauges, &count, &bad_lines, NULL) == RESEAT_OK);
    demand(count == 1 && bad_lines == 0 && !gauges[0].overdue);
    reseat_folder_close(query.folder);
    demand(reseat_record_new(RESEAT_RECORD_RUN, &record) == RESEAT_OK);
    demand(reseat_record_set_text(record, RESEAT_FIELD_GAUGE_ID, "R50", NULL) == RESEAT_OK);
    demand(reseat_gauge_fill(&query, record, &standing, NULL) == RESEAT_OK);
    demand(standing == RESEAT_GAUGE_CERTIFIED);
    demand(reseat_record_number(record, RESEAT_FIELD_GAUGE_DIAMETER_MM, 0) > 49);
    reseat_record_free(record);
}

/* How many sound lines there are; there are no others. */
static uint64_t read_whole(const char *dir)
{
    log_reader *log = NULL;
    reseat_log_line line;
    uint64_t count = 0;
    demand(log_open(&file_system_calls, dir, "mill-1", &log, NULL) == RESEAT_OK);
    while (log_next(log, &line, NULL) == RESEAT_OK && line.state == RESEAT_LINE_SOUND)
        count++;
    demand(line.state == RESEAT_LINE_NONE);
    log_close(log);
    return count;
}

static void read_state(const char *dir)
{
    const reseat_state_request query = {.dir = dir, .spindle = "mill-1", .as_of = INT32_MAX};
    reseat_state probe_state;
    reseat_audit audit;
    demand(reseat_state_read(&query, &probe_state, NULL) == RESEAT_OK);
    demand(probe_state.run && probe_state.bad_lines == 0);
    reseat_state_free(&probe_state);
    demand(reseat_log_audit(dir, "mill-1", NULL, NULL, NULL, &audit, NULL) == RESEAT_OK);
    demand(audit.whole);
}

static void *append_or_read(void *context)
{
    thread *t = context;
    uint64_t count = 0;
    pthread_barrier_wait(t->begin);
    if (t->number < WRITERS) {
        for (int i = 0; i < APPENDED; i++)
            append(t->dir, 0.001 * i);
        atomic_fetch_sub(t->writing, 1);
        return NULL;
    }
    do {
        const uint64_t now = read_whole(t->dir);
        demand(now >= count);
        count = now;
        read_state(t->dir);
        enter(t->dir);
        ask_gauge(t->dir);
        t->reads++;
    } while (atomic_load(t->writing) > 0);
    return NULL;
}

static void run(thread *threads, void *(*what)(void *))
{
    pthread_t ids[THREADS];
    for (size_t i = 0; i < THREADS; i++)
        demand(pthread_create(&ids[i], NULL, what, &threads[i]) == 0);
    for (size_t i = 0; i < THREADS; i++)
        demand(pthread_join(ids[i], NULL) == 0);
}

static size_t compare(const thread *threads, const uint64_t *alone)
{
    size_t failed = 0;
    for (size_t k = 0; k < JOBS; k++) {
        size_t differ = 0;
        for (size_t i = 0; i < THREADS; i++)
            differ += threads[i].told[k] != alone[k];
        printf("%sok %zu - %s: eight threads are told what one is\n", differ ? "not " : "", k + 1,
               jobs[k].name);
        failed += differ > 0;
    }
    return failed;
}

/* A file of the samples; to be freed. */
static char *load(const char *name)
{
    char path[1024];
    char *bytes = calloc(1, 65536);
    snprintf(path, sizeof path, "%s/%s", getenv("RESEAT_TEST_SAMPLES"), name);
    FILE *file = fopen(path, "rb");
    demand(bytes && file && fread(bytes, 1, 65535, file) > 0);
    fclose(file);
    return bytes;
}

static bool append_and_read(thread *threads, const char *dir)
{
    size_t reads = 0;
    char path[64];
    append(dir, 0);
    add_gauge(dir);
    run(threads, append_or_read);
    const uint64_t count = read_whole(dir);
    for (size_t i = WRITERS; i < THREADS; i++)
        reads += threads[i].reads;
    printf("# %zu readings of a log while it grew to %" PRIu64 " lines\n", reads, count);
    snprintf(path, sizeof path, "%s/mill-1.jsonl", dir);
    demand(remove(path) == 0);
    snprintf(path, sizeof path, "%s/" RESEAT_LOG_GAUGES ".jsonl", dir);
    demand(remove(path) == 0 && rmdir(dir) == 0);
    return count == 2 + WRITERS * APPENDED; /* the log's own record, and the first run */
}

int main(void)
{
    char dir[] = "/tmp/reseat-threads-XXXXXX", logs[1024];
    demand(getenv("RESEAT_TEST_SAMPLES") && getenv("RESEAT_TEST_DATA") && mkdtemp(dir));
    snprintf(logs, sizeof logs, "%s/drift", getenv("RESEAT_TEST_DATA"));
    const shared s = {logs, load("touches.csv"), load("reseats.csv"), load("results.csv")};
    uint64_t alone[JOBS];
    pthread_barrier_t begin;
    atomic_uint writing = WRITERS;
    thread threads[THREADS];
    for (size_t k = 0; k < JOBS; k++)
        alone[k] = do_job(k, &s);
    demand(pthread_barrier_init(&begin, NULL, THREADS) == 0);
    for (size_t i = 0; i < THREADS; i++)
        threads[i] = (thread){&s, i, &begin, &writing, dir, {0}, 0};

    run(threads, do_all);
    size_t failed = compare(threads, alone);
    const bool whole = append_and_read(threads, dir);
    printf("%sok %zu - a log that two threads append to is whole for six that read it\n",
           whole ? "" : "not ", JOBS + 1);
    printf("1..%zu\n", JOBS + 1);
    pthread_barrier_destroy(&begin);
    free(s.touches);
    free(s.seatings);
    free(s.results);
    return failed > 0 || !whole;
}
