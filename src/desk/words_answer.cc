// What may be typed. The text may be half written: what can be read of it counts.
#include <algorithm>
#include <array>
#include <set>
#include <span>
#include <string_view>

#include "base/nearest.h"
#include "chart/chart.h"
#include "chart/source.h"
#include "chart/symbol.h"
#include "chart/text.h"
#include "desk/answers.h"
#include "desk/body.h"
#include "perform/pattern.h"

namespace stillhand::desk {
namespace {

struct HeadWord {
  std::string_view word;
  std::string_view says;
};
// docs/chart.md
constexpr std::array<HeadWord, 16> kHeadWords{{
    {"title", "the song's title"},
    {"writers", "who wrote words and tune"},
    {"rights", "the rights line of the sheet"},
    {"key", "the key: D, Bb, F#m"},
    {"meter", "the meter: 4/4, 3/4, 6/8"},
    {"tempo", "counts a minute, such as 72"},
    {"range", "the melody's lowest and highest note: A3-B4"},
    {"pattern", "the accompaniment pattern, of the song or of a section"},
    {"section", "begins a section: its name"},
    {"pick-up", "a bar that is shorter, before the first one"},
    {"or", "another way to play the line above: its name"},
    {"pedal", "the bass note that stays, or off"},
    {"road map", "the sections in the order in which they are played"},
    {"shape", "pins a chord's shape: its keys, and perhaps its fingers"},
    {"left", "the left hand of the pattern above"},
    {"right", "the right hand of the pattern above"},
}};

struct Written {
  music::Tonality tonality;
  chart::Notation notation = chart::Notation::letters;
  std::vector<std::string> sections;
  std::vector<std::string> patterns;  // of its own
};

// Of the lines that can be read.
Written read(const std::string& text, const std::string& name) {
  Written out;
  const auto source = chart::Source::read(text, name);
  if (!source) return out;
  chart::Report report(*source);
  const chart::ChartText lines = chart::read_lines(*source, report);
  out.notation = lines.notation;
  bool has_key = false;
  for (std::size_t i = 0; i < lines.lines.size(); ++i) {
    const chart::TextLine& line = lines.lines[i];
    const std::string content = chart::collapsed(line.content.text);
    if (content.empty()) continue;
    if (line.kind == chart::LineKind::key && !has_key) {
      const auto tonality = music::parse_tonality(content);
      if (tonality) out.tonality = *tonality;
      has_key = tonality.has_value();
    } else if (line.kind == chart::LineKind::section) {
      out.sections.push_back(content);
    } else if (line.kind == chart::LineKind::pattern && i + 1 < lines.lines.size() &&
               (lines.lines[i + 1].kind == chart::LineKind::left ||
                lines.lines[i + 1].kind == chart::LineKind::right)) {
      out.patterns.push_back(content);
    }
  }
  if (const auto parsed = chart::parse(text, name); parsed && !has_key)
    out.tonality = parsed->song.tonality;
  return out;
}

class ChordWords {
 public:
  explicit ChordWords(const Written& written) : written_(written) {}

  Json all() {
    // Of the key: triads, sevenths, and the triads over their thirds and fifths.
    for (const bool with_seventh : {false, true}) {
      for (int degree = 1; degree <= 7; ++degree) {
        const auto suffix = of_key(degree, with_seventh);
        if (suffix) add({root(degree), *suffix, std::nullopt});
      }
    }
    for (const int degree : {1, 4, 5, 6, 2}) {
      for (const int up : {2, 4}) {
        if (const auto suffix = of_key(degree, false))
          add({root(degree), *suffix, root((degree - 1 + up) % 7 + 1)});
      }
    }
    for (const std::string_view suffix : {"sus4", "sus2", "add9", "6"}) {
      for (const int degree : {1, 4, 5}) {
        if (const auto chord = music::parse_chord(music::text(root(degree)) + std::string(suffix)))
          add(*chord);
      }
    }
    // The others: every root with the plain kinds.
    for (const std::string_view suffix :
         {"", "m", "7", "m7", "maj7", "sus4", "dim", "6", "9", "aug"}) {
      for (int pitch = 0; pitch < 12; ++pitch) {
        const music::NoteName name = written_.tonality.spell(music::PitchClass(pitch));
        if (const auto chord = music::parse_chord(music::text(name) + std::string(suffix)))
          add(*chord);
      }
    }
    return std::move(out_);
  }

 private:
  music::NoteName root(int degree) const { return written_.tonality.degree(degree); }

  // The chord of thirds on this degree, from the notes of the key.
  std::optional<music::ChordQuality> of_key(int degree, bool with_seventh) const {
    const auto step = [&](int up) {
      return music::semitones_up(root(degree), root((degree - 1 + up) % 7 + 1)).value();
    };
    static constexpr std::array<std::string_view, 4> kSevenths{"7", "m7", "maj7", "m7b5"};
    static constexpr std::array<std::string_view, 3> kTriads{"", "m", "dim"};
    for (const std::string_view suffix : with_seventh
                                             ? std::span<const std::string_view>(kSevenths)
                                             : std::span<const std::string_view>(kTriads)) {
      const auto chord = music::parse_chord(music::text(root(degree)) + std::string(suffix));
      if (!chord) continue;
      std::set<int> wanted{0, step(2), step(4)};
      if (with_seventh) wanted.insert(step(6));
      std::set<int> there;
      for (const music::NoteName note : chord->notes())
        there.insert(music::semitones_up(root(degree), note).value());
      if (there == wanted) return chord->quality;
    }
    return std::nullopt;
  }

  void add(const music::Chord& chord) {
    std::string text =
        written_.notation == chart::Notation::letters
            ? music::text(chord)
            : chart::text(chart::in_numbers(chord, written_.tonality), written_.notation);
    if (known_.insert(text).second) out_.push_back(std::move(text));
  }

  const Written& written_;
  std::set<std::string> known_;
  Json out_ = Json::array();
};

}  // namespace

Answer words_answer(const Json& body, const Shelf&) {
  Fields fields(body);
  const std::string name = fields.text("name");
  const std::string text = fields.text("text");
  if (auto fault = fields.fault()) return *fault;
  const Written written = read(text, name);
  Json patterns = Json::array();
  for (const std::string& own : written.patterns)
    patterns.push_back({{"name", own}, {"says", "defined in this chart"}});
  for (const perform::Pattern& pattern : perform::all_patterns())
    patterns.push_back({{"name", pattern.name}, {"says", pattern.says}});
  Json head = Json::array();
  for (const HeadWord& word : kHeadWords)
    head.push_back({{"word", word.word}, {"says", word.says}});
  return answer(Json{{"chords", ChordWords(written).all()},
                     {"sections", written.sections},
                     {"patterns", std::move(patterns)},
                     {"head", std::move(head)}});
}

}  // namespace stillhand::desk
