/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "reseat/radius.h"

#include "columns.h"
#include "error.h"
#include "reseat/csv.h"

/* Which column holds the direction: 0 or 1; the other one holds the radius. */
static reseat_status read_header(reseat_csv *csv, reseat_csv_row *row, size_t *direction,
                                 reseat_error *error)
{
    reseat_status status = RESEAT_ERR_NOT_FOUND;
    if (reseat_csv_more(csv))
        status = reseat_csv_next(csv, row, error);
    if (status != RESEAT_OK && status != RESEAT_ERR_NOT_FOUND)
        return status;
    for (size_t i = 0; status == RESEAT_OK && row->count == 2 && i < 2; i++) {
        if (columns_says(&row->fields[i], "dir_deg") &&
            columns_says(&row->fields[1 - i], "radius_mm")) {
            *direction = i;
            return RESEAT_OK;
        }
    }
    reseat_error_set(error, RESEAT_ERR_SYNTAX, 1, "expected the header dir_deg,radius_mm");
    if (error)
        error->line = 1;
    return RESEAT_ERR_SYNTAX;
}

static reseat_status read_row(const reseat_csv_row *row, size_t direction, double *dir_deg,
                              double *radius_mm, reseat_error *error)
{
    if (row->count != 2) {
        reseat_error_set(error, RESEAT_ERR_SYNTAX, 1, "expected 2 columns, read %zu", row->count);
        if (error)
            error->line = row->line;
        return RESEAT_ERR_SYNTAX;
    }
    reseat_status status = reseat_csv_number(row, direction, "dir_deg", dir_deg, error);
    if (status == RESEAT_OK)
        status = reseat_csv_number(row, 1 - direction, "radius_mm", radius_mm, error);
    if (status != RESEAT_OK || *radius_mm > 0)
        return status;
    const reseat_csv_field *field = &row->fields[1 - direction];
    reseat_error_set(error, RESEAT_ERR_RANGE, field->column, "expected a radius above 0, read %s",
                     reseat_error_echo(field->text, field->length).text);
    if (error)
        error->line = row->line;
    return RESEAT_ERR_RANGE;
}

reseat_status reseat_radius_read(const char *text, size_t length, double *dirs_deg,
                                 double *radii_mm, size_t space, size_t *count,
                                 reseat_error *error)
{
    if ((!text && length > 0) || !dirs_deg || !radii_mm || !count)
        return reseat_error_plain(error, RESEAT_ERR_ARGUMENT);
    reseat_csv csv = reseat_csv_start(text, length);
    reseat_csv_row row;
    size_t direction = 0, n = 0;
    reseat_status status = read_header(&csv, &row, &direction, error);
    while (status == RESEAT_OK && reseat_csv_more(&csv)) {
        status = reseat_csv_next(&csv, &row, error);
        if (status != RESEAT_OK || columns_is_empty(&row))
            continue;
        if (n == space)
            return reseat_error_set(error, RESEAT_ERR_SPACE, 0, "more than %zu directions", space);
        status = read_row(&row, direction, &dirs_deg[n], &radii_mm[n], error);
        n++;
    }
    if (status == RESEAT_OK && n == 0)
        return reseat_error_set(error, RESEAT_ERR_TOO_FEW, 0, "no row of radii below the header");
    if (status == RESEAT_OK)
        *count = n;
    return status;
}
