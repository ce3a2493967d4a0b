/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/version.h"

const char thrum_version[] = THRUM_VERSION;
