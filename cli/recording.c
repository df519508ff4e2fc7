/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "recording.h"

#include <inttypes.h>
#include <math.h>
#include <string.h>
#include <time.h>
#include "files.h"
#include "log_target.h"
#include "request.h"
#include "show/record_summary.h"

draft draft_begin(arguments *args, reseat_record_type type)
{
    draft d = {.args = args};
    d.status = reseat_record_new(type, &d.record);
    return d;
}

void draft_end(draft *d)
{
    reseat_record_free(d->record);
}

void draft_number(draft *d, reseat_field field, double value)
{
    if (d->status == RESEAT_OK && !isnan(value))
        d->status = reseat_record_set_number(d->record, field, value, &d->args->error);
}

void draft_integer(draft *d, reseat_field field, int64_t value)
{
    if (d->status == RESEAT_OK)
        d->status = reseat_record_set_integer(d->record, field, value, &d->args->error);
}

void draft_text(draft *d, reseat_field field, const char *text)
{
    if (d->status == RESEAT_OK && text)
        d->status = reseat_record_set_text(d->record, field, text, &d->args->error);
}

void draft_typed(draft *d, reseat_field field, const char *text)
{
    if (d->status == RESEAT_OK && text)
        d->status = reseat_record_set_typed(d->record, field, text, d->args->unit, &d->args->error);
}

void draft_numbers(draft *d, reseat_field field, const double *values, size_t count)
{
    if (d->status == RESEAT_OK && count > 0)
        d->status = reseat_record_set_numbers(d->record, field, values, count, &d->args->error);
}

void draft_words(draft *d, reseat_field field, const char *const *texts, size_t count)
{
    for (size_t i = 0; d->status == RESEAT_OK && i < count; i++)
        d->status = reseat_record_add_text(d->record, field, texts[i], &d->args->error);
}

void draft_gauge(draft *d, const gauge_option *row, const option_value *typed)
{
    const reseat_kind kind = reseat_field_about(row->field)->shape->kind;
    if (!typed->given)
        return;
    if (kind == RESEAT_KIND_NUMBER)
        draft_number(d, row->field, typed->number);
    else if (kind == RESEAT_KIND_TIME)
        draft_integer(d, row->field, typed->time);
    else
        draft_text(d, row->field, typed->text);
}

void draft_pair(draft *d, option_id id, reseat_xy mm)
{
    draft_number(d, pair_of_option(id)->x, mm.x);
    draft_number(d, pair_of_option(id)->y, mm.y);
}

void draft_person(draft *d)
{
    const char *typed = d->args->fields[RESEAT_FIELD_BY].text;
    const bool sound = d->status == RESEAT_OK;
    draft_typed(d, RESEAT_FIELD_BY, typed ? typed : log_target_person());
    if (sound && d->status != RESEAT_OK && !typed)
        snprintf(d->args->error.key, sizeof d->args->error.key, "RESEAT_BY");
}

void draft_fields(draft *d)
{
    const option_value *fields = d->args->fields;
    for (int field = 0; field < RESEAT_FIELD_COUNT; field++)
        if (field != RESEAT_FIELD_BY)
            draft_typed(d, (reseat_field)field, fields[field].text);
    draft_person(d);
}

void draft_options(draft *d)
{
    const option_value *options = d->args->options;
    for (size_t i = 0; i < PAIR_COUNT; i++)
        if (options[pair_table()[i].option].given)
            draft_pair(d, pair_table()[i].option, options[pair_table()[i].option].pair);
    if (d->status == RESEAT_OK && options[OPT_SEAT_WRITTEN].given)
        d->status = reseat_record_set_seat(d->record, &options[OPT_SEAT_WRITTEN].seat,
                                           &d->args->error);
    draft_typed(d, RESEAT_FIELD_PROBE, options[OPT_PROBE].text);
    draft_typed(d, RESEAT_FIELD_TIP, options[OPT_TIP].text);
    draft_fields(d);
}

/* On a damaged log none is taken: the line that cannot be read may name another. */
void draft_choose_probe(draft *d)
{
    char probe[RESEAT_RECORD_NAME_MAX + 1];
    reseat_state_request query = d->args->log;
    query.despite_damage = false;
    if (d->status != RESEAT_OK || query.probe)
        return;
    d->status = reseat_state_probe(&query, probe, &d->args->error);
    if (d->status == RESEAT_ERR_NOT_FOUND || d->status == RESEAT_ERR_DAMAGED) {
        d->status = RESEAT_OK;
        d->args->error = (reseat_error){0};
        return;
    }
    draft_text(d, RESEAT_FIELD_PROBE, probe);
    if (d->status != RESEAT_OK)
        return;
    fprintf(stderr, "reseat: probe ");
    text_put(stderr, reseat_text_terminal, probe, strlen(probe));
    fprintf(stderr, ", as no other has runs\n");
}

/* The field that an error is about: the library names it, or its option less the dashes. */
static reseat_field field_of(const char *key)
{
    reseat_field field = reseat_field_find(key);
    for (int i = 0; field == RESEAT_FIELD_COUNT && i < RESEAT_FIELD_COUNT; i++)
        if (strcmp(field_option((reseat_field)i).text, key) == 0)
            field = (reseat_field)i;
    return field;
}

/* What is expected where a field is missing. */
static void expect(reseat_field field, reseat_error *error)
{
    const reseat_field_row *row = reseat_field_about(field);
    const option_pair *pair = pair_of_field(field);
    const char *what = pair ? "" : row->choices ? "one of " : "a value: ";
    const char *value = pair ? option_table()[pair->option].value
                             : row->choices ? row->choices : row->meaning;
    snprintf(error->text, sizeof error->text, "missing; expected %s%s", what, value);
}

/* Fields by the options that they are. */
static void name_options(command_id command, reseat_error *error)
{
    const reseat_field field = field_of(error->key);
    const reseat_field other = reseat_field_find(error->other_key);
    if (field == RESEAT_FIELD_COUNT)
        return;
    snprintf(error->key, sizeof error->key, "%s", field_key_of(field, command).text);
    if (error->code == RESEAT_CODE_MISSING)
        expect(field, error);
    if (error->code == RESEAT_CODE_MISSING_PARTNER)
        snprintf(error->text, sizeof error->text, "missing, as --%s is there",
                 field_option(other).text);
    if (error->code == RESEAT_CODE_COUNT_DIFFERS)
        snprintf(error->text, sizeof error->text, "must be as many as --%s",
                 field_option(other).text);
}

void gauge_overdue_say(const reseat_record *record)
{
    char id[RESEAT_RECORD_NAME_MAX + 1];
    const int64_t due = reseat_record_integer(record, RESEAT_FIELD_GAUGE_DUE_AT, -1);
    reseat_record_show(record, RESEAT_FIELD_GAUGE_ID, id, sizeof id);
    fprintf(stderr, "reseat: " RESEAT_DOUBT_GAUGE_OVERDUE ": gauge ");
    text_put(stderr, reseat_text_terminal, id, strlen(id));
    if (reseat_record_has(record, RESEAT_FIELD_GAUGE_DUE_AT))
        fprintf(stderr, " was due on %s", words_date(due).text);
    else
        fprintf(stderr, " was past due");
    fprintf(stderr, ": have it certified; its diameter tells in the radius, not in the offset\n");
}

bool draft_is_sound(draft *d)
{
    if (d->status != RESEAT_OK)
        name_options(d->args->command, &d->args->error);
    return succeeded(d->args, d->status, NULL);
}

/* A run unlike those before it is most often a slip in typing. */
static void warn_if_odd(const reseat_state_request *log, const reseat_record *record)
{
    char text[256];
    reseat_drift_newest newest;
    if (reseat_record_type_of(record) != RESEAT_RECORD_RUN ||
        reseat_outlook_newest(log->dir, log->spindle, record, &newest) != RESEAT_OK ||
        !(newest.p < RESEAT_DRIFT_P_FOUND))
        return;
    const reseat_drift_finding odd = {.code = RESEAT_DRIFT_NEWEST_RUN_ODD, .seq = newest.seq,
                                      .runs = newest.before + 1, .p = newest.p};
    (void)reseat_drift_finding_text(&odd, RESEAT_MM, text, sizeof text);
    fprintf(stderr, "reseat: %s\n", text);
}

/* What can be done about it; a clock that lags is an error about `at`, which few take typed. */
static void advise(command_id command, reseat_error *error)
{
    const size_t length = strlen(error->text);
    const char *advice = "";
    if (error->code == RESEAT_CODE_NO_LOG || error->code == RESEAT_CODE_EMPTY_LOG)
        advice = "; --new begins one";
    else if (error->code == RESEAT_CODE_CLOCK_BEHIND && field_of_command(RESEAT_FIELD_AT, command))
        advice = ", or say when it happened";
    else if (error->code == RESEAT_CODE_CLOCK_BEHIND)
        error->key[0] = '\0';
    snprintf(error->text + length, sizeof error->text - length, "%s", advice);
    name_options(command, error);
}

/* What is new with a record that a person must know: it may be a slip. */
static void say_new(const draft *d, const reseat_recorded *recorded)
{
    const char *spindle = d->args->log.spindle;
    char shown[2 * RESEAT_RECORD_NAME_MAX];
    const char *probe = reseat_record_text(d->record, RESEAT_FIELD_PROBE);
    const char *tip = reseat_record_text(d->record, RESEAT_FIELD_TIP);
    const char *id = reseat_record_text(d->record, RESEAT_FIELD_GAUGE_ID);
    const char *name = !recorded->new_tip ? probe : tip ? tip : "main";
    reseat_text_terminal(name ? name : "", name ? strlen(name) : 0, shown, sizeof shown);
    if (recorded->new_log)
        fprintf(stderr, "reseat: the log of %s is new\n", spindle);
    if (recorded->new_probe)
        fprintf(stderr, "reseat: probe %s is new in %s\n", shown, spindle);
    if (recorded->other_log[0])
        fprintf(stderr, "reseat: it is the probe of that name in the log of %s\n",
                recorded->other_log);
    if (recorded->new_tip)
        fprintf(stderr, "reseat: tip %s is new\n", shown);
    if (recorded->new_gauge && recorded->appended.began)
        fprintf(stderr, "reseat: the register of gauges is new\n");
    if (recorded->new_gauge) {
        reseat_text_terminal(id ? id : "", id ? strlen(id) : 0, shown, sizeof shown);
        fprintf(stderr, "reseat: gauge %s is new in the register\n", shown);
    }
}

/* What else came of a record. */
static void say_recorded(const draft *d, const reseat_recorded *recorded)
{
    if (recorded->snapped)
        fprintf(stderr, "reseat: counts as seat %s, which the keys allow\n",
                words_degrees(recorded->seat_deg).text);
    if (recorded->voided_run >= 0 && recorded->run_in_force >= 0)
        fprintf(stderr,
                "reseat: in force now: run %" PRId64 "; does the control still hold the offset of "
                "run %" PRId64 "?\n", recorded->run_in_force, recorded->voided_run);
    else if (recorded->voided_run >= 0)
        fprintf(stderr, "reseat: no run of that probe is in force now: calibrate again\n");
    else if (recorded->run_in_force >= 0)
        fprintf(stderr, "reseat: run %" PRId64 " is later and stays in force\n",
                recorded->run_in_force);
    if (recorded->later_gauge >= 0)
        fprintf(stderr, "reseat: record %" PRId64 " of that gauge is later and stays in force\n",
                recorded->later_gauge);
    if (recorded->gauge == RESEAT_GAUGE_OVERDUE && d->args->command == CMD_RECORD)
        gauge_overdue_say(d->record);
    if (recorded->first_policy && !reseat_record_has(d->record, RESEAT_FIELD_RESEATS))
        fprintf(stderr, "reseat: reseats: logged, so every time it is out must be recorded; it "
                        "lives in the magazine? --reseats changer\n");
}

/* Fields of the policy before that are not to be carried over. */
static void list_dropped(const arguments *args, reseat_field *drop, reseat_append *how)
{
    how->drop = drop;
    for (int field = 0; field < RESEAT_FIELD_COUNT; field++) {
        if (!args->dropped[field].given)
            continue;
        const option_pair *pair = pair_of_field((reseat_field)field);
        drop[how->drop_count++] = (reseat_field)field;
        if (pair)
            drop[how->drop_count++] = pair->y;
    }
}

bool draft_append(draft *d, reseat_appended *done)
{
    arguments *args = d->args;
    reseat_field drop[RESEAT_FIELD_COUNT + 1];
    reseat_recorded recorded;
    reseat_record_request asked = {
        .dir = args->log.dir, .spindle = args->log.spindle,
        .begin = args->options[OPT_NEW].given, .late = args->options[OPT_LATE].given,
        .append = {.despite_damage = args->options[OPT_DESPITE_DAMAGE].given,
                   .dry_run = args->options[OPT_DRY_RUN].given}};
    if (!draft_is_sound(d))
        return false;
    asked.append.carry = reseat_record_type_of(d->record) == RESEAT_RECORD_POLICY;
    list_dropped(args, drop, &asked.append);
    d->status = reseat_record_enter(&asked, d->record, &recorded, &args->error);
    if (d->status != RESEAT_OK) {
        advise(args->command, &args->error);
        return log_succeeded(args, d->status);
    }
    *done = recorded.appended;
    say_new(d, &recorded);
    say_recorded(d, &recorded);
    warn_if_odd(&args->log, d->record);
    return true;
}

void recorded_check_output(const reseat_appended *done)
{
    if (!output_is_sound())
        fprintf(stderr, "reseat: recorded as %" PRId64 " all the same\n", done->seq);
}

bool recording_without_fields(arguments *args, const char *text)
{
    for (int field = 0; field < RESEAT_FIELD_COUNT; field++)
        if (args->fields[field].given)
            return refuse(args, field_key((reseat_field)field).text, text);
    return true;
}

bool recording_needs_seat(arguments *args)
{
    return args->options[OPT_SEAT_WRITTEN].given ||
           refuse(args, "--seat", "expected the seat angle, or unknown if nobody wrote it down");
}

/* When the gauge was touched. */
static int64_t touched_at(const arguments *args)
{
    const char *typed = args->fields[RESEAT_FIELD_AT].text;
    int64_t at = args->log.as_of ? args->log.as_of : (int64_t)time(NULL);
    if (typed) /* one that does not read is refused where it is recorded */
        (void)reseat_time_parse(typed, strlen(typed), &at, NULL);
    return at;
}

/* What was typed of the gauge, as a record of it. */
static void put_typed(draft *d)
{
    const option_value *options = d->args->options;
    draft_typed(d, RESEAT_FIELD_GAUGE_ID, d->args->fields[RESEAT_FIELD_GAUGE_ID].text);
    for (size_t i = 0; i < GAUGE_OPTION_COUNT; i++)
        draft_gauge(d, &gauge_options()[i], &options[gauge_options()[i].option]);
}

/* What the register says, as if it had been typed. */
static void take_registered(arguments *args, const reseat_record *gauge)
{
    for (size_t i = 0; i < GAUGE_OPTION_COUNT; i++) {
        const gauge_option *row = &gauge_options()[i];
        option_value *value = &args->options[row->option];
        const char *text = reseat_record_text(gauge, row->field);
        if (value->given || !reseat_record_has(gauge, row->field))
            continue;
        value->given = true;
        value->number = reseat_record_number(gauge, row->field, 0);
        if (row->option != OPT_GAUGE ||
            reseat_gauge_kind_parse(text, strlen(text), &value->gauge, NULL) != RESEAT_OK)
            continue;
        value->text = reseat_gauge_kind_name(value->gauge);
    }
}

/* Without a register the id of a gauge is for the record alone. */
static bool is_of_use(arguments *args)
{
    return args->gauge_standing != RESEAT_GAUGE_UNREGISTERED || args->command != CMD_REDUCE ||
           args->options[OPT_RECORD_IN].given ||
           refuse(args, "--gauge-id", "goes with --record SPINDLE only, as no register of gauges "
                  "is there: see reseat gauge --help");
}

bool recording_gauge(arguments *args)
{
    const reseat_state_request asked = {
        .dir = log_target_folder(args), .as_of = touched_at(args), .as_known = args->log.as_known};
    draft d;
    if (!args->fields[RESEAT_FIELD_GAUGE_ID].given || args->gauge_asked)
        return true;
    if (!asked.dir)
        return is_of_use(args);
    d = draft_begin(args, RESEAT_RECORD_GAUGE);
    put_typed(&d);
    if (d.status == RESEAT_OK)
        d.status = reseat_gauge_fill(&asked, d.record, &args->gauge_standing, &args->error);
    const bool sound = draft_is_sound(&d);
    if (sound && args->gauge_standing == RESEAT_GAUGE_OVERDUE)
        gauge_overdue_say(d.record);
    if (sound)
        take_registered(args, d.record);
    args->gauge_asked = true;
    draft_end(&d);
    return sound && is_of_use(args);
}

bool finding_check(arguments *args)
{
    static const option_id ids[] = {OPT_SEAT_WRITTEN, OPT_IN_USE, OPT_FOUND,
                                    OPT_NEW,          OPT_DRY_RUN, OPT_DESPITE_DAMAGE,
                                    OPT_LOG,          OPT_PROBE,  OPT_TIP, OPT_DESPITE_DOUBTS};
    static const char text[] = "goes with --record SPINDLE only";
    option_value *gauge_id = &args->fields[RESEAT_FIELD_GAUGE_ID], *log = &args->options[OPT_LOG];
    const option_value typed = *gauge_id, folder = *log;
    if (args->options[OPT_RECORD_IN].given)
        return true;
    gauge_id->given = false; /* the register may know it, where the folder is said */
    log->given = folder.given && !typed.given;
    const bool without = request_without(args, ids, sizeof ids / sizeof ids[0], text) &&
                         recording_without_fields(args, text);
    *gauge_id = typed;
    *log = folder;
    return without;
}

bool finding_finish(arguments *args, const finding *f, draft *record)
{
    reseat_appended done;
    size_t length = 0;
    if (record && !draft_append(record, &done))
        return false;
    if (record && args->options[OPT_DRY_RUN].given)
        recorded_pieces(stderr, "reseat: ", "would be", &done);
    if (record && args->options[OPT_DRY_RUN].given)
        return printf("%s\n", reseat_record_line(record->record, &length)) > 0;
    if (args->json) {
        json j = json_begin(stdout);
        if (f->keys)
            f->keys(&j, f->found);
        if (record)
            recorded_json(&j, &done);
        json_end(&j);
    } else {
        f->screen(args, f->found);
        if (record)
            recorded_print(args->log.spindle, reseat_record_type_of(record->record), &done);
    }
    if (record)
        recorded_check_output(&done);
    return true;
}
