/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any bytes as campaign.yaml: either mistakes with their places, or a campaign in which everything holds that the rest
 * of the program relies on. */
#include "require.h"

#include "base/absent.h"
#include "campaign/campaign_read.h"

#include <string.h>

static void require_variant(const struct variant *variant)
{
    REQUIRE(variant->name && *variant->name);
    REQUIRE(variant->blades >= 1 && variant->blades <= 64);
    REQUIRE(variant->rotors >= 1 && variant->struts >= 0);
    REQUIRE(!is_given(variant->diameter_mm) || variant->diameter_mm >= 5);
    REQUIRE(variant_drive_ratio(variant) > 0);
    for (size_t i = 0; i < variant->bearing_count; i++) {
        const struct bearing *bearing = &variant->bearings[i];
        REQUIRE(bearing->name && bearing->balls >= 3 && bearing->ball_mm < bearing->pitch_mm);
    }
}

static void require_campaign(const struct campaign *campaign, const char *runs_name)
{
    REQUIRE(campaign->title && *campaign->title && runs_name);
    REQUIRE(runs_name[0] != '/' && strncmp(runs_name, "../", 3) != 0 && !strstr(runs_name, "/../"));
    REQUIRE(campaign->variant_count >= 1 && campaign->microphone_count >= 1);
    REQUIRE(campaign->reference < campaign->variant_count);
    REQUIRE(campaign->reference_distance_m >= 0.01);
    for (size_t i = 0; i < campaign->variant_count; i++)
        require_variant(&campaign->variants[i]);
    for (size_t i = 0; i < campaign->microphone_count; i++) {
        const struct microphone *microphone = &campaign->microphones[i];
        REQUIRE(microphone->name && microphone->distance_m >= 0.01);
        REQUIRE(microphone->calibration.kind != CALIBRATION_RECORDING ||
                (microphone->calibration.file && is_given(microphone->calibration.level_db)));
    }
    for (size_t i = 0; i < campaign->compare_point_count; i++)
        REQUIRE(campaign->compare_points[i].value > 0);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct campaign campaign = { 0 };
    struct err_list errors = { 0 };
    struct campaign_reader reader = { .file = "campaign.yaml", .campaign = &campaign, .errors = &errors };
    char *runs_name;
    campaign_read_yaml(&reader, (const char *)data, size, &runs_name);
    if (errors.count == 0)
        require_campaign(&campaign, runs_name);
    for (size_t i = 0; i < errors.count; i++) {
        REQUIRE(errors.items[i].text[0] && errors.items[i].line >= 1 && errors.items[i].column >= 1);
        REQUIRE(strcmp(errors.items[i].file, "campaign.yaml") == 0);
    }
    free(runs_name);
    campaign_clear(&campaign);
    return 0;
}
