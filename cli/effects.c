/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat effects: what features come out wrong by. */

#include "commands.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>
#include "request.h"
#include "show/effects.h"

/* Says which feature the ball does not get to; those of the standard set are left out then. */
static bool refuse_feature(arguments *args, const effects *all, const char *spec,
                           reseat_status status)
{
    static const char unfit[] = "the ball does not get to it at every possible seat: too small "
                                "for the ball and its error";
    char shown[64];
    reseat_text_terminal(spec, strlen(spec), shown, sizeof shown);
    if (status != RESEAT_ERR_RANGE)
        return fail_status(args, status, shown);
    if (!all->standard)
        return refuse(args, shown, unfit);
    if (!args->json)
        fprintf(stderr, "reseat: %s left out: %s\n", spec, unfit);
    return true;
}

static bool add_feature(arguments *args, const request *asked, const char *spec,
                        const reseat_feature *feature, effects *all)
{
    const option_value *share = &args->options[OPT_SHARE];
    size_t count;
    const reseat_reported *list = reseat_feature_quantities(feature->kind, &count);
    for (size_t i = 0; i < count; i++) {
        effect_row *row = &all->rows[all->count + i];
        *row = (effect_row){.spec = spec, .feature = feature};
        const reseat_status status =
            reseat_feature_worst(asked->question, feature, list[i],
                                 share->given ? share->number : RESEAT_SHARE, &row->found);
        if (status != RESEAT_OK)
            return refuse_feature(args, all, spec, status);
    }
    for (size_t i = 0; i < count; i++)
        all->ok = all->ok && all->rows[all->count + i].found.ok;
    all->count += count;
    return true;
}

static bool add_standard(arguments *args, const request *asked, effects *all)
{
    for (size_t i = 0; i < RESEAT_FEATURE_STANDARD_COUNT; i++) {
        const char *spec = reseat_feature_standard(i);
        const reseat_status status =
            reseat_feature_parse(spec, strlen(spec), RESEAT_MM, &all->features[i], NULL);
        if (status != RESEAT_OK)
            return fail_status(args, status, spec);
        if (!add_feature(args, asked, spec, &all->features[i], all))
            return false;
    }
    return true;
}

static bool add_all(arguments *args, const request *asked, effects *all)
{
    *all = (effects){.standard = args->feature_count == 0, .ok = true,
                     .named = asked->question->turns.run_known};
    for (int i = 0; i < args->feature_count; i++)
        if (!add_feature(args, asked, args->feature_texts[i], &args->features[i], all))
            return false;
    return !all->standard || add_standard(args, asked, all);
}

static bool check_share(arguments *args)
{
    bool judged = !args->options[OPT_SHARE].given;
    for (int i = 0; i < args->feature_count; i++)
        judged = judged || args->features[i].judged;
    return judged || refuse(args, "--share",
                            "goes with a tolerance only: --feature bore:20mm=0.05mm");
}

/* Features are judged each by its own limit: where a gauge check would fail one, none can be OK. */
static bool check_seat_typed(arguments *args, const request *asked)
{
    char text[128];
    if (!asked->from_log || !asked->logged.check_set_aside || asked->logged.contradicts)
        return true;
    snprintf(text, sizeof text, "gauge check %" PRId64 " holds for the seat as the log has it: "
             "leave --seat out, or record the reseat since",
             reseat_record_integer(asked->state.check, RESEAT_FIELD_SEQ, -1));
    return refuse(args, "--seat", text);
}

static bool show(arguments *args, const request *asked, effects *all)
{
    if (!add_all(args, asked, all))
        return false;
    if (args->json)
        effects_json(all);
    else
        effects_screen(args, asked, all);
    args->exit = all->ok ? EXIT_DONE : EXIT_RECALIBRATE;
    return true;
}

void run_effects(arguments *args)
{
    request asked;
    effects *all = malloc(sizeof *all);
    if (!all) {
        fail_status(args, RESEAT_ERR_MEMORY, "effects");
        return;
    }
    (void)(request_begin(args, &asked) && check_share(args) && check_seat_typed(args, &asked) &&
           show(args, &asked, all));
    request_end(&asked);
    free(all);
}
