// Manners that stand in data/manners/ and are built into the program.
#pragma once

#include <string_view>

namespace stillhand::data {
extern const std::string_view manner_home_json;
extern const std::string_view manner_closest_json;
}  // namespace stillhand::data
