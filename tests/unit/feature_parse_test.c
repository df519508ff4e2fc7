/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "check.h"
#include "reseat/probe.h"

static reseat_feature parsed(const char *text)
{
    reseat_feature feature;
    reseat_error error = {0};
    const reseat_status status =
        reseat_feature_parse(text, strlen(text), RESEAT_MM, &feature, &error);
    if (status != RESEAT_OK)
        print_error("%s: %s\n", text, error.text);
    assert_status(status, RESEAT_OK);
    return feature;
}

/* That the text is refused so, at that byte, and leaves the feature alone. */
static void refused(const char *text, reseat_status status, size_t column, const char *says)
{
    reseat_feature feature, before;
    reseat_error error = {0};
    memset(&feature, 0x55, sizeof feature);
    before = feature;
    assert_status(reseat_feature_parse(text, strlen(text), RESEAT_MM, &feature, &error), status);
    assert_string_equal(error.text, says);
    assert_int_equal(error.column, column);
    assert_memory_equal(&feature, &before, sizeof feature);
    assert_status(reseat_feature_parse(text, strlen(text), RESEAT_MM, &feature, NULL), status);
}

static void reads_every_feature(void **state)
{
    reseat_feature f = parsed("surface:-90");
    assert_int_equal(f.kind, RESEAT_FEATURE_SURFACE);
    assert_near(f.dir_deg, -90, 0);
    f = parsed("slot:20um:90");
    assert_int_equal(f.kind, RESEAT_FEATURE_SLOT);
    assert_near(f.size_mm, 0.02, 0);
    assert_near(f.dir_deg, 90, 0);
    f = parsed("ridge:0.5in:12.5");
    assert_int_equal(f.kind, RESEAT_FEATURE_RIDGE);
    assert_near(f.size_mm, 12.7, 0);
    f = parsed("bore:20");
    assert_int_equal(f.kind, RESEAT_FEATURE_BORE);
    assert_int_equal(f.touches, 4);
    assert_near(f.dir_deg, 0, 0);
    f = parsed("boss:20mm:3");
    assert_int_equal(f.kind, RESEAT_FEATURE_BOSS);
    assert_int_equal(f.touches, 3);
    f = parsed("bore:20mm:360:45");
    assert_int_equal(f.touches, 360);
    assert_near(f.dir_deg, 45, 0);
    f = parsed("corner:0:90");
    assert_int_equal(f.kind, RESEAT_FEATURE_CORNER);
    assert_near(f.other_deg, 90, 0);
    assert_int_equal(parsed("pair").kind, RESEAT_FEATURE_PAIR);
    assert_int_equal(parsed("height").kind, RESEAT_FEATURE_HEIGHT);
}

static void takes_bare_lengths_in_the_unit(void **state)
{
    reseat_feature f;
    assert_status(reseat_feature_parse("bore:2=3", 8, RESEAT_INCH, &f, NULL), RESEAT_OK);
    assert_near(f.size_mm, 50.8, 0);
    assert_near(f.tolerance_mm, 76.2, 0);
    assert_status(reseat_feature_parse("bore:2", 6, (reseat_unit)9, &f, NULL),
                  RESEAT_ERR_ARGUMENT);
}

static void reads_a_tolerance_for_the_first_quantity_or_the_one_named(void **state)
{
    reseat_feature f = parsed("bore:20mm");
    assert_false(f.judged);
    assert_int_equal(f.quantity, RESEAT_REPORTED_POSITION);
    assert_near(f.tolerance_mm, 0, 0);
    assert_int_equal(f.spec_length, 9);
    f = parsed("bore:20mm=0.05mm");
    assert_true(f.judged);
    assert_int_equal(f.quantity, RESEAT_REPORTED_POSITION);
    assert_near(f.tolerance_mm, 0.05, 0);
    assert_int_equal(f.spec_length, 9);
    f = parsed("bore:20mm=diameter:20um");
    assert_int_equal(f.quantity, RESEAT_REPORTED_DIAMETER);
    assert_near(f.tolerance_mm, 0.02, 0);
    assert_int_equal(parsed("slot:5:0=0.1").quantity, RESEAT_REPORTED_CENTRE);
    assert_int_equal(parsed("corner:0:90=0.1").quantity, RESEAT_REPORTED_CORNER);
    assert_int_equal(parsed("pair=0.1").quantity, RESEAT_REPORTED_DISTANCE);
    assert_int_equal(parsed("height=0.1").quantity, RESEAT_REPORTED_HEIGHT);
    assert_int_equal(parsed("surface:0=position:1").quantity, RESEAT_REPORTED_POSITION);
}

static void says_what_was_expected(void **state)
{
    refused("hole:20", RESEAT_ERR_SYNTAX, 1,
            "expected surface, slot, ridge, bore, boss, corner, pair or height, read \"hole\"");
    refused("", RESEAT_ERR_SYNTAX, 1,
            "expected surface, slot, ridge, bore, boss, corner, pair or height, read nothing");
    refused("bore", RESEAT_ERR_SYNTAX, 1,
            "expected bore:DIAMETER[:TOUCHES[:START]], read \"bore\"");
    refused("bore:20:4:0:9", RESEAT_ERR_SYNTAX, 1,
            "expected bore:DIAMETER[:TOUCHES[:START]], read \"bore:20:4:0:9\"");
    refused("surface:0:90", RESEAT_ERR_SYNTAX, 1,
            "expected surface:DIR, read \"surface:0:90\"");
    refused("slot:20", RESEAT_ERR_SYNTAX, 1, "expected slot:WIDTH:DIR, read \"slot:20\"");
    refused("slot:20:0:0", RESEAT_ERR_SYNTAX, 1, "expected slot:WIDTH:DIR, read \"slot:20:0:0\"");
    refused("ridge:2:0:0", RESEAT_ERR_SYNTAX, 1,
            "expected ridge:WIDTH:DIR, read \"ridge:2:0:0\"");
    refused("boss:20:4:0:9", RESEAT_ERR_SYNTAX, 1,
            "expected boss:DIAMETER[:TOUCHES[:START]], read \"boss:20:4:0:9\"");
    refused("pair:2", RESEAT_ERR_SYNTAX, 1, "expected pair, read \"pair:2\"");
    refused("height:2", RESEAT_ERR_SYNTAX, 1, "expected height, read \"height:2\"");
    refused("corner:0:90:0", RESEAT_ERR_SYNTAX, 1,
            "expected corner:DIR1:DIR2, read \"corner:0:90:0\"");
    refused("corner:0", RESEAT_ERR_SYNTAX, 1, "expected corner:DIR1:DIR2, read \"corner:0\"");
    refused("bore:wide", RESEAT_ERR_SYNTAX, 6, "expected a number, read \"wide\"");
    refused("surface:", RESEAT_ERR_SYNTAX, 9, "expected a number, read nothing");
    refused("slot:20mm:1e999", RESEAT_ERR_NOT_FINITE, 11,
            "expected a finite number, read \"1e999\"");
}

static void refuses_what_cannot_be(void **state)
{
    refused("bore:0", RESEAT_ERR_RANGE, 6, "expected a length above 0, read \"0\"");
    refused("bore:-3mm", RESEAT_ERR_RANGE, 6, "expected a length above 0, read \"-3mm\"");
    refused("slot:0mm:0", RESEAT_ERR_RANGE, 6, "expected a length above 0, read \"0mm\"");
    refused("bore:20:0", RESEAT_ERR_RANGE, 9, "expected from 3 to 360 touches, read \"0\"");
    refused("bore:20:2", RESEAT_ERR_RANGE, 9, "expected from 3 to 360 touches, read \"2\"");
    refused("boss:20:361", RESEAT_ERR_RANGE, 9, "expected from 3 to 360 touches, read \"361\"");
    refused("boss:20:3.5", RESEAT_ERR_SYNTAX, 9, "expected from 3 to 360 touches, read \"3.5\"");
    refused("boss:20:-4", RESEAT_ERR_SYNTAX, 9, "expected from 3 to 360 touches, read \"-4\"");
    refused("corner:0:180", RESEAT_ERR_RANGE, 10,
            "expected a direction more than 1 degree from parallel to the first, read \"180\"");
    refused("corner:0:179.5", RESEAT_ERR_RANGE, 10,
            "expected a direction more than 1 degree from parallel to the first, read \"179.5\"");
    refused("corner:30:390.5", RESEAT_ERR_RANGE, 11,
            "expected a direction more than 1 degree from parallel to the first, read \"390.5\"");
    assert_near(parsed("corner:30:31.5").other_deg, 31.5, 0);
}

static void refuses_a_bad_tolerance(void **state)
{
    refused("bore:20=width:0.1", RESEAT_ERR_SYNTAX, 9,
            "expected position, centre_x, centre_y, centre or diameter, read \"width\"");
    refused("slot:20:0=position:0.1", RESEAT_ERR_SYNTAX, 11,
            "expected centre or width, read \"position\"");
    refused("pair=:0.1", RESEAT_ERR_SYNTAX, 6, "expected distance, read nothing");
    refused("pair=", RESEAT_ERR_SYNTAX, 6, "expected a number, read nothing");
    refused("pair=0", RESEAT_ERR_RANGE, 6, "expected a length above 0, read \"0\"");
    refused("pair=distance:-1mm", RESEAT_ERR_RANGE, 15,
            "expected a length above 0, read \"-1mm\"");
    refused("pair=distance:1:2", RESEAT_ERR_SYNTAX, 16,
            "unknown unit \":2\": use mm, um, in or thou");
    refused("pair=1=2", RESEAT_ERR_SYNTAX, 7, "unknown unit \"=2\": use mm, um, in or thou");
}

static void refuses_null(void **state)
{
    reseat_feature feature;
    assert_status(reseat_feature_parse(NULL, 0, RESEAT_MM, &feature, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_feature_parse("pair", 4, RESEAT_MM, NULL, NULL), RESEAT_ERR_ARGUMENT);
}

static void the_standard_set_can_be_typed(void **state)
{
    static const reseat_feature_kind kinds[RESEAT_FEATURE_STANDARD_COUNT] = {
        RESEAT_FEATURE_SURFACE, RESEAT_FEATURE_SURFACE, RESEAT_FEATURE_SURFACE,
        RESEAT_FEATURE_SURFACE, RESEAT_FEATURE_BORE,    RESEAT_FEATURE_SLOT,
        RESEAT_FEATURE_CORNER,  RESEAT_FEATURE_PAIR,    RESEAT_FEATURE_HEIGHT};
    for (size_t i = 0; i < RESEAT_FEATURE_STANDARD_COUNT; i++)
        assert_int_equal(parsed(reseat_feature_standard(i)).kind, kinds[i]);
    assert_null(reseat_feature_standard(RESEAT_FEATURE_STANDARD_COUNT));
    for (size_t i = 0; i < 4; i++)
        assert_near(parsed(reseat_feature_standard(i)).dir_deg, 90 * (double)i, 0);
}

static void every_feature_has_quantities_and_every_quantity_a_name(void **state)
{
    bool used[RESEAT_REPORTED_COUNT] = {false};
    const reseat_reported *list;
    size_t count = 0;
    int kind = RESEAT_FEATURE_SURFACE;
    for (; (list = reseat_feature_quantities((reseat_feature_kind)kind, &count)) != NULL; kind++) {
        assert_true(count >= 1 && count <= 5);
        for (size_t i = 0; i < count; i++) {
            assert_true(list[i] < RESEAT_REPORTED_COUNT);
            used[list[i]] = true;
        }
        assert_ptr_equal(reseat_feature_quantities((reseat_feature_kind)kind, NULL), list);
    }
    assert_true(kind > RESEAT_FEATURE_HEIGHT);
    for (int q = 0; q < RESEAT_REPORTED_COUNT; q++) {
        assert_true(used[q]);
        assert_true(strlen(reseat_reported_name((reseat_reported)q)) > 0);
        for (int other = 0; other < q; other++)
            assert_string_not_equal(reseat_reported_name((reseat_reported)q),
                                    reseat_reported_name((reseat_reported)other));
    }
    size_t none = 7;
    assert_null(reseat_feature_quantities((reseat_feature_kind)99, &none));
    assert_int_equal(none, 0);
    assert_string_equal(reseat_reported_name((reseat_reported)99), "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_every_feature),
        cmocka_unit_test(takes_bare_lengths_in_the_unit),
        cmocka_unit_test(reads_a_tolerance_for_the_first_quantity_or_the_one_named),
        cmocka_unit_test(says_what_was_expected),
        cmocka_unit_test(refuses_what_cannot_be),
        cmocka_unit_test(refuses_a_bad_tolerance),
        cmocka_unit_test(refuses_null),
        cmocka_unit_test(the_standard_set_can_be_typed),
        cmocka_unit_test(every_feature_has_quantities_and_every_quantity_a_name),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
