/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef THRUM_BASE_VERSION_H
#define THRUM_BASE_VERSION_H

/* The program's version, as meson.build has it, and the version of the results file's format. */
extern const char thrum_version[];
#define THRUM_RESULTS_FORMAT 1

#endif
