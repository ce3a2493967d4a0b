/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "measure/run_result.h"
