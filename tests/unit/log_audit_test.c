/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "logs.h"

#define FOUND_MAX 32

static reseat_log_bad found_bad[FOUND_MAX];
static size_t found_count;

static void take_bad(void *context, const reseat_log_bad *bad)
{
    assert_ptr_equal(context, &found_count);
    assert_true(found_count < FOUND_MAX);
    found_bad[found_count++] = *bad;
}

static reseat_audit audit_of(const char *name, const char *mark_text)
{
    reseat_log_mark mark;
    reseat_audit audit;
    reseat_error error;
    found_count = 0;
    if (mark_text != NULL)
        assert_status(reseat_log_mark_parse(mark_text, strlen(mark_text), &mark, NULL), RESEAT_OK);
    if (reseat_log_audit(logs_dir, name, mark_text != NULL ? &mark : NULL, take_bad, &found_count,
                         &audit, &error) != RESEAT_OK) {
        print_error("%s\n", error.text);
        fail();
    }
    assert_int_equal(audit.bad, found_count);
    return audit;
}

static void finds_reference_logs_whole(void **state)
{
    static const size_t counts[] = {11, 26, 62};
    static const char *const heads[] = {"97cdab92d608", "7975ef1f8151", "80b43ffacb93"};
    size_t length = 0;
    for (size_t i = 0; i < 3; i++) {
        char name[16];
        snprintf(name, sizeof name, "case-%zu", i + 1);
        free(logs_take(name, &length));
        const reseat_audit audit = audit_of(name, NULL);
        assert_true(audit.whole);
        assert_int_equal(audit.records, counts[i]);
        assert_int_equal(audit.head_seq, counts[i] - 1);
        assert_memory_equal(audit.head_seal, heads[i], 12);
        assert_int_equal(audit.backwards, 0);
        assert_int_equal(audit.expected, RESEAT_EXPECTED_NOT_ASKED);
    }
}

static void names_line_offset_and_what_is_wrong(void **state)
{
    size_t length = 0;
    char *bytes = logs_take("case-1", &length);
    bytes[logs_line(bytes, 5) + 20] ^= 1;
    logs_write("case-1", bytes, length);
    const reseat_audit audit = audit_of("case-1", NULL);
    assert_false(audit.whole);
    assert_int_equal(audit.records, 10);
    assert_int_equal(found_count, 1);
    assert_int_equal(found_bad[0].line, 5);
    assert_int_equal(found_bad[0].offset, logs_line(bytes, 5));
    assert_string_equal(found_bad[0].what, "its seal does not fit its bytes and the seal above");
    free(bytes);
}

static void a_missing_line_is_named_by_the_gap(void **state)
{
    size_t length = 0;
    char *bytes = logs_take("case-1", &length);
    logs_write_without("case-1", bytes, 4);
    const reseat_audit audit = audit_of("case-1", NULL);
    assert_int_equal(audit.bad, 1);
    assert_int_equal(found_bad[0].line, 4);
    assert_string_equal(found_bad[0].what,
                        "its seal does not fit its bytes and the seal above; its "
                        "seq is 4 where 3 was expected, so lines are missing");
    free(bytes);
}

static void a_cut_end_is_seen_only_by_what_was_written_down(void **state)
{
    size_t length = 0;
    char *bytes = logs_take("case-1", &length);
    assert_true(audit_of("case-1", "10:97cdab92d608").whole);
    assert_int_equal(audit_of("case-1", "9:7e04e4bb4381").expected, RESEAT_EXPECTED_FOUND);
    assert_int_equal(audit_of("case-1", "9:7e04e4bb4382").expected, RESEAT_EXPECTED_DIFFERENT);
    logs_write("case-1", bytes, logs_line(bytes, 11));
    assert_true(audit_of("case-1", NULL).whole);
    const reseat_audit audit = audit_of("case-1", "10:97cdab92d608");
    assert_false(audit.whole);
    assert_int_equal(audit.bad, 0);
    assert_int_equal(audit.expected, RESEAT_EXPECTED_MISSING);
    assert_int_equal(audit.head_seq, 9);
    free(bytes);
}

static void a_torn_end_is_bad_and_sealed_off_it_is_not(void **state)
{
    size_t length = 0;
    logs_add("mill-2", logs_run("0.004"));
    char *bytes = logs_read("mill-2", &length);
    logs_write("mill-2", bytes, length - 70);
    reseat_audit audit = audit_of("mill-2", NULL);
    assert_false(audit.whole);
    assert_int_equal(found_bad[0].line, 2);
    assert_string_equal(found_bad[0].what, "cut short");
    logs_add("mill-2", logs_run("0.005"));
    audit = audit_of("mill-2", NULL);
    assert_true(audit.whole);
    assert_int_equal(audit.sealed_off, 1);
    assert_int_equal(audit.records, 3);
    assert_int_equal(audit.head_seq, 2);
    free(bytes);
}

static void tells_the_log_of_another_spindle(void **state)
{
    size_t length = 0;
    char *bytes = logs_take("case-1", &length);
    logs_write("mill-2", bytes, length);
    const reseat_audit audit = audit_of("mill-2", NULL);
    assert_false(audit.whole);
    assert_int_equal(audit.records, 11);
    assert_string_equal(found_bad[0].what,
                        "this is the log of case-1, not of mill-2: give the file its name back, "
                "or move it out of the folder if it is a copy");
    free(bytes);
}

/* Appends a line that is sealed as it should be, whatever it says. */
static void add_sealed(const char *name, const char *content)
{
    char above[65] = "", digits[65];
    size_t length = 0;
    char *bytes = logs_read(name, &length);
    if (length > 0)
        memcpy(above, bytes + length - 3 - 64, 64);
    seal_make(length > 0 ? above : NULL, content, strlen(content), digits);
    free(bytes);
    FILE *file = fopen(logs_path(name), "ab");
    assert_non_null(file);
    fprintf(file, "%s,\"seal\":\"%s\"}\n", content, digits);
    assert_int_equal(fclose(file), 0);
}

static void numbers_out_of_order_are_bad_though_sealed(void **state)
{
    logs_add("mill-2", logs_run("0.004"));
    add_sealed("mill-2", "{\"v\":1,\"seq\":7,\"type\":\"void\",\"recorded_at\":"
                         "\"2026-03-02T06:00:00Z\",\"voids\":1,\"why\":\"w\"");
    const reseat_audit audit = audit_of("mill-2", NULL);
    assert_int_equal(audit.bad, 1);
    assert_int_equal(found_bad[0].line, 3);
    assert_string_equal(found_bad[0].what, "its seq is 7 where 2 was expected");
}

#define VOID_OF_SEQ(seq) "{\"v\":1,\"seq\":" seq ",\"type\":\"void\",\"recorded_at\":" \
                         "\"2026-03-02T06:00:00Z\",\"voids\":1,\"why\":\"w\""

static void numbers_begin_at_0(void **state)
{
    logs_write("mill-2", "", 0);
    add_sealed("mill-2", VOID_OF_SEQ("5"));
    assert_int_equal(audit_of("mill-2", NULL).bad, 1);
    assert_string_equal(found_bad[0].what, "its seq is 5 where 0 was expected");
}

/* How many records the lines were that are lost there, nobody knows. */
static void behind_lost_lines_numbers_go_up_by_any_step(void **state)
{
    size_t length = 0;
    logs_add("mill-2", logs_run("0.004"));
    logs_add("mill-2", logs_run("0.004"));
    add_sealed("mill-2", VOID_OF_SEQ("4"));
    add_sealed("mill-2", VOID_OF_SEQ("1"));
    char *bytes = logs_read("mill-2", &length);
    bytes[logs_line(bytes, 3) + 30] ^= 1; /* 4 may follow 1 */
    logs_write("mill-2", bytes, length);
    assert_int_equal(audit_of("mill-2", NULL).bad, 2);
    assert_int_equal(found_bad[0].line, 3);
    assert_string_equal(found_bad[1].what, "its seq is 1 where 5 was expected");
    bytes[logs_line(bytes, 4) + 30] ^= 1; /* 1 may not */
    logs_write("mill-2", bytes, length);
    assert_int_equal(audit_of("mill-2", NULL).bad, 3);
    assert_int_equal(found_bad[1].line, 4);
    assert_string_equal(found_bad[2].what, "its seq is 1 where 2 was expected");
    bytes[logs_line(bytes, 3) + 30] ^= 1;
    bytes[logs_line(bytes, 1) + 30] ^= 1;
    bytes[logs_line(bytes, 2) + 30] ^= 1;
    logs_write("mill-2", bytes, logs_line(bytes, 4));
    assert_int_equal(audit_of("mill-2", NULL).bad, 2); /* one of which may have been the head */
    free(bytes);
}

static void a_sealed_line_that_is_no_record_is_bad(void **state)
{
    logs_add("mill-2", logs_run("0.004"));
    add_sealed("mill-2", "{\"seq\":2,\"v\":1,\"type\":\"void\",\"recorded_at\":"
                         "\"2026-03-02T06:00:00Z\",\"voids\":1");
    const reseat_audit audit = audit_of("mill-2", NULL);
    assert_int_equal(audit.bad, 1);
    assert_string_equal(found_bad[0].what, "sealed, but no record: why: missing");
    add_sealed("mill-2", "{\"v\":1,\"seq\":3,\"type\":\"void\",\"recorded_at\":"
                         "\"2026-03-02T06:00:00Z\",\"voids\":0,\"why\":\"w\"");
    assert_int_equal(audit_of("mill-2", NULL).bad, 2);
    assert_non_null(strstr(found_bad[1].what, "sealed, but no record: voids: "));
}

static void a_log_begins_with_a_log_record(void **state)
{
    logs_write("mill-2", "", 0);
    assert_int_equal(audit_of("mill-2", NULL).bad, 1);
    assert_string_equal(found_bad[0].what, "the file is empty, so it is no log");
    assert_int_equal(audit_of("mill-2", NULL).head_seq, -1);
    add_sealed("mill-2", "{\"v\":1,\"seq\":0,\"type\":\"void\",\"recorded_at\":"
                         "\"2026-03-02T06:00:00Z\",\"voids\":1,\"why\":\"w\"");
    assert_int_equal(audit_of("mill-2", NULL).bad, 1);
    assert_string_equal(found_bad[0].what, "the log does not begin with a `log` record");
}

static void time_running_backwards_is_reported_but_no_damage(void **state)
{
    logs_add("mill-2", logs_run("0.004"));
    logs_now -= 3600;
    reseat_record *record = logs_run("0.005");
    logs_set(record, RESEAT_FIELD_AT, "2026-03-02T04:00:00Z");
    logs_add("mill-2", record);
    reseat_audit audit = audit_of("mill-2", NULL);
    assert_true(audit.whole);
    assert_int_equal(audit.backwards, 3);
    logs_now -= 3600;
    record = logs_run("0.006");
    logs_set(record, RESEAT_FIELD_AT, "2026-03-02T04:00:00Z");
    logs_add("mill-2", record);
    audit = audit_of("mill-2", NULL);
    assert_int_equal(audit.records, 4);
    assert_int_equal(audit.backwards, 3); /* the first line of them */
}

static void later_versions_and_types_not_known_are_sound(void **state)
{
    logs_add("mill-2", logs_run("0.004"));
    add_sealed("mill-2", "{\"v\":2,\"seq\":2,\"type\":\"run\",\"recorded_at\":"
                         "\"2026-03-02T06:00:00Z\",\"offset_x_mm\":\"new\"");
    add_sealed("mill-2", "{\"v\":1,\"seq\":3,\"type\":\"spin\",\"recorded_at\":"
                         "\"2026-03-02T06:00:00Z\"");
    const reseat_audit audit = audit_of("mill-2", NULL);
    assert_true(audit.whole);
    assert_int_equal(audit.records, 4);
}

static void reads_what_was_written_down_of_the_newest_record(void **state)
{
    static const char *const bad[] = {"", "41", "41:", ":3f9a5c0b12de", "41:3f9a5c0", "x:3f9a5c0b",
                                      "41:3F9A5C0B", "41:3f9a5c0b12dez", "4 1:3f9a5c0b",
                                      "1234567890123456:3f9a5c0b"};
    reseat_log_mark mark = {77, "x"};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        assert_status(reseat_log_mark_parse(bad[i], strlen(bad[i]), &mark, NULL),
                      RESEAT_ERR_SYNTAX);
    assert_status(reseat_log_mark_parse(NULL, 0, &mark, NULL), RESEAT_ERR_ARGUMENT);
    assert_status(reseat_log_mark_parse("41:3f9a5c0b", 11, NULL, NULL), RESEAT_ERR_ARGUMENT);
    assert_int_equal(mark.seq, 77);
    assert_status(reseat_log_mark_parse("41:3f9a5c0b12", 13, &mark, NULL), RESEAT_OK);
    assert_int_equal(mark.seq, 41);
    assert_string_equal(mark.seal, "3f9a5c0b12");
}

static void leaves_output_alone_on_failure(void **state)
{
    reseat_audit audit, same;
    memset(&audit, 0x55, sizeof audit);
    same = audit;
    assert_status(reseat_log_audit(logs_dir, "mill-9", NULL, NULL, NULL, &audit, NULL),
                  RESEAT_ERR_NOT_FOUND);
    assert_status(reseat_log_audit(logs_dir, "Mill", NULL, NULL, NULL, &audit, NULL),
                  RESEAT_ERR_SYNTAX);
    assert_status(reseat_log_audit(NULL, "mill-9", NULL, NULL, NULL, &audit, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_status(reseat_log_audit(logs_dir, "mill-9", NULL, NULL, NULL, NULL, NULL),
                  RESEAT_ERR_ARGUMENT);
    assert_memory_equal(&audit, &same, sizeof audit);
}

#define in_folder(test) cmocka_unit_test_setup_teardown(test, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        in_folder(finds_reference_logs_whole),
        in_folder(names_line_offset_and_what_is_wrong),
        in_folder(a_missing_line_is_named_by_the_gap),
        in_folder(a_cut_end_is_seen_only_by_what_was_written_down),
        in_folder(a_torn_end_is_bad_and_sealed_off_it_is_not),
        in_folder(tells_the_log_of_another_spindle),
        in_folder(numbers_out_of_order_are_bad_though_sealed),
        in_folder(numbers_begin_at_0),
        in_folder(behind_lost_lines_numbers_go_up_by_any_step),
        in_folder(a_sealed_line_that_is_no_record_is_bad),
        in_folder(a_log_begins_with_a_log_record),
        in_folder(time_running_backwards_is_reported_but_no_damage),
        in_folder(later_versions_and_types_not_known_are_sound),
        in_folder(reads_what_was_written_down_of_the_newest_record),
        in_folder(leaves_output_alone_on_failure),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
