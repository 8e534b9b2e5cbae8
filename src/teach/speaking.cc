#include "teach/speaking.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>

#include "teach/count_aloud.h"
#include "teach/words.h"

namespace stillhand::teach {
namespace {

constexpr music::PianoKey kMiddleC{60};

std::string finger_on(Finger finger, const std::string& note) {
  return fmt::format("{} on {}", hand::name(finger), note);
}

// "the second"
std::string nth(int number) {
  constexpr std::array<std::string_view, 5> kWords{"the", "the second", "the third", "the fourth",
                                                   "the fifth"};
  return std::string(kWords[static_cast<std::size_t>(std::clamp(number, 0, 4))]);
}

// What a hand does at a moment, in the words of docs/patterns.md.
std::string stroke_in_words(const std::string& step) {
  static const std::vector<std::pair<std::string, std::string>> kWords{
      {"bass", "the bass note"},    {"third", "the third"},
      {"fifth", "the fifth"},       {"octave", "the octave"},
      {"chord", "the chord"},       {"low", "the lowest key"},
      {"middle", "the middle key"}, {"high", "the highest key"},
      {"upper", "the upper keys"},  {"next", "what the next bar brings, early,"}};
  std::string out;
  std::string_view rest = step;
  while (!rest.empty()) {
    const std::size_t end = std::min(rest.find('+'), rest.size());
    const std::string part(rest.substr(0, end));
    rest.remove_prefix(std::min(end + 1, rest.size()));
    const auto found = std::find_if(kWords.begin(), kWords.end(),
                                    [&](const auto& known) { return known.first == part; });
    out += (out.empty() ? "" : " with ") + (found == kWords.end() ? part : found->second);
  }
  return out;
}

}  // namespace

std::string capitalised(std::string text) {
  if (!text.empty() && text.front() >= 'a' && text.front() <= 'z')
    text.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(text.front())));
  return text;
}

std::string Speaker::chord(std::size_t shape) const {
  const TaughtShape& taught = lesson_.shapes.at(shape);
  const std::string symbol = music::display_symbol(taught.chord, lesson_.note_names);
  return taught.where.empty() ? symbol : fmt::format("{} (in {})", symbol, taught.where);
}

std::string Speaker::chords(const std::vector<std::size_t>& shapes) const {
  std::vector<std::string> names;
  for (const std::size_t shape : shapes) names.push_back(chord(shape));
  return list_in_words(names);
}

std::string Speaker::note(const Pitch& pitch) const {
  return display(pitch.name, lesson_.note_names);
}

std::string Speaker::fingers(std::size_t shape) const {
  std::vector<std::string> parts;
  for (const hand::ShapeNote& played : lesson_.shapes.at(shape).shape.notes)
    parts.push_back(finger_on(played.finger, note(played.pitch)));
  return fmt::format("{}", fmt::join(parts, ", "));
}

std::string Speaker::place(const Pitch& pitch) const {
  const std::string middle_c = "middle " + display(*music::parse_note("C"), lesson_.note_names);
  const int above = (pitch.key() - kMiddleC).value();
  if (above == 0) return middle_c;
  const int octaves = (std::abs(above) - 1) / 12;
  return fmt::format("{} {} {} {}", nth(octaves), note(pitch), above > 0 ? "above" : "below",
                     middle_c);
}

std::string Speaker::pair(const Move& move) const {
  return fmt::format("{} to {}", chord(move.from), chord(move.to));
}

std::string Speaker::move(const Move& move) const {
  return fmt::format("From {}. {}", pair(move), move.words);
}

std::vector<std::string> Speaker::left_hand(const SectionPosition& entry) const {
  std::vector<std::string> out;
  if (!entry.position.is_open()) {
    std::vector<std::string> keys;
    for (const Pitch& pitch : entry.position.keys) keys.push_back(note(pitch));
    out.push_back(fmt::format("Left hand: little finger on {}, {}.",
                              note(entry.position.little_finger()),
                              place(entry.position.little_finger())));
    out.push_back(fmt::format("From there one finger to a key: {}; the thumb comes to lie on {}.",
                              fmt::join(keys, ", "), note(entry.position.thumb())));
  } else {
    out.emplace_back("Left hand: it lies on no five keys here, it goes along with the bass.");
  }
  for (const std::string& remark : entry.remarks) out.push_back(capitalised(remark) + ".");
  return out;
}

std::string Speaker::left_hand_remark(const std::string& remark) {
  constexpr std::string_view kHere = "hand shifts";
  constexpr std::string_view kAfter = "after it the hand shifts";
  if (remark.starts_with(kHere)) return "The left " + remark + ".";
  if (remark.starts_with(kAfter))
    return fmt::format("After it the left hand shifts{}.", remark.substr(kAfter.size()));
  return "Left hand: " + remark + ".";
}

std::string Speaker::bass_fingers(const SheetSection& section) const {
  std::vector<std::string> known;
  std::string out;
  for (const SheetLine& line : section.lines) {
    for (const SheetBar& bar : line.bars) {
      for (const SheetChord& chord : bar.chords) {
        if (!chord.bass) continue;
        const std::string symbol = music::display_symbol(chord.chord, lesson_.note_names);
        const bool is_plain =
            chord.chord.find('/') == std::string::npos && chord.bass->reach == arrange::Reach::none;
        const std::string entry =
            symbol + ", " +
            (is_plain ? std::string(hand::name(chord.bass->finger))
                      : finger_on(chord.bass->finger, note(chord.bass->pitch)));
        if (std::find(known.begin(), known.end(), entry) != known.end()) continue;
        known.push_back(entry);
        out += (out.empty() ? "Under the chords: " : "; ") + entry;
      }
    }
  }
  return out.empty() ? out : out + ".";
}

std::string Speaker::hand_part(const TaughtPattern& pattern,
                               std::string PatternMoment::*hand) const {
  struct Stroke {
    std::string what;
    std::vector<std::string> when;
  };
  std::vector<Stroke> strokes;
  std::string count;  // the last one counted
  for (const PatternMoment& moment : pattern.moments) {
    const bool is_number = !moment.label.empty() && moment.label != "and";
    if (is_number) count = number_in_words(std::stoi(moment.label));
    const std::string& step = moment.*hand;
    if (step == "-" || step == "rest") continue;
    const std::string when = is_number              ? count
                             : moment.label.empty() ? "just after " + count
                                                    : "the “and” of " + count;
    const std::string what = stroke_in_words(step);
    const auto known = std::find_if(strokes.begin(), strokes.end(),
                                    [&](const Stroke& stroke) { return stroke.what == what; });
    if (known != strokes.end() && moment.label == "and" && known->when.back() == count) {
      known->when.back() += "-and";
    } else if (known != strokes.end()) {
      known->when.push_back(when);
    } else {
      strokes.push_back({what, {when}});
    }
  }
  std::string out;
  for (const Stroke& stroke : strokes) {
    out +=
        fmt::format("{}{} on {}", out.empty() ? "" : "; ", stroke.what, list_in_words(stroke.when));
  }
  return out;
}

std::vector<std::string> Speaker::pattern(const TaughtPattern& pattern) const {
  std::vector<std::string> out;
  if (!pattern.says.empty()) out.push_back(pattern.says);
  // A chord that comes is always struck (perform/performance.h).
  const std::string left = hand_part(pattern, &PatternMoment::left);
  const std::string right = hand_part(pattern, &PatternMoment::right);
  out.push_back("Left hand: " +
                (left.empty() ? "the bass note when the chord comes, and hold it" : left) + ".");
  out.push_back("Right hand: " + (right.empty() ? "the chord when it comes, and hold it" : right) +
                ".");
  return out;
}

}  // namespace stillhand::teach
