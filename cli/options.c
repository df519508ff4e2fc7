/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "options.h"

#include <string.h>

#define ON(command) (1u << (command))
#define FINDINGS (ON(CMD_REDUCE) | ON(CMD_STUDY))
#define VERDICTS (ON(CMD_CHECK) | ON(CMD_ALLOWED))
#define TURNED (VERDICTS | ON(CMD_EFFECTS) | ON(CMD_CORRECT))
#define SEATED (TURNED | ON(CMD_FIND_SEAT))
#define CHECKED (ON(CMD_RECORD) | ON(CMD_FIND_SEAT) | ON(CMD_CORRECT))
#define TOUCHED (ON(CMD_REDUCE) | ON(CMD_FIND_SEAT))
#define GAUGES (TOUCHED | ON(CMD_GAUGE))
#define LOGS (SEATED | ON(CMD_RECORD) | ON(CMD_HISTORY) | ON(CMD_DRIFT) | ON(CMD_OVERVIEW) | \
              ON(CMD_REPORT) | ON(CMD_SUSPECT) | ON(CMD_GAUGE) | FINDINGS)
#define ALL ((1u << COMMAND_COUNT) - 1u)
#define PAST (ALL & ~(ON(CMD_AUDIT) | ON(CMD_STUDY) | ON(CMD_RECORD) | ON(CMD_REDUCE)))
#define PROBES (ALL & ~(ON(CMD_AUDIT) | ON(CMD_STUDY) | ON(CMD_GAUGE)))

static const option options[OPTION_COUNT] = {
    [OPT_OFFSET] = {"offset", KIND_PAIR, "X,Y", SEATED | ON(CMD_RECORD),
                    "stylus offset that the run found: ball centre less spindle axis"},
    [OPT_SEAT] = {"seat", KIND_SEAT, "SEAT", SEATED,
                  "how it sits now: same, 30, 180+-5, keys:2, any, unknown"},
    [OPT_SEAT_WRITTEN] = {"seat", KIND_SEAT, "SEAT", ON(CMD_RECORD) | ON(CMD_REDUCE),
                          "seat angle to write down: 30, 180+-5, or unknown"},
    [OPT_FEATURE] = {"feature", KIND_FEATURE, "SPEC[=T]", ON(CMD_EFFECTS),
                     "what is measured, with a tolerance to judge it by; may be given again"},
    [OPT_LIMIT] = {"limit", KIND_POSITIVE, "L", VERDICTS | ON(CMD_SUSPECT),
                   "largest error that the probe may add"},
    [OPT_TOLERANCE] = {"tolerance", KIND_POSITIVE, "T", VERDICTS | ON(CMD_SUSPECT),
                       "full width of a tolerance zone; the limit is its share / 2"},
    [OPT_SHARE] = {"share", KIND_SHARE, "S", VERDICTS | ON(CMD_EFFECTS) | ON(CMD_SUSPECT),
                   "share of the tolerance that probing may use (10%)"},
    [OPT_CONFIDENCE] = {"confidence", KIND_CONFIDENCE, "P", VERDICTS | ON(CMD_EFFECTS),
                        "chance of staying within the limit that is asked for (95%)"},
    [OPT_BUDGET] = {"budget", KIND_FLAG, "", VERDICTS,
                    "show what the uncertainty is made of"},
    [OPT_WAS_OUT] = {"was-out", KIND_FLAG, "", ON(CMD_CHECK),
                     "it has just been put back: record that first, then decide"},
    [OPT_IN_USE] = {"in-use", KIND_PAIR, "X,Y",
                    (SEATED & ~ON(CMD_ALLOWED)) | ON(CMD_RECORD) | ON(CMD_REDUCE),
                    "offset in the control, if not the one found: ball less axis"},
    [OPT_FOUND] = {"found", KIND_PAIR, "X,Y", ON(CMD_RECORD) | ON(CMD_REDUCE),
                   "offset as found, before it was set anew"},
    [OPT_SHIFT] = {"shift", KIND_PAIR, "DX,DY", CHECKED,
                   "by how much the gauge reads off: reading now minus reading then"},
    [OPT_SHIFT_U] = {"shift-u", KIND_POSITIVE, "U", ON(CMD_FIND_SEAT) | ON(CMD_CORRECT),
                     "its standard uncertainty, per axis: both readings and the gauge"},
    [OPT_READING] = {"reading", KIND_PAIR, "X,Y", ON(CMD_RECORD) | ON(CMD_FIND_SEAT),
                     "centre of the gauge as read; of a check instead of --shift"},
    [OPT_AT_0] = {"at-0", KIND_PAIR, "X,Y", CHECKED,
                  "centre of a bore, boss or ball read with the spindle at its stop"},
    [OPT_AT_180] = {"at-180", KIND_PAIR, "X,Y", CHECKED,
                    "the same centre read with the spindle turned by 180 degrees"},
    [OPT_READING_U] = {"reading-u", KIND_POSITIVE, "U", CHECKED,
                       "standard uncertainty of one such reading, per axis (0.001mm)"},
    [OPT_THEN] = {"then", KIND_TEXT, "FILE.csv", ON(CMD_FIND_SEAT),
                  "touches of the gauge at the calibration's seat, instead of --shift"},
    [OPT_NOW] = {"now", KIND_TEXT, "FILE.csv", ON(CMD_FIND_SEAT),
                 "touches as the probe sits now; alone if the spindle was turned"},
    [OPT_DATUM] = {"datum", KIND_DATUM, "DATUM", ON(CMD_CORRECT),
                   "what results are counted from: machine, before or same"},
    [OPT_RUN_SEAT] = {"run-seat", KIND_DEGREES, "DEG", SEATED,
                      "seat angle at the calibration, from the same mark (0)"},
    [OPT_SPINDLE_PART] = {"spindle-part", KIND_PAIR, "X,Y", SEATED | ON(CMD_RECORD),
                          "part of the offset that stays with the spindle (0,0)"},
    [OPT_RADII] = {"radii", KIND_TEXT, "FILE.csv", TURNED,
                   "radius by approach direction: columns dir_deg,radius_mm"},
    [OPT_U_RUN] = {"u-run", KIND_UNCERTAINTY, "U", SEATED,
                   "standard uncertainty of the offset, per axis (0.001mm)"},
    [OPT_U_SEAT] = {"u-seat", KIND_UNCERTAINTY, "U", SEATED,
                    "scatter of one seating, per axis (0.002mm)"},
    [OPT_U_TURN] = {"u-turn", KIND_DEGREES_U, "DEG", TURNED,
                    "scatter of orientation stop and key play (0.2)"},
    [OPT_U_SPINDLE] = {"u-spindle", KIND_UNCERTAINTY, "U", SEATED,
                       "how well the spindle's part is known (0.002mm)"},
    [OPT_U_TOUCH] = {"u-touch", KIND_UNCERTAINTY, "U", SEATED | ON(CMD_REDUCE),
                     "repeatability of the probe, per axis (0.0005mm)"},
    [OPT_LOBING] = {"lobing", KIND_UNCERTAINTY, "L", TURNED,
                    "largest radius change by a turn, if not measured (0.003mm)"},
    [OPT_NEW] = {"new", KIND_FLAG, "", ON(CMD_RECORD) | ON(CMD_GAUGE) | FINDINGS,
                 "the spindle, the probe or the tip is new here: begin it"},
    [OPT_LATE] = {"late", KIND_FLAG, "", ON(CMD_RECORD),
                  "record it although it lies before the run in force"},
    [OPT_DRY_RUN] = {"dry-run", KIND_FLAG, "", ON(CMD_RECORD) | ON(CMD_GAUGE) | FINDINGS,
                     "print the line that would be written, write nothing"},
    [OPT_RECORD] = {"record", KIND_FLAG, "", ON(CMD_CHECK), "write the verdict into the log"},
    [OPT_RECORD_FOUND] = {"record", KIND_FLAG, "", ON(CMD_FIND_SEAT),
                          "write the check, and the seat it found, into the log"},
    [OPT_RECORD_IN] = {"record", KIND_SPINDLE, "SPINDLE", FINDINGS,
                       "write what was found into that log (else of RESEAT_SPINDLE)"},
    [OPT_GAUGE] = {"gauge", KIND_GAUGE, "KIND", GAUGES,
                   "ring, plug or sphere; bore or boss: any, for the offset alone"},
    [OPT_DIAMETER] = {"diameter", KIND_POSITIVE, "L", GAUGES,
                      "its certified diameter, at 20 degrees Celsius"},
    [OPT_DIAMETER_U] = {"diameter-u", KIND_UNCERTAINTY, "U", GAUGES,
                        "its standard uncertainty (0): half of a certificate's for k = 2"},
    [OPT_TEMPERATURE] = {"temperature", KIND_NUMBER, "C", TOUCHED,
                         "temperature of the gauge, Celsius (20)"},
    [OPT_TEMPERATURE_U] = {"temperature-u", KIND_NUMBER_U, "C", TOUCHED,
                           "its standard uncertainty (0.5)"},
    [OPT_EXPANSION] = {"expansion", KIND_NUMBER, "A", GAUGES,
                       "thermal expansion of the gauge, per kelvin (11.5e-6)"},
    [OPT_EXPANSION_U] = {"expansion-u", KIND_NUMBER_U, "A", GAUGES,
                         "its standard uncertainty (1.15e-6)"},
    [OPT_CERTIFICATE] = {"certificate", KIND_TEXT, "TEXT", ON(CMD_GAUGE),
                         "number of its certificate"},
    [OPT_CALIBRATED] = {"calibrated", KIND_NOON, "DATE", ON(CMD_GAUGE),
                        "when it was certified, 2026-03-02; in force from then on"},
    [OPT_DUE] = {"due", KIND_TIME, "DATE", ON(CMD_GAUGE),
                 "the last day of its certificate"},
    [OPT_RUNS] = {"runs", KIND_FLAG, "", ON(CMD_GAUGE),
                  "list the runs of all logs that were made with it"},
    [OPT_CENTRE] = {"centre", KIND_PAIR, "X,Y", ON(CMD_REDUCE),
                    "where the gauge stands, if known from elsewhere"},
    [OPT_CENTRE_U] = {"centre-u", KIND_UNCERTAINTY, "U", ON(CMD_REDUCE),
                      "its standard uncertainty, per axis"},
    [OPT_DROP_OUTLIERS] = {"drop-outliers", KIND_FLAG, "", ON(CMD_REDUCE),
                           "leave out the touches that do not belong, and reduce again"},
    [OPT_DESPITE_DOUBTS] = {"despite-doubts", KIND_FLAG, "", FINDINGS,
                            "record it although something is doubtful; a run keeps what"},
    [OPT_DESPITE_DAMAGE] = {"despite-damage", KIND_FLAG, "", LOGS,
                            "continue despite damage; the output says so"},
    [OPT_SINCE] = {"since", KIND_SINCE, "TIME", ON(CMD_HISTORY),
                   "records of facts from then on; a date alone: from its start"},
    [OPT_UNTIL] = {"until", KIND_TIME, "TIME", ON(CMD_HISTORY),
                   "records of facts up to then; a date alone: to its end"},
    [OPT_TYPE] = {"type", KIND_TEXT, "TYPE", ON(CMD_HISTORY),
                  "run, reseat, event, verify, policy, verdict, void or gauge"},
    [OPT_FORMAT] = {"format", KIND_TEXT, "FORMAT", ON(CMD_HISTORY) | ON(CMD_OVERVIEW),
                    "table or csv (table)"},
    [OPT_EXPECT] = {"expect", KIND_MARK, "SEQ:SEAL", ON(CMD_AUDIT),
                    "a record that must be there, as it was written down"},
    [OPT_OUTPUT] = {"o", KIND_TEXT, "FILE", ON(CMD_REPORT) | ON(CMD_CORRECT),
                    "the file to write, - for standard output"},
    [OPT_FORCE] = {"force", KIND_FLAG, "", ON(CMD_REPORT) | ON(CMD_CORRECT),
                   "replace a file that is there already; a log never is"},
    [OPT_LOG] = {"log", KIND_TEXT, "DIR", ALL, "folder of the logs (else RESEAT_LOG says it)"},
    [OPT_PROBE] = {"probe", KIND_TEXT, "NAME", PROBES, "which probe, where there are several"},
    [OPT_TIP] = {"tip", KIND_TEXT, "NAME", PROBES, "which tip of its stylus (main)"},
    [OPT_AS_OF] = {"as-of", KIND_TIME, "TIME", PAST,
                   "as things stood then, 2026-03-02T06:00Z; a date alone: at its end"},
    [OPT_AS_KNOWN] = {"as-known", KIND_TIME, "TIME", PAST,
                      "by what was on record then; alone it sets --as-of too"},
    [OPT_UNIT] = {"unit", KIND_UNIT, "UNIT", ALL & ~ON(CMD_AUDIT),
                  "mm, um, in or thou, of bare lengths and output (RESEAT_UNIT, or mm)"},
    [OPT_JSON] = {"json", KIND_FLAG, "", ALL, "one JSON object, always mm and degrees"},
    [OPT_HELP] = {"help", KIND_FLAG, "", ALL, "help on the command, text also with --json"},
    [OPT_VERSION] = {"version", KIND_FLAG, "", ALL, "the version"},
};

static const command_row commands[COMMAND_COUNT] = {
    [CMD_CHECK] = {"check", "ask", "SPINDLE | --offset X,Y --seat SEAT --limit L",
                   "is it safe to measure with this probe now?",
                   "Says OK or RECALIBRATE for the probe as it sits now, from the log of SPINDLE\n"
                   "or from the stylus offset X,Y, ball centre less spindle axis. SEAT is what is\n"
                   "known of how the probe sits; from a log it need not be typed:\n"
                   "  same       it has not left the spindle since the calibration\n"
                   "  30         its angle from the shop's mark, degrees; 180+-5 if read roughly\n"
                   "  keys:2     drive keys let it go in 2 ways, nobody knows which\n"
                   "  any        nothing is known (so it is if --seat is not typed)\n"
                   "The worst possible seat decides. The verdict is the last line.",
                   "reseat check mill-2"},
    [CMD_ALLOWED] = {"allowed", "ask", "SPINDLE | --offset X,Y --limit L",
                     "how far may it be turned, how large may the offset be?",
                     "Says up to which turn, and for which offset at half a turn, the limit is\n"
                     "kept with the confidence asked for, and by geometry alone; and the error\n"
                     "every 15 degrees of turn.",
                     "reseat allowed --offset 0.012,-0.005 --limit 0.01"},
    [CMD_EFFECTS] = {"effects", "ask",
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
                     "may use its share. Without --feature some of each kind are shown. All hold\n"
                     "for X and Y along the machine's axes.",
                     "reseat effects mill-2 --feature bore:20mm=0.05mm --feature pair"},
    [CMD_RECORD] = {"record", "keep", "SPINDLE KIND [--FIELD VALUE ...]",
                    "write a calibration, a reseat, an event ... into the log",
                    "Appends one record to the log of SPINDLE. KIND is\n"
                    "  run        a calibration: --probe --seat --offset\n"
                    "  reseat     the probe was out: --probe --seat\n"
                    "  event      --kind collision, stylus-change, service or other\n"
                    "  verify     the result of a gauge check: --probe --shift --shift-u\n"
                    "  policy     limit, confidence, what is known of seats and scatter\n"
                    "  void SEQ   takes a record back, or with FIRST-LAST several: --why\n"
                    "A policy keeps what is not typed of the one before; --no-FIELD drops a field.",
                    "reseat record mill-2 run --probe P1 --seat 0 --offset 0.012,-0.005"},
    [CMD_HISTORY] = {"history", "keep", "[SPINDLE]",
                     "the records of a spindle, or of all, newest first",
                     "Lists the records of SPINDLE, or of all logs of the folder, those written\n"
                     "last first; those that were taken back say by which record. What was\n"
                     "written a day or more after it happened says when. As CSV each row names\n"
                     "its spindle, and a cell is empty where nothing is known.",
                     "reseat history mill-2 --type run"},
    [CMD_AUDIT] = {"audit", "keep", "[SPINDLE]",
                   "is every record of the log as it was written?",
                   "Holds every line of the log of SPINDLE, or of all logs of the folder, against\n"
                   "its seal, and names those that are bad. The newest records can be cut off\n"
                   "without a trace: write down the number and seal that it prints last, and give\n"
                   "them the next time as --expect.",
                   "reseat audit mill-2"},
    [CMD_GAUGE] = {"gauge", "keep", "[ID [--gauge KIND --diameter L]]",
                   "the gauges, their certificates and when they are due",
                   "Without ID lists the gauges of the register, gauges.jsonl of the folder, and\n"
                   "what is due. With KIND and diameter a certificate is recorded; --new begins\n"
                   "the register. --gauge-id ID of reduce, record run and find-seat takes over\n"
                   "what the register says at the time, and refuses what disagrees. A mistake is\n"
                   "taken back by reseat record gauges void SEQ --why TEXT.",
                   "reseat gauge R50 --gauge ring --diameter 50.0021 --due 2027-03-02"},
    [CMD_DRIFT] = {"drift", "watch", "SPINDLE",
                   "how the offset has moved from run to run",
                   "Shows what the runs of a probe say together: what stands out, when the next\n"
                   "one is due, limits and trends of offset, radius and stylus length, a chart of\n"
                   "the offset's length, and the runs. X and Y are those of the probe: the seat's\n"
                   "turn is taken off, and the spindle's part if the policy knows it.",
                   "reseat drift hmc-1"},
    [CMD_OVERVIEW] = {"overview", "watch", "",
                      "all spindles at once, the worst first",
                      "Shows the verdict on every probe of every log, its expected error beside\n"
                      "the limit, the age of its run and when it is due; below that why, and what\n"
                      "drift finds. Damaged logs come first.",
                      "reseat overview"},
    [CMD_SUSPECT] = {"suspect", "watch", "SPINDLE",
                     "since when results were doubtful, as it turned out later",
                     "Lists from the log each window in which results are doubtful: from the\n"
                     "last time the probe was known good, by a run or a gauge check that passed,\n"
                     "to the record that measured it since; what offset was expected and found,\n"
                     "and by how much positions measured in the window may be off. Open windows\n"
                     "come first: whatever check holds against the probe now, but age and\n"
                     "scatter. A stylus change begins a window of its own.",
                     "reseat suspect mill-2"},
    [CMD_REPORT] = {"report", "watch", "SPINDLE -o FILE.html | -o FOLDER",
                    "a page to look at, print and mail",
                    "Writes one page with nothing beside it: the verdict, charts of the runs over\n"
                    "time, where the offset lies, what a turn does, the budget, and every record.\n"
                    "Things are as they stood when the newest record was written, unless --as-of\n"
                    "says otherwise: the same log gives the same page. Without SPINDLE -o names\n"
                    "a folder, made if it is not there: a page a spindle, and index.html with a\n"
                    "row a probe, the worst first.",
                    "reseat report mill-2 -o mill-2.html"},
    [CMD_REDUCE] = {"reduce", "measure",
                    "TOUCHES.csv --gauge KIND [--diameter L]",
                    "from the touches of a gauge to offset and radius",
                    "Reads touches from a CSV file, - for standard input, with the columns\n"
                    "  turn_deg          spindle turned by; 0 if absent\n"
                    "  dir_deg           direction of motion; from the geometry if absent\n"
                    "  x_mm y_mm [z_mm]  spindle position, or all _in, or all _um\n"
                    "  set               number of the repeat, if touches were repeated\n"
                    "and finds offset and radius with their uncertainty, the lobes of the probe,\n"
                    "and what is doubtful: touches that do not belong, a gauge that moved. Best\n"
                    "turns are 0, 180 and 0 again. A bore or boss needs no diameter. --record has\n"
                    "the run go into the log, unless it is doubtful: also --probe and --seat.",
                    "reseat reduce touches.csv --gauge ring --diameter 50.0021"},
    [CMD_STUDY] = {"study", "measure", "SEATINGS.csv",
                   "from repeated reseats to the scatter of one",
                   "Reads seatings from a CSV file, - for standard input, with the columns\n"
                   "  seat_deg                  where the probe sat\n"
                   "  offset_x_mm offset_y_mm   what a whole run found there; or else\n"
                   "  x_mm y_mm                 how a fixed gauge's centre read\n"
                   "or all lengths _in, or all _um. Finds how much one seating scatters, and\n"
                   "from two or more seats the parts of the offset that stay with the spindle\n"
                   "and turn with the probe. With --record they go into the spindle's policy.\n"
                   "A row that does not fit the others, counted with the header's as 1, is named\n"
                   "first: most often its seat is not what was written down.",
                   "reseat study reseats.csv --record mill-2"},
    [CMD_FIND_SEAT] = {"find-seat", "measure",
                       "SPINDLE | --offset X,Y --at-0 X,Y --at-180 X,Y",
                       "from one check at the machine to the seat of the probe",
                       "Finds the turn that a check fits: one of --seat keys:N, or any, to lie in\n"
                       "the interval of --seat 180+-5; without --seat the log says which are\n"
                       "possible. A check is one of these:\n"
                       "  --at-0 --at-180     the centre of any bore, boss or ball, read with the\n"
                       "                      spindle at its stop and turned by half a turn\n"
                       "  --shift --shift-u   by how much a gauge reads off since the calibration\n"
                       "  --reading           its centre now, if the run has one of --gauge-id\n"
                       "  --now [--then]      touches, as reduce reads them; --now alone if the\n"
                       "                      spindle was turned\n"
                       "With --record the check goes into the log, explained or not, and the seat\n"
                       "if one was found.",
                       "reseat find-seat mill-2 --at-0 120.0034,80.0012 --at-180 119.9966,79.9988"},
    [CMD_CORRECT] = {"correct", "measure",
                     "[SPINDLE] RESULTS.csv --datum DATUM [--offset X,Y --seat SEAT]",
                     "put right what was measured with the turned probe",
                     "Reads results taken since the reseat, - for standard input, with columns\n"
                     "  kind      point, or surface for one touch; other rows pass as they are\n"
                     "  x_mm y_mm as reported, or both _in, or both _um\n"
                     "  dir_deg   of a surface: approach direction, degrees from +X\n"
                     "and any others, and prints them, or writes them to -o FILE, with\n"
                     "corrected_x_mm, corrected_y_mm and u_mm (or _in, _um) behind. DATUM is\n"
                     "  machine   machine coordinates\n"
                     "  before    a datum set with the probe as calibrated\n"
                     "  same      datum and features in the same turned seat: nothing is changed\n"
                     "One seat must be known, from the log or typed; or a check of this seating\n"
                     "measured the error, on record or typed as for find-seat (exit 1 if no seat\n"
                     "explains it): then surfaces alone need the seat, and only if lobes are on\n"
                     "record. Where nothing was wrong nothing is written. X and Y must lie along\n"
                     "the machine's axes, and no table have turned in between.",
                     "reseat correct --offset 0.012,-0.005 --seat 180 results.csv --datum machine"},
};

const command_row *command_table(void)
{
    return commands;
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

const option *option_table(void)
{
    return options;
}

option_text option_key(const char *name)
{
    option_text key;
    snprintf(key.text, sizeof key.text, "%s%.60s", name[0] && !name[1] ? "-" : "--", name);
    return key;
}

const char *option_choices(option_id id)
{
    switch (id) {
    case OPT_DATUM: return "machine before same";
    case OPT_FORMAT: return "table csv";
    case OPT_GAUGE: return reseat_field_about(RESEAT_FIELD_GAUGE)->choices;
    case OPT_TYPE: return "run reseat event verify policy verdict void gauge";
    case OPT_UNIT: return "mm um in thou";
    default: return NULL;
    }
}

bool command_takes(command_id command, option_id id)
{
    return (options[id].commands & ON(command)) != 0;
}
