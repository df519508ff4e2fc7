/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * memory_bench NAME AIM COMMAND... -- PEER...
 *
 * Runs the two commands, output thrown away, and prints the ratio of their largest resident sets:
 * `NAME: 1.01 times its peer's memory (aim 1.2)`.
 */

#define _DEFAULT_SOURCE /* wait4 */

#include <fcntl.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>

extern char **environ;

/* KiB that one run had resident at most; exits when it cannot be run. */
static long run(char **command)
{
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_addopen(&actions, 1, "/dev/null", O_WRONLY, 0);
    pid_t child;
    int status;
    struct rusage used;
    if (posix_spawn(&child, command[0], &actions, NULL, command, environ) != 0 ||
        wait4(child, &status, 0, &used) != child || !WIFEXITED(status) || WEXITSTATUS(status) > 1) {
        fprintf(stderr, "%s could not be run\n", command[0]);
        exit(1);
    }
    posix_spawn_file_actions_destroy(&actions);
    return used.ru_maxrss;
}

int main(int argc, char **argv)
{
    int bar = 3;
    while (bar < argc && strcmp(argv[bar], "--") != 0)
        bar++;
    if (bar >= argc - 1) {
        fprintf(stderr, "use: memory_bench NAME AIM COMMAND... -- PEER...\n");
        return 2;
    }
    argv[bar] = NULL;
    const long peer = run(argv + bar + 1), ours = run(argv + 3);
    printf("%s: %.2f times its peer's memory (aim %s; %ld and %ld KiB)\n", argv[1],
           (double)ours / (double)peer, argv[2], ours, peer);
    return 0;
}
