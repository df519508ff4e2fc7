/* SPDX-FileCopyrightText: 2026 the reseat contributors */
/* SPDX-License-Identifier: MIT */

#include "check.h"
#include "reseat/history.h"
#include "maths/distributions.h"

/*
 * All reference values: the incomplete beta and gamma functions with 60 digits, the quantiles by
 * bisection on them (mpmath; https://mpmath.org).
 */
typedef struct row {
    double at;
    double dof;
    double value;
} row;

static const row STUDENT_QUANTILES[] = {
    {1e-12, 1, -318309886183.79067794}, {1e-09, 1, -318309886.18379065067},
    {0.001, 1, -318.3088389855504393}, {0.005, 1, -63.65674116287157967},
    {0.1, 1, -3.0776835371752532199}, {0.24, 1, -1.0648918403247919266},
    {0.26, 1, -0.93906250581749230005}, {0.4, 1, -0.32491969623290624903},
    {0.499999999, 1, -3.1415927391329100344e-9}, {1e-12, 1.5, -52194694.273446354602},
    {1e-09, 1.5, -521946.94273343724308}, {0.001, 1.5, -52.184430008992646936},
    {0.005, 1.5, -17.820310514462807021}, {0.1, 1.5, -2.1963984175655372717},
    {0.24, 1.5, -0.92282752999258663325}, {0.26, 1.5, -0.82468368730501918778},
    {0.4, 1.5, -0.30074539256979535288}, {0.499999999, 1.5, -2.9348322953138537667e-9},
    {1e-12, 3, -10331.108244292486204}, {1e-09, 3, -1033.109674503807708},
    {0.001, 3, -10.214531852407386477}, {0.005, 3, -5.8409093097333572173},
    {0.1, 3, -1.6377443536962100513}, {0.24, 3, -0.80441234545044474856},
    {0.26, 3, -0.72666198737944466566}, {0.4, 3, -0.27667066233268984701},
    {0.499999999, 3, -2.7206991204338390356e-9}, {1e-12, 10, -40.532096178662596601},
    {1e-09, 10, -20.144697766673996935}, {0.001, 10, -4.1437004940465896532},
    {0.005, 10, -3.1692726726169512223}, {0.1, 10, -1.3721836411103355904},
    {0.24, 10, -0.73366498847491062039}, {0.26, 10, -0.66677997186418908609},
    {0.4, 10, -0.26018482949208017615}, {0.499999999, 10, -2.5699781049089891242e-9},
    {1e-12, 30, -11.39721752331141119}, {1e-09, 30, -8.4458627962742427757},
    {0.001, 30, -3.3851848668293051155}, {0.005, 30, -2.7499956535672253238},
    {0.1, 30, -1.310415025391395545}, {0.24, 30, -0.71522449188071742997},
    {0.26, 30, -0.65100332344426383559}, {0.4, 30, -0.25560536495191271444},
    {0.499999999, 30, -2.5276002949479408683e-9}, {1e-12, 1234.5, -7.1070322359710436831},
    {1e-09, 1234.5, -6.043006454950450037}, {0.001, 1234.5, -3.0968472147043971299},
    {0.005, 1234.5, -2.5798177297333219498}, {0.1, 1234.5, -1.2822377116633756338},
    {0.24, 1234.5, -0.70651701048076288221}, {0.26, 1234.5, -0.64352966000687658173},
    {0.4, 1234.5, -0.25340170878813206913}, {0.499999999, 1234.5, -2.5071360143903877801e-9},
    {1e-12, 1000000.0, -7.034572608411256618}, {1e-09, 1000000.0, -5.9978624557108954639},
    {0.001, 1000000.0, -3.0902404563165196028}, {0.005, 1000000.0, -2.5758342201053341471},
    {0.1, 1000000.0, -1.2815524121299384488}, {0.24, 1000000.0, -0.70630282750292678448},
    {0.26, 1000000.0, -0.64334563279842844043}, {0.4, 1000000.0, -0.253347170537841622},
    {0.499999999, 1000000.0, -2.5066289695416967244e-9},
};

static const row STUDENT_TAILS[] = {
    {0.1, 1, 0.46827448256944642874},
    {1.7, 1, 0.16925302733033266739}, {1.75, 1, 0.16524934053856790964},
    {100000.0, 1, 3.18309886173180342e-6},
    {0.5, 2.5, 0.32884895993485734467}, {1.73, 2.5, 0.10002289346591697301},
    {6, 2.5, 0.0076408649427614503198}, {40, 30, 6.8630225972032013936e-28},
    {1.8, 30, 0.040962534304370142992}, {1.8, 10000.0, 0.035945382941464436721},
    {5, 10000.0, 2.9151633068313236453e-7}, {1.7, 1000000.0, 0.044565618245174384516},
    {1.75, 1000000.0, 0.040059310208273939519}, {7, 1000000.0, 1.2806120556870394286e-12},
    {-2, 5, 0.94903026058507082188}, {-1, 1000000.0, 0.84134462508321093536},
    {37, 1000000.0, 9.1498654309011315305e-300},
};

static const row CHI_SQUARE_QUANTILES[] = {
    {1e-12, 2, 2.0000000000009999598e-12}, {0.0001, 2, 0.00020001000066671668025},
    {0.05, 2, 0.1025865887751010727}, {0.5, 2, 1.3862943611198906188},
    {0.7, 2, 2.4079456086518716892}, {0.95, 2, 5.9914645471079802105},
    {0.9999, 2, 18.42068074395258574}, {1e-12, 4, 2.8284284580803876448e-6},
    {0.0001, 4, 0.02841847524355500175}, {0.05, 4, 0.71072302139732412673},
    {0.5, 4, 3.3566939800333213068}, {0.7, 4, 4.8784329665604083043},
    {0.95, 4, 9.4877290367811546009}, {0.9999, 4, 23.512742444991077864},
    {1e-12, 14, 0.13159311799288461173}, {0.0001, 14, 2.060797855185773631},
    {0.05, 14, 6.5706313837893437259}, {0.5, 14, 13.339274149099543528},
    {0.7, 14, 16.222098613385593736}, {0.95, 14, 23.684791304840576559},
    {0.9999, 14, 42.579288953113295702}, {1e-12, 32, 2.6112537048748678701},
    {0.0001, 32, 10.33314509544379645}, {0.05, 32, 20.071913464548286596},
    {0.5, 32, 31.33585908863449996}, {0.7, 32, 35.664920692509575823},
    {0.95, 32, 46.194259520278466217}, {0.9999, 32, 70.5712475753428562},
    {1e-12, 34, 3.0769844207528233375}, {0.0001, 34, 11.435246223320323942},
    {0.05, 34, 21.664280712551975177}, {0.5, 34, 33.335707367479236057},
    {0.7, 34, 37.795378354723417894}, {0.95, 34, 48.602367367294185893},
    {0.9999, 34, 73.481202515374996619}, {1e-12, 100, 30.084167586161840538},
    {0.0001, 100, 55.724598450501693113}, {0.05, 100, 77.929465165017259806},
    {0.5, 100, 99.334129235988455754}, {0.7, 100, 106.90576065384510538},
    {0.95, 100, 124.34211340400407469}, {0.9999, 100, 161.31865695904796971},
    {1e-12, 1998, 1585.1006765301962484}, {0.0001, 1998, 1771.4141338785206757},
    {0.05, 1998, 1895.1717327629370589}, {0.5, 1998, 1997.3333728935049757},
    {0.7, 1998, 2030.659912542911415}, {0.95, 1998, 2103.1022020458259018},
    {0.9999, 1998, 2241.6907407109030078}, {1e-12, 100000, 96886.331207044523425},
    {0.0001, 100000, 98345.352977246224615}, {0.05, 100000, 99265.537878160643346},
    {0.5, 100000, 99999.333334123462559}, {0.7, 100000, 100234.03482719527349},
    {0.95, 100000, 100736.73617731899935}, {0.9999, 100000, 101671.75506958257384},
};

#define COUNT(rows) (sizeof(rows) / sizeof((rows)[0]))

static void student_quantiles_match_reference_values(void **state)
{
    for (size_t i = 0; i < COUNT(STUDENT_QUANTILES); i++) {
        const row r = STUDENT_QUANTILES[i];
        double t = 0;
        assert_status(student_quantile(r.at, r.dof, &t), RESEAT_OK);
        assert_near(t, r.value, 1e-12 * fabs(r.value));
    }
}

static void student_quantiles_are_odd_about_the_median(void **state)
{
    double t = 1;
    assert_status(student_quantile(0.5, 3, &t), RESEAT_OK);
    assert_same_bits(t, 0.0);
    for (double dof = 1; dof <= 1e6; dof *= 10) {
        double upper = 0;
        assert_status(student_quantile(0.125, dof, &t), RESEAT_OK);
        assert_status(student_quantile(0.875, dof, &upper), RESEAT_OK);
        assert_same_bits(upper, -t);
    }
}

/* Chances of more than a value: their quantile is that value with its sign changed. */
static void student_quantiles_of_reference_tails_are_their_values(void **state)
{
    for (size_t i = 0; i < COUNT(STUDENT_TAILS); i++) {
        const row r = STUDENT_TAILS[i];
        double t = 0;
        assert_status(student_quantile(r.value, r.dof, &t), RESEAT_OK);
        assert_near(t, -r.at, 1e-12 * fabs(r.at));
    }
}

static void student_refuses_what_it_cannot_take(void **state)
{
    double kept = 7;
    assert_status(student_quantile((double)NAN, 5, &kept), RESEAT_ERR_NOT_FINITE);
    assert_status(student_quantile(0.1, (double)INFINITY, &kept), RESEAT_ERR_NOT_FINITE);
    assert_status(student_quantile(0, 5, &kept), RESEAT_ERR_RANGE);
    assert_status(student_quantile(1, 5, &kept), RESEAT_ERR_RANGE);
    assert_status(student_quantile(0.1, 0.99, &kept), RESEAT_ERR_RANGE);
    assert_status(student_quantile(0.1, 1.01e6, &kept), RESEAT_ERR_RANGE);
    assert_status(student_quantile(5e-324, 1, &kept), RESEAT_ERR_NOT_FINITE);
    assert_same_bits(kept, 7);
}

static void chi_square_quantiles_match_reference_values(void **state)
{
    for (size_t i = 0; i < COUNT(CHI_SQUARE_QUANTILES); i++) {
        const row r = CHI_SQUARE_QUANTILES[i];
        double x = 0;
        assert_status(chi_square_quantile(r.at, (unsigned)r.dof, &x), RESEAT_OK);
        assert_near(x, r.value, 1e-12 * r.value);
    }
}

static void chi_square_with_two_degrees_is_an_exponential(void **state)
{
    for (double p = 1e-300; p < 1; p *= 1e3) {
        double x = 0;
        assert_status(chi_square_quantile(p, 2, &x), RESEAT_OK);
        assert_near(x, -2 * log1p(-p), 1e-13 * x);
    }
}

/*
 * Where exp(-h) h^k / k! times a short sum is the chance, h = x / 2, k = dof / 2: there no double
 * of the upper tail tells p. A sum of logarithms up to 1000 is good to 1e-12, x to that by k.
 */
static void chi_square_quantiles_hold_far_down(void **state)
{
    static const row cases[] = {{1e-100, 2, 0}, {5.1e-124, 34, 0}, {4.3e-257, 284, 0},
                                {3.3e-269, 54, 0}, {6.4e-305, 1142, 0}, {1e-300, 100000, 0}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        const double k = cases[i].dof / 2;
        double x = 0, sum = 1, term = 1;
        assert_status(chi_square_quantile(cases[i].at, (unsigned)cases[i].dof, &x),
                      RESEAT_OK);
        for (double j = k + 1; term > 1e-18 * sum; j++)
            sum += term *= x / 2 / j;
        const double log_p = k * log(x / 2) - x / 2 - lgamma(k + 1) + log(sum);
        assert_near((log_p - log(cases[i].at)) / k, 0, 2e-12);
    }
}

static void chi_square_refuses_what_it_cannot_take(void **state)
{
    double kept = 7;
    assert_status(chi_square_quantile((double)NAN, 2, &kept), RESEAT_ERR_NOT_FINITE);
    assert_status(chi_square_quantile(0, 2, &kept), RESEAT_ERR_RANGE);
    assert_status(chi_square_quantile(1, 2, &kept), RESEAT_ERR_RANGE);
    assert_status(chi_square_quantile(0.05, 5, &kept), RESEAT_ERR_RANGE);
    assert_same_bits(kept, 7);
}

static void the_normal_tail_keeps_small_chances(void **state)
{
    assert_same_bits(normal_two_sided(0), 1.0);
    assert_near(normal_two_sided(-3), 0.00269979606326018905, 1e-17);
    assert_near(normal_two_sided(30), 9.81342785429637412e-198, 1e-12 * 9.81342785429637412e-198);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(student_quantiles_match_reference_values),
        cmocka_unit_test(student_quantiles_are_odd_about_the_median),
        cmocka_unit_test(student_quantiles_of_reference_tails_are_their_values),
        cmocka_unit_test(student_refuses_what_it_cannot_take),
        cmocka_unit_test(chi_square_quantiles_match_reference_values),
        cmocka_unit_test(chi_square_with_two_degrees_is_an_exponential),
        cmocka_unit_test(chi_square_quantiles_hold_far_down),
        cmocka_unit_test(chi_square_refuses_what_it_cannot_take),
        cmocka_unit_test(the_normal_tail_keeps_small_chances),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
