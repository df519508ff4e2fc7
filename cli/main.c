/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <stdio.h>
#include <string.h>
#include "commands.h"

typedef struct command {
    const char *name;
    const char *group;    /* heading in the short help */
    int (*run)(const arguments *args);
    const char *synopsis; /* after `reseat NAME` */
    const char *summary;  /* one line of the list of commands */
    const char *details;  /* what a person must know to use it */
    const char *example;
} command;

static const command commands[COMMAND_COUNT] = {
    [CMD_CHECK] = {"check", "ask", cmd_check, "--offset X,Y --seat SEAT --limit L [options]",
                   "is it safe to measure with this probe now?",
                   "Says OK or RECALIBRATE for the probe as it sits now. X,Y is the stylus offset\n"
                   "stored in the control. SEAT is what is known of how the probe sits:\n"
                   "  same       it has not left the spindle since the calibration\n"
                   "  30         its seat angle in degrees; 180+-5 if read roughly\n"
                   "  keys:2     drive keys let it go in 2 ways, nobody knows which\n"
                   "  any        nothing is known (so it is if --seat is not typed)\n"
                   "The worst possible seat decides. The verdict is the last line.",
                   "reseat check --offset 0.012,-0.005 --seat keys:2 --limit 0.01"},
    [CMD_ALLOWED] = {"allowed", "ask", cmd_allowed, "--offset X,Y --limit L [options]",
                     "how far may it be turned, how large may the offset be?",
                     "Says up to which turn, and for which offset at half a turn, the limit is\n"
                     "kept with the confidence asked for, and by geometry alone; and the error\n"
                     "every 15 degrees of turn.",
                     "reseat allowed --offset 0.012,-0.005 --limit 0.01"},
};

static const char cautions[] =
    "Cautions\n"
    "  Stop and lock out the spindle before hands go near it. Follow the machine builder's\n"
    "  procedure for orienting the spindle and for loading the probe.\n"
    "  OK is an estimate from what was recorded, not a measurement. It says nothing of machine\n"
    "  geometry, of temperature, or of probing with the spindle off its stop. Touch a known gauge\n"
    "  before trusting it on a part.\n"
    "  After a collision have probe and spindle checked. The shop's quality procedure and a\n"
    "  qualified person decide.\n";

static void print_brief(FILE *out)
{
    fprintf(out, "reseat: does a touch probe that was put back still measure right?\n"
                 "usage: reseat COMMAND [options]");
    for (int i = 0; i < COMMAND_COUNT; i++) {
        if (i == 0 || strcmp(commands[i].group, commands[i - 1].group) != 0)
            fprintf(out, "\n  %-7s", commands[i].group);
        fprintf(out, " %s", commands[i].name);
    }
    fprintf(out, "\nfor example, with the offset that stands in the control:\n"
                 "  reseat check --offset 0.012,-0.005 --seat keys:2 --limit 0.01\n"
                 "  reseat allowed --offset 0.5thou,-0.2thou --limit 0.4thou\n"
                 "more: reseat --help, reseat check --help\n");
}

static void print_help(void)
{
    print_brief(stdout);
    printf("\nCommands\n");
    for (int i = 0; i < COMMAND_COUNT; i++)
        printf("  %-10s%s\n", commands[i].name, commands[i].summary);
    printf("\nLengths take a unit, mm um in thou; without one they are mm, or as --unit says.\n"
           "Pairs X,Y have a unit on both parts or on neither. The decimal sign is a point.\n"
           "Offset: ball centre minus spindle axis, spindle at its orientation stop. Angles are\n"
           "counterclockwise seen from above, looking at the table, from +X.\n\n"
           "Exit code\n"
           "  0 OK or done   1 RECALIBRATE   2 wrong use or bad input, nothing written\n"
           "  3 log damaged  4 input or output failed   5 busy   6 nothing on record\n\n%s",
           cautions);
}

static void print_command_help(const command *c, command_id id)
{
    printf("reseat %s: %s\nusage: reseat %s %s\n\n%s\n\nOptions\n", c->name, c->summary, c->name,
           c->synopsis, c->details);
    for (int i = 0; i < OPTION_COUNT; i++) {
        const option *o = &option_table()[i];
        char name[48];
        if (!(o->commands & 1u << id))
            continue;
        snprintf(name, sizeof name, "--%s %s", o->name, o->value);
        printf("  %-20s %s\n", name, o->help);
    }
    printf("\nExample\n  %s\n\n%s", c->example, cautions);
}

static int refuse_command(const arguments *args)
{
    const char *names[COMMAND_COUNT];
    char shown[64], text[160];
    for (int i = 0; i < COMMAND_COUNT; i++)
        names[i] = commands[i].name;
    const size_t nearest = reseat_text_nearest(args->words[0], names, COMMAND_COUNT);
    reseat_text_terminal(args->words[0], strlen(args->words[0]), shown, sizeof shown);
    if (nearest < COMMAND_COUNT)
        snprintf(text, sizeof text, "no such command; did you mean %s?", names[nearest]);
    else
        snprintf(text, sizeof text, "no such command; see reseat --help");
    return text_refuse(args, EXIT_INPUT, shown, text);
}

static int run(int argc, char **argv)
{
    arguments args;
    reseat_error error;
    if (!options_read(argc, argv, &args, &error))
        return text_fail(&args, EXIT_INPUT, !args.bad_value, &error);
    if (args.options[OPT_VERSION].given) {
        printf("reseat %s\n", reseat_version());
        return EXIT_DONE;
    }
    if (args.word_count == 0 && args.options[OPT_HELP].given) {
        print_help();
        return EXIT_DONE;
    }
    if (args.word_count == 0 && argc > 1)
        return text_refuse(&args, EXIT_INPUT, "", "no command; see reseat --help");
    if (args.word_count == 0) {
        print_brief(stderr);
        return EXIT_INPUT;
    }

    int id = 0;
    while (id < COMMAND_COUNT && strcmp(commands[id].name, args.words[0]) != 0)
        id++;
    if (id == COMMAND_COUNT)
        return refuse_command(&args);
    if (args.options[OPT_HELP].given) {
        print_command_help(&commands[id], (command_id)id);
        return EXIT_DONE;
    }
    if (!options_fit(&args, (command_id)id, commands[id].name, &error))
        return text_fail(&args, EXIT_INPUT, true, &error);
    return commands[id].run(&args);
}

int main(int argc, char **argv)
{
    const int exit = run(argc, argv);
    if (fflush(stdout) == 0 && !ferror(stdout))
        return exit;
    fprintf(stderr, "reseat: standard output: could not be written in full\n");
    return EXIT_IO;
}
