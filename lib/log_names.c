/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include "error.h"
#include "grow.h"
#include "log_file.h"
#include "record_values.h"

bool reseat_log_is_name(const char *name)
{
    return name != NULL && record_is_log_name(name);
}

reseat_status log_check_name(const char *name, reseat_error *error)
{
    if (record_is_log_name(name))
        return RESEAT_OK;
    return reseat_error_set(error, RESEAT_ERR_SYNTAX, 0,
                            "a spindle's name is at most %d characters, a-z 0-9 . _ -, and begins "
                            "with a-z 0-9, read %s", RESEAT_RECORD_NAME_MAX,
                            reseat_error_echo(name, strlen(name)).text);
}

reseat_status log_folder_missing(const char *dir, int number, reseat_error *error)
{
    const reseat_echo echo = reseat_error_echo(dir, strlen(dir));
    if (number == ENOENT)
        return reseat_error_set(error, RESEAT_ERR_ARGUMENT, 0,
                                "the log folder %s is not there: make it, or name another",
                                echo.text);
    if (number == ENOTDIR)
        return reseat_error_set(error, RESEAT_ERR_ARGUMENT, 0,
                                "the log folder %s is no folder: name the one with the logs",
                                echo.text);
    return reseat_error_set(error, RESEAT_ERR_IO, 0, "cannot read the log folder %s: %s", echo.text,
                            file_reason(number));
}

/* The name in `NAME.jsonl`; false for any other file. */
static bool take_name(const char *entry, char *name)
{
    static const char ending[] = ".jsonl";
    const size_t length = strlen(entry), tail = sizeof ending - 1;
    if (length <= tail || length - tail > RESEAT_RECORD_NAME_MAX ||
        strcmp(entry + length - tail, ending) != 0)
        return false;
    memcpy(name, entry, length - tail);
    name[length - tail] = '\0';
    return record_is_log_name(name);
}

static reseat_status add_name(reseat_log_names *names, size_t *room, const char *name)
{
    void *grown = grow(names->names, names->count, room, sizeof names->names[0]);
    if (grown == NULL)
        return RESEAT_ERR_MEMORY;
    names->names = grown;
    memcpy(names->names[names->count++], name, strlen(name) + 1);
    return RESEAT_OK;
}

static int compare_names(const void *a, const void *b)
{
    return strcmp(a, b);
}

/* Reads the folder through; errno tells a failure from the end. */
static reseat_status read_names(const file_calls *calls, DIR *folder, const char *dir,
                                reseat_log_names *names, reseat_error *error)
{
    size_t room = 0;
    char name[RESEAT_LOG_NAME_SIZE];
    for (;;) {
        errno = 0;
        const struct dirent *entry = calls->readdir(folder);
        if (entry == NULL)
            return errno == 0 ? RESEAT_OK : log_folder_missing(dir, errno, error);
        if (take_name(entry->d_name, name) && add_name(names, &room, name) != RESEAT_OK)
            return reseat_error_plain(error, RESEAT_ERR_MEMORY);
    }
}

reseat_status log_list(const file_calls *calls, const char *dir, reseat_log_names *names,
                       reseat_error *error)
{
    reseat_log_names found = {NULL, 0};
    DIR *folder = calls->opendir(dir);
    if (folder == NULL)
        return log_folder_missing(dir, errno, error);
    const reseat_status status = read_names(calls, folder, dir, &found, error);
    calls->closedir(folder);
    if (status != RESEAT_OK) {
        reseat_log_names_free(&found);
        return status;
    }
    if (found.count > 1)
        qsort(found.names, found.count, sizeof found.names[0], compare_names);
    *names = found;
    return RESEAT_OK;
}

reseat_status reseat_log_list(const char *dir, reseat_log_names *names, reseat_error *error)
{
    if (dir == NULL || names == NULL)
        return reseat_error_plain(error, RESEAT_ERR_ARGUMENT);
    return log_list(&file_system_calls, dir, names, error);
}

void reseat_log_names_free(reseat_log_names *names)
{
    if (names == NULL)
        return;
    free(names->names);
    *names = (reseat_log_names){NULL, 0};
}
