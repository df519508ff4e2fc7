/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "shop_files.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FILES_MAX 4
#define NAME_SIZE 80

typedef struct shop_file {
    char name[NAME_SIZE]; /* "": free */
    char *bytes;
    size_t length, room;
} shop_file;

static shop_file files[FILES_MAX];
int64_t shop_clock;

void shop_files_clear(void)
{
    for (size_t i = 0; i < FILES_MAX; i++) {
        files[i].name[0] = '\0';
        files[i].length = 0;
    }
}

void shop_files_save(const char *dir)
{
    for (size_t i = 0; i < FILES_MAX && files[i].name[0]; i++) {
        char path[512];
        snprintf(path, sizeof path, "%s/%s", dir, files[i].name);
        FILE *out = fopen(path, "wb");
        if (!out || fwrite(files[i].bytes, 1, files[i].length, out) != files[i].length)
            fprintf(stderr, "shop: %s was not written\n", path);
        if (out)
            fclose(out);
    }
}

/* A handle is the place of a file. */
static file_fault open_file(const char *path, file_use use, file_handle *file)
{
    const char *name = strrchr(path, '/') + 1;
    size_t i = 0;
    while (i < FILES_MAX && files[i].name[0] && strcmp(files[i].name, name) != 0)
        i++;
    if (i == FILES_MAX)
        return FILE_FULL;
    if (!files[i].name[0] && use != FILE_BEGIN)
        return FILE_MISSING;
    snprintf(files[i].name, sizeof files[i].name, "%s", name);
    *file = (file_handle)i;
    return FILE_OK;
}

static void close_file(file_handle file)
{
    (void)file;
}

static file_fault about_file(file_handle file, uint64_t *length)
{
    *length = files[file].length;
    return FILE_OK;
}

static file_fault lock_file(file_handle file, const char *path)
{
    (void)file;
    (void)path;
    return FILE_OK;
}

static file_fault read_file(file_handle file, void *bytes, size_t count, uint64_t offset,
                            size_t *got)
{
    const shop_file *f = &files[file];
    const size_t left = offset < f->length ? f->length - (size_t)offset : 0;
    *got = count < left ? count : left;
    if (*got > 0)
        memcpy(bytes, f->bytes + offset, *got);
    return FILE_OK;
}

static file_fault append_file(file_handle file, const void *bytes, size_t count, size_t *written)
{
    shop_file *f = &files[file];
    if (f->room < f->length + count) {
        char *grown = realloc(f->bytes, 2 * (f->length + count));
        if (!grown)
            return FILE_NO_MEMORY;
        f->bytes = grown;
        f->room = 2 * (f->length + count);
    }
    memcpy(f->bytes + f->length, bytes, count);
    f->length += count;
    *written = count;
    return FILE_OK;
}

static file_fault cut_file(file_handle file, uint64_t length)
{
    files[file].length = (size_t)length;
    return FILE_OK;
}

static file_fault sync_file(file_handle file)
{
    (void)file;
    return FILE_OK;
}

static file_fault share_file(file_handle file, const char *dir)
{
    (void)file;
    (void)dir;
    return FILE_OK;
}

static file_fault look_at_folder(const char *dir)
{
    return strcmp(dir, SHOP_DIR) == 0 ? FILE_OK : FILE_MISSING;
}

static file_fault list_folder(const char *dir, bool (*found)(void *context, const char *name),
                              void *context)
{
    (void)dir;
    for (size_t i = 0; i < FILES_MAX && files[i].name[0]; i++)
        if (!found(context, files[i].name))
            return FILE_NO_MEMORY;
    return FILE_OK;
}

static int64_t read_clock(void)
{
    return shop_clock;
}

static void pause_nobody(unsigned milliseconds)
{
    (void)milliseconds;
}

const file_calls shop_calls = {
    .open = open_file,
    .close = close_file,
    .about = about_file,
    .try_lock = lock_file,
    .read = read_file,
    .append = append_file,
    .cut = cut_file,
    .sync = sync_file,
    .share = share_file,
    .folder = look_at_folder,
    .sync_folder = look_at_folder,
    .list = list_folder,
    .clock = read_clock,
    .pause = pause_nobody,
};
