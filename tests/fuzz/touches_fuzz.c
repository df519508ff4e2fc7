/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Any bytes as a file of touches, and the touches of those that read as one reduced with each
 * gauge. The rows of the file give back its bytes, what comes out with RESEAT_OK is finite, and an
 * error names a line that the file has.
 */
#include <math.h>
#include <stdint.h>
#include "check.h"
#include "base/csv.h"
#include "reseat/touches.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void check_error(const reseat_error *error, const char *text, size_t length)
{
    size_t lines = 1;
    for (size_t i = 0; i < length; i++)
        lines += text[i] == '\n';
    require(error->text[0] != '\0' && strlen(error->text) < sizeof error->text);
    require(error->line <= lines && error->column <= length + 1);
}

static void check_rows(const char *text, size_t length)
{
    static csv_row row;
    csv_reader csv = csv_start(text, length);
    size_t position = csv.position;
    while (csv_more(&csv)) {
        reseat_error error;
        if (csv_next(&csv, &row, &error) != RESEAT_OK) {
            check_error(&error, text, length);
            return;
        }
        require(row.text == text + position && row.count >= 1);
        for (size_t i = 0; i < row.count; i++)
            require(row.fields[i].text >= row.text &&
                    row.fields[i].text + row.fields[i].length <= row.text + row.length);
        position += row.length + row.ending;
        require(csv.position == position);
    }
    require(position == length);
}

static void check_result(const reseat_touch_result *result)
{
    require(isfinite(result->radius_mm) && isfinite(result->residual_mm));
    require(isfinite(result->studentised));
    require(result->dir_deg >= 0 && result->dir_deg < 360);
}

static void reduce(const reseat_touch *touches, size_t count, reseat_gauge_kind kind,
                   const char *text, size_t length)
{
    static reseat_touch_result results[RESEAT_TOUCHES_MAX];
    static reseat_reduction r;
    reseat_error error;
    const double diameter_mm = kind >= RESEAT_GAUGE_BORE ? 0 : kind == RESEAT_GAUGE_RING ? 50 : 5;
    reseat_reduce_setup setup = reseat_reduce_assumed(kind, diameter_mm);
    setup.centre_known = count % 3 == 0;
    if (reseat_reduce(touches, count, &setup, results, &r, &error) != RESEAT_OK) {
        check_error(&error, text, length);
        return;
    }
    require(isfinite(r.offset_mm.x + r.offset_mm.y + r.offset_u_mm + r.radius_mm + r.radius_u_mm));
    require(isfinite(r.form_mm + r.residual_sd_mm + r.closure_mm + r.repeatability_mm));
    require((r.radius_mm > 0) == r.has_radius && r.offset_u_mm >= 0 && r.form_mm >= 0);
    require(r.dirs <= RESEAT_REDUCE_DIRS_MAX && r.turns >= 1 && r.outliers <= count);
    require(r.doubts == (r.outliers > 0) + (r.gauge_moved ? 1u : 0u));
    for (size_t i = 0; i < count; i++)
        check_result(&results[i]);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static reseat_touch list[RESEAT_TOUCHES_MAX];
    const char *const text = (const char *)data;
    reseat_touches touches;
    reseat_error error;
    check_rows(text, size);
    if (size == 0)
        return 0;
    if (reseat_touches_read(text, size, list, RESEAT_TOUCHES_MAX, &touches, &error) != RESEAT_OK) {
        check_error(&error, text, size);
        return 0;
    }
    require(touches.count >= 1 && touches.count <= RESEAT_TOUCHES_MAX);
    for (int kind = RESEAT_GAUGE_RING; kind <= RESEAT_GAUGE_BOSS; kind++)
        reduce(list, touches.count, (reseat_gauge_kind)kind, text, size);
    return 0;
}
