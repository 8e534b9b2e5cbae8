// Approved texts in golden/ at the root.
//
//   expect_golden(STILLHAND_SOURCE_DIR, "chart_messages.txt", now);  // STILLHAND_UPDATE_GOLDENS=1 writes it anew
#pragma once

#include <string>
#include <string_view>

namespace stillhand::testing {

// A GoogleTest expectation: the file's content is `now`, byte for byte.
void expect_golden(const std::string& root, const std::string& name, std::string_view now);

}  // namespace stillhand::testing
