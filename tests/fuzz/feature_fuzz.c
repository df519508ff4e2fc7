/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* A feature that reads is sound, and what is said of it at any turn is finite and a chance. */
#include <math.h>
#include <stdint.h>
#include "check.h"
#include "reseat/probe.h"
#include "model/feature.h"
#include "model/estimate.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static bool is_round(const reseat_feature *f)
{
    return f->kind == RESEAT_FEATURE_BORE || f->kind == RESEAT_FEATURE_BOSS;
}

static void check_feature(const reseat_feature *f, size_t length)
{
    const bool sized = is_round(f) || f->kind == RESEAT_FEATURE_SLOT ||
                       f->kind == RESEAT_FEATURE_RIDGE;
    require(isfinite(f->dir_deg) && isfinite(f->other_deg) && isfinite(f->size_mm));
    require(sized ? f->size_mm > 0 : !(f->size_mm > 0) && !(f->size_mm < 0));
    require(is_round(f) ? f->touches >= 3 && f->touches <= 360 : f->touches == 0);
    require(f->judged == (f->tolerance_mm > 0));
    require(f->spec_length <= length && (f->judged || f->spec_length == length));
}

static void check_row(const reseat_feature *f, reseat_reported quantity,
                      const reseat_feature_row *row)
{
    require(row->quantity == quantity);
    require(isfinite(row->error_mm) && isfinite(row->toward_mm.x) && isfinite(row->toward_mm.y));
    require(row->u_mm >= 0 && isfinite(row->u_mm) && row->hidden_mm >= 0);
    require(row->chance_within >= 0 && row->chance_within <= 1);
    require(row->judged == (f->judged && f->quantity == quantity));
    require(row->judged ? row->allowed_mm > 0 : row->ok);
    require(row->turn_deg > -180 && row->turn_deg <= 180);
}

static void ask(const reseat_feature *f, const reseat_estimate *e)
{
    static const double turns_deg[] = {0, 180, -77.3, 1e-9};
    size_t count;
    const reseat_reported *list = reseat_feature_quantities(f->kind, &count);
    for (size_t i = 0; i < 4 * count; i++) {
        reseat_feature_row row;
        if (feature_at(e, f, list[i / 4], turns_deg[i % 4], 0.1, &row) == RESEAT_OK)
            check_row(f, list[i / 4], &row);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const reseat_radius_curve curve = {.mean_mm = 2.99, .order = 3, .residual_mm = 0.0002,
                                              .cosine_mm = {[3] = 0.001}, .directions = 24};
    reseat_feature f;
    reseat_error error;
    if (reseat_feature_parse((const char *)data, size, RESEAT_MM, &f, &error) != RESEAT_OK) {
        require_sound_error(&error, size);
        return 0;
    }
    check_feature(&f, size);
    reseat_estimate e = {.offset_mm = {0.012, -0.005}, .in_use_mm = {0.012, -0.005},
                         .terms = terms_assumed(), .out = true};
    ask(&f, &e);
    e.curve = &curve;
    ask(&f, &e);
    return 0;
}
