#include "write/track_time.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>

namespace stillhand::write {
namespace {

// Parts of a count: counts have 480, 960, 1440 or 1920 ticks, and this is divisible by them all.
constexpr std::int64_t kParts = 5760;
constexpr std::int64_t kMillisecondsPerMinute = 60'000;
constexpr std::int64_t kPercent = 100;

}  // namespace

TrackTime::TrackTime(const perform::Performance& performance, int tempo_percent)
    : counts_per_minute_percent_(std::int64_t{performance.tempo.value()} * tempo_percent) {
  assert(counts_per_minute_percent_ > 0);
  assert(!performance.meters.empty());
  for (const auto& [start, meter] : performance.meters) {
    const int count = meter.count_length().value();
    assert(kParts % count == 0);
    Stretch stretch{start, 0, kParts / count};
    if (!stretches_.empty()) {
      const Stretch& before = stretches_.back();
      stretch.parts_before =
          before.parts_before + (start - before.start).value() * before.parts_per_tick;
    }
    stretches_.push_back(stretch);
  }
}

Milliseconds TrackTime::at(music::Tick tick) const {
  const auto after =
      std::upper_bound(stretches_.begin() + 1, stretches_.end(), tick,
                       [](music::Tick t, const Stretch& stretch) { return t < stretch.start; });
  const Stretch& stretch = *(after - 1);
  const std::int64_t parts =
      stretch.parts_before + (tick - stretch.start).value() * stretch.parts_per_tick;
  const std::int64_t over = parts * kMillisecondsPerMinute * kPercent;
  const std::int64_t under = kParts * counts_per_minute_percent_;
  return Milliseconds((2 * over + under) / (2 * under));
}

std::string clock_text(Milliseconds time, char mark) {
  const std::int64_t all = time.count();
  return fmt::format("{:02}:{:02}:{:02}{}{:03}", all / 3'600'000, all / 60'000 % 60,
                     all / 1000 % 60, mark, all % 1000);
}

}  // namespace stillhand::write
