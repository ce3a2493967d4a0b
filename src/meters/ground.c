/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "meters/ground.h"

#include "base/absent.h"
#include "base/units.h"

#include <math.h>

#define NEAR_FIELD_NOTE_DB 0.5
#define NEAR_FIELD_DOUBTFUL_DB 1.0
#define NEAR_DIAMETERS 4.0 /* common practice */
#define ROOM_TEMPERATURE_C 20.0
#define HIGHEST_DIP_HZ 5000.0
#define DIPS_TOLD 3

double ground_path_difference_m(double distance_m, double source_height_m, double height_m)
{
    double rise = source_height_m - height_m, across2 = distance_m * distance_m - rise * rise;
    if (!(across2 >= 0) || !(source_height_m >= 0) || !(height_m >= 0))
        return ABSENT;
    double sum = source_height_m + height_m;
    return sqrt(across2 + sum * sum) - distance_m;
}

size_t ground_dips_hz(double path_difference_m, double sound_speed_m_s, double highest_hz, double *dips_hz, size_t room)
{
    size_t count = 0;
    if (!(path_difference_m > 0))
        return 0;
    while (count < room) {
        double dip_hz = (2 * (double)count + 1) * sound_speed_m_s / (2 * path_difference_m);
        if (!(dip_hz <= highest_hz))
            break;
        dips_hz[count++] = dip_hz;
    }
    return count;
}

/* What a dipole's near field adds to its far field at a distance r: 10 lg(1 + 1 / (k r)^2), k = 2 pi / wavelength, the
 * closed form of a small dipole (loading noise is one; Gutin, 1936, rule from memory). */
static double near_field_db(double wavelengths)
{
    double kr = 2 * PI * wavelengths;
    return power_ratio_to_db(1 + 1 / (kr * kr));
}

static double wavelengths_of_near_field(double db)
{
    return 1 / (2 * PI * sqrt(db_to_power_ratio(db) - 1));
}

static void find_near_field(const struct place_of_microphone *place, double sound_speed, struct findings *findings)
{
    double diameters = place->distance_m / place->diameter_m,
           wavelengths = place->distance_m * place->blade_hz / sound_speed;
    if (diameters < NEAR_DIAMETERS)
        findings_add(findings, "near-field", SEVERITY_DOUBTFUL, ABSENT,
                     "the microphone stands %.1f rotor diameters away, nearer than %g: levels there do not fall by "
                     "20 lg of the distance; move it to %.2f m or further",
                     diameters, NEAR_DIAMETERS, NEAR_DIAMETERS * place->diameter_m);
    if (near_field_db(wavelengths) > NEAR_FIELD_NOTE_DB)
        findings_add(findings, "near-field",
                     near_field_db(wavelengths) > NEAR_FIELD_DOUBTFUL_DB ? SEVERITY_DOUBTFUL : SEVERITY_NOTE, ABSENT,
                     "the microphone stands %.2f wavelengths of the blade tone (%.0f Hz) away, where the near field "
                     "adds some %.1f dB to it, so that it does not fall by 20 lg of the distance; from %.2f m on it is "
                     "less than %g dB",
                     wavelengths, place->blade_hz, near_field_db(wavelengths),
                     wavelengths_of_near_field(NEAR_FIELD_NOTE_DB) * sound_speed / place->blade_hz, NEAR_FIELD_NOTE_DB);
}

void ground_find(const struct place_of_microphone *place, struct findings *findings)
{
    double sound_speed = sound_speed_m_s(is_given(place->temperature_c) ? place->temperature_c : ROOM_TEMPERATURE_C);
    double dips_hz[DIPS_TOLD];
    find_near_field(place, sound_speed, findings);
    double path_m = ground_path_difference_m(place->distance_m, place->source_height_m, place->height_m);
    size_t count = ground_dips_hz(path_m, sound_speed, HIGHEST_DIP_HZ, dips_hz, DIPS_TOLD);
    if (count == DIPS_TOLD)
        findings_add(findings, "ground-reflection", SEVERITY_NOTE, ABSENT,
                     "over hard ground sound is weakened near %.0f, %.0f and %.0f Hz, and so on; soft ground or other "
                     "heights move these dips",
                     dips_hz[0], dips_hz[1], dips_hz[2]);
    else if (count > 0)
        findings_add(findings, "ground-reflection", SEVERITY_NOTE, ABSENT,
                     "over hard ground sound is weakened near %.0f Hz; soft ground or other heights move this dip",
                     dips_hz[0]);
}
