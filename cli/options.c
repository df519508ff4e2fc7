/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "options.h"

#define ON(command) (1u << (command))
#define FINDINGS (ON(CMD_REDUCE) | ON(CMD_STUDY))
#define VERDICTS (ON(CMD_CHECK) | ON(CMD_ALLOWED))
#define TURNED (VERDICTS | ON(CMD_EFFECTS) | ON(CMD_CORRECT))
#define SEATED (TURNED | ON(CMD_FIND_SEAT))
#define GAUGES (ON(CMD_REDUCE) | ON(CMD_FIND_SEAT))
#define LOGS (SEATED | ON(CMD_RECORD) | ON(CMD_HISTORY) | ON(CMD_DRIFT) | ON(CMD_OVERVIEW) | \
              ON(CMD_REPORT) | ON(CMD_SUSPECT) | FINDINGS)
#define ALL ((1u << COMMAND_COUNT) - 1u)
#define PROBES (ALL & ~(ON(CMD_AUDIT) | ON(CMD_STUDY)))

static const option table[OPTION_COUNT] = {
    [OPT_OFFSET] = {"offset", KIND_PAIR, "X,Y", SEATED | ON(CMD_RECORD),
                    "stylus offset as stored in the control"},
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
    [OPT_IN_USE] = {"in-use", KIND_PAIR, "X,Y",
                    (SEATED & ~ON(CMD_ALLOWED)) | ON(CMD_RECORD) | ON(CMD_REDUCE),
                    "offset that the control adds, if not the one found"},
    [OPT_FOUND] = {"found", KIND_PAIR, "X,Y", ON(CMD_RECORD) | ON(CMD_REDUCE),
                   "offset as found, before it was set anew"},
    [OPT_SHIFT] = {"shift", KIND_PAIR, "DX,DY",
                   ON(CMD_RECORD) | ON(CMD_FIND_SEAT) | ON(CMD_CORRECT),
                   "by how much the gauge reads off: reading now minus reading then"},
    [OPT_SHIFT_U] = {"shift-u", KIND_POSITIVE, "U", ON(CMD_FIND_SEAT) | ON(CMD_CORRECT),
                     "its standard uncertainty, per axis: both readings and the gauge"},
    [OPT_THEN] = {"then", KIND_TEXT, "FILE.csv", ON(CMD_FIND_SEAT),
                  "touches of the gauge at the calibration's seat, instead of --shift"},
    [OPT_NOW] = {"now", KIND_TEXT, "FILE.csv", ON(CMD_FIND_SEAT),
                 "touches of the same gauge as the probe sits now"},
    [OPT_DATUM] = {"datum", KIND_TEXT, "DATUM", ON(CMD_CORRECT),
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
    [OPT_NEW] = {"new", KIND_FLAG, "", ON(CMD_RECORD) | FINDINGS,
                 "begin the log of this spindle"},
    [OPT_DRY_RUN] = {"dry-run", KIND_FLAG, "", ON(CMD_RECORD) | FINDINGS,
                     "print the line that would be written, write nothing"},
    [OPT_RECORD] = {"record", KIND_FLAG, "", ON(CMD_CHECK), "write the verdict into the log"},
    [OPT_RECORD_FOUND] = {"record", KIND_FLAG, "", ON(CMD_FIND_SEAT),
                          "write the check, and the seat it found, into the log"},
    [OPT_RECORD_IN] = {"record", KIND_TEXT, "SPINDLE", FINDINGS,
                       "write what was found into that log"},
    [OPT_GAUGE] = {"gauge", KIND_TEXT, "KIND", GAUGES, "ring, plug or sphere"},
    [OPT_DIAMETER] = {"diameter", KIND_POSITIVE, "L", GAUGES,
                      "its certified diameter, at 20 degrees Celsius"},
    [OPT_DIAMETER_U] = {"diameter-u", KIND_UNCERTAINTY, "U", GAUGES,
                        "standard uncertainty of the diameter (0)"},
    [OPT_TEMPERATURE] = {"temperature", KIND_NUMBER, "C", GAUGES,
                         "temperature of gauge and machine, Celsius (20)"},
    [OPT_TEMPERATURE_U] = {"temperature-u", KIND_NUMBER_U, "C", GAUGES,
                           "its standard uncertainty (0.5)"},
    [OPT_EXPANSION] = {"expansion", KIND_NUMBER, "A", GAUGES,
                       "thermal expansion of the gauge, per kelvin (11.5e-6)"},
    [OPT_EXPANSION_U] = {"expansion-u", KIND_NUMBER_U, "A", GAUGES,
                         "its standard uncertainty (1.15e-6)"},
    [OPT_CENTRE] = {"centre", KIND_PAIR, "X,Y", ON(CMD_REDUCE),
                    "where the gauge stands, if known from elsewhere"},
    [OPT_CENTRE_U] = {"centre-u", KIND_UNCERTAINTY, "U", ON(CMD_REDUCE),
                      "its standard uncertainty, per axis"},
    [OPT_DROP_OUTLIERS] = {"drop-outliers", KIND_FLAG, "", ON(CMD_REDUCE),
                           "leave out the touches that do not belong, and reduce again"},
    [OPT_DESPITE_DAMAGE] = {"despite-damage", KIND_FLAG, "", LOGS,
                            "go on although the log is damaged; it is said"},
    [OPT_SINCE] = {"since", KIND_TIME, "TIME", ON(CMD_HISTORY), "records of facts from then on"},
    [OPT_UNTIL] = {"until", KIND_TIME, "TIME", ON(CMD_HISTORY), "records of facts up to then"},
    [OPT_TYPE] = {"type", KIND_TEXT, "TYPE", ON(CMD_HISTORY),
                  "run, reseat, event, verify, policy, verdict or void"},
    [OPT_FORMAT] = {"format", KIND_TEXT, "FORMAT", ON(CMD_HISTORY), "table or csv (table)"},
    [OPT_EXPECT] = {"expect", KIND_TEXT, "SEQ:SEAL", ON(CMD_AUDIT),
                    "a record that must be there, as it was written down"},
    [OPT_OUTPUT] = {"o", KIND_TEXT, "FILE", ON(CMD_REPORT) | ON(CMD_CORRECT),
                    "the file to write, - for standard output"},
    [OPT_FORCE] = {"force", KIND_FLAG, "", ON(CMD_REPORT) | ON(CMD_CORRECT),
                   "replace a file that is there already; a log never is"},
    [OPT_LOG] = {"log", KIND_TEXT, "DIR", ALL, "folder of the logs (else RESEAT_LOG says it)"},
    [OPT_PROBE] = {"probe", KIND_TEXT, "NAME", PROBES, "which probe, where there are several"},
    [OPT_TIP] = {"tip", KIND_TEXT, "NAME", PROBES, "which tip of its stylus (main)"},
    [OPT_AS_OF] = {"as-of", KIND_TIME, "TIME", PROBES & ~(ON(CMD_RECORD) | ON(CMD_REDUCE)),
                   "as things stood then, 2026-03-02T06:00:00Z"},
    [OPT_UNIT] = {"unit", KIND_UNIT, "UNIT", ALL & ~ON(CMD_AUDIT),
                  "mm, um, in or thou: of bare lengths, and of what is printed (mm)"},
    [OPT_JSON] = {"json", KIND_FLAG, "", ALL, "one JSON object, always mm and degrees"},
    [OPT_HELP] = {"help", KIND_FLAG, "", ALL, "help on the command, text also with --json"},
    [OPT_VERSION] = {"version", KIND_FLAG, "", ALL, "the version"},
};

const option *option_table(void)
{
    return table;
}

const char *option_key(const char *name, char *out, size_t size)
{
    snprintf(out, size, "%s%s", name[0] && !name[1] ? "-" : "--", name);
    return out;
}

const char *option_choices(option_id id)
{
    switch (id) {
    case OPT_DATUM: return "machine before same";
    case OPT_FORMAT: return "table csv";
    case OPT_GAUGE: return reseat_field_about(RESEAT_FIELD_GAUGE)->choices;
    case OPT_TYPE: return "run reseat event verify policy verdict void";
    case OPT_UNIT: return "mm um in thou";
    default: return NULL;
    }
}

bool command_takes(command_id command, option_id id)
{
    return (table[id].commands & ON(command)) != 0;
}

const char *field_option_name(reseat_field field, char *out, size_t size)
{
    reseat_field_option(field, out, size);
    return out;
}

/* Fields that other options fill, or the log itself. */
static bool is_filled_otherwise(reseat_field field)
{
    switch (field) {
    case RESEAT_FIELD_V:
    case RESEAT_FIELD_SEQ:
    case RESEAT_FIELD_TYPE:
    case RESEAT_FIELD_RECORDED_AT:
    case RESEAT_FIELD_SEAL:
    case RESEAT_FIELD_SPINDLE:
    case RESEAT_FIELD_FORMAT:
    case RESEAT_FIELD_VOIDS:
    case RESEAT_FIELD_SEAT_DEG:
    case RESEAT_FIELD_OFFSET_X_MM:
    case RESEAT_FIELD_OFFSET_Y_MM:
    case RESEAT_FIELD_IN_USE_X_MM:
    case RESEAT_FIELD_IN_USE_Y_MM:
    case RESEAT_FIELD_FOUND_X_MM:
    case RESEAT_FIELD_FOUND_Y_MM:
    case RESEAT_FIELD_SHIFT_X_MM:
    case RESEAT_FIELD_SHIFT_Y_MM:
    case RESEAT_FIELD_SPINDLE_X_MM:
    case RESEAT_FIELD_SPINDLE_Y_MM: return true;
    default: return false;
    }
}

bool type_is_typed(reseat_record_type type)
{
    static const unsigned typed = 1u << RESEAT_RECORD_RUN | 1u << RESEAT_RECORD_RESEAT |
                                  1u << RESEAT_RECORD_EVENT | 1u << RESEAT_RECORD_VERIFY |
                                  1u << RESEAT_RECORD_POLICY | 1u << RESEAT_RECORD_VOID;
    return (typed & 1u << type) != 0;
}

bool field_is_typed(reseat_field field, reseat_record_type type)
{
    const reseat_field_row *row = reseat_field_about(field);
    return row && ((row->required | row->optional) & 1u << type) && !is_filled_otherwise(field);
}

bool field_goes_with(reseat_field field, command_id command)
{
    switch (field) {
    case RESEAT_FIELD_BY:
    case RESEAT_FIELD_NOTE:
        return command == CMD_CHECK || command == CMD_REDUCE || command == CMD_STUDY ||
               command == CMD_FIND_SEAT;
    case RESEAT_FIELD_GAUGE_ID: return command == CMD_REDUCE || command == CMD_FIND_SEAT;
    case RESEAT_FIELD_AT:
    case RESEAT_FIELD_STYLUS_LENGTH_MM:
    case RESEAT_FIELD_FEED_MM_MIN: return command == CMD_REDUCE;
    default: return false;
    }
}

bool field_of_command(reseat_field field, command_id command)
{
    if (command != CMD_RECORD)
        return field_goes_with(field, command);
    for (int type = 0; type < RESEAT_RECORD_TYPE_COUNT; type++)
        if (type_is_typed((reseat_record_type)type) &&
            field_is_typed(field, (reseat_record_type)type))
            return true;
    return false;
}

bool field_is_dropped(reseat_field field)
{
    const reseat_field_row *row = reseat_field_about(field);
    const unsigned types = row ? row->required | row->optional : 0;
    const bool of_every_record = (types & 1u << RESEAT_RECORD_LOG) != 0;
    return (types & 1u << RESEAT_RECORD_POLICY) && !of_every_record;
}
