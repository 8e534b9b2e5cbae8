// Why a key stands where it stands, in words.
//
//   reasons(option, singers)   // "melody D4 to E5: top note E5 is a whole step above D5", "6 % of the notes on black keys" …
#pragma once

#include <string>
#include <vector>

#include "arrange/keys.h"

namespace stillhand::teach {

// "melody D4 to E5: top note E5 is a whole step above D5", "melody G3 to C4, sung an octave lower".
std::string range_in_words(const arrange::RangeFit& fit, const chart::Range& singers);

// Short clauses without a full stop: range, movement, black keys, left hand, reading; or why the key cannot be played.
std::vector<std::string> reasons(const arrange::KeyOption& option, const chart::Range& singers);

}  // namespace stillhand::teach
