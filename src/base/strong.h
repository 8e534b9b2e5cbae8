// Small number types with a meaning: Semitones, PianoKey, Tick, Cost and Millimetre do not mix by
// accident.
//
//   struct SemitonesTag;  using Semitones = Amount<SemitonesTag, int>;
//   Semitones a{2}, b{3};  a + b;  a * 2;  a < b;  a.value();      // a + 3 does not compile
//
// Amount: a quantity that can be added and scaled (Semitones, Tick, Cost, Millimetre).
#pragma once

#include <compare>
#include <cstdint>

namespace stillhand {

template <class Tag, class Rep>
class Amount {
 public:
  using rep = Rep;
  constexpr Amount() = default;
  constexpr explicit Amount(Rep value) : value_(value) {}
  constexpr Rep value() const { return value_; }

  constexpr Amount operator-() const { return Amount(static_cast<Rep>(-value_)); }
  constexpr Amount& operator+=(Amount o) {
    value_ = static_cast<Rep>(value_ + o.value_);
    return *this;
  }
  constexpr Amount& operator-=(Amount o) {
    value_ = static_cast<Rep>(value_ - o.value_);
    return *this;
  }
  friend constexpr Amount operator+(Amount a, Amount b) { return a += b; }
  friend constexpr Amount operator-(Amount a, Amount b) { return a -= b; }
  friend constexpr Amount operator*(Amount a, Rep n) {
    return Amount(static_cast<Rep>(a.value_ * n));
  }
  friend constexpr Amount operator*(Rep n, Amount a) { return a * n; }
  friend constexpr Amount operator/(Amount a, Rep n) {
    return Amount(static_cast<Rep>(a.value_ / n));
  }
  friend constexpr auto operator<=>(Amount, Amount) = default;

 private:
  Rep value_{};
};

template <class Tag, class Rep>
constexpr Amount<Tag, Rep> abs(Amount<Tag, Rep> a) {
  return a.value() < 0 ? -a : a;
}

}  // namespace stillhand
