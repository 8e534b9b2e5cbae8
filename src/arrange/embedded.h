// Tables and manners that stand in data/ and are built into the program.
#pragma once

#include <string_view>

namespace stillhand::data {
extern const std::string_view manner_home_json;
extern const std::string_view manner_closest_json;
extern const std::string_view extras_tsv;
extern const std::string_view levels_tsv;
extern const std::string_view difficulty_tsv;
extern const std::string_view difficulty_scale_tsv;
extern const std::string_view key_choice_tsv;
}  // namespace stillhand::data
