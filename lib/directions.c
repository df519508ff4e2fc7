/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "directions.h"
#include <assert.h>
#include <stdbool.h>
#include "reseat/plane.h"

/* 1 degree, and room for the rounding of directions such as 10.1 and 11.1. */
static const double reach_deg = 1 + 1e-9;

static bool before(direction a, direction b)
{
    if (a.dir_deg < b.dir_deg || a.dir_deg > b.dir_deg)
        return a.dir_deg < b.dir_deg;
    return a.radius_mm < b.radius_mm;
}

/* Shell's method: in place, no allocation, quick enough for any file of touches. */
static void sort(direction *list, size_t count)
{
    for (size_t gap = count / 2; gap > 0; gap = gap == 2 ? 1 : gap * 5 / 11) {
        for (size_t i = gap; i < count; i++) {
            const direction moved = list[i];
            size_t j = i;
            for (; j >= gap && before(moved, list[j - gap]); j -= gap)
                list[j] = list[j - gap];
            list[j] = moved;
        }
    }
}

/* Index after the widest gap of the sorted list, the one across 0 if no other is wider. */
static size_t after_widest_gap(const direction *list, size_t count)
{
    size_t widest = 0;
    double gap_deg = list[0].dir_deg + 360 - list[count - 1].dir_deg;
    for (size_t i = 1; i < count; i++) {
        if (list[i].dir_deg - list[i - 1].dir_deg > gap_deg) {
            gap_deg = list[i].dir_deg - list[i - 1].dir_deg;
            widest = i;
        }
    }
    return widest;
}

/* Averages the touches that lie within reach of list[start], and returns how many those are. */
static size_t average(const direction *list, size_t count, size_t start, size_t left,
                      direction *mean)
{
    const direction first = list[start];
    double dirs_deg = 0;
    double radii_mm = 0;
    size_t n = 0;
    for (; n < left; n++) {
        const direction next = list[(start + n) % count];
        const double ahead_deg = reseat_plane_seat(next.dir_deg - first.dir_deg);
        if (n > 0 && ahead_deg > reach_deg)
            break;
        dirs_deg += ahead_deg;
        radii_mm += next.radius_mm - first.radius_mm;
    }
    mean->dir_deg = reseat_plane_seat(first.dir_deg + dirs_deg / (double)n);
    mean->radius_mm = first.radius_mm + radii_mm / (double)n;
    return n;
}

static void reduce_and_sort(direction *list, size_t count)
{
    for (size_t i = 0; i < count; i++)
        list[i].dir_deg = reseat_plane_seat(list[i].dir_deg);
    sort(list, count);
}

double directions_arc(direction *list, size_t count)
{
    assert(count > 0);
    reduce_and_sort(list, count);
    const size_t start = after_widest_gap(list, count);
    const size_t end = (start + count - 1) % count;
    return reseat_plane_seat(list[end].dir_deg - list[start].dir_deg);
}

size_t directions_merge(direction *list, size_t count)
{
    assert(count > 0);
    direction distinct[DIRECTIONS_MAX];
    reduce_and_sort(list, count);
    const size_t start = after_widest_gap(list, count);
    size_t found = 0;
    for (size_t done = 0; done < count; found++) {
        assert(found < DIRECTIONS_MAX);
        done += average(list, count, (start + done) % count, count - done, &distinct[found]);
    }
    for (size_t i = 0; i < found; i++)
        list[i] = distinct[i];
    sort(list, found);
    return found;
}
