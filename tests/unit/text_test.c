/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "check.h"
#include "reseat/values.h"
#include "base/text.h"

#include <stdio.h>
#include <stdlib.h>

typedef size_t writer(const char *, size_t, char *, size_t);

static writer *const writers[] = {reseat_text_terminal, reseat_text_csv, reseat_text_html,
                                  reseat_text_json};
enum { WRITERS = sizeof writers / sizeof writers[0] };

static void assert_written(writer *write, const char *text, const char *expected)
{
    char out[256];
    assert_int_equal(write(text, strlen(text), out, sizeof out), strlen(expected));
    assert_string_equal(out, expected);
}

static bool is_utf8(const char *text)
{
    return text_is_utf8(text, strlen(text));
}

/* Encodes without asking whether there is such a character. */
static size_t encode(uint32_t code, size_t count, char *out)
{
    static const unsigned lead[] = {0, 0, 0xC0, 0xE0, 0xF0};
    for (size_t i = count - 1; i > 0; i--, code >>= 6)
        out[i] = (char)(0x80 | (code & 0x3F));
    out[0] = (char)(lead[count] | code);
    return count;
}

static size_t shortest(uint32_t code)
{
    return code < 0x80 ? 1 : code < 0x800 ? 2 : code < 0x10000 ? 3 : 4;
}

static void every_character_is_well_formed_in_its_shortest_form_only(void **state)
{
    for (uint32_t code = 0; code < 0x1FFFFF; code++) {
        const bool there_is = code <= 0x10FFFF && (code < 0xD800 || code > 0xDFFF);
        for (size_t count = shortest(code); count <= 4; count++) {
            char bytes[4];
            encode(code, count, bytes);
            assert_int_equal(text_is_utf8(bytes, count),
                             there_is && count == shortest(code));
            for (size_t cut = 1; cut < count; cut++)
                assert_false(text_is_utf8(bytes, cut));
        }
    }
}

static void tells_utf8_from_other_bytes(void **state)
{
    assert_true(text_is_utf8(NULL, 0));
    assert_false(text_is_utf8(NULL, 1));
    assert_true(text_is_utf8("a\0b", 3));
    assert_true(is_utf8("Ventilblock \xC3\xA4 \xE2\x80\x93 \xF0\x9F\x94\xA7"));
    assert_false(is_utf8("\x80"));
    assert_false(is_utf8("\xC3("));
    assert_false(is_utf8("\xF8\x88\x80\x80\x80"));
    assert_false(is_utf8("\xFE"));
    assert_false(is_utf8("\xFF"));
    assert_false(is_utf8("ab\xE2\x82"));
}

static void a_terminal_gets_no_byte_that_steers_it(void **state)
{
    writer *const write = reseat_text_terminal;
    assert_written(write, "mill-2", "mill-2");
    assert_written(write, "", "");
    assert_written(write, "\x1B[31mred\x7F", "\\x1B[31mred\\x7F");
    assert_written(write, "a\tb\r\n", "a\\x09b\\x0D\\x0A");
    assert_written(write, "\xC2\x9B" "31m", "\\u{009B}31m");
    assert_written(write, "a\x9B\xFF", "a\\x9B\\xFF");
    assert_written(write, "\xE2\x80\xAE" "gpj", "\\u{202E}gpj");
    assert_written(write, "a\xE2\x80\x8B" "b\xEF\xBB\xBF", "a\\u{200B}b\\u{FEFF}");
    assert_written(write, "a\xE2\x80\xA8", "a\\u{2028}");
    assert_written(write, "\xC3\xA4 \xC2\xB5m \xE2\x88\x92", "\xC3\xA4 \xC2\xB5m \xE2\x88\x92");
    assert_written(write, "\xED\xA0\x80", "\\xED\\xA0\\x80"); /* a surrogate */
    assert_written(write, "\xE2\x82" "x", "\\xE2\\x82x");
    assert_written(write, "\"'&<>\\", "\"'&<>\\");
    char out[16];
    assert_int_equal(write("\0", 1, out, sizeof out), 4);
    assert_string_equal(out, "\\x00");
}

/* The list of the declaration, from another angle: code by code. */
static bool must_be_escaped(uint32_t code)
{
    switch (code) {
    case 0x7F: case 0x061C: case 0x200B: case 0x200C: case 0x200D: case 0x200E: case 0x200F:
    case 0x2028: case 0x2029: case 0x202A: case 0x202B: case 0x202C: case 0x202D: case 0x202E:
    case 0x2060: case 0x2066: case 0x2067: case 0x2068: case 0x2069: case 0xFEFF:
        return true;
    default:
        return code < 0x20 || (code >= 0x80 && code < 0xA0);
    }
}

static void exactly_the_characters_declared_are_escaped(void **state)
{
    for (uint32_t code = 0; code <= 0x10FFFF; code++) {
        if (code >= 0xD800 && code <= 0xDFFF)
            continue;
        char bytes[4], out[16], expected[16];
        const size_t count = encode(code, shortest(code), bytes);
        const size_t length = reseat_text_terminal(bytes, count, out, sizeof out);
        if (must_be_escaped(code)) {
            snprintf(expected, sizeof expected, code < 0x80 ? "\\x%02X" : "\\u{%04X}", code);
            assert_string_equal(out, expected);
        } else {
            assert_int_equal(length, count);
            assert_memory_equal(out, bytes, count);
        }
    }
}

static void a_spreadsheet_gets_no_formula_and_no_stray_quote(void **state)
{
    writer *const write = reseat_text_csv;
    assert_written(write, "", "");
    assert_written(write, "after battery change", "after battery change");
    assert_written(write, "a,b", "\"a,b\"");
    assert_written(write, "a;b", "\"a;b\"");
    assert_written(write, "5\" ring", "\"5\"\" ring\"");
    assert_written(write, "=1+2", "'=1+2");
    assert_written(write, "+1", "'+1");
    assert_written(write, "-1", "'-1");
    assert_written(write, "@sum", "'@sum");
    assert_written(write, "\t=1", "'\\x09=1");
    assert_written(write, "\r=1", "'\\x0D=1");
    assert_written(write, "\n=1", "\\x0A=1");
    assert_written(write, "=a,\"b\"", "\"'=a,\"\"b\"\"\"");
    assert_written(write, "a=b", "a=b");
    assert_written(write, "a\r\nb", "a\\x0D\\x0Ab");
    assert_written(write, "\xE2\x80\xAE", "\\u{202E}");
}

static void a_page_gets_no_markup(void **state)
{
    writer *const write = reseat_text_html;
    assert_written(write, "<script>", "&lt;script&gt;");
    assert_written(write, "a & \"b\" 'c'", "a &amp; &quot;b&quot; &#39;c&#39;");
    assert_written(write, "a\x01\xFF\xE2\x80\xAE", "a\\x01\\xFF\\u{202E}");
    assert_written(write, "\xC3\xA4", "\xC3\xA4");
}

static void a_json_string_keeps_the_text(void **state)
{
    writer *const write = reseat_text_json;
    assert_written(write, "say \"\\\"", "say \\\"\\\\\\\"");
    assert_written(write, "a\tb\r\n", "a\\tb\\r\\n");
    assert_written(write, "\x01\x1F\x7F", "\\u0001\\u001F\\u007F");
    assert_written(write, "\xC2\x9B\xE2\x80\xAE", "\\u009B\\u202E");
    assert_written(write, "\xC3\xA4\xF0\x9F\x94\xA7/<", "\xC3\xA4\xF0\x9F\x94\xA7/<");
    assert_written(write, "a\xFF" "b\xE2\x82", "a\xEF\xBF\xBD" "b\xEF\xBF\xBD\xEF\xBF\xBD");
}

/* At every size: the same length, NUL-terminated, the start of the whole, cut between pieces. */
static void a_short_buffer_cuts_at_a_character(void **state)
{
    static const char text[] = "=\xC3\xA4,\x1B\xE2\x80\xAE\xF0\x9F\x94\xA7\"<&\xFF.";
    for (size_t w = 0; w < WRITERS; w++) {
        char whole[256];
        const size_t length = writers[w](text, sizeof text - 1, whole, sizeof whole);
        assert_true(length < sizeof whole && strlen(whole) == length);
        assert_int_equal(writers[w](text, sizeof text - 1, NULL, 0), length);
        assert_int_equal(writers[w](text, sizeof text - 1, NULL, 99), length);
        for (size_t size = 1; size <= length + 1; size++) {
            char *out = malloc(size); /* just as large, so that a sanitizer sees one byte more */
            assert_non_null(out);
            assert_int_equal(writers[w](text, sizeof text - 1, out, size), length);
            const size_t kept = strlen(out);
            assert_true(kept < size && (kept == length) == (size == length + 1));
            assert_memory_equal(out, whole, kept);
            assert_true(text_is_utf8(out, kept));
            free(out);
        }
    }
    char out[8];
    assert_int_equal(reseat_text_terminal("ab\x1B" "c", 4, out, 6), 7);
    assert_string_equal(out, "ab"); /* neither half an escape nor what follows it */
    assert_int_equal(reseat_text_html("a<b", 3, out, 5), 6);
    assert_string_equal(out, "a");
}

static void no_text_is_an_empty_text(void **state)
{
    for (size_t w = 0; w < WRITERS; w++) {
        char out[8] = "kept";
        assert_int_equal(writers[w](NULL, 0, out, sizeof out), 0);
        assert_string_equal(out, "");
        assert_int_equal(writers[w](NULL, 5, out, sizeof out), 0);
        assert_int_equal(writers[w]("", 0, NULL, 0), 0);
        char one = 'x';
        writers[w]("abc", 3, &one, 1);
        assert_int_equal(one, 0);
        one = 'x';
        writers[w]("abc", 3, &one, 0);
        assert_int_equal(one, 'x');
    }
}

/* Random bytes: whatever comes in, what goes out is UTF-8 without a control character. */
static void random_bytes_come_out_harmless(void **state)
{
    uint32_t random = 1;
    for (int i = 0; i < 20000; i++) {
        char text[24], out[256];
        for (size_t j = 0; j < sizeof text; j++) {
            random = random * 1664525 + 1013904223; /* Numerical Recipes */
            text[j] = (char)(random >> 24);
        }
        for (size_t w = 0; w < WRITERS; w++) {
            const size_t length = writers[w](text, sizeof text, out, sizeof out);
            assert_true(length < sizeof out);
            assert_true(text_is_utf8(out, length));
            for (size_t j = 0; j < length; j++)
                assert_true((unsigned char)out[j] >= 0x20 && out[j] != 0x7F);
        }
    }
}

static size_t nearest(const char *word)
{
    static const char *const names[] = {"check", "effects", "allowed", "record", "reduce",
                                        "study", "find-seat", "correct", "suspect", "history",
                                        "drift", "overview", "report", "audit"};
    return reseat_text_nearest(word, names, sizeof names / sizeof names[0]);
}

static void names_what_was_probably_meant(void **state)
{
    enum { NONE = 14 };
    assert_int_equal(nearest("check"), 0);
    assert_int_equal(nearest("chekc"), 0);   /* a swap of neighbours is one step */
    assert_int_equal(nearest("chck"), 0);    /* left out */
    assert_int_equal(nearest("cheeck"), 0);  /* put in */
    assert_int_equal(nearest("chack"), 0);   /* replaced */
    assert_int_equal(nearest("findseat"), 6);
    assert_int_equal(nearest("efects"), 1);
    assert_int_equal(nearest("reprot"), 12);
    assert_int_equal(nearest("drfit"), 10);
    assert_int_equal(nearest("oevrveiw"), 11); /* two swaps in eight letters */
    assert_int_equal(nearest("chkce"), NONE);  /* two steps are too many for five letters */
    assert_int_equal(nearest("calibrate"), NONE);
    assert_int_equal(nearest(""), NONE);
    assert_int_equal(nearest("x"), NONE);
}

static void takes_the_nearest_and_of_equals_the_first(void **state)
{
    static const char *const names[] = {"--unit", "--u-run", "--u-turn", "--u-tarn"};
    assert_int_equal(reseat_text_nearest("--u-tern", names, 4), 2);
    assert_int_equal(reseat_text_nearest("--u-tarn", names, 4), 3);
    assert_int_equal(reseat_text_nearest("--uint", names, 4), 0);
    assert_int_equal(reseat_text_nearest("b", (const char *const[]){"abc", "a", "c"}, 3), 1);
}

/* Of a third and no more: the word's length decides, not the name's. */
static void allows_a_third_of_the_words_length(void **state)
{
    static const char *const names[] = {"abcdef"};
    assert_int_equal(reseat_text_nearest("abcxyf", names, 1), 0);
    assert_int_equal(reseat_text_nearest("abcxyz", names, 1), 1);
    assert_int_equal(reseat_text_nearest("abcd", names, 1), 1);
    assert_int_equal(reseat_text_nearest("abcdefgh", names, 1), 0);
}

/* ca to abc: a swap with a letter put in between would be two steps; as it is there are three. */
static void a_swap_is_not_touched_again(void **state)
{
    static const char *const names[] = {"abc4567"};
    assert_int_equal(reseat_text_nearest("ca4567", names, 1), 1);
    assert_int_equal(reseat_text_nearest("ac4567", names, 1), 0);
}

static void nearest_takes_words_up_to_64_bytes(void **state)
{
    char word[66], name[66];
    memset(word, 'a', sizeof word);
    memset(name, 'a', sizeof name);
    word[64] = name[64] = '\0';
    name[10] = 'b';
    const char *const names[] = {NULL, name};
    assert_int_equal(reseat_text_nearest(word, names, 2), 1);
    name[64] = 'a';
    name[65] = '\0';
    assert_int_equal(reseat_text_nearest(word, names, 2), 2);
    name[64] = '\0';
    word[64] = 'a';
    word[65] = '\0';
    assert_int_equal(reseat_text_nearest(word, names, 2), 2);
    assert_int_equal(reseat_text_nearest(NULL, names, 2), 2);
    assert_int_equal(reseat_text_nearest("a", NULL, 2), 2);
    assert_int_equal(reseat_text_nearest("a", names, 0), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_character_is_well_formed_in_its_shortest_form_only),
        cmocka_unit_test(tells_utf8_from_other_bytes),
        cmocka_unit_test(a_terminal_gets_no_byte_that_steers_it),
        cmocka_unit_test(exactly_the_characters_declared_are_escaped),
        cmocka_unit_test(a_spreadsheet_gets_no_formula_and_no_stray_quote),
        cmocka_unit_test(a_page_gets_no_markup),
        cmocka_unit_test(a_json_string_keeps_the_text),
        cmocka_unit_test(a_short_buffer_cuts_at_a_character),
        cmocka_unit_test(no_text_is_an_empty_text),
        cmocka_unit_test(random_bytes_come_out_harmless),
        cmocka_unit_test(names_what_was_probably_meant),
        cmocka_unit_test(takes_the_nearest_and_of_equals_the_first),
        cmocka_unit_test(allows_a_third_of_the_words_length),
        cmocka_unit_test(a_swap_is_not_touched_again),
        cmocka_unit_test(nearest_takes_words_up_to_64_bytes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
