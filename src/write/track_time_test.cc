#include "write/track_time.h"

#include <gtest/gtest.h>

#include <cmath>

#include "write/demo_lesson.h"

namespace stillhand::write {
namespace {

using music::Tick;

perform::Performance at_tempo(int tempo) {
  perform::Performance p;
  p.tempo = music::Tempo(tempo);
  p.meters = {{Tick(0), *music::Meter::make(4, 4)}};
  return p;
}

TEST(TrackTime, ACountLastsAMinuteOverTheTempo) {
  const TrackTime time(at_tempo(66), 100);
  EXPECT_EQ(time.at(Tick(0)).count(), 0);
  EXPECT_EQ(time.at(Tick(960)).count(), 909);
  EXPECT_EQ(time.at(Tick(960 * 66)).count(), 60'000);
  const TrackTime slow(at_tempo(66), 60);
  EXPECT_EQ(slow.at(Tick(960 * 66)).count(), 100'000);
}

// 125 counts a minute: a tick is half a millisecond.
TEST(TrackTime, AHalfIsRoundedUp) {
  const TrackTime time(at_tempo(125), 100);
  EXPECT_EQ(time.at(Tick(1)).count(), 1);
  EXPECT_EQ(time.at(Tick(2)).count(), 1);
  EXPECT_EQ(time.at(Tick(3)).count(), 2);
  EXPECT_EQ(time.at(Tick(2'000'000'001)).count(), 1'000'000'001);
}

TEST(TrackTime, IsPerformSecondsToHalfAMillisecond) {
  for (unsigned seed = 0; seed < 200; ++seed) {
    const perform::Performance p = test::random_performance(seed);
    for (const int percent : {10, 60, 97, 100, 400}) {
      const TrackTime time(p, percent);
      for (const auto& click : p.clicks) {
        const double wanted = 1000 * perform::seconds(p, click.start, percent);
        EXPECT_NEAR(static_cast<double>(time.at(click.start).count()), wanted, 0.5 + 1e-6);
      }
    }
  }
}

TEST(TrackTime, ClockText) {
  EXPECT_EQ(clock_text(Milliseconds(0), '.'), "00:00:00.000");
  EXPECT_EQ(clock_text(Milliseconds(3'723'045), ','), "01:02:03,045");
  EXPECT_EQ(clock_text(Milliseconds(360'000'000), '.'), "100:00:00.000");
}

}  // namespace
}  // namespace stillhand::write
