/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Records, and logs that nobody appends to. */
#include "jobs.h"
#include "history/drift.h"
#include "history/state.h"
#include "history/suspect.h"
#include "log/file.h"
#include "log/record.h"

static void fill_run(reseat_record *record)
{
    static const double dirs[] = {0, 90, 180, 270}, radii[] = {2.9, 2.901, 2.9, 2.902};
    const reseat_seat seat = {.kind = RESEAT_SEAT_ANGLE, .seat_deg = 180};
    demand(reseat_record_set_text(record, RESEAT_FIELD_PROBE, "P1", NULL) == RESEAT_OK);
    demand(reseat_record_set_integer(record, RESEAT_FIELD_SEQ, 1, NULL) == RESEAT_OK);
    demand(reseat_record_set_integer(record, RESEAT_FIELD_AT, 1772431200, NULL) == RESEAT_OK);
    demand(reseat_record_set_typed(record, RESEAT_FIELD_RECORDED_AT, "2026-03-02T06:00:00Z",
                                   RESEAT_MM, NULL) == RESEAT_OK);
    demand(reseat_record_set_seat(record, &seat, NULL) == RESEAT_OK);
    demand(reseat_record_set_number(record, RESEAT_FIELD_OFFSET_X_MM, 0.1 / 3, NULL) == RESEAT_OK);
    demand(reseat_record_set_typed(record, RESEAT_FIELD_OFFSET_Y_MM, "0.0001in", RESEAT_MM,
                                   NULL) == RESEAT_OK);
    demand(reseat_record_set_numbers(record, RESEAT_FIELD_DIRS_DEG, dirs, 4, NULL) == RESEAT_OK);
    demand(reseat_record_set_numbers(record, RESEAT_FIELD_RADII_MM, radii, 4, NULL) == RESEAT_OK);
    demand(reseat_record_set_text(record, RESEAT_FIELD_NOTE, "to go", NULL) == RESEAT_OK);
    record_clear(record, RESEAT_FIELD_NOTE);
}

static void note_record(notes *n, const reseat_record *record)
{
    char out[256];
    size_t count = 0;
    note_count(n, reseat_record_type_of(record));
    for (int field = 0; field < RESEAT_FIELD_COUNT; field++) {
        note_count(n, reseat_record_has(record, (reseat_field)field));
        note_count(n, reseat_record_is_null(record, (reseat_field)field));
        note_count(n, reseat_record_show(record, (reseat_field)field, out, sizeof out));
        note_text(n, out);
    }
    note_count(n, (uint64_t)reseat_record_integer(record, RESEAT_FIELD_AT, -1));
    note_number(n, reseat_record_number(record, RESEAT_FIELD_OFFSET_X_MM, -1));
    const double *numbers = reseat_record_numbers(record, RESEAT_FIELD_RADII_MM, &count);
    for (size_t i = 0; numbers && i < count; i++)
        note_number(n, numbers[i]);
    const record_value *const reasons = &record->values[RESEAT_FIELD_REASONS];
    for (size_t i = 0; i < reasons->count; i++)
        note_text(n, reasons->as.texts[i]);
}

static void note_verdict_record(notes *n)
{
    reseat_record *record = NULL;
    reseat_error error = {0};
    demand(reseat_record_new(RESEAT_RECORD_VERDICT, &record) == RESEAT_OK);
    demand(reseat_record_add_text(record, RESEAT_FIELD_REASONS, "collision", NULL) == RESEAT_OK);
    note_count(n, record_set_null(record, RESEAT_FIELD_SEAT_DEG, &error));
    note_count(n, reseat_record_check(record, &error)); /* most of it is missing */
    note_text(n, error.text);
    note_record(n, record);
    reseat_record_free(record);
}

void do_record(const shared *s, notes *n)
{
    reseat_record *record = NULL, *again = NULL;
    size_t length = 0;
    const size_t size = reseat_record_schema(NULL, 0) + 1;
    char *schema = malloc(size);
    (void)s;
    demand(schema && reseat_record_schema(schema, size) < size);
    note_text(n, schema);
    free(schema);
    demand(reseat_record_new(RESEAT_RECORD_RUN, &record) == RESEAT_OK);
    fill_run(record);
    demand(reseat_record_check(record, NULL) == RESEAT_OK);
    demand(record_seal(record, "", NULL) == RESEAT_OK);
    const char *line = reseat_record_line(record, &length);
    note_bytes(n, line, length);
    demand(record_parse(line, length, &again, NULL) == RESEAT_OK);
    note_record(n, again);
    note_text(n, reseat_record_text(again, RESEAT_FIELD_SEAL));
    reseat_record_free(record);
    reseat_record_free(again);
    note_verdict_record(n);
}

static void note_lines(notes *n, const char *dir, const char *name)
{
    log_reader *log = NULL;
    reseat_log_line line;
    uint64_t number = 0;
    demand(log_open(&file_system_calls, dir, name, &log, NULL) == RESEAT_OK);
    while (log_next(log, &line, NULL) == RESEAT_OK && line.state == RESEAT_LINE_SOUND)
        note_bytes(n, line.text, line.length);
    demand(line.state == RESEAT_LINE_NONE);
    while (log_previous(log, &line, NULL) == RESEAT_OK && line.state == RESEAT_LINE_SOUND) {
        demand(log_number(log, line.offset, &number, NULL) == RESEAT_OK);
        note_count(n, number);
    }
    log_close(log);
}

static void note_entries(notes *n, const char *dir, const char *name)
{
    reseat_records *records = NULL;
    reseat_entry entry;
    const reseat_state_request request = {.dir = dir, .spindle = name};
    demand(reseat_records_open(&request, &records, NULL) == RESEAT_OK);
    while (reseat_records_next(records, &entry, NULL) == RESEAT_OK)
        note_count(n, (uint64_t)(entry.voided_by + (entry.record != NULL)));
    reseat_records_close(records);
}

static void note_bad(void *context, const reseat_log_bad *bad)
{
    note_text(context, bad->what);
}

void do_log(const shared *s, notes *n)
{
    reseat_log_names names;
    reseat_log_mark mark;
    reseat_audit audit;
    demand(reseat_log_mark_parse("3:0123456789", 12, &mark, NULL) == RESEAT_OK);
    demand(reseat_log_list(s->logs_dir, &names, NULL) == RESEAT_OK && names.count == 3);
    for (size_t i = 0; i < names.count; i++) {
        note_lines(n, s->logs_dir, names.names[i]);
        note_entries(n, s->logs_dir, names.names[i]);
        demand(reseat_log_audit(s->logs_dir, names.names[i], &mark, note_bad, n, &audit, NULL) ==
               RESEAT_OK);
        note_count(n, audit.records);
        note_text(n, audit.head_seal);
        note_count(n, audit.expected);
    }
    reseat_log_names_free(&names);
}

static void note_input(notes *n, const reseat_drift_input *input)
{
    const size_t size = drift_workspace(input->run_count, input->event_count);
    void *workspace = malloc(size);
    reseat_drift drift;
    reseat_drift_growth growth;
    char text[400];
    double range = 0;
    demand(workspace && drift_find(input, workspace, size, &drift) == RESEAT_OK);
    for (size_t i = 0; i < drift.point_count; i++) {
        note_number(n, drift.points[i].value[RESEAT_SERIES_LENGTH]);
        note_count(n, reseat_drift_moving_range(&drift, i, RESEAT_SERIES_LENGTH, &range));
        note_number(n, range);
    }
    for (size_t i = 0; i < drift.finding_count; i++) {
        note_count(n, reseat_drift_finding_text(&drift.findings[i], RESEAT_UM, text, sizeof text));
        note_text(n, text);
    }
    demand(drift_growth_find(input, workspace, size, &growth) == RESEAT_OK);
    note_number(n, growth.q_mm2_per_day);
    free(workspace);
}

/* The drift of a tip, from all of a log. */
static void note_tip(notes *n, const char *dir, const char *name, const reseat_tip *tip)
{
    const replay_request all = {.calls = &file_system_calls, .dir = dir, .spindle = name,
                                .horizon = INT64_MAX, .depth = REPLAY_WHOLE};
    reseat_drift_input input = {.limit_mm = 0.01};
    replay *read = NULL;
    note_text(n, tip->probe);
    note_text(n, tip->tip);
    demand(replay_read(&all, &read, NULL) == RESEAT_OK);
    reseat_drift_run *runs = state_runs(read, tip->probe, tip->tip, &input.run_count);
    reseat_drift_event *events = state_breaks(read, tip->probe, &input.event_count);
    demand(runs && events);
    input.runs = runs;
    input.events = events;
    note_input(n, &input);
    free(runs);
    free(events);
    replay_free(read);
}

void do_drift(const shared *s, notes *n)
{
    static const char *const names[] = {"case-1", "case-2", "case-3"};
    reseat_state_request request = {.dir = s->logs_dir, .as_of = 1798761600};
    demand(reseat_folder_open(s->logs_dir, &request.folder) == RESEAT_OK);
    for (size_t i = 0; i < 3; i++) {
        const reseat_tip *tips;
        size_t count = 0;
        request.spindle = names[i];
        demand(reseat_folder_tips(&request, &tips, &count, NULL) == RESEAT_OK && count == 1);
        note_tip(n, s->logs_dir, names[i], &tips[0]);
    }
    reseat_folder_close(request.folder);
}

static void note_outlook(notes *n, const reseat_state_request *request,
                         const reseat_state *probe_state)
{
    reseat_outlook outlook;
    char probe[RESEAT_RECORD_NAME_MAX + 1];
    demand(reseat_state_probe(request, probe, NULL) == RESEAT_OK);
    note_text(n, probe);
    reseat_record *policy = NULL;
    demand(reseat_state_policy(request, &policy, NULL) == RESEAT_OK);
    note_number(n, reseat_record_number(policy, RESEAT_FIELD_LIMIT_MM, 0));
    reseat_record_free(policy);
    demand(reseat_outlook_find(request, probe_state, &outlook, NULL) == RESEAT_OK);
    note_number(n, outlook.due_days);
    reseat_outlook_free(&outlook);
}

static void note_suspect(notes *n, const reseat_state_request *query,
                         const reseat_state *probe_state)
{
    const suspect_fact facts[] = {
        {.fact = {.type = RESEAT_RECORD_RUN, .seq = 1, .at = 100, .found_mm = {0.01, 0},
                  .in_use_mm = {0.01, 0}}},
        {.fact = {.type = RESEAT_RECORD_RUN, .seq = 2, .at = 200, .found_mm = {0.03, 0},
                  .in_use_mm = {0.03, 0}}}};
    const reseat_state_typed typed = {.limit_mm = 0.002};
    reseat_state_question asked;
    reseat_window windows[2];
    reseat_suspect suspect;
    size_t found = 0;
    demand(suspect_find(facts, 2, 0.005, windows, &found) == RESEAT_OK && found == 1);
    note_xy(n, windows[0].error_mm);
    demand(reseat_state_ask(probe_state, &typed, &asked, NULL) == RESEAT_OK);
    demand(reseat_suspect_read(query, probe_state, &asked, &suspect, NULL) == RESEAT_OK);
    note_count(n, suspect.count);
    reseat_suspect_free(&suspect);
}

void do_state(const shared *s, notes *n)
{
    static const char *const names[] = {"case-1", "case-2", "case-3"};
    for (size_t i = 0; i < 3; i++) {
        const reseat_state_request query = {.dir = s->logs_dir, .spindle = names[i],
                                             .as_of = 1798761600};
        const reseat_state_typed typed = {.limit_mm = 0.01};
        reseat_state probe_state;
        reseat_state_question asked;
        reseat_drift_newest newest;
        reseat_answer answer;
        demand(reseat_state_read(&query, &probe_state, NULL) == RESEAT_OK);
        demand(reseat_state_ask(&probe_state, &typed, &asked, NULL) == RESEAT_OK);
        demand(reseat_verdict_decide(&asked.question, &answer) == RESEAT_OK);
        note_number(n, answer.worst.chance_within);
        note_count(n, answer.reasons);
        reseat_xy shift;
        note_count(n, reseat_state_shift(&probe_state, "R1", (reseat_xy){1, 2}, &shift, NULL));
        note_count(n, reseat_outlook_newest(s->logs_dir, names[i], probe_state.run, &newest));
        note_outlook(n, &query, &probe_state);
        note_suspect(n, &query, &probe_state);
        reseat_state_free(&probe_state);
    }
}
