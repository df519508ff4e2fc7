/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <math.h>
#include "base/csv.h"
#include "base/error.h"
#include "reseat/touches.h"

enum { TURN, DIR, X, Y, Z, SET, KINDS };

static const column_kind kinds[KINDS] = {
    [TURN] = {.name = "turn_deg"},
    [DIR] = {.name = "dir_deg"},
    [X] = {.name = "x", .length = true, .required = true},
    [Y] = {.name = "y", .length = true, .required = true},
    [Z] = {.name = "z", .length = true},
    [SET] = {.name = "set"},
};

static const double set_max = 1e6;

static reseat_status take_touch(const columns *c, const csv_row *row, const double *values,
                                void *list, size_t place, reseat_error *error)
{
    const double set = values[SET];
    if (fabs(set) > set_max || set > floor(set))
        return columns_error(row, c->fields[SET], "set",
                             error_set(error, RESEAT_ERR_RANGE, 0,
                                       "expected a whole number up to a million"), error);
    if (list)
        ((reseat_touch *)list)[place] = (reseat_touch){
            .x_mm = values[X], .y_mm = values[Y], .z_mm = values[Z],
            .turn_deg = values[TURN],
            .dir_deg = values[DIR], .has_dir = columns_has(c, DIR),
            .set = (long)set,
            .line = row->line, .column = row->fields[c->fields[X]].column};
    return RESEAT_OK;
}

reseat_status reseat_touches_read(const char *text, size_t length, reseat_touch *list, size_t room,
                                  reseat_touches *touches, reseat_error *error)
{
    static const columns_table table = {.kinds = kinds, .count = KINDS, .what = "touches",
                                        .least = 1, .most = RESEAT_TOUCHES_MAX,
                                        .take = take_touch};
    if (!text || !list || !touches)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    columns c;
    size_t count = 0;
    const reseat_status status =
        columns_read(text, length, &table, list, room, &c, &count, error);
    if (status == RESEAT_OK)
        *touches = (reseat_touches){.count = count, .unit = c.unit,
                                    .has_turn = columns_has(&c, TURN),
                                    .has_dir = columns_has(&c, DIR),
                                    .has_z = columns_has(&c, Z), .has_set = columns_has(&c, SET)};
    return status;
}
