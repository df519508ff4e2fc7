/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Random logs of two spindles, short and long, with late entries, voids, and clocks set back: the
 * state must be what going through all facts one by one gives, however early reading back stops.
 */

#include "random.h"
#include "states.h"

#define FACTS_MAX 1000
#define SECONDS_A_DAY 86400
#define SECOND "P\u00e92" /* a probe whose name is not all ASCII */
#define AGES 400 /* days a long log spans */
#define NO_SEAT (-1)

typedef struct fact {
    reseat_record_type type; /* RESEAT_RECORD_OTHER: of a type not known */
    int64_t written;
    int64_t at;
    const char *probe; /* NULL: of the spindle */
    const char *tip;
    const char *kind;
    int seat; /* of a run or reseat; NO_SEAT: not recorded */
    bool imported;
    bool changer; /* of a policy */
    int64_t voids;
    size_t voided_by; /* 0: not void */
} fact;

typedef struct book {
    const char *name;
    fact facts[FACTS_MAX];
    size_t count;
} book;

typedef struct source {
    uint64_t random;
    bool one_probe;
    bool jumps; /* the clock stands ahead now and then */
    const book *twin; /* of another log, with some facts at the same times; may be NULL */
} source;

static size_t states; /* that were held against the model, and against reading all */

static size_t below(source *s, size_t count)
{
    return (size_t)(random_bits(&s->random) % count);
}

static reseat_record_type random_type(source *s)
{
    static const reseat_record_type types[] = {
        RESEAT_RECORD_RESEAT, RESEAT_RECORD_VERIFY,  RESEAT_RECORD_EVENT, RESEAT_RECORD_POLICY,
        RESEAT_RECORD_VOID,   RESEAT_RECORD_VERDICT, RESEAT_RECORD_OTHER};
    return below(s, 10) < 6 ? RESEAT_RECORD_RUN : types[below(s, 7)];
}

/* Mostly of now, else entered up to 60 days late, or up to 5 minutes early. */
static int64_t random_time(source *s, int64_t now)
{
    const size_t kind = below(s, 10);
    if (kind == 0)
        return now - (int64_t)below(s, 60) * SECONDS_A_DAY;
    if (kind == 1)
        return now + (int64_t)below(s, RESEAT_LOG_AHEAD_SECONDS + 1);
    const fact *f = s->twin ? &s->twin->facts[below(s, s->twin->count)] : NULL;
    return kind == 2 && f && f->at > 0 && f->at <= now ? f->at : now;
}

/* An earlier record that may be void, 0 if the one picked may not. */
static int64_t random_void(source *s, book *b)
{
    const size_t seq = below(s, b->count);
    fact *f = &b->facts[seq];
    const bool may = f->type >= RESEAT_RECORD_RUN && f->type <= RESEAT_RECORD_POLICY;
    if (!may || f->voided_by > 0)
        return 0;
    f->voided_by = b->count;
    return (int64_t)seq;
}

static void add_fact(source *s, book *b, int64_t now)
{
    static const char *const kinds[] = {"collision", "stylus-change", "service", "other"};
    static const int seats[] = {0, 0, 0, 180, NO_SEAT};
    fact *f = &b->facts[b->count];
    *f = (fact){.type = random_type(s), .written = now, .at = random_time(s, now), .tip = "main"};
    f->probe = s->one_probe || below(s, 4) > 0 ? "P1" : SECOND;
    f->seat = seats[below(s, 5)];
    f->changer = below(s, 2);
    if (f->type == RESEAT_RECORD_VOID && (f->voids = random_void(s, b)) == 0)
        f->type = RESEAT_RECORD_RESEAT;
    if (f->type == RESEAT_RECORD_RUN)
        f->imported = below(s, 4) == 0;
    if ((f->type == RESEAT_RECORD_RUN || f->type == RESEAT_RECORD_VERIFY) && below(s, 5) == 0)
        f->tip = "left";
    if (f->type == RESEAT_RECORD_EVENT) {
        f->kind = kinds[below(s, 4)];
        f->probe = below(s, 2) ? f->probe : NULL;
    }
    b->count++;
}

static const char *own_fields(reseat_record_type type)
{
    switch (type) {
    case RESEAT_RECORD_RUN: return ",\"offset_x_mm\":0.004,\"offset_y_mm\":0.001";
    case RESEAT_RECORD_VERIFY:
        return ",\"shift_x_mm\":0.0,\"shift_y_mm\":0.0,\"shift_u_mm\":0.001";
    case RESEAT_RECORD_VERDICT:
        return ",\"verdict\":\"OK\",\"run_seq\":1,\"seat\":\"same\",\"limit_mm\":0.005,"
               "\"error_mm\":0.001,\"chance\":0.99";
    default: return "";
    }
}

static void write_time(FILE *file, const char *name, int64_t at)
{
    char text[RESEAT_TIME_SIZE];
    assert_status(reseat_time_format(at, text), RESEAT_OK);
    fprintf(file, ",\"%s\":\"%s\"", name, text);
}

/* The fields of what happened, as JSON. */
static void write_fields(FILE *file, const fact *f)
{
    if (f->probe)
        fprintf(file, ",\"probe\":\"%s\"", f->probe);
    write_time(file, "at", f->at);
    if (strcmp(f->tip, "main") != 0)
        fprintf(file, ",\"tip\":\"%s\"", f->tip);
    if (f->kind)
        fprintf(file, ",\"kind\":\"%s\"", f->kind);
    if (f->imported)
        fprintf(file, ",\"import_row\":7");
    const bool seated = f->type == RESEAT_RECORD_RUN || f->type == RESEAT_RECORD_RESEAT;
    if (seated && f->seat == NO_SEAT)
        fprintf(file, ",\"seat_deg\":null");
    else if (seated)
        fprintf(file, ",\"seat_deg\":%d", f->seat);
    fprintf(file, "%s", own_fields(f->type));
}

static void write_line(FILE *file, const book *b, size_t seq, char *above)
{
    char line[1024] = "", digits[SEAL_DIGITS + 1];
    const fact *f = &b->facts[seq];
    FILE *text = fmemopen(line, sizeof line, "w");
    assert_non_null(text);
    fprintf(text, "{\"v\":1,\"seq\":%zu,\"type\":\"%s\"", seq,
            f->type == RESEAT_RECORD_OTHER ? "wear" : reseat_record_type_name(f->type));
    write_time(text, "recorded_at", f->written);
    if (seq == 0)
        fprintf(text, ",\"spindle\":\"%s\",\"format\":\"reseat-log\"", b->name);
    else if (f->type == RESEAT_RECORD_VOID)
        fprintf(text, ",\"voids\":%d,\"why\":\"slip\"", (int)f->voids);
    else if (f->type == RESEAT_RECORD_POLICY)
        fprintf(text, ",\"limit_mm\":0.005,\"reseats\":\"%s\"", f->changer ? "changer" : "logged");
    else
        write_fields(text, f);
    assert_int_equal(fclose(text), 0);
    seal_make(seq == 0 ? NULL : above, line, strlen(line), digits);
    fprintf(file, "%s" SEAL_MARK "%s" SEAL_END "\n", line, digits);
    memcpy(above, digits, sizeof digits);
}

static void write_book(const book *b)
{
    char above[SEAL_DIGITS + 1];
    FILE *file = fopen(logs_path(b->name), "wb");
    assert_non_null(file);
    for (size_t seq = 0; seq < b->count; seq++)
        write_line(file, b, seq, above);
    assert_int_equal(fclose(file), 0);
}

/* A log of `count` records, the last about day AGES; now and then the clock is set. */
static void make_book(source *s, book *b, const char *name, size_t count)
{
    *b = (book){.name = name, .count = 1};
    b->facts[0] = (fact){.type = RESEAT_RECORD_LOG, .written = day(0)};
    for (size_t seq = 1; seq < count; seq++) {
        const double back = below(s, 12) == 0 ? (double)below(s, 20) : 0;
        const double ahead = s->jumps && below(s, 25) == 0 ? (double)below(s, AGES) : 0;
        add_fact(s, b, day((double)(seq * AGES) / (double)count - back + ahead));
    }
    write_book(b);
}

/* What is asked, and of which log. */
typedef struct view {
    const book *b;
    const reseat_state_request *query;
} view;

static bool is_known(const view *v, size_t i)
{
    return v->query->as_known == 0 || v->b->facts[i].written <= v->query->as_known;
}

static bool is_void(const view *v, size_t i)
{
    const size_t by = v->b->facts[i].voided_by;
    return by > 0 && is_known(v, by);
}

static int64_t horizon(const view *v)
{
    return v->query->ahead > 0 ? INT64_MAX : v->query->as_of;
}

static bool counts(const view *v, size_t i)
{
    return is_known(v, i) && !is_void(v, i) && v->b->facts[i].at <= horizon(v);
}

/* Whether fact i is later than fact k. */
static bool is_later(const view *v, size_t i, size_t k)
{
    const fact *a = &v->b->facts[i], *b = &v->b->facts[k];
    return a->at > b->at || (a->at == b->at && i > k);
}

static bool is_of(const fact *f, reseat_record_type type, const char *probe, const char *tip)
{
    return f->type == type && (!probe || strcmp(f->probe, probe) == 0) &&
           (!tip || strcmp(f->tip, tip) == 0);
}

/* The latest fact of a type that is later than `since`; 0 if there is none. */
static size_t find_latest(const view *v, reseat_record_type type, const char *probe,
                          const char *tip, size_t since)
{
    size_t found = 0;
    for (size_t i = 1; i < v->b->count; i++)
        if (counts(v, i) && is_of(&v->b->facts[i], type, probe, tip) &&
            (since == 0 || is_later(v, i, since)) && (found == 0 || is_later(v, i, found)))
            found = i;
    return found;
}

/* The policy in force: the last recorded by the time; if none was, the first of all. */
static size_t find_policy(const view *v)
{
    size_t first = 0, last = 0;
    for (size_t i = 1; i < v->b->count; i++) {
        if (v->b->facts[i].type != RESEAT_RECORD_POLICY || !is_known(v, i) || is_void(v, i))
            continue;
        first = first > 0 ? first : i;
        last = v->b->facts[i].written <= horizon(v) ? i : last;
    }
    return last > 0 ? last : first;
}

/* The next fact of the probe that tells its seat: a reseat, or a run of another tip. */
static size_t next_seating(const view *v, const reseat_state *s, size_t since)
{
    size_t next = 0;
    for (size_t i = 1; i < v->b->count; i++) {
        const fact *f = &v->b->facts[i];
        const bool reseat = is_of(f, RESEAT_RECORD_RESEAT, s->probe, NULL);
        const bool other_tip = is_of(f, RESEAT_RECORD_RUN, s->probe, NULL) &&
                               strcmp(f->tip, s->tip) != 0;
        if ((reseat || other_tip) && counts(v, i) && is_later(v, i, since) &&
            (next == 0 || is_later(v, next, i)))
            next = i;
    }
    return next;
}

/*
 * Goes from seat to seat: where the last change of it was, 0 if none was since the run. A run of
 * another tip without a seat changes one that was known, where the log alone tells of reseats.
 */
static size_t find_reseat(const view *v, const reseat_state *s, size_t run, bool logged)
{
    size_t last = 0;
    int seat = v->b->facts[run].seat;
    for (size_t i = next_seating(v, s, run); i > 0; i = next_seating(v, s, i)) {
        const fact *f = &v->b->facts[i];
        const bool says = f->seat != NO_SEAT || logged;
        if (f->type == RESEAT_RECORD_RUN && (!says || f->seat == seat))
            continue;
        last = i;
        seat = f->seat;
    }
    return last;
}

/* The latest run, reseat or verify of another probe since; 0 if there is none. */
static size_t find_other(const view *v, const char *probe, size_t since)
{
    size_t found = 0;
    for (size_t i = 1; i < v->b->count; i++) {
        const fact *f = &v->b->facts[i];
        const bool seats = f->type == RESEAT_RECORD_RUN || f->type == RESEAT_RECORD_RESEAT ||
                           f->type == RESEAT_RECORD_VERIFY;
        if (seats && counts(v, i) && strcmp(f->probe, probe) != 0 && is_later(v, i, since) &&
            (found == 0 || is_later(v, i, found)))
            found = i;
    }
    return found;
}

static bool names(const fact *f, const char *probe)
{
    return f->type != RESEAT_RECORD_OTHER && f->type != RESEAT_RECORD_VOID &&
           f->type != RESEAT_RECORD_POLICY && f->probe && strcmp(f->probe, probe) == 0;
}

static bool is_use(const fact *f)
{
    return f->type == RESEAT_RECORD_RUN ||
           (f->kind && (strcmp(f->kind, "collision") == 0 ||
                        strcmp(f->kind, "stylus-change") == 0));
}

/*
 * Of the records of another log that name the probe, from a time on: the first use, or the last of
 * all; of those at one time the first written. 0 if there is none.
 */
static size_t find_there(const view *v, const char *probe, int64_t since, bool first_use)
{
    size_t found = 0;
    for (size_t i = 1; i < v->b->count; i++) {
        const fact *f = &v->b->facts[i], *had = &v->b->facts[found];
        if (names(f, probe) && counts(v, i) && f->at >= since && (!first_use || is_use(f)) &&
            (found == 0 || (first_use ? f->at < had->at : f->at > had->at)))
            found = i;
    }
    return found;
}

static bool has_runs(const view *v, const char *probe, const char *tip)
{
    return find_latest(v, RESEAT_RECORD_RUN, probe, tip, 0) > 0;
}

/* Which probe and tip are meant; else the status of the refusal. */
static reseat_status choose(const view *v, const char **probe, const char **tip)
{
    const reseat_state_request *query = v->query;
    const bool first = has_runs(v, "P1", NULL), second = has_runs(v, SECOND, NULL);
    *probe = query->probe ? query->probe : first ? "P1" : SECOND;
    if (!query->probe && first && second)
        return RESEAT_ERR_REFUSED;
    if (!has_runs(v, *probe, query->tip))
        return RESEAT_ERR_NOT_FOUND;
    *tip = query->tip ? query->tip : has_runs(v, *probe, "main") ? "main" : "left";
    return RESEAT_OK;
}

static void check_runs(const view *v, const reseat_state *s)
{
    size_t before = s->run_count; /* each is the latest of those before the next */
    for (size_t i = 1; i < v->b->count; i++) {
        if (!counts(v, i) || !is_of(&v->b->facts[i], RESEAT_RECORD_RUN, s->probe, s->tip))
            continue;
        size_t later = 0;
        for (size_t k = 1; k < v->b->count; k++)
            later += counts(v, k) && is_later(v, k, i) &&
                     is_of(&v->b->facts[k], RESEAT_RECORD_RUN, s->probe, s->tip);
        if (later >= RESEAT_STATE_RUNS_MAX)
            continue;
        assert_true(later < s->run_count);
        assert_int_equal(s->runs[s->run_count - 1 - later].seq, i);
        before--;
    }
    assert_int_equal(before, 0);
}

/* Reasons, and what parts the runs that are kept into baselines. */
static void check_events(const view *v, size_t run, const reseat_state *s)
{
    static const char *const kinds[] = {"collision", "stylus-change", "service"};
    const size_t first = (size_t)s->runs[0].seq;
    size_t parting = 0, given = 0;
    int64_t earliest[3] = {-1, -1, -1};
    for (size_t i = 1; i < v->b->count; i++) {
        const fact *f = &v->b->facts[i];
        if (f->type != RESEAT_RECORD_EVENT || !counts(v, i) ||
            (f->probe && strcmp(f->probe, s->probe) != 0))
            continue;
        for (size_t k = 0; k < 3; k++) {
            if (strcmp(f->kind, kinds[k]) != 0)
                continue;
            parting += is_later(v, i, first);
            if (is_later(v, i, run) && (earliest[k] < 0 || is_later(v, (size_t)earliest[k], i)))
                earliest[k] = (int64_t)i;
        }
    }
    for (size_t k = 0; k < 3; k++)
        assert_int_equal(s->events[RESEAT_REASON_COLLISION + k].seq, earliest[k]);
    for (size_t i = 0; i < s->baseline_count; i++)
        given += is_later(v, (size_t)s->baselines[i].seq, first);
    assert_int_equal(given, parting);
    assert_int_equal(given, s->baseline_count);
}

/* The latest of all that is about the probe and tip, where that lies ahead; 0 if none does. */
static int64_t find_ahead(const view *v, const reseat_state *s)
{
    int64_t latest = s->evidence.seq >= 0 ? s->evidence.at : 0;
    for (size_t i = 1; i < v->b->count; i++) {
        const fact *f = &v->b->facts[i];
        const bool own = f->type == RESEAT_RECORD_EVENT
                             ? !f->probe || strcmp(f->probe, s->probe) == 0
                             : is_of(f, RESEAT_RECORD_RUN, s->probe, NULL) ||
                                   is_of(f, RESEAT_RECORD_RESEAT, s->probe, NULL) ||
                                   is_of(f, RESEAT_RECORD_VERIFY, s->probe, s->tip);
        if (own && counts(v, i) && f->at > latest)
            latest = f->at;
    }
    return v->query->ahead > 0 && latest > v->query->as_of + RESEAT_LOG_AHEAD_SECONDS ? latest : 0;
}

/* Reseats and evidence, and whether a gauge check is later than all of them. */
static void check_seating(const view *here, const view *there, size_t run, const reseat_state *s)
{
    const fact *facts = here->b->facts;
    const size_t policy = find_policy(here);
    const bool logged = policy == 0 || !facts[policy].changer;
    const size_t reseat = find_reseat(here, s, run, logged), seated = reseat > 0 ? reseat : run;
    const size_t other = logged ? find_other(here, s->probe, seated) : 0;
    const size_t elsewhere = find_there(there, s->probe, facts[seated].at, false);
    const size_t use = find_there(there, s->probe, facts[run].at, true);
    const int64_t there_at = elsewhere > 0 ? there->b->facts[elsewhere].at : INT64_MIN;
    const bool last_there = elsewhere > 0 && (other == 0 || there_at >= facts[other].at);
    size_t check = find_latest(here, RESEAT_RECORD_VERIFY, s->probe, s->tip, seated);
    if (check > 0 && ((other > 0 && is_later(here, other, check)) ||
                      (elsewhere > 0 && there_at >= facts[check].at)))
        check = 0;

    const size_t evidence = last_there ? elsewhere : other;
    assert_int_equal(seq_of(s->policy), policy ? (int64_t)policy : -1);
    assert_int_equal(seq_of(s->last_reseat), reseat ? (int64_t)reseat : -1);
    assert_int_equal(s->evidence.seq, evidence ? (int64_t)evidence : -1);
    assert_string_equal(s->evidence.log, last_there ? there->b->name : "");
    assert_string_equal(s->evidence.probe, evidence && !last_there ? facts[other].probe : "");
    assert_int_equal(seq_of(s->check), check ? (int64_t)check : -1);
    assert_int_equal(s->events[RESEAT_REASON_ELSEWHERE].seq, use ? (int64_t)use : -1);
    assert_int_equal((s->reasons & 1u << RESEAT_REASON_ELSEWHERE) != 0, use > 0);
    assert_int_equal(s->late, logged && reseat == 0 && facts[run].imported &&
                                  facts[run].written - facts[run].at > 3 * SECONDS_A_DAY);
}

static void check_state(const book *b, const book *twin, const reseat_state_request *query)
{
    const char *probe = NULL, *tip = NULL;
    const view here = {b, query}, there = {twin, query};
    reseat_state s;
    const reseat_status status = choose(&here, &probe, &tip);
    assert_status(reseat_state_read(query, &s, NULL), status);
    if (status != RESEAT_OK)
        return;
    assert_string_equal(s.probe, probe);
    assert_string_equal(s.tip, tip);
    const size_t run = find_latest(&here, RESEAT_RECORD_RUN, probe, tip, 0);
    size_t unknown = 0;
    for (size_t i = 1; i < b->count; i++)
        unknown += b->facts[i].type == RESEAT_RECORD_OTHER && counts(&here, i) && i > run;
    assert_int_equal(seq_of(s.run), run);
    assert_int_equal(s.unknown_types, unknown);
    check_seating(&here, &there, run, &s);
    check_runs(&here, &s);
    check_events(&here, run, &s);
    const int64_t ahead = find_ahead(&here, &s);
    assert_int_equal(s.ahead.seq >= 0, ahead > 0);
    assert_int_equal(s.ahead.at, ahead);
    check_whole(query, &s);
    states++;
    reseat_state_free(&s);
}

/* Every probe and tip, by requests of their own or from one folder. */
static void check_tips(const book *b, const book *twin, reseat_state_request query)
{
    static const char *const probes[] = {NULL, "P1", SECOND};
    static const char *const tips[] = {NULL, "main", "left"};
    for (size_t p = 0; p < 3; p++)
        for (size_t t = 0; t < 3; t++) {
            query.probe = probes[p];
            query.tip = tips[t];
            check_state(b, twin, &query);
        }
}

/* On some days, as known on some, by a clock that facts may be ahead of. */
static void check_book(source *s, const book *b, const book *twin)
{
    reseat_folder *folder = NULL;
    assert_status(reseat_folder_open(logs_dir, &folder), RESEAT_OK);
    for (int i = 0; i < 5; i++) {
        reseat_state_request query = asked_on(i == 0 ? 2 * AGES : (double)below(s, AGES + 10));
        query.ahead = i == 0 || i == 4 ? INT64_MAX : 0;
        query.as_known = i == 2 || (i == 4 && below(s, 2)) ? day((double)below(s, AGES)) : 0;
        query.whole = below(s, 4) == 0;
        query.folder = i % 2 ? folder : NULL;
        check_tips(b, twin, query);
    }
    reseat_folder_close(folder);
}

static book first, second;

static void short_logs_stand_as_all_their_facts_say(void **state)
{
    source s = {.random = 20260302};
    for (int i = 0; i < 300; i++) {
        s.one_probe = i % 3 == 0;
        s.jumps = i % 2 == 0;
        s.twin = NULL;
        make_book(&s, &first, "mill-1", 1 + below(&s, 40));
        s.twin = &first;
        s.one_probe = false;
        make_book(&s, &second, "mill-2", 1 + below(&s, 12));
        check_book(&s, &first, &second);
    }
    print_message("seed 20260302: %zu states\n", states);
}

/* With 100 runs known, reading back stops early. */
static void long_logs_stand_as_all_their_facts_say(void **state)
{
    source s = {.random = 20260303};
    states = 0;
    for (int i = 0; i < 24; i++) {
        s.one_probe = i % 2 == 0;
        s.jumps = i % 3 == 0;
        s.twin = NULL;
        make_book(&s, &first, "mill-1", 300 + below(&s, FACTS_MAX - 300));
        s.twin = &first;
        make_book(&s, &second, "mill-2", 1 + below(&s, 300));
        check_book(&s, &first, &second);
    }
    print_message("seed 20260303: %zu states\n", states);
}

/* The rare probe stands only in front of where reading back for the usual one would stop. */
static void a_probe_last_measured_long_ago_is_not_forgotten(void **state)
{
    source s = {.random = 20260304, .one_probe = true};
    make_book(&s, &second, "mill-2", 3);
    for (int i = 0; i < 4; i++) {
        make_book(&s, &first, "mill-1", 900);
        book *b = &first;
        size_t rare = 1;
        while (b->facts[rare].voided_by > 0 || b->facts[rare].type == RESEAT_RECORD_VOID)
            rare++;
        b->facts[rare] = (fact){.type = RESEAT_RECORD_RUN, .written = day(0), .at = day(0),
                                .tip = "main", .probe = i < 2 ? SECOND : "P1"};
        if (i >= 2) /* of the usual probe only another tip is measured now */
            for (size_t k = rare + 1; k < b->count; k++)
                if (b->facts[k].type == RESEAT_RECORD_RUN)
                    b->facts[k].tip = "left";
        if (i == 3) /* and the last change of seat is told by one of its oldest runs */
            for (size_t k = rare + 1; k < b->count; k++) {
                b->facts[k].type = b->facts[k].type == RESEAT_RECORD_RESEAT ? RESEAT_RECORD_VERIFY
                                                                            : b->facts[k].type;
                b->facts[k].seat = k < 300 ? 0 : 180;
                b->facts[k].at = b->facts[k].written = day((double)k / 3);
            }
        write_book(b);
        check_book(&s, b, &second);
    }
}

/* One bit of each of some lines, many in a row, and now and then the end of the last, are gone. */
static void damage_some(source *s, const book *b)
{
    size_t length = 0;
    char *bytes = logs_read("mill-1", &length);
    for (size_t i = below(s, 3); i > 0; i--) {
        size_t line = 1 + below(s, b->count);
        for (size_t row = below(s, 60); row > 0 && line <= b->count; row--, line++)
            bytes[logs_line(bytes, (unsigned)line) + below(s, 60)] ^= 1;
    }
    if (below(s, 4) == 0) {
        length -= 20;
        bytes[length - 1] = '\n'; /* without it each reading would wait for the rest */
    }
    logs_write("mill-1", bytes, length);
    free(bytes);
}

/* Reading back must fail, and count bad lines, as reading all does. */
static void check_damaged(const reseat_state_request *query)
{
    reseat_state_request whole = *query;
    reseat_state s, all;
    whole.whole = true;
    const reseat_status status = reseat_state_read(query, &s, NULL);
    assert_status(reseat_state_read(&whole, &all, NULL), status);
    if (status != RESEAT_OK)
        return;
    states++;
    check_same(&s, &all);
    reseat_state_free(&s);
    reseat_state_free(&all);
}

static void damaged_logs_stand_the_same_however_far_they_are_read(void **state)
{
    static const char *const probes[] = {NULL, "P1", SECOND}, *const tips[] = {NULL, "main"};
    source s = {.random = 20260305};
    states = 0;
    for (int i = 0; i < 40; i++) {
        s.one_probe = i % 2 == 0;
        s.jumps = i % 3 == 0;
        make_book(&s, &first, "mill-1", 600 + below(&s, FACTS_MAX - 600));
        damage_some(&s, &first);
        for (size_t k = 0; k < 12; k++) {
            reseat_state_request query = asked_on(k < 6 ? 2 * AGES : (double)below(&s, AGES));
            query.probe = probes[k % 3];
            query.tip = tips[k % 2];
            query.despite_damage = below(&s, 4) > 0;
            check_damaged(&query);
        }
    }
    print_message("seed 20260305: %zu states of 480 requests\n", states);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, logs_setup, logs_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(short_logs_stand_as_all_their_facts_say),
        TEST(long_logs_stand_as_all_their_facts_say),
        TEST(a_probe_last_measured_long_ago_is_not_forgotten),
        TEST(damaged_logs_stand_the_same_however_far_they_are_read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
