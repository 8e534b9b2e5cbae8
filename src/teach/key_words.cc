#include "teach/key_words.h"

#include <fmt/format.h>

#include <algorithm>

#include "teach/words.h"

namespace stillhand::teach {
namespace {

using arrange::KeyOption;
using arrange::KeyPart;
using music::Semitones;

std::string shown(const music::Pitch& pitch) {
  return music::display(pitch.name) + std::to_string(pitch.octave);
}

std::int64_t value_of(const KeyOption& option, KeyPart part) {
  const auto found = std::find_if(option.parts.begin(), option.parts.end(),
                                  [&](const auto& v) { return v.part == part; });
  return found->value;
}

std::string times(int number, std::string_view thing) {
  return fmt::format("{} {}{}", number, thing, number == 1 ? "" : "s");
}

std::string movement(const KeyOption& option) {
  const std::int64_t percent = value_of(option, KeyPart::movement);
  return percent == 0 ? "the right hand has it easiest"
                      : fmt::format("the right hand's cost is {} % above the least", percent);
}

std::string black_keys(const KeyOption& option) {
  const std::int64_t percent = value_of(option, KeyPart::black_keys);
  return percent == 0 ? "hardly a note on a black key"
                      : fmt::format("{} % of the notes on black keys", percent);
}

std::string left_hand(const KeyOption& option) {
  std::string out = value_of(option, KeyPart::second_position) == 0
                        ? "left hand in one position"
                        : "left hand with " + times(option.shifts, "shift");
  if (option.reaches > 0) out += fmt::format(" and {}", times(option.reaches, "reach"));
  return option.reaches > 1 ? out.substr(0, out.size() - 1) + "es" : out;
}

std::string reading(const KeyOption& option) {
  const int fifths = option.tonality.fifths();
  if (fifths == 0) return "no sharps or flats";
  return times(std::abs(fifths), fifths > 0 ? "sharp" : "flat");
}

}  // namespace

std::string range_in_words(const arrange::RangeFit& fit, const chart::Range& singers) {
  const std::string_view octave = fit.octaves_up < 0   ? ", sung an octave lower"
                                  : fit.octaves_up > 0 ? ", sung an octave higher"
                                                       : "";
  const std::string melody =
      fmt::format("melody {} to {}{}", shown(fit.melody.lowest), shown(fit.melody.highest), octave);
  std::string out;
  if (fit.above > Semitones(0)) {
    out +=
        fmt::format(": top note {} is {} above {}", shown(fit.melody.highest),
                    distance_in_words(singers.highest, fit.melody.highest), shown(singers.highest));
  }
  if (fit.below > Semitones(0)) {
    out += fmt::format("{} lowest note {} is {} below {}", out.empty() ? ":" : ",",
                       shown(fit.melody.lowest),
                       distance_in_words(singers.lowest, fit.melody.lowest), shown(singers.lowest));
  }
  return melody + out;
}

std::vector<std::string> reasons(const KeyOption& option, const chart::Range& singers) {
  std::vector<std::string> out;
  if (option.range) out.push_back(range_in_words(*option.range, singers));
  if (!option.can_be_played()) {
    for (const Diagnostic& error : option.errors) out.push_back(error.message);
    return out;
  }
  out.push_back(movement(option));
  out.push_back(black_keys(option));
  out.push_back(left_hand(option));
  out.push_back(reading(option));
  return out;
}

}  // namespace stillhand::teach
