// Files that stand in data/ and are built into the program.
#pragma once

#include <string_view>

namespace stillhand::data {
extern const std::string_view fonts_conf;
// The student's page, built from web/student.
extern const std::string_view student_page;
extern const std::string_view student_script;
extern const std::string_view student_style;
}  // namespace stillhand::data
