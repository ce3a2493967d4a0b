/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "invent.h"

#include "compare/energy.h"
#include "meters/band.h"
#include "meters/band_meter.h"

/* What LAeq would fall by, against closed forms: energies are chosen so that every share is a round number. */

#define ROUNDING 1e-9

/* A-weights of third octaves from IEC 61672-1:2013, table 3, are printed to 0.1 dB, so a share made of them is known to
 * 0.05 dB, 1.2 % of itself. */
#define TABLE_SHARE 0.012

static void add_tone(struct run_result *run, const char *source, double hz, double level_db, double tone_to_noise_db)
{
    struct rotor_figures *rotor = &run->rotor;
    void *tones = realloc(rotor->tones, (rotor->tone_count + 1) * sizeof *rotor->tones);
    if (!tones)
        abort();
    rotor->tones = tones;
    struct tone *tone = &rotor->tones[rotor->tone_count++];
    *tone = (struct tone){ .hz = hz,
                           .level_db = level_db,
                           .tone_to_noise_db = tone_to_noise_db,
                           .prominence_db = ABSENT,
                           .is_prominent = tone_to_noise_db > 8 };
    snprintf(tone->source, sizeof tone->source, "%s", source);
}

static const struct what_if *find(const struct comparisons *list, const char *variant, double value, const char *source,
                                  enum what_if_kind kind)
{
    for (size_t i = 0; i < list->what_if_count; i++) {
        const struct what_if *item = &list->what_ifs[i];
        if (strcmp(item->variant, variant) == 0 && fabs(item->value / value - 1) < 1e-9 &&
            strcmp(item->source, source) == 0 && item->kind == kind)
            return item;
    }
    return NULL;
}

static void check(const struct comparisons *list, const char *variant, double value, const char *source,
                  enum what_if_kind kind, double share_pct, double tolerance_pct)
{
    const struct what_if *item = find(list, variant, value, source, kind);
    double share = item ? item->share_pct : ABSENT, fall = item ? item->fall_db : ABSENT;
    tap_near(share, share_pct, tolerance_pct, "%s at %.4g N: share of %s (%s), %%", variant, value, source,
             what_if_kind_key(kind));
    tap_near(fall, -10 * log10(1 - share / 100), ROUNDING, "its fall is -10 lg(1 - share)");
}

/* Two variants at 1, 2 and 4 N; stock2's tones hold 60, 40 and 20 %, half of that the blades'. */
static struct invented *campaign_of_tones(void)
{
    struct invented *invented = invent_new(2);
    for (size_t v = 0; v < 2; v++)
        for (int i = 0; i < 6; i++) {
            int point = i / 2;
            double levels_db[3] = { 50, 50 - 0.6, 50 - 1.0 }, tones_pct = 60 - 20 * point;
            struct run_result *run = invent_run(invented, v, pow(2, point), 60 + 3 * point + 0.1 * (i % 2));
            invent_bands(run, 0, levels_db, 3); /* 1, 1.25 and 1.6 kHz, alike A-weighted: 0, 0.6, 1.0 dB */
            run->rotor.shares = (struct shares){ tones_pct / 2, tones_pct / 2, 0, 100 - tones_pct };
            /* Far above the bands, so that they take nothing off them; the motor's two lines make half of the named. */
            add_tone(run, "blade 1", 1e5, 30, 20);
            add_tone(run, "motor electrical 6", 1e5, 30, 1);
            add_tone(run, "motor shaft 2", 1e5, 30, 1);
            add_tone(run, "belt mesh 1", 1e5, 30 + power_ratio_to_db(2), 12);
        }
    invented->campaign.compare_points = memory_new(2, sizeof *invented->campaign.compare_points);
    if (!invented->campaign.compare_points)
        abort();
    invented->campaign.compare_points[0] = (struct compare_point){ OPERATING_THRUST_N, 2 };
    invented->campaign.compare_points[1] = (struct compare_point){ OPERATING_THRUST_N, sqrt(2) };
    invented->campaign.compare_point_count = 2;
    return invented;
}

static void shares_and_falls(void)
{
    struct invented *invented = campaign_of_tones();
    struct comparisons list = invent_compare(invented, 0);
    for (size_t v = 0; v < 2; v++) {
        const char *name = invented->variants[v].name;
        check(&list, name, 2, "blade", WHAT_IF_TONES, 20, ROUNDING);
        check(&list, name, 2, "motor", WHAT_IF_TONES, 10, ROUNDING);
        check(&list, name, 2, "belt", WHAT_IF_TONES, 10, ROUNDING);
        check(&list, name, 2, "broadband", WHAT_IF_BROADBAND, 60, ROUNDING);
        check(&list, name, 2, "broadband", WHAT_IF_MAIN_BANDS, 40, 40 * TABLE_SHARE); /* two of three bands alike */
    }
    check(&list, "stock2", sqrt(2), "blade", WHAT_IF_TONES, 25, ROUNDING); /* half way between 1 and 2 N in lg */
    check(&list, "stock2", sqrt(2), "broadband", WHAT_IF_BROADBAND, 50, ROUNDING);
    const struct what_if *first = &list.what_ifs[0];
    tap_ok(first->kind == WHAT_IF_BROADBAND && list.what_ifs[1].kind == WHAT_IF_MAIN_BANDS &&
               strcmp(list.what_ifs[2].source, "blade") == 0 && strcmp(list.what_ifs[3].source, "belt") == 0,
           "the largest share comes first, parts that are alike by name");
    const struct what_if *belt = find(&list, "stock2", 2, "belt", WHAT_IF_TONES);
    tap_ok(belt && belt->is_prominent && belt->prominent_left_count == 1 &&
               strcmp(belt->prominent_left[0], "blade") == 0,
           "without the belt the blade tone stays prominent");
    tap_ok(first->prominent_left_count == 2 && strcmp(first->prominent_left[0], "blade") == 0 && !first->is_prominent,
           "without the broadband noise both do, that with the higher tone-to-noise ratio first");
    comparisons_clear(&list);
    free(invented->campaign.compare_points);
    invent_free(invented);
}

static struct comparisons compare_one(struct invented *invented)
{
    struct comparisons list = invent_compare(invented, 0);
    tap_ok(list.count == 0 && list.what_if_count > 0, "one variant alone is told too (%zu)", list.what_if_count);
    return list;
}

/* The background holds half of the band at 1 kHz: 3.0103 dB below it. */
static void background_is_in_no_part(void)
{
    struct invented *invented = invent_new(1);
    double levels_db[3] = { 50, 50 - 0.6, 50 - 1.0 };
    struct run_result *run = invent_run(invented, 0, 3, 60);
    invent_bands(run, 0, levels_db, 3);
    run->at_reference.bands[0].background_db = 50 - power_ratio_to_db(2);
    run->rotor.shares = (struct shares){ 40, 0, 0, 60 }; /* 10 of the 60 are the background's: a sixth */
    struct comparisons list = compare_one(invented);
    check(&list, "stock2", 3, "blade", WHAT_IF_TONES, 100.0 * 40 / 90, 100.0 * 40 / 90 * TABLE_SHARE);
    check(&list, "stock2", 3, "broadband", WHAT_IF_BROADBAND, 100.0 * 50 / 90, 100.0 * 50 / 90 * TABLE_SHARE);
    const struct what_if *bands = find(&list, "stock2", 3, "broadband", WHAT_IF_MAIN_BANDS);
    tap_ok(bands && bands->low_hz > 1200 && bands->high_hz < 1700,
           "the two bands without background are the main ones");
    comparisons_clear(&list);
    invent_free(invented);
}

/* A tone of 90 dB at 1 kHz and noise of 60 dB at 1.6 kHz. What the tone leaves at 1.25 kHz by the meters' own band
 * filter, 65 dB, is not noise. */
static void tones_leak_into_bands(void)
{
    struct invented *invented = invent_new(1);
    struct band band = band_make(3, 1); /* 1.25 kHz */
    struct band_response response = band_meter_response(&band, 48000);
    double leaked_db = 90 + power_ratio_to_db(band_response_ratio(&response, 1000));
    double levels_db[3] = { 90, leaked_db, 60 };
    struct run_result *run = invent_run(invented, 0, 3, 90);
    invent_bands(run, 0, levels_db, 3);
    add_tone(run, "blade 1", 1000, 90, 20);
    run->rotor.shares = (struct shares){ 99.9, 0, 0, 0.1 };
    struct comparisons list = compare_one(invented);
    const struct what_if *bands = find(&list, "stock2", 3, "broadband", WHAT_IF_MAIN_BANDS);
    tap_ok(leaked_db > 64, "the tone leaves %.1f dB in the band beside its own", leaked_db);
    tap_ok(bands && bands->low_hz > 1500 && bands->high_hz < 1700 && bands->share_pct > 0.09,
           "the noise lies at 1.6 kHz: %.0f to %.0f Hz, %.3f of 0.1 %%", bands ? bands->low_hz : ABSENT,
           bands ? bands->high_hz : ABSENT, bands ? bands->share_pct : ABSENT);
    comparisons_clear(&list);
    invent_free(invented);
}

static void sums(void)
{
    struct invented *invented = invent_new(2);
    for (int i = 0; i < 40; i++) {
        struct run_result *run = invent_run(invented, (size_t)i % 2, 1 + 0.1 * i, 60 + 0.3 * i);
        double part = 0.9 * i, levels_db[3] = { 50 + i % 3, 51, 49 };
        run->rotor.shares = (struct shares){ part, 20, 7, 73 - part };
        invent_bands(run, 0, levels_db, 3);
        run->at_reference.bands[1].background_db = 40 + 0.1 * i;
        add_tone(run, i % 4 < 2 ? "blade 1" : "blade 2", 300, 55, 2);
        add_tone(run, i % 8 < 4 ? "bearing front outer 1" : "bearing rear ball 2", 700, 50, 2);
        add_tone(run, "unexplained", 1900, 40, 2);
    }
    struct comparisons list = invent_compare(invented, 0);
    double worst = 0, sum = 0;
    size_t places = 0;
    for (size_t i = 0; i < list.what_if_count; i++) {
        const struct what_if *item = &list.what_ifs[i];
        sum += item->kind == WHAT_IF_MAIN_BANDS ? 0 : item->share_pct;
        bool is_last = i + 1 == list.what_if_count || list.what_ifs[i + 1].value != item->value ||
                       strcmp(list.what_ifs[i + 1].variant, item->variant) != 0;
        worst = is_last ? fmax(worst, fabs(sum - 100)) : worst;
        sum = is_last ? 0 : sum;
        places += is_last;
    }
    tap_ok(places == 6, "two variants at three points");
    tap_near(worst, 0, 1e-9, "tones and broadband noise add up to 100 %% at each");
    tap_ok(find(&list, "stock2", list.items[0].value, "bearing front", WHAT_IF_TONES) != NULL,
           "the tones of a bearing are told under its name");
    comparisons_clear(&list);
    invent_free(invented);
}

/* Two microphones hear one rotor from two sides: each tells what it heard. */
static void microphones_apart(void)
{
    struct invented *invented = invent_new(2);
    for (int i = 0; i < 12; i++) {
        struct run_result *run = invent_run(invented, (size_t)i % 2, 1 + i / 4, 60 + i / 4 + 0.1 * (i % 2));
        bool is_side = i % 4 >= 2;
        run->rotor.shares = (struct shares){ is_side ? 80 : 30, 0, 0, is_side ? 20 : 70 };
        free(run->microphone);
        run->microphone = memory_copy_text(is_side ? "side" : "main");
    }
    struct comparisons list = invent_compare(invented, 0);
    size_t main_count = 0, side_count = 0, wrong = 0;
    for (size_t i = 0; i < list.what_if_count; i++) {
        const struct what_if *item = &list.what_ifs[i];
        bool is_side = strcmp(item->microphone, "side") == 0;
        double want = (strcmp(item->source, "blade") == 0) == is_side ? (is_side ? 80 : 70) : (is_side ? 20 : 30);
        main_count += !is_side;
        side_count += is_side;
        wrong += fabs(item->share_pct - want) > ROUNDING;
    }
    tap_ok(main_count > 0 && main_count == side_count && wrong == 0,
           "each microphone by its own runs: %zu and %zu, %zu wrong", main_count, side_count, wrong);
    comparisons_clear(&list);
    invent_free(invented);
}

static void nothing_to_tell(void)
{
    struct invented *invented = invent_new(1);
    struct run_result *run = invent_run(invented, 0, 3, 60);
    run->rotor.shares = (struct shares){ 40, 0, 0, 60 };
    run->at_reference.is_upper_bound = true;
    invent_run(invented, 0, 3, 60)->rotor.shares = (struct shares){ ABSENT, ABSENT, ABSENT, ABSENT };
    struct comparisons list = invent_compare(invented, 0);
    tap_ok(list.what_if_count == 0, "nothing is told of an upper bound, nor without shares");
    comparisons_clear(&list);
    invented->runs[0].at_reference.is_upper_bound = false;
    invented->runs[0].rotor.shares = (struct shares){ 100, 0, 0, 0 };
    list = invent_compare(invented, 0);
    check(&list, "stock2", 3, "broadband", WHAT_IF_BROADBAND, 0, ROUNDING);
    const struct what_if *blade = find(&list, "stock2", 3, "blade", WHAT_IF_TONES);
    tap_ok(blade && isinf(blade->fall_db), "a source that is all there is: nothing would be left");
    tap_ok(!find(&list, "stock2", 3, "broadband", WHAT_IF_MAIN_BANDS), "without bands there are no main ones");
    comparisons_clear(&list);
    invent_free(invented);
}

int main(void)
{
    shares_and_falls();
    background_is_in_no_part();
    tones_leak_into_bands();
    sums();
    microphones_apart();
    nothing_to_tell();
    return tap_done();
}
