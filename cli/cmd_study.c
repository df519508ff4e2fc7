/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* reseat study FILE.csv: what repeated reseats say of seat and spindle. */

#include "recorded.h"

#include <stdio.h>
#include <stdlib.h>

static const double scatter_least_mm = 1e-6; /* less is no scatter but rounding */

static void print_part(const char *what, reseat_xy part_mm, double u_mm, reseat_unit unit)
{
    char x[TEXT_SIZE], y[TEXT_SIZE], u[TEXT_SIZE];
    printf("%s X %s Y %s %s, ± %s\n", what, text_signed(x, part_mm.x, unit, 0),
           text_signed(y, part_mm.y, unit, 0), reseat_unit_name(unit),
           text_length(u, u_mm, unit, 1));
}

static void screen(const arguments *args, const void *found)
{
    const reseat_study *const s = found;
    const reseat_unit unit = args->unit;
    char u[TEXT_SIZE];
    printf("%zu seating%s at %zu seat%s\n", s->seatings, text_s(s->seatings), s->seats,
           text_s(s->seats));
    if (s->dof > 0)
        printf("scatter of one seating %s %s (standard, per axis; %zu degree%s of freedom)\n",
               text_length(u, s->u_seat_mm, unit, 1), reseat_unit_name(unit), s->dof,
               text_s(s->dof));
    else
        printf("scatter of one seating: not to be seen from so few\n");
    if (s->has_spindle)
        print_part("part that stays with the spindle", s->spindle_mm, s->spindle_u_mm, unit);
    if (s->has_probe)
        print_part("part that turns with the probe, at seat 0°", s->probe_mm, s->probe_u_mm, unit);
    if (s->assumed)
        printf("assumed: one seating scatters by 0.002 mm, as there are too few to tell\n");
    if (!s->has_probe)
        printf("better next time: reseat at two or more seats, best half a turn apart, to part "
               "spindle and probe\n");
    else if (!s->has_spindle)
        printf("better next time: give the offset of a whole run at each seat, to find the part "
               "of the spindle too\n");
}

static void keys(json *j, const void *found)
{
    const reseat_study *const s = found;
    if (s->dof > 0)
        json_number(j, "u_seat_mm", s->u_seat_mm);
    json_integer(j, "dof", (int64_t)s->dof);
    if (s->has_spindle) {
        json_pair(j, "spindle_mm", s->spindle_mm);
        json_number(j, "spindle_u_mm", s->spindle_u_mm);
    }
    if (s->has_probe)
        json_pair(j, "probe_mm", s->probe_mm);
}

static int read_study(const arguments *args, const char *file, reseat_study *study)
{
    size_t length, count;
    int exit;
    bool readings;
    reseat_error error = {0};
    char *bytes = file_load(args, file, &length, &exit);
    if (!bytes)
        return exit;
    reseat_seating *list = malloc(RESEAT_STUDY_MAX * sizeof *list);
    reseat_status status = RESEAT_ERR_MEMORY;
    if (list)
        status = reseat_study_read(bytes, length, list, RESEAT_STUDY_MAX, &count, &readings,
                                   &error);
    if (status == RESEAT_OK)
        status = reseat_study_solve(list, count, readings, study);
    free(list);
    free(bytes);
    if (status == RESEAT_OK)
        return EXIT_DONE;
    if (!error.text[0])
        snprintf(error.text, sizeof error.text, "%s",
                 status == RESEAT_ERR_SINGULAR
                     ? "the seats are too nearly one to part spindle and probe"
                     : reseat_status_text(status));
    return text_fault_in(args, status, file, &error);
}

static reseat_status fill(const arguments *args, const reseat_study *s, reseat_record *record,
                          reseat_error *error)
{
    reseat_status status = record_fill(args, record, error);
    if (status == RESEAT_OK)
        status = reseat_record_set_number(record, RESEAT_FIELD_U_SEAT_MM, s->u_seat_mm, error);
    if (status == RESEAT_OK && s->has_spindle)
        status = reseat_record_set_number(record, RESEAT_FIELD_U_SPINDLE_MM, s->spindle_u_mm,
                                          error);
    if (status == RESEAT_OK && s->has_spindle)
        status = reseat_record_set_number(record, RESEAT_FIELD_SPINDLE_X_MM, s->spindle_mm.x,
                                          error);
    if (status == RESEAT_OK && s->has_spindle)
        status = reseat_record_set_number(record, RESEAT_FIELD_SPINDLE_Y_MM, s->spindle_mm.y,
                                          error);
    return status;
}

static int make_record(const arguments *args, const reseat_study *s, reseat_record **record)
{
    if (s->dof < RESEAT_STUDY_DOF_NEEDED)
        return text_refuse(args, EXIT_INPUT, "--record",
                           "too few seatings for a policy: nothing was recorded");
    if (!(s->u_seat_mm > scatter_least_mm))
        return text_refuse(args, EXIT_INPUT, "--record",
                           "the seatings do not scatter at all: are they one, written down again? "
                           "nothing was recorded");
    reseat_error error = {0};
    reseat_status status = reseat_record_new(RESEAT_RECORD_POLICY, record);
    if (status == RESEAT_OK)
        status = fill(args, s, *record, &error);
    return status == RESEAT_OK ? EXIT_DONE : text_fault(args, status, &error);
}

int cmd_study(const arguments *args)
{
    reseat_study study = {0};
    finding f = {&study, screen, keys, NULL};
    if (args->word_count != 1)
        return text_refuse(args, EXIT_INPUT, "", "expected one file of seatings, or - for standard "
                                                 "input; see reseat study --help");
    int exit = recorded_check(args);
    if (exit == EXIT_DONE)
        exit = read_study(args, args->words[0], &study);
    if (exit == EXIT_DONE && args->options[OPT_RECORD_IN].given)
        exit = make_record(args, &study, &f.record);
    if (exit == EXIT_DONE)
        exit = recorded_finish(args, &f);
    reseat_record_free(f.record);
    return exit;
}
