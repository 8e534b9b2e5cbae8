// Points: what several plain figures count together, by a table in data/.
//
//   points_of(data::difficulty_tsv, "shapes", 3) == Points(30)      // the line "shapes <TAB> 10 <TAB> 1 …"
//
// The tables are built into the program; a name they do not have is a fault of the program.
#pragma once

#include <cstdint>
#include <string_view>

#include "base/strong.h"

namespace stillhand::arrange {

struct PointsTag;
using Points = Amount<PointsTag, std::int64_t>;

// `value` x points / per, rounded down. Never falls when `value` rises.
Points points_of(std::string_view table, std::string_view name, std::int64_t value);

}  // namespace stillhand::arrange
