// What the plans claim about learning and health, each with where it comes from.
//
//   source(Claim::sections)      // "R. Chaffin and G. Imreh, “Pulling teeth and torture”, Thinking & Reasoning 3(4), …"
//
// A plan marks each claim; whoever writes it prints the sources once, numbered by first use. What only teachers' custom
// stands behind says so: Claim::custom.
#pragma once

#include <string_view>
#include <vector>

namespace stillhand::teach {

enum class Claim {
  custom,            // common practice, no source
  judgement,         // ours
  model,             // hearing the piece played helps
  few_at_once,       // three to five new things
  right_and_stable,  // how many runs were right counts, not how long one practised
  sections,          // stop and start at sections
  nights_between,    // a night between two sessions
  not_minutes,       // gaps of minutes do not do the same
  slow_practice,     // nearly everybody practises slowly
  warm_up,           // and breaks, and no sudden increase
  long_stretches,    // three quarters of an hour without a break
  listening_level,
};

std::string_view source(Claim claim);
const std::vector<Claim>& all_claims();

}  // namespace stillhand::teach
