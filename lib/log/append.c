/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "log/file.h"
#include "reseat/values.h"

#define LOCK_TRIES 200 /* 50 ms apart: 10 s */
#define LOCK_PAUSE_MS 50

/* The end of a log as the next record finds it: the last sound record, and what stands behind. */
typedef struct log_tail {
    bool has_last;          /* there is a sound record ... */
    walk_step last;         /* ... this one, ... */
    int64_t recorded_at;    /* ... written then */
    bool lacks_lf;          /* the last byte of the file is no LF, and there is one */
    char above[RESEAT_SEAL_SIZE]; /* the last seal that a line ends in; "" if none does */
    byte_range rest;        /* bytes behind the last sound record; empty if from == to */
    uint64_t rest_records;  /* lines of the rest that end as records do: it is damage */
} log_tail;

/* An append in progress, from the lock to the disk. Once it has failed, its steps do nothing. */
typedef struct append_work {
    const file_calls *calls;
    const char *dir;
    const char *name;
    const reseat_append *how;
    reseat_error *error;
    reseat_status status;
    char path[FILE_PATH_SIZE];
    log_reader *log;         /* locked, unless a dry run; NULL in one where there is no file */
    log_tail tail;
    int64_t now;
    log_pieces pieces;       /* that a person has looked at */
    reseat_record *record;   /* a copy of the caller's, completed on the way */
    char *bytes;             /* all that is to be written, in one piece */
    size_t count;
    reseat_appended done;
} append_work;

static bool fine(const append_work *work)
{
    return work->status == RESEAT_OK;
}

static bool is_repair(const append_work *work)
{
    return work->record->type == RESEAT_RECORD_REPAIR;
}

static reseat_status say_failed(const append_work *work, file_fault fault)
{
    if (fault == FILE_MISSING || fault == FILE_NO_FOLDER)
        return log_missing(work->calls, work->dir, work->name, work->error);
    if (fault == FILE_BUSY)
        return error_set(work->error, RESEAT_ERR_BUSY, 0,
                         "another writer kept the log of %s locked for 10 s: nothing was "
                         "recorded, try again", work->name);
    return error_set(work->error, RESEAT_ERR_IO, 0,
                     "cannot write the log of %s: %s; nothing was recorded", work->name,
                     file_reason(fault));
}

static file_fault try_open(append_work *work)
{
    file_handle file;
    uint64_t length = 0;
    file_fault fault = work->calls->open(work->path, work->how->begin ? FILE_BEGIN : FILE_APPEND,
                                         &file);
    if (fault)
        return fault;
    fault = work->calls->try_lock(file, work->path);
    if (!fault)
        fault = work->calls->about(file, &length);
    if (!fault)
        work->status = log_wrap(work->calls, file, work->name, length, &work->log, work->error);
    if (!work->log)
        work->calls->close(file);
    return fault;
}

static void open_locked(append_work *work)
{
    file_fault fault = FILE_BUSY;
    for (int i = 0; i < LOCK_TRIES && fault == FILE_BUSY; i++) {
        fault = try_open(work);
        if (fault == FILE_BUSY)
            work->calls->pause(LOCK_PAUSE_MS);
    }
    if (fault)
        work->status = say_failed(work, fault);
}

/* A dry run reads as anybody does. */
static void open_dry(append_work *work)
{
    work->status = log_open_any(work->calls, work->dir, work->name, &work->log, work->error);
    if (work->status == RESEAT_ERR_NOT_FOUND && work->how->begin)
        work->status = RESEAT_OK;
}

static reseat_status take_last(log_tail *tail, const raw_line *line, reseat_error *error)
{
    tail->has_last = true;
    tail->last.line = (reseat_log_line){.text = line->text, .length = line->length};
    if (!walk_glance(&tail->last) && walk_read(&tail->last) != RESEAT_OK)
        return error_plain(error, RESEAT_ERR_MEMORY);
    if (tail->last.invalid || reseat_time_parse(tail->last.recorded_at, GLANCE_TIME,
                                                &tail->recorded_at, NULL) != RESEAT_OK)
        return error_set(error, RESEAT_ERR_DAMAGED, 0,
                         "the last line is sealed but is no record: nothing was recorded; "
                         "audit the log");
    return RESEAT_OK;
}

/* Reads back to the last sound record. */
static reseat_status find_tail(append_work *work)
{
    raw_line line;
    log_tail *tail = &work->tail;
    line_reader *lines = &work->log->lines;
    const uint64_t end = lines->at = lines->end;
    tail->rest = (byte_range){end, end};
    for (;;) {
        const file_fault fault = line_previous(lines, &line);
        if (fault)
            return log_io_error(work->name, fault, work->error);
        if (!line.there)
            return RESEAT_OK;
        if (line.end == end)
            tail->lacks_lf = !line.ended;
        if (line.seal && tail->above[0] == '\0')
            memcpy(tail->above, line.seal, SEAL_DIGITS);
        const reseat_status status = line.holds ? take_last(tail, &line, work->error) : RESEAT_OK;
        if (line.holds && (status != RESEAT_ERR_DAMAGED || !is_repair(work)))
            return status;
        tail->has_last = false; /* a sealed line that is no record is sealed off too */
        tail->rest.from = line.offset;
        tail->rest_records += line.closes ? 1 : 0;
    }
}

/* Whether the end of the log lets a record be appended at all. */
static reseat_status check_tail(const append_work *work)
{
    const log_tail *tail = &work->tail;
    if (!tail->has_last && tail->rest_records > 0)
        return error_set(work->error, RESEAT_ERR_DAMAGED, 0,
                         "the log of %s holds no sound record: nothing was recorded; put "
                         "back a copy, or move the file away and begin a new log",
                         work->name);
    if (!tail->has_last && !work->how->begin)
        return error_code(work->error, error_set(work->error, RESEAT_ERR_NOT_FOUND, 0,
                                                 "the log of %s is empty: it has yet to be begun",
                                                 work->name), RESEAT_CODE_EMPTY_LOG, "");
    if (tail->rest_records > 0 && !work->how->despite_damage && !is_repair(work))
        return error_set(work->error, RESEAT_ERR_DAMAGED, 0,
                         "the end of the log of %s is damaged: nothing was recorded; audit "
                         "it, put back a copy, or append despite the damage", work->name);
    if (tail->has_last && tail->last.v > RESEAT_RECORD_VERSION)
        return error_set(work->error, RESEAT_ERR_REFUSED, 0,
                         "record %" PRId64 " of %s was written by a later version: use that "
                         "one", tail->last.seq, work->name);
    return RESEAT_OK;
}

static void read_tail(append_work *work)
{
    if (fine(work) && work->log)
        work->status = find_tail(work);
    if (fine(work) && work->tail.has_last)
        work->status = log_check_head(work->log, work->error);
    if (fine(work))
        work->status = check_tail(work);
}

/* A time as a text that ends with the expression it stands in. */
typedef struct time_text {
    char text[RESEAT_TIME_SIZE];
} time_text;

static time_text show_time(int64_t seconds)
{
    time_text shown = {"an unknown time"};
    (void)reseat_time_format(seconds, shown.text); /* leaves that where there is no such time */
    return shown;
}

/*
 * `at` is now if nobody typed it, but not while the clock is known to be wrong; and what happened
 * cannot lie ahead.
 */
static reseat_status check_clock(append_work *work)
{
    const log_tail *tail = &work->tail;
    reseat_error *error = work->error;
    const bool typed = reseat_record_has(work->record, RESEAT_FIELD_AT);
    const int64_t at = reseat_record_integer(work->record, RESEAT_FIELD_AT, 0);
    if (!record_takes(work->record->type, RESEAT_FIELD_AT))
        return RESEAT_OK;
    if (!typed && tail->has_last && work->now < tail->recorded_at)
        return error_code(error, error_at(error, RESEAT_ERR_REFUSED, "at", "the clock says %s, "
                          "but record %" PRId64 " was written at %s: set the clock",
                          show_time(work->now).text, tail->last.seq, tail->last.recorded_at),
                          RESEAT_CODE_CLOCK_BEHIND, "");
    if (!typed)
        return reseat_record_set_integer(work->record, RESEAT_FIELD_AT, work->now, error);
    if (at > work->now + RESEAT_LOG_AHEAD_SECONDS)
        return error_at(error, RESEAT_ERR_REFUSED, "at", "%s lies ahead: the clock says %s",
                        show_time(at).text, show_time(work->now).text);
    return RESEAT_OK;
}

/* Whether a policy says something of a field itself, or that it is to have none. */
static bool is_told(const append_work *work, reseat_field field)
{
    size_t i = 0;
    while (i < work->how->drop_count && work->how->drop[i] != field)
        i++;
    return i < work->how->drop_count || reseat_record_has(work->record, field);
}

/* Takes over what the policy in force says and the new one does not. */
static reseat_status carry(append_work *work, const reseat_record *policy)
{
    const bool anew = is_told(work, RESEAT_FIELD_U_SEAT_MM); /* the dof before are not its own */
    for (unsigned i = 0; i < RESEAT_FIELD_COUNT; i++) {
        const reseat_field field = (reseat_field)i;
        if (!record_is_policy(field) || !reseat_record_has(policy, field) ||
            is_told(work, field) || (field == RESEAT_FIELD_U_SEAT_DOF && anew))
            continue;
        if (record_copy_value(work->record, field, policy) != RESEAT_OK)
            return error_plain(work->error, RESEAT_ERR_MEMORY);
        if (!impossible(work->done.carried_count == RESEAT_LOG_CARRIED_MAX))
            work->done.carried[work->done.carried_count++] = field;
    }
    return RESEAT_OK;
}

static reseat_status carry_policy(append_work *work)
{
    reseat_record *policy = NULL;
    reseat_status status = work->log ? walk_find_policy(work->log, work->how->despite_damage,
                                                        &policy, work->error) : RESEAT_OK;
    if (status == RESEAT_OK && policy)
        status = carry(work, policy);
    reseat_record_free(policy);
    return status;
}

static void check_rules(append_work *work)
{
    const reseat_record_type type = work->record->type;
    if (fine(work))
        work->status = check_clock(work);
    if (fine(work) && type == RESEAT_RECORD_VOID)
        work->status = walk_check_void(work->log, work->record, work->error);
    if (fine(work) && type == RESEAT_RECORD_POLICY && work->how->carry)
        work->status = carry_policy(work);
    if (work->status == RESEAT_OK && work->how->check)
        work->status = work->how->check(work->how->context, work->record, work->error);
    if (fine(work))
        work->status = reseat_record_check(work->record, work->error);
}

static void add_bytes(append_work *work, const char *bytes, size_t count)
{
    if (!fine(work))
        return;
    char *grown = realloc(work->bytes, work->count + count);
    if (!grown) {
        work->status = error_plain(work->error, RESEAT_ERR_MEMORY);
        return;
    }
    memcpy(grown + work->count, bytes, count);
    work->bytes = grown;
    work->count += count;
}

static void say(append_work *work, reseat_record *record, reseat_field field, record_value value)
{
    if (fine(work))
        work->status = record_put(record, field, value, work->error);
}

/* Gives a record the next number, seals it below the seal above, and adds its line. */
static void add_record(append_work *work, reseat_record *record)
{
    size_t length = 0;
    log_tail *tail = &work->tail;
    const char *above = tail->above[0] != '\0' ? tail->above : NULL;
    say(work, record, RESEAT_FIELD_SEQ, (record_value){.as.integer = ++work->done.seq});
    say(work, record, RESEAT_FIELD_RECORDED_AT, (record_value){.as.integer = work->now});
    if (fine(work))
        work->status = record_seal(record, above, work->error);
    const char *line = reseat_record_line(record, &length);
    add_bytes(work, line, length);
    add_bytes(work, "\n", 1);
    if (fine(work))
        memcpy(tail->above, reseat_record_text(record, RESEAT_FIELD_SEAL), SEAL_DIGITS);
}

typedef struct fact {
    reseat_field field;
    record_value value;
} fact;

/* Adds a record that the log makes by itself. */
static void add_own(append_work *work, reseat_record_type type, const fact *facts, size_t count)
{
    reseat_record *record = NULL;
    if (fine(work) && reseat_record_new(type, &record) != RESEAT_OK)
        work->status = error_plain(work->error, RESEAT_ERR_MEMORY);
    for (size_t i = 0; i < count; i++)
        say(work, record, facts[i].field, facts[i].value);
    add_record(work, record);
    reseat_record_free(record);
}

static void add_head(append_work *work)
{
    const char *by = reseat_record_text(work->record, RESEAT_FIELD_BY);
    const fact facts[] = {{RESEAT_FIELD_SPINDLE, {.as.text = work->name}},
                          {RESEAT_FIELD_FORMAT, {.as.text = "reseat-log"}},
                          {RESEAT_FIELD_BY, {.as.text = by}}};
    add_own(work, RESEAT_RECORD_LOG, facts, by ? 3 : 2);
}

/* Has a record seal off a range, with the LF behind it that the end of the log may lack. */
static void seal_off(append_work *work, byte_range range, reseat_record *record)
{
    const bool with_lf = work->tail.lacks_lf && range.to == work->log->lines.end;
    if (fine(work))
        work->status = log_seal_off(work->log, range, with_lf, record, work->error);
    if (!is_repair(work))
        work->done.repaired_bytes += range.to - range.from + (with_lf ? 1 : 0);
}

/* Adds the record that seals off a range: one by itself, or one more of what a person looked at. */
static void add_repair(append_work *work, byte_range range)
{
    reseat_record *record = NULL;
    if (!fine(work) || range.from >= range.to)
        return;
    const reseat_status status = is_repair(work) ? record_copy(work->record, &record)
                                                 : reseat_record_new(RESEAT_RECORD_REPAIR, &record);
    work->status = status == RESEAT_OK ? status : error_plain(work->error, RESEAT_ERR_MEMORY);
    seal_off(work, range, record);
    add_record(work, record);
    reseat_record_free(record);
}

/* The record seals off the first piece; those before it in the log the others, from the last on. */
static void find_pieces(append_work *work)
{
    work->status = log_find_pieces(work->log, &work->pieces, work->error);
    for (size_t i = 0; fine(work) && i < work->pieces.count; i++)
        work->status = log_note_piece(work->log, &work->pieces.items[i], &work->done, work->error);
    if (fine(work))
        seal_off(work, work->pieces.items[0].bytes, work->record);
}

/* Seals off, without a person, what an attempt to record has left. */
static void repair_alone(append_work *work, byte_range range)
{
    const log_piece piece = {.bytes = range};
    add_repair(work, range); /* which refuses places beyond all numbers, before lines are counted */
    if (fine(work) && range.from < range.to)
        work->status = log_note_piece(work->log, &piece, &work->done, work->error);
}

static void build(append_work *work)
{
    const log_tail tail = work->tail; /* as it is before the records are added */
    work->done.began = !tail.has_last;
    work->done.seq = tail.has_last ? tail.last.seq + (int64_t)tail.rest_records : -1;
    if (tail.lacks_lf)
        add_bytes(work, "\n", 1);
    if (!tail.has_last)
        add_head(work);
    if (tail.rest_records == 0 && !is_repair(work)) { /* right below that, or below the head */
        repair_alone(work, tail.rest);
        repair_alone(work, work->log ? work->log->front : (byte_range){0, 0});
    }
    for (size_t i = work->pieces.count; i > 1; i--) /* a piece at the end is sealed off first */
        add_repair(work, work->pieces.items[i - 1].bytes);
    add_record(work, work->record);
    memcpy(work->done.seal, work->tail.above, SEAL_DIGITS);
}

static reseat_status say_not_written(const append_work *work, size_t written, file_fault fault)
{
    const char *why = file_reason(fault);
    const file_fault cut = work->calls->cut(work->log->lines.file, work->log->lines.end);
    if (!cut || written == 0)
        return error_set(work->error, RESEAT_ERR_IO, 0,
                         "nothing was recorded in the log of %s: %s; mend that, then record "
                         "it again", work->name, why);
    if (written + 1 < work->count)
        return error_set(work->error, RESEAT_ERR_IO, 0,
                         "nothing was recorded in the log of %s: %s; the piece that is left "
                         "will be sealed off by the next record", work->name, why);
    return error_set(work->error, RESEAT_ERR_IO, 0,
                     "record %" PRId64 " of %s lacks its end: %s; whether it lasts is not "
                     "known, look before it is recorded again", work->done.seq, work->name,
                     why);
}

static void write_bytes(append_work *work)
{
    size_t written = 0;
    const file_handle file = work->log->lines.file;
    file_fault fault = work->log->lines.end > 0 ? FILE_OK : work->calls->share(file, work->dir);
    if (fault) {
        work->status = error_set(work->error, RESEAT_ERR_IO, 0,
                                 "cannot set up the log of %s: %s; nothing was recorded",
                                 work->name, file_reason(fault));
        return;
    }
    fault = work->calls->append(file, work->bytes, work->count, &written);
    if (fault)
        work->status = say_not_written(work, written, fault);
}

/* A failed sync may have dropped the bytes: a second one would report success all the same. */
static void sync_bytes(append_work *work)
{
    file_fault fault = work->calls->sync(work->log->lines.file);
    if (!fault && work->done.began)
        fault = work->calls->sync_folder(work->dir);
    if (fault)
        work->status = error_set(work->error, RESEAT_ERR_IO, 0,
                                 "record %" PRId64 " of %s was written, but the disk did not "
                                 "confirm it: %s; check the disk, then look whether it is there "
                                 "before it is recorded again", work->done.seq, work->name,
                                 file_reason(fault));
}

/* All that comes before the write, under the lock. */
static void prepare(append_work *work)
{
    static const char addition[] = "; nothing was recorded";
    read_tail(work);
    if (fine(work) && is_repair(work))
        find_pieces(work);
    check_rules(work);
    build(work);
    if (work->error && /* which says only what cannot be read, or held */
        (work->status == RESEAT_ERR_IO || work->status == RESEAT_ERR_MEMORY))
        strncat(work->error->text, addition,
                sizeof work->error->text - strlen(work->error->text) - 1);
}

static void append(append_work *work)
{
    if (work->how->dry_run)
        open_dry(work);
    else
        open_locked(work);
    work->now = work->calls->clock();
    if (fine(work))
        prepare(work);
    if (fine(work) && !work->how->dry_run)
        write_bytes(work);
    if (fine(work) && !work->how->dry_run)
        sync_bytes(work);
}

/* All that can be said of a record before the log is touched. */
static reseat_status check_before(append_work *work, const reseat_record *record)
{
    reseat_status status = log_check_type(work->name, record->type, work->error);
    if (status == RESEAT_OK)
        status = log_path(work->dir, work->name, work->path, work->error);
    const bool may_lack = record->type == RESEAT_RECORD_REPAIR ||
                          (work->how->carry && record->type == RESEAT_RECORD_POLICY);
    if (record->type == RESEAT_RECORD_REPAIR && !reseat_record_has(record, RESEAT_FIELD_WHY))
        return error_code(work->error, error_at(work->error, RESEAT_ERR_SYNTAX, "why", "missing"),
                          RESEAT_CODE_MISSING, "");
    if (status == RESEAT_OK && !may_lack) /* what is carried over may make a policy whole */
        status = record_check(record, RESEAT_FIELD_AT, false, work->error);
    if (status == RESEAT_OK && record_copy(record, &work->record) != RESEAT_OK)
        status = error_plain(work->error, RESEAT_ERR_MEMORY);
    return status;
}

/* A log that was to be new and got no record is none; nobody else writes while it is locked. */
static void leave_no_file(const append_work *work)
{
    uint64_t length = 1;
    if (!fine(work) && work->log && work->how->begin && !work->how->dry_run)
        (void)work->calls->about(work->log->lines.file, &length);
    if (length == 0)
        (void)work->calls->remove(work->path); /* an empty file is what would be left */
}

reseat_status log_append(const file_calls *calls, const char *dir, const char *name,
                         reseat_record *record, const reseat_append *how,
                         reseat_appended *appended, reseat_error *error)
{
    static const reseat_append ordinary = {0};
    append_work work = {.calls = calls, .dir = dir, .name = name, .error = error};
    work.how = how ? how : &ordinary;
    work.status = check_before(&work, record);
    if (fine(&work))
        append(&work);
    if (fine(&work)) {
        record_swap(record, work.record);
        if (appended)
            *appended = work.done;
    }
    leave_no_file(&work);
    log_close(work.log);
    free(work.pieces.items);
    reseat_record_free(work.record);
    free(work.bytes);
    return work.status;
}

reseat_status reseat_log_append(const char *dir, const char *name, reseat_record *record,
                                const reseat_append *how, reseat_appended *appended,
                                reseat_error *error)
{
    if (!dir || !name || !record)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    return log_append(&file_system_calls, dir, name, record, how, appended, error);
}
