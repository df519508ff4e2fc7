/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Reductions against vectors of 40 digits; lobes and gauges that moved; what no run comes to. */
#include <cjson/cJSON.h>
#include <stdio.h>
#include "check.h"
#include "probe.h"
#include "reseat/touches.h"

static const probe round_ball = {{0.0182, -0.0117}, 2.9512, 0, 0};
static const reseat_xyz centre = {-136.795, 94.536, -210};
static const double turns_deg[] = {0, 180, 0};

static reseat_touch touches[RESEAT_TOUCHES_MAX];
static reseat_touch_result results[RESEAT_TOUCHES_MAX];
static reseat_reduction r;
static reseat_error error;

static void reduce(size_t count, const reseat_reduce_setup *setup)
{
    const reseat_status status = reseat_reduce(touches, count, setup, results, &r, &error);
    if (status != RESEAT_OK)
        print_error("line %zu: %s\n", error.line, error.text);
    assert_status(status, RESEAT_OK);
}

static char *load(const char *name)
{
    static char bytes[1 << 16];
    char path[512];
    snprintf(path, sizeof path, "%s/reduce/%s", getenv("RESEAT_TEST_DATA"), name);
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    const size_t size = fread(bytes, 1, sizeof bytes - 1, file);
    assert_in_range(size, 1, sizeof bytes - 2);
    bytes[size] = '\0';
    fclose(file);
    return bytes;
}

static double number_of(const cJSON *item)
{
    double value = 0;
    assert_true(cJSON_IsString(item));
    assert_status(reseat_number_parse(item->valuestring, strlen(item->valuestring), &value, NULL),
                  RESEAT_OK);
    return value;
}

static double number_at(const cJSON *one, const char *key, int place)
{
    const cJSON *item = cJSON_GetObjectItemCaseSensitive(one, key);
    return number_of(place < 0 ? item : cJSON_GetArrayItem(item, place));
}

static void reduce_case(const cJSON *one)
{
    reseat_touches read;
    const char *const text = load(one->string);
    assert_status(reseat_touches_read(text, strlen(text), touches, RESEAT_TOUCHES_MAX, &read,
                                      NULL), RESEAT_OK);
    const char *const name = cJSON_GetObjectItemCaseSensitive(one, "gauge")->valuestring;
    reseat_gauge_kind kind;
    assert_status(reseat_gauge_kind_parse(name, strlen(name), &kind, NULL), RESEAT_OK);
    const reseat_reduce_setup setup =
        reseat_reduce_assumed(kind, number_at(one, "diameter_mm", -1));
    reduce(read.count, &setup);
    assert_int_equal(r.touches, cJSON_GetObjectItemCaseSensitive(one, "touches")->valueint);
}

static void agrees_with_case(const cJSON *one)
{
    const double xx = number_at(one, "offset_cov_mm2", 0);
    assert_true(r.has_offset && r.has_radius);
    assert_near(r.offset_mm.x, number_at(one, "offset_mm", 0), 1e-9);
    assert_near(r.offset_mm.y, number_at(one, "offset_mm", 1), 1e-9);
    assert_near(r.centre_mm.x, number_at(one, "centre_mm", 0), 1e-9);
    assert_near(r.centre_mm.y, number_at(one, "centre_mm", 1), 1e-9);
    assert_near(r.fit_radius_mm, number_at(one, "fit_radius_mm", -1), 1e-9);
    assert_near(r.radius_mm, number_at(one, "radius_mm", -1), 1e-9);
    assert_near(r.offset_cov_mm2.xx, xx, 1e-6 * xx + 1e-24);
    assert_near(r.offset_cov_mm2.xy, number_at(one, "offset_cov_mm2", 1), 1e-6 * xx + 1e-24);
    assert_near(r.offset_cov_mm2.yy, number_at(one, "offset_cov_mm2", 2), 1e-6 * xx + 1e-24);
    assert_near(r.residual_sd_mm, number_at(one, "residual_sd_mm", -1), 1e-9);
    assert_near(r.form_mm, number_at(one, "form_mm", -1), 1e-9);
    assert_int_equal(r.dof, cJSON_GetObjectItemCaseSensitive(one, "offset_dof")->valueint);
    const double u_mm = number_at(one, "offset_u_mm", -1);
    assert_near(r.offset_u_mm, u_mm, 1e-6 * u_mm);
    const cJSON *const moved = cJSON_GetObjectItemCaseSensitive(one, "gauge_moved");
    assert_int_equal(r.has_closure, moved != NULL);
    assert_int_equal(r.gauge_moved, cJSON_IsTrue(moved));
    if (moved)
        assert_near(r.closure_mm, number_at(one, "closure_mm", -1), 2e-7);
}

static void agrees_with_the_reference(void **state)
{
    static char text[1 << 14];
    size_t checked = 0;
    memcpy(text, load("expected.json"), sizeof text);
    cJSON *cases = cJSON_Parse(text);
    assert_non_null(cases);
    for (const cJSON *one = cases->child; one; one = one->next, checked++) {
        print_message("%s\n", one->string);
        reduce_case(one);
        agrees_with_case(one);
    }
    cJSON_Delete(cases);
    assert_int_equal(checked, 8);
}

/* Adds lobes of any order to a run of a round ball on a ring: where it is thick it fires early. */
static void add_lobes(size_t count, size_t order, double amplitude_mm, double lobe_deg)
{
    for (size_t i = 0; i < count; i++) {
        double sine, cosine;
        const double dir_deg = reseat_plane_bearing(
            (reseat_xy){touches[i].x_mm - centre.x, touches[i].y_mm - centre.y});
        const reseat_xy u = reseat_plane_unit(dir_deg);
        plane_sincos((double)order * (dir_deg - touches[i].turn_deg - lobe_deg), &sine, &cosine);
        touches[i].x_mm -= amplitude_mm * cosine * u.x;
        touches[i].y_mm -= amplitude_mm * cosine * u.y;
    }
}

/* Whatever their phase: what is added covers the error of the worst order, where there is one. */
static void lobes_that_pass_for_an_offset_are_in_its_uncertainty(void **state)
{
    static const struct {
        size_t dirs, order;
        double gain; /* of all orders from 2 to 6 */
    } cases[] = {{4, 3, 1}, {4, 5, 1}, {3, 5, 1}, {6, 5, 1}, {5, 3, 0}, {7, 5, 0}, {8, 3, 0},
                 {12, 5, 0}};
    const double lobe_mm = 0.001;
    reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        size_t n = probe_run(&round_ball, &setup.gauge, centre, turns_deg, 3, cases[i].dirs,
                             touches);
        setup.lobing_mm = 0.003;
        reduce(n, &setup);
        assert_near(r.offset_u_mm, cases[i].gain * 0.0015 / sqrt(2), 4e-6);
        assert_int_equal((r.assumed & 1u << RESEAT_ASSUMED_LOBING) != 0, cases[i].gain > 0);
        setup.lobing_mm = 2 * lobe_mm;
        for (double lobe_deg = 0; lobe_deg < 120; lobe_deg += 7) {
            n = probe_run(&round_ball, &setup.gauge, centre, turns_deg, 3, cases[i].dirs,
                          touches);
            add_lobes(n, cases[i].order, lobe_mm, lobe_deg);
            reduce(n, &setup);
            const double off_mm = hypot(r.offset_mm.x - round_ball.offset_mm.x,
                                        r.offset_mm.y - round_ball.offset_mm.y);
            assert_near(off_mm, cases[i].gain * lobe_mm, 4e-6);
            assert_true(off_mm <= 1.96 * r.offset_u_mm + 4e-6);
        }
    }
}

static void a_lobing_that_is_given_is_not_assumed(void **state)
{
    reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_PLUG, 50);
    setup.assumed &= ~(1u << RESEAT_ASSUMED_LOBING);
    setup.lobing_mm = 0.006;
    const size_t n = probe_run(&round_ball, &setup.gauge, centre, turns_deg, 3, 4, touches);
    reduce(n, &setup);
    assert_near(r.offset_u_mm, 0.003 / sqrt(2), 4e-6);
    assert_int_equal(r.assumed & 1u << RESEAT_ASSUMED_LOBING, 0);
    setup.lobing_mm = -0.001;
    assert_status(reseat_reduce(touches, n, &setup, results, &r, NULL), RESEAT_ERR_RANGE);
}

static void move(size_t begin, size_t end, double x_mm, double y_mm)
{
    for (size_t i = begin; i < end; i++) {
        touches[i].x_mm += x_mm;
        touches[i].y_mm += y_mm;
    }
}

/*
 * Two lobes of amplitude a from eight directions at 0, 180 and 0 leave squares of 24 a^2 / 2, with
 * 24 - 7 of freedom; a centre of eight scatters by 2/8 of that, a closure by twice as much. The
 * gauge moves after the first visit: the closure c is that, the offset off by c/4.
 */
static void a_gauge_moved_where_scatter_does_not_explain_its_closure(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    const double a = 0.001, dof = 17, u2 = 12 * a * a / dof / 2;
    const double limit_mm = sqrt(dof * u2 * (pow(0.01, -2 / dof) - 1));
    for (int beyond = 0; beyond <= 1; beyond++) {
        const double moved_mm = limit_mm * (beyond == 1 ? 1.001 : 0.999);
        const size_t n = probe_run(&round_ball, &setup.gauge, centre, turns_deg, 3, 8, touches);
        add_lobes(n, 2, a, 10);
        move(8, n, 0.6 * moved_mm, -0.8 * moved_mm);
        reduce(n, &setup);
        assert_true(r.has_closure);
        assert_near(r.closure_mm, moved_mm, 1e-6);
        assert_int_equal(r.gauge_moved, beyond);
        assert_int_equal(r.doubts, beyond);
        assert_near(hypot(r.offset_mm.x - round_ball.offset_mm.x,
                          r.offset_mm.y - round_ball.offset_mm.y), moved_mm / 4, 1e-6);
        const reseat_cov c = r.offset_cov_mm2;
        const double most = (c.xx + c.yy) / 2 + hypot((c.xx - c.yy) / 2, c.xy);
        assert_near(r.offset_u_mm, sqrt(most * 19 / 17) + beyond * r.closure_mm / 4, 1e-7);
    }
    assert_string_equal(r.doubt[0], "gauge-moved");
}

/* No scatter at all: rounding alone is no movement, a digit of the control is. */
static void exact_touches_tell_the_least_movement_and_none_from_none(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_PLUG, 50);
    const size_t n = probe_run(&round_ball, &setup.gauge, centre, turns_deg, 3, 5, touches);
    reduce(n, &setup);
    assert_true(r.has_closure && !r.gauge_moved);
    assert_near(r.closure_mm, 0, 1e-10);
    move(10, n, 0.0001, 0);
    reduce(n, &setup);
    assert_true(r.gauge_moved);
    assert_near(r.closure_mm, 0.0001, 1e-9);
}

/* Eight touches less seven unknowns are enough to tell, seven are not. */
static void one_touch_to_spare_tells_of_a_movement(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    static const size_t turn[] = {0, 0, 0, 1, 1, 2, 2, 1};
    for (size_t n = 7; n <= 8; n++) {
        size_t used = 0;
        for (size_t visit = 0; visit < 3; visit++)
            for (size_t i = 0; i < n; i++)
                if (turn[i] == visit)
                    touches[used++] = probe_touch(&round_ball, &setup.gauge, centre,
                                                  turns_deg[visit], 100.0 * (double)i, 0);
        move(used - 2, used, 0.001, 0);
        reduce(used, &setup);
        assert_true(r.has_closure);
        assert_int_equal(r.gauge_moved, n == 8);
    }
}

static void a_turn_other_than_the_first_that_comes_again_counts(void **state)
{
    static const double from_180_deg[] = {90, 180, 0, 180};
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    const size_t n = probe_run(&round_ball, &setup.gauge, centre, from_180_deg, 4, 8, touches);
    move(16, n, 0, 0.003);
    reduce(n, &setup);
    assert_true(r.has_closure && r.gauge_moved);
    assert_near(r.closure_mm, 0.003, 1e-6);
}

/* Directions 0 to 150 degrees before, 120 to 330 after: the radius alone ties them. */
static void uneven_visits_are_compared_by_what_their_touches_determine(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    size_t n = 0;
    for (size_t visit = 0; visit < 3; visit++)
        for (size_t i = 0; i < (visit == 1 ? 12 : 8); i++)
            touches[n++] = probe_touch(&round_ball, &setup.gauge, centre, turns_deg[visit],
                                       (visit == 2 ? 120 : 0) + 30.0 * (double)i, 0);
    move(20, n, 0.004, 0.002);
    reduce(n, &setup);
    assert_true(r.gauge_moved);
    assert_near(r.closure_mm, hypot(0.004, 0.002), 1e-11);
}

/* The same on one side of a sphere, from its equator up, where height and radius hang together. */
static void an_uneven_sphere_shows_its_movement_exactly(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_SPHERE, 25);
    size_t n = 0;
    for (size_t visit = 0; visit < 3; visit++)
        for (size_t i = 0; i < 10; i++)
            touches[n++] = probe_touch(&round_ball, &setup.gauge, centre, turns_deg[visit],
                                       20.0 * (double)(i * (1 + visit)), 8.0 * (double)i);
    move(20, n, 0.004, 0.002);
    reduce(n, &setup);
    assert_true(r.gauge_moved);
    assert_near(r.closure_mm, hypot(0.004, 0.002), 1e-11);
}

/* More touches in a visit than are folded at once. */
static void all_touches_of_a_visit_count(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    const size_t n = probe_run(&round_ball, &setup.gauge, centre, turns_deg, 3, 150, touches);
    move(300, 364, 0, 0.0003); /* some touches of the last visit as well as the others' place */
    move(364, n, 0, 0.002);
    reduce(n, &setup);
    assert_true(r.has_closure);
    assert_near(r.closure_mm, 0.0013, 0.0003);
    assert_true(r.gauge_moved);
}

/*
 * Three touches at either end of an axis, a, -a and 0 off, and one at either end of the other: in
 * three visits 12 a^2 with 24 - 7 of freedom, and a closure that scatters by all of that across the
 * axis. With the second visit b wider, 8 b^2 (1 - 1/3) more; a lone touch at another turn is what
 * its own centre takes.
 */
static void the_worse_axis_of_a_closure_decides(void **state)
{
    static const double ends_deg[] = {0, 0, 0, 180, 180, 180, 90, 270};
    static const double off[] = {1, -1, 0, 1, -1, 0, 0, 0};
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    const double a = 0.001, b = 0.0015, dof = 17;
    const double u2 = (12 * a * a + 16 * b * b / 3) / dof;
    for (int turned = 0; turned < 6; turned++) {
        const double limit_mm = sqrt(dof * u2 * (pow(0.01, -2 / dof) - 1));
        const bool beyond = turned % 2 == 1;
        size_t n = 0;
        for (size_t visit = 0; visit < 3; visit++) {
            if (visit == 1)
                touches[n++] = probe_touch(&round_ball, &setup.gauge, centre, 90, 70, 0);
            for (size_t i = 0; i < 8; i++) {
                const double dir_deg = ends_deg[i] + 45.0 * (turned / 2);
                const reseat_xy u = reseat_plane_unit(dir_deg);
                const double out_mm = a * off[i] + (visit == 1 ? b : 0);
                touches[n] = probe_touch(&round_ball, &setup.gauge, centre, turns_deg[visit],
                                         dir_deg, 0);
                touches[n].x_mm += out_mm * u.x;
                touches[n++].y_mm += out_mm * u.y;
            }
        }
        move(17, n, limit_mm * (beyond ? 1.002 : 0.998), 0);
        reduce(n, &setup);
        assert_true(r.has_closure);
        assert_int_equal(r.gauge_moved, beyond);
    }
}

/* A sphere touched at its equator and once from above at each turn. */
static void a_sphere_that_moved_is_seen_too(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_SPHERE, 25);
    size_t n = 0;
    for (size_t visit = 0; visit < 3; visit++)
        for (size_t i = 0; i < 9; i++)
            touches[n++] = probe_touch(&round_ball, &setup.gauge, centre, turns_deg[visit],
                                       45.0 * (double)i, i < 8 ? 0 : 90);
    reduce(n, &setup);
    assert_true(r.has_closure && !r.gauge_moved);
    move(9, n, -0.002, 0);
    reduce(n, &setup);
    assert_true(r.gauge_moved);
    assert_near(r.closure_mm, 0.002, 1e-6);
}

/* Twelve touches of 0 and 180 degrees twice: 24 pairs, of which four own centres take 4. */
static void repeatability_is_that_of_the_probe_though_the_gauge_moved(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    static const double twice_deg[] = {0, 180, 0, 180};
    double still_mm = 0;
    for (int moved = 0; moved <= 1; moved++) {
        const size_t n = probe_run(&round_ball, &setup.gauge, centre, twice_deg, 4, 12, touches);
        for (size_t i = 0; i < n; i++)
            touches[i].set = i < n / 2 ? 1 : 2;
        add_lobes(n / 2, 6, 0.001, 10); /* pairs differ by 1 um */
        move(24, n, 0.05 * moved, 0);
        reduce(n, &setup);
        assert_true(r.has_repeatability);
        assert_int_equal(r.repeatability_dof, 20);
        assert_near(r.repeatability_mm, sqrt(24 * 0.5e-6 / 20), moved ? 1e-6 : 1e-8);
        assert_int_equal(r.gauge_moved, moved);
        still_mm = moved ? still_mm : r.repeatability_mm;
    }
    assert_near(r.repeatability_mm, still_mm, 1e-6);
}

/* Two visits of two repeats each: own centres take all four degrees of freedom there are. */
static void too_few_repeats_are_pooled_with_what_the_gauge_moved(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    for (size_t repeats = 2; repeats <= 3; repeats++) {
        size_t n = probe_run(&round_ball, &setup.gauge, centre, turns_deg, 2, 12, touches);
        for (size_t i = 0; i < 2 * repeats; i++) {
            touches[n] = touches[12 * (i / repeats) + 4 * (i % repeats)];
            touches[n].set = 2;
            touches[n++].x_mm += 0.002;
        }
        /* at 10 and 130 degrees: pairs apart by 2 um cos of that, at either turn */
        const double pairs_mm =
            0.002 / 2 * hypot(reseat_plane_unit(10).x, reseat_plane_unit(130).x);
        reduce(n, &setup);
        assert_true(r.has_repeatability);
        assert_int_equal(r.repeatability_dof, repeats == 2 ? 4 : 2);
        assert_near(r.repeatability_mm, repeats == 2 ? pairs_mm : 0, 1e-6);
    }
}

/* As long as turns are there the size of a bore or boss is nobody's business. */
static void a_bore_or_boss_without_a_diameter_gives_the_offset_alone(void **state)
{
    static const reseat_gauge_kind kinds[] = {RESEAT_GAUGE_BORE, RESEAT_GAUGE_BOSS};
    static const reseat_gauge_kind known[] = {RESEAT_GAUGE_RING, RESEAT_GAUGE_PLUG};
    const probe lobed = {{0.0182, -0.0117}, 2.9512, 0.0015, 25};
    for (size_t i = 0; i < 2; i++) {
        const reseat_reduce_setup with = reseat_reduce_assumed(known[i], 50);
        const size_t n = probe_run(&lobed, &with.gauge, centre, turns_deg, 3, 12, touches);
        reduce(n, &with);
        const reseat_reduction expected = r;
        reseat_reduce_setup without = reseat_reduce_assumed(kinds[i], 0);
        reduce(n, &without);
        assert_true(r.has_offset && !r.has_radius);
        assert_same_bits(r.radius_mm, 0.0);
        assert_same_bits(r.radius_u_mm, 0.0);
        assert_near(r.offset_mm.x, expected.offset_mm.x, 0);
        assert_near(r.offset_u_mm, expected.offset_u_mm, 0);
        assert_near(r.radii_mm[3], expected.radii_mm[3] - expected.radius_mm, 1e-12);
        assert_int_equal(r.assumed, 0);
        assert_int_equal(r.advice, 1u << RESEAT_ADVICE_REPEATS);
        without.gauge.diameter_mm = 50;
        reduce(n, &without);
        assert_true(r.has_radius);
        assert_near(r.radius_mm, expected.radius_mm, 0);
        assert_int_equal(r.assumed, expected.assumed);
    }
}

/* The control adds the offset in use: the gauge reads off by what that is more than the ball's. */
static void the_gauge_reads_by_the_offset_in_use(void **state)
{
    reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    const size_t n = probe_run(&round_ball, &setup.gauge, centre, turns_deg, 3, 8, touches);
    reduce(n, &setup);
    assert_near(r.reading_mm.x, centre.x, 1e-9);
    assert_near(r.reading_mm.y, centre.y, 1e-9);
    setup.in_use_known = true;
    setup.in_use_mm = (reseat_xy){0.002, 0.003};
    reduce(n, &setup);
    assert_near(r.reading_mm.x, centre.x + 0.002 - round_ball.offset_mm.x, 1e-9);
    assert_near(r.reading_mm.y, centre.y + 0.003 - round_ball.offset_mm.y, 1e-9);
    setup.in_use_mm.x = (double)NAN;
    assert_status(reseat_reduce(touches, n, &setup, results, &r, NULL), RESEAT_ERR_NOT_FINITE);
    reduce(8, &(reseat_reduce_setup){.gauge = setup.gauge}); /* one turn */
    assert_same_bits(r.reading_mm.x, 0.0);
}

static void what_no_calibration_comes_to_is_refused(void **state)
{
    static const struct {
        double diameter_mm;
        const char *says;
    } slips[] = {{44.0, "leaves it no size"}, {44.1, "make its radius 0.0"},
                 {44.3, NULL}, {94.0, NULL}, {94.2, "make its radius 25.0"}};
    reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    setup.gauge.expansion_per_k = 0;
    for (size_t i = 0; i < 12; i++) {
        const reseat_xy u = reseat_plane_unit(90.0 * (double)i);
        touches[i] = (reseat_touch){.x_mm = 22.02 * u.x + (i / 4 == 1 ? 0.01 : 0),
                                    .y_mm = 22.02 * u.y,
                                    .turn_deg = turns_deg[i / 4], .line = i + 2};
    }
    for (size_t i = 0; i < sizeof slips / sizeof *slips; i++) {
        setup.gauge.diameter_mm = slips[i].diameter_mm;
        const reseat_status status = reseat_reduce(touches, 12, &setup, results, &r, &error);
        assert_status(status, slips[i].says ? RESEAT_ERR_RANGE : RESEAT_OK);
        if (slips[i].says && !strstr(error.text, slips[i].says))
            fail_msg("%s", error.text);
    }
    /* two rings of a size, each touched at a turn of its own, look like one and an offset */
    setup.gauge.diameter_mm = 50;
    for (int far = 0; far <= 1; far++) {
        for (size_t i = 4; i < 8; i++)
            touches[i].x_mm = 22.02 * reseat_plane_unit(90.0 * (double)i).x + (far ? 2.001 : 1.999);
        const reseat_status status = reseat_reduce(touches, 12, &setup, results, &r, &error);
        assert_status(status, far ? RESEAT_ERR_RANGE : RESEAT_OK);
    }
    assert_non_null(strstr(error.text, "the offset would be 1.0005, 0.0000 mm"));
    assert_string_equal(error.key, "turn_deg");
}

/* The file of one turn, its rows copied and 180 written before them. */
static void touches_copied_to_another_turn_are_refused(void **state)
{
    const reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50);
    const size_t n = probe_run(&round_ball, &setup.gauge, centre, turns_deg, 1, 12, touches);
    add_lobes(n, 5, 0.0004, 3);
    memcpy(touches + n, touches, n * sizeof *touches);
    for (size_t i = n; i < 2 * n; i++)
        touches[i].turn_deg = 180;
    assert_status(reseat_reduce(touches, 2 * n, &setup, results, &r, &error), RESEAT_ERR_RANGE);
    assert_non_null(strstr(error.text, "was the spindle turned"));
    touches[n].x_mm += 0.0001;
    reduce(2 * n, &setup);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(agrees_with_the_reference),
        cmocka_unit_test(lobes_that_pass_for_an_offset_are_in_its_uncertainty),
        cmocka_unit_test(a_lobing_that_is_given_is_not_assumed),
        cmocka_unit_test(a_gauge_moved_where_scatter_does_not_explain_its_closure),
        cmocka_unit_test(exact_touches_tell_the_least_movement_and_none_from_none),
        cmocka_unit_test(one_touch_to_spare_tells_of_a_movement),
        cmocka_unit_test(a_turn_other_than_the_first_that_comes_again_counts),
        cmocka_unit_test(uneven_visits_are_compared_by_what_their_touches_determine),
        cmocka_unit_test(an_uneven_sphere_shows_its_movement_exactly),
        cmocka_unit_test(all_touches_of_a_visit_count),
        cmocka_unit_test(the_worse_axis_of_a_closure_decides),
        cmocka_unit_test(too_few_repeats_are_pooled_with_what_the_gauge_moved),
        cmocka_unit_test(a_sphere_that_moved_is_seen_too),
        cmocka_unit_test(repeatability_is_that_of_the_probe_though_the_gauge_moved),
        cmocka_unit_test(a_bore_or_boss_without_a_diameter_gives_the_offset_alone),
        cmocka_unit_test(the_gauge_reads_by_the_offset_in_use),
        cmocka_unit_test(what_no_calibration_comes_to_is_refused),
        cmocka_unit_test(touches_copied_to_another_turn_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
