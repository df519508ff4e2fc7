/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#ifndef RESEAT_BASE_NAMED_H
#define RESEAT_BASE_NAMED_H

#include <stddef.h>
#include <stdlib.h>

/* Arrays that grow one item at a time. */

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

/* Things that begin with their names, sorted by them. */

typedef struct named_list {
    void **items; /* each begins with its name, and stays where it is */
    size_t count;
    size_t room;
} named_list;

/* The item of a name; NULL if there is none. */
void *named_find(const named_list *list, const char *name);

/*
 * The item of a name, made with `size` bytes, zeros behind the name, if there is none; NULL where
 * there is no memory. A name must fit.
 */
void *named_make(named_list *list, const char *name, size_t size);

/* Frees the items and the list; what items own is freed before. */
void named_free(named_list *list);

#endif
