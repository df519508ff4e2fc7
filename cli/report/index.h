/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* The page of a whole shop: a row a probe, with links to the pages of the spindles. */
#ifndef RESEAT_CLI_REPORT_INDEX_H
#define RESEAT_CLI_REPORT_INDEX_H

#include "page.h"

typedef struct index_row index_row;

typedef struct shop_index {
    index_row *rows;
    size_t count, room;
    bool failed; /* there was no memory for a row */
} shop_index;

/* The probes of a page; or why there is no page of a spindle. */
void index_add(shop_index *shop, const page *p);
void index_fail(shop_index *shop, const char *spindle, const char *why);

/* The whole page, the worst first; gauges that are overdue are named before all rows. */
void index_write(shop_index *shop, FILE *out, int64_t as_of, reseat_unit unit,
                 const reseat_gauge_entry *gauges, size_t gauge_count);
void index_free(shop_index *shop);

#endif
