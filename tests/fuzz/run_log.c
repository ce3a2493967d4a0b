/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any bytes as a run log of a campaign with two variants and one microphone: either mistakes with their places, or runs
 * in which everything holds that the rest of the program relies on. */
#include "require.h"

#include "base/absent.h"
#include "campaign/campaign_read.h"

#include <string.h>

static const char yaml[] =
    "title: t\nruns: runs.csv\nmicrophones: {main: {distance_m: 1}}\n"
    "variants: {stock2: {blades: 2}, slow5: {blades: 5, drive: {kind: belt, motor_pulley_teeth: 12, "
    "rotor_pulley_teeth: 60}}}\n";

static void require_run(const struct run *run)
{
    REQUIRE(run->file && run->file[0] && run->file[0] != '/' && !strstr(run->file, "/../"));
    REQUIRE(run->row >= 2 && run->variant < 2 && run->microphone == 0);
    REQUIRE(!is_given(run->rpm) || (run->rpm >= 1 && run->rpm <= 500000));
    REQUIRE(run->rpm_tolerance_pct > 0 && run->rpm_tolerance_pct <= 50);
    REQUIRE(!is_given(run->thrust_n) || (run->thrust_n >= 0 && run->thrust_n <= 1e6));
    REQUIRE(!is_given(run->power_w) || (run->power_w >= 0 && isfinite(run->power_w)));
    REQUIRE(!is_given(run->start_s) || !is_given(run->end_s) || run->start_s < run->end_s);
    REQUIRE(run->channel >= 0 && run->tach_channel >= -1 && run->tach_channel != run->channel);
    REQUIRE(run->tach_channel < 0 || run->tach_pulses_per_rev > 0);
    for (size_t i = 0; i < run->note_count; i++)
        REQUIRE(run->notes[i].column[0] && run->notes[i].value[0] && !strpbrk(run->notes[i].value, "\r\n"));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct campaign campaign = { 0 };
    struct err_list errors = { 0 };
    struct campaign_reader reader = { .file = "campaign.yaml", .campaign = &campaign, .errors = &errors };
    char *runs_name;
    campaign_read_yaml(&reader, yaml, sizeof yaml - 1, &runs_name);
    REQUIRE(errors.count == 0);
    reader.file = "runs.csv";
    campaign_read_runs(&reader, (const char *)data, size);
    REQUIRE(errors.count > 0 || campaign.run_count > 0);
    for (size_t i = 0; errors.count == 0 && i < campaign.run_count; i++)
        require_run(&campaign.runs[i]);
    for (size_t i = 0; i < errors.count; i++) {
        REQUIRE(errors.items[i].text[0] && errors.items[i].line >= 1 && errors.items[i].column >= 1);
        REQUIRE(strcmp(errors.items[i].file, "runs.csv") == 0);
    }
    free(runs_name);
    campaign_clear(&campaign);
    return 0;
}
