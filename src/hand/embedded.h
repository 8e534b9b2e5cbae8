// Tables that stand in data/ and are built into the program.
#pragma once

#include <string_view>

namespace stillhand::data {
extern const std::string_view finger_spans_tsv;
extern const std::string_view line_spans_tsv;
}  // namespace stillhand::data
