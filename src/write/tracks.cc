#include "write/tracks.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <functional>
#include <optional>
#include <string_view>
#include <utility>

#include "perform/practice.h"
#include "write/sheet_text.h"

namespace stillhand::write {
namespace {

using music::Tick;
using perform::Performance;
using teach::Lesson;

constexpr std::size_t kMostPairs = 5;
constexpr int kPasses = 3;      // three clean runs
constexpr int kBarsOfPair = 4;  // three changes, each way at least once (our judgement)
constexpr std::array kHandsInOrder{TrackHands::both, TrackHands::right, TrackHands::left};
constexpr std::array kUsualPercents{100, 80, 60};
constexpr int kSlowPercent = 60;
// Places for the usual tempos and one for any other, so that numbers do not hang on what was chosen.
constexpr int kNumbersOfHands = 4;
constexpr int kNumbersOfPart = kNumbersOfHands * static_cast<int>(kHandsInOrder.size());
constexpr std::size_t kLongestWord = 40;

// The song, a section or a pair, before hands and tempo.
struct Part {
  TrackPart kind;
  std::string word;   // in file names
  std::string title;  // in titles; empty: the song
  Performance performance;
  std::optional<std::size_t> section = {};
  std::optional<std::pair<std::size_t, std::size_t>> shapes = {};
};

std::string_view in_file_names(TrackHands hands) {
  switch (hands) {
    case TrackHands::both:
      return "";
    case TrackHands::right:
      return "-right";
    case TrackHands::left:
      break;
  }
  return "-left";
}

std::string_view in_titles(TrackHands hands) {
  switch (hands) {
    case TrackHands::both:
      return "";
    case TrackHands::right:
      return ", right hand";
    case TrackHands::left:
      break;
  }
  return ", left hand";
}

// ---- pairs of chords

// A chord as it stands in the song.
struct Occurrence {
  const teach::SheetChord* chord;
  const teach::SheetBar* bar;
};

std::vector<Occurrence> occurrences(const Lesson& lesson) {
  std::vector<Occurrence> out;
  for (const teach::SheetSection& section : lesson.sections) {
    for (const teach::SheetLine& line : section.lines) {
      for (const teach::SheetBar& bar : line.bars) {
        for (const teach::SheetChord& chord : bar.chords) {
          if (chord.shape) out.push_back({&chord, &bar});
        }
      }
    }
  }
  return out;
}

perform::PracticeChord practice_chord(const Lesson& lesson, const teach::SheetChord& chord) {
  perform::PracticeChord out;
  out.name = chord.chord;
  for (const hand::ShapeNote& note : lesson.shapes[*chord.shape].shape.notes) {
    out.right.push_back(note.pitch.key());
  }
  if (chord.bass) out.left = chord.bass->pitch.key();
  return out;
}

// Where the two follow each other in the song; else, across a section's end, where each stands first.
std::optional<std::pair<Occurrence, Occurrence>> found_in_song(const std::vector<Occurrence>& all,
                                                               const teach::Move& move) {
  for (std::size_t i = 0; i + 1 < all.size(); ++i) {
    if (*all[i].chord->shape == move.from && *all[i + 1].chord->shape == move.to) {
      return std::pair(all[i], all[i + 1]);
    }
  }
  const auto first_of = [&](std::size_t shape) {
    return std::find_if(all.begin(), all.end(),
                        [shape](const Occurrence& o) { return *o.chord->shape == shape; });
  };
  const auto from = first_of(move.from);
  const auto to = first_of(move.to);
  if (from == all.end() || to == all.end()) return std::nullopt;
  return std::pair(*from, *to);
}

class Catalogue {
 public:
  Catalogue(const Lesson& lesson, const TrackChoice& choice) : lesson_(lesson), choice_(choice) {}

  std::vector<Track> tracks() {
    std::vector<Part> parts;
    parts.push_back({TrackPart::song, "play-along", "", lesson_.performance});
    sections(parts);
    pairs(parts);
    for (std::size_t i = 0; i < parts.size(); ++i) add(parts[i], static_cast<int>(i));
    return std::move(out_);
  }

 private:
  void sections(std::vector<Part>& parts) const {
    const Performance& song = lesson_.performance;
    std::set<std::string> seen;
    for (std::size_t i = 0; i < song.sections.size(); ++i) {
      const auto& [start, name] = song.sections[i];
      const Tick end = i + 1 < song.sections.size() ? song.sections[i + 1].start : song.end;
      if (end <= start || !seen.insert(name).second) continue;
      const std::string title =
          name.empty() ? fmt::format("Section {}", seen.size()) : one_line(name);
      parts.push_back({TrackPart::section, joined("section", seen.size(), file_word(name)), title,
                       perform::repeated(song, {start, end}, kPasses), section_named(name)});
    }
  }

  std::optional<std::size_t> section_named(const std::string& name) const {
    for (std::size_t i = 0; i < lesson_.sections.size(); ++i) {
      if (lesson_.sections[i].name == name) return i;
    }
    return std::nullopt;
  }

  void pairs(std::vector<Part>& parts) const {
    const std::vector<Occurrence> all = occurrences(lesson_);
    std::set<std::pair<std::size_t, std::size_t>> seen;
    for (const std::size_t index : from_the_hardest()) {
      const teach::Move& move = lesson_.moves[index];
      const auto found = found_in_song(all, move);
      if (!found || !seen.insert(std::minmax(move.from, move.to)).second) continue;
      parts.push_back(pair(found->first, found->second, seen.size()));
      if (seen.size() == kMostPairs) return;
    }
  }

  // All moves of the song, as indices: the lesson's hardest, then the others by the same measure.
  std::vector<std::size_t> from_the_hardest() const {
    std::vector<std::size_t> out = lesson_.hardest;
    for (std::size_t i = 0; i < lesson_.moves.size(); ++i) {
      const bool is_there = std::find(out.begin(), out.end(), i) != out.end();
      if (!is_there && !lesson_.moves[i].is_optional) out.push_back(i);
    }
    std::stable_sort(out.begin() + static_cast<std::ptrdiff_t>(lesson_.hardest.size()), out.end(),
                     [&](std::size_t a, std::size_t b) {
                       return lesson_.moves[a].needed > lesson_.moves[b].needed;
                     });
    return out;
  }

  Part pair(const Occurrence& from, const Occurrence& to, std::size_t number) const {
    const std::string& first = from.chord->chord;
    const std::string& second = to.chord->chord;
    const std::string name =
        fmt::format("{} and {}", pretty_chord(one_line(first)), pretty_chord(one_line(second)));
    const Performance once = perform::in_turn(
        practice_chord(lesson_, *from.chord), practice_chord(lesson_, *to.chord),
        {name, to.bar->meter, to.bar->tonality, lesson_.performance.tempo, kBarsOfPair});
    return {TrackPart::pair,
            joined("pair", number, file_word(first + " " + second)),
            name,
            perform::repeated(once, {Tick(0), once.end}, kPasses),
            std::nullopt,
            std::pair(*from.chord->shape, *to.chord->shape)};
  }

  static std::string joined(std::string_view kind, std::size_t number, const std::string& word) {
    return word.empty() ? fmt::format("{}-{}", kind, number)
                        : fmt::format("{}-{}-{}", kind, number, word);
  }

  // ---- hands and tempos

  bool is_chosen(TrackPart part, TrackHands hands, int percent) const {
    if (choice_.is_usual()) {
      return part == TrackPart::song && hands == TrackHands::both
                 ? true
                 : is_slow_practice(part, hands, percent);
    }
    const bool part_is = choice_.parts.empty() || choice_.parts.count(part) > 0;
    const bool hands_are =
        choice_.hands.empty() ? hands == TrackHands::both : choice_.hands.count(hands) > 0;
    return part_is && hands_are;
  }

  static bool is_slow_practice(TrackPart part, TrackHands hands, int percent) {
    return percent == kSlowPercent && (part == TrackPart::song || hands == TrackHands::both);
  }

  std::vector<int> percents() const {
    if (choice_.percents.empty()) return {kUsualPercents.begin(), kUsualPercents.end()};
    return {choice_.percents.rbegin(), choice_.percents.rend()};
  }

  void add(const Part& part, int place) {
    for (std::size_t h = 0; h < kHandsInOrder.size(); ++h) {
      const TrackHands hands = kHandsInOrder[h];
      for (const int percent : percents()) {
        if (!is_chosen(part.kind, hands, percent)) continue;
        const auto usual = std::find(kUsualPercents.begin(), kUsualPercents.end(), percent);
        const int number = 1 + place * kNumbersOfPart + static_cast<int>(h) * kNumbersOfHands +
                           static_cast<int>(usual - kUsualPercents.begin());
        out_.push_back(track(part, hands, percent, number));
      }
    }
  }

  Track track(const Part& part, TrackHands hands, int percent, int number) const {
    Track out;
    out.name = fmt::format("{}-{}{}", part.word, percent, in_file_names(hands));
    const std::string song = one_line(lesson_.title);
    out.title = fmt::format("{}{}{}{}, {} %", song, song.empty() || part.title.empty() ? "" : ": ",
                            part.title, in_titles(hands), percent);
    out.number = number;
    out.part = part.kind;
    out.hands = hands;
    out.tempo_percent = percent;
    out.section = part.section;
    out.shapes = part.shapes;
    out.performance = of_hands(part.performance, hands);
    return out;
  }

  static Performance of_hands(const Performance& performance, TrackHands hands) {
    switch (hands) {
      case TrackHands::both:
        return performance;
      case TrackHands::right:
        return perform::one_hand(performance, hand::Hand::right);
      case TrackHands::left:
        break;
    }
    return perform::one_hand(performance, hand::Hand::left);
  }

  const Lesson& lesson_;
  const TrackChoice& choice_;
  std::vector<Track> out_;
};

}  // namespace

std::vector<Track> tracks(const Lesson& lesson, const TrackChoice& choice) {
  return Catalogue(lesson, choice).tracks();
}

std::string file_word(std::string_view name) {
  std::string out;
  const auto hyphen = [&] {
    if (!out.empty() && out.back() != '-') out += '-';
  };
  for (const char c : name) {
    if (c >= 'A' && c <= 'Z') {
      out += static_cast<char>(c - 'A' + 'a');
    } else if ((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9')) {
      out += c;
    } else if (c == '#') {
      hyphen();
      out += "sharp";
    } else {
      hyphen();
    }
  }
  out = out.substr(0, kLongestWord);
  while (!out.empty() && out.back() == '-') out.pop_back();
  return out;
}

}  // namespace stillhand::write
