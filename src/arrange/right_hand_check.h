// A second opinion on every right hand: rules and cost worked out again from the song as performed,
// chord by chord, without the network of the search. An empty answer means that all is well.
#pragma once

#include <string>
#include <vector>

#include "arrange/arrange.h"

namespace stillhand::arrange {

// Complaints about: a chord without a shape or with two, keys that are not of the chord, fingers
// that cross or do not reach, the register, a pin not honoured, a customary fingering not kept, a
// second shape that is not allowed, a third one, a shape in another section than its own, and a
// stated cost that is not the real one.
std::vector<std::string> check_right_hand(const Arrangement& arrangement, const Choices& choices);

// The same for the shapes and the stated cost of the options; also a chord of the plain song that does not keep its shape
// and a bass note outside an option's line that is not what it was.
std::vector<std::string> check_options(const Arrangement& arrangement, const Choices& choices);

// The whole cost, added up chord by chord. Every chord must have its shape.
Cost plain_cost(const Arrangement& arrangement, const Choices& choices);

// The same for all passages of the options.
Cost options_cost(const Arrangement& arrangement, const Choices& choices);

}  // namespace stillhand::arrange
