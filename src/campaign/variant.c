/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "campaign/campaign.h"

#include "base/absent.h"
#include "base/units.h"

#include <stdlib.h>

void variant_init(struct variant *variant)
{
    *variant = (struct variant){
        .rotors = 1,
        .diameter_mm = ABSENT,
        .motor_pwm_hz = ABSENT,
        .motor_kv_rpm_v = ABSENT,
        .drive = DRIVE_DIRECT,
        .mains_hz = ABSENT,
    };
}

void variant_clear(struct variant *variant)
{
    for (size_t i = 0; i < variant->bearing_count; i++)
        free(variant->bearings[i].name);
    free(variant->bearings);
    free(variant->name);
    free(variant->title);
    variant_init(variant);
}

static double teeth_ratio(int rotor_teeth, int motor_teeth)
{
    return rotor_teeth > 0 && motor_teeth > 0 ? (double)rotor_teeth / motor_teeth : ABSENT;
}

double variant_drive_ratio(const struct variant *variant)
{
    switch (variant->drive) {
    case DRIVE_DIRECT:
        return 1;
    case DRIVE_BELT:
        return teeth_ratio(variant->rotor_pulley_teeth, variant->motor_pulley_teeth);
    case DRIVE_GEAR:
        return teeth_ratio(variant->rotor_gear_teeth, variant->motor_gear_teeth);
    }
    return ABSENT;
}

double variant_tip_speed_m_s(const struct variant *variant, double rpm)
{
    double diameter_m = mm_to_m(variant->diameter_mm);
    return PI * diameter_m * rpm_to_hz(rpm);
}
