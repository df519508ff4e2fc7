/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/*
 * Whether a slip ends in OK: histories of a simulated shop, in which the truth is known and the
 * tool sees what was recorded alone.
 *
 *     shop [HISTORIES [SEED [ONE]]]
 *
 * Two machines share three probes of one or two tips; runs and gauge checks scatter, probes are
 * put back turned, move between the machines, collide, get new styli; spindles are serviced. In a
 * sloppy shop what happens is recorded right, wrong (name, log, seat, sign, day), late or not at
 * all, under clocks up to a day off; a record that is refused is corrected, insisted upon, or let
 * be. In a faultless one all is recorded at once and probes go back as they were. After each step
 * every tip of every probe in a spindle is asked for.
 *
 * The records contradict an OK where, read by the rules of shop_reader.c, they say that since the
 * run in force there was a collision, a new stylus or a service, a use in the other spindle, or a
 * gauge check that no turn explains; or where the largest error that their seats allow, or a gauge
 * check that stands, is beyond the limit by geometry alone. Exit 1 if there is an OK that the
 * records contradict, whether it was wrong or went well by luck; if among the OKs whose records
 * tell the truth more are wrong than the confidence leaves; or if in faultless shops more than 2 %
 * are withheld where the records tell of nothing, and the error is within half the limit.
 *
 * A history begins with SEED and twice its number: seeds less than two HISTORIES apart share some.
 * ONE is the number of a history, whose wrong OKs are told one by one; the logs of the
 * sloppy shop are saved in the folder that RESEAT_SHOP_DIR names.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "history/folder.h"
#include "maths/plane.h"
#include "shop.h"
#include "shop_files.h"

#define STEPS 60
#define TURN_DEG 1.5 /* play of the keys and rounded angles: no turn */
#define WITHHELD_MOST 0.02

typedef struct tally {
    unsigned histories, asked, ok, undecided;
    unsigned typed, refused;
    unsigned bent, elsewhere, unexplained, checked, turned; /* asked where records contradict ... */
    unsigned against;      /* OKs that they contradict ... */
    unsigned contradicted; /* ... which were wrong as well */
    unsigned untold;       /* wrong OKs that no record tells ... */
    unsigned by_clocks;    /* ... but would, had clocks been right, ... */
    unsigned other_moved;  /* ... or that a run of the other tip makes doubtful */
    unsigned truthful;     /* OKs whose records tell the truth ... */
    unsigned noise;        /* ... and were wrong all the same */
    unsigned well;         /* asked where nothing is recorded against it, and nothing was */
    unsigned withheld;     /* not OK there */
} tally;

typedef struct question {
    const shop *s;
    int log, probe, tip;
    bool aloud;
    size_t history;
} question;

/* Whether the records tell the truth of the run in force and of how the probe sits since. */
static bool is_truthful(const question *q, const shop_reading *r)
{
    const shop_spindle *spindle = &q->s->spindles[q->log];
    const shop_probe *p = &q->s->probes[q->probe];
    const shop_note *run = r->run, *told = r->check ? r->check : run;
    const reseat_xy apart = xy_less(run->offset_mm, spindle->control[q->probe][q->tip].in_use_mm);
    if (run->true_log != q->log || run->true_probe != q->probe || run->true_tip != q->tip ||
        reseat_plane_length(apart) > 0 || p->bent_at > told->true_at ||
        spindle->serviced_at > told->true_at)
        return false;
    if (r->check)
        return r->check->true_at >= p->seated_at;
    const double turned = reseat_plane_turn(p->seat_deg - run->true_seat_deg - r->turn_deg);
    const unsigned keys = spindle->policy.keys;
    if (r->known)
        return fabs(turned) <= r->within_deg + TURN_DEG;
    return keys == 0 || fabs(remainder(turned, 360.0 / keys)) <= TURN_DEG;
}

static void show(const question *q, const shop_reading *r, const char *what, double error_mm)
{
    if (q->aloud)
        printf("# history %zu, %s, %s, %s, run %lld%s%s%s%s: %s, off by %.4f, by the records "
               "%.4f\n", q->history, shop_log_name(q->log), shop_probe_name(q->probe),
               shop_tip_name(q->tip), (long long)r->run->seq, r->bent ? ", bent" : "",
               r->elsewhere ? ", elsewhere" : "", r->unexplained ? ", unexplained" : "",
               r->check ? ", checked" : "", what, error_mm, r->error_mm);
}

static void count_ok(const question *q, const shop_reading *r, double error_mm, tally *t)
{
    const double limit_mm = q->s->spindles[q->log].policy.limit_mm;
    const bool wrong = error_mm > limit_mm, truthful = is_truthful(q, r);
    t->ok++;
    if (r->contradicts) {
        t->against++;
        t->contradicted += wrong;
        show(q, r, wrong ? "wrong OK against the records" : "OK against the records", error_mm);
    } else if (truthful) {
        t->truthful++;
        t->noise += wrong;
    } else if (wrong) {
        t->untold++;
        t->by_clocks += shop_read(q->s, q->log, q->probe, q->tip, true).contradicts;
        t->other_moved += r->other_moved;
    }
}

/* What of the records contradicts an OK, the first of what there is. */
static void count_asked(const shop_reading *r, tally *t)
{
    t->asked++;
    if (!r->contradicts)
        return;
    if (r->bent)
        t->bent++;
    else if (r->elsewhere)
        t->elsewhere++;
    else if (r->check)
        t->checked++;
    else if (r->unexplained)
        t->unexplained++;
    else
        t->turned++;
}

static void count(const question *q, const reseat_answer *answer, tally *t)
{
    const shop_spindle *spindle = &q->s->spindles[q->log];
    const double limit_mm = spindle->policy.limit_mm;
    const shop_reading r = shop_read(q->s, q->log, q->probe, q->tip, false);
    const double error_mm = reseat_plane_length(
        xy_less(spindle->control[q->probe][q->tip].in_use_mm,
                shop_offset(q->s, q->log, q->probe, q->tip)));
    count_asked(&r, t);
    if (answer->ok)
        count_ok(q, &r, error_mm, t);
    if (!q->s->manners.faultless || r.contradicts || !r.known || r.error_mm > 0.5 * limit_mm ||
        error_mm > 0.5 * limit_mm)
        return;
    t->well++;
    t->withheld += !answer->ok;
    if (!answer->ok && q->aloud)
        printf("# reasons %x, chance %.4f\n", answer->reasons, answer->worst.chance_within);
    if (!answer->ok)
        show(q, &r, "withheld", error_mm);
}

/* What check would say; whether it said anything. */
static bool ask(reseat_folder *folder, const question *q, reseat_answer *answer)
{
    const reseat_state_request request = {
        .dir = SHOP_DIR, .spindle = shop_log_name(q->log), .probe = shop_probe_name(q->probe),
        .tip = shop_tip_name(q->tip), .as_of = q->s->now + q->s->spindles[q->log].clock_off,
        .ahead = INT64_MAX, .folder = folder};
    reseat_state state;
    reseat_state_question asked;
    reseat_error error = {.text = ""};
    reseat_status status = reseat_state_read(&request, &state, &error);
    if (status == RESEAT_ERR_NOT_FOUND)
        return false;
    if (status == RESEAT_OK) {
        status = reseat_state_ask(&state, NULL, &asked, &error);
        if (status == RESEAT_OK)
            status = reseat_verdict_decide(&asked.question, answer);
        reseat_state_free(&state);
    }
    if (status != RESEAT_OK) {
        fprintf(stderr, "shop: no verdict: %s\n", error.text);
        exit(2);
    }
    return true;
}

/* Asks for every tip of every probe in a spindle. */
static void ask_all(question q, tally *t)
{
    for (q.log = 0; q.log < SHOP_LOGS; q.log++)
        for (q.probe = 0; q.probe < SHOP_PROBES; q.probe++) {
            reseat_folder *folder = NULL;
            if (q.s->probes[q.probe].log != q.log ||
                folder_open(&shop_calls, SHOP_DIR, &folder) != RESEAT_OK)
                continue;
            for (q.tip = 0; q.tip < q.s->probes[q.probe].tips; q.tip++) {
                reseat_answer answer;
                const shop_control *control = &q.s->spindles[q.log].control[q.probe][q.tip];
                if (control->known && ask(folder, &q, &answer))
                    count(&q, &answer, t);
                else
                    t->undecided++;
            }
            reseat_folder_close(folder);
        }
}

static void live(uint64_t seed, size_t history, bool aloud, const shop_manners *manners, tally *t)
{
    static shop s;
    const question q = {.s = &s, .history = history, .aloud = aloud};
    shop_open(&s, seed + 2 * history, manners);
    for (int step = 0; step < STEPS; step++) {
        shop_step(&s);
        ask_all(q, t);
    }
    t->histories++;
    t->typed += s.typed;
    t->refused += s.refused;
    if (aloud && !manners->faultless && getenv("RESEAT_SHOP_DIR"))
        shop_files_save(getenv("RESEAT_SHOP_DIR"));
}

static double percent(unsigned part, unsigned whole)
{
    return whole > 0 ? 100.0 * part / whole : 0;
}

static void print_sloppy(const tally *t)
{
    printf("sloppy: %u histories, %u records typed, %u refused; %u asked, %u OK, %u without a "
           "run\n", t->histories, t->typed, t->refused, t->asked, t->ok, t->undecided);
    printf("  asked where the records contradict an OK: bent %u, elsewhere %u, failed check %u, "
           "unexplained check and a reseat %u, turned or unknown %u\n", t->bent, t->elsewhere,
           t->checked, t->unexplained, t->turned);
    printf("  OK against the records: %u, of which wrong: %u\n", t->against, t->contradicted);
    printf("  wrong OK that no record tells: %u (%.2f %% of OK), %u of them by wrong clocks, %u "
           "doubtful by\n    a run of the other tip since\n", t->untold,
           percent(t->untold, t->ok), t->by_clocks, t->other_moved);
    printf("  wrong OK by noise where the records tell the truth: %u of %u (%.2f %%)\n",
           t->noise, t->truthful, percent(t->noise, t->truthful));
}

static void print_faultless(const tally *t)
{
    printf("faultless: %u histories, %u asked, %u OK, %u wrong by noise\n", t->histories,
           t->asked, t->ok, t->noise);
    printf("  OK withheld where all was recorded and well: %u of %u (%.2f %%)\n", t->withheld,
           t->well, percent(t->withheld, t->well));
}

static bool is_sound(const tally *sloppy, const tally *faultless)
{
    const double noise_most = 1 - RESEAT_CONFIDENCE;
    return sloppy->ok > 0 && faultless->well > 0 && sloppy->against == 0 &&
           faultless->against == 0 && faultless->untold == 0 &&
           sloppy->noise <= noise_most * sloppy->truthful &&
           faultless->noise <= noise_most * faultless->truthful &&
           faultless->withheld <= WITHHELD_MOST * faultless->well;
}

int main(int argc, char **argv)
{
    static const shop_manners slips = {.forget = 0.12, .slip = 0.12, .clock = 0.3},
                              none = {.faultless = true};
    const size_t histories = argc > 1 ? strtoul(argv[1], NULL, 10) : 120;
    const uint64_t seed = argc > 2 ? strtoull(argv[2], NULL, 10) : 20260302;
    const size_t one = argc > 3 ? strtoul(argv[3], NULL, 10) : SIZE_MAX;
    tally sloppy = {0}, faultless = {0};
    printf("shop: %zu histories of each kind, seed %llu\n", histories, (unsigned long long)seed);
    for (size_t i = one < histories ? one : 0; i < histories && (one > i || i == one); i++) {
        live(seed, i, true, &slips, &sloppy);
        live(seed, i, true, &none, &faultless);
    }
    print_sloppy(&sloppy);
    print_faultless(&faultless);
    return is_sound(&sloppy, &faultless) ? 0 : 1;
}
