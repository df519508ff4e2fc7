/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* A folder of logs in memory, and the clock that its writers go by. */
#ifndef RESEAT_TESTS_MONTECARLO_SHOP_FILES_H
#define RESEAT_TESTS_MONTECARLO_SHOP_FILES_H

#include "log/files.h"

#define SHOP_DIR "shop"

extern const file_calls shop_calls;
extern int64_t shop_clock; /* seconds since 1970 */

/* Empties the folder. */
void shop_files_clear(void);

/* Writes the logs into a folder of the disk, to be looked at. */
void shop_files_save(const char *dir);

#endif
