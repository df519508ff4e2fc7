/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <unistd.h>
#include "commands.h"

static int (*const runs[COMMAND_COUNT])(const arguments *args) = {
    [CMD_CHECK] = cmd_check,
    [CMD_ALLOWED] = cmd_allowed,
    [CMD_EFFECTS] = cmd_effects,
    [CMD_RECORD] = cmd_record,
    [CMD_HISTORY] = cmd_history,
    [CMD_AUDIT] = cmd_audit,
    [CMD_DRIFT] = cmd_drift,
    [CMD_OVERVIEW] = cmd_overview,
    [CMD_SUSPECT] = cmd_suspect,
    [CMD_REPORT] = cmd_report,
    [CMD_REDUCE] = cmd_reduce,
    [CMD_STUDY] = cmd_study,
    [CMD_FIND_SEAT] = cmd_find_seat,
    [CMD_CORRECT] = cmd_correct,
};

static int print_version(bool as_json)
{
    json j = {.out = stdout};
    if (!as_json) {
        printf("reseat %s\n", reseat_version());
        return EXIT_DONE;
    }
    json_open(&j, NULL, '{');
    json_text(&j, "version", reseat_version());
    json_end(&j);
    return EXIT_DONE;
}

static int run(int argc, char **argv)
{
    arguments args;
    reseat_error error;
    if (!options_read(argc, argv, &args, &error))
        return text_fail(&args, EXIT_INPUT, !args.bad_value, &error);
    if (args.options[OPT_VERSION].given)
        return print_version(args.json);
    if (args.command < COMMAND_COUNT && args.options[OPT_HELP].given) {
        help_command(args.command);
        return EXIT_DONE;
    }
    if (args.command < COMMAND_COUNT)
        return runs[args.command](&args);
    if (args.options[OPT_HELP].given) {
        help_all();
        return EXIT_DONE;
    }
    if (argc > 1)
        return text_refuse(&args, EXIT_INPUT, "", "no command; see reseat --help");
    help_brief(stderr);
    return EXIT_INPUT;
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
