/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * A simulated shop of two machines that share probes: what is true of them, and what people have
 * recorded. Facts and notes of them are kept here a second time, beside the logs, so that what the
 * records say can be told without the library.
 */
#ifndef RESEAT_TESTS_MONTECARLO_SHOP_H
#define RESEAT_TESTS_MONTECARLO_SHOP_H

#include <stdbool.h>
#include "random.h"
#include "reseat/history.h"

#define SHOP_LOGS 2
#define SHOP_PROBES 3
#define SHOP_TIPS 2
#define SHOP_NOTES 1000
#define SHOP_PENDING 8
#define SHOP_NOBODY (-1) /* an event of the whole spindle; a probe on the shelf */

typedef enum shop_kind { SHOP_COLLISION, SHOP_STYLUS_CHANGE, SHOP_SERVICE, SHOP_OTHER } shop_kind;

/* Something that happened, as it was, or as it went into a log. */
typedef struct shop_note {
    reseat_record_type type;
    int log, probe, tip; /* a probe from SHOP_PROBES on is a misspelt one */
    shop_kind kind;
    bool seat_known;
    double seat_deg, within_deg;
    reseat_xy offset_mm, in_use_mm, shift_mm;
    int64_t voids;
    int64_t seq;
    int64_t at;
    bool at_typed;
    bool voided;
    int64_t true_at; /* what follows was so, whatever was recorded */
    double true_seat_deg;
    int true_log, true_probe, true_tip;
} shop_note;

typedef struct shop_policy {
    bool changer;
    unsigned keys; /* 0: any */
    double limit_mm;
    bool part_known;
    reseat_xy part_mm;
} shop_policy;

/* What a control holds for a tip since it was last calibrated. */
typedef struct shop_control {
    bool known;
    reseat_xy in_use_mm;
    reseat_xy then_mm; /* where the ball was */
} shop_control;

typedef struct shop_spindle {
    reseat_xy part_mm;
    int64_t serviced_at;
    int64_t clock_off; /* seconds that its clock is ahead */
    int64_t written;   /* newest recorded_at */
    shop_policy policy;
    shop_control control[SHOP_PROBES][SHOP_TIPS];
} shop_spindle;

typedef struct shop_probe {
    int tips;
    reseat_xy part_mm[SHOP_TIPS];
    int64_t bent_at; /* when its stylus was last bent or changed */
    int log;
    double seat_deg;
    double play_deg;      /* of the present seating */
    reseat_xy scatter_mm; /* of the present seating */
    int64_t seated_at;
} shop_probe;

/* How people work there. */
typedef struct shop_manners {
    bool faultless; /* probes go back as they were, and all is recorded at once */
    double forget;  /* chances that a fact is not recorded, ... */
    double slip;    /* ... is mistyped, ... */
    double clock;   /* ... and that a clock is wrong */
} shop_manners;

typedef struct shop {
    random_source source;
    shop_manners manners;
    int64_t now;
    double u_run_mm, u_seat_mm, u_shift_mm;
    double growth_mm2; /* a day, per axis */
    shop_spindle spindles[SHOP_LOGS];
    shop_probe probes[SHOP_PROBES];
    shop_note notes[SHOP_NOTES];
    size_t count;
    shop_note pending[SHOP_PENDING]; /* to be recorded later */
    size_t pending_count;
    unsigned refused; /* records, of all that were typed */
    unsigned typed;
} shop;

static inline bool shop_chance(shop *s, double chance)
{
    return random_uniform(&s->source) < chance;
}

static inline int shop_pick(shop *s, int count)
{
    return (int)(random_uniform(&s->source) * count);
}

static inline double shop_between(shop *s, double low, double high)
{
    return low + (high - low) * random_uniform(&s->source);
}

static inline reseat_xy shop_scatter(shop *s, double sigma)
{
    const double x = sigma * random_normal(&s->source);
    return (reseat_xy){x, sigma * random_normal(&s->source)};
}

/* shop_floor.c: opens the shop, and lets something happen there. */
void shop_open(shop *s, uint64_t seed, const shop_manners *manners);
void shop_step(shop *s);
reseat_xy shop_offset(const shop *s, int log, int probe, int tip);

/* shop_book.c: a person tells a log of a fact; the note of it, NULL where nothing went in. */
const char *shop_log_name(int log);
const char *shop_probe_name(int probe);
const char *shop_tip_name(int tip);
const shop_note *shop_tell(shop *s, const shop_note *fact);
void shop_tell_policy(shop *s, int log);
void shop_tell_pending(shop *s);

/* What the notes say of a probe in a spindle, without a look at what is true. */
typedef struct shop_reading {
    const shop_note *run;   /* in force; NULL: none is on record, and nothing else is told */
    const shop_note *check; /* a gauge check that stands */
    bool bent;              /* a collision, a new stylus or a service since */
    bool unexplained;       /* a gauge check since found what no turn explains, and none after it
                               that all is well */
    bool other_moved;       /* a run of the other tip since is unlike the one before it */
    bool elsewhere;         /* used in the other spindle since */
    bool known;             /* the turn since, within so much; else as keys or nothing allow */
    double turn_deg, within_deg;
    double error_mm;        /* the largest that is possible, geometry alone */
    bool contradicts;       /* something of that holds, or the error exceeds the limit */
} shop_reading;

/* shop_reader.c: by the times noted, or by those at which things happened. */
shop_reading shop_read(const shop *s, int log, int probe, int tip, bool by_truth);

#endif
