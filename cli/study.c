/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat study FILE.csv: what repeated reseats say of seat and spindle. */

#include "commands.h"

#include <stdlib.h>
#include "files.h"
#include "log_target.h"
#include "recording.h"
#include "show/words.h"

static const double scatter_least_mm = 1e-6; /* less is no scatter but rounding */

static void print_part(const char *what, reseat_xy part_mm, double u_mm, reseat_unit unit)
{
    printf("%s %s, ± %s\n", what, words_pair_in(part_mm, unit).text,
           words_length(u_mm, unit, 1).text);
}

/* What a person should look at before anything is made of the result. */
static void put_doubt(const reseat_study_outlier *o, reseat_unit unit, char *text, size_t size)
{
    const char *off = o->off_mm > 0 ? ", " : "";
    if (o->fits_seat)
        snprintf(text, size, "row %zu does not fit: is its seat %s?", o->line,
                 words_brief(o->seat_deg, 2).text);
    else
        snprintf(text, size, "row %zu does not fit%s%s%s: is it what was read there?", o->line, off,
                 off[0] ? words_length_in(o->off_mm, unit, 0).text : "", off[0] ? " off" : "");
}

static size_t doubts_told(const reseat_study *s)
{
    return s->outliers < RESEAT_STUDY_OUTLIERS ? s->outliers : RESEAT_STUDY_OUTLIERS;
}

static void print_doubts(const reseat_study *s, reseat_unit unit)
{
    char text[160];
    for (size_t i = 0; i < doubts_told(s); i++) {
        put_doubt(&s->outlier[i], unit, text, sizeof text);
        printf("%s\n", text);
    }
    if (s->outliers > RESEAT_STUDY_OUTLIERS)
        printf("%zu more rows do not fit\n", s->outliers - RESEAT_STUDY_OUTLIERS);
    if (!s->outliers_tested)
        printf("too few seatings to single out one that does not fit\n");
}

static void screen(const arguments *args, const void *found)
{
    const reseat_study *const s = found;
    const reseat_unit unit = args->unit;
    print_doubts(s, unit);
    printf("%zu seating%s at %zu seat%s\n", s->seatings, words_s(s->seatings), s->seats,
           words_s(s->seats));
    if (s->dof > 0)
        printf("scatter of one seating %s (standard, per axis; %zu degree%s of freedom)\n",
               words_length_in(s->u_seat_mm, unit, 1).text, s->dof, words_s(s->dof));
    else
        printf("scatter of one seating: not to be seen from so few\n");
    if (s->has_spindle)
        print_part("part that stays with the spindle", s->spindle_mm, s->spindle_u_mm, unit);
    if (s->has_probe)
        print_part("part that turns with the probe, at seat 0°", s->probe_mm, s->probe_u_mm, unit);
    if (s->assumed)
        printf("assumed: one seating scatters by 0.002 mm, as there are too few to tell\n");
    if (!s->has_probe)
        printf("next time: reseat at two or more seats, best half a turn apart, to tell "
               "spindle and probe\n");
    else if (!s->has_spindle)
        printf("next time: give the offset of a whole run at each seat, to find the part "
               "of the spindle too\n");
}

static void keys(json *j, const void *found)
{
    const reseat_study *const s = found;
    json_print(j, "u_seat_mm:n dof:i", json_if(s->dof > 0, s->u_seat_mm), (int64_t)s->dof);
    if (s->has_spindle)
        json_print(j, "spindle_mm:p spindle_u_mm:n", s->spindle_mm, s->spindle_u_mm);
    if (s->has_probe)
        json_print(j, "probe_mm:p", s->probe_mm);
    json_print(j, "outlier_rows:[");
    for (size_t i = 0; i < doubts_told(s); i++)
        json_print(j, "i", (int64_t)s->outlier[i].line);
    json_print(j, "]");
}

static bool read_study(arguments *args, const char *file, reseat_study *study)
{
    size_t length, count;
    bool readings;
    reseat_seating list[RESEAT_STUDY_MAX];
    reseat_error *error = &args->error;
    char *bytes = file_load(args, file, &length);
    if (!bytes)
        return false;
    reseat_status status = reseat_study_read(bytes, length, list, RESEAT_STUDY_MAX, &count,
                                             &readings, error);
    free(bytes);
    if (status == RESEAT_OK)
        status = reseat_study_solve(list, count, readings, study);
    if (status == RESEAT_ERR_SINGULAR && !error->text[0])
        snprintf(error->text, sizeof error->text,
                 "the seats are too nearly one to part spindle and probe");
    return succeeded_in_file(args, status, file);
}

static bool refuse_doubts(arguments *args, const reseat_study *s)
{
    char doubt[160], text[256];
    put_doubt(&s->outlier[0], args->unit, doubt, sizeof doubt);
    snprintf(text, sizeof text, "%s%s put it right, or record it --despite-doubts; nothing was "
             "recorded", doubt, s->outliers > 1 ? " nor do others;" : "");
    return refuse(args, "--record", text);
}

static bool make_record(arguments *args, const reseat_study *s, draft *d)
{
    if (s->dof < RESEAT_STUDY_DOF_NEEDED)
        return refuse(args, "--record", "too few seatings for a policy: nothing was recorded");
    if (!(s->u_seat_mm > scatter_least_mm))
        return refuse(args, "--record", "the seatings do not scatter at all: are they one, "
                      "written down again? nothing was recorded");
    if (s->outliers > 0 && !args->options[OPT_DESPITE_DOUBTS].given)
        return refuse_doubts(args, s);
    *d = draft_begin(args, RESEAT_RECORD_POLICY);
    draft_options(d);
    draft_number(d, RESEAT_FIELD_U_SEAT_MM, s->u_seat_mm);
    draft_number(d, RESEAT_FIELD_U_SEAT_DOF, (double)s->dof);
    if (s->has_spindle) {
        draft_number(d, RESEAT_FIELD_U_SPINDLE_MM, s->spindle_u_mm);
        draft_pair(d, OPT_SPINDLE_PART, s->spindle_mm);
    }
    return draft_is_sound(d) && log_target_set(args, args->options[OPT_RECORD_IN].text);
}

void run_study(arguments *args)
{
    reseat_study study = {0};
    const finding f = {&study, screen, keys};
    const bool records = args->options[OPT_RECORD_IN].given;
    draft d = {.args = args};
    if (args->word_count != 1)
        refuse(args, "",
               "expected one file of seatings, or - for standard input; see reseat study --help");
    else
        (void)(finding_check(args) && read_study(args, args->words[0], &study) &&
               (!records || make_record(args, &study, &d)) &&
               finding_finish(args, &f, records ? &d : NULL));
    draft_end(&d);
}
