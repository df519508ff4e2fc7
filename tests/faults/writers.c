/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Four processes append to one log on a real disk and are killed (SIGKILL) at random moments, for
 * as many seconds as asked for; before that, pairs of processes begin new logs at the same time.
 * Every record that was acknowledged must stand in the log byte for byte and in order.
 */
#include <dirent.h>
#include <fcntl.h>
#include <inttypes.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>
#include "disk.h"

#define WRITERS 4
#define PAIRS 50

static char dir[64];
static uint64_t seed;

static const char *path_of(const char *name, const char *ending)
{
    static char path[512];
    const int length = snprintf(path, sizeof path, "%s/%s%s", dir, name, ending);
    demand(length > 0 && (size_t)length < sizeof path, "a long name: %s", name);
    return path;
}

/* Appends a run; then, the promise being given, puts its line into the file of acknowledgements. */
static void append_and_acknowledge(const char *name, int acknowledgements, double x_mm)
{
    const reseat_append how = {.begin = true};
    reseat_error error;
    size_t length = 0;
    char line[1024];
    reseat_record *record = record_run(x_mm);
    const reseat_status status = reseat_log_append(dir, name, record, &how, NULL, &error);
    demand(status == RESEAT_OK || status == RESEAT_ERR_BUSY, "%s", error.text);
    const char *text = reseat_record_line(record, &length);
    demand(length + 1 < sizeof line, "a long line");
    if (status == RESEAT_OK) {
        memcpy(line, text, length);
        line[length] = '\n';
        demand(write(acknowledgements, line, length + 1) == (ssize_t)(length + 1), "acknowledge");
    }
    reseat_record_free(record);
}

static int open_acknowledgements(const char *name, int writer)
{
    char ending[32];
    snprintf(ending, sizeof ending, ".%d", writer);
    const int file = open(path_of(name, ending), O_WRONLY | O_CREAT | O_APPEND, 0600);
    demand(file >= 0, "cannot open %s", path_of(name, ending));
    return file;
}

static pid_t start_writer(const char *name, int writer, bool once)
{
    const pid_t process = fork();
    demand(process >= 0, "fork");
    if (process != 0)
        return process;
    const int file = open_acknowledgements(name, writer);
    for (int i = 0; i == 0 || !once; i++)
        append_and_acknowledge(name, file, 0.001 * writer + 1e-7 * i);
    _exit(EXIT_SUCCESS);
}

/* All lines of a file, each ending where its LF stood. */
static char *read_lines(const char *path, size_t *length)
{
    struct stat about;
    demand(stat(path, &about) == 0, "stat %s", path);
    char *bytes = malloc((size_t)about.st_size + 1);
    const int file = open(path, O_RDONLY);
    demand(bytes != NULL && file >= 0 && read(file, bytes, (size_t)about.st_size) == about.st_size,
           "read %s", path);
    close(file);
    *length = (size_t)about.st_size;
    bytes[*length] = '\0';
    return bytes;
}

/*
 * Each acknowledged line must be found in the log behind the one before it; what a killed writer
 * left of its last acknowledgement was none. Returns how many there were.
 */
static long check_acknowledged(const char *name, const char *log, int writer)
{
    char ending[32];
    size_t length = 0;
    long count = 0;
    snprintf(ending, sizeof ending, ".%d", writer);
    char *bytes = read_lines(path_of(name, ending), &length);
    const char *from = log;
    for (char *line = bytes, *lf; (lf = strchr(line, '\n')) != NULL; line = lf + 1, count++) {
        char wanted[1026];
        snprintf(wanted, sizeof wanted, "\n%.*s", (int)(lf + 1 - line), line);
        const char *at = strstr(from, wanted);
        demand(at != NULL, "lost: %s", wanted + 1);
        from = at + strlen(wanted) - 1;
    }
    free(bytes);
    return count;
}

static void take_bad(void *context, const reseat_log_bad *bad)
{
    (void)context;
    fprintf(stderr, "line %" PRIu64 ": %s\n", bad->line, bad->what);
}

static reseat_audit audit_of(const char *name)
{
    reseat_audit audit;
    reseat_error error;
    demand(reseat_log_audit(dir, name, NULL, take_bad, NULL, &audit, &error) == RESEAT_OK, "%s",
           error.text);
    return audit;
}

static void wait_for(pid_t process, bool killed)
{
    int how = 0;
    demand(waitpid(process, &how, 0) == process, "waitpid");
    demand(WIFEXITED(how) ? WEXITSTATUS(how) == EXIT_SUCCESS : killed, "a writer failed");
}

static void check_log(const char *name, int writers, long *acknowledged, reseat_audit *audit)
{
    size_t length = 0;
    char *log = read_lines(path_of(name, ".jsonl"), &length);
    for (int i = 0; i < writers; i++)
        *acknowledged += check_acknowledged(name, log, i);
    free(log);
    *audit = audit_of(name);
}

static void let_pairs_begin(void)
{
    long acknowledged = 0;
    for (int i = 0; i < PAIRS; i++) {
        char name[32];
        reseat_audit audit;
        snprintf(name, sizeof name, "new-%d", i);
        const pid_t first = start_writer(name, 0, true), second = start_writer(name, 1, true);
        wait_for(first, false);
        wait_for(second, false);
        check_log(name, 2, &acknowledged, &audit);
        demand(audit.whole && audit.records == 3, "%s: %" PRIu64 " records", name, audit.records);
    }
    demand(acknowledged == 2 * PAIRS, "%ld acknowledged", acknowledged);
    printf("%d logs begun by two at once: %ld records acknowledged, all there\n", PAIRS,
           acknowledged);
}

static void kill_writers(double seconds)
{
    static const char name[] = "mill-2";
    pid_t writers[WRITERS];
    long kills = 0, acknowledged = 0;
    reseat_audit audit;
    const time_t end = time(NULL) + (time_t)seconds;
    for (int i = 0; i < WRITERS; i++)
        writers[i] = start_writer(name, i, false);
    while (time(NULL) < end) {
        const struct timespec pause = {0, (long)(next_random(&seed) % 20000000)};
        const int victim = (int)(next_random(&seed) % WRITERS);
        nanosleep(&pause, NULL);
        kill(writers[victim], SIGKILL);
        wait_for(writers[victim], true);
        writers[victim] = start_writer(name, victim, false);
        kills++;
    }
    for (int i = 0; i < WRITERS; i++) {
        kill(writers[i], SIGKILL);
        wait_for(writers[i], true);
    }
    const int file = open_acknowledgements(name, 0);
    append_and_acknowledge(name, file, 0.9); /* seals off what the last kill may have left */
    close(file);
    check_log(name, WRITERS, &acknowledged, &audit);
    demand(audit.whole, "%" PRIu64 " bad lines", audit.bad);
    demand(kills > 0 && acknowledged > kills / 10, "%ld kills, %ld acknowledged", kills,
           acknowledged); /* else they died before they wrote, and nothing was tried */
    printf("%d writers, %ld kills: %ld records acknowledged, all there; ", WRITERS, kills,
           acknowledged);
    printf("%" PRIu64 " records, %" PRIu64 " lines sealed off\n", audit.records, audit.sealed_off);
}

static void remove_folder(void)
{
    DIR *folder = opendir(dir);
    for (const struct dirent *entry; folder != NULL && (entry = readdir(folder)) != NULL;)
        unlink(path_of(entry->d_name, ""));
    if (folder != NULL)
        closedir(folder);
    rmdir(dir);
}

int main(int argc, char **argv)
{
    const double seconds = argc > 1 ? strtod(argv[1], NULL) : faults_seconds();
    seed = argc > 2 ? strtoull(argv[2], NULL, 10) : (uint64_t)time(NULL);
    demand(seconds > 0 && seed > 0, "use: writers_faults [SECONDS [SEED]]");
    printf("seed %" PRIu64 ", %.0f seconds\n", seed, seconds);
    fflush(stdout);
    strcpy(dir, "/tmp/reseat-faults-XXXXXX");
    demand(mkdtemp(dir) != NULL, "mkdtemp");
    let_pairs_begin();
    fflush(stdout);
    kill_writers(seconds);
    remove_folder();
    return 0;
}
