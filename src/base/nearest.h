// Finding the word somebody probably meant.
//
//   nearest("Chrous", {"Verse 1", "Chorus"}) -> "Chorus"
//   nearest("xyz",    {"Verse 1", "Chorus"}) -> nullopt: nothing is near
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace stillhand {

// The number of characters to add, drop, change or swap with a neighbour (optimal string alignment
// distance), in bytes of UTF-8.
int edit_distance(std::string_view a, std::string_view b);

// The nearest candidate, upper and lower case being the same, if at most a third of its characters
// (and one at least) differ. The first of equally near ones.
std::optional<std::string> nearest(std::string_view word,
                                   const std::vector<std::string>& candidates);

// ASCII letters in lower case; everything else stays.
std::string lower_case(std::string_view text);

}  // namespace stillhand
