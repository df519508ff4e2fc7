/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Files that commands read and write as a whole. */
#ifndef RESEAT_CLI_FILES_H
#define RESEAT_CLI_FILES_H

#include "show/failure.h"

/* The bytes of a file, `-` for standard input, to be freed; NULL when it cannot be read. */
char *file_load(arguments *args, const char *name, size_t *length);

/*
 * Puts bytes where -o says, else to standard output: whole or not at all. output_check comes first,
 * where there is -o, and says why they must not go there.
 */
bool output_check(arguments *args);
bool output_folder(arguments *args, const char *folder); /* makes it, if it is not there */
bool output_write(arguments *args, const char *bytes, size_t length);

/* Whether standard output has taken all that was printed so far. */
bool output_is_sound(void);

#endif
