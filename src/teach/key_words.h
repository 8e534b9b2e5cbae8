// Why a key stands where it stands, in words.
//
//   reasons(options[2], options)   // "melody D4 to E5: the top note E5 is a whole step above D5", "12 % dearer …"
#pragma once

#include <string>
#include <vector>

#include "arrange/keys.h"

namespace stillhand::teach {

// What the range says of this key; "" if the chart has none. "top note E5 is a whole step above D5".
std::string range_in_words(const arrange::RangeFit& fit, const chart::Range& singers);

// Short clauses without a full stop: range, movement, black keys, left hand, reading; or why the key cannot be played.
std::vector<std::string> reasons(const arrange::KeyOption& option, const chart::Range& singers);

}  // namespace stillhand::teach
