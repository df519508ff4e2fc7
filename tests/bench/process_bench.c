/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * process_bench NAME AIM COUNT COMMAND... -- PEER...
 *
 * Runs the two commands by turns, COUNT times each, output thrown away, and prints the ratio of
 * the medians of their times: `NAME: 1.21 times its peer (aim 1.5)`.
 */

#include <fcntl.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>

extern char **environ;

static double seconds_now(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* Seconds from start to end of one run; exits when it cannot be run. */
static double run(char **command)
{
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_addopen(&actions, 1, "/dev/null", O_WRONLY, 0);
    posix_spawn_file_actions_addopen(&actions, 2, "/dev/null", O_WRONLY, 0);
    pid_t child;
    int status;
    const double start = seconds_now();
    if (posix_spawn(&child, command[0], &actions, NULL, command, environ) != 0 ||
        waitpid(child, &status, 0) != child || !WIFEXITED(status) || WEXITSTATUS(status) > 1) {
        fprintf(stderr, "%s could not be run\n", command[0]);
        exit(1);
    }
    const double end = seconds_now();
    posix_spawn_file_actions_destroy(&actions);
    return end - start;
}

static int compare(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *times, int count)
{
    qsort(times, (size_t)count, sizeof *times, compare);
    return times[count / 2];
}

int main(int argc, char **argv)
{
    int bar = 4;
    while (bar < argc && strcmp(argv[bar], "--") != 0)
        bar++;
    const int count = argc > 3 ? atoi(argv[3]) : 0;
    if (bar >= argc - 1 || count < 1) {
        fprintf(stderr, "use: process_bench NAME AIM COUNT COMMAND... -- PEER...\n");
        return 2;
    }
    argv[bar] = NULL;

    double *ours = malloc((size_t)count * sizeof *ours);
    double *peers = malloc((size_t)count * sizeof *peers);
    if (!ours || !peers)
        return 1;
    for (int i = 0; i < count; i++) {
        ours[i] = run(argv + 4);
        peers[i] = run(argv + bar + 1);
    }
    const double our_time = median(ours, count), peer_time = median(peers, count);
    printf("%s: %.2f times its peer (aim %s; %d runs each, medians %.3f and %.3f ms)\n", argv[1],
           our_time / peer_time, argv[2], count, 1e3 * our_time, 1e3 * peer_time);
    free(ours);
    free(peers);
    return 0;
}
