/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What --help prints. */

#include "commands.h"

#include <stdio.h>
#include <string.h>
#include "fields.h"
#include "show/sentences.h"

const char *const *cautions(void)
{
    static const char *const texts[] = {
        "Stop and lock out the spindle before hands go near it. Follow the machine builder's\n"
        "  procedure for orienting the spindle and for loading the probe. Go to a gauge by\n"
        "  protected moves. Never turn a probe that has a cable.",
        "Clean the taper, and see that the stylus is tight, before any calibration or check.",
        "OK is an estimate from what was recorded, not a measurement. It says nothing of machine\n"
        "  geometry, of temperature, or of probing with the spindle off its stop. Touch a known "
        "gauge\n  before trusting it on a part.",
        "Not for cycles that turn the spindle to each approach direction, controls that turn the\n"
        "  offset with the spindle, or a stop that does not repeat. effects and correct hold for\n"
        "  X and Y along the machine's axes, not in turned or tilted coordinates.",
        "After a collision have probe and spindle checked. The shop's quality procedure and a\n"
        "  qualified person decide.",
        NULL};
    return texts;
}

static void print_cautions(void)
{
    printf("Cautions\n");
    for (size_t i = 0; cautions()[i]; i++)
        printf("  %s\n", cautions()[i]);
}

void help_brief(FILE *out)
{
    const command_row *commands = command_table();
    fprintf(out, "reseat: does a touch probe that was put back still measure right?\n"
                 "usage: reseat COMMAND [SPINDLE] [options]");
    for (int i = 0; i < COMMAND_COUNT; i++) {
        if (i == 0 || strcmp(commands[i].group, commands[i - 1].group) != 0)
            fprintf(out, "\n  %-7s", commands[i].group);
        fprintf(out, " %s", commands[i].name);
    }
    fprintf(out, "\nfor example, from a log, or with the offset that a calibration found:\n"
                 "  reseat check mill-2\n"
                 "  reseat check --offset 0.012,-0.005 --seat keys:2 --limit 0.01\n"
                 "more: reseat --help, reseat check --help\n");
}

void help_all(void)
{
    help_brief(stdout);
    printf("\nCommands\n");
    for (int i = 0; i < COMMAND_COUNT; i++)
        printf("  %-11s%s\n", command_table()[i].name, command_table()[i].summary);
    printf("\nLengths take a unit, mm um in thou; without one they are mm, or as --unit or the\n"
           "variable RESEAT_UNIT says. A bare size out of the ordinary is refused; with its unit\n"
           "typed at the number, 300um, it is taken, and said.\n"
           "Pairs X,Y have a unit on both parts or on neither. The decimal sign is a point.\n"
           "Offset: ball centre minus spindle axis, spindle at its orientation stop. Angles are\n"
           "counterclockwise from +X, seen from behind the spindle, looking at the table. An\n"
           "uncertainty is a standard one: halve the figure of a certificate for k = 2.\n\n"
           "Exit code\n"
           "  0 OK or done   1 RECALIBRATE   2 wrong use or bad input, nothing written\n"
           "  3 log damaged  4 input or output failed   5 busy   6 nothing on record\n\n");
    print_cautions();
}

static void begin_fields(const char *type)
{
    printf("\nFields %s %s\n", type ? "of" : "to", type ? type : "record");
}

static void print_field(const char *name, const char *value, const char *help)
{
    (void)value;
    printf("  --%-18s %s\n", name, help);
}

void help_command(command_id id)
{
    const command_row *c = &command_table()[id];
    printf("reseat %s: %s\nusage: reseat %s %s\n\n%s\n\nOptions\n", c->name, c->summary, c->name,
           c->synopsis, c->details);
    for (int i = 0; i < OPTION_COUNT; i++) {
        const option *o = &option_table()[i];
        char name[96];
        if (!(o->commands & 1u << id))
            continue;
        snprintf(name, sizeof name, "%s %s", option_key(o->name).text, o->value);
        printf("  %-20s %s\n", name, o->help);
    }
    list_fields(&(list_writer){begin_fields, print_field, NULL}, id);
    printf("\nExample\n  %s\n\n", c->example);
    print_cautions();
}
