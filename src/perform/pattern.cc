#include "perform/pattern.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cassert>
#include <map>
#include <set>
#include <utility>

#include "base/nearest.h"
#include "chart/source.h"
#include "perform/embedded.h"

namespace stillhand::perform {
namespace {

using arrange::Arrangement;
using arrange::BassTone;
using arrange::Fullness;
using arrange::Rung;
using arrange::Skills;
using chart::CountPart;
using chart::kWholeCount;
using chart::PatternBar;
using chart::PatternStep;
using chart::PatternTone;
using chart::Piece;
using music::Meter;

constexpr Tempo kMediumFrom{72};
constexpr Tempo kFastAbove{108};

// ---- the data file; a fault in it is a fault of the program

const std::vector<Meter>& every_meter() {
  static const std::vector<Meter> meters = [] {
    std::vector<Meter> all;
    for (const int lower : {4, 2, 8}) {
      for (int upper = 1; upper <= 12; ++upper) {
        if (const auto meter = Meter::make(upper, lower)) all.push_back(*meter);
      }
    }
    return all;
  }();
  return meters;
}

std::vector<Meter> meters_named(std::string_view word) {
  std::vector<Meter> out;
  for (const Meter meter : every_meter()) {
    const bool fits = (word == "x/4" && meter.lower() == 4) ||
                      (word == "x/2" && meter.lower() == 2) ||
                      (word == "compound" && meter.is_compound()) || word == text(meter);
    if (fits) out.push_back(meter);
  }
  assert(!out.empty());
  return out;
}

template <class T>
T named(std::string_view word, std::initializer_list<T> all) {
  const auto* found = std::find_if(all.begin(), all.end(), [&](T t) { return name(t) == word; });
  assert(found != all.end());
  return *found;
}

class DataReader {
 public:
  explicit DataReader(const chart::Source& source) : source_(source), report_(source) {}

  std::vector<Pattern> read() {
    for (std::size_t i = 1; i <= source_.lines().size(); ++i)
      read_line(chart::trimmed(source_.line(static_cast<int>(i))));
    assert(!report_.has_errors());
    return std::move(patterns_);
  }

 private:
  void read_line(Piece line) {
    if (line.empty() || line.text.front() == ';') return;
    Piece rest = line;
    const std::string_view word = chart::take_word(rest).text;
    const std::string content = chart::collapsed(rest.text);
    if (word == "pattern") {
      patterns_.emplace_back();
      patterns_.back().name = content;
      return;
    }
    Pattern& pattern = patterns_.back();
    if (word == "says") {
      pattern.says = content;
    } else if (word == "instead") {
      pattern.instead = content;
    } else if (word == "fullness") {
      pattern.fullness = named(content, {Fullness::sparse, Fullness::light, Fullness::middling,
                                         Fullness::full, Fullness::fullest});
    } else if (word == "left" || word == "right") {
      const bool is_left = word == "left";
      const auto bar = chart::read_pattern_bar(
          rest, is_left ? chart::PatternHand::left : chart::PatternHand::right, report_);
      assert(bar);
      (is_left ? pattern.forms.back().left : pattern.forms.back().right) = *bar;
    } else {
      read_list(pattern, word, rest);
    }
  }

  static void read_list(Pattern& pattern, std::string_view word, Piece content) {
    if (word == "meter") pattern.forms.emplace_back();
    for (const Piece piece : chart::split(content, word == "skills" ? '+' : ',')) {
      if (word == "skills") {
        const auto skill = arrange::skill_named(piece.text);
        assert(skill);
        pattern.skills.insert(*skill);
      } else if (word == "tempo") {
        pattern.paces.push_back(named(piece.text, {Pace::slow, Pace::medium, Pace::fast}));
      } else {
        assert(word == "meter");
        if (piece.text == "any") return;
        for (const Meter meter : meters_named(piece.text))
          pattern.forms.back().meters.push_back(meter);
      }
    }
  }

  const chart::Source& source_;
  chart::Report report_;
  std::vector<Pattern> patterns_;
};

// ---- what a pattern asks of the hands

bool has_tone(const PatternBar& bar, PatternTone tone) {
  return std::any_of(bar.steps.begin(), bar.steps.end(), [&](const PatternStep& step) {
    return std::find(step.tones.begin(), step.tones.end(), tone) != step.tones.end();
  });
}

struct NamedTone {
  PatternTone asked;
  BassTone there;
  std::string_view name;
};
constexpr std::array kFigureTones{NamedTone{PatternTone::third, BassTone::third, "third"},
                                  NamedTone{PatternTone::fifth, BassTone::fifth, "fifth"},
                                  NamedTone{PatternTone::octave, BassTone::octave, "octave"}};

bool has_left_tone(const Pattern& pattern, PatternTone tone) {
  return std::any_of(pattern.forms.begin(), pattern.forms.end(),
                     [&](const PatternForm& form) { return has_tone(form.left, tone); });
}

enum class Stroke { chord, single };

bool is_stroke(const PatternStep& step, Stroke stroke) {
  if (step.tones.empty()) return false;
  if (stroke == Stroke::single) return true;
  return std::any_of(step.tones.begin(), step.tones.end(), [](PatternTone tone) {
    return tone == PatternTone::chord || tone == PatternTone::upper || tone == PatternTone::next;
  });
}

// The shortest time between two such strokes that follow each other, the bar played over and over; nullopt if there are
// not two.
std::optional<CountPart> shortest_time(const PatternBar& bar, Stroke stroke) {
  std::vector<const PatternStep*> steps;
  for (const PatternStep& step : bar.steps) {
    if (!step.tones.empty()) steps.push_back(&step);
  }
  if (steps.empty()) return std::nullopt;
  std::optional<CountPart> shortest;
  for (std::size_t i = 0; i < steps.size(); ++i) {
    const std::size_t next = (i + 1) % steps.size();
    if (!is_stroke(*steps[i], stroke) || !is_stroke(*steps[next], stroke)) continue;
    const CountPart wrap = next <= i ? kWholeCount * bar.counts : CountPart(0);
    const CountPart time = steps[next]->start + wrap - steps[i]->start;
    if (!shortest || time < *shortest) shortest = time;
  }
  return shortest;
}

// Strokes in ten seconds, rounded up.
int strokes(CountPart apart, Tempo tempo) {
  const int numerator = 10 * tempo.value() * kWholeCount.value();
  const int denominator = 60 * apart.value();
  return (numerator + denominator - 1) / denominator;
}

std::string per_second(int strokes) { return fmt::format("{}.{}", strokes / 10, strokes % 10); }

struct TooFast {
  std::string what;
  int strokes = 0;
  int most = 0;
};

std::optional<TooFast> too_fast(const Pattern::Bars& bars, Tempo tempo) {
  struct Limit {
    const PatternBar* bar;
    Stroke stroke;
    const char* what;
    int most;
  };
  const std::array limits{
      Limit{&bars.right, Stroke::chord, "the right hand's chords", kMostChordStrokes},
      Limit{&bars.right, Stroke::single, "the right hand's keys", kMostSingleStrokes},
      Limit{&bars.left, Stroke::single, "the left hand's keys", kMostSingleStrokes}};
  for (const Limit& limit : limits) {
    const auto time = shortest_time(*limit.bar, limit.stroke);
    if (time && strokes(*time, tempo) > limit.most)
      return TooFast{limit.what, strokes(*time, tempo), limit.most};
  }
  return std::nullopt;
}

// ---- which pattern

Pattern defined(const chart::PatternDefinition& definition) {
  Pattern pattern;
  pattern.name = definition.name;
  pattern.paces = {Pace::slow, Pace::medium, Pace::fast};
  pattern.forms.push_back({{}, definition.left, definition.right});
  return pattern;
}

// The chart's own patterns come before the built-in ones of the same name.
std::optional<Pattern> pattern_named(const chart::Song& song, std::string_view name) {
  const std::string wanted = lower_case(name);
  for (const chart::PatternDefinition& definition : song.patterns) {
    if (lower_case(definition.name) == wanted) return defined(definition);
  }
  const Pattern* found = find_pattern(name);
  return found == nullptr ? std::nullopt : std::optional(*found);
}

std::string advice(const chart::Song& song, std::string_view name) {
  std::vector<std::string> names;
  for (const auto& definition : song.patterns) names.push_back(definition.name);
  for (const Pattern& pattern : all_patterns()) names.push_back(pattern.name);
  if (const auto near = nearest(lower_case(name), names))
    return fmt::format("did you mean `{}`?", *near);
  return "`stillhand patterns` lists them; a chart may define its own";
}

// A name as it was asked for, and where.
struct Wish {
  std::string name;
  Fault fault = Fault::chart;
  Place place;
  std::string why;
};

// The choice comes before the section's own line, that before the song's.
std::optional<Wish> wish_for(const chart::Song& song, std::size_t section,
                             const PatternChoice& choice) {
  if (choice.name) return Wish{*choice.name, Fault::usage, {}, "asked for"};
  const auto& own = song.sections[section].pattern;
  const auto& use = own ? own : song.pattern;
  if (!use) return std::nullopt;
  return Wish{use->name, Fault::chart, use->place, "the chart asks for it"};
}

class Planner {
 public:
  Planner(const Arrangement& a, const PatternChoice& choice) : a_(a), choice_(choice) {}

  Result<PatternPlan> plan() {
    const auto sections = arrange::build_up(a_.song, a_.bars);
    bool is_plain = true;
    for (std::size_t i = 0; i < sections.size(); ++i) {
      const std::size_t end = i + 1 < sections.size() ? sections[i + 1].first_bar : a_.bars.size();
      const auto found = section_pattern(sections[i], end);
      if (!found) continue;
      is_plain = is_plain && found->pattern.name == plain_pulse().name;
      plan_.sections.push_back(*found);
    }
    if (!errors_.empty()) return tl::unexpected(std::move(errors_));
    plan_.uses_pedal = choice_.skills ? choice_.skills->contains(arrange::Skill::pedal) : !is_plain;
    return std::move(plan_);
  }

 private:
  std::optional<SectionPattern> section_pattern(const arrange::PlayedSection& s, std::size_t end) {
    if (const auto wanted = wish_for(a_.song, s.section, choice_)) {
      const auto pattern = wished(*wanted, s, end);
      if (!pattern) return std::nullopt;
      return SectionPattern{s.first_bar, s.section, *pattern, wanted->why};
    }
    if (!choice_.skills)
      return SectionPattern{s.first_bar, s.section, plain_pulse(), "nothing else was chosen"};
    return SectionPattern{s.first_bar, s.section, by_skills(s, end),
                          fmt::format("this section is {}", arrange::name(s.fullness))};
  }

  // The meter of most of the section's bars; the earlier one of equals.
  Meter meter_of(std::size_t begin, std::size_t end) const {
    std::map<Meter, int> bars;
    std::optional<Meter> best;
    for (std::size_t i = begin; i < end; ++i) ++bars[chart::bar_of(a_.song, a_.bars[i]).meter];
    for (std::size_t i = begin; i < end; ++i) {
      const Meter meter = chart::bar_of(a_.song, a_.bars[i]).meter;
      if (!best || bars[meter] > bars[*best]) best = meter;
    }
    return best.value_or(a_.song.meter);
  }

  void refuse(const Wish& wish, std::string message, std::string suggestion) {
    if (!said_.insert({wish.place.line, message}).second) return;
    errors_.push_back({Severity::error,
                       wish.fault,
                       a_.song.file,
                       wish.place,
                       std::move(message),
                       std::move(suggestion),
                       {}});
  }

  std::optional<Pattern> wished(const Wish& wish, const arrange::PlayedSection& s,
                                std::size_t end) {
    const auto pattern = pattern_named(a_.song, wish.name);
    if (!pattern) {
      refuse(wish, fmt::format("there is no pattern `{}`", wish.name), advice(a_.song, wish.name));
      return std::nullopt;
    }
    const Meter meter = meter_of(s.first_bar, end);
    const auto bars = pattern->bars(meter);
    if (!bars) {
      refuse(wish, fmt::format("the pattern `{}` has no bar of {}", pattern->name, text(meter)),
             others_for(meter));
      return std::nullopt;
    }
    if (const auto fast = too_fast(*bars, a_.song.tempo)) {
      refuse(wish,
             fmt::format("`{}` at tempo {} strikes {} {} times a second; {} is the most",
                         pattern->name, a_.song.tempo.value(), fast->what,
                         per_second(fast->strokes), per_second(fast->most)),
             "choose a pattern of fewer strokes, or a slower tempo");
      return std::nullopt;
    }
    if (pattern->instead.empty()) remark_missing(wish, *pattern, *bars, s, end);
    return pattern;
  }

  static std::string others_for(Meter meter) {
    std::string out;
    for (const Pattern& pattern : all_patterns()) {
      if (pattern.bars(meter)) out += (out.empty() ? "" : ", ") + ("`" + pattern.name + "`");
    }
    return fmt::format("in {} there are {}", text(meter), out);
  }

  // Tones that fall back under every chord of the section; under some of them it is the way of things (a slash bass has no
  // third).
  void remark_missing(const Wish& wish, const Pattern& pattern, const Pattern::Bars& bars,
                      const arrange::PlayedSection& s, std::size_t end) {
    std::vector<std::string_view> missing;
    for (const auto& [tone, there, name] : kFigureTones) {
      if (has_tone(bars.left, tone) && !tone_in(there, s.first_bar, end)) missing.push_back(name);
    }
    if (missing.empty()) return;
    const std::string message = fmt::format(
        "`{}` wants the left hand's {}, which `{}` does not have; what lies below is played "
        "instead",
        pattern.name, fmt::join(missing, " and "), a_.song.sections[s.section].name);
    if (!said_.insert({wish.place.line, message}).second) return;
    plan_.remarks.push_back(
        {Severity::warning,
         wish.fault,
         a_.song.file,
         wish.place,
         message,
         "let the left hand play more, if it can reach it, or choose another pattern",
         {}});
  }

  bool tone_in(BassTone tone, std::size_t begin, std::size_t end) const {
    bool has_chord = false;
    for (std::size_t i = 0; i < a_.chords.size(); ++i) {
      if (a_.chords[i].played_bar < begin || a_.chords[i].played_bar >= end || !a_.left.bass[i])
        continue;
      has_chord = true;
      const auto& figure = a_.left.bass[i]->figure;
      if (std::any_of(figure.begin(), figure.end(),
                      [&](const arrange::FigureNote& note) { return note.tone == tone; }))
        return true;
    }
    return !has_chord;
  }

  bool suits(const Pattern& pattern, const arrange::PlayedSection& s, std::size_t end) const {
    const auto bars = pattern.bars(meter_of(s.first_bar, end));
    const Pace pace = pace_of(a_.song.tempo);
    return bars && pattern.fullness <= s.fullness &&
           std::includes(choice_.skills->begin(), choice_.skills->end(), pattern.skills.begin(),
                         pattern.skills.end()) &&
           std::find(pattern.paces.begin(), pattern.paces.end(), pace) != pattern.paces.end() &&
           !too_fast(*bars, a_.song.tempo) &&
           (!has_tone(bars->left, PatternTone::octave) ||
            tone_in(BassTone::octave, s.first_bar, end));
  }

  // The fullest one that the section's fullness allows; of equals the one that is learned later, the plain pulse last.
  Pattern by_skills(const arrange::PlayedSection& s, std::size_t end) const {
    const Pattern* best = nullptr;
    for (const Pattern& pattern : all_patterns()) {
      if (pattern.name == plain_pulse().name || !suits(pattern, s, end)) continue;
      if (best == nullptr || pattern.fullness > best->fullness) best = &pattern;
    }
    return best == nullptr ? all_patterns().front() : *best;
  }

  const Arrangement& a_;
  const PatternChoice& choice_;
  PatternPlan plan_;
  Diagnostics errors_;
  std::set<std::pair<int, std::string>> said_;
};

}  // namespace

Pace pace_of(music::Tempo tempo) {
  if (tempo < kMediumFrom) return Pace::slow;
  return tempo > kFastAbove ? Pace::fast : Pace::medium;
}

std::string_view name(Pace pace) {
  switch (pace) {
    case Pace::slow:
      return "slow";
    case Pace::medium:
      return "medium";
    case Pace::fast:
      return "fast";
  }
  return "";
}

std::optional<Pattern::Bars> Pattern::bars(music::Meter meter) const {
  const int counts = meter.counts().value();
  for (const PatternForm& form : forms) {
    const bool named = form.meters.empty() || std::find(form.meters.begin(), form.meters.end(),
                                                        meter) != form.meters.end();
    if (!named) continue;
    const auto left_bar = chart::with_counts(form.left, counts);
    const auto right_bar = chart::with_counts(form.right, counts);
    if (left_bar && right_bar) return Bars{*left_bar, *right_bar};
  }
  return std::nullopt;
}

arrange::Rung Pattern::rung() const {
  // A third comes only with the fifth above it.
  const bool wants_fifth =
      has_left_tone(*this, PatternTone::fifth) || has_left_tone(*this, PatternTone::third);
  if (has_left_tone(*this, PatternTone::octave))
    return wants_fifth ? Rung::root_fifth_octave : Rung::octave;
  return wants_fifth ? Rung::root_and_fifth : Rung::position;
}

const std::vector<Pattern>& all_patterns() {
  static const std::vector<Pattern> patterns = [] {
    const auto source = chart::Source::read(data::patterns_txt, "data/patterns.txt");
    assert(source);
    return DataReader(*source).read();
  }();
  return patterns;
}

const Pattern* find_pattern(std::string_view name) {
  const std::string wanted = lower_case(chart::collapsed(name));
  const auto found = std::find_if(all_patterns().begin(), all_patterns().end(),
                                  [&](const Pattern& p) { return p.name == wanted; });
  return found == all_patterns().end() ? nullptr : &*found;
}

const Pattern& plain_pulse() { return *find_pattern("plain pulse"); }

Result<PatternPlan> plan_patterns(const arrange::Arrangement& arrangement,
                                  const PatternChoice& choice) {
  return Planner(arrangement, choice).plan();
}

std::map<std::size_t, arrange::Rung> wanted_rungs(const chart::Song& song,
                                                  const PatternChoice& choice,
                                                  const hand::HandSize& hand) {
  std::map<std::size_t, Rung> out;
  for (std::size_t i = 0; i < song.sections.size(); ++i) {
    const auto wish = wish_for(song, i, choice);
    const auto pattern = wish ? pattern_named(song, wish->name) : std::nullopt;
    if (!pattern || pattern->rung() == Rung::position) continue;
    out[i] =
        hand.may_play_octaves() ? pattern->rung() : std::min(pattern->rung(), Rung::root_and_fifth);
  }
  return out;
}

Result<void> check_patterns(const chart::Song& song) {
  Diagnostics errors;
  const auto check = [&](const std::optional<chart::PatternUse>& use) {
    if (!use || pattern_named(song, use->name)) return;
    errors.push_back({Severity::error,
                      Fault::chart,
                      song.file,
                      use->place,
                      fmt::format("there is no pattern `{}`", use->name),
                      advice(song, use->name),
                      {}});
  };
  check(song.pattern);
  for (const chart::Section& section : song.sections) check(section.pattern);
  if (!errors.empty()) return tl::unexpected(std::move(errors));
  return {};
}

}  // namespace stillhand::perform
