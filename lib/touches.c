/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "reseat/touches.h"
#include <math.h>
#include "columns.h"
#include "error.h"
#include "reseat/csv.h"

enum { TURN, DIR, X, Y, Z, SET, KINDS };

static const column_kind kinds[KINDS] = {
    [TURN] = {"turn_deg", false}, [DIR] = {"dir_deg", false}, [X] = {"x", true},
    [Y] = {"y", true},            [Z] = {"z", true},          [SET] = {"set", false},
};

static const double set_max = 1e6;

static reseat_status read_set(const columns *c, const reseat_csv_row *row, reseat_touch *touch,
                              reseat_error *error)
{
    double set = 0;
    const reseat_status status = columns_number(c, SET, row, &set, error);
    if (status != RESEAT_OK)
        return status;
    if (fabs(set) > set_max || set < floor(set) || set > floor(set)) {
        reseat_error_set(error, RESEAT_ERR_RANGE, 0, "expected a whole number up to a million");
        return columns_error(row, c->fields[SET], "set", RESEAT_ERR_RANGE, error);
    }
    touch->set = (long)set;
    return RESEAT_OK;
}

static reseat_status read_touch(const columns *c, const reseat_csv_row *row, reseat_touch *touch,
                                reseat_error *error)
{
    *touch = (reseat_touch){.line = row->line, .has_dir = c->fields[DIR] != COLUMNS_ABSENT};
    double *const values[] = {&touch->turn_deg, &touch->dir_deg, &touch->x_mm, &touch->y_mm,
                              &touch->z_mm};
    reseat_status status = RESEAT_OK;
    for (size_t kind = 0; kind < SET && status == RESEAT_OK; kind++)
        status = columns_number(c, kind, row, values[kind], error);
    if (status == RESEAT_OK)
        touch->column = row->fields[c->fields[X]].column;
    return status == RESEAT_OK ? read_set(c, row, touch, error) : status;
}

/* Reads the rows below the header; into `list`, unless it is NULL: then they are only checked. */
static reseat_status read_rows(reseat_csv csv, const columns *c, reseat_touch *list, size_t *count,
                               reseat_error *error)
{
    reseat_csv_row row;
    for (*count = 0; columns_more(&csv); ++*count) {
        reseat_touch touch;
        reseat_status status = columns_next(c, &csv, &row, error);
        if (status == RESEAT_OK && *count == RESEAT_TOUCHES_MAX) {
            reseat_error_set(error, RESEAT_ERR_RANGE, 0, "expected at most %d touches",
                             RESEAT_TOUCHES_MAX);
            status = columns_error(&row, 0, "", RESEAT_ERR_RANGE, error);
        }
        if (status == RESEAT_OK)
            status = read_touch(c, &row, &touch, error);
        if (status != RESEAT_OK)
            return status;
        if (list != NULL)
            list[*count] = touch;
    }
    if (*count > 0)
        return RESEAT_OK;
    reseat_error_set(error, RESEAT_ERR_TOO_FEW, 0, "there is no touch below the header");
    if (error != NULL)
        error->line = csv.line;
    return RESEAT_ERR_TOO_FEW;
}

static reseat_status read_header(reseat_csv *csv, columns *c, reseat_error *error)
{
    reseat_csv_row header;
    reseat_status status = columns_begin(csv, kinds, KINDS, c, &header, error);
    if (status == RESEAT_OK)
        status = columns_require(c, X, &header, error);
    return status == RESEAT_OK ? columns_require(c, Y, &header, error) : status;
}

reseat_status reseat_touches_read(const char *text, size_t length, reseat_touch *list, size_t room,
                                  reseat_touches *touches, reseat_error *error)
{
    if (text == NULL || list == NULL || touches == NULL)
        return reseat_error_plain(error, RESEAT_ERR_ARGUMENT);
    reseat_csv csv = reseat_csv_start(text, length);
    columns c;
    size_t count;
    reseat_status status = read_header(&csv, &c, error);
    if (status == RESEAT_OK)
        status = read_rows(csv, &c, NULL, &count, error);
    if (status == RESEAT_OK && count > room)
        status = reseat_error_plain(error, RESEAT_ERR_SPACE);
    if (status != RESEAT_OK)
        return status;
    read_rows(csv, &c, list, &count, NULL); /* found good above: cannot fail */
    *touches = (reseat_touches){.count = count, .unit = c.unit,
                                .has_turn = c.fields[TURN] != COLUMNS_ABSENT,
                                .has_dir = c.fields[DIR] != COLUMNS_ABSENT,
                                .has_z = c.fields[Z] != COLUMNS_ABSENT,
                                .has_set = c.fields[SET] != COLUMNS_ABSENT};
    return RESEAT_OK;
}
