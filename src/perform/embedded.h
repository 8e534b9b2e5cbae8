// Tables that stand in data/ and are built into the program.
#pragma once

#include <string_view>

namespace stillhand::data {
extern const std::string_view patterns_txt;
}
