// Meter, counts and ticks: how long things last.
//
//   Meter six_eight = *Meter::make(6, 8);
//   six_eight.counts() == Count(2);
//   six_eight.count_length() == Tick(1440);  // a dotted quarter
//
// One quarter note is 960 ticks, so a count of any meter divides exactly by 2, 3, 4, 5, 6 and 8.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "base/strong.h"

namespace stillhand::music {

struct TickTag;
using Tick = Amount<TickTag, int>;
inline constexpr Tick kQuarter{960};

struct CountTag;
using Count = Amount<CountTag, int>;  // whole counts

class Meter {
 public:
  constexpr Meter() = default;
  // Supported: 1–12 over 4, 1–6 over 2, and 3/8 6/8 9/8 12/8 5/8 7/8. Anything else is nullopt.
  static std::optional<Meter> make(int upper, int lower);

  constexpr int upper() const { return upper_; }
  constexpr int lower() const { return lower_; }
  // The quarter in x/4, the half in x/2, the dotted quarter in 3/8 6/8 9/8 12/8, the eighth in 5/8
  // and 7/8.
  Tick count_length() const;
  Count counts() const;
  Tick bar_length() const { return count_length() * counts().value(); }
  bool is_compound() const;
  friend constexpr auto operator<=>(const Meter&, const Meter&) = default;

 private:
  constexpr Meter(int upper, int lower) : upper_(upper), lower_(lower) {}
  int upper_ = 4;
  int lower_ = 4;
};

std::optional<Meter> parse_meter(std::string_view text);  // "6/8"
std::string text(Meter meter);

// Tempo in counts per minute, 10–400 (our judgement: outside it no song is counted).
struct TempoTag;
using Tempo = Amount<TempoTag, int>;
inline constexpr Tempo kSlowestTempo{10};
inline constexpr Tempo kFastestTempo{400};

}  // namespace stillhand::music
