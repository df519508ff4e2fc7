/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat effects: what features come out wrong by. */

#include "effects.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

bool effects_ok(const effects *all)
{
    for (size_t i = 0; i < all->count; i++)
        if (!all->rows[i].found.ok)
            return false;
    return true;
}

/* Says which feature the ball does not get to; those of the standard set are left out then. */
static int refuse_feature(const arguments *args, const effects *all, const char *spec,
                          reseat_status status)
{
    static const char unfit[] = "the ball does not get to it at every possible seat: too small "
                                "for the ball and its error";
    char shown[64];
    reseat_text_terminal(spec, strlen(spec), shown, sizeof shown);
    if (status != RESEAT_ERR_RANGE)
        return text_status(args, status, shown);
    if (!all->standard)
        return text_refuse(args, EXIT_INPUT, shown, unfit);
    if (!args->json)
        fprintf(stderr, "reseat: %s left out: %s\n", spec, unfit);
    return EXIT_DONE;
}

static int add_feature(const arguments *args, const asking *asked, const char *spec,
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
    all->count += count;
    return EXIT_DONE;
}

static int find(const arguments *args, const asking *asked, effects *all)
{
    int exit = EXIT_DONE;
    all->standard = args->feature_count == 0;
    for (int i = 0; exit == EXIT_DONE && i < args->feature_count; i++)
        exit = add_feature(args, asked, args->feature_texts[i], &args->features[i], all);
    for (size_t i = 0; exit == EXIT_DONE && all->standard && i < RESEAT_FEATURE_STANDARD_COUNT;
         i++) {
        const char *spec = reseat_feature_standard(i);
        const reseat_status status =
            reseat_feature_parse(spec, strlen(spec), RESEAT_MM, &all->features[i], NULL);
        exit = status == RESEAT_OK ? add_feature(args, asked, spec, &all->features[i], all)
                                   : text_status(args, status, spec);
    }
    return exit;
}

static void json_row(json *j, const asking *asked, const effect_row *row)
{
    char spec[256];
    const reseat_feature_row *found = &row->found;
    snprintf(spec, sizeof spec, "%.*s", (int)row->feature->spec_length, row->spec);
    json_open(j, NULL, '{');
    json_text(j, "feature", spec);
    if (asked->question->turns.run_known)
        json_number(j, "seat_deg", found->seat_deg);
    json_number(j, "turn_deg", found->turn_deg);
    json_text(j, "quantity", reseat_reported_name(found->quantity));
    json_number(j, "error_mm", found->error_mm);
    json_number(j, "u_mm", found->u_mm);
    if (found->judged) {
        json_number(j, "allowed_mm", found->allowed_mm);
        json_number(j, "chance_within", found->chance_within);
        json_text(j, "verdict", found->ok ? "OK" : "RECALIBRATE");
    }
    json_close(j, '}');
}

static void print_json(const asking *asked, const effects *all)
{
    json j = {.out = stdout};
    json_open(&j, NULL, '{');
    json_open(&j, "features", '[');
    for (size_t i = 0; i < all->count; i++)
        json_row(&j, asked, &all->rows[i]);
    json_close(&j, ']');
    json_end(&j);
}

static int check_share(const arguments *args)
{
    bool judged = false;
    for (int i = 0; i < args->feature_count; i++)
        judged = judged || args->features[i].judged;
    if (args->options[OPT_SHARE].given && !judged)
        return text_refuse(args, EXIT_INPUT, "--share",
                           "goes with a tolerance only: --feature bore:20mm=0.05mm");
    return EXIT_DONE;
}

/* Features are judged each by its own limit: where a gauge check would fail one, none can be OK. */
static int check_seat_typed(const arguments *args, const asking *asked)
{
    char text[128];
    if (!asked->from_log || !asked->logged.check_set_aside || asked->logged.contradicts)
        return EXIT_DONE;
    snprintf(text, sizeof text, "gauge check %" PRId64 " holds for the seat as the log has it: "
             "leave --seat out, or record the reseat since",
             reseat_record_integer(asked->standing.check, RESEAT_FIELD_SEQ, -1));
    return text_refuse(args, EXIT_INPUT, "--seat", text);
}

int cmd_effects(const arguments *args)
{
    asking asked;
    effects *all = calloc(1, sizeof *all);
    if (!all)
        return text_status(args, RESEAT_ERR_MEMORY, "effects");
    int exit = asking_begin(args, &asked);
    if (exit == EXIT_DONE)
        exit = check_share(args);
    if (exit == EXIT_DONE)
        exit = check_seat_typed(args, &asked);
    if (exit == EXIT_DONE)
        exit = find(args, &asked, all);
    if (exit == EXIT_DONE && args->json)
        print_json(&asked, all);
    else if (exit == EXIT_DONE)
        effects_screen(args, &asked, all);
    if (exit == EXIT_DONE && !effects_ok(all))
        exit = EXIT_RECALIBRATE;
    asking_end(&asked);
    free(all);
    return exit;
}
