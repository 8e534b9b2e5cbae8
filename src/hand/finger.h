// Fingers, numbered as pianists number them: 1 = thumb … 5 = little finger, in both hands.
#pragma once

#include <compare>
#include <cstdint>
#include <string_view>

namespace stillhand::hand {

class Finger {
 public:
  constexpr Finger() = default;
  constexpr explicit Finger(int number) : number_(static_cast<std::int8_t>(number)) {}  // 1–5
  constexpr int number() const { return number_; }
  friend constexpr auto operator<=>(Finger, Finger) = default;

 private:
  std::int8_t number_ = 1;
};

inline constexpr Finger kThumb{1};
inline constexpr Finger kLittleFinger{5};

// "thumb", "finger 2", "finger 3", "finger 4", "little finger"
std::string_view name(Finger finger);

enum class Hand : std::int8_t { right, left };

}  // namespace stillhand::hand
