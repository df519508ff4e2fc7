/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <signal.h>
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
    [CMD_CHECK] = {"check", "ask", cmd_check, "SPINDLE | --offset X,Y --seat SEAT --limit L",
                   "is it safe to measure with this probe now?",
                   "Says OK or RECALIBRATE for the probe as it sits now, from the log of SPINDLE\n"
                   "or from the stylus offset X,Y that is stored in the control. SEAT is what is\n"
                   "known of how the probe sits; from a log it need not be typed:\n"
                   "  same       it has not left the spindle since the calibration\n"
                   "  30         its angle from the shop's mark, degrees; 180+-5 if read roughly\n"
                   "  keys:2     drive keys let it go in 2 ways, nobody knows which\n"
                   "  any        nothing is known (so it is if --seat is not typed)\n"
                   "The worst possible seat decides. The verdict is the last line.",
                   "reseat check mill-2"},
    [CMD_ALLOWED] = {"allowed", "ask", cmd_allowed, "SPINDLE | --offset X,Y --limit L",
                     "how far may it be turned, how large may the offset be?",
                     "Says up to which turn, and for which offset at half a turn, the limit is\n"
                     "kept with the confidence asked for, and by geometry alone; and the error\n"
                     "every 15 degrees of turn.",
                     "reseat allowed --offset 0.012,-0.005 --limit 0.01"},
    [CMD_EFFECTS] = {"effects", "ask", cmd_effects,
                     "SPINDLE | --offset X,Y [--seat SEAT] [--feature SPEC]",
                     "what do holes, slots, surfaces ... come out wrong by?",
                     "Says by how much each feature is reported wrongly, at the worst possible\n"
                     "seat. SPEC is\n"
                     "  surface:DIR                      touched along DIR, degrees from +X\n"
                     "  slot:WIDTH:DIR  ridge:WIDTH:DIR  touched on both sides along DIR\n"
                     "  bore:DIAMETER[:TOUCHES[:START]]  boss: alike; 4 touches from 0 on\n"
                     "  corner:DIR1:DIR2                 of two walls touched along these\n"
                     "  pair                             distance of two features\n"
                     "  height                           touched from above\n"
                     "With =T behind it its first quantity is judged, with =QUANTITY:T another:\n"
                     "T is the full width (or diameter) of the tolerance zone, of which probing\n"
                     "may use its share. Without --feature some of each kind are shown.",
                     "reseat effects mill-2 --feature bore:20mm=0.05mm --feature pair"},
    [CMD_RECORD] = {"record", "keep", cmd_record, "SPINDLE KIND [--FIELD VALUE ...]",
                    "write a calibration, a reseat, an event ... into the log",
                    "Appends one record to the log of SPINDLE. KIND is\n"
                    "  run        a calibration: --probe --seat --offset\n"
                    "  reseat     the probe was out: --probe --seat\n"
                    "  event      --kind collision, stylus-change, service or other\n"
                    "  verify     a gauge check that was passed on: --probe --shift --shift-u\n"
                    "  policy     limit, confidence, what is known of seats and scatter\n"
                    "  void SEQ   takes a record back: --why\n"
                    "A policy keeps what is not typed of the one before; --no-FIELD drops a field.",
                    "reseat record mill-2 run --probe P1 --seat 0 --offset 0.012,-0.005"},
    [CMD_HISTORY] = {"history", "keep", cmd_history, "SPINDLE",
                     "the records of a spindle, newest first",
                     "Lists the records of SPINDLE, newest first; those that were taken back say\n"
                     "by which record.",
                     "reseat history mill-2 --type run"},
    [CMD_AUDIT] = {"audit", "keep", cmd_audit, "[SPINDLE]",
                   "is every record of the log as it was written?",
                   "Holds every line of the log of SPINDLE, or of all logs of the folder, against\n"
                   "its seal, and names those that are bad. The newest records can be cut off\n"
                   "without a trace: write down the number and seal that it prints last, and give\n"
                   "them the next time as --expect.",
                   "reseat audit mill-2"},
    [CMD_DRIFT] = {"drift", "watch", cmd_drift, "SPINDLE",
                   "how the offset has moved from run to run",
                   "Shows what the runs of a probe say together: what stands out, when the next\n"
                   "one is due, limits and trends of offset, radius and stylus length, a chart of\n"
                   "the offset's length, and the runs. X and Y are those of the probe: the seat's\n"
                   "turn is taken off, and the spindle's part if the policy knows it.",
                   "reseat drift hmc-1"},
    [CMD_OVERVIEW] = {"overview", "watch", cmd_overview, "",
                      "all spindles at once, the worst first",
                      "Shows the verdict on every probe of every log, the age of its run, when it\n"
                      "is due, and how many findings drift has.",
                      "reseat overview"},
    [CMD_SUSPECT] = {"suspect", "watch", cmd_suspect, "SPINDLE",
                     "since when results were doubtful, as it turned out later",
                     "Lists from the log each window in which results are doubtful: from the\n"
                     "last time the probe was known good, by a run or a gauge check within the\n"
                     "limit, to the record that found it out; what offset was expected and\n"
                     "found, and by how much positions measured in the window may be off.",
                     "reseat suspect mill-2"},
    [CMD_REPORT] = {"report", "watch", cmd_report, "SPINDLE -o FILE.html",
                    "a page to look at, print and mail",
                    "Writes one page with nothing beside it: the verdict, charts of the runs over\n"
                    "time, where the offset lies, what a turn does, the budget, and every record.\n"
                    "Things are as they stood when the newest record was written, unless --as-of\n"
                    "says otherwise: the same log gives the same page.",
                    "reseat report mill-2 -o mill-2.html"},
    [CMD_REDUCE] = {"reduce", "measure", cmd_reduce,
                    "TOUCHES.csv --gauge KIND --diameter L",
                    "from the touches of a gauge to offset and radius",
                    "Reads touches from a CSV file, - for standard input, with the columns\n"
                    "  turn_deg          spindle turned by; 0 if absent\n"
                    "  dir_deg           direction of motion; from the geometry if absent\n"
                    "  x_mm y_mm [z_mm]  spindle position, or all _in, or all _um\n"
                    "  set               number of the repeat, if touches were repeated\n"
                    "and finds offset and radius with their uncertainty, the lobes of the probe,\n"
                    "and touches that do not belong. Best turns are 0, 180 and 0 again. With\n"
                    "--record the run goes into the log: then also --probe and --seat.",
                    "reseat reduce touches.csv --gauge ring --diameter 50.0021"},
    [CMD_STUDY] = {"study", "measure", cmd_study, "SEATINGS.csv",
                   "from repeated reseats to the scatter of one",
                   "Reads seatings from a CSV file, - for standard input, with the columns\n"
                   "  seat_deg                  where the probe sat\n"
                   "  offset_x_mm offset_y_mm   what a whole run found there; or else\n"
                   "  x_mm y_mm                 how a fixed gauge's centre read\n"
                   "or all lengths _in, or all _um. Finds how much one seating scatters, and\n"
                   "from two or more seats the parts of the offset that stay with the spindle\n"
                   "and turn with the probe. With --record they go into the spindle's policy.",
                   "reseat study reseats.csv --record mill-2"},
    [CMD_FIND_SEAT] = {"find-seat", "measure", cmd_find_seat,
                       "SPINDLE | --offset X,Y --shift DX,DY --shift-u U",
                       "from one gauge check to the seat of the probe",
                       "The same fixed gauge was measured at the calibration's seat and again\n"
                       "now: its centre reads off by DX,DY. Finds the turn that this fits, any\n"
                       "or one of the seats that --seat keys:N or the log leaves. Instead of\n"
                       "--shift, --then and --now name the touches of both times, as reduce\n"
                       "reads them, with the gauge: with the spindle turned they tell the offset\n"
                       "itself, wherever the gauge stands. With --record the check goes into the\n"
                       "log, and the seat if one was found.",
                       "reseat find-seat mill-2 --shift 0.0235,-0.0101 --shift-u 0.0008"},
    [CMD_CORRECT] = {"correct", "measure", cmd_correct,
                     "[SPINDLE] RESULTS.csv --datum DATUM [--offset X,Y --seat SEAT]",
                     "put right what was measured with the turned probe",
                     "Reads results taken since the reseat, - for standard input, with columns\n"
                     "  kind      point, or surface for one touch; other rows pass as they are\n"
                     "  x_mm y_mm as reported\n"
                     "  dir_deg   of a surface: approach direction, degrees from +X\n"
                     "and any others, and prints them with corrected_x_mm, corrected_y_mm and\n"
                     "u_mm behind. DATUM is\n"
                     "  machine   machine coordinates\n"
                     "  before    a datum set with the probe as calibrated\n"
                     "  same      datum and features in the same turned seat: nothing is changed\n"
                     "One seat must be known: from the log, typed, or found from --shift.",
                     "reseat correct --offset 0.012,-0.005 --seat 180 results.csv --datum machine"},
};

static void print_cautions(void)
{
    printf("Cautions\n");
    for (size_t i = 0; text_cautions()[i]; i++)
        printf("  %s\n", text_cautions()[i]);
}

static void print_brief(FILE *out)
{
    fprintf(out, "reseat: does a touch probe that was put back still measure right?\n"
                 "usage: reseat COMMAND [SPINDLE] [options]");
    for (int i = 0; i < COMMAND_COUNT; i++) {
        if (i == 0 || strcmp(commands[i].group, commands[i - 1].group) != 0)
            fprintf(out, "\n  %-7s", commands[i].group);
        fprintf(out, " %s", commands[i].name);
    }
    fprintf(out, "\nfor example, from a log, or with the offset that stands in the control:\n"
                 "  reseat check mill-2\n"
                 "  reseat check --offset 0.012,-0.005 --seat keys:2 --limit 0.01\n"
                 "more: reseat --help, reseat check --help\n");
}

static void print_help(void)
{
    print_brief(stdout);
    printf("\nCommands\n");
    for (int i = 0; i < COMMAND_COUNT; i++)
        printf("  %-11s%s\n", commands[i].name, commands[i].summary);
    printf("\nLengths take a unit, mm um in thou; without one they are mm, or as --unit says.\n"
           "Pairs X,Y have a unit on both parts or on neither. The decimal sign is a point.\n"
           "Offset: ball centre minus spindle axis, spindle at its orientation stop. Angles are\n"
           "counterclockwise seen from above, looking at the table, from +X.\n\n"
           "Exit code\n"
           "  0 OK or done   1 RECALIBRATE   2 wrong use or bad input, nothing written\n"
           "  3 log damaged  4 input or output failed   5 busy   6 nothing on record\n\n");
    print_cautions();
}

/* The fields of each kind of record, as options. */
static void print_fields(void)
{
    static const reseat_record_type types[] = {RESEAT_RECORD_RUN,    RESEAT_RECORD_RESEAT,
                                               RESEAT_RECORD_EVENT,  RESEAT_RECORD_VERIFY,
                                               RESEAT_RECORD_POLICY, RESEAT_RECORD_VOID};
    char name[64];
    for (size_t i = 0; i < sizeof types / sizeof types[0]; i++) {
        printf("\nFields of %s\n", reseat_record_type_name(types[i]));
        for (int field = 0; field < RESEAT_FIELD_COUNT; field++)
            if (field_is_typed((reseat_field)field, types[i]))
                printf("  --%-18s %s\n", field_option_name((reseat_field)field, name, sizeof name),
                       reseat_field_about((reseat_field)field)->meaning);
    }
}

/* Those that go with a command that finds the other fields out. */
static void print_fields_beside(command_id id)
{
    char name[64];
    bool begun = false;
    for (int field = 0; field < RESEAT_FIELD_COUNT; field++) {
        if (!field_goes_with((reseat_field)field, id))
            continue;
        printf("%s  --%-18s %s\n", begun ? "" : "\nFields to record\n",
               field_option_name((reseat_field)field, name, sizeof name),
               reseat_field_about((reseat_field)field)->meaning);
        begun = true;
    }
}

static void print_command_help(const command *c, command_id id)
{
    printf("reseat %s: %s\nusage: reseat %s %s\n\n%s\n\nOptions\n", c->name, c->summary, c->name,
           c->synopsis, c->details);
    for (int i = 0; i < OPTION_COUNT; i++) {
        const option *o = &option_table()[i];
        char key[32], name[48];
        if (!(o->commands & 1u << id))
            continue;
        snprintf(name, sizeof name, "%s %s", option_key(o->name, key, sizeof key), o->value);
        printf("  %-20s %s\n", name, o->help);
    }
    if (id == CMD_RECORD)
        print_fields();
    print_fields_beside(id);
    printf("\nExample\n  %s\n\n", c->example);
    print_cautions();
}

const char *command_name(command_id id)
{
    return commands[id].name;
}

command_id command_find(const char *name)
{
    int id = 0;
    while (id < COMMAND_COUNT && strcmp(commands[id].name, name) != 0)
        id++;
    return (command_id)id;
}

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
        print_command_help(&commands[args.command], args.command);
        return EXIT_DONE;
    }
    if (args.command < COMMAND_COUNT)
        return commands[args.command].run(&args);
    if (args.options[OPT_HELP].given) {
        print_help();
        return EXIT_DONE;
    }
    if (argc > 1)
        return text_refuse(&args, EXIT_INPUT, "", "no command; see reseat --help");
    print_brief(stderr);
    return EXIT_INPUT;
}

int main(int argc, char **argv)
{
    signal(SIGXFSZ, SIG_IGN); /* a log that may not grow is an error to be told */
    const int exit = run(argc, argv);
    if (fflush(stdout) == 0 && !ferror(stdout))
        return exit;
    fprintf(stderr, "reseat: standard output: could not be written in full\n");
    return EXIT_IO;
}
