/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Any bytes as the log that is decided on. A byte 0x01 in the input stands for a seal that fits.
 * What a state rests on must be sound lines of the log, and no line may be bad unless that was
 * allowed; question and verdict, what is suspect and what is to come must follow or be refused.
 */
#define _XOPEN_SOURCE 700 /* mkdtemp */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>
#include "check.h"
#include "reseat/history.h"
#include "log/seal.h"
#include "log/file.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static char folder[] = "/tmp/reseat-fuzz-XXXXXX";
static char path[64];

/* Stands in for the C library's: nobody writes while a last line without LF is waited for. */
int nanosleep(const struct timespec *wanted, struct timespec *left)
{
    (void)wanted, (void)left;
    return 0;
}

static void tidy(void)
{
    remove(path);
    rmdir(folder);
}

/* Each line whose 0x01 ends it gets the seal that fits below the seal above. */
static void write_log(const uint8_t *data, size_t size)
{
    char above[SEAL_DIGITS + 1], digits[SEAL_DIGITS + 1];
    bool has_above = false;
    size_t begin = 0;
    FILE *file = fopen(path, "wb");
    require(file != NULL);
    for (size_t i = 0; i < size; i++) {
        if (data[i] == 1) {
            seal_make(has_above ? above : NULL, (const char *)data + begin, i - begin, digits);
            fprintf(file, SEAL_MARK "%s" SEAL_END, digits);
            memcpy(above, digits, sizeof above);
            has_above = true;
        } else {
            fputc(data[i], file);
        }
        if (data[i] == '\n')
            begin = i + 1;
    }
    require(fclose(file) == 0);
}

static void require_sound(const reseat_record *record)
{
    log_reader *log = NULL;
    reseat_log_line line;
    bool found = record == NULL;
    size_t length = 0;
    const char *text = found ? "" : reseat_record_line(record, &length);
    require(log_open(&file_system_calls, folder, "mill-1", &log, NULL) == RESEAT_OK);
    while (!found && log_next(log, &line, NULL) == RESEAT_OK &&
           line.state != RESEAT_LINE_NONE)
        found = line.state == RESEAT_LINE_SOUND && line.length == length &&
                memcmp(line.text, text, length) == 0;
    log_close(log);
    require(found);
}

static void decide(const reseat_state *s)
{
    static reseat_state_question asked;
    static reseat_answer answer;
    const reseat_state_typed typed = {.limit_mm = 0.01};
    if (reseat_state_ask(s, &typed, &asked, NULL) != RESEAT_OK ||
        reseat_verdict_decide(&asked.question, &answer) != RESEAT_OK)
        return;
    require(answer.worst.chance_within >= 0 && answer.worst.chance_within <= 1);
    require(!answer.ok || !(s->reasons & ~(1u << RESEAT_REASON_DAMAGE_IGNORED)));
}

static void look_back(const reseat_state_request *query, const reseat_state *s)
{
    static reseat_state_question asked;
    const reseat_state_typed typed = {.limit_mm = 0.005};
    reseat_suspect suspect;
    if (reseat_state_ask(s, &typed, &asked, NULL) != RESEAT_OK ||
        reseat_suspect_read(query, s, &asked, &suspect, NULL) != RESEAT_OK)
        return;
    require(query->despite_damage || suspect.bad_lines == 0);
    for (size_t i = 0; i < suspect.count; i++) {
        const reseat_window *w = &suspect.windows[i];
        require(w->open || w->from <= w->to);
        require(isfinite(w->error_mm.x) && isfinite(w->error_mm.y));
    }
    reseat_suspect_free(&suspect);
}

static void look_ahead(const reseat_state_request *query, const reseat_state *s)
{
    reseat_outlook outlook;
    if (reseat_outlook_find(query, s, &outlook, NULL) != RESEAT_OK)
        return;
    require(query->despite_damage || outlook.bad_lines == 0);
    require(outlook.input.run_count > 0 && outlook.drift.point_count > 0);
    require(isfinite(outlook.due_days) && outlook.due_days >= 0);
    reseat_outlook_free(&outlook);
}

static int64_t seq_of(const reseat_record *record)
{
    return record ? reseat_record_integer(record, RESEAT_FIELD_SEQ, -1) : -1;
}

/* However far it is read, the log says the same. */
static void read_whole(const reseat_state_request *query, reseat_status status,
                       const reseat_state *s)
{
    reseat_state_request whole = *query;
    reseat_state all;
    whole.whole = true;
    require(reseat_state_read(&whole, &all, NULL) == status);
    if (status != RESEAT_OK)
        return;
    require(seq_of(all.run) == seq_of(s->run) && seq_of(all.check) == seq_of(s->check) &&
            seq_of(all.last_reseat) == seq_of(s->last_reseat) &&
            seq_of(all.policy) == seq_of(s->policy));
    require(all.reasons == s->reasons && all.bad_lines == s->bad_lines &&
            all.unknown_types == s->unknown_types && all.run_count == s->run_count &&
            all.baseline_count == s->baseline_count);
    reseat_state_free(&all);
}

static void stand(bool despite_damage)
{
    const reseat_state_request query = {.dir = folder, .spindle = "mill-1",
                                         .as_of = INT64_C(4102444800),
                                         .despite_damage = despite_damage};
    reseat_state s;
    reseat_error error;
    const reseat_status status = reseat_state_read(&query, &s, &error);
    read_whole(&query, status, &s);
    if (status != RESEAT_OK) {
        require(error.text[0] != '\0');
        return;
    }
    require(s.run != NULL && s.run_count > 0 && (despite_damage || s.bad_lines == 0));
    require_sound(s.run);
    require_sound(s.last_reseat);
    require_sound(s.check);
    require_sound(s.policy);
    decide(&s);
    look_back(&query, &s);
    look_ahead(&query, &s);
    reseat_state_free(&s);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (path[0] == '\0') {
        require(mkdtemp(folder) != NULL);
        snprintf(path, sizeof path, "%s/mill-1.jsonl", folder);
        atexit(tidy);
    }
    write_log(data, size);
    stand(false);
    stand(true);
    return 0;
}
