/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Random logs, short and long, with late entries and voids: the state must be what going
 * through all facts one by one gives, however early reading back stops.
 */

#include "random.h"
#include "states.h"

#define FACTS_MAX 1000
#define SECONDS_A_DAY 86400
#define SECOND "P\u00e92" /* a probe whose name is not all ASCII */
#define AGES 400 /* days a long log spans */

typedef struct fact {
    reseat_record_type type; /* RESEAT_RECORD_OTHER: of a type not known */
    int64_t at;
    const char *probe; /* NULL: of the spindle */
    const char *tip;
    const char *kind;
    int64_t voids;
    bool is_void;
} fact;

typedef struct book {
    fact facts[FACTS_MAX];
    size_t count;
} book;

typedef struct source {
    uint64_t random;
    bool one_probe;
    bool jumps; /* the clock stands ahead now and then */
} source;

static size_t states; /* that were held against the model, and against reading all */

static size_t below(source *s, size_t count)
{
    return (size_t)(random_bits(&s->random) % count);
}

static reseat_record_type random_type(source *s)
{
    static const reseat_record_type types[] = {
        RESEAT_RECORD_RESEAT, RESEAT_RECORD_VERIFY, RESEAT_RECORD_EVENT, RESEAT_RECORD_POLICY,
        RESEAT_RECORD_VOID,   RESEAT_RECORD_OTHER};
    return below(s, 10) < 6 ? RESEAT_RECORD_RUN : types[below(s, 6)];
}

/* Mostly of now, else entered up to 60 days late, or up to 5 minutes early. */
static int64_t random_time(source *s, int64_t now)
{
    const size_t kind = below(s, 10);
    if (kind == 0)
        return now - (int64_t)below(s, 60) * SECONDS_A_DAY;
    return kind == 1 ? now + (int64_t)below(s, RESEAT_LOG_AHEAD_SECONDS + 1) : now;
}

/* An earlier record that may be void, 0 if the one picked may not. */
static int64_t random_void(source *s, book *b)
{
    const size_t seq = below(s, b->count);
    fact *f = &b->facts[seq];
    const bool may = f->type >= RESEAT_RECORD_RUN && f->type <= RESEAT_RECORD_POLICY;
    if (!may || f->is_void)
        return 0;
    f->is_void = true;
    return (int64_t)seq;
}

static void add_fact(source *s, book *b, int64_t now)
{
    static const char *const kinds[] = {"collision", "stylus-change", "service", "other"};
    fact *f = &b->facts[b->count];
    *f = (fact){.type = random_type(s), .at = random_time(s, now), .tip = "main"};
    f->probe = s->one_probe || below(s, 4) > 0 ? "P1" : SECOND;
    if (f->type == RESEAT_RECORD_VOID && (f->voids = random_void(s, b)) == 0)
        f->type = RESEAT_RECORD_RESEAT;
    if ((f->type == RESEAT_RECORD_RUN || f->type == RESEAT_RECORD_VERIFY) && below(s, 5) == 0)
        f->tip = "left";
    if (f->type == RESEAT_RECORD_EVENT) {
        f->kind = kinds[below(s, 4)];
        f->probe = below(s, 2) ? f->probe : NULL;
    }
    b->count++;
}

static void set_time(char *text, int64_t at)
{
    assert_status(reseat_time_format(at, text), RESEAT_OK);
}

static const char *own_fields(reseat_record_type type)
{
    switch (type) {
    case RESEAT_RECORD_RUN:
        return ",\"seat_deg\":0,\"offset_x_mm\":0.004,\"offset_y_mm\":0.001";
    case RESEAT_RECORD_RESEAT: return ",\"seat_deg\":null";
    case RESEAT_RECORD_VERIFY:
        return ",\"shift_x_mm\":0.0,\"shift_y_mm\":0.0,\"shift_u_mm\":0.001";
    default: return "";
    }
}

/* The fields of a fact as JSON; what all records have is left to the caller. */
static void write_fields(const fact *f, char *out, size_t size)
{
    char at[RESEAT_TIME_SIZE];
    int used = 0;
    set_time(at, f->at);
    if (f->type == RESEAT_RECORD_VOID) {
        snprintf(out, size, ",\"voids\":%d,\"why\":\"slip\"", (int)f->voids);
        return;
    }
    if (f->type == RESEAT_RECORD_POLICY) {
        snprintf(out, size, ",\"limit_mm\":0.005");
        return;
    }
    if (f->probe)
        used = snprintf(out, size, ",\"probe\":\"%s\"", f->probe);
    used += snprintf(out + used, size - (size_t)used, ",\"at\":\"%s\"", at);
    if (strcmp(f->tip, "main") != 0)
        used += snprintf(out + used, size - (size_t)used, ",\"tip\":\"%s\"", f->tip);
    snprintf(out + used, size - (size_t)used, "%s%s%s%s", own_fields(f->type),
             f->kind ? ",\"kind\":\"" : "", f->kind ? f->kind : "", f->kind ? "\"" : "");
}

static void write_line(FILE *file, const fact *f, size_t seq, int64_t now, char *above)
{
    char fields[512], line[1024], time[RESEAT_TIME_SIZE], digits[SEAL_DIGITS + 1];
    const char *type = f->type == RESEAT_RECORD_OTHER ? "wear" : reseat_record_type_name(f->type);
    set_time(time, now);
    if (seq == 0)
        snprintf(fields, sizeof fields, ",\"spindle\":\"mill-1\",\"format\":\"reseat-log\"");
    else
        write_fields(f, fields, sizeof fields);
    snprintf(line, sizeof line, "{\"v\":1,\"seq\":%zu,\"type\":\"%s\",\"recorded_at\":\"%s\"%s",
             seq, type, time, fields);
    seal_make(seq == 0 ? NULL : above, line, strlen(line), digits);
    fprintf(file, "%s" SEAL_MARK "%s" SEAL_END "\n", line, digits);
    memcpy(above, digits, sizeof digits);
}

/* A log of `count` records, the last about day AGES. */
static void write_book(source *s, book *b, size_t count)
{
    char above[SEAL_DIGITS + 1];
    FILE *file = fopen(logs_path("mill-1"), "wb");
    assert_non_null(file);
    b->count = 1;
    b->facts[0] = (fact){.type = RESEAT_RECORD_LOG};
    for (size_t seq = 0; seq < count; seq++) {
        int64_t now = day((double)(seq * AGES) / (double)count);
        if (s->jumps && below(s, 25) == 0)
            now += (int64_t)below(s, AGES) * SECONDS_A_DAY;
        if (seq > 0)
            add_fact(s, b, now);
        write_line(file, &b->facts[seq], seq, now, above);
    }
    assert_int_equal(fclose(file), 0);
}

/* Whether fact i is later than fact k. */
static bool is_later(const book *b, size_t i, size_t k)
{
    return b->facts[i].at > b->facts[k].at || (b->facts[i].at == b->facts[k].at && i > k);
}

static bool counts(const book *b, size_t i, const reseat_state_request *query)
{
    const fact *f = &b->facts[i];
    return !f->is_void && (f->type == RESEAT_RECORD_POLICY || f->at <= query->as_of);
}

static bool is_of(const fact *f, reseat_record_type type, const char *probe, const char *tip)
{
    return f->type == type && (!probe || strcmp(f->probe, probe) == 0) &&
           (!tip || strcmp(f->tip, tip) == 0);
}

/* The latest fact of a type that is later than `since`; 0 if there is none. */
static size_t find_latest(const book *b, const reseat_state_request *query,
                          reseat_record_type type, const char *probe, const char *tip, size_t since)
{
    size_t found = 0;
    for (size_t i = 1; i < b->count; i++)
        if (counts(b, i, query) && is_of(&b->facts[i], type, probe, tip) &&
            (since == 0 || is_later(b, i, since)) && (found == 0 || is_later(b, i, found)))
            found = i;
    return found;
}

static bool has_runs(const book *b, const reseat_state_request *query, const char *probe,
                     const char *tip)
{
    return find_latest(b, query, RESEAT_RECORD_RUN, probe, tip, 0) > 0;
}

/* Which probe and tip are meant; else the status of the refusal. */
static reseat_status choose(const book *b, const reseat_state_request *query, const char **probe,
                            const char **tip)
{
    const bool first = has_runs(b, query, "P1", NULL), second = has_runs(b, query, SECOND, NULL);
    *probe = query->probe ? query->probe : first ? "P1" : SECOND;
    if (!query->probe && first && second)
        return RESEAT_ERR_REFUSED;
    if (!has_runs(b, query, *probe, query->tip))
        return RESEAT_ERR_NOT_FOUND;
    const bool is_main = has_runs(b, query, *probe, "main");
    *tip = query->tip ? query->tip : is_main ? "main" : "left";
    return RESEAT_OK;
}

static void check_runs(const book *b, const reseat_state_request *query, const reseat_state *s)
{
    size_t before = s->run_count; /* each is the latest of those before the next */
    for (size_t i = 1; i < b->count; i++) {
        if (!counts(b, i, query) || !is_of(&b->facts[i], RESEAT_RECORD_RUN, s->probe, s->tip))
            continue;
        size_t later = 0;
        for (size_t k = 1; k < b->count; k++)
            later += counts(b, k, query) && is_later(b, k, i) &&
                     is_of(&b->facts[k], RESEAT_RECORD_RUN, s->probe, s->tip);
        if (later >= RESEAT_STATE_RUNS_MAX)
            continue;
        assert_true(later < s->run_count);
        assert_int_equal(s->runs[s->run_count - 1 - later].seq, i);
        before--;
    }
    assert_int_equal(before, 0);
}

/* Reasons, and what parts the runs that are kept into baselines. */
static void check_events(const book *b, const reseat_state_request *query, size_t run,
                         const reseat_state *s)
{
    static const char *const kinds[] = {"collision", "stylus-change", "service"};
    const size_t first = (size_t)s->runs[0].seq;
    size_t parting = 0, given = 0;
    int64_t earliest[3] = {-1, -1, -1};
    for (size_t i = 1; i < b->count; i++) {
        const fact *f = &b->facts[i];
        if (f->type != RESEAT_RECORD_EVENT || !counts(b, i, query) ||
            (f->probe && strcmp(f->probe, s->probe) != 0))
            continue;
        for (size_t k = 0; k < 3; k++) {
            if (strcmp(f->kind, kinds[k]) != 0)
                continue;
            parting += is_later(b, i, first);
            if (is_later(b, i, run) && (earliest[k] < 0 || is_later(b, (size_t)earliest[k], i)))
                earliest[k] = (int64_t)i;
        }
    }
    for (size_t k = 0; k < 3; k++)
        assert_int_equal(s->events[RESEAT_REASON_COLLISION + k].seq, earliest[k]);
    for (size_t i = 0; i < s->baseline_count; i++)
        given += is_later(b, (size_t)s->baselines[i].seq, first);
    assert_int_equal(given, parting);
    assert_int_equal(given, s->baseline_count);
}

static void check_state(const book *b, const reseat_state_request *query)
{
    const char *probe = NULL, *tip = NULL;
    reseat_state s;
    const reseat_status status = choose(b, query, &probe, &tip);
    assert_status(reseat_state_read(query, &s, NULL), status);
    if (status != RESEAT_OK)
        return;
    assert_string_equal(s.probe, probe);
    assert_string_equal(s.tip, tip);
    const size_t run = find_latest(b, query, RESEAT_RECORD_RUN, probe, tip, 0);
    const size_t outing = find_latest(b, query, RESEAT_RECORD_RESEAT, probe, NULL, run);
    const size_t check = find_latest(b, query, RESEAT_RECORD_VERIFY, probe, tip,
                                     outing ? outing : run);
    size_t policy = 0, unknown = 0;
    for (size_t i = 1; i < b->count; i++) {
        if (b->facts[i].type == RESEAT_RECORD_POLICY && counts(b, i, query))
            policy = i;
        unknown += b->facts[i].type == RESEAT_RECORD_OTHER && counts(b, i, query) && i > run;
    }
    assert_int_equal(seq_of(s.run), run);
    assert_int_equal(seq_of(s.last_reseat), outing ? (int64_t)outing : -1);
    assert_int_equal(seq_of(s.check), check ? (int64_t)check : -1);
    assert_int_equal(seq_of(s.policy), policy ? (int64_t)policy : -1);
    assert_int_equal(s.unknown_types, unknown);
    check_runs(b, query, &s);
    check_events(b, query, run, &s);
    check_whole(query, &s);
    states++;
    reseat_state_free(&s);
}

/* Every way to ask, on some days. */
static void check_book(source *s, const book *b)
{
    static const char *const probes[] = {NULL, "P1", SECOND};
    static const char *const tips[] = {NULL, "main", "left"};
    for (int i = 0; i < 3; i++) {
        reseat_state_request query = asked_on(i == 0 ? 2 * AGES : (double)below(s, AGES + 10));
        for (size_t p = 0; p < 3; p++)
            for (size_t t = 0; t < 3; t++) {
                query.probe = probes[p];
                query.tip = tips[t];
                check_state(b, &query);
            }
    }
}

static void short_logs_stand_as_all_their_facts_say(void **state)
{
    static book b;
    source s = {.random = 20260302};
    const int rounds = random_rounds(s.random, 300);
    for (int i = 0; i < rounds; i++) {
        s.one_probe = i % 3 == 0;
        s.jumps = i % 2 == 0;
        write_book(&s, &b, 1 + below(&s, 40));
        check_book(&s, &b);
    }
    print_message("seed 20260302: %zu states\n", states);
}

/* With 100 runs known, reading back stops early. */
static void long_logs_stand_as_all_their_facts_say(void **state)
{
    static book b;
    source s = {.random = 20260303};
    states = 0;
    const int rounds = random_rounds(s.random, 24);
    for (int i = 0; i < rounds; i++) {
        s.one_probe = i % 2 == 0;
        s.jumps = i % 3 == 0;
        write_book(&s, &b, 300 + below(&s, FACTS_MAX - 300));
        check_book(&s, &b);
    }
    print_message("seed 20260303: %zu states\n", states);
}

/* The rare probe stands only in front of where reading back for the usual one would stop. */
static void a_probe_last_measured_long_ago_is_not_forgotten(void **state)
{
    static book b;
    source s = {.random = 20260304, .one_probe = true};
    for (int i = 0; i < 4; i++) {
        write_book(&s, &b, 900);
        char above[SEAL_DIGITS + 1];
        FILE *file = fopen(logs_path("mill-1"), "wb");
        assert_non_null(file);
        size_t rare = 1;
        while (b.facts[rare].is_void || b.facts[rare].type == RESEAT_RECORD_VOID)
            rare++;
        b.facts[rare] = (fact){.type = RESEAT_RECORD_RUN, .at = day(0), .tip = "main",
                               .probe = i < 2 ? SECOND : "P1"};
        if (i >= 2) /* of the usual probe only another tip is measured now */
            for (size_t k = rare + 1; k < b.count; k++)
                if (b.facts[k].type == RESEAT_RECORD_RUN)
                    b.facts[k].tip = "left";
        for (size_t seq = 0; seq < b.count; seq++)
            write_line(file, &b.facts[seq], seq, day((double)(seq * AGES) / 900), above);
        assert_int_equal(fclose(file), 0);
        check_book(&s, &b);
    }
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(short_logs_stand_as_all_their_facts_say),
        TEST(long_logs_stand_as_all_their_facts_say),
        TEST(a_probe_last_measured_long_ago_is_not_forgotten),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
