// What the checkers complain of, as errors. A complaint is a fault of the program, never of the chart; nothing wrong must
// reach a student.
#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "chart/song.h"

namespace stillhand::arrange {

Result<void> second_opinion(const chart::Song& song, const std::vector<std::string>& complaints);

}  // namespace stillhand::arrange
