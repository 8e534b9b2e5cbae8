// Files that are built into the program for the desk (room.cmake).
#pragma once

#include <string_view>

namespace stillhand::data {

extern const std::string_view demo_chart;  // examples/lamps-along-the-quay.stillhand
// The page (web/): its document, script, style and sign.
extern const std::string_view desk_page, desk_script, desk_style, desk_icon;

}  // namespace stillhand::data
