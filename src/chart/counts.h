// How long each token of a bar lasts, and what to say when it does not come out.
#pragma once

#include <string>
#include <vector>

#include "chart/text.h"

namespace stillhand::chart {

// A chord, hold or N.C. with its duration, groups opened.
struct TimedToken {
  const Token* token = nullptr;
  Tick duration;
};

// Chords of a bar share its counts evenly when they divide them; with a dash or a parenthesis every
// top-level token is one count. In a pick-up always the latter. An error is reported and gives an
// empty list.
std::vector<TimedToken> time_tokens(const BarText& bar, Meter meter, Report& report);
std::vector<TimedToken> time_pick_up(const BarText& bar, Meter meter, Report& report);

}  // namespace stillhand::chart
