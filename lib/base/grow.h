/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_BASE_GROW_H
#define RESEAT_BASE_GROW_H

#include <stddef.h>
#include <stdlib.h>

/*
 * Makes room for one more item of `size` bytes behind `count` of them; there is room for *room.
 * Returns where the items stand now; NULL, with all as it was, where there is no memory.
 */
static inline void *grow(void *items, size_t count, size_t *room, size_t size)
{
    if (count < *room)
        return items;
    const size_t more = *room > 0 ? 2 * *room : 16;
    void *grown = realloc(items, more * size); /* what there is stands in memory: no overflow */
    if (grown)
        *room = more;
    return grown;
}

#endif
