/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "log/file.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "base/error.h"
#include "base/named.h"

/* Folders of logs: names, paths, and what is said where one fails. */

file_fault file_read_all(const file_calls *calls, file_handle file, void *bytes, size_t count,
                         uint64_t offset)
{
    size_t got = 0;
    const file_fault fault = calls->read(file, bytes, count, offset, &got);
    return !fault && got < count ? FILE_CHANGED : fault;
}

const char *file_reason(file_fault fault)
{
    switch (fault) {
    case FILE_MISSING: return "not there";
    case FILE_NO_FOLDER: return "a part of the path is no folder";
    case FILE_NOT_PLAIN: return "it is no plain file";
    case FILE_LINK: return "it is a symbolic link";
    case FILE_NO_PERMISSION: return "no permission";
    case FILE_READ_ONLY: return "the disk is read-only";
    case FILE_FULL: return "the disk is full";
    case FILE_QUOTA: return "the disk quota is used up";
    case FILE_TOO_LARGE: return "the file would grow too large";
    case FILE_PART: return "only a part could be written, the disk may be full";
    case FILE_BROKEN: return "the disk reports an error";
    case FILE_TOO_MANY_OPEN: return "too many files are open";
    case FILE_NO_LOCKS: return "the disk cannot lock files; logs belong on a local disk";
    case FILE_BUSY: return "another program has it";
    case FILE_NO_MEMORY: return "out of memory";
    case FILE_CHANGED: return "it changed while it was read; try again";
    case FILE_SIGNAL: return "a signal came";
    case FILE_OK:
    case FILE_REFUSED: break;
    }
    return "the system refuses";
}

reseat_status log_check_name(const char *name, reseat_error *error)
{
    if (name[0] && name[0] != '.' && log_is_kept(name))
        return error_set(error, RESEAT_ERR_SYNTAX, 0,
                         "%s cannot name a spindle: it ends in a dot, is a device on some systems, "
                         "or is kept for the gauges", error_echo(name, strlen(name)).text);
    if (!log_is_name(name))
        return error_set(error, RESEAT_ERR_SYNTAX, 0,
                         "a spindle's name is at most %d characters, a-z 0-9 . _ -, and begins "
                         "with a-z 0-9, read %s", RESEAT_RECORD_NAME_MAX,
                         error_echo(name, strlen(name)).text);
    return RESEAT_OK;
}

reseat_status log_check_type(const char *name, reseat_record_type type, reseat_error *error)
{
    const bool gauge = type == RESEAT_RECORD_GAUGE;
    const bool of_any = type == RESEAT_RECORD_VOID || type == RESEAT_RECORD_REPAIR;
    if (!of_any && !walk_can_void(type) && type != RESEAT_RECORD_VERDICT)
        return error_set(error, RESEAT_ERR_ARGUMENT, 0, "not a record that people make");
    if (gauge && !log_is_register(name))
        return error_set(error, RESEAT_ERR_ARGUMENT, 0, "gauges are recorded in their register");
    return gauge || of_any ? RESEAT_OK : log_check_name(name, error);
}

reseat_status log_path(const char *dir, const char *name, char *path, reseat_error *error)
{
    const reseat_status status = log_is_register(name) ? RESEAT_OK : log_check_name(name, error);
    if (status != RESEAT_OK)
        return status;
    const int length = snprintf(path, FILE_PATH_SIZE, "%s/%s.jsonl", dir, name);
    if ((size_t)length >= FILE_PATH_SIZE) /* what failed is below 0, and so too large */
        return error_set(error, RESEAT_ERR_ARGUMENT, 0, "the log folder's name is too long");
    return RESEAT_OK;
}

reseat_status log_io_error(const char *name, file_fault fault, reseat_error *error)
{
    if (fault == FILE_NO_MEMORY)
        return error_plain(error, RESEAT_ERR_MEMORY);
    return error_set(error, RESEAT_ERR_IO, 0, "cannot read the log of %s: %s", name,
                     file_reason(fault));
}

static reseat_status say_folder(const char *dir, file_fault fault, reseat_error *error)
{
    const error_echoed echo = error_echo(dir, strlen(dir));
    if (fault == FILE_NO_MEMORY)
        return error_plain(error, RESEAT_ERR_MEMORY);
    if (fault != FILE_MISSING && fault != FILE_NO_FOLDER)
        return error_set(error, RESEAT_ERR_IO, 0, "cannot read the log folder %s: %s", echo.text,
                         file_reason(fault));
    const char *what = fault == FILE_MISSING ? "not there: make it, or name another"
                                             : "no folder: name the one with the logs";
    return error_code(error, error_set(error, RESEAT_ERR_ARGUMENT, 0, "the log folder %s is %s",
                                       echo.text, what), RESEAT_CODE_NO_FOLDER, "");
}

reseat_status log_missing(const file_calls *calls, const char *dir, const char *name,
                          reseat_error *error)
{
    const file_fault fault = calls->folder(dir);
    if (fault)
        return say_folder(dir, fault, error);
    return error_code(error, error_set(error, RESEAT_ERR_NOT_FOUND, 0, "there is no %s%s in %s",
                                       log_is_register(name) ? "register of " : "log of ", name,
                                       error_echo(dir, strlen(dir)).text), RESEAT_CODE_NO_LOG, "");
}

typedef struct name_list {
    reseat_log_names names;
    size_t room, alike_room;
} name_list;

/* Whether a text ends so, in letters large or small. */
static bool ends_in(const char *text, const char *ending)
{
    const size_t length = strlen(text), tail = strlen(ending);
    bool same = length > tail;
    for (size_t i = 0; same && i < tail; i++) {
        const char c = text[length - tail + i];
        same = (c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c) == ending[i];
    }
    return same;
}

/* Takes a file that is no log, if it may be held for one; that of the gauges is known. */
static bool take_alike(name_list *list, const char *entry)
{
    reseat_log_names *names = &list->names;
    if (entry[0] == '.' || strcmp(entry, RESEAT_LOG_GAUGES ".jsonl") == 0 ||
        !(ends_in(entry, ".jsonl") || ends_in(entry, ".json")))
        return true;
    void *grown = grow(names->alike, names->alike_count, &list->alike_room,
                       sizeof names->alike[0]);
    if (!grown)
        return false;
    names->alike = grown;
    snprintf(names->alike[names->alike_count++], sizeof names->alike[0], "%s", entry);
    return true;
}

/* Takes the name in `NAME.jsonl`. */
static bool take_entry(void *context, const char *entry)
{
    static const char ending[] = ".jsonl";
    const size_t length = strlen(entry), tail = sizeof ending - 1;
    name_list *list = context;
    reseat_log_names *names = &list->names;
    char name[RESEAT_LOG_NAME_SIZE] = "";
    if (length > tail && length - tail < sizeof name && strcmp(entry + length - tail, ending) == 0)
        memcpy(name, entry, length - tail);
    if (!log_is_name(name))
        return take_alike(list, entry);
    void *grown = grow(names->names, names->count, &list->room, sizeof names->names[0]);
    if (!grown)
        return false;
    names->names = grown;
    memcpy(names->names[names->count++], name, sizeof name);
    return true;
}

static int compare_names(const void *a, const void *b)
{
    return strcmp(a, b);
}

reseat_status log_list(const file_calls *calls, const char *dir, reseat_log_names *names,
                       reseat_error *error)
{
    name_list list = {.room = 0};
    const file_fault fault = calls->list(dir, take_entry, &list);
    if (fault) {
        reseat_log_names_free(&list.names);
        return say_folder(dir, fault, error);
    }
    if (list.names.count > 1)
        qsort(list.names.names, list.names.count, sizeof list.names.names[0], compare_names);
    if (list.names.alike_count > 1)
        qsort(list.names.alike, list.names.alike_count, sizeof list.names.alike[0],
              compare_names);
    *names = list.names;
    return RESEAT_OK;
}

reseat_status reseat_log_list(const char *dir, reseat_log_names *names, reseat_error *error)
{
    return dir && names ? log_list(&file_system_calls, dir, names, error)
                        : error_plain(error, RESEAT_ERR_ARGUMENT);
}

void reseat_log_names_free(reseat_log_names *names)
{
    if (!names)
        return;
    free(names->names);
    free(names->alike);
    *names = (reseat_log_names){.count = 0};
}
