/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/rotor_options.h"

#include "base/text.h"

#include "campaign/variant_keys.h"

#include <stdlib.h>

void rotor_choice_init(struct rotor_choice *choice)
{
    *choice = (struct rotor_choice){ 0 };
    variant_init(&choice->rotor);
}

void rotor_choice_clear(struct rotor_choice *choice)
{
    free(choice->campaign_path);
    free(choice->variant_name);
    variant_clear(&choice->rotor);
}

bool rotor_choice_resolve(const struct rotor_choice *choice, bool without_recordings, struct campaign *campaign,
                          bool *has_campaign, const struct variant **variant, struct err_list *errors)
{
    *has_campaign = false;
    *variant = NULL;
    if (choice->variant_name && !choice->campaign_path) {
        err_list_at(errors, ERR_USAGE, NULL, "--variant needs --campaign, which says what it is");
        return false;
    }
    if (choice->rotor_was_given && choice->campaign_path) {
        err_list_at(errors, ERR_USAGE, NULL, "the rotor is told twice; give its options, or --campaign and --variant");
        return false;
    }
    if (choice->rotor_was_given) {
        if (choice->rotor.blades < 1) {
            err_list_at(errors, ERR_USAGE, NULL, "a rotor needs --blades");
            return false;
        }
        *variant = &choice->rotor;
        return variant_check(&choice->rotor, NULL, errors);
    }
    if (!choice->campaign_path)
        return true;
    if (!campaign_read(choice->campaign_path, without_recordings, campaign, errors))
        return false;
    *has_campaign = true;
    size_t index;
    if (!choice->variant_name)
        return true;
    if (!campaign_find_variant(campaign, choice->variant_name, &index)) {
        err_list_at(errors, ERR_NAME, NULL, "no variant \"%s\" in %s", text_short(choice->variant_name).text,
                    choice->campaign_path);
        return false;
    }
    *variant = &campaign->variants[index];
    return true;
}
