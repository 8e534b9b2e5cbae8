// Words as they are read, from words as they are sung.
//
//   joined_syllables("a-maz-ing")  == "amazing"        joined_syllables("a- maz-ing") == "amazing"
//
// A hyphen behind a letter goes, with the blanks after it, where a letter follows or the text ends.
#pragma once

#include <string>
#include <string_view>

namespace stillhand::write {

std::string joined_syllables(std::string_view words);

}  // namespace stillhand::write
