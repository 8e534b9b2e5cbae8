#include "desk/pace.h"

#include <gtest/gtest.h>

namespace stillhand::desk {
namespace {

using namespace std::chrono_literals;
const Pace::Clock::time_point kStart{};

int taken(Pace& pace, int asked, Pace::Clock::time_point now) {
  int out = 0;
  for (int i = 0; i < asked; ++i) out += pace.refusal(now) ? 0 : 1;
  return out;
}

TEST(Pace, TakesSoManyAtOnceAndThenSoManyASecond) {
  Pace pace({.a_second = 10, .at_once = 30});
  EXPECT_EQ(taken(pace, 100, kStart), 30);
  EXPECT_EQ(taken(pace, 100, kStart + 100ms), 1);
  EXPECT_EQ(taken(pace, 100, kStart + 1100ms), 10);
  EXPECT_EQ(taken(pace, 100, kStart + 1h), 30) << "a long rest fills it, and no more";
}

TEST(Pace, SaysHowLongToWait) {
  Pace pace({.a_second = 10, .at_once = 1});
  EXPECT_EQ(pace.refusal(kStart), std::nullopt);
  EXPECT_EQ(pace.refusal(kStart), 1s);
  EXPECT_EQ(pace.refusal(kStart + 1s), std::nullopt) << "who waits so long comes in";
}

TEST(Pace, AClockThatStandsStillGivesNothing) {
  Pace pace({.a_second = 10, .at_once = 2});
  EXPECT_EQ(taken(pace, 5, kStart + 1s), 2);
  EXPECT_EQ(taken(pace, 5, kStart), 0) << "nor one that goes back";
  EXPECT_EQ(taken(pace, 5, kStart + 1s), 0);
}

}  // namespace
}  // namespace stillhand::desk
