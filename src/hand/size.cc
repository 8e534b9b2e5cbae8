#include "hand/size.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>

#include "hand/embedded.h"
#include "hand/span_table.h"

namespace stillhand::hand {
namespace {

constexpr Millimetre kSmallestSpan{1200};
constexpr Millimetre kLargestSpan{2800};
constexpr Millimetre kSmallBelow{
    1850};  // octaves are a struggle below it (Boyle, Boyle & Booker 2015)
constexpr Millimetre kMediumBelow{2160};  // "small hand" below it, after Farias et al. 2002
constexpr Millimetre kReachMargin{50};
constexpr Millimetre kComfortMargin{500};
constexpr int kOctaveUnits = 14;
constexpr int kOctaveTenths = 1640;

SpanUnits units_within(Millimetre reach) {
  return SpanUnits(reach.value() * kOctaveUnits / kOctaveTenths);
}

// The widest distance, in the units of the tables, of two keys that lie no farther apart than this.
SpanUnits widest_units(Millimetre limit) {
  SpanUnits widest(0);
  for (PianoKey low(0); low < PianoKey(12); low = low + Semitones(1)) {
    PianoKey high = low;
    while (distance(low, high + Semitones(1)) <= limit) high = high + Semitones(1);
    widest = std::max(widest, span_units(low, high));
  }
  return widest;
}

}  // namespace

HandSize HandSize::small() { return *named("small"); }
HandSize HandSize::medium() { return *named("medium"); }
HandSize HandSize::large() { return *named("large"); }

std::optional<HandSize> HandSize::named(std::string_view name) {
  if (name != "small" && name != "medium" && name != "large") return std::nullopt;
  HandSize size;
  size.name_ = name;
  size.spans_ = read_spans<Span, SpanUnits>(data::finger_spans_tsv, name);
  return size;
}

std::optional<HandSize> HandSize::from_span(Millimetre span) {
  if (span < kSmallestSpan || span > kLargestSpan) return std::nullopt;
  HandSize size = span < kSmallBelow ? small() : span < kMediumBelow ? medium() : large();
  size.name_ = fmt::format("{} mm", span.value() / 10);
  Span& widest = size.spans_[pair_index(1, 5)];
  widest.max_practical = units_within(span - kReachMargin);
  widest.max_comfortable = units_within(span - kComfortMargin);
  widest.max_relaxed = widest.max_comfortable - SpanUnits(2);
  widest.min_relaxed = std::min(widest.min_relaxed, widest.max_relaxed);
  // No pair of fingers reaches farther than thumb and little finger.
  for (Span& pair : size.spans_) {
    pair.max_practical = std::min(pair.max_practical, widest.max_practical);
    pair.max_comfortable = std::min(pair.max_comfortable, widest.max_comfortable);
    pair.max_relaxed = std::min(pair.max_relaxed, widest.max_relaxed);
  }
  return size;
}

HandSize HandSize::stretching_at_most(Millimetre limit) const {
  HandSize size = *this;
  size.limit_ = limit;
  size.name_ = fmt::format("{} (stretch {} mm)", name_, limit.value() / 10);
  const SpanUnits widest = widest_units(limit);
  for (Span& pair : size.spans_) {
    for (SpanUnits* value : {&pair.min_practical, &pair.min_comfortable, &pair.min_relaxed,
                             &pair.max_relaxed, &pair.max_comfortable, &pair.max_practical}) {
      *value = std::min(*value, widest);
    }
  }
  return size;
}

bool HandSize::may_span(PianoKey low, PianoKey high) const {
  return !limit_ || distance(low, high) <= *limit_;
}

const Span& HandSize::span(Finger low_numbered, Finger high_numbered) const {
  assert(low_numbered < high_numbered);
  return spans_[pair_index(low_numbered.number(), high_numbered.number())];
}

bool HandSize::may_play_octaves() const {
  return (!limit_ || limit_->value() >= kOctaveTenths) &&
         span(kThumb, kLittleFinger).max_comfortable >= SpanUnits(kOctaveUnits);
}

}  // namespace stillhand::hand
