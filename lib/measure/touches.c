/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <math.h>
#include "base/csv.h"
#include "base/error.h"
#include "reseat/touches.h"

enum { TURN, DIR, X, Y, Z, SET, KINDS };

static const column_kind kinds[KINDS] = {
    [TURN] = {"turn_deg", false}, [DIR] = {"dir_deg", false}, [X] = {"x", true},
    [Y] = {"y", true},            [Z] = {"z", true},          [SET] = {"set", false},
};

static const double set_max = 1e6;

static reseat_status read_set(const columns *c, const csv_row *row, reseat_touch *touch,
                              reseat_error *error)
{
    double set = 0;
    const reseat_status status = columns_number(c, SET, row, &set, error);
    if (status != RESEAT_OK)
        return status;
    if (fabs(set) > set_max || set > floor(set)) {
        error_set(error, RESEAT_ERR_RANGE, 0, "expected a whole number up to a million");
        return columns_error(row, c->fields[SET], "set", RESEAT_ERR_RANGE, error);
    }
    touch->set = (long)set;
    return RESEAT_OK;
}

static reseat_status read_touch(const columns *c, const csv_row *row, void *list,
                                size_t place, reseat_error *error)
{
    reseat_touch touch = {.line = row->line, .has_dir = c->fields[DIR] != COLUMNS_ABSENT};
    double *const values[] = {&touch.turn_deg, &touch.dir_deg, &touch.x_mm, &touch.y_mm,
                              &touch.z_mm};
    reseat_status status = RESEAT_OK;
    for (size_t kind = 0; kind < SET && status == RESEAT_OK; kind++)
        status = columns_number(c, kind, row, values[kind], error);
    if (status == RESEAT_OK)
        status = read_set(c, row, &touch, error);
    if (status == RESEAT_OK && list != NULL) {
        touch.column = row->fields[c->fields[X]].column;
        ((reseat_touch *)list)[place] = touch;
    }
    return status;
}

static reseat_status read_header(csv_reader *csv, columns *c, reseat_error *error)
{
    csv_row header;
    reseat_status status = columns_begin(csv, kinds, KINDS, c, &header, error);
    if (status == RESEAT_OK)
        status = columns_require(c, X, &header, error);
    return status == RESEAT_OK ? columns_require(c, Y, &header, error) : status;
}

reseat_status reseat_touches_read(const char *text, size_t length, reseat_touch *list, size_t room,
                                  reseat_touches *touches, reseat_error *error)
{
    static const columns_table table = {"touches", 1, RESEAT_TOUCHES_MAX, read_touch};
    if (text == NULL || list == NULL || touches == NULL)
        return error_plain(error, RESEAT_ERR_ARGUMENT);
    csv_reader csv = csv_start(text, length);
    columns c;
    size_t count = 0;
    reseat_status status = read_header(&csv, &c, error);
    if (status == RESEAT_OK)
        status = columns_read(csv, &c, &table, list, room, &count, error);
    if (status != RESEAT_OK)
        return status;
    *touches = (reseat_touches){.count = count, .unit = c.unit,
                                .has_turn = c.fields[TURN] != COLUMNS_ABSENT,
                                .has_dir = c.fields[DIR] != COLUMNS_ABSENT,
                                .has_z = c.fields[Z] != COLUMNS_ABSENT,
                                .has_set = c.fields[SET] != COLUMNS_ABSENT};
    return RESEAT_OK;
}
