// Hand sizes and finger-pair spans (data/finger_spans.tsv, after Balliauw et al. 2017).
//
//   HandSize medium = HandSize::medium();
//   medium.span(Finger(1), Finger(5)).max_practical == SpanUnits(16)    // a ninth
//   HandSize::from_span(Millimetre(2010))  // 201 mm, thumb to little finger, flat
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>

#include "hand/finger.h"
#include "hand/geometry.h"

namespace stillhand::hand {

// For a finger pair (lower-numbered finger first, right hand, going up). Negative: the thumb passed
// under.
struct Span {
  SpanUnits min_practical, min_comfortable, min_relaxed, max_relaxed, max_comfortable,
      max_practical;
};

class HandSize {
 public:
  static HandSize small();  // comfortable to a seventh, reach an octave
  static HandSize medium();
  static HandSize large();                                      // reach a tenth
  static std::optional<HandSize> named(std::string_view name);  // "small", "medium", "large"
  // A hand measured flat, thumb tip to little finger tip, 120–280 mm. The nearest published table
  // is taken (small below 185 mm, medium below 216 mm, large from there) and the
  // thumb–little-finger row is replaced: practical up to span - 5 mm, comfortable up to span - 50
  // mm (inference from Boyle et al. 2015, see data/finger_spans.tsv).
  static std::optional<HandSize> from_span(Millimetre span);
  // The same hand, which may never stretch farther, key centre to key centre, however far its fingers would reach. No
  // pair of fingers then spans more than the widest pair of keys so far apart.
  HandSize stretching_at_most(Millimetre limit) const;
  bool may_span(PianoKey low, PianoKey high) const;  // within that limit; without one, always

  const Span& span(Finger low_numbered, Finger high_numbered) const;
  const std::string& name() const { return name_; }  // "medium", "201 mm", "small (stretch 129 mm)"
  bool may_play_octaves() const;  // an octave is comfortable; never for the small hand

 private:
  std::string name_;
  std::array<Span, 10> spans_{};
  std::optional<Millimetre> limit_;
};

}  // namespace stillhand::hand
