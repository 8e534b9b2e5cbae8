#include "music/meter.h"

#include <charconv>

namespace stillhand::music {

std::optional<Meter> Meter::make(int upper, int lower) {
  const bool quarters = lower == 4 && upper >= 1 && upper <= 12;
  const bool halves = lower == 2 && upper >= 1 && upper <= 6;
  const bool eighths = lower == 8 && (upper == 3 || upper == 5 || upper == 6 || upper == 7 ||
                                      upper == 9 || upper == 12);
  if (!quarters && !halves && !eighths) return std::nullopt;
  return Meter(upper, lower);
}

bool Meter::is_compound() const { return lower_ == 8 && upper_ % 3 == 0; }

Tick Meter::count_length() const {
  if (is_compound()) return kQuarter * 3 / 2;
  return kQuarter * 4 / lower_;
}

Count Meter::counts() const { return Count(is_compound() ? upper_ / 3 : upper_); }

std::optional<Meter> parse_meter(std::string_view text) {
  int upper = 0;
  int lower = 0;
  const char* end = text.data() + text.size();
  const auto first = std::from_chars(text.data(), end, upper);
  if (first.ec != std::errc{} || first.ptr == end || *first.ptr != '/') return std::nullopt;
  const auto second = std::from_chars(first.ptr + 1, end, lower);
  if (second.ec != std::errc{} || second.ptr != end) return std::nullopt;
  return Meter::make(upper, lower);
}

std::string text(Meter meter) {
  return std::to_string(meter.upper()) + "/" + std::to_string(meter.lower());
}

}  // namespace stillhand::music
