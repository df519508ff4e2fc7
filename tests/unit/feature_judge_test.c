/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Scatter of features, chances of their tolerances, and their worst seats. */
#include "check.h"
#include "model/feature.h"
#include "random.h"
#include "maths/chance.h"
#include "reseat/probe.h"
#include "model/radius.h"
#include "model/estimate.h"
#include "maths/plane.h"

static reseat_estimate plain(double x, double y)
{
    return (reseat_estimate){.offset_mm = {x, y},
                             .in_use_mm = {x, y},
                             .terms = terms_assumed(),
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
    assert_status(feature_at(estimate, &feature, quantity, turn_deg, 0.1, &row),
                  RESEAT_OK);
    return row;
}

/* The quantity that the tolerance of the spec is for. */
static reseat_feature_row judged_at(const reseat_estimate *estimate, const char *spec,
                                    double turn_deg)
{
    const reseat_feature_row row = row_at(estimate, spec, feature_of(spec).quantity, turn_deg);
    assert_true(row.judged);
    return row;
}

static reseat_effect effect_at(const reseat_estimate *estimate, double turn_deg)
{
    reseat_effect effect;
    assert_status(reseat_estimate_effect(estimate, turn_deg, &effect), RESEAT_OK);
    return effect;
}

static double line(double mean_mm, double sd_mm, double limit_mm)
{
    double chance = -1;
    assert_status(chance_line(mean_mm, sd_mm, limit_mm, &chance), RESEAT_OK);
    return chance;
}

/* A curve through so many directions, with lobes and a rest that it cannot follow. */
static reseat_radius_curve curve_of(size_t count, double rest_mm)
{
    double dirs[48], radii[48];
    uint64_t random = 5;
    reseat_radius_curve curve;
    for (size_t k = 0; k < count; k++) {
        dirs[k] = 360.0 * (double)k / (double)count;
        radii[k] = 2.99 + 0.001 * cos(3 * dirs[k] * 0.017453292519943295) +
                   random_between(&random, -rest_mm, rest_mm);
    }
    assert_status(reseat_radius_fit(dirs, radii, count, &curve), RESEAT_OK);
    return curve;
}

static void scatter_reaches_what_the_error_moves(void **state)
{
    reseat_estimate e = plain(0.05, 0.02);
    e.terms.u_turn_deg = 3; /* makes the scatter long across the offset */
    const reseat_cov c = effect_at(&e, 100).covariance_mm2;
    const reseat_xy u = reseat_plane_unit(30);
    const double along = sqrt(u.x * u.x * c.xx + 2 * u.x * u.y * c.xy + u.y * u.y * c.yy);
    assert_near(row_at(&e, "surface:30", RESEAT_REPORTED_POSITION, 100).u_mm, along, 1e-17);
    assert_near(row_at(&e, "slot:9:30", RESEAT_REPORTED_CENTRE, 100).u_mm, along, 1e-17);
    assert_near(row_at(&e, "ridge:9:30", RESEAT_REPORTED_CENTRE, 100).u_mm, along, 1e-17);
    assert_near(row_at(&e, "corner:0:70", RESEAT_REPORTED_CORNER_X, 100).u_mm, sqrt(c.xx), 1e-17);
    assert_near(row_at(&e, "corner:0:70", RESEAT_REPORTED_CORNER_Y, 100).u_mm, sqrt(c.yy), 1e-17);
    assert_near(row_at(&e, "bore:500", RESEAT_REPORTED_CENTRE_X, 100).u_mm, sqrt(c.xx), 1e-6);
    assert_near(row_at(&e, "boss:500", RESEAT_REPORTED_CENTRE_Y, 100).u_mm, sqrt(c.yy), 1e-6);
    assert_near(row_at(&e, "bore:9", RESEAT_REPORTED_DIAMETER, 100).u_mm, 0, 0);
    assert_near(row_at(&e, "slot:9:0", RESEAT_REPORTED_WIDTH, 100).u_mm, 0, 0);
    assert_near(row_at(&e, "pair", RESEAT_REPORTED_DISTANCE, 100).u_mm, 0, 0);
}

/* There the centre's slope, steep as it is, would be lost in the rounding of the error itself. */
/* Whichever way the offset lies: in its seat no error points anywhere. */
static void a_length_of_nothing_scatters_as_it_does_most(void **state)
{
    const double offsets[][2] = {{0.5, 0}, {0, 0.5}, {0.3, 0.4}, {-0.4, 0.3}};
    for (size_t i = 0; i < 4; i++) {
        reseat_estimate e = plain(offsets[i][0], offsets[i][1]);
        e.terms.u_turn_deg = 5;
        e.out = false;
        const double across = sqrt(2.0) * 0.5 * 5 * 3.14159265358979323846 / 180;
        const double u = hypot(across, hypot(e.terms.u_run_mm, e.terms.u_touch_mm));
        const reseat_feature_row corner =
            row_at(&e, "corner:0:90", RESEAT_REPORTED_CORNER, 0);
        assert_near(corner.error_mm, 0, 0);
        assert_near(corner.u_mm, u, 1e-15);
        /* what rounding leaves of the circle's centre points nowhere, too */
        assert_near(row_at(&e, "bore:20", RESEAT_REPORTED_CENTRE, 0).u_mm, u, 1e-6 * u);
        assert_near(row_at(&e, "bore:20", RESEAT_REPORTED_POSITION, 0).u_mm, 2 * u, 2e-6 * u);
    }
}

static void no_verdict_hangs_on_room_that_is_rounding(void **state)
{
    const reseat_radius_curve ball = {.mean_mm = 2.9};
    const double room_mm = 6.05 / 2 - ball.mean_mm;
    const reseat_feature feature = feature_of("bore:6.05=3");
    reseat_estimate estimate = plain(0, 0);
    estimate.curve = &ball;
    for (int ulps = 0; ulps < 40; ulps++) {
        reseat_feature_row row = {.ok = false};
        estimate.in_use_mm.x = room_mm - ulps * 0x1p-56;
        assert_status(feature_at(&estimate, &feature, feature.quantity, 0, 0.1, &row),
                      RESEAT_ERR_RANGE);
        assert_false(row.ok);
    }
    estimate.in_use_mm.x = room_mm - 1e-6;
    assert_true(judged_at(&estimate, "bore:6.05=3", 0).u_mm > 0.001);
}

static void a_height_scatters_by_two_seatings_once_the_probe_was_out(void **state)
{
    reseat_estimate e = plain(0.05, 0.02);
    e.terms.u_axial_mm = 0.003;
    assert_near(row_at(&e, "height", RESEAT_REPORTED_HEIGHT, 100).u_mm, sqrt(2.0) * 0.003, 1e-18);
    assert_near(row_at(&e, "height", RESEAT_REPORTED_HEIGHT, 100).error_mm, 0, 0);
    e.out = false;
    assert_near(row_at(&e, "height", RESEAT_REPORTED_HEIGHT, 0).u_mm, 0, 0);
}

/* The exact centre of a small bore, its error drawn from the scatter. */
static void scatter_of_a_small_bore_is_that_of_its_exact_centre(void **state)
{
    uint64_t random = 99;
    const reseat_radius_curve curve = {.mean_mm = 2.99};
    reseat_estimate e = plain(0.01, 0.004);
    e.terms = (reseat_terms){.u_run_mm = 0.0001};
    e.curve = &curve;
    const char *spec = "bore:6.04:3:10"; /* room 0.03, error 0.0215 */
    const reseat_feature f = feature_of(spec);
    const reseat_effect effect = effect_at(&e, 180);
    double sum = 0, squares = 0;
    const int count = 20000;
    for (int i = 0; i < count; i++) {
        const double angle = random_between(&random, 0, 2 * 3.14159265358979);
        const double radius = 0.0001 * sqrt(-2 * log(random_between(&random, 1e-300, 1)));
        feature_effect exact;
        const reseat_xy drawn = {effect.error_mm.x + radius * cos(angle),
                                 effect.error_mm.y + radius * sin(angle)};
        assert_status(feature_effect_at(&f, &curve, drawn, 180, &exact), RESEAT_OK);
        sum += exact.plane_mm.x;
        squares += exact.plane_mm.x * exact.plane_mm.x;
    }
    const double sd = sqrt(squares / count - sum / count * (sum / count));
    const double u = row_at(&e, spec, RESEAT_REPORTED_CENTRE_X, 180).u_mm;
    print_message("u %.6f mm, standard deviation of %d draws %.6f mm\n", u, count, sd);
    assert_near(u, sd, 4 * sd / sqrt(2.0 * count)); /* 4 standard deviations of a sample's */
    assert_true(fabs(u - 0.0001) > 0.00001);       /* that of the error itself it is not */
}

static void a_zone_that_is_a_diameter_is_allowed_whole(void **state)
{
    const reseat_estimate e = plain(0.001, 0);
    assert_near(judged_at(&e, "bore:9=0.05", 10).allowed_mm, 0.005, 1e-18);
    assert_near(judged_at(&e, "boss:9=position:0.05", 10).allowed_mm, 0.005, 1e-18);
    assert_near(judged_at(&e, "slot:9:0=width:0.05", 10).allowed_mm, 0.005, 1e-18);
    assert_near(judged_at(&e, "bore:9=diameter:0.05", 10).allowed_mm, 0.005, 1e-18);
    assert_near(judged_at(&e, "pair=0.05", 10).allowed_mm, 0.005, 1e-18);
    assert_near(judged_at(&e, "surface:0=0.05", 10).allowed_mm, 0.0025, 1e-18);
    assert_near(judged_at(&e, "slot:9:0=0.05", 10).allowed_mm, 0.0025, 1e-18);
    assert_near(judged_at(&e, "bore:9=centre:0.05", 10).allowed_mm, 0.0025, 1e-18);
    assert_near(judged_at(&e, "bore:9=centre_x:0.05", 10).allowed_mm, 0.0025, 1e-18);
    assert_near(judged_at(&e, "corner:0:90=0.05", 10).allowed_mm, 0.0025, 1e-18);
    assert_near(judged_at(&e, "height=0.05", 10).allowed_mm, 0.0025, 1e-18);
}

static void a_surface_has_the_chance_of_a_line(void **state)
{
    const reseat_estimate e = plain(0.004, 0.001);
    const reseat_feature_row row = judged_at(&e, "surface:40=0.4", 90);
    assert_near(row.chance_within,
                line(fabs(row.error_mm) + row.hidden_mm, row.u_mm, row.allowed_mm), 1e-15);
    assert_near(row.hidden_mm, 0.003, 1e-18);
    assert_near(judged_at(&e, "height=0.2", 90).chance_within, line(0, sqrt(2.0) * 0.005, 0.01),
                1e-15);
    assert_near(judged_at(&e, "pair=0.001", 90).chance_within, 1, 0);
    assert_near(judged_at(&e, "slot:9:0=width:0.0599", 90).chance_within, 0, 0);
    assert_near(judged_at(&e, "slot:9:0=width:0.0601", 90).chance_within, 1, 0);
}

/* A hole is within if its centre is, wherever it lies: by counting draws. */
static void a_position_has_the_chance_of_the_disc(void **state)
{
    uint64_t random = 7;
    reseat_estimate e = plain(0.002, 0.001);
    e.terms.lobing_mm = 0;
    const reseat_feature_row row = judged_at(&e, "bore:400=0.2", 180);
    const reseat_effect effect = effect_at(&e, 180);
    const double sd = sqrt(effect.covariance_mm2.xx); /* u_turn is far below the rest */
    const int count = 200000;
    int within = 0;
    for (int i = 0; i < count; i++) {
        const double angle = random_between(&random, 0, 2 * 3.14159265358979);
        const double radius = sd * sqrt(-2 * log(random_between(&random, 1e-300, 1)));
        const double x = effect.error_mm.x + radius * cos(angle);
        const double y = effect.error_mm.y + radius * sin(angle);
        within += 2 * hypot(x, y) <= row.allowed_mm;
    }
    const double share = (double)within / count;
    print_message("chance %.4f, of %d draws %.4f\n", row.chance_within, count, share);
    assert_near(row.chance_within, share, 4 * sqrt(share * (1 - share) / count));
}

static double longest_by_force(const reseat_xy *weights, unsigned n)
{
    double longest = 0;
    for (unsigned signs = 0; signs < 1u << n; signs++) {
        double x = 0, y = 0;
        for (unsigned i = 0; i < n; i++) {
            x += (signs & 1u << i ? 1 : -1) * weights[i].x;
            y += (signs & 1u << i ? 1 : -1) * weights[i].y;
        }
        longest = fmax(longest, hypot(x, y));
    }
    return longest;
}

static void hidden_lobes_come_in_their_worst_signs(void **state)
{
    for (unsigned n = 3; n <= 11; n++) {
        const reseat_feature f = {.kind = RESEAT_FEATURE_BORE, .size_mm = 9, .dir_deg = 12,
                                  .touches = n};
        reseat_xy weights[11];
        for (unsigned i = 0; i < n; i++) {
            const reseat_xy u = reseat_plane_unit(12 + 360.0 * i / n);
            weights[i] = (reseat_xy){2 * u.x / n, 2 * u.y / n};
        }
        assert_near(feature_lobe_reach(&f, FEATURE_PLANE_LENGTH), longest_by_force(weights, n),
                    1e-14);
        for (unsigned i = 0; i < n; i++)
            weights[i].y = 0;
        assert_near(feature_lobe_reach(&f, FEATURE_PLANE_X), longest_by_force(weights, n), 1e-14);
    }
    const reseat_feature corner = feature_of("corner:20:75");
    const reseat_xy walls[2] = {feature_corner_weight(&corner, 0),
                                feature_corner_weight(&corner, 1)};
    assert_near(feature_lobe_reach(&corner, FEATURE_PLANE_LENGTH), longest_by_force(walls, 2),
                1e-15);
}

/* What the weights say of a touch that comes out longer is what the features do. */
static void lobes_weigh_as_they_do_in_the_feature(void **state)
{
    const double turn = 40;
    const reseat_radius_curve curve = {.mean_mm = 2, .order = 3,
                                       .cosine_mm = {[3] = 1e-6}, .sine_mm = {[2] = 2e-6}};
    const reseat_xy none = {0, 0};
    feature_effect effect;
    const reseat_feature corner = feature_of("corner:20:75");
    assert_status(feature_effect_at(&corner, &curve, none, turn, &effect), RESEAT_OK);
    const double first = radius_change(&curve, 20, turn);
    const double second = radius_change(&curve, 75, turn);
    /* the point lies on both walls */
    const reseat_xy u1 = reseat_plane_unit(20), u2 = reseat_plane_unit(75);
    assert_near(effect.plane_mm.x * u1.x + effect.plane_mm.y * u1.y, first, 1e-20);
    assert_near(effect.plane_mm.x * u2.x + effect.plane_mm.y * u2.y, second, 1e-20);

    const reseat_feature bore = feature_of("bore:1000:7:5");
    assert_status(feature_effect_at(&bore, &curve, none, turn, &effect), RESEAT_OK);
    double x = 0, size = 0;
    for (unsigned i = 0; i < 7; i++) {
        const double change = radius_change(&curve, feature_side(&bore, i), turn);
        x += 2.0 / 7 * change * reseat_plane_unit(feature_side(&bore, i)).x;
        size += 2.0 / 7 * change;
    }
    assert_near(effect.plane_mm.x, x, 1e-12);
    assert_near(effect.size_mm, size, 1e-12);
}

/*
 * What the fit of the lobes leaves is the only scatter, so that u is that of the touches alone;
 * hidden lobes likewise. The corner's figures are of the inverse of (cos 30, sin 30; cos 80, sin
 * 80), computed with 30 digits.
 */
static void scatter_of_touches_is_that_of_their_weights(void **state)
{
    const reseat_radius_curve curve = {.mean_mm = 2, .residual_mm = 0.001, .order = 5,
                                       .directions = 12};
    reseat_estimate e = plain(0.004, 0.004); /* the error lies at 45 degrees */
    e.terms = (reseat_terms){.lobing_mm = 0.001};
    static const struct {
        const char *spec;
        reseat_reported quantity;
        double u, reach;
    } cases[] = {
        {"corner:30:80", RESEAT_REPORTED_CORNER_X, 1.44177865583681087, 1.93827886403921396},
        {"corner:30:80", RESEAT_REPORTED_CORNER_Y, 1.15301807863410952, 1.35719747175281357},
        {"corner:30:80", RESEAT_REPORTED_CORNER, 0.821450007916693927, 2.36620158315249852},
        {"corner:30:160", RESEAT_REPORTED_CORNER, 0, 2.36620158315249852},
        {"bore:20:5", RESEAT_REPORTED_CENTRE_X, 0.632455532033675867, 0},
        {"bore:20:5", RESEAT_REPORTED_CENTRE_Y, 0.632455532033675867, 0},
        {"boss:20:5", RESEAT_REPORTED_CENTRE, 0.632455532033675867, 0},
        {"bore:20:5", RESEAT_REPORTED_DIAMETER, 0.894427190999915879, 2},
        {"slot:20:7", RESEAT_REPORTED_CENTRE, 0.707106781186547524, 1},
        {"slot:20:7", RESEAT_REPORTED_WIDTH, 1.41421356237309505, 2},
        {"surface:7", RESEAT_REPORTED_POSITION, 1, 1},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        e.curve = &curve;
        reseat_feature_row row = row_at(&e, cases[i].spec, cases[i].quantity, 180);
        if (cases[i].u > 0)
            assert_near(row.u_mm, sqrt(2.0) * 0.001 * cases[i].u, 1e-15);
        e.curve = NULL;
        row = row_at(&e, cases[i].spec, cases[i].quantity, 180);
        if (cases[i].reach > 0)
            assert_near(row.hidden_mm, 0.001 * cases[i].reach, 1e-15);
    }
}

static void few_directions_are_reported_but_not_trusted(void **state)
{
    const reseat_radius_curve few = curve_of(11, 0);
    reseat_estimate e = plain(0.004, 0.001);
    e.curve = &few;
    const reseat_feature_row row = judged_at(&e, "surface:40=0.4", 90);
    const double change = radius_change(&few, 40, 90);
    assert_true(fabs(change) > 0.0003);
    e.curve = NULL;
    const reseat_feature_row without = judged_at(&e, "surface:40=0.4", 90);
    assert_near(row.error_mm, without.error_mm + change, 1e-17);
    assert_near(row.chance_within, without.chance_within, 0);
    assert_near(row.hidden_mm, 0.003, 1e-18);
}

static void enough_directions_take_the_place_of_hidden_lobes(void **state)
{
    const reseat_radius_curve many = curve_of(24, 0.0004);
    assert_true(many.residual_mm > 1e-5);
    reseat_estimate e = plain(0.004, 0.001);
    e.curve = &many;
    const double rest = sqrt(2.0) * many.residual_mm, c = effect_at(&e, 90).covariance_mm2.xx;
    const reseat_feature_row surface = judged_at(&e, "surface:0=0.4", 90);
    assert_near(surface.hidden_mm, 0, 0);
    assert_near(surface.u_mm, hypot(sqrt(c), rest), 1e-17);
    assert_near(surface.chance_within, line(surface.error_mm, surface.u_mm, 0.02), 1e-15);
    assert_near(row_at(&e, "slot:9:0", RESEAT_REPORTED_CENTRE, 90).u_mm,
                hypot(sqrt(c), rest / sqrt(2.0)), 1e-17);
    assert_near(row_at(&e, "slot:9:0", RESEAT_REPORTED_WIDTH, 90).u_mm, sqrt(2.0) * rest, 1e-17);
    assert_near(row_at(&e, "bore:9:16", RESEAT_REPORTED_DIAMETER, 90).u_mm, rest / 2, 1e-17);
    assert_near(row_at(&e, "corner:0:90", RESEAT_REPORTED_CORNER_X, 90).u_mm,
                hypot(sqrt(c), rest), 1e-17);
    /* lobes that are not turned do no harm */
    const double still = effect_at(&e, 0).covariance_mm2.xx;
    assert_near(row_at(&e, "surface:0", RESEAT_REPORTED_POSITION, 0).u_mm, sqrt(still), 1e-18);
}

static reseat_question question_of(double x, double y, const char *typed)
{
    reseat_seat seat;
    reseat_question question;
    assert_status(reseat_seat_parse(typed, strlen(typed), &seat, NULL), RESEAT_OK);
    assert_status(reseat_verdict_question((reseat_xy){x, y}, 15, &seat, &question), RESEAT_OK);
    return question;
}

static reseat_feature_row worst_of(const reseat_question *question, const char *spec,
                                   reseat_reported quantity)
{
    const reseat_feature feature = feature_of(spec);
    reseat_feature_row row;
    assert_status(reseat_feature_worst(question, &feature, quantity, 0.1, &row), RESEAT_OK);
    return row;
}

static void the_worst_seat_has_the_least_chance(void **state)
{
    static const char *const specs[] = {"surface:25=0.3", "slot:20:130=0.3", "bore:20=0.3",
                                        "bore:20=centre_y:0.3", "corner:0:60=0.4"};
    const reseat_question question = question_of(0.004, -0.003, "any");
    for (size_t i = 0; i < sizeof specs / sizeof specs[0]; i++) {
        const reseat_feature_row worst =
            worst_of(&question, specs[i], feature_of(specs[i]).quantity);
        double least = 1;
        for (int step = 0; step < 7200; step++)
            least = fmin(least, judged_at(&question.estimate, specs[i], step / 20.0).chance_within);
        assert_true(worst.chance_within <= least + 1e-12);
        assert_near(worst.chance_within, least, 1e-5); /* the scan's own coarseness */
        assert_near(worst.seat_deg, plane_seat(15 + worst.turn_deg), 0);
    }
}

static void without_a_tolerance_the_largest_error_is_the_worst(void **state)
{
    const reseat_question question = question_of(0.012, -0.005, "any");
    const reseat_feature_row hole = worst_of(&question, "bore:20", RESEAT_REPORTED_CENTRE);
    assert_near(hole.error_mm, 0.026, 1e-6);
    assert_near(hole.turn_deg, 180, 1e-3);
    /* along X: q.x (1 - cos) + q.y sin, at most q.x + |q| */
    const reseat_feature_row along = worst_of(&question, "surface:0", RESEAT_REPORTED_POSITION);
    assert_near(along.error_mm, 0.012 + 0.013, 1e-12);
    assert_false(along.judged);
    assert_near(along.chance_within, 1, 0);
    assert_true(along.ok);
    /* nothing is off, but for rounding: then the smallest turn */
    assert_near(worst_of(&question, "bore:20", RESEAT_REPORTED_DIAMETER).turn_deg, 0, 0);
    assert_near(worst_of(&question, "pair", RESEAT_REPORTED_DISTANCE).turn_deg, 0, 0);
}

static void keys_are_tried_one_by_one(void **state)
{
    const reseat_question question = question_of(0.012, -0.005, "keys:4");
    const reseat_feature_row row = worst_of(&question, "surface:90", RESEAT_REPORTED_POSITION);
    assert_near(row.turn_deg, 90, 0); /* q.y - q.x there, against 2 q.y at half a turn */
    assert_near(row.error_mm, -0.005 - 0.012, 1e-17);
    assert_near(row.seat_deg, 105, 0);
}

static void ok_needs_the_confidence_and_no_other_reason(void **state)
{
    reseat_question question = question_of(0.001, 0, "same");
    const reseat_feature f = feature_of("bore:20=0.06");
    reseat_feature_row row = worst_of(&question, "bore:20=0.06", f.quantity);
    assert_true(row.ok && row.chance_within > 0.95);
    assert_true(worst_of(&question, "bore:20=0.06", RESEAT_REPORTED_DIAMETER).ok);
    question.confidence = row.chance_within + (1 - row.chance_within) / 2;
    assert_false(worst_of(&question, "bore:20=0.06", f.quantity).ok);
    question.confidence = 0.95;
    question.reasons = 1u << RESEAT_REASON_DAMAGE_IGNORED;
    assert_true(worst_of(&question, "bore:20=0.06", f.quantity).ok);
    question.reasons = 1u << RESEAT_REASON_COLLISION;
    assert_false(worst_of(&question, "bore:20=0.06", f.quantity).ok);
}

static void each_wrong_input_is_refused_untouched(void **state)
{
    const reseat_question question = question_of(0.012, -0.005, "any");
    const reseat_estimate e = question.estimate;
    const reseat_feature good = feature_of("bore:9=0.1");
    reseat_feature_row row, before;
    memset(&row, 0x44, sizeof row);
    before = row;

    struct {
        reseat_feature feature;
        reseat_reported quantity;
        double share;
        reseat_status status;
    } cases[] = {
        {good, RESEAT_REPORTED_WIDTH, 0.1, RESEAT_ERR_ARGUMENT},
        {good, RESEAT_REPORTED_CENTRE, 0, RESEAT_ERR_RANGE},
        {good, RESEAT_REPORTED_CENTRE, 1.01, RESEAT_ERR_RANGE},
        {good, RESEAT_REPORTED_CENTRE, (double)NAN, RESEAT_ERR_NOT_FINITE},
        {good, RESEAT_REPORTED_CENTRE, 0.1, RESEAT_ERR_ARGUMENT},
        {good, RESEAT_REPORTED_CENTRE, 0.1, RESEAT_ERR_RANGE},
        {good, RESEAT_REPORTED_CENTRE, 0.1, RESEAT_ERR_RANGE},
        {good, RESEAT_REPORTED_CENTRE, 0.1, RESEAT_ERR_RANGE},
        {good, RESEAT_REPORTED_CENTRE, 0.1, RESEAT_ERR_NOT_FINITE},
        {good, RESEAT_REPORTED_CENTRE, 0.1, RESEAT_ERR_RANGE},
        {feature_of("corner:0:90"), RESEAT_REPORTED_CORNER, 0.1, RESEAT_ERR_RANGE},
    };
    cases[4].feature.kind = (reseat_feature_kind)99;
    cases[5].feature.touches = 2;
    cases[6].feature.touches = 361;
    cases[7].feature.size_mm = 0;
    cases[8].feature.dir_deg = (double)INFINITY;
    cases[9].feature.tolerance_mm = -1;
    cases[10].feature.other_deg = 180;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        assert_status(feature_at(&e, &cases[i].feature, cases[i].quantity, 10,
                                 cases[i].share, &row), cases[i].status);
        assert_status(reseat_feature_worst(&question, &cases[i].feature, cases[i].quantity,
                                           cases[i].share, &row), cases[i].status);
    }
    const reseat_reported q = RESEAT_REPORTED_CENTRE;
    assert_status(feature_at(&e, &good, q, (double)NAN, 0.1, &row), RESEAT_ERR_NOT_FINITE);
    assert_status(reseat_feature_worst(NULL, &good, q, 0.1, &row), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_feature_worst(&question, &good, q, 0.1, NULL), RESEAT_ERR_ARGUMENT);
    reseat_question unsure = question;
    unsure.confidence = 1;
    assert_status(reseat_feature_worst(&unsure, &good, q, 0.1, &row), RESEAT_ERR_RANGE);
    unsure = question;
    unsure.turns.width_deg = 361;
    assert_status(reseat_feature_worst(&unsure, &good, q, 0.1, &row), RESEAT_ERR_RANGE);
    assert_memory_equal(&row, &before, sizeof row);
}

/* The scatter of the error through the slopes of the point, which are taken here by small steps. */
static void scatter_of_a_centre_is_carried_by_its_slopes(void **state)
{
    static const char *const specs[] = {"bore:400:8", "bore:6.3:3:20", "bore:6.3:5",
                                        "boss:20:3:50", "boss:0.5:3:20"};
    const double step = 1e-5, turn = 140;
    const reseat_radius_curve curve = {.mean_mm = 3};
    reseat_estimate e = plain(0.02, 0.05);
    e.curve = &curve;
    e.terms.u_turn_deg = 4;
    reseat_effect effect;
    assert_status(reseat_estimate_effect(&e, turn, &effect), RESEAT_OK);
    const reseat_cov c = effect.covariance_mm2;
    for (size_t i = 0; i < sizeof specs / sizeof specs[0]; i++) {
        const reseat_feature f = feature_of(specs[i]);
        feature_effect at, moved[4];
        assert_status(feature_effect_at(&f, &curve, effect.error_mm, turn, &at), RESEAT_OK);
        for (int k = 0; k < 4; k++) {
            reseat_xy error = effect.error_mm;
            *(k < 2 ? &error.x : &error.y) += k % 2 ? -step : step;
            assert_status(feature_effect_at(&f, &curve, error, turn, &moved[k]), RESEAT_OK);
        }
        const reseat_xy u = reseat_plane_unit(reseat_plane_bearing(at.plane_mm));
        /* u' J */
        const double x = ((moved[0].plane_mm.x - moved[1].plane_mm.x) * u.x +
                          (moved[0].plane_mm.y - moved[1].plane_mm.y) * u.y) / (2 * step);
        const double y = ((moved[2].plane_mm.x - moved[3].plane_mm.x) * u.x +
                          (moved[2].plane_mm.y - moved[3].plane_mm.y) * u.y) / (2 * step);
        const double u_mm = sqrt(x * x * c.xx + 2 * x * y * c.xy + y * y * c.yy);
        assert_near(row_at(&e, specs[i], RESEAT_REPORTED_CENTRE, turn).u_mm, u_mm, 1e-6 * u_mm);
    }
}

static void the_rest_of_the_lobes_scatters_as_far_as_it_is_turned(void **state)
{
    const reseat_radius_curve curve = {.mean_mm = 2, .residual_mm = 0.001, .order = 5,
                                       .directions = 12};
    reseat_estimate e = plain(0.004, 0.004);
    e.curve = &curve;
    e.terms = (reseat_terms){0};
    const double u_mm = sqrt(2.0) * 0.001 * sin(0.75 * acos(-1) / 180);
    assert_near(row_at(&e, "surface:7", RESEAT_REPORTED_POSITION, 0.5).u_mm, u_mm, 1e-17);
    assert_near(row_at(&e, "surface:7", RESEAT_REPORTED_POSITION, -0.5).u_mm, u_mm, 1e-17);
    assert_near(row_at(&e, "surface:7", RESEAT_REPORTED_POSITION, 0).u_mm, 0, 0);
}

static void a_size_points_nowhere_and_as_many_touches_as_allowed_are_taken(void **state)
{
    const reseat_estimate e = plain(0.004, 0.004);
    const reseat_feature_row row = row_at(&e, "slot:20:7", RESEAT_REPORTED_WIDTH, 90);
    assert_same_bits(row.toward_mm.x, 0.0);
    assert_same_bits(row.toward_mm.y, 0.0);
    reseat_feature f = feature_of("bore:20");
    reseat_feature_row most;
    f.touches = RESEAT_FEATURE_TOUCHES_MAX;
    assert_status(feature_at(&e, &f, RESEAT_REPORTED_CENTRE, 90, 0.1, &most), RESEAT_OK);
    f.touches++;
    assert_status(feature_at(&e, &f, RESEAT_REPORTED_CENTRE, 90, 0.1, &most),
                  RESEAT_ERR_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(scatter_reaches_what_the_error_moves),
        cmocka_unit_test(a_length_of_nothing_scatters_as_it_does_most),
        cmocka_unit_test(no_verdict_hangs_on_room_that_is_rounding),
        cmocka_unit_test(a_height_scatters_by_two_seatings_once_the_probe_was_out),
        cmocka_unit_test(scatter_of_a_small_bore_is_that_of_its_exact_centre),
        cmocka_unit_test(a_zone_that_is_a_diameter_is_allowed_whole),
        cmocka_unit_test(a_surface_has_the_chance_of_a_line),
        cmocka_unit_test(a_position_has_the_chance_of_the_disc),
        cmocka_unit_test(hidden_lobes_come_in_their_worst_signs),
        cmocka_unit_test(lobes_weigh_as_they_do_in_the_feature),
        cmocka_unit_test(scatter_of_touches_is_that_of_their_weights),
        cmocka_unit_test(few_directions_are_reported_but_not_trusted),
        cmocka_unit_test(enough_directions_take_the_place_of_hidden_lobes),
        cmocka_unit_test(the_worst_seat_has_the_least_chance),
        cmocka_unit_test(without_a_tolerance_the_largest_error_is_the_worst),
        cmocka_unit_test(keys_are_tried_one_by_one),
        cmocka_unit_test(ok_needs_the_confidence_and_no_other_reason),
        cmocka_unit_test(each_wrong_input_is_refused_untouched),
        cmocka_unit_test(scatter_of_a_centre_is_carried_by_its_slopes),
        cmocka_unit_test(the_rest_of_the_lobes_scatters_as_far_as_it_is_turned),
        cmocka_unit_test(a_size_points_nowhere_and_as_many_touches_as_allowed_are_taken),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
