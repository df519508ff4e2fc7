/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Every bit of a log of five records is flipped in turn, and of one in which a torn line has been
 * sealed off. The audit must see it, the lines that it does not touch must stay sound, and a record
 * appended afterwards must not cover it up.
 */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "log/file.h"
#include "scenarios.h"
#include "log/seal.h"

#define LINES_MAX 16

static char *whole;
static size_t whole_length;
static size_t line_count;
static bool sound[LINES_MAX]; /* before anything is flipped */
static long refused, sealed_off, appended;

static void make_log(bool repaired)
{
    disk_put(NULL, 0);
    for (int i = 1; i < 5; i++) {
        if (repaired && i == 3)
            disk_put_more(0, "{\"v\":1,\"seq\":3,\"ty");
        disk_append(record_run(0.001 * i));
    }
    whole_length = disk.length;
    free(whole);
    whole = malloc(whole_length + 1);
    demand(whole != NULL, "out of memory in the test itself");
    memcpy(whole, disk.bytes, whole_length);
    whole[whole_length] = '\0';
    char states[LINES_MAX];
    demand(read_states(states, sizeof states) == RESEAT_OK, "%s", act_error.text);
    line_count = strlen(states);
    for (size_t i = 0; i < line_count; i++)
        sound[i] = states[i] == 'S';
}

static reseat_audit audit_now(void)
{
    reseat_audit found;
    reseat_error error;
    demand(log_audit(&disk_calls, DISK_DIR, DISK_NAME, NULL, NULL, NULL, &found, &error) ==
               RESEAT_OK, "%s", error.text);
    return found;
}

/* Line of a byte, from 0, and whether it stands in what the line below is sealed over. */
static size_t line_of(size_t at, bool *in_seal)
{
    size_t line = 0;
    for (size_t i = 0; i < at; i++)
        line += whole[i] == '\n' ? 1 : 0;
    const size_t end = (size_t)(strchr(whole + at, '\n') - whole);
    *in_seal = at + SEAL_TAIL >= end; /* its mark, digits, end and LF */
    return line;
}

/* Whether the bytes of the line as it was read back as a sound line, at any place. */
static bool is_sound(size_t number)
{
    char states[64];
    const char *line = whole;
    for (size_t i = 0; i < number; i++)
        line = strchr(line, '\n') + 1;
    const size_t length = strcspn(line, "\n");
    demand(read_states(states, sizeof states) == RESEAT_OK, "%s", act_error.text);
    const char *at = disk.bytes, *end = disk.bytes + disk.length;
    for (size_t i = 0; states[i] != '\0'; i++) {
        const char *lf = memchr(at, '\n', (size_t)(end - at));
        const size_t here = (size_t)((lf != NULL ? lf : end) - at);
        if (here == length && memcmp(at, line, length) == 0)
            return states[i] == 'S';
        at += here + 1;
    }
    return false;
}

/* Whether line i is the one that is sealed over the seal of this one. */
static bool is_below(size_t line, size_t i, bool in_seal)
{
    size_t next = line + 1;
    while (next < line_count && !sound[next])
        next++;
    return in_seal && i == next;
}

static void check_others(size_t line, bool in_seal, const char *about)
{
    for (size_t i = 0; i < line_count; i++)
        if (i != line && sound[i] && !is_below(line, i, in_seal))
            demand(is_sound(i), "%s: line %zu is no longer sound", about, i + 1);
}

/*
 * Bad or sealed off: in either case it stands in the report. Only an end that no longer looks like
 * that of a record may be sealed off.
 */
static void check_append(size_t at, const char *about)
{
    reseat_appended done = {0};
    reseat_error error = {0};
    const size_t before = disk.length;
    reseat_record *record = record_run(0.009);
    const reseat_status status = log_append(&disk_calls, DISK_DIR, DISK_NAME, record, NULL, &done,
                                            &error);
    reseat_record_free(record);
    demand(status == RESEAT_OK || status == RESEAT_ERR_DAMAGED, "%s: %s", about, error.text);
    if (status != RESEAT_OK) {
        demand(disk.length == before, "%s: refused, and yet written", about);
        refused++;
        return;
    }
    const reseat_audit found = audit_now();
    demand(found.bad > 0 || found.sealed_off > 0, "%s: covered up", about);
    demand(done.repaired_bytes == 0 || found.sealed_off > 0, "%s: repaired without a trace", about);
    demand(done.repaired_bytes == 0 || at + 3 >= whole_length, "%s: taken for torn", about);
    appended++;
    sealed_off += done.repaired_bytes > 0 ? 1 : 0;
}

static void flip(size_t at, unsigned bit)
{
    char about[64];
    bool in_seal = false;
    const size_t line = line_of(at, &in_seal);
    snprintf(about, sizeof about, "byte %zu of line %zu, bit %u", at, line + 1, bit);
    whole[at] = (char)(whole[at] ^ (char)(1u << bit));
    disk_put(whole, whole_length);
    whole[at] = (char)(whole[at] ^ (char)(1u << bit));
    const reseat_audit found = audit_now();
    demand(!found.whole && found.bad > 0, "%s: not seen", about);
    demand(!is_sound(line) || whole[at] == '\n', "%s: the line is still sound", about);
    check_others(line, in_seal, about);
    check_append(at, about);
}

static void flip_all(const char *name)
{
    refused = sealed_off = appended = 0;
    demand(whole_length > 0, "%s: an empty log", name);
    for (size_t at = 0; at < whole_length; at++)
        for (unsigned bit = 0; bit < 8; bit++)
            flip(at, bit);
    printf("%s: %zu bits flipped, all seen; then %ld appends refused, %ld made, of which %ld "
           "sealed off the flipped end\n", name, 8 * whole_length, refused, appended, sealed_off);
}

int main(void)
{
    make_log(false);
    flip_all("five records");
    make_log(true);
    flip_all("with a torn line sealed off");
    free(whole);
    return 0;
}
