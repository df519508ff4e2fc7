/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * bare_file append FILE BYTES: opens, writes a line of so many bytes, fsyncs, closes.
 * bare_file read FILE: reads it once, from its start to its end.
 *
 * What the file system alone takes, as a peer.
 */

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static int append(const char *name, size_t bytes)
{
    static char line[65536];
    if (bytes == 0 || bytes > sizeof line)
        return 2;
    memset(line, 'x', bytes);
    line[bytes - 1] = '\n';
    const int file = open(name, O_WRONLY | O_APPEND | O_CREAT | O_CLOEXEC, 0664);
    if (file < 0 || write(file, line, bytes) != (ssize_t)bytes || fsync(file) != 0)
        return 1;
    return close(file) == 0 ? 0 : 1;
}

static int read_once(const char *name)
{
    static char block[1 << 20];
    const int file = open(name, O_RDONLY | O_CLOEXEC);
    ssize_t got = 0;
    if (file < 0)
        return 1;
    do
        got = read(file, block, sizeof block);
    while (got > 0);
    close(file);
    return got == 0 ? 0 : 1;
}

int main(int argc, char **argv)
{
    if (argc == 4 && strcmp(argv[1], "append") == 0)
        return append(argv[2], (size_t)atoi(argv[3]));
    if (argc == 3 && strcmp(argv[1], "read") == 0)
        return read_once(argv[2]);
    return 2;
}
