#include "write/caption_cuts.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <rapidcheck/gtest.h>
#include <optional>

namespace stillhand::write {
namespace {

using namespace std::chrono_literals;
using ::testing::ElementsAre;
using ::testing::IsEmpty;

TEST(CaptionCuts, CutsWhereItIsDearToPass) {
  EXPECT_THAT(cheapest_cuts({{0ms}, {2000ms, 0, 4}, {4000ms}}), ElementsAre(0, 1, 2));
  EXPECT_THAT(cheapest_cuts({{0ms}, {2000ms, 2, 0}, {4000ms}}), ElementsAre(0, 2));
}

TEST(CaptionCuts, NothingShorterThanASecondOrLongerThanEight) {
  EXPECT_THAT(cheapest_cuts({{0ms}, {999ms, 0, 99}, {2500ms}}), ElementsAre(0, 2));
  EXPECT_THAT(cheapest_cuts({{0ms}, {1000ms, 0, 99}, {2500ms}}), ElementsAre(0, 1, 2));
  EXPECT_THAT(cheapest_cuts({{0ms}, {3000ms, 50, 0}, {8000ms}}), ElementsAre(0, 2));
  EXPECT_THAT(cheapest_cuts({{0ms}, {3000ms, 50, 0}, {8001ms}}), ElementsAre(0, 1, 2));
}

TEST(CaptionCuts, AShortChordGoesWhereItCostsLess) {
  EXPECT_THAT(cheapest_cuts({{0ms}, {3000ms, 0, 4}, {3900ms, 0, 8}, {7000ms}}),
              ElementsAre(0, 2, 3));
}

TEST(CaptionCuts, ATrackShorterThanASecondIsOneCue) {
  EXPECT_THAT(cheapest_cuts({{0ms}, {400ms, 0, 9}, {900ms}}), ElementsAre(0, 2));
  EXPECT_THAT(cheapest_cuts({{0ms}}), IsEmpty());
  EXPECT_THAT(cheapest_cuts({}), IsEmpty());
}

// The price of a cutting, counted plainly; nullopt if it is not allowed.
std::optional<int> price(const std::vector<CuePlace>& places, unsigned chosen) {
  int sum = 0;
  std::size_t from = 0;
  for (std::size_t i = 1; i < places.size(); ++i) {
    const bool cut = i + 1 == places.size() || ((chosen >> i) & 1U) != 0;
    if (!cut) {
      sum += places[i].price_of_passing;
      continue;
    }
    const Milliseconds length = places[i].at - places[from].at;
    if (length < kShortestCue || length > kLongestCue) return std::nullopt;
    sum += places[i].price_of_cut;
    from = i;
  }
  return sum;
}

RC_GTEST_PROP(CaptionCutsProperty, NoOtherCuttingIsCheaper, ()) {
  std::vector<CuePlace> places{{0ms}};
  for (int n = *rc::gen::inRange(3, 11); n > 0; --n) {
    places.push_back({places.back().at + Milliseconds(*rc::gen::inRange(200, 4001)),
                      *rc::gen::inRange(0, 9), *rc::gen::inRange(0, 9)});
  }
  unsigned chosen = 0;
  for (const std::size_t cut : cheapest_cuts(places)) chosen |= 1U << cut;
  const auto taken = price(places, chosen);
  for (unsigned other = 0; other < 1U << places.size(); ++other) {
    const auto theirs = price(places, other);
    if (!theirs) continue;
    RC_ASSERT(taken.has_value());
    RC_ASSERT(*taken <= *theirs);
  }
}

}  // namespace
}  // namespace stillhand::write
