/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tap.h"

#include "base/absent.h"
#include "hearing/words.h"

static struct hearing_words_input sound(const char *title, double sone, double acum, double asper, double vacil)
{
    return (struct hearing_words_input){ title, sone, acum, asper, vacil, ABSENT, ABSENT, NULL };
}

static void says(const struct hearing_words_input *variant, const struct hearing_words_input *reference,
                 const char *want)
{
    struct text text = { 0 };
    hearing_words_compare(variant, reference, &text);
    tap_text(text.data ? text.data : "", want, want);
    text_clear(&text);
}

/* The ratios of docs/hearing.md: 1 dB is 1.07 times the sones, 3 dB 1.23, 10 dB 2. */
static void loudness(void)
{
    static const struct {
        double sone;
        const char *words;
    } rows[] = {
        { 10, "B is about as loud as A." },
        { 10.6, "B is about as loud as A." },
        { 9.4, "B is about as loud as A." },
        { 10.8, "B is slightly louder than A." },
        { 9.2, "B is slightly less loud than A." },
        { 12.2, "B is slightly louder than A." },
        { 12.5, "B is about a third louder than A." },
        { 7.5, "B is about three quarters as loud as A." },
        { 6.6, "B is about two thirds as loud as A." },
        { 5.1, "B is about half as loud as A." },
        { 3.3, "B is about a third as loud as A." },
        { 20, "B is about twice as loud as A." },
        { 31, "B is about three times as loud as A." },
        { 1.2, "B is about a tenth as loud as A." },
        { 0.7, "B is less than a tenth as loud as A." },
        { 90, "B is about ten times as loud as A." },
        { 142, "B is more than ten times as loud as A." },
    };
    struct hearing_words_input reference = sound("A", 10, ABSENT, ABSENT, ABSENT);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct hearing_words_input variant = sound("B", rows[i].sone, ABSENT, ABSENT, ABSENT);
        says(&variant, &reference, rows[i].words);
    }
    struct hearing_words_input unclear = sound("B", 8, ABSENT, ABSENT, ABSENT);
    unclear.loudness_ratio_low = 0.6;
    unclear.loudness_ratio_high = 1.05;
    says(&unclear, &reference, "B and A do not clearly differ in loudness.");
    unclear.loudness_ratio_high = 0.95;
    says(&unclear, &reference, "B is about three quarters as loud as A.");
}

static void character(void)
{
    struct hearing_words_input a = sound("A", ABSENT, 1.5, 0.5, 0.3), b = a;
    b.title = "B";
    says(&b, &a, "");
    b.sharpness_acum = 1.57;
    says(&b, &a, "");
    b.sharpness_acum = 1.6;
    says(&b, &a, "B sounds sharper than A.");
    b.roughness_asper = 0.55; /* less than 17 % */
    says(&b, &a, "B sounds sharper than A.");
    b.roughness_asper = 0.3;
    says(&b, &a, "B sounds sharper and smoother than A.");
    b.fluctuation_vacil = 0.5;
    says(&b, &a, "B sounds sharper, smoother and more unsteady than A.");
    b.sharpness_acum = 1.2;
    b.roughness_asper = b.fluctuation_vacil = ABSENT;
    says(&b, &a, "B sounds less sharp than A.");
    a = sound("A", ABSENT, ABSENT, 0.02, 0.01);
    b = sound("B", ABSENT, ABSENT, 0.09, 0.09); /* both below what is heard */
    says(&b, &a, "");
}

static void tones(void)
{
    struct tonality belt = { .is_prominent = true, .prominent_hz = 840.04, .prominent_source = "belt mesh 1" };
    struct tonality second = { .is_prominent = true, .prominent_hz = 280, .prominent_source = "blade 2" };
    struct tonality unknown = { .is_prominent = true, .prominent_hz = 4250.4, .prominent_source = "unexplained" };
    struct tonality hum = { .is_prominent = true, .prominent_hz = 100, .prominent_source = "mains 2" };
    struct tonality shaft = { .is_prominent = true, .prominent_hz = 90, .prominent_source = "shaft 1" };
    struct tonality none = { .is_prominent = false };
    struct hearing_words_input a = sound("Stock", 10, 1.5, ABSENT, ABSENT),
                               b = sound("Belt-driven", 5, 1.2, ABSENT, ABSENT);
    a.tonality = &none;
    b.tonality = &none;
    says(&b, &a, "Belt-driven is about half as loud as Stock. It sounds less sharp.");
    b.tonality = &belt;
    says(&b, &a,
         "Belt-driven is about half as loud as Stock. It sounds less sharp. Its belt mesh tone at 840 Hz is prominent; "
         "Stock has no prominent tone.");
    a.tonality = &second;
    says(&b, &a,
         "Belt-driven is about half as loud as Stock. It sounds less sharp. Its belt mesh tone at 840 Hz is prominent; "
         "so is the 2nd blade harmonic of Stock at 280 Hz.");
    b.tonality = &unknown;
    says(&b, &a,
         "Belt-driven is about half as loud as Stock. It sounds less sharp. It has a prominent tone of unknown source "
         "at "
         "4250 Hz; the 2nd blade harmonic of Stock at 280 Hz is prominent.");
    b.tonality = &none;
    says(&b, &a,
         "Belt-driven is about half as loud as Stock. It sounds less sharp. It has no prominent tone; the 2nd blade "
         "harmonic of Stock at 280 Hz is prominent.");
    b.loudness_n5_sone = b.sharpness_acum = ABSENT;
    says(&b, &a, "Belt-driven has no prominent tone; the 2nd blade harmonic of Stock at 280 Hz is prominent.");
    says(&a, &b, "The 2nd blade harmonic of Stock at 280 Hz is prominent; Belt-driven has no prominent tone.");
    b.tonality = &belt;
    says(&b, &a,
         "The belt mesh tone of Belt-driven at 840 Hz is prominent; so is the 2nd blade harmonic of Stock at 280 Hz.");
    b.tonality = &shaft;
    says(&b, &a,
         "The shaft tone of Belt-driven at 90.0 Hz is prominent; so is the 2nd blade harmonic of Stock at 280 Hz.");
    b.tonality = &unknown;
    says(&b, &a,
         "Belt-driven has a prominent tone of unknown source at 4250 Hz; the 2nd blade harmonic of Stock at 280 Hz is "
         "prominent.");
    says(
        &a, &b,
        "The 2nd blade harmonic of Stock at 280 Hz is prominent; Belt-driven has a prominent tone of unknown source at "
        "4250 Hz.");
    a.tonality = &hum;
    says(&b, &a,
         "Belt-driven has a prominent tone of unknown source at 4250 Hz; mains hum at 100 Hz is prominent in the "
         "recording of Stock.");
    b.loudness_n5_sone = 5;
    says(&a, &b,
         "Stock is about twice as loud as Belt-driven. Mains hum at 100 Hz is prominent in its recording; Belt-driven "
         "has "
         "a prominent tone of unknown source at 4250 Hz.");
    a.loudness_n5_sone = ABSENT;
    b.tonality = &belt;
    says(&a, &b,
         "Mains hum at 100 Hz is prominent in the recording of Stock; the belt mesh tone of Belt-driven at 840 Hz is "
         "prominent.");
}

/* Every kind of source that rotor/ names (rotor.h), and the largest frequency that a tone can be prominent at. */
static void names(void)
{
    static const struct {
        const char *source, *words;
    } rows[] = {
        { "blade 1", "blade tone at 11220 Hz" },
        { "blade 2", "2nd blade harmonic at 11220 Hz" },
        { "blade 3", "3rd blade harmonic at 11220 Hz" },
        { "blade 11", "11th blade harmonic at 11220 Hz" },
        { "shaft 21", "21st shaft harmonic at 11220 Hz" },
        { "belt turn 13", "13th belt turn harmonic at 11220 Hz" },
        { "gear mesh 1", "gear mesh tone at 11220 Hz" },
        { "motor shaft 4", "4th motor shaft harmonic at 11220 Hz" },
        { "motor electrical 1", "motor electrical tone at 11220 Hz" },
        { "pwm 1", "PWM tone at 11220 Hz" },
        { "pwm 2", "2nd PWM harmonic at 11220 Hz" },
        { "mains 2", "mains hum at 11220 Hz" },
        { "bearing front outer 1", "front bearing's outer race tone at 11220 Hz" },
        { "bearing upper front inner 3", "upper front bearing's 3rd inner race harmonic at 11220 Hz" },
        { "bearing front ball 2", "front bearing's 2nd ball harmonic at 11220 Hz" },
        { "bearing  cage 1", "bearing's cage tone at 11220 Hz" },
        { "unexplained", "tone of unknown source at 11220 Hz" },
        { "", "tone of unknown source at 11220 Hz" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct tonality tonality = { .is_prominent = true, .prominent_hz = 11220 };
        struct text text = { 0 };
        snprintf(tonality.prominent_source, sizeof tonality.prominent_source, "%s", rows[i].source);
        hearing_words_prominent_tone(&tonality, &text);
        tap_text(text.data ? text.data : "", rows[i].words, rows[i].source);
        text_clear(&text);
    }
    struct text text = { 0 };
    hearing_words_prominent_tone(&(struct tonality){ .is_prominent = false }, &text);
    tap_ok(text.length == 0, "nothing prominent: no words");
    text_clear(&text);
}

int main(void)
{
    loudness();
    character();
    tones();
    names();
    return tap_done();
}
