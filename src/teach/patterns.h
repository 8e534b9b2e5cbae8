// The patterns of a lesson, bar by bar in words. Inside the room.
#pragma once

#include <vector>

#include "arrange/arrangement.h"
#include "perform/pattern.h"
#include "teach/lesson.h"

namespace stillhand::teach {

// Of a plan without sections: the plain pulse in every section.
std::vector<TaughtPattern> taught_patterns(const arrange::Arrangement& a,
                                           const perform::PatternPlan& plan);

// What both hands do at each moment of a bar where one of them does something, and on every count.
std::vector<PatternMoment> moments(const perform::Pattern::Bars& bars, music::Meter meter);

}  // namespace stillhand::teach
