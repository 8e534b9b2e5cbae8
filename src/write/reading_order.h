// The order in which a reader looks titles up: without regard to case, accents and punctuation.
//
//   reading_order("'Twas Évening") == reading_order("twas evening")
//
// By Unicode's canonical decomposition and case folding (TR 15, TR 21), then by code points; no language's own alphabet.
#pragma once

#include <string>
#include <string_view>

namespace stillhand::write {

// A key to compare. `text`: valid UTF-8 or not.
std::string reading_order(std::string_view text);

}  // namespace stillhand::write
