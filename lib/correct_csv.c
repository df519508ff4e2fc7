/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Results in, results out: only what is appended is new. */
#include "reseat/correct.h"

#include <stdio.h>
#include <string.h>
#include "columns.h"
#include "error.h"
#include "reseat/csv.h"
#include "sink.h"

/* Columns that are read, and those that are appended. */
enum { KIND, X, Y, DIR, READ_COUNT };
static const char *const read_names[READ_COUNT] = {"kind", "x_mm", "y_mm", "dir_deg"};
static const char *const appended_names[] = {"corrected_x_mm", "corrected_y_mm", "u_mm"};
#define APPENDED_COUNT (sizeof appended_names / sizeof appended_names[0])

typedef struct work {
    const reseat_correction *correction;
    const char *text;
    size_t copied;             /* bytes of the text that are in `to` */
    sink to;
    size_t fields[READ_COUNT]; /* COLUMNS_ABSENT where there is no such column */
    size_t fields_in_row;
    reseat_correct_summary summary;
    reseat_error *error;
} work;

static reseat_status refuse(const reseat_csv_row *row, size_t field, const char *key,
                            const char *text, reseat_error *error)
{
    reseat_error_set(error, RESEAT_ERR_SYNTAX, 0, "%s", text);
    return columns_error(row, field, key, RESEAT_ERR_SYNTAX, error);
}

/* Everything up to the end of a row, its line end not included. */
static void copy_row(work *w, const reseat_csv_row *row)
{
    const size_t end = (size_t)(row->text - w->text) + row->length;
    sink_bytes(&w->to, w->text + w->copied, end - w->copied);
    w->copied = end;
}

static reseat_status place(work *w, const reseat_csv_row *header, size_t field)
{
    for (size_t i = 0; i < APPENDED_COUNT; i++)
        if (columns_says(&header->fields[field], appended_names[i]))
            return refuse(header, field, appended_names[i],
                          "this column is there already: corrected before?", w->error);
    for (size_t i = 0; i < READ_COUNT; i++) {
        if (!columns_says(&header->fields[field], read_names[i]))
            continue;
        if (w->fields[i] != COLUMNS_ABSENT)
            return refuse(header, field, read_names[i], "this column is there twice", w->error);
        w->fields[i] = field;
    }
    return RESEAT_OK;
}

static reseat_status read_header(work *w, const reseat_csv_row *header)
{
    reseat_status status = RESEAT_OK;
    w->fields_in_row = header->count;
    for (size_t i = 0; i < READ_COUNT; i++)
        w->fields[i] = COLUMNS_ABSENT;
    for (size_t field = 0; status == RESEAT_OK && field < header->count; field++)
        status = place(w, header, field);
    for (size_t i = 0; status == RESEAT_OK && i < DIR; i++)
        if (w->fields[i] == COLUMNS_ABSENT)
            status = refuse(header, header->count, read_names[i],
                            "the header has no such column", w->error);
    if (status != RESEAT_OK || w->correction->datum == RESEAT_DATUM_SAME)
        return status;
    copy_row(w, header);
    for (size_t i = 0; i < APPENDED_COUNT; i++) {
        sink_text(&w->to, ",");
        sink_text(&w->to, appended_names[i]);
    }
    return RESEAT_OK;
}

static reseat_status number_at(work *w, const reseat_csv_row *row, int column, double *value)
{
    return reseat_csv_number(row, w->fields[column], read_names[column], value, w->error);
}

/* Rows that leave out fields at their end get the commas, so that what is appended lines up. */
static void append(work *w, const reseat_csv_row *row, const reseat_corrected *result)
{
    const double values[APPENDED_COUNT] = {result->at_mm.x, result->at_mm.y, result->u_mm};
    copy_row(w, row);
    for (size_t i = row->count; i < w->fields_in_row; i++)
        sink_text(&w->to, ",");
    for (size_t i = 0; i < APPENDED_COUNT; i++) {
        sink_text(&w->to, ",");
        sink_number(&w->to, values[i]);
    }
}

static reseat_status correct_row(work *w, const reseat_csv_row *row, bool surface)
{
    reseat_xy reported;
    double dir_deg = 0;
    reseat_corrected result;
    if (row->count > w->fields_in_row)
        return refuse(row, w->fields_in_row, "", "more fields than the header has", w->error);
    reseat_status status = number_at(w, row, X, &reported.x);
    if (status == RESEAT_OK)
        status = number_at(w, row, Y, &reported.y);
    if (status == RESEAT_OK && surface)
        status = number_at(w, row, DIR, &dir_deg);
    if (status != RESEAT_OK)
        return status;
    status = surface ? reseat_correct_surface(w->correction, reported, dir_deg, &result)
                     : reseat_correct_point(w->correction, reported, &result);
    if (status == RESEAT_ERR_RANGE) {
        reseat_error_set(w->error, status, 0, "the ball has lobes, so that a surface needs one "
                                              "seat to be known, not several");
        return columns_error(row, w->fields[KIND], "", status, w->error);
    }
    if (status != RESEAT_OK) {
        reseat_error_plain(w->error, status);
        return columns_error(row, w->fields[X], "", status, w->error);
    }
    w->summary.rows++;
    if (w->correction->datum != RESEAT_DATUM_SAME)
        append(w, row, &result);
    return RESEAT_OK;
}

static reseat_status take_row(work *w, const reseat_csv_row *row)
{
    static const reseat_csv_field nothing = {"", 0, 0, false};
    const size_t at = w->fields[KIND];
    const reseat_csv_field *kind = at < row->count ? &row->fields[at] : &nothing;
    const bool surface = columns_says(kind, "surface");
    if (surface || columns_says(kind, "point"))
        return correct_row(w, row, surface);
    w->summary.passed++;
    return RESEAT_OK;
}

static reseat_status correct_all(work *w, size_t length)
{
    reseat_csv csv = reseat_csv_start(w->text, length);
    reseat_csv_row row;
    reseat_status status = RESEAT_OK;
    bool header = true;
    while (status == RESEAT_OK && reseat_csv_more(&csv)) {
        status = reseat_csv_next(&csv, &row, w->error);
        if (status != RESEAT_OK || columns_is_empty(&row))
            continue;
        status = header ? read_header(w, &row) : take_row(w, &row);
        header = false;
    }
    if (status == RESEAT_OK && w->summary.rows == 0) {
        reseat_error_set(w->error, RESEAT_ERR_TOO_FEW, 0,
                         header ? "expected a header with kind, x_mm, y_mm and dir_deg"
                                : "no row of kind point or surface");
        return RESEAT_ERR_TOO_FEW;
    }
    return status;
}

reseat_status reseat_correct_csv(const reseat_correction *correction, const char *text,
                                 size_t length, char *out, size_t size,
                                 reseat_correct_summary *summary, reseat_error *error)
{
    if (!correction || (!text && length > 0) || (!out && size > 0) || !summary)
        return reseat_error_plain(error, RESEAT_ERR_ARGUMENT);
    work w = {.correction = correction, .text = text, .to = sink_start(out, size),
              .error = error};
    const reseat_status status = correct_all(&w, length);
    if (status != RESEAT_OK)
        return status;
    sink_bytes(&w.to, text + w.copied, length - w.copied);
    w.summary.length = w.to.length;
    *summary = w.summary;
    return RESEAT_OK;
}
