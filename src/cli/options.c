#include "base/err.h"
