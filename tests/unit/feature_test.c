/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Errors of features: reference, a ball driven into a hole by brute force, and what must hold. */
#include <stdio.h>
#include <cjson/cJSON.h>
#include "check.h"
#include "random.h"
#include "reseat/probe.h"
#include "reseat/values.h"
#include "model/feature.h"
#include "model/estimate.h"
#include "model/radius.h"
#include "maths/plane.h"

static reseat_estimate plain(double x, double y, const reseat_radius_curve *curve)
{
    return (reseat_estimate){.offset_mm = {x, y},
                             .in_use_mm = {x, y},
                             .terms = terms_assumed(),
                             .curve = curve,
                             .out = true};
}

static reseat_feature feature_of(const char *spec)
{
    reseat_feature feature;
    assert_status(reseat_feature_parse(spec, strlen(spec), RESEAT_MM, &feature, NULL), RESEAT_OK);
    return feature;
}

static reseat_feature_row row_at(const reseat_estimate *estimate, const char *spec,
                                 reseat_reported quantity, double turn_deg)
{
    const reseat_feature feature = feature_of(spec);
    reseat_feature_row row;
    assert_status(feature_at(estimate, &feature, quantity, turn_deg, RESEAT_SHARE, &row),
                  RESEAT_OK);
    return row;
}

static double error_of(const reseat_estimate *estimate, const char *spec,
                       reseat_reported quantity, double turn_deg)
{
    return row_at(estimate, spec, quantity, turn_deg).error_mm;
}

static double text_number(const cJSON *item)
{
    double value = 0;
    assert_true(cJSON_IsString(item));
    assert_status(reseat_number_parse(item->valuestring, strlen(item->valuestring), &value, NULL),
                  RESEAT_OK);
    return value;
}

static size_t numbers(const cJSON *object, const char *key, double *values, size_t most)
{
    const cJSON *list = cJSON_GetObjectItemCaseSensitive(object, key);
    size_t count = 0;
    for (const cJSON *item = list->child; item != NULL; item = item->next) {
        assert_true(count < most);
        values[count++] = text_number(item);
    }
    return count;
}

static reseat_reported reported_of(const char *name)
{
    for (int q = 0; q < RESEAT_REPORTED_COUNT; q++)
        if (strcmp(name, reseat_reported_name((reseat_reported)q)) == 0)
            return (reseat_reported)q;
    fail_msg("no quantity %s", name);
    return RESEAT_REPORTED_POSITION;
}

static size_t agrees_with_case(const cJSON *one, double *worst)
{
    double offset[2], dirs[64], radii[64];
    reseat_radius_curve curve;
    assert_int_equal(numbers(one, "offset_mm", offset, 2), 2);
    const size_t count = numbers(one, "dirs_deg", dirs, 64);
    assert_int_equal(numbers(one, "radii_mm", radii, 64), count);
    assert_status(reseat_radius_fit(dirs, radii, count, &curve), RESEAT_OK);
    const reseat_estimate estimate = plain(offset[0], offset[1], &curve);
    const double turn = plane_turn_between(
        text_number(cJSON_GetObjectItemCaseSensitive(one, "seat_run_deg")),
        text_number(cJSON_GetObjectItemCaseSensitive(one, "seat_now_deg")));
    size_t checked = 0;
    const cJSON *features = cJSON_GetObjectItemCaseSensitive(one, "features");
    for (const cJSON *f = features->child; f != NULL; f = f->next) {
        for (const cJSON *q = f->child; q != NULL; q = q->next, checked++) {
            const double expected = text_number(q);
            const double actual = error_of(&estimate, f->string, reported_of(q->string), turn);
            assert_near(actual, expected, 1e-12);
            *worst = fmax(*worst, fabs(actual - expected));
        }
    }
    return checked;
}

/* The cases of a file of vectors; to be deleted. */
static cJSON *read_cases(const char *name)
{
    static char bytes[1 << 16];
    char path[512];
    snprintf(path, sizeof path, "%s/%s", getenv("RESEAT_TEST_DATA"), name);
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    const size_t size = fread(bytes, 1, sizeof bytes - 1, file);
    assert_in_range(size, 1, sizeof bytes - 2);
    bytes[size] = '\0';
    fclose(file);
    cJSON *cases = cJSON_Parse(bytes);
    assert_non_null(cases);
    return cases;
}

static void agrees_with_the_reference_features(void **state)
{
    cJSON *cases = read_cases("features.json");
    size_t checked = 0;
    double worst = 0;
    for (const cJSON *one = cases->child; one != NULL; one = one->next)
        checked += agrees_with_case(one, &worst);
    cJSON_Delete(cases);
    print_message("%zu quantities, largest difference %.2g mm\n", checked, worst);
    assert_int_equal(checked, 102);
}

static double number_of(const cJSON *one, const char *key)
{
    return text_number(cJSON_GetObjectItemCaseSensitive(one, key));
}

/* The chance at a seat with lobes on record: the curve, and what it leaves. */
static double chance_off(const cJSON *one)
{
    double offset[2], dirs[64], radii[64], chance = -1;
    reseat_radius_curve curve;
    assert_int_equal(numbers(one, "offset_mm", offset, 2), 2);
    const size_t count = numbers(one, "dirs_deg", dirs, 64);
    assert_int_equal(numbers(one, "radii_mm", radii, 64), count);
    assert_status(reseat_radius_fit(dirs, radii, count, &curve), RESEAT_OK);
    assert_true(radius_shows_lobes(&curve));
    reseat_estimate e = plain(offset[0], offset[1], &curve);
    e.dirs_deg = dirs;
    e.dirs = count;
    e.terms = (reseat_terms){.u_run_mm = number_of(one, "u_run_mm"),
                             .u_seat_mm = number_of(one, "u_seat_mm"),
                             .u_turn_deg = number_of(one, "u_turn_deg"),
                             .u_spindle_mm = number_of(one, "u_spindle_mm"),
                             .u_touch_mm = number_of(one, "u_touch_mm")};
    const double turn = plane_turn_between(0, number_of(one, "seat_deg"));
    assert_near(radius_change_u(&curve, turn), number_of(one, "u_rho_mm"), 1e-12);
    assert_status(estimate_chance(&e, turn, number_of(one, "limit_mm"), &chance), RESEAT_OK);
    return fabs(chance - number_of(one, "chance"));
}

static void chances_with_lobes_on_record_agree_with_the_reference(void **state)
{
    cJSON *cases = read_cases("verdict_radii.json");
    size_t checked = 0;
    double worst = 0;
    for (const cJSON *one = cases->child; one != NULL; one = one->next, checked++) {
        const double off = chance_off(one);
        assert_near(off, 0, 1e-12);
        worst = fmax(worst, off);
    }
    cJSON_Delete(cases);
    print_message("%zu chances, largest difference %.2g\n", checked, worst);
    assert_int_equal(checked, 12);
}

/* Gauss-Newton in long double from the middle: independent of the library's fit, and slow. */
static void circle_by_force(const long double *x, const long double *y, unsigned n,
                            long double *cx, long double *cy, long double *radius)
{
    *cx = *cy = *radius = 0;
    for (int step = 0; step < 200; step++) {
        long double a[3][4] = {{0}};
        for (unsigned i = 0; i < n; i++) {
            const long double dx = x[i] - *cx, dy = y[i] - *cy, d = hypotl(dx, dy);
            const long double row[4] = {dx / d, dy / d, 1, d - *radius};
            for (int j = 0; j < 3; j++)
                for (int k = 0; k < 4; k++)
                    a[j][k] += row[j] * row[k];
        }
        for (int j = 0; j < 3; j++)
            for (int other = 0; other < 3; other++) {
                const long double factor = other == j ? 0 : a[other][j] / a[j][j];
                for (int k = 0; k < 4; k++)
                    a[other][k] -= factor * a[j][k];
            }
        *cx += a[0][3] / a[0][0];
        *cy += a[1][3] / a[1][1];
        *radius += a[2][3] / a[2][2];
    }
}

typedef struct drill {
    reseat_xy error_mm;
    const reseat_radius_curve *curve;
    double turn_deg;
    double diameter_mm;
    unsigned touches;
    double start_deg;
    bool boss;
} drill;

/* Reported wall on one side: the machine moves until the true ball has no way left. */
static long double wall_by_force(const drill *d, double side_deg)
{
    const double out = d->boss ? -1 : 1;
    const double dir_deg = d->boss ? side_deg + 180 : side_deg;
    const long double angle = (long double)side_deg * 3.14159265358979323846264338327950288L / 180;
    const long double ux = cosl(angle), uy = sinl(angle);
    const long double ball = (long double)reseat_radius_at(d->curve, dir_deg - d->turn_deg);
    const long double reach = (long double)d->diameter_mm / 2 - (long double)out * ball;
    long double free_at = d->boss ? 100 : 0, hit_at = d->boss ? 0 : 100;
    for (int i = 0; i < 200; i++) {
        const long double t = (free_at + hit_at) / 2;
        const long double tx = t * ux - (long double)d->error_mm.x;
        const long double ty = t * uy - (long double)d->error_mm.y;
        const bool hit = d->boss ? hypotl(tx, ty) < reach : hypotl(tx, ty) > reach;
        *(hit ? &hit_at : &free_at) = t;
    }
    return free_at + (long double)out * (long double)reseat_radius_at(d->curve, dir_deg);
}

static void bore_by_force(const drill *d, double *x, double *y, double *diameter)
{
    long double px[RESEAT_FEATURE_TOUCHES_MAX], py[RESEAT_FEATURE_TOUCHES_MAX], cx, cy, radius;
    for (unsigned i = 0; i < d->touches; i++) {
        const double side_deg = d->start_deg + 360.0 * i / d->touches;
        const long double wall = wall_by_force(d, side_deg);
        const long double angle =
            (long double)side_deg * 3.14159265358979323846264338327950288L / 180;
        px[i] = wall * cosl(angle);
        py[i] = wall * sinl(angle);
    }
    circle_by_force(px, py, d->touches, &cx, &cy, &radius);
    *x = (double)cx;
    *y = (double)cy;
    *diameter = (double)(2 * radius - (long double)d->diameter_mm);
}

/* From wide bores down to those that leave the ball a tenth more room than its error. */
static void agrees_with_a_ball_in_a_hole_by_brute_force(void **state)
{
    uint64_t random = 12;
    double worst = 0;
    for (int i = 0; i < 300; i++) {
        double dirs[36], radii[36];
        for (int k = 0; k < 36; k++) {
            dirs[k] = 10 * k;
            radii[k] = 2.99 + random_between(&random, -0.001, 0.001);
        }
        reseat_radius_curve curve;
        assert_status(reseat_radius_fit(dirs, radii, 36, &curve), RESEAT_OK);
        const reseat_estimate e = plain(random_between(&random, -0.03, 0.03),
                                        random_between(&random, -0.03, 0.03), &curve);
        reseat_effect effect;
        drill d = {.curve = &curve, .turn_deg = random_between(&random, -180, 180),
                   .touches = 3 + (unsigned)i % 6, .start_deg = random_between(&random, 0, 360),
                   .boss = i % 3 == 2};
        assert_status(reseat_estimate_effect(&e, d.turn_deg, &effect), RESEAT_OK);
        d.error_mm = effect.error_mm;
        const double room = 1.1 * reseat_plane_length(d.error_mm) + 0.002 +
                            (i % 2 == 0 ? 0 : random_log(&random, -3, 1.67));
        d.diameter_mm = d.boss ? 1 + random_between(&random, 0, 99) : 2 * (2.99 + room);

        reseat_feature f = {.kind = d.boss ? RESEAT_FEATURE_BOSS : RESEAT_FEATURE_BORE,
                            .size_mm = d.diameter_mm, .dir_deg = d.start_deg,
                            .touches = d.touches};
        double expected[3];
        bore_by_force(&d, &expected[0], &expected[1], &expected[2]);
        static const reseat_reported asked[3] = {
            RESEAT_REPORTED_CENTRE_X, RESEAT_REPORTED_CENTRE_Y, RESEAT_REPORTED_DIAMETER};
        for (int q = 0; q < 3; q++) {
            reseat_feature_row row;
            assert_status(feature_at(&e, &f, asked[q], d.turn_deg, 0.1, &row), RESEAT_OK);
            assert_near(row.error_mm, expected[q], 1e-12);
            worst = fmax(worst, fabs(row.error_mm - expected[q]));
        }
    }
    print_message("300 bores and bosses, largest difference %.2g mm\n", worst);
}

static void a_small_bore_is_not_off_by_the_error_alone(void **state)
{
    const reseat_radius_curve curve = {.mean_mm = 2.99};
    const reseat_estimate e = plain(0.015, 0, &curve);
    /* error (0.03, 0) in room of 0.04: of three touches from the side of +X */
    const double wide = error_of(&e, "bore:40:3", RESEAT_REPORTED_CENTRE_X, 180);
    const double narrow = error_of(&e, "bore:6.06:3", RESEAT_REPORTED_CENTRE_X, 180);
    assert_near(wide, 0.03, 1e-4);
    assert_true(fabs(narrow - 0.03) > 0.001);
}

static void a_ball_that_does_not_fit_is_refused(void **state)
{
    const reseat_radius_curve curve = {.mean_mm = 3};
    const reseat_estimate e = plain(0.015, 0, &curve);
    reseat_feature_row row, before;
    memset(&row, 0x33, sizeof row);
    before = row;
    static const struct {
        const char *spec;
        double turn_deg;
        reseat_status status;
    } cases[] = {
        {"bore:5.9", 0, RESEAT_ERR_RANGE},      {"bore:6", 0, RESEAT_ERR_RANGE},
        {"bore:6.01", 180, RESEAT_ERR_RANGE},   {"bore:6.06", 180, RESEAT_ERR_RANGE},
        {"slot:6:0", 0, RESEAT_ERR_RANGE},      {"slot:6.05:0", 180, RESEAT_ERR_RANGE},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        const reseat_feature f = feature_of(cases[i].spec);
        assert_status(feature_at(&e, &f, f.quantity, cases[i].turn_deg, 0.1, &row),
                      cases[i].status);
        assert_memory_equal(&row, &before, sizeof row);
    }
    assert_near(error_of(&e, "bore:6.01", RESEAT_REPORTED_POSITION, 0), 0, 0);
    assert_true(error_of(&e, "bore:6.07", RESEAT_REPORTED_POSITION, 180) > 0.05);
    assert_near(error_of(&e, "slot:6.07:0", RESEAT_REPORTED_CENTRE, 180), 0.03, 1e-15);
    assert_near(error_of(&e, "ridge:0.1:0", RESEAT_REPORTED_CENTRE, 180), 0.03, 1e-15);
}

/* A ball of 2.95 to 3.05 mm between sides at 3.04 mm, of which it meets one at its largest. */
static void either_side_of_a_slot_may_be_out_of_reach(void **state)
{
    reseat_radius_curve curve = {.mean_mm = 3, .order = 3, .directions = 12};
    const reseat_estimate moved = plain(0.015, 0, &curve), still = plain(0, 0, &curve);
    const reseat_feature forward = feature_of("slot:6.05:0"), back = feature_of("slot:6.05:180");
    const reseat_feature lobed = feature_of("slot:6.08:0");
    reseat_feature_row row;
    assert_status(feature_at(&moved, &forward, forward.quantity, 180, 0.1, &row),
                  RESEAT_ERR_RANGE);
    assert_status(feature_at(&moved, &back, back.quantity, 180, 0.1, &row),
                  RESEAT_ERR_RANGE);
    curve.sine_mm[3] = 0.05;
    assert_status(feature_at(&still, &lobed, lobed.quantity, -30, 0.1, &row),
                  RESEAT_ERR_RANGE);
    assert_status(feature_at(&still, &lobed, lobed.quantity, 30, 0.1, &row),
                  RESEAT_ERR_RANGE);
    curve.sine_mm[3] = 0.03;
    assert_status(feature_at(&still, &lobed, lobed.quantity, 30, 0.1, &row), RESEAT_OK);
}

/* Lobes that are longer by the same at every touch: the size alone is off, and by twice that. */
static void lobes_alike_at_every_touch_make_the_size_wrong(void **state)
{
    reseat_radius_curve curve = {.mean_mm = 3, .order = 4, .directions = 12};
    const reseat_estimate e = plain(0, 0, &curve);
    for (int sign = -1; sign <= 1; sign += 2) {
        curve.cosine_mm[4] = sign * 0.001;
        /* cos 4 phi is 1 at all four touches, and -1 in the frame turned by 45 degrees */
        assert_near(error_of(&e, "bore:20", RESEAT_REPORTED_DIAMETER, 45), sign * 0.004, 1e-14);
        assert_near(error_of(&e, "boss:20", RESEAT_REPORTED_DIAMETER, 45), -sign * 0.004, 1e-14);
        assert_near(error_of(&e, "bore:20", RESEAT_REPORTED_CENTRE, 45), 0, 1e-14);
    }
}

static void a_boss_that_the_ball_passes_by_is_refused(void **state)
{
    const reseat_radius_curve curve = {.mean_mm = 1};
    const reseat_estimate star = plain(0, 2, &curve); /* off by 4 across the touches along X */
    const reseat_feature small = feature_of("boss:5.9"), large = feature_of("boss:6.1");
    reseat_feature_row row;
    assert_status(feature_at(&star, &small, RESEAT_REPORTED_CENTRE, 180, 0.1, &row),
                  RESEAT_ERR_RANGE);
    assert_status(feature_at(&star, &large, RESEAT_REPORTED_CENTRE, 180, 0.1, &row),
                  RESEAT_OK);
}

static const char *const every_spec[] = {
    "surface:0", "surface:33", "slot:9:20",   "ridge:9:20", "bore:9",    "bore:9:3:7",
    "boss:9:5",  "boss:9:36",  "corner:0:90", "corner:30:80", "pair", "height"};
#define EVERY_SPEC (sizeof every_spec / sizeof every_spec[0])

static void nothing_is_off_at_the_runs_seat(void **state)
{
    double dirs[24], radii[24];
    for (int k = 0; k < 24; k++) {
        dirs[k] = 15 * k;
        radii[k] = 2.99 + 0.001 * sin(k) + 0.0005 * cos(3 * k);
    }
    reseat_radius_curve curve;
    assert_status(reseat_radius_fit(dirs, radii, 24, &curve), RESEAT_OK);
    const reseat_estimate e = plain(0.0123, -0.0456, &curve);
    for (size_t i = 0; i < EVERY_SPEC; i++) {
        const reseat_feature f = feature_of(every_spec[i]);
        size_t count = 0;
        const reseat_reported *list = reseat_feature_quantities(f.kind, &count);
        for (size_t q = 0; q < count; q++) {
            assert_same_bits(error_of(&e, every_spec[i], list[q], 0), 0);
            assert_same_bits(error_of(&e, every_spec[i], list[q], 360), 0);
            const double once = error_of(&e, every_spec[i], list[q], 77);
            assert_same_bits(error_of(&e, every_spec[i], list[q], 437), once);
        }
    }
}

/* The whole shop turned by an angle: sizes and lengths stay, components turn. */
static void turning_everything_turns_the_errors(void **state)
{
    const reseat_radius_curve curve = {.mean_mm = 2.99};
    const double by = 37;
    const reseat_xy o = {0.02, 0.011}, turned_o = plane_rotate(o, by);
    const reseat_estimate one = plain(o.x, o.y, &curve);
    const reseat_estimate two = plain(turned_o.x, turned_o.y, &curve);
    assert_near(error_of(&one, "surface:20", RESEAT_REPORTED_POSITION, 100),
                error_of(&two, "surface:57", RESEAT_REPORTED_POSITION, 100), 1e-15);
    assert_near(error_of(&one, "bore:7:3:10", RESEAT_REPORTED_DIAMETER, 100),
                error_of(&two, "bore:7:3:47", RESEAT_REPORTED_DIAMETER, 100), 1e-13);
    assert_near(error_of(&one, "bore:7:3:10", RESEAT_REPORTED_POSITION, 100),
                error_of(&two, "bore:7:3:47", RESEAT_REPORTED_POSITION, 100), 1e-13);
    const reseat_xy before = {error_of(&one, "boss:7:5:10", RESEAT_REPORTED_CENTRE_X, 100),
                              error_of(&one, "boss:7:5:10", RESEAT_REPORTED_CENTRE_Y, 100)};
    const reseat_xy after = plane_rotate(before, by);
    assert_near(error_of(&two, "boss:7:5:47", RESEAT_REPORTED_CENTRE_X, 100), after.x, 1e-13);
    assert_near(error_of(&two, "boss:7:5:47", RESEAT_REPORTED_CENTRE_Y, 100), after.y, 1e-13);
}

static void a_length_is_that_of_its_components(void **state)
{
    const reseat_estimate e = plain(0.02, 0.011, NULL);
    const double x = error_of(&e, "bore:9:3", RESEAT_REPORTED_CENTRE_X, 70);
    const double y = error_of(&e, "bore:9:3", RESEAT_REPORTED_CENTRE_Y, 70);
    const reseat_feature_row zone = row_at(&e, "bore:9:3", RESEAT_REPORTED_POSITION, 70);
    assert_near(error_of(&e, "bore:9:3", RESEAT_REPORTED_CENTRE, 70), hypot(x, y), 1e-17);
    assert_near(zone.error_mm, 2 * hypot(x, y), 1e-17);
    assert_near(zone.toward_mm.x, 2 * x, 1e-17);
    assert_near(zone.toward_mm.y, 2 * y, 1e-17);
    assert_near(error_of(&e, "corner:0:90", RESEAT_REPORTED_CORNER, 70),
                hypot(error_of(&e, "corner:0:90", RESEAT_REPORTED_CORNER_X, 70),
                      error_of(&e, "corner:0:90", RESEAT_REPORTED_CORNER_Y, 70)), 1e-17);
}

static void a_gauge_check_replaces_the_error(void **state)
{
    reseat_estimate e = plain(0.02, 0, NULL);
    e.verified = true;
    e.shift_mm = (reseat_xy){0.001, -0.002};
    assert_near(error_of(&e, "surface:90", RESEAT_REPORTED_POSITION, 180), -0.002, 0);
    assert_near(error_of(&e, "corner:0:90", RESEAT_REPORTED_CORNER_X, 180), 0.001, 1e-18);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(agrees_with_the_reference_features),
        cmocka_unit_test(chances_with_lobes_on_record_agree_with_the_reference),
        cmocka_unit_test(agrees_with_a_ball_in_a_hole_by_brute_force),
        cmocka_unit_test(a_small_bore_is_not_off_by_the_error_alone),
        cmocka_unit_test(a_ball_that_does_not_fit_is_refused),
        cmocka_unit_test(either_side_of_a_slot_may_be_out_of_reach),
        cmocka_unit_test(lobes_alike_at_every_touch_make_the_size_wrong),
        cmocka_unit_test(a_boss_that_the_ball_passes_by_is_refused),
        cmocka_unit_test(nothing_is_off_at_the_runs_seat),
        cmocka_unit_test(turning_everything_turns_the_errors),
        cmocka_unit_test(a_length_is_that_of_its_components),
        cmocka_unit_test(a_gauge_check_replaces_the_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
