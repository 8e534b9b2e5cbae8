// The left hand of one time through a section, in words: where it lies, what it plays on its rung, how it walks.
//
//   left_hand_of(arrangement, first, last, NoteNames::english)     // for the chords [first, last): one entry for each place of the hand
//
// Every sentence is made from the keys and fingers of the Arrangement.
#pragma once

#include <string>
#include <vector>

#include "teach/lesson.h"

namespace stillhand::teach {

// Precondition: the chords belong to one section and one time through it.
std::vector<SectionPosition> left_hand_of(const arrange::Arrangement& arrangement,
                                          std::size_t first, std::size_t last,
                                          music::NoteNames names);

// "thumb reaches up a whole step to B". Precondition: the finger leaves its key of the position.
std::string reach_in_words(const arrange::BassNote& note, const arrange::Position& position,
                           music::NoteNames names);

}  // namespace stillhand::teach
