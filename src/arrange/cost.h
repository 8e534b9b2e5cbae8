// Cost: what a manner charges, in integer points. Equal costs are equal; no rounding, no order of
// summation.
#pragma once

#include <cstdint>

#include "base/strong.h"

namespace stillhand::arrange {

struct CostTag;
using Cost = Amount<CostTag, std::int64_t>;

}  // namespace stillhand::arrange
