/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include <stdio.h>
#include <stdlib.h>
#include <cjson/cJSON.h>
#include "check.h"
#include "reseat/history.h"
#include "reseat/values.h"
#include "history/drift.h"

#define RUNS_MAX 128

/* A whole file, NUL at its end; NULL where what others published is absent. */
static char *read_file(const char *variable, const char *name)
{
    const char *folder = getenv(variable);
    char path[512];
    snprintf(path, sizeof path, "%s/drift/%s", folder != NULL ? folder : ".", name);
    FILE *file = fopen(path, "rb");
    if (file == NULL) {
        assert_string_equal(variable, "RESEAT_TEST_REFERENCE"); /* what is ours must be there */
        print_message("%s is not there: skipped\n", path);
        return NULL;
    }
    char *bytes = calloc(1, 1 << 20);
    assert_non_null(bytes);
    assert_true(fread(bytes, 1, (1 << 20) - 1, file) > 0);
    fclose(file);
    return bytes;
}

static double number_of(const cJSON *object, const char *key)
{
    const cJSON *item = cJSON_GetObjectItemCaseSensitive(object, key);
    assert_non_null(item);
    return item->valuedouble;
}

/* Numbers of 20 digits stand as texts in the expected values. */
static double text_number(const cJSON *item)
{
    double value = 0;
    assert_true(cJSON_IsString(item));
    assert_status(reseat_number_parse(item->valuestring, strlen(item->valuestring), &value, NULL),
                  RESEAT_OK);
    return value;
}

static double expected_at(const cJSON *object, const char *key)
{
    return text_number(cJSON_GetObjectItemCaseSensitive(object, key));
}

/* Runs of a log; those of these sets are in order and have a seat and an uncertainty. */
static size_t read_runs(const char *log, reseat_drift_run *runs)
{
    size_t count = 0;
    for (const char *line = log; *line != '\0'; line += strcspn(line, "\n") + 1) {
        cJSON *record = cJSON_Parse(line);
        assert_non_null(record);
        const cJSON *type = cJSON_GetObjectItemCaseSensitive(record, "type");
        if (strcmp(type->valuestring, "run") == 0) {
            assert_true(count < RUNS_MAX);
            reseat_drift_run *run = &runs[count++];
            const char *at = cJSON_GetObjectItemCaseSensitive(record, "at")->valuestring;
            *run = (reseat_drift_run){.seat_known = true, .offset_u_known = true};
            run->seq = (uint64_t)number_of(record, "seq");
            assert_status(reseat_time_parse(at, strlen(at), &run->at, NULL), RESEAT_OK);
            run->offset_mm.x = number_of(record, "offset_x_mm");
            run->offset_mm.y = number_of(record, "offset_y_mm");
            run->seat_deg = number_of(record, "seat_deg");
            run->offset_u_mm = number_of(record, "offset_u_mm");
        }
        cJSON_Delete(record);
    }
    return count;
}

static void assert_close(double actual, double expected, double relative)
{
    assert_near(actual, expected, relative * fabs(expected));
}

static void check_chart(const cJSON *expected, const reseat_drift_chart *chart)
{
    assert_close(chart->mean, expected_at(expected, "mean"), 1e-9);
    assert_close(chart->mr_mean, expected_at(expected, "mr_mean"), 1e-9);
    assert_close(chart->sigma, expected_at(expected, "sigma"), 1e-9);
    assert_close(chart->lower, expected_at(expected, "lower"), 1e-9);
    assert_close(chart->upper, expected_at(expected, "upper"), 1e-9);
    assert_close(chart->mr_upper, 3.2665 * expected_at(expected, "mr_mean"), 1e-9);
}

/* A slope of 0 is the mean of two that cancel, so it is held to 1e-9 of its interval. */
static void check_trend(const cJSON *expected, const reseat_trend *trend)
{
    const double high = expected_at(expected, "high");
    assert_near(trend->slope, expected_at(expected, "per_day"), 1e-9 * fabs(high));
    assert_close(trend->low, expected_at(expected, "low"), 1e-9);
    assert_close(trend->high, high, 1e-9);
    assert_close(trend->p, expected_at(expected, "p"), 1e-9);
    assert_int_equal(trend->s, (int64_t)number_of(expected, "S"));
}

static void check_series(const cJSON *expected, const reseat_drift_baseline *baseline)
{
    const cJSON *charts = cJSON_GetObjectItemCaseSensitive(expected, "charts");
    const cJSON *trends = cJSON_GetObjectItemCaseSensitive(expected, "trend");
    for (int s = RESEAT_SERIES_X; s <= RESEAT_SERIES_LENGTH; s++) {
        const char *name = reseat_series_name((reseat_series)s);
        check_chart(cJSON_GetObjectItemCaseSensitive(charts, name), &baseline->charts[s]);
        check_trend(cJSON_GetObjectItemCaseSensitive(trends, name), &baseline->trends[s]);
    }
}

static void check_compared(const cJSON *expected, const reseat_drift *drift)
{
    const reseat_drift_baseline *baseline = &drift->baselines[0];
    const cJSON *t2 = cJSON_GetObjectItemCaseSensitive(expected, "t2");
    const cJSON *limit = cJSON_GetObjectItemCaseSensitive(expected, "t2_limit");
    const cJSON *newest = cJSON_GetObjectItemCaseSensitive(expected, "newest");
    const cJSON *change = cJSON_GetObjectItemCaseSensitive(expected, "change");
    assert_int_equal(cJSON_GetArraySize(t2), drift->point_count);
    for (size_t i = 0; i < drift->point_count; i++)
        assert_close(drift->points[i].t2, text_number(cJSON_GetArrayItem(t2, (int)i)), 1e-7);
    assert_near(baseline->t2_limit, cJSON_IsNull(limit) ? 0 : text_number(limit), 1e-14);
    assert_true(baseline->newest_known);
    assert_close(baseline->newest.t2, expected_at(newest, "t2"), 1e-7);
    assert_close(baseline->newest.p, expected_at(newest, "p"), 1e-7);
    assert_true(baseline->change_known);
    assert_int_equal(baseline->change.before, (size_t)number_of(change, "index"));
    assert_close(baseline->change.t2, expected_at(change, "t2"), 1e-7);
    assert_close(baseline->change.p, expected_at(change, "p"), 1e-7);
}

/* Skips where the log is absent. */
static void check_log(const char *variable, const char *name)
{
    static reseat_drift_run runs[RUNS_MAX];
    char file[64];
    snprintf(file, sizeof file, "%s.jsonl", name);
    char *log = read_file(variable, file);
    char *expected_text = log != NULL ? read_file(variable, "expected.json") : NULL;
    if (expected_text == NULL) {
        free(log);
        skip();
    }
    cJSON *all = cJSON_Parse(expected_text);
    const cJSON *expected = cJSON_GetObjectItemCaseSensitive(all, name);
    const reseat_drift_input input = {.runs = runs, .run_count = read_runs(log, runs),
                                      .limit_mm = 0.005};
    const size_t size = drift_workspace(input.run_count, 0);
    void *workspace = malloc(size);
    reseat_drift drift;
    assert_status(drift_find(&input, workspace, size, &drift), RESEAT_OK);
    assert_int_equal(drift.point_count, (size_t)number_of(expected, "n"));
    assert_int_equal(drift.baseline_count, 1);
    check_series(expected, &drift.baselines[0]);
    check_compared(expected, &drift);
    const cJSON *rate = cJSON_GetObjectItemCaseSensitive(expected, "rate");
    assert_close(drift.baselines[0].growth.q_mm2_per_day, expected_at(rate, "q_mm2_per_day"), 1e-9);
    free(workspace);
    cJSON_Delete(all);
    free(expected_text);
    free(log);
}

static void a_log_of_9_runs_matches_the_reference(void **state)
{
    check_log("RESEAT_TEST_DATA", "case-1");
}

static void a_log_of_24_runs_matches_the_reference(void **state)
{
    check_log("RESEAT_TEST_DATA", "case-2");
}

static void a_log_of_60_runs_matches_the_reference(void **state)
{
    check_log("RESEAT_TEST_DATA", "case-3");
}

/* Holmes and Mergen (1993): the shift after 24 is known. */
static void the_gravel_pairs_match_the_reference(void **state)
{
    check_log("RESEAT_TEST_REFERENCE", "gravel");
}

static void the_speeds_of_light_match_the_reference(void **state)
{
    check_log("RESEAT_TEST_REFERENCE", "speed");
}

static void the_filter_readings_match_the_reference(void **state)
{
    check_log("RESEAT_TEST_REFERENCE", "filter");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_log_of_9_runs_matches_the_reference),
        cmocka_unit_test(a_log_of_24_runs_matches_the_reference),
        cmocka_unit_test(a_log_of_60_runs_matches_the_reference),
        cmocka_unit_test(the_gravel_pairs_match_the_reference),
        cmocka_unit_test(the_speeds_of_light_match_the_reference),
        cmocka_unit_test(the_filter_readings_match_the_reference),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
