/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * What a fuzz target is linked with where there is no fuzzer: runs it once on every file of the
 * folders named, and on no bytes at all. Each input stands in memory of just its size, so that a
 * sanitizer sees a read past its end.
 */
#include <dirent.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static int fail(const char *path)
{
    perror(path);
    return -1;
}

static int replay_file(const char *path, size_t size)
{
    uint8_t *data = malloc(size > 0 ? size : 1);
    FILE *file = fopen(path, "rb");
    int status = data != NULL && file != NULL && fread(data, 1, size, file) == size ? 0 : -1;

    if (status == 0)
        LLVMFuzzerTestOneInput(data, size);
    else
        fail(path);
    if (file != NULL)
        fclose(file);
    free(data);
    return status;
}

/* How many files of the folder were replayed, or -1. */
static int replay_folder(const char *folder)
{
    DIR *entries = opendir(folder);
    int count = 0;

    if (entries == NULL)
        return fail(folder);
    for (const struct dirent *entry; count >= 0 && (entry = readdir(entries)) != NULL;) {
        char path[4096];
        struct stat about;
        snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        if (stat(path, &about) != 0)
            count = fail(path);
        else if (S_ISREG(about.st_mode))
            count = replay_file(path, (size_t)about.st_size) == 0 ? count + 1 : -1;
    }
    closedir(entries);
    return count;
}

int main(int argc, char **argv)
{
    LLVMFuzzerTestOneInput((const uint8_t *)"", 0);
    for (int i = 1; i < argc; i++) {
        const int count = replay_folder(argv[i]);
        if (count <= 0) {
            fprintf(stderr, "%s: nothing replayed\n", argv[i]);
            return EXIT_FAILURE;
        }
        printf("%s: %d inputs\n", argv[i], count);
    }
    return EXIT_SUCCESS;
}
