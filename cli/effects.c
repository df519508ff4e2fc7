/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat effects: what features come out wrong by. */

#include "commands.h"

#include <inttypes.h>
#include <math.h>
#include <string.h>
#include "request.h"
#include "show/sentences.h"

/* A quantity of a feature at its worst seat. */
typedef struct effect_row {
    const char *spec; /* as typed, spec_length bytes of it */
    const reseat_feature *feature;
    reseat_feature_row found;
} effect_row;

#define EFFECT_ROWS_MAX (FEATURES_MAX * 5)

typedef struct effects {
    const request *asked;
    reseat_unit unit;
    bool named;    /* the run's seat is known, so that seats have names */
    bool standard; /* the features were not typed */
    bool ok;       /* every tolerance that was typed is kept */
    size_t count;
    effect_row rows[EFFECT_ROWS_MAX];
} effects;

/* The row of a quantity of the first feature of that kind; NULL where it was left out. */
static const reseat_feature_row *row_of(const effects *all, reseat_feature_kind kind,
                                        reseat_reported quantity)
{
    for (size_t i = 0; i < all->count; i++)
        if (all->rows[i].feature->kind == kind && all->rows[i].found.quantity == quantity)
            return &all->rows[i].found;
    return NULL;
}

/* Whether it prints as nothing. */
static bool is_nothing(const effects *all, double mm)
{
    return strcmp(words_length(fabs(mm), all->unit, 0).text,
                  words_length(0, all->unit, 0).text) == 0;
}

static int spec_width(const effects *all)
{
    size_t width = strlen("feature, thou");
    for (size_t i = 0; i < all->count && width < 40; i++)
        if (all->rows[i].feature->spec_length > width)
            width = all->rows[i].feature->spec_length;
    return width < 40 ? (int)width : 40;
}

/* How many more digits tell an error from what is allowed. */
static int more_digits(const effects *all, const reseat_feature_row *found)
{
    return words_more_digits(fabs(found->error_mm), found->allowed_mm, all->unit);
}

static void print_row(const effects *all, const effect_row *row, int width)
{
    const reseat_feature_row *found = &row->found;
    char spec[256];
    const int more = found->judged ? more_digits(all, found) : 0;
    reseat_text_terminal(row->spec, row->feature->spec_length, spec, sizeof spec);
    printf("  %-*s  %-9s %8s %9s %8s", width, spec, reseat_reported_name(found->quantity),
           words_degrees(all->named ? found->seat_deg : found->turn_deg).text,
           words_signed(found->error_mm, all->unit, more).text,
           words_length(found->u_mm, all->unit, 0).text);
    if (found->judged)
        printf(" %8s  %7s  %s", words_length(found->allowed_mm, all->unit, more).text,
               words_chance(found->chance_within).text, found->ok ? "OK" : "RECALIBRATE");
    printf("\n");
}

static void print_table(const effects *all)
{
    bool judged = false;
    const int width = spec_width(all);
    for (size_t i = 0; i < all->count; i++)
        judged = judged || all->rows[i].found.judged;
    printf("  feature, %-*s  %-9s %7s %9s %8s%s\n", width - (int)strlen("feature, "),
           reseat_unit_name(all->unit), "quantity", all->named ? "seat" : "turn", "off by", "u",
           judged ? "  allowed   chance" : "");
    for (size_t i = 0; i < all->count; i++)
        print_row(all, &all->rows[i], width);
}

/* "-Y", "+X and -Y": the axes along which a vector has more than a third of its length. */
static void print_direction(reseat_xy v)
{
    const double third = reseat_plane_length(v) / 3;
    const char *x = v.x > third ? "+X" : v.x < -third ? "-X" : "";
    const char *y = v.y > third ? "+Y" : v.y < -third ? "-Y" : "";
    printf("%s%s%s", x, x[0] && y[0] ? " and " : "", y);
}

static void say_holes(const effects *all, const reseat_feature_row *hole)
{
    char place[64];
    const reseat_turns *turns = &all->asked->question->turns;
    const bool one = !turns->range && turns->count == 1;
    if (is_nothing(all, hole->error_mm)) {
        printf("Hole positions are not affected.");
        return;
    }
    printf("Hole positions are off by %s%s, toward ", one ? "" : "up to ",
           words_length_in(hole->error_mm, all->unit, 0).text);
    print_direction(hole->toward_mm);
    place_name(all->named, hole->seat_deg, hole->turn_deg, place, sizeof place);
    printf("%s%s.", one ? "" : " at ", one ? "" : place);
}

static void say_sizes(const effects *all, const reseat_feature_row *diameter,
                      const reseat_feature_row *width)
{
    if (is_nothing(all, diameter->error_mm) && is_nothing(all, width->error_mm))
        printf(" Diameters and slot widths are not affected.");
    else
        printf(" Diameters are off by up to %s, slot widths by up to %s.",
               words_length_in(fabs(diameter->error_mm), all->unit, 0).text,
               words_length_in(fabs(width->error_mm), all->unit, 0).text);
    printf(" Distances between features probed since are not affected.\n");
}

/* A surface is one touch: what may hide there may hide in every other one. */
static void say_lobes(const effects *all)
{
    double most_mm = 0;
    const unsigned assumed = all->asked->question->estimate.terms.assumed;
    for (size_t i = 0; i < all->count; i++)
        if (all->rows[i].feature->kind == RESEAT_FEATURE_SURFACE)
            most_mm = fmax(most_mm, all->rows[i].found.hidden_mm);
    if (!is_nothing(all, most_mm))
        printf("Lobes are not on record: a touch may be off by %s more%s.\n",
               words_length_in(most_mm, all->unit, 0).text,
               assumed & 1u << RESEAT_TERM_LOBING ? " (assumed)" : "");
}

/* The standard set in words. */
static void say_all(const effects *all)
{
    const reseat_feature_row *hole = row_of(all, RESEAT_FEATURE_BORE, RESEAT_REPORTED_CENTRE);
    const reseat_feature_row *diameter =
        row_of(all, RESEAT_FEATURE_BORE, RESEAT_REPORTED_DIAMETER);
    const reseat_feature_row *width = row_of(all, RESEAT_FEATURE_SLOT, RESEAT_REPORTED_WIDTH);
    say_lobes(all);
    if (!hole || !diameter || !width)
        return; /* a long stylus: its error does not fit the bore of the set */
    say_holes(all, hole);
    say_sizes(all, diameter, width);
}

/* Why a quantity is not kept; what is off by little is so by what may hide in its touches. */
static void say_not_kept(const effects *all, const effect_row *row)
{
    const reseat_feature_row *found = &row->found;
    const double error_mm = fabs(found->error_mm);
    const int more = more_digits(all, found);
    const bool lobes = !is_nothing(all, found->hidden_mm);
    const bool off = !is_nothing(all, error_mm);
    printf("RECALIBRATE: %s of ", reseat_reported_name(found->quantity));
    text_put(stdout, reseat_text_terminal, row->spec, row->feature->spec_length);
    if (lobes && !off)
        printf(": lobes that are not on record may spoil it by %s",
               words_length_in(found->hidden_mm, all->unit, more).text);
    else
        printf(" is off by %s", words_length_in(error_mm, all->unit, more).text);
    if (lobes && off && error_mm <= found->allowed_mm)
        printf(", for lobes uncertain by %s",
               words_length(found->hidden_mm, all->unit, more).text);
    printf(", allowed %s, chance within %s\n",
           words_length_in(found->allowed_mm, all->unit, more).text,
           words_chance(found->chance_within).text);
}

static void say_verdict(const effects *all)
{
    size_t judged = 0, kept = 0;
    const double confidence = all->asked->question->confidence;
    for (size_t i = 0; i < all->count; i++) {
        const reseat_feature_row *found = &all->rows[i].found;
        judged += found->judged;
        kept += found->judged && found->ok;
        if (!found->ok && found->chance_within < confidence)
            say_not_kept(all, &all->rows[i]);
    }
    if (judged > 0 && kept == judged)
        printf("OK: what is allowed is kept with chance %s or more\n",
               words_confidence(confidence).text);
}

static void print_screen(const arguments *args, const effects *all)
{
    answer_head(args, all->asked);
    print_table(all);
    answer_remarks(stdout, all->asked);
    printf("%s\n", caution_sentence());
    if (all->standard)
        say_all(all);
    answer_reasons(stdout, all->ok ? "" : "RECALIBRATE: ", all->asked, all->unit);
    say_verdict(all);
}

static void put_row(json *j, const void *list, size_t i)
{
    char spec[256];
    const effects *all = list;
    const effect_row *row = &all->rows[i];
    const reseat_feature_row *found = &row->found;
    snprintf(spec, sizeof spec, "%.*s", (int)row->feature->spec_length, row->spec);
    json_print(j, "feature:s seat_deg:n turn_deg:n quantity:s error_mm:n u_mm:n", spec,
               json_if(all->named, found->seat_deg), found->turn_deg,
               reseat_reported_name(found->quantity), found->error_mm, found->u_mm);
    if (found->judged)
        json_print(j, "allowed_mm:n chance_within:n verdict:s", found->allowed_mm,
                   found->chance_within, found->ok ? "OK" : "RECALIBRATE");
}

/* Says which feature the ball does not get to; those of the standard set are left out then. */
static bool refuse_feature(arguments *args, const effects *all, const char *spec,
                           reseat_status status)
{
    static const char unfit[] = "the ball does not get to it at every possible seat: too small "
                                "for the ball and its error";
    char shown[64];
    reseat_text_terminal(spec, strlen(spec), shown, sizeof shown);
    if (status != RESEAT_ERR_RANGE)
        return succeeded(args, status, shown);
    if (!all->standard)
        return refuse(args, shown, unfit);
    if (!args->json)
        fprintf(stderr, "reseat: %s left out: %s\n", spec, unfit);
    return true;
}

static bool add_feature(arguments *args, const char *spec, const reseat_feature *feature,
                        effects *all)
{
    const option_value *share = &args->options[OPT_SHARE];
    size_t count;
    const reseat_reported *list = reseat_feature_quantities(feature->kind, &count);
    for (size_t i = 0; i < count; i++) {
        effect_row *row = &all->rows[all->count + i];
        *row = (effect_row){.spec = spec, .feature = feature};
        const reseat_status status =
            reseat_feature_worst(all->asked->question, feature, list[i],
                                 share->given ? share->number : RESEAT_SHARE, &row->found);
        if (status != RESEAT_OK)
            return refuse_feature(args, all, spec, status);
    }
    for (size_t i = 0; i < count; i++)
        all->ok = all->ok && all->rows[all->count + i].found.ok;
    all->count += count;
    return true;
}

/* The features typed; where there are none, the standard set in their place. */
static bool add_all(arguments *args, effects *all)
{
    for (size_t i = 0; all->standard && i < RESEAT_FEATURE_STANDARD_COUNT; i++) {
        const char *spec = args->feature_texts[args->feature_count] = reseat_feature_standard(i);
        if (!succeeded(args, reseat_feature_parse(spec, strlen(spec), RESEAT_MM,
                                                  &args->features[args->feature_count++], NULL),
                       spec))
            return false;
    }
    for (int i = 0; i < args->feature_count; i++)
        if (!add_feature(args, args->feature_texts[i], &args->features[i], all))
            return false;
    return true;
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

static bool answer_it(arguments *args, const request *asked)
{
    effects all = {.asked = asked, .unit = args->unit, .standard = args->feature_count == 0,
                   .ok = true, .named = asked->question->turns.run_known};
    if (!check_share(args) || !check_seat_typed(args, asked) || !add_all(args, &all))
        return false;
    if (args->json) {
        json j = json_begin(stdout);
        json_objects(&j, "features", all.count, put_row, &all);
        json_end(&j);
    } else {
        print_screen(args, &all);
    }
    args->exit = all.ok ? EXIT_DONE : EXIT_RECALIBRATE;
    return true;
}

void run_effects(arguments *args)
{
    request_answer(args, answer_it);
}
