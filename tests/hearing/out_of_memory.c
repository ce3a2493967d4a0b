/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "failing_memory.h"
#include "tap.h"

#include "hearing/hearing.h"
#include "spectra.h"

/* Every allocation of the meters and of the tonality fails once: the linker sends calls of calloc, malloc and realloc
 * here (--wrap). Each failure must come back as ERR_MEMORY and leave nothing behind (checked under the address
 * sanitizer). */

struct subject {
    const struct signal *signal;
    const struct spectrum *spectrum;
    const struct meter_kind *meter; /* NULL: tonality */
};

static bool run(const struct subject *subject, struct err *err)
{
    if (!subject->meter) {
        struct tone tones[2] = { { .hz = 840, .source = "belt mesh 1" }, { .hz = 900, .source = "unexplained" } };
        struct rotor_figures rotor = { .tones = tones, .tone_count = 2 };
        struct tonality tonality;
        return tonality_rate(subject->spectrum, true, &rotor, &tonality, err);
    }
    struct figures figures;
    struct meter_setup setup = setup_of(subject->signal);
    figures_init(&figures);
    void *state = subject->meter->create(&setup, err);
    if (!state)
        return false;
    subject->meter->feed(state, subject->signal->pa, subject->signal->count);
    bool done = subject->meter->finish(state, &figures, err);
    subject->meter->destroy(state);
    figures_clear(&figures);
    return done;
}

static void each_allocation(const struct subject *subject, const char *name)
{
    long failed = 0;
    for (;; failed++) {
        struct err err = { 0 };
        allocations_left = failed;
        bool done = run(subject, &err);
        bool was_used = allocations_left < 0;
        allocations_left = -1;
        if (!was_used) {
            tap_ok(done, "%s: works when nothing fails, after %ld that did", name, failed);
            return;
        }
        if (done || err.kind != ERR_MEMORY)
            tap_ok(false, "%s: allocation %ld failed and was not told", name, failed + 1);
    }
}

int main(void)
{
    struct signal signal = signal_new(48000, 2.6);
    add_tone(&signal, 1000, 60);
    struct spectrum spectrum = flat_spectrum(1, 20001, 20);
    add_line(&spectrum, 840, 60);
    for (size_t i = 0; i <= hearing_meter_count; i++) {
        struct subject subject = { &signal, &spectrum, i < hearing_meter_count ? hearing_meters[i] : NULL };
        each_allocation(&subject, subject.meter ? subject.meter->name : "tonality");
    }
    free(spectrum.pa2);
    free(signal.pa);
    return tap_done();
}
