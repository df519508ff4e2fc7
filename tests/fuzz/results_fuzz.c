/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Any bytes as a file of results. All of it passes where nothing is to be corrected; else every
 * byte comes out in its order, the rows stay rows, and those corrected have three fields more than
 * the header had.
 */
#include <stdint.h>
#include <stdlib.h>
#include "check.h"
#include "reseat/rescue.h"
#include "base/csv.h"
#include "model/estimate.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static reseat_correction correction(reseat_datum datum)
{
    const reseat_estimate e = {.offset_mm = {0.012, -0.005}, .in_use_mm = {0.012, -0.005},
                               .terms = terms_assumed(), .out = true};
    const reseat_turns turns = {.count = 1, .first_deg = 180, .out = true};
    reseat_correction c;
    require(reseat_correct_at(&e, &turns, datum, &c) == RESEAT_OK);
    return c;
}

/* The result, to be freed; NULL where there is none. */
static char *corrected(reseat_datum datum, const char *text, size_t length,
                       reseat_correct_summary *summary)
{
    const reseat_correction c = correction(datum);
    reseat_correct_summary again;
    reseat_error error = {0};
    if (reseat_correct_csv(&c, text, length, NULL, 0, summary, &error) != RESEAT_OK) {
        require(error.text[0] != '\0' && strlen(error.text) < sizeof error.text);
        return NULL;
    }
    char *out = malloc(summary->length + 1);
    require(out != NULL);
    require(reseat_correct_csv(&c, text, length, out, summary->length + 1, &again, NULL) ==
            RESEAT_OK);
    require(again.length == summary->length && again.rows == summary->rows);
    require(out[summary->length] == '\0' && summary->rows > 0);
    return out;
}

static void check_bytes(const char *text, size_t length, const char *out, size_t out_length)
{
    size_t at = 0;
    for (size_t i = 0; i < out_length && at < length; i++)
        at += out[i] == text[at];
    require(at == length);
}

static void check_rows(const char *out, size_t length, size_t rows)
{
    static csv_row row;
    csv_reader csv = csv_start(out, length);
    size_t header = 0, wide = 0;
    while (csv_more(&csv)) {
        const reseat_status status = csv_next(&csv, &row, NULL);
        if (status == RESEAT_ERR_SPACE)
            return; /* three fields more than this reader takes */
        require(status == RESEAT_OK);
        const bool empty = row.count == 1 && row.fields[0].length == 0;
        if (header == 0 && !empty)
            header = row.count;
        else
            wide += !empty && row.count == header;
    }
    require(header == 0 || wide >= rows);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const char *text = (const char *)data;
    reseat_correct_summary summary;
    char *out = corrected(RESEAT_DATUM_SAME, text, size, &summary);
    require(!out || (summary.length == size && memcmp(out, text, size) == 0));
    free(out);
    out = corrected(RESEAT_DATUM_MACHINE, text, size, &summary);
    if (out) {
        check_bytes(text, size, out, summary.length);
        check_rows(out, summary.length, summary.rows);
    }
    free(out);
    return 0;
}
