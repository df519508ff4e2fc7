/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Numbers, texts, statistics, seats and fits. */
#include "jobs.h"
#include "base/csv.h"
#include "base/text.h"
#include "log/file.h"
#include "maths/chance.h"
#include "maths/distributions.h"
#include "maths/fit.h"
#include "maths/plane.h"
#include "maths/statistics.h"
#include "model/seat.h"

static void note_reading(notes *n, const char *text)
{
    const size_t length = strlen(text);
    double value = 0;
    reseat_xy pair = {0, 0};
    reseat_unit unit = RESEAT_MM;
    int64_t seconds = 0;
    reseat_error error = {0};
    char size_note[RESEAT_SIZE_NOTE] = "";
    note_count(n, reseat_size_judge(RESEAT_SIZE_LIMIT, text, RESEAT_MM, size_note, &error));
    note_text(n, size_note);
    note_count(n, reseat_number_parse(text, length, &value, &error));
    note_text(n, error.text);
    note_count(n, reseat_length_parse(text, length, RESEAT_INCH, &value, &error));
    note_count(n, reseat_share_parse(text, length, &value, &error));
    note_count(n, reseat_length_pair_parse(text, length, RESEAT_UM, &pair, &error));
    note_count(n, reseat_unit_parse(text, length, &unit, &error));
    note_count(n, reseat_time_parse(text, length, &seconds, &error));
    note_text(n, error.text);
    note_number(n, value);
    note_xy(n, pair);
    note_count(n, (uint64_t)seconds);
}

static void note_escapes(notes *n, const char *text)
{
    static size_t (*const escapes[])(const char *, size_t, char *, size_t) = {
        reseat_text_terminal, reseat_text_csv, reseat_text_html, reseat_text_json};
    char out[256];
    for (size_t i = 0; i < sizeof escapes / sizeof escapes[0]; i++) {
        note_count(n, escapes[i](text, strlen(text), out, sizeof out));
        note_text(n, out);
    }
    note_count(n, text_is_utf8(text, strlen(text)));
}

static void note_rows(notes *n, const char *text)
{
    csv_reader csv = csv_start(text, strlen(text));
    csv_row *row = malloc(sizeof *row);
    demand(row);
    while (csv_more(&csv)) {
        double value = 0;
        demand(csv_next(&csv, row, NULL) == RESEAT_OK);
        note_bytes(n, row->text, row->length);
        note_count(n, csv_number(row, 2, "x_mm", &value, NULL));
        note_number(n, value);
    }
    free(row);
}

void do_texts(const shared *s, notes *n)
{
    static const char *const texts[] = {"0.1", "-2.5e-7", "3.7in", "0.0004,-0.0011", "95%", "thou",
                                        "2026-03-02T06:00:00+01:00", "=1+1 <\"µ\">", "\xff\x1b[1m"};
    char text[RESEAT_NUMBER_SIZE], time[RESEAT_TIME_SIZE];
    note_rows(n, s->results);
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        note_reading(n, texts[i]);
        note_escapes(n, texts[i]);
    }
    for (int i = -300; i < 300; i += 7) {
        double value = 1.0 / 3;
        for (int k = 0; k < abs(i); k++)
            value = i < 0 ? value / 10 : value * 10;
        demand(reseat_number_format(value, text) == RESEAT_OK);
        note_text(n, text);
        note_count(n, reseat_number_fixed(value, 4, text));
        note_number(n, reseat_unit_from_mm(reseat_unit_to_mm(value, RESEAT_THOU), RESEAT_INCH));
    }
    demand(reseat_time_format(1772431200, time) == RESEAT_OK);
    note_text(n, time);
    note_count(n, reseat_text_nearest("thuo", texts, sizeof texts / sizeof texts[0]));
}

static void note_trend(notes *n, const double *values, size_t count)
{
    double times[40];
    const size_t room = trend_workspace(count);
    double *workspace = malloc(room * sizeof *workspace);
    reseat_trend trend;
    demand(workspace && count <= sizeof times / sizeof times[0]);
    for (size_t i = 0; i < count; i++)
        times[i] = (double)(i * i);
    demand(trend_fit(times, values, count, workspace, room, &trend) == RESEAT_OK);
    free(workspace);
    note_number(n, trend.slope);
    note_number(n, trend.low);
    note_number(n, trend.high);
    note_number(n, trend.p);
}

void do_statistics(const shared *s, notes *n)
{
    double values[40], value = 0;
    (void)s;
    for (size_t i = 0; i < 40; i++)
        values[i] = (double)(i * 7919 % 101) / 101 + (double)i / 50;
    demand(sample_mean(values, 40, &value) == RESEAT_OK);
    note_number(n, value);
    demand(sample_moving_range(values, 40, &value) == RESEAT_OK);
    note_number(n, value);
    note_trend(n, values, 40);
    for (unsigned i = 1; i < 40; i++) {
        const double p = i / 40.0;
        note_number(n, normal_two_sided(4 * p));
        note_count(n, student_quantile(p, i, &value));
        note_number(n, value);
        note_count(n, chi_square_quantile(p, 2 * i, &value));
        note_number(n, value);
        note_count(n, chance_line(0.001 * p, 0.002, 0.004, &value));
        note_number(n, value);
        note_count(n, chance_disc((reseat_xy){0.003 * p, -0.001},
                                  (reseat_cov){4e-6, 1e-6 * p, 1e-6}, 0.004, &value));
        note_number(n, value);
    }
}

static void note_fits(notes *n)
{
    reseat_xy plane[24];
    reseat_xyz space[24];
    reseat_touch touches[24];
    const fit_setup setup = {.offset = true};
    round_fit circle;
    round_fit sphere;
    fit work;
    joint_fit joint;
    for (size_t i = 0; i < 24; i++) {
        const double deg = 15.0 * (double)i, off = (double)(i * 31 % 7) * 1e-4;
        const reseat_xy unit = reseat_plane_unit(deg);
        plane[i] = (reseat_xy){12 + (20 + off) * unit.x, -7 + (20 + off) * unit.y};
        space[i] = (reseat_xyz){plane[i].x, plane[i].y, i % 3 == 0 ? 1 : (double)(i % 5)};
        touches[i] = (reseat_touch){.x_mm = plane[i].x, .y_mm = plane[i].y,
                                    .turn_deg = i < 12 ? 0 : 180};
    }
    demand(fit_round(fit_plane(plane, 24), &circle) == RESEAT_OK);
    note_xy(n, (reseat_xy){circle.centre_mm.x, circle.centre_mm.y});
    note_number(n, circle.residual_mm);
    demand(fit_round(fit_space(space, 24), &sphere) == RESEAT_OK);
    note_number(n, sphere.radius_mm);
    note_number(n, sphere.centre_mm.z);
    demand(fit_joint(touches, 24, &setup, &work, &joint) == RESEAT_OK);
    note_xy(n, joint.offset_mm);
    note_number(n, joint.form_mm);
}

static void note_seat(notes *n, const char *text)
{
    reseat_seat seat;
    reseat_turns turns;
    reseat_any any;
    reseat_xy error = {0, 0};
    char written[RESEAT_SEAT_SIZE];
    demand(reseat_seat_parse(text, strlen(text), &seat, NULL) == RESEAT_OK);
    demand(reseat_seat_format(&seat, written) == RESEAT_OK);
    note_text(n, written);
    note_count(n, seat_turns(&seat, 30, true, NULL, &turns));
    note_count(n, seat_has_turn(&turns, 180));
    note_number(n, seat_list_turn(&turns, 1));
    demand(seat_any(0.004, 0.006, &any) == RESEAT_OK);
    note_number(n, any.p95_mm);
    demand(reseat_seat_error((reseat_xy){0.012, -0.005}, (reseat_xy){0, 0}, 30, turns.first_deg,
                             &error) == RESEAT_OK);
    note_xy(n, error);
    demand(seat_error_by_turn((reseat_xy){0.012, -0.005}, (reseat_xy){0.011, -0.005},
                              (reseat_xy){0.001, 0}, 77, &error) == RESEAT_OK);
    note_xy(n, error);
}

void do_plane(const shared *s, notes *n)
{
    static const char *const seats[] = {"30", "180+-5", "keys:4", "any", "same"};
    (void)s;
    for (int deg = -720; deg <= 720; deg += 13) {
        double sine = 0, cosine = 0;
        plane_sincos(deg, &sine, &cosine);
        note_xy(n, plane_rotate((reseat_xy){sine, cosine}, deg / 3.0));
        note_number(n, reseat_plane_turn(deg) + plane_seat(deg));
        note_number(n, plane_turn_between(deg, 77));
        note_number(n, reseat_plane_bearing((reseat_xy){cosine, sine}));
        note_number(n, reseat_plane_length((reseat_xy){cosine, deg}));
    }
    for (size_t i = 0; i < sizeof seats / sizeof seats[0]; i++)
        note_seat(n, seats[i]);
    note_fits(n);
}

void do_names(const shared *s, notes *n)
{
    (void)s;
    note_text(n, reseat_version());
    for (int i = 0; i < 12; i++) {
        char out[80];
        note_text(n, reseat_status_text((reseat_status)i));
        note_text(n, reseat_unit_name((reseat_unit)i));
        note_count(n, (uint64_t)reseat_unit_decimals((reseat_unit)(i % 4)));
        note_text(n, reseat_gauge_kind_name((reseat_gauge_kind)i));
        note_text(n, reseat_assumption_name((reseat_assumption)i));
        note_text(n, reseat_assumption_meaning((reseat_assumption)i));
        note_text(n, reseat_advice_text((reseat_advice)i));
        note_text(n, reseat_term_name((reseat_term)i));
        note_text(n, reseat_series_name((reseat_series)i));
        note_text(n, reseat_drift_note_code((reseat_drift_note)i));
        note_text(n, reseat_drift_note_text((reseat_drift_note)i));
        note_text(n, reseat_drift_code_name((reseat_drift_code)i));
        note_text(n, reseat_reason_code((reseat_reason)i));
        note_text(n, reseat_reported_name((reseat_reported)i));
        note_text(n, reseat_seat_source_name((reseat_seat_source)i));
        note_text(n, reseat_record_type_name((reseat_record_type)i));
        note_count(n, reseat_record_type_find(reseat_record_type_name((reseat_record_type)i)));
        note_text(n, reseat_field_about(reseat_field_at((size_t)i))->name);
        note_count(n, reseat_field_size((reseat_field)i));
        note_count(n, reseat_field_find(reseat_field_about((reseat_field)i)->name));
        note_count(n, reseat_field_option((reseat_field)i, out, sizeof out));
        note_text(n, out);
        note_count(n, log_is_name(out));
    }
}
