// Reading a student file.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <map>
#include <utility>

#include "arrange/student.h"
#include "base/nearest.h"
#include "chart/chart.h"
#include "chart/source.h"
#include "chart/text.h"

namespace stillhand::arrange {
namespace {

using chart::Piece;
using chart::quoted;
using hand::Millimetre;

constexpr Millimetre kSmallestSpan{1200};  // as in hand::HandSize::from_span
constexpr Millimetre kLargestSpan{2800};
constexpr std::size_t kMostKnown = 200;  // shapes (our judgement: a course of lessons has fewer)
constexpr std::size_t kMostInSkillName = 3;  // "root, fifth, octave"

enum class Keyword {
  name,
  level,
  skills,
  also,
  not_yet,
  knows,
  hand,
  span,
  stretch,
  notes,
  paper,
  tempo
};
constexpr std::array<std::pair<std::string_view, Keyword>, 12> kKeywords{{
    {"name", Keyword::name},
    {"level", Keyword::level},
    {"skills", Keyword::skills},
    {"also", Keyword::also},
    {"not yet", Keyword::not_yet},
    {"knows", Keyword::knows},
    {"hand", Keyword::hand},
    {"span", Keyword::span},
    {"stretch", Keyword::stretch},
    {"notes", Keyword::notes},
    {"paper", Keyword::paper},
    {"tempo", Keyword::tempo},
}};

std::string did_you_mean(std::string_view word, const std::vector<std::string>& candidates,
                         std::string otherwise) {
  const auto near = nearest(word, candidates);
  return near ? fmt::format("did you mean `{}`?", *near) : std::move(otherwise);
}

std::optional<int> whole_number(std::string_view text) {
  int value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return value;
}

// "201 mm", "201", "120.5 mm".
std::optional<Millimetre> length_of(std::string_view text) {
  if (text.ends_with("mm")) text.remove_suffix(2);
  while (text.ends_with(' ') || text.ends_with('\t')) text.remove_suffix(1);
  int tenths = 0;
  if (const std::size_t dot = text.find('.'); dot != std::string_view::npos) {
    const std::string_view fraction = text.substr(dot + 1);
    if (fraction.size() != 1 || fraction[0] < '0' || fraction[0] > '9') return std::nullopt;
    tenths = fraction[0] - '0';
    text = text.substr(0, dot);
  }
  const std::optional<int> whole = whole_number(text);
  if (!whole || *whole < 0 || *whole > 10'000) return std::nullopt;
  return Millimetre(10 * *whole + tenths);
}

class Reader {
 public:
  explicit Reader(const chart::Source& source) : source_(source), report_(source) {}

  Result<ParsedStudent> read() {
    for (std::size_t i = 0; i < source_.lines().size(); ++i)
      read_line(source_.line(static_cast<int>(i) + 1));
    check_skills();
    check_hand();
    for (const Known& known : known_) check_known(known);
    if (report_.has_errors()) return tl::unexpected(as_usage(report_.take_errors()));
    return ParsedStudent{std::move(student_), as_usage(report_.take_remarks())};
  }

 private:
  struct Known {
    KnownShape shape;
    Piece piece;
  };

  static Diagnostics as_usage(Diagnostics all) {
    for (Diagnostic& d : all) d.fault = Fault::usage;
    return all;
  }

  void read_line(Piece line) {
    const std::size_t comment = line.text.find(';');
    Piece rest = chart::trimmed(chart::part(line, 0, comment));
    if (rest.empty()) return;
    const Piece whole = rest;
    Piece word = chart::take_word(rest);
    std::string keyword = lower_case(word.text);
    if (keyword == "not") {
      Piece after = rest;
      if (lower_case(chart::take_word(after).text) == "yet") {
        keyword = "not yet";
        word = chart::trimmed(chart::part(whole, 0, whole.text.size() - after.text.size()));
        rest = after;
      }
    }
    const auto found = std::find_if(kKeywords.begin(), kKeywords.end(),
                                    [&](const auto& entry) { return entry.first == keyword; });
    if (found == kKeywords.end()) return unknown_line(word);
    if (!is_first(found->second, word)) return;
    if (rest.empty()) {
      report_.error(whole, fmt::format("`{}` says nothing", keyword), "write its value behind it");
      return;
    }
    read_value(found->second, rest);
  }

  void unknown_line(Piece word) {
    std::vector<std::string> names;
    for (const auto& [name, unused] : kKeywords) names.emplace_back(name);
    report_.error(
        word, fmt::format("a student file has no line {}", quoted(word.text)),
        did_you_mean(word.text, names,
                     "its lines are name, level, skills, also, not yet, knows, hand, span, "
                     "stretch, notes, paper, tempo"));
  }

  bool is_first(Keyword keyword, Piece word) {
    const bool repeats = keyword == Keyword::also || keyword == Keyword::not_yet ||
                         keyword == Keyword::knows || keyword == Keyword::skills;
    const auto [at, is_new] = first_.emplace(keyword, word);
    if (is_new || repeats) return true;
    report_.error(
        word, fmt::format("{} stands twice, first in line {}", quoted(word.text), at->second.line),
        "keep one of the two");
    return false;
  }

  void read_value(Keyword keyword, Piece value) {
    switch (keyword) {
      case Keyword::name:
        student_.name = chart::collapsed(value.text);
        return;
      case Keyword::level:
        return read_level(value);
      case Keyword::skills:
      case Keyword::also:
        return read_skills(value, student_.also, also_at_);
      case Keyword::not_yet:
        return read_skills(value, student_.not_yet, not_yet_at_);
      case Keyword::knows:
        for (Piece one : chart::split(value, ',')) read_known(one);
        return;
      case Keyword::hand:
        return read_hand(value);
      case Keyword::span:
        return read_span(value);
      case Keyword::stretch:
        return read_stretch(value);
      case Keyword::notes:
        return read_notes(value);
      case Keyword::paper:
        return read_paper(value);
      case Keyword::tempo:
        return read_tempo(value);
    }
  }

  void read_level(Piece value) {
    const std::optional<int> number = whole_number(value.text);
    const std::optional<Level> level = number ? Level::make(*number) : std::nullopt;
    if (!level) {
      report_.error(value, fmt::format("there is no level {}", quoted(value.text)),
                    fmt::format("levels go from 0 (single notes) to {}", kHighestLevel));
      return;
    }
    student_.level = level;
  }

  // A skill's own name may hold commas: the longest name that fits is taken.
  void read_skills(Piece value, Skills& into, std::map<Skill, Piece>& places) {
    const std::vector<Piece> parts = chart::split(value, ',');
    for (std::size_t i = 0; i < parts.size();) {
      const std::size_t used = take_skill(parts, i, into, places);
      if (used == 0) unknown_skill(parts[i]);
      i += std::max<std::size_t>(used, 1);
    }
  }

  std::size_t take_skill(const std::vector<Piece>& parts, std::size_t from, Skills& into,
                         std::map<Skill, Piece>& places) {
    for (std::size_t n = std::min(kMostInSkillName, parts.size() - from); n > 0; --n) {
      std::string word;
      for (std::size_t i = from; i < from + n; ++i) {
        if (!word.empty()) word += ", ";
        word += lower_case(chart::collapsed(parts[i].text));
      }
      const std::optional<Skill> skill = skill_named(word);
      if (!skill) continue;
      into.insert(*skill);
      places.emplace(*skill, parts[from]);
      return n;
    }
    return 0;
  }

  void unknown_skill(Piece word) {
    if (word.empty()) {
      report_.error(word, "a skill is missing between the commas", "take the comma out");
      return;
    }
    std::vector<std::string> names;
    for (Skill skill : all_skills()) names.emplace_back(name(skill));
    report_.error(word, fmt::format("{} is no skill", quoted(word.text)),
                  did_you_mean(word.text, names, "the list of skills stands in docs/student.md"));
  }

  void read_known(Piece value) {
    Piece rest = value;
    const Piece symbol = chart::take_word(rest);
    if (symbol.empty()) {
      report_.error(value, "a chord is missing between the commas", "take the comma out");
      return;
    }
    const auto chord = music::parse_chord(symbol.text);
    if (!chord) {
      const auto near = report_.is_full() ? std::nullopt : music::suggest_chord(symbol.text);
      report_.error(symbol, fmt::format("unknown chord {}", quoted(symbol.text)),
                    near ? fmt::format("did you mean `{}`?", *near) : "write it as in a chart");
      return;
    }
    if (chord->bass) {
      report_.error(symbol,
                    fmt::format("{} names a bass, which the left hand plays", quoted(symbol.text)),
                    fmt::format("write `{}`", text(chord->without_bass())));
      return;
    }
    Known known{{*chord, {}, {}}, value};
    for (Piece word : chart::words_of(rest)) {
      if (!read_key_or_finger(word, known.shape)) return;
    }
    if (known_.size() == kMostKnown) {
      report_.error(value, fmt::format("more than {} shapes", kMostKnown), "leave the oldest out");
    }
    if (known_.size() <= kMostKnown) known_.push_back(std::move(known));
  }

  bool read_key_or_finger(Piece word, KnownShape& shape) {
    if (const auto pitch = music::parse_pitch(word.text); pitch && shape.fingers.empty()) {
      shape.pitches.push_back(*pitch);
      return true;
    }
    const std::optional<int> number = whole_number(word.text);
    if (number && *number >= 1 && *number <= 5) {
      shape.fingers.push_back(Finger(*number));
      return true;
    }
    report_.error(word, fmt::format("{} is neither a key nor a finger", quoted(word.text)),
                  "write keys low to high, then one finger for each: F C4 F4 A4 1 3 5");
    return false;
  }

  void read_hand(Piece value) {
    const std::string word = lower_case(value.text);
    if (!hand::HandSize::named(word)) {
      report_.error(
          value, fmt::format("there is no hand size {}", quoted(value.text)),
          did_you_mean(word, {"small", "medium", "large"},
                       "it is small, medium or large; or measure it and write `span 201 mm`"));
      return;
    }
    student_.hand_size = word;
  }

  void read_span(Piece value) {
    const auto span = length_of(value.text);
    if (!span || *span < kSmallestSpan || *span > kLargestSpan) {
      report_.error(value, fmt::format("no hand spans {}", quoted(value.text)),
                    "give 120 to 280 mm: thumb tip to little finger tip, the hand flat and "
                    "stretched without pain");
      return;
    }
    student_.span = span;
  }

  void read_stretch(Piece value) {
    auto stretch = stretch_named(lower_case(value.text));
    if (!stretch) stretch = length_of(value.text);
    if (!stretch || *stretch < kSmallestStretch || *stretch > kLargestStretch) {
      report_.error(
          value, fmt::format("{} is no largest stretch", quoted(value.text)),
          did_you_mean(lower_case(value.text), stretch_names(),
                       "name an interval from fifth to tenth, or 94 to 280 mm from key to "
                       "key; a triad needs a fifth"));
      return;
    }
    student_.stretch = stretch;
  }

  void read_notes(Piece value) {
    const auto names = music::note_names_named(lower_case(value.text));
    if (!names) {
      std::vector<std::string> known;
      for (music::NoteNames n : music::all_note_names()) known.emplace_back(music::name(n));
      report_.error(value, fmt::format("no note names are called {}", quoted(value.text)),
                    did_you_mean(value.text, known,
                                 "they are english, german (H and B), or do-re-mi (fixed)"));
      return;
    }
    student_.note_names = *names;
  }

  void read_paper(Piece value) {
    const std::string word = lower_case(value.text);
    if (word != "a4" && word != "letter") {
      report_.error(value, fmt::format("there is no paper {}", quoted(value.text)),
                    "it is a4 or letter");
      return;
    }
    student_.paper = word == "a4" ? StudentPaper::a4 : StudentPaper::letter;
  }

  void read_tempo(Piece value) {
    const auto number = whole_number(value.text);
    if (!number || *number < music::kSlowestTempo.value() ||
        *number > music::kFastestTempo.value()) {
      report_.error(value, fmt::format("{} is no tempo", quoted(value.text)),
                    fmt::format("write counts per minute, {} to {}", music::kSlowestTempo.value(),
                                music::kFastestTempo.value()));
      return;
    }
    student_.tempo = music::Tempo(*number);
  }

  // ---- what the lines say together

  std::optional<Piece> line_of(Keyword keyword) const {
    const auto found = first_.find(keyword);
    return found == first_.end() ? std::nullopt : std::optional(found->second);
  }

  void check_skills() {
    const auto level = line_of(Keyword::level);
    const auto skills = line_of(Keyword::skills);
    if (!level && !skills) {
      report_.error("the student has neither a level nor skills",
                    "add a line like `level 2`, or `skills triads, inversions`");
      return;
    }
    if (level && skills) {
      report_.error(*skills, fmt::format("`level` in line {} says the skills already", level->line),
                    "write `also` for skills beyond the level, or take the level out");
      return;
    }
    if (const auto not_yet = line_of(Keyword::not_yet); skills && not_yet) {
      report_.error(*not_yet, "`not yet` takes skills from a level, and there is none",
                    "take them out of `skills`");
      return;
    }
    check_also_and_not_yet();
  }

  void check_also_and_not_yet() {
    const Skills base = student_.level ? skills_of_level(*student_.level) : Skills{};
    for (const auto& [skill, place] : not_yet_at_) {
      if (also_at_.contains(skill)) {
        report_.error(place, fmt::format("`{}` is both known and not yet known", name(skill)),
                      fmt::format("see line {}; keep one of the two", also_at_.at(skill).line));
      } else if (student_.level && !base.contains(skill)) {
        report_.warning(place,
                        fmt::format("level {} does not hold `{}` anyway", student_.level->number(),
                                    name(skill)),
                        "take it out");
      }
    }
    if (!student_.level) return;
    for (const auto& [skill, place] : also_at_) {
      if (base.contains(skill) && !not_yet_at_.contains(skill)) {
        report_.warning(
            place,
            fmt::format("level {} holds `{}` already", student_.level->number(), name(skill)),
            "take it out");
      }
    }
  }

  void check_hand() {
    const auto hand = line_of(Keyword::hand);
    const auto span = line_of(Keyword::span);
    if (hand && span) {
      const bool hand_first = hand->line < span->line;
      report_.error(hand_first ? *span : *hand, "`hand` and `span` both say how large the hand is",
                    "keep the one you measured");
    }
    const auto stretch = line_of(Keyword::stretch);
    if (stretch && student_.stretch && student_.span && *student_.stretch > *student_.span) {
      report_.error(*stretch, "the largest stretch is wider than the hand's span",
                    "the span goes from tip to tip of the flat hand; keys are taken within it");
    }
  }

  void check_known(const Known& known) {
    const KnownShape& shape = known.shape;
    const std::string symbol = text(shape.chord);
    const hand::HandSize hand = student_.hand();
    if (shape.pitches.empty() && !shape.fingers.empty()) {
      report_.error(known.piece, fmt::format("{} has fingers but no keys", symbol),
                    "write the keys before the fingers: F C4 F4 A4 1 3 5");
      return;
    }
    if (shape.pitches.empty()) return check_root_position(known, hand);
    std::vector<PianoKey> keys;
    for (const Pitch& pitch : shape.pitches) keys.push_back(pitch.key());
    for (std::size_t i = 1; i < keys.size(); ++i) {
      if (keys[i] > keys[i - 1]) continue;
      report_.error(known.piece, fmt::format("the keys of {} do not rise", symbol),
                    "write them from low to high");
      return;
    }
    if (keys.size() > 5) {
      report_.error(known.piece, fmt::format("{} keys for five fingers", keys.size()),
                    "one hand plays at most five");
      return;
    }
    if (!shape.fingers.empty() && shape.fingers.size() != keys.size()) {
      report_.error(
          known.piece,
          fmt::format("{} keys of {}, but {} fingers", keys.size(), symbol, shape.fingers.size()),
          "write one finger for each key, or none");
      return;
    }
    const std::vector<Finger> any(keys.size(), hand::kThumb);
    if (!hand::shape_of(shape.chord, shape.pitches, any)) {
      report_.error(known.piece, fmt::format("a key is not a note of {}", symbol),
                    "write only notes of the chord");
      return;
    }
    const bool fits = shape.fingers.empty()
                          ? !hand::fingerings(keys, hand::Hand::right, hand).empty()
                          : hand::can_play(keys, shape.fingers, hand);
    if (fits) {
      student_.knows.push_back(shape);
      return;
    }
    const hand::HandSize largest = *hand::HandSize::from_span(kLargestSpan);
    const bool fits_others = shape.fingers.empty()
                                 ? !hand::fingerings(keys, hand::Hand::right, largest).empty()
                                 : hand::can_play(keys, shape.fingers, largest);
    report_.error(known.piece,
                  fits_others ? fmt::format("this shape of {} cannot be played by this hand ({})",
                                            symbol, hand.name())
                              : fmt::format("no right hand can play this shape of {}", symbol),
                  shape.fingers.empty() ? "choose keys that lie closer together"
                                        : "choose other fingers, or leave them out");
  }

  void check_root_position(const Known& known, const hand::HandSize& hand) {
    const auto all =
        hand::shapes(known.shape.chord, hand, hand::kRightHandRegister, hand::RootIn::left_hand);
    const bool has_root_position = std::any_of(all.begin(), all.end(), [](const Shape& shape) {
      return shape.inversion == hand::Inversion::root_position;
    });
    if (has_root_position) {
      student_.knows.push_back(known.shape);
      return;
    }
    report_.error(known.piece,
                  fmt::format("{} has no root position for this hand ({})", text(known.shape.chord),
                              hand.name()),
                  "write the keys that are known: F C4 F4 A4 1 3 5");
  }

  const chart::Source& source_;
  chart::Report report_;
  Student student_;
  std::map<Keyword, Piece> first_;  // the keyword where it stands first
  std::map<Skill, Piece> also_at_;
  std::map<Skill, Piece> not_yet_at_;
  std::vector<Known> known_;
};

}  // namespace

Result<ParsedStudent> read_student(std::string_view text, const std::string& file) {
  Result<chart::Source> source = chart::Source::read(text, file);
  if (!source) {
    Diagnostics errors = std::move(source.error());
    for (Diagnostic& d : errors) {
      d.fault = Fault::usage;
      d.suggestion = "a student file is plain text in UTF-8; is this the right file?";
    }
    return tl::unexpected(std::move(errors));
  }
  return Reader(*source).read();
}

}  // namespace stillhand::arrange
