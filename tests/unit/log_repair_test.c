/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Which bad lines a repair record seals off, and which are damage. */
#include "states.h"

#define WHEN "\"recorded_at\":\"2026-03-02T06:00:00Z\""
#define FIRST "{\"v\":1,\"seq\":0,\"type\":\"log\"," WHEN ",\"spindle\":\"mill-1\"," \
              "\"format\":\"reseat-log\""

static void add_text(const char *text, int times)
{
    FILE *file = fopen(logs_path("mill-1"), "ab");
    assert_non_null(file);
    for (int i = 0; i < times; i++)
        fputs(text, file);
    assert_int_equal(fclose(file), 0);
}

/* A record that seals off a text that stands there in the file. */
static void put_repair(int seq, size_t from, const char *text)
{
    char body[512], digits[SEAL_DIGITS + 1];
    struct sha256_ctx context;
    sha256_init(&context);
    sha256_update(&context, strlen(text), (const uint8_t *)text);
    seal_digits(&context, digits);
    snprintf(body, sizeof body, "{\"v\":1,\"seq\":%d,\"type\":\"repair\"," WHEN
             ",\"offset_bytes\":%zu,\"length_bytes\":%zu,\"sha256\":\"%s\"", seq, from,
             strlen(text), digits);
    put_raw("mill-1", body);
}

static reseat_audit audit(void)
{
    reseat_audit found;
    assert_status(reseat_log_audit(logs_dir, "mill-1", NULL, NULL, NULL, &found, NULL), RESEAT_OK);
    return found;
}

/* Not the end of the sound line above them, and not the beginning of the one below. */
static void a_repair_seals_off_bad_lines_alone(void **state)
{
    static const char *const texts[] = {"torn\n", "\ntorn\n", "torn\n{"};
    for (size_t i = 0; i < 3; i++) {
        size_t length = 0;
        logs_write("mill-1", "", 0);
        put_raw("mill-1", FIRST);
        free(logs_read("mill-1", &length));
        add_text("torn\n", 1);
        put_repair(1, i == 1 ? length - 1 : length, texts[i]);
        assert_int_equal(audit().sealed_off, i == 0 ? 1 : 0);
        assert_int_equal(audit().bad, i == 0 ? 0 : 1);
    }
}

/* Lines below the head are looked at for it, but not all of a long log. */
static void a_beginning_is_sealed_off_by_one_of_the_first_thousand_lines(void **state)
{
    for (int too_far = 0; too_far < 2; too_far++) {
        const int between = 1022 + too_far;
        logs_write("mill-1", "torn\n", 5);
        put_raw("mill-1", FIRST);
        add_text("x\n", between);
        put_repair(1, 0, "torn\n");
        assert_int_equal(audit().sealed_off, 1 - too_far);
        assert_int_equal(audit().bad, between + too_far);
    }
}

/* The third attempt sealed the rest of the second off, and failed before it did the first. */
static void a_beginning_that_failed_thrice_is_sealed_off(void **state)
{
    reseat_appended done;
    logs_write("mill-1", "torn\n", 5);
    put_raw("mill-1", FIRST);
    add_text("torn\n", 1);
    size_t length = 0;
    free(logs_read("mill-1", &length));
    put_repair(1, length - 5, "torn\n");
    assert_int_equal(audit().bad, 1);
    assert_status(logs_append("mill-1", logs_run("0.004"), NULL, &done, NULL), RESEAT_OK);
    assert_int_equal(done.repaired_bytes, 5);
    assert_int_equal(done.seq, 3);
    assert_true(audit().whole);
    assert_int_equal(audit().sealed_off, 2);
}

/* Then it was seen by whoever recorded that, and is damage. */
static void what_stands_above_the_head_is_not_sealed_off_below_another_record(void **state)
{
    reseat_appended done;
    logs_write("mill-1", "torn\n", 5);
    put_raw("mill-1", FIRST);
    put_raw("mill-1", "{\"v\":1,\"seq\":1,\"type\":\"event\"," WHEN ",\"at\":"
                      "\"2026-03-02T06:00:00Z\",\"kind\":\"other\"");
    assert_status(logs_append("mill-1", logs_run("0.004"), NULL, &done, NULL), RESEAT_OK);
    assert_int_equal(done.repaired_bytes, 0);
    assert_int_equal(done.seq, 2);
    assert_int_equal(audit().bad, 1);
}

/* No attempt writes as much, so it cannot be what one has left. */
static void a_line_longer_than_any_record_above_the_head_is_damage(void **state)
{
    reseat_appended done;
    logs_write("mill-1", "", 0);
    add_text("x", RESEAT_RECORD_LINE_MAX + 1);
    add_text("\n", 1);
    put_raw("mill-1", FIRST);
    assert_status(logs_append("mill-1", logs_run("0.004"), NULL, &done, NULL), RESEAT_OK);
    assert_int_equal(done.repaired_bytes, 0);
    assert_int_equal(audit().bad, 1);
}

static reseat_status look_at(reseat_appended *done)
{
    reseat_record *record = logs_record(RESEAT_RECORD_REPAIR);
    logs_set(record, RESEAT_FIELD_WHY, "a slip");
    return logs_append("mill-1", record, NULL, done, NULL);
}

static void change(unsigned line, size_t byte)
{
    size_t length = 0;
    char *bytes = logs_read("mill-1", &length);
    bytes[logs_line(bytes, line) + byte] ^= 1;
    logs_write("mill-1", bytes, length);
    free(bytes);
}

/* However far above, and only as long as the bytes are those that the person has seen. */
static void a_person_seals_off_what_is_damaged(void **state)
{
    reseat_appended done;
    for (int i = 0; i < 6; i++)
        logs_add("mill-1", logs_run("0.004"));
    assert_status(look_at(&done), RESEAT_ERR_REFUSED);
    logs_damage("mill-1", 3);
    logs_damage("mill-1", 4);
    logs_damage("mill-1", 6);
    add_text("torn", 1);
    assert_status(look_at(&done), RESEAT_OK);
    assert_int_equal(done.seq, 9);
    assert_int_equal(done.piece_count, 3);
    assert_int_equal(done.pieces[0].line, 3);
    assert_int_equal(done.pieces[0].lines, 2);
    assert_int_equal(done.pieces[2].line, 8);
    assert_string_equal(done.pieces[2].text, "torn");
    assert_int_equal(done.repaired_bytes, 0);
    assert_true(audit().whole);
    assert_int_equal(audit().sealed_off, 4);
    assert_status(look_at(&done), RESEAT_ERR_REFUSED);
    logs_damage("mill-1", 5); /* between two of them */
    assert_int_equal(audit().bad, 1);
    assert_status(look_at(&done), RESEAT_OK);
    assert_int_equal(done.pieces[0].lines, 4);
    assert_true(audit().whole);
    change(4, 9); /* no longer what was seen: by neither */
    assert_int_equal(audit().bad, 3);
    assert_int_equal(audit().sealed_off, 2);
}

static void a_person_seals_off_the_beginning_and_sealed_lines_that_are_no_records(void **state)
{
    reseat_appended done;
    logs_add("mill-1", logs_run("0.004"));
    put_raw("mill-1", "{\"seq\":2,\"v\":1,\"type\":\"void\"," WHEN ",\"voids\":1");
    assert_status(logs_append("mill-1", logs_run("0.005"), NULL, &done, NULL), RESEAT_ERR_DAMAGED);
    logs_damage("mill-1", 1);
    assert_int_equal(audit().bad, 2);
    assert_status(look_at(&done), RESEAT_OK);
    assert_int_equal(done.piece_count, 2);
    logs_add("mill-1", logs_run("0.005"));
    assert_true(audit().whole);
    assert_int_equal(audit().sealed_off, 2);
}

/* A line that claims to be such a record and is not sealed says nothing; nor does one above. */
static void only_a_sound_record_below_seals_off(void **state)
{
    reseat_appended done;
    logs_add("mill-1", logs_run("0.004"));
    logs_add("mill-1", logs_run("0.004"));
    logs_damage("mill-1", 2);
    assert_status(look_at(&done), RESEAT_OK);
    assert_true(audit().whole);
    change(4, 60);
    assert_int_equal(audit().bad, 2);
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        in_folder(a_repair_seals_off_bad_lines_alone),
        in_folder(a_beginning_is_sealed_off_by_one_of_the_first_thousand_lines),
        in_folder(a_beginning_that_failed_thrice_is_sealed_off),
        in_folder(what_stands_above_the_head_is_not_sealed_off_below_another_record),
        in_folder(a_line_longer_than_any_record_above_the_head_is_damage),
        in_folder(a_person_seals_off_what_is_damaged),
        in_folder(a_person_seals_off_the_beginning_and_sealed_lines_that_are_no_records),
        in_folder(only_a_sound_record_below_seals_off),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
