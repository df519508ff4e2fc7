/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <unistd.h>
#include "commands.h"
#include "files.h"

static command_run *const runs[COMMAND_COUNT] = {
    [CMD_CHECK] = run_check,         [CMD_ALLOWED] = run_allowed,   [CMD_EFFECTS] = run_effects,
    [CMD_RECORD] = run_record,       [CMD_HISTORY] = run_history,   [CMD_AUDIT] = run_audit,
    [CMD_DRIFT] = run_drift,         [CMD_OVERVIEW] = run_overview, [CMD_SUSPECT] = run_suspect,
    [CMD_GAUGE] = run_gauge,
    [CMD_REPORT] = run_report,       [CMD_REDUCE] = run_reduce,     [CMD_STUDY] = run_study,
    [CMD_FIND_SEAT] = run_find_seat, [CMD_CORRECT] = run_correct,
};

static void print_version(bool as_json)
{
    if (!as_json) {
        printf("reseat %s\n", reseat_version());
        return;
    }
    json j = json_begin(stdout);
    json_print(&j, "version:s", reseat_version());
    json_end(&j);
}

static int run(int argc, char **argv)
{
    arguments args;
    reseat_error error;
    if (!options_read(argc, argv, &args, &error))
        fail_typed(&args, !args.bad_value, &error);
    else if (args.options[OPT_VERSION].given)
        print_version(args.json);
    else if (args.options[OPT_HELP].given && args.command < COMMAND_COUNT)
        help_command(args.command);
    else if (args.options[OPT_HELP].given)
        help_all();
    else if (args.command < COMMAND_COUNT)
        runs[args.command](&args);
    else if (argc > 1)
        refuse(&args, "", "no command; see reseat --help");
    else
        help_brief(stderr);
    reseat_folder_close(args.log.folder);
    return argc > 1 ? args.exit : EXIT_INPUT;
}

/*
 * Standard streams that came closed are kept from becoming a log that is opened later: they are
 * opened the wrong way round, so that reading and writing still fail.
 */
static bool keep_streams_apart(void)
{
    for (int file = STDIN_FILENO; file <= STDERR_FILENO; file++)
        if (fcntl(file, F_GETFD) < 0 &&
            open("/dev/null", file == STDIN_FILENO ? O_WRONLY : O_RDONLY) != file)
            return false;
    return true;
}

int main(int argc, char **argv)
{
    if (!keep_streams_apart())
        return EXIT_IO;
    signal(SIGXFSZ, SIG_IGN); /* a log that may not grow is an error to be told */
    const int exit = run(argc, argv);
    if (output_is_sound())
        return exit;
    fprintf(stderr, "reseat: standard output: could not be written in full\n");
    return EXIT_IO;
}
