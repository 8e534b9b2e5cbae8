#include "write/caption_cuts.h"

#include <algorithm>
#include <cassert>
#include <cstdint>
#include <limits>
#include <optional>

namespace stillhand::write {
namespace {

// More than any sum of other prices (our judgement): too short a cue is the last resort.
constexpr std::int64_t kTooShort = 1'000'000'000;

struct Best {
  std::int64_t price = std::numeric_limits<std::int64_t>::max();
  std::size_t from = 0;
};

}  // namespace

std::vector<std::size_t> cheapest_cuts(const std::vector<CuePlace>& places) {
  if (places.size() < 2) return {};
  std::vector<Best> best(places.size());
  best.front() = {0, 0};
  for (std::size_t to = 1; to < places.size(); ++to) {
    assert(places[to].at > places[to - 1].at);
    std::int64_t passed = 0;
    for (std::size_t from = to; from-- > 0;) {
      const Milliseconds length = places[to].at - places[from].at;
      if (length > kLongestCue) break;
      const std::int64_t too_short = length < kShortestCue ? kTooShort : 0;
      const std::int64_t price = best[from].price + passed + places[to].price_of_cut + too_short;
      if (price <= best[to].price) best[to] = {price, from};
      passed += places[from].price_of_passing;
    }
    assert(best[to].price < std::numeric_limits<std::int64_t>::max());
  }
  std::vector<std::size_t> cuts;
  for (std::size_t at = places.size() - 1; at > 0; at = best[at].from) cuts.push_back(at);
  cuts.push_back(0);
  std::reverse(cuts.begin(), cuts.end());
  return cuts;
}

}  // namespace stillhand::write
