/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "base/named.h"

#include <stdbool.h>
#include <string.h>

/* Where a name stands, or would. */
static size_t place_of(const named_list *list, const char *name, bool *there)
{
    size_t place = 0;
    for (size_t end = list->count; place < end;) {
        const size_t middle = place + (end - place) / 2;
        if (strcmp(list->items[middle], name) < 0)
            place = middle + 1;
        else
            end = middle;
    }
    *there = place < list->count && strcmp(list->items[place], name) == 0;
    return place;
}

void *named_find(const named_list *list, const char *name)
{
    bool there;
    const size_t place = place_of(list, name, &there);
    return there ? list->items[place] : NULL;
}

void *named_make(named_list *list, const char *name, size_t size)
{
    bool there;
    const size_t place = place_of(list, name, &there);
    if (there)
        return list->items[place];
    void **items = grow(list->items, list->count, &list->room, sizeof *items);
    if (items)
        list->items = items;
    void *made = items ? calloc(1, size) : NULL;
    if (!made)
        return NULL;
    memcpy(made, name, strlen(name) + 1);
    memmove(items + place + 1, items + place, (list->count++ - place) * sizeof *items);
    return items[place] = made;
}

void named_free(named_list *list)
{
    for (size_t i = 0; i < list->count; i++)
        free(list->items[i]);
    free(list->items);
    *list = (named_list){.items = NULL};
}
