// Extras in words, the same at every place where they are offered.
//
//   places_in_words(song, extra)     // "Verse 1, line 2, bar 3; Chorus, line 1, bars 1–2"
//   price_in_words(extra.price)      // "harder for the right hand by 12 %, 1 shape more"
#pragma once

#include <string>

#include "arrange/extras.h"
#include "arrange/student.h"

namespace stillhand::teach {

// "Verse 1, line 2, bar 3"
std::string place_in_words(const chart::Song& song, const arrange::ExtraPlace& place);
// All of them, at most four by name.
std::string places_in_words(const chart::Song& song, const arrange::Extra& extra);
std::string price_in_words(const arrange::ExtraPrice& price);

// What the student knows, and what the next level brings: of a student without a level, the lowest one with something new.
arrange::Skills skills_within_reach(const arrange::Student& student);

}  // namespace stillhand::teach
