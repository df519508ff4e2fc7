/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* A seat that reads is sound, and what is written of it reads back the same. */
#include <math.h>
#include <stdint.h>

#include "check.h"
#include "reseat/seat.h"
#include "model/seat.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static bool is_sound(const reseat_seat *seat)
{
    const bool angle = seat->kind == RESEAT_SEAT_ANGLE;
    const bool keys = seat->kind == RESEAT_SEAT_KEYS;
    return seat->seat_deg >= 0 && seat->seat_deg < 360 && seat->within_deg >= 0 &&
           seat->within_deg < 180 && !signbit(seat->seat_deg) && !signbit(seat->within_deg) &&
           (angle || !(seat->seat_deg > 0 || seat->within_deg > 0)) &&
           (keys ? seat->keys >= 1 && seat->keys <= RESEAT_SEAT_KEYS_MAX : seat->keys == 0);
}

static bool are_same(const reseat_seat *a, const reseat_seat *b)
{
    return a->kind == b->kind && a->keys == b->keys &&
           same_bits(a->seat_deg, b->seat_deg) && same_bits(a->within_deg, b->within_deg);
}

static void check_turns(const reseat_seat *seat)
{
    reseat_turns turns;
    require(seat_turns(seat, 77.5, true, NULL, &turns) == RESEAT_OK);
    require(isfinite(turns.first_deg) && turns.width_deg >= 0 && turns.width_deg <= 360);
    require(turns.range ? turns.count == 0 : turns.count >= 1);
    require(seat_has_turn(&turns, turns.first_deg));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    /* to a block of its own size, so that a byte read too far is found */
    char *text = malloc(size > 0 ? size : 1);
    require(text != NULL);
    if (size > 0)
        memcpy(text, data, size);
    reseat_seat seat, again;
    reseat_error error = {0};
    if (reseat_seat_parse(text, size, &seat, &error) != RESEAT_OK) {
        require_sound_error(&error, size);
    } else {
        char written[RESEAT_SEAT_SIZE];
        require(is_sound(&seat));
        require(reseat_seat_format(&seat, written) == RESEAT_OK);
        require(reseat_seat_parse(written, strlen(written), &again, NULL) == RESEAT_OK);
        require(are_same(&seat, &again));
        check_turns(&seat);
    }
    free(text);
    return 0;
}
