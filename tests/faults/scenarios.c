/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "scenarios.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "history/gauges.h"
#include "history/state.h"
#include "log/file.h"
#include "log/seal.h"
#include "log/record.h"

char act_said[4096];
reseat_error act_error;

static char *old_bytes; /* of the log before the act */
static size_t old_length;
static char clean_said[4096];

/* A log of five lines: head, policy, two runs, a void of the first. */
static void put_log(void)
{
    disk_put(NULL, 0);
    disk_append(record_policy());
    disk_append(record_run(0.004));
    disk_append(record_run(0.005));
    disk_append(record_void(2));
}

static void put_nothing(void)
{
    disk_put(NULL, 0);
}

static void put_torn(void)
{
    put_log();
    disk_put_more(0, "{\"v\":1,\"seq\":5,\"ty");
}

static void put_sealed_off(void)
{
    put_torn();
    disk_append(record_run(0.006));
}

/* A log whose lines have their fields in an order of their own, so that each is read whole. */
static void put_foreign(void)
{
    static const char when[] = "\"recorded_at\":\"2026-03-02T06:00:00Z\"";
    static const char *const bodies[] = {
        "\"type\":\"log\",\"spindle\":\"mill-2\",\"format\":\"reseat-log\"",
        "\"type\":\"policy\",\"limit_mm\":0.005,\"reseats\":\"logged\"",
        "\"type\":\"run\",\"probe\":\"P1\",\"at\":\"2026-03-02T06:00:00Z\",\"seat_deg\":0,"
        "\"offset_x_mm\":0.004,\"offset_y_mm\":0.0",
        "\"type\":\"run\",\"probe\":\"P1\",\"at\":\"2026-03-02T06:00:00Z\",\"seat_deg\":0,"
        "\"offset_x_mm\":0.005,\"offset_y_mm\":0.0",
        "\"type\":\"void\",\"voids\":2,\"why\":\"slip\""};
    char digits[SEAL_DIGITS + 1] = "", body[512], line[1024];
    put_nothing();
    for (int seq = 0; seq < 5; seq++) {
        snprintf(body, sizeof body, "{\"seq\":%d,\"v\":1,%s,%s", seq, when, bodies[seq]);
        seal_make(seq > 0 ? digits : NULL, body, strlen(body), digits);
        snprintf(line, sizeof line, "%s" SEAL_MARK "%s" SEAL_END "\n", body, digits);
        disk_put_more(0, line);
    }
}

/* Beginning it failed once. */
static void put_begun_again(void)
{
    static const char piece[] = "{\"v\":1,\"se";
    disk_put(piece, sizeof piece - 1);
    disk_append(record_run(0.004));
}

/* The same, and nothing has sealed it off. */
static void put_below_a_piece(void)
{
    char lines[2048];
    put_nothing();
    disk_append(record_run(0.004));
    demand(disk.length < sizeof lines, "a long log");
    memcpy(lines, disk.bytes, disk.length);
    lines[disk.length] = '\0';
    disk_put("{\"v\"\n", 5);
    disk_put_more(0, lines);
}

/* One piece that nobody has looked at, and another at the end. */
static void put_torn_again(void)
{
    put_sealed_off();
    disk_put_more(0, "{\"v\":1,\"seq\":7,\"ty");
}

static void put_no_register(void)
{
    put_nothing();
    disk_name = RESEAT_LOG_GAUGES;
}

/* The register of a gauge, and of one that was taken back. */
static void put_register(void)
{
    put_no_register();
    disk_append(record_gauge("R50"));
    disk_append(record_gauge("R30"));
    disk_append(record_void(2));
}

static void put_append_only(void)
{
    put_log();
    disk.append_only = true;
}

static void put_without_lf(void)
{
    put_log();
    disk_put_more(1, "");
}

static reseat_status append(reseat_record *record, const reseat_append *how)
{
    reseat_appended done;
    size_t length = 0;
    memset(&done, 0x55, sizeof done);
    const reseat_appended before = done;
    library_at_work = true;
    const reseat_status status = log_append(&disk_calls, DISK_DIR, disk_name, record, how, &done,
                                            &act_error);
    library_at_work = false;
    const char *line = reseat_record_line(record, &length);
    act_said[0] = '\0';
    if (status == RESEAT_OK) {
        demand(line != NULL && length < sizeof act_said, "no line");
        snprintf(act_said, sizeof act_said, "%s\n", line);
    } else {
        demand(line == NULL && !reseat_record_has(record, RESEAT_FIELD_SEQ) &&
               !reseat_record_has(record, RESEAT_FIELD_AT), "the record was changed");
        demand(memcmp(&done, &before, sizeof done) == 0, "the result was changed");
    }
    reseat_record_free(record);
    return status;
}

static reseat_status append_run(void)
{
    const reseat_append how = {.begin = true};
    return append(record_run(0.007), &how);
}

/* As a person records one: the register itself is asked first. */
static reseat_status enter_gauge(void)
{
    const reseat_record_request request = {.dir = DISK_DIR, .spindle = disk_name,
                                           .begin = disk.length == 0};
    reseat_recorded recorded;
    size_t length = 0;
    reseat_record *record = record_gauge("R20");
    library_at_work = true;
    const reseat_status status =
        record_enter(&disk_calls, &request, record, &recorded, &act_error);
    library_at_work = false;
    const char *line = reseat_record_line(record, &length);
    act_said[0] = '\0';
    if (status == RESEAT_OK)
        snprintf(act_said, sizeof act_said, "%s\n", line);
    reseat_record_free(record);
    return status;
}

/* What a run takes from the register. */
static reseat_status fill_run(void)
{
    const reseat_state_request request = {.dir = DISK_DIR, .as_of = DISK_NOW};
    reseat_gauge_standing standing;
    reseat_record *record = record_run(0.004);
    demand(reseat_record_set_text(record, RESEAT_FIELD_GAUGE_ID, "R50", NULL) == RESEAT_OK, "id");
    library_at_work = true;
    const reseat_status status =
        gauges_fill(&disk_calls, &request, record, &standing, &act_error);
    library_at_work = false;
    act_said[0] = '\0';
    if (status == RESEAT_OK)
        snprintf(act_said, sizeof act_said, "%d %s", standing,
                 reseat_record_text(record, RESEAT_FIELD_GAUGE));
    reseat_record_free(record);
    return status;
}

static reseat_status append_void(void)
{
    return append(record_void(3), NULL);
}

static reseat_status append_repair(void)
{
    return append(record_repair(), NULL);
}

static reseat_status append_policy(void)
{
    static const reseat_append how = {.carry = true};
    reseat_record *record = record_policy();
    record_clear(record, RESEAT_FIELD_LIMIT_MM);
    demand(reseat_record_set_text(record, RESEAT_FIELD_SEATS, "keys:2", NULL) == RESEAT_OK,
           "seats");
    return append(record, &how);
}

reseat_record *record_radii(void)
{
    const double dirs_deg[] = {0, 120, 240}, radii_mm[] = {3, 3.0001, 2.9999};
    reseat_record *record = record_run(0.014);
    demand(reseat_record_set_numbers(record, RESEAT_FIELD_DIRS_DEG, dirs_deg, 3, NULL) ==
           RESEAT_OK && reseat_record_set_numbers(record, RESEAT_FIELD_RADII_MM, radii_mm, 3,
                                                  NULL) == RESEAT_OK, "radii");
    return record;
}

/* Fields of many numbers and of many texts. */
static reseat_status append_radii(void)
{
    return append(record_radii(), NULL);
}

static reseat_status append_verdict(void)
{
    return append(record_verdict(), NULL);
}

static reseat_status append_dry(void)
{
    static const reseat_append how = {.begin = true, .dry_run = true};
    return append(record_run(0.007), &how);
}

static reseat_status read_all(log_reader *log, bool backwards, char *states, size_t size)
{
    static const char letters[] = " SotD";
    size_t count = 0;
    for (;;) {
        reseat_log_line line;
        const reseat_status status = (backwards ? log_previous : log_next)(
            log, &line, &act_error);
        if (status != RESEAT_OK)
            return status;
        states[count] = '\0';
        if (line.state == RESEAT_LINE_NONE)
            break;
        demand(count + 1 < size, "too many lines");
        states[count++] = letters[line.state];
    }
    for (size_t i = 0; backwards && i < count / 2; i++) {
        const char held = states[i];
        states[i] = states[count - 1 - i];
        states[count - 1 - i] = held;
    }
    return RESEAT_OK;
}

reseat_status read_states(char *states, size_t size)
{
    char back[512];
    log_reader *log = NULL;
    act_said[0] = '\0';
    reseat_status status = log_open_any(&disk_calls, DISK_DIR, disk_name, &log, &act_error);
    if (status == RESEAT_OK)
        status = log_check_head(log, &act_error);
    if (status == RESEAT_OK)
        status = read_all(log, false, states, size);
    if (status == RESEAT_OK)
        status = read_all(log, true, back, sizeof back);
    log_close(log);
    if (status == RESEAT_OK)
        demand(strcmp(states, back) == 0, "forwards %s, backwards %s", states, back);
    return status;
}

static reseat_status read_both_ways(void)
{
    char states[512];
    library_at_work = true;
    const reseat_status status = read_states(states, sizeof states);
    library_at_work = false;
    snprintf(act_said, sizeof act_said, "%s", status == RESEAT_OK ? states : "");
    return status;
}

static void take_bad(void *context, const reseat_log_bad *bad)
{
    char *said = context;
    const size_t length = strlen(said);
    snprintf(said + length, sizeof act_said - length, "%" PRIu64 " %s\n", bad->line, bad->what);
}

static reseat_status audit(void)
{
    reseat_audit found;
    memset(&found, 0x55, sizeof found);
    const reseat_audit before = found;
    act_said[0] = '\0';
    library_at_work = true;
    const reseat_status status = log_audit(&disk_calls, DISK_DIR, disk_name, NULL, take_bad,
                                           act_said, &found, &act_error);
    library_at_work = false;
    if (status != RESEAT_OK) {
        demand(memcmp(&found, &before, sizeof found) == 0, "the result was changed");
        return status;
    }
    const size_t length = strlen(act_said);
    snprintf(act_said + length, sizeof act_said - length, "%d %" PRIu64 " %" PRIu64 " %" PRId64
             " %s", found.whole, found.records, found.sealed_off, found.head_seq, found.head_seal);
    return status;
}

static reseat_status list(void)
{
    reseat_log_names names = {.count = 77};
    act_said[0] = '\0';
    library_at_work = true;
    const reseat_status status = log_list(&disk_calls, DISK_DIR, &names, &act_error);
    library_at_work = false;
    if (status != RESEAT_OK) {
        demand(names.names == NULL && names.count == 77, "the result was changed");
        return status;
    }
    for (size_t i = 0; i < names.count; i++) {
        strcat(act_said, names.names[i]);
        strcat(act_said, " ");
    }
    demand(strcmp(act_said, "hmc-1 hmc-2 mill-2 ") == 0, "it lists %s", act_said);
    reseat_log_names_free(&names);
    return status;
}

const scenario scenarios[] = {
    {"begin a log", put_nothing, append_run, true},
    {"begin the register", put_no_register, enter_gauge, true},
    {"record a gauge", put_register, enter_gauge, true},
    {"ask for a gauge", put_register, fill_run, false},
    {"append", put_log, append_run, true},
    {"append below a torn line", put_torn, append_run, true},
    {"append below a line without LF", put_without_lf, append_run, true},
    {"append to a file that cannot be cut", put_append_only, append_run, true},
    {"append a void", put_log, append_void, true},
    {"append a policy", put_log, append_policy, true},
    {"repair", put_torn_again, append_repair, true},
    {"append radii", put_log, append_radii, true},
    {"append a verdict", put_log, append_verdict, true},
    {"append to a foreign log", put_foreign, append_run, true},
    {"append a void to a foreign log", put_foreign, append_void, true},
    {"append a policy to a foreign log", put_foreign, append_policy, true},
    {"read a foreign log", put_foreign, read_both_ways, false},
    {"audit a foreign log", put_foreign, audit, false},
    {"append dry", put_log, append_dry, false},
    {"append dry to nothing", put_nothing, append_dry, false},
    {"read", put_log, read_both_ways, false},
    {"read below what was sealed off", put_sealed_off, read_both_ways, false},
    {"read a torn line", put_torn, read_both_ways, false},
    {"read what was begun again", put_begun_again, read_both_ways, false},
    {"read below a piece", put_below_a_piece, read_both_ways, false},
    {"audit", put_log, audit, false},
    {"audit what was sealed off", put_sealed_off, audit, false},
    {"audit a torn line", put_torn, audit, false},
    {"list", put_log, list, false},
};
const size_t scenario_count = sizeof scenarios / sizeof scenarios[0];

long scenario_run_clean(const scenario *what)
{
    what->prepare();
    free(old_bytes);
    old_length = disk.length;
    old_bytes = malloc(old_length + 1);
    demand(old_bytes != NULL, "out of memory in the test itself");
    memcpy(old_bytes, disk.bytes, old_length);
    disk_reset_calls();
    const reseat_status status = what->act();
    demand(status == RESEAT_OK, "%s without a fault: %s", what->name, act_error.text);
    memcpy(clean_said, act_said, sizeof clean_said);
    const long calls = disk.calls;
    scenario_check(what, status, "without a fault");
    return calls;
}

/* Whether what the act wrote stands at the end, whole but for the LF. */
static bool is_whole(const char *line, size_t lacking)
{
    const size_t length = strlen(line) - lacking;
    return disk.length >= length && memcmp(disk.bytes + disk.length - length, line, length) == 0;
}

static bool says(const char *part)
{
    return strstr(act_error.text, part) != NULL;
}

/* What a failed append may have left. */
static void check_failed(reseat_status status, const char *about)
{
    demand(act_error.text[0] != '\0', "%s: no text", about);
    if (disk.length == old_length)
        return;
    demand(status == RESEAT_ERR_IO, "%s: %s left bytes", about, act_error.text);
    if (says("did not confirm it"))
        demand(is_whole(clean_said, 0), "%s: it is not there", about);
    else if (says("lacks its end"))
        demand(is_whole(clean_said, 1), "%s: it does not just lack its end", about);
    else
        demand(says("nothing was recorded") && says("the piece that is left") &&
               !is_whole(clean_said, 1) && !is_whole(clean_said, 0), "%s: %s", about,
               act_error.text);
}

static void check_durable(const char *about)
{
    demand(strcmp(act_said, clean_said) == 0, "%s: said %s", about, act_said);
    demand(is_whole(act_said, 0), "%s: it is not at the end", about);
    demand(disk.entry_synced && disk.synced_length == disk.length &&
           memcmp(disk.synced, disk.bytes, disk.length) == 0, "%s: it is not durable", about);
}

/* Goes on with a log after the fault is over; the audit must then find every byte in order. */
static void check_goes_on(const char *about)
{
    disk_reset_calls();
    disk_append(strcmp(disk_name, DISK_NAME) == 0 ? record_run(0.009) : record_gauge("R10"));
    demand(audit() == RESEAT_OK && strncmp(act_said, "1 ", 2) == 0, "%s: then the audit: %s", about,
           act_said);
}

void scenario_check(const scenario *what, reseat_status status, const char *about)
{
    const bool there = disk.there;
    demand(disk.open_files == 0, "%s: %d files left open", about, disk.open_files);
    demand(disk.length >= old_length && memcmp(disk.bytes, old_bytes, old_length) == 0,
           "%s: what stood there was changed", about);
    demand(disk.syncs_after_failure == 0, "%s: a failed fsync was tried again", about);
    if (!what->appends)
        demand(disk.length == old_length && there == (old_length > 0), "%s: it wrote", about);
    if (!what->appends && status == RESEAT_OK)
        demand(strcmp(act_said, clean_said) == 0, "%s: said %s, not %s", about, act_said,
               clean_said);
    if (what->appends && status == RESEAT_OK)
        check_durable(about);
    if (what->appends && status != RESEAT_OK)
        check_failed(status, about);
    demand(status != RESEAT_ERR_DAMAGED && status != RESEAT_ERR_SYNTAX, "%s: called damage: %s",
           about, act_error.text);
    if (what->appends)
        check_goes_on(about);
}
