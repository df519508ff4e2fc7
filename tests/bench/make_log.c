/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * make_log COUNT NAME EVERY [RUN_EVERY [PROBES]] >NAME.jsonl: a log of COUNT records beside its
 * first, written as fast as they can be sealed: a policy first and at every EVERY-th record, a run
 * every RUN_EVERY records (8) and reseats between them, of probes P1, P2 ... by turns (1).
 */

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include "reseat/reseat.h"
#include "log/record.h"

#define FIRST_AT 1609459200 /* 2021-01-01T00:00:00Z */
#define SPACING 60

static void check(reseat_status status)
{
    if (status != RESEAT_OK) {
        fprintf(stderr, "make_log: %s\n", reseat_status_text(status));
        exit(1);
    }
}

typedef struct plan {
    const char *name;
    int64_t every;
    int64_t run_every;
    int64_t probes;
} plan;

static reseat_record *begin(reseat_record_type type, int64_t seq)
{
    reseat_record *record = NULL;
    check(reseat_record_new(type, &record));
    check(reseat_record_set_integer(record, RESEAT_FIELD_SEQ, seq, NULL));
    check(reseat_record_set_integer(record, RESEAT_FIELD_RECORDED_AT, FIRST_AT + seq * SPACING,
                                    NULL));
    return record;
}

static void fill(reseat_record *record, int64_t seq, int64_t number)
{
    char probe[32];
    snprintf(probe, sizeof probe, "P%" PRId64, number);
    check(reseat_record_set_text(record, RESEAT_FIELD_PROBE, probe, NULL));
    check(reseat_record_set_integer(record, RESEAT_FIELD_AT, FIRST_AT + seq * SPACING, NULL));
    check(reseat_record_set_number(record, RESEAT_FIELD_SEAT_DEG, 0, NULL));
    if (reseat_record_type_of(record) == RESEAT_RECORD_RESEAT) {
        check(reseat_record_set_text(record, RESEAT_FIELD_WHY, "battery", NULL));
        return;
    }
    check(reseat_record_set_number(record, RESEAT_FIELD_OFFSET_X_MM,
                                   0.004 + 1e-7 * (double)(seq % 97), NULL));
    check(reseat_record_set_number(record, RESEAT_FIELD_OFFSET_Y_MM,
                                   -0.001 - 1e-7 * (double)(seq % 89), NULL));
    check(reseat_record_set_number(record, RESEAT_FIELD_OFFSET_U_MM, 0.0004, NULL));
}

static reseat_record *make(int64_t seq, const plan *p)
{
    if (seq == 0) {
        reseat_record *record = begin(RESEAT_RECORD_LOG, seq);
        check(reseat_record_set_text(record, RESEAT_FIELD_SPINDLE, p->name, NULL));
        check(reseat_record_set_text(record, RESEAT_FIELD_FORMAT, "reseat-log", NULL));
        return record;
    }
    if (seq % p->every == 1) {
        reseat_record *record = begin(RESEAT_RECORD_POLICY, seq);
        check(reseat_record_set_number(record, RESEAT_FIELD_LIMIT_MM, 0.01, NULL));
        return record;
    }
    const bool run = seq % p->run_every == 2;
    reseat_record *record = begin(run ? RESEAT_RECORD_RUN : RESEAT_RECORD_RESEAT, seq);
    fill(record, seq, seq / p->run_every % p->probes + 1);
    return record;
}

int main(int argc, char **argv)
{
    if (argc < 4 || argc > 6)
        return 2;
    const int64_t count = strtoll(argv[1], NULL, 10);
    const plan p = {.name = argv[2],
                    .every = strtoll(argv[3], NULL, 10),
                    .run_every = argc > 4 ? strtoll(argv[4], NULL, 10) : 8,
                    .probes = argc > 5 ? strtoll(argv[5], NULL, 10) : 1};
    char above[RESEAT_SEAL_SIZE] = "";
    for (int64_t seq = 0; seq <= count; seq++) {
        size_t length = 0;
        reseat_record *record = make(seq, &p);
        check(record_seal(record, seq > 0 ? above : NULL, NULL));
        const char *line = reseat_record_line(record, &length);
        fwrite(line, 1, length, stdout);
        fputc('\n', stdout);
        snprintf(above, sizeof above, "%s", reseat_record_text(record, RESEAT_FIELD_SEAL));
        reseat_record_free(record);
    }
    return fflush(stdout) == 0 ? 0 : 1;
}
