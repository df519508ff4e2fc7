/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

/* What every unit test includes: cmocka and comparisons in which a NaN fails. */
#ifndef RESEAT_TESTS_CHECK_H
#define RESEAT_TESTS_CHECK_H

#include <locale.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

/* |actual - expected| <= tolerance; the tolerance has the unit of the value. */
#define assert_near(actual, expected, tolerance) \
    check_near((actual), (expected), (tolerance), #actual, __FILE__, __LINE__)

/* The same bits, so that 0 and -0 differ. */
#define assert_same_bits(actual, expected) \
    check_same_bits((actual), (expected), #actual, __FILE__, __LINE__)

/* A status, named in the message when it is another. */
#define assert_status(actual, expected) assert_int_equal((int)(actual), (int)(expected))

/* strtod of the locale "C", whatever locale the test runs under: for vectors and as a peer. */
static inline double read_number(const char *text, char **end)
{
    const locale_t point = newlocale(LC_ALL_MASK, "C", (locale_t)0);
    assert_true(point != (locale_t)0);
    const locale_t before = uselocale(point);
    const double value = strtod(text, end);
    uselocale(before);
    freelocale(point);
    return value;
}

static inline void check_near(double actual, double expected, double tolerance, const char *what,
                              const char *file, int line)
{
    if (!(fabs(actual - expected) <= tolerance)) {
        print_error("%s is %.17g, expected %.17g within %.3g (off by %.3g)\n", what, actual,
                    expected, tolerance, actual - expected);
        _fail(file, line);
    }
}

static inline void check_same_bits(double actual, double expected, const char *what,
                                   const char *file, int line)
{
    if (memcmp(&actual, &expected, sizeof actual) != 0) {
        print_error("%s is %.17g, expected the bits of %.17g\n", what, actual, expected);
        _fail(file, line);
    }
}

#endif
