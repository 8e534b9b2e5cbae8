#include "chart/pattern.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <numeric>
#include <utility>

#include "base/nearest.h"
#include "chart/text.h"

namespace stillhand::chart {
namespace {

struct ToneWord {
  std::string_view word;
  PatternTone tone;
  bool is_left;
  bool is_right;
};
constexpr std::array<ToneWord, 10> kTones{{{"bass", PatternTone::bass, true, false},
                                           {"third", PatternTone::third, true, false},
                                           {"fifth", PatternTone::fifth, true, false},
                                           {"octave", PatternTone::octave, true, false},
                                           {"chord", PatternTone::chord, false, true},
                                           {"low", PatternTone::low, false, true},
                                           {"middle", PatternTone::middle, false, true},
                                           {"high", PatternTone::high, false, true},
                                           {"upper", PatternTone::upper, false, true},
                                           {"next", PatternTone::next, true, true}}};
constexpr std::string_view kAndSoOn = "and so on";

bool belongs(const ToneWord& tone, PatternHand hand) {
  return hand == PatternHand::left ? tone.is_left : tone.is_right;
}

bool is_dash(std::string_view word) { return word == "-" || word == "–" || word == "—"; }

// A bar cut into counts: each a word, or the words of a parenthesis.
struct CountText {
  Piece piece;
  std::vector<Piece> words;
};

// The text between the bar lines, without "and so on".
struct Inside {
  Piece piece;
  bool goes_on = false;
};

std::optional<Inside> inside_of(Piece content) {
  Piece bar = trimmed(content);
  if (bar.text.size() < 2 || bar.text.front() != '|' || bar.text.back() != '|') return std::nullopt;
  bar = trimmed(part(bar, 1, bar.text.size() - 2));
  if (bar.text.find('|') != std::string_view::npos) return std::nullopt;
  const auto words = words_of(bar);
  if (words.size() < 3) return Inside{bar, false};
  const Piece first = words[words.size() - 3];
  const std::size_t from = first.begin - bar.begin;
  if (lower_case(collapsed(bar.text.substr(from))) != kAndSoOn) return Inside{bar, false};
  return Inside{trimmed(part(bar, 0, from)), true};
}

class PatternReader {
 public:
  PatternReader(PatternHand hand, Report& report) : hand_(hand), report_(report) {}

  std::optional<PatternBar> read(Piece content) {
    const auto inside = inside_of(content);
    if (!inside) {
      report_.error(content, "a hand's pattern is one bar between two bar lines",
                    hand_ == PatternHand::left
                        ? "write it like `left | bass - fifth - |`"
                        : "write it like `right | chord chord chord chord |`");
      return std::nullopt;
    }
    const auto counts = counts_of(inside->piece);
    if (counts.empty() && !failed_) {
      fail(content, "this bar is empty", "write what the hand does on each count, or `rest`");
    }
    if (counts.size() > kMostPatternCounts) {
      fail(inside->piece,
           fmt::format("this bar has {} counts, a pattern has at most {}", counts.size(),
                       kMostPatternCounts),
           "write shorter notes in parentheses: `(chord chord)` is one count");
    }
    if (failed_) return std::nullopt;
    PatternBar bar;
    bar.counts = static_cast<int>(counts.size());
    bar.goes_on = inside->goes_on;
    for (std::size_t i = 0; i < counts.size(); ++i) {
      add(bar, counts[i], kWholeCount * static_cast<int>(i));
    }
    if (failed_) return std::nullopt;
    return bar;
  }

  std::vector<CountText> counts_of(Piece bar) {
    std::vector<CountText> counts;
    std::size_t at = 0;
    for (;;) {
      while (at < bar.text.size() && is_blank(bar.text[at])) ++at;
      if (at >= bar.text.size()) return counts;
      if (bar.text[at] == ')') {
        fail(part(bar, at, 1), "this parenthesis was never opened",
             "what shares one count stands in `( )`: `(bass fifth)`");
        ++at;
      } else if (bar.text[at] == '(') {
        counts.push_back(group(bar, at));
      } else {
        const Piece word = word_at(bar, at);
        counts.push_back({word, {word}});
      }
    }
  }

 private:
  void fail(Piece piece, std::string message, std::string suggestion) {
    failed_ = true;
    report_.error(piece, std::move(message), std::move(suggestion));
  }

  static Piece word_at(Piece bar, std::size_t& at) {
    const std::size_t begin = at;
    while (at < bar.text.size() && !is_blank(bar.text[at]) && bar.text[at] != '(' &&
           bar.text[at] != ')') {
      ++at;
    }
    return part(bar, begin, at - begin);
  }

  CountText group(Piece bar, std::size_t& at) {
    CountText count;
    const std::size_t begin = at++;
    for (;;) {
      while (at < bar.text.size() && is_blank(bar.text[at])) ++at;
      if (at >= bar.text.size()) {
        fail(part(bar, begin, 1), "this parenthesis is not closed", "add `)` where the count ends");
        break;
      }
      if (bar.text[at] == ')') {
        ++at;
        break;
      }
      if (bar.text[at] == '(') {
        fail(part(bar, at, 1), "parentheses do not stand inside each other",
             "inside one, words and dashes share the count evenly");
        ++at;
        continue;
      }
      count.words.push_back(word_at(bar, at));
    }
    count.piece = part(bar, begin, at - begin);
    if (count.words.empty()) fail(count.piece, "this parenthesis is empty", "leave it out");
    return count;
  }

  void add(PatternBar& bar, const CountText& count, CountPart start) {
    const auto parts = static_cast<int>(count.words.size());
    if (kWholeCount.value() % parts != 0) {
      return fail(count.piece, fmt::format("one count cannot be shared by {}", parts),
                  "spread them over more counts");
    }
    for (const Piece word : count.words) {
      if (!is_dash(word.text)) bar.steps.push_back({start, tones_of(word)});
      start += kWholeCount / parts;
    }
  }

  std::vector<PatternTone> tones_of(Piece word) {
    if (lower_case(word.text) == "rest") return {};
    std::vector<PatternTone> tones;
    for (const Piece piece : split(word, '+')) {
      if (piece.empty()) {
        fail(word, fmt::format("{} joins nothing", quoted(word.text)),
             "write it like `bass+octave`, without blanks");
        return {};
      }
      const auto tone = tone_of(piece);
      if (!tone) return {};
      if (std::find(tones.begin(), tones.end(), *tone) == tones.end()) tones.push_back(*tone);
    }
    const auto whole = std::find(tones.begin(), tones.end(), PatternTone::next);
    if (whole != tones.end() && tones.size() > 1) {
      fail(word, "`next` stands alone", "it is all that the hand plays of the coming chord");
    }
    return tones;
  }

  std::optional<PatternTone> tone_of(Piece piece) {
    const std::string wanted = lower_case(piece.text);
    const auto found = std::find_if(kTones.begin(), kTones.end(),
                                    [&](const ToneWord& tone) { return tone.word == wanted; });
    const bool is_left = hand_ == PatternHand::left;
    if (found == kTones.end()) {
      unknown(piece, wanted);
      return std::nullopt;
    }
    if (!belongs(*found, hand_)) {
      fail(piece,
           fmt::format("{} is a word of the {} hand", quoted(piece.text),
                       is_left ? "right" : "left"),
           the_words());
      return std::nullopt;
    }
    return found->tone;
  }

  void unknown(Piece piece, const std::string& wanted) {
    std::vector<std::string> known{"rest"};
    for (const ToneWord& tone : kTones) {
      if (belongs(tone, hand_)) known.emplace_back(tone.word);
    }
    const auto near = nearest(wanted, known);
    fail(piece, fmt::format("unknown word {} in a pattern", quoted(piece.text)),
         near ? fmt::format("did you mean `{}`?", *near) : the_words());
  }

  std::string the_words() const {
    return hand_ == PatternHand::left
               ? "the left hand has `bass`, `third`, `fifth`, `octave`, `next`, `rest` and `-`"
               : "the right hand has `chord`, `low`, `middle`, `high`, `upper`, `next`, `rest` and "
                 "`-`";
  }

  PatternHand hand_;
  Report& report_;
  bool failed_ = false;
};

// The fewest parts of a count that all its steps fall on.
int parts_of(const PatternBar& bar, int count) {
  int parts = 1;
  for (const PatternStep& step : bar.steps) {
    const CountPart into = step.start - kWholeCount * count;
    if (into <= CountPart(0) || into >= kWholeCount) continue;
    parts = std::lcm(parts, kWholeCount.value() / std::gcd(kWholeCount.value(), into.value()));
  }
  return parts;
}

std::string count_text(const PatternBar& bar, int count) {
  const int parts = parts_of(bar, count);
  std::string out;
  for (int i = 0; i < parts; ++i) {
    const CountPart at = kWholeCount * count + kWholeCount / parts * i;
    const auto step = std::find_if(bar.steps.begin(), bar.steps.end(),
                                   [&](const PatternStep& s) { return s.start == at; });
    if (i > 0) out += ' ';
    out += step == bar.steps.end() ? "-" : text(*step);
  }
  return parts == 1 ? out : "(" + out + ")";
}

}  // namespace

std::string_view name(PatternTone tone) {
  return std::find_if(kTones.begin(), kTones.end(),
                      [&](const ToneWord& word) { return word.tone == tone; })
      ->word;
}

std::string text(const PatternStep& step) {
  if (step.tones.empty()) return "rest";
  std::string out;
  for (const PatternTone tone : step.tones) {
    if (!out.empty()) out += '+';
    out += name(tone);
  }
  return out;
}

std::optional<PatternBar> with_counts(const PatternBar& bar, int counts) {
  if (bar.counts == counts) return bar;
  if (!bar.goes_on) return std::nullopt;
  PatternBar out{counts, true, {}};
  for (int count = 0; count < counts; ++count) {
    const CountPart from = kWholeCount * std::min(count, bar.counts - 1);
    const CountPart moved = kWholeCount * count - from;
    for (const PatternStep& step : bar.steps) {
      if (step.start < from || step.start >= from + kWholeCount) continue;
      out.steps.push_back({step.start + moved, step.tones});
    }
  }
  return out;
}

std::optional<PatternBar> read_pattern_bar(Piece content, PatternHand hand, Report& report) {
  return PatternReader(hand, report).read(content);
}

std::string text(const PatternBar& bar) {
  std::string out = "|";
  for (int count = 0; count < bar.counts; ++count) out += " " + count_text(bar, count);
  if (bar.goes_on) out += fmt::format(" {}", kAndSoOn);
  return out + " |";
}

}  // namespace stillhand::chart
