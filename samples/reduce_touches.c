/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* Reads the touches of a ring gauge and finds the stylus offset, the radius and the lobes. */

#include <stdio.h>
#include <reseat/reseat.h>

static char text[65536];
static reseat_touch touches[RESEAT_TOUCHES_MAX];
static reseat_touch_result results[RESEAT_TOUCHES_MAX];
static reseat_reduction found;

int main(void)
{
    reseat_reduce_setup setup = reseat_reduce_assumed(RESEAT_GAUGE_RING, 50.0021);
    reseat_touches read;
    reseat_error error = {0};
    size_t order = 0;
    double lobe_mm = 0;

    FILE *file = fopen("touches.csv", "rb");
    if (!file)
        return 2;
    const size_t length = fread(text, 1, sizeof text, file);
    fclose(file);

    reseat_status status =
        reseat_touches_read(text, length, touches, RESEAT_TOUCHES_MAX, &read, &error);
    if (status == RESEAT_OK)
        status = reseat_reduce(touches, read.count, &setup, results, &found, &error);
    if (status == RESEAT_OK)
        status = reseat_radius_lobing(&found.curve, &order, &lobe_mm);
    if (status != RESEAT_OK) {
        fprintf(stderr, "touches.csv:%zu:%zu: %s\n", error.line, error.column, error.text);
        return 2;
    }
    printf("%zu touches: offset X %+.4f Y %+.4f mm, u %.4f mm; radius %.4f mm, %zu lobes of %.4f\n",
           found.touches, found.offset_mm.x, found.offset_mm.y, found.offset_u_mm, found.radius_mm,
           order, lobe_mm);
    return 0;
}
