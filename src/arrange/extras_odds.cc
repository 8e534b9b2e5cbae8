#include "arrange/extras_odds.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <charconv>

#include "arrange/embedded.h"

namespace stillhand::arrange {
namespace {

using music::Chord;
using music::Tick;

// Chords that the rung below counts for: best inside the tuning half, of 4, 8, 15 and 40.
constexpr double kPrior = 15;

std::string length_class(const Span& span) {
  const Tick bar = span.meter.bar_length();
  if (span.duration > bar) return "long";
  if (span.duration == bar) return "bar";
  return span.duration * 2 >= bar ? "half" : "short";
}

std::string interval(const std::optional<Chord>& to, const Chord& from) {
  if (!to) return "-";
  const int up = to->root.pitch_class().value() - from.root.pitch_class().value();
  return std::to_string((up + 12) % 12);
}

std::string shown(const std::string& triad) { return triad.empty() ? "major" : triad; }

std::string whole_quality(const Chord& chord) {
  std::string out = shown(triad_of(chord.quality));
  for (const music::Degree& degree : chord.quality.degrees) {
    if (degree.number == 7) out += music::text(degree);
  }
  return out;
}

}  // namespace

Contexts contexts_of(const Span& span) {
  const Chord& chord = *span.chord;
  const std::string length = length_class(span);
  const std::string next = interval(span.after, chord);
  const std::string last = interval(span.before, chord);
  const std::string triad = shown(triad_of(chord.quality));
  const int degree =
      (chord.root.pitch_class().value() - span.tonality.tonic.pitch_class().value() + 12) % 12;
  const std::string mode = span.tonality.mode == music::Mode::major ? "" : "m";
  Contexts out;
  out[0] = "0";
  out[1] = "1 " + length;
  out[2] = fmt::format("2 {} to {}", length, next);
  out[3] = fmt::format("3 {} {} to {}", length, triad, next);
  out[4] = fmt::format("4 {} {} to {} from {}", length, triad, next, last);
  out[5] = fmt::format("5 {} {} to {} from {} on {}{}", length, triad, next, last, degree, mode);
  out[6] = fmt::format("6 {} {} to {}{} from {} on {}{}", length, whole_quality(chord), next,
                       span.after ? shown(triad_of(span.after->quality)) : "", last, degree, mode);
  return out;
}

const TurnCounts& TurnCounts::built_in() {
  static const TurnCounts counts = read(data::extras_tsv);
  return counts;
}

TurnCounts TurnCounts::read(std::string_view tsv) {
  TurnCounts counts;
  while (!tsv.empty()) {
    const std::string line(tsv.substr(0, tsv.find('\n')));
    tsv.remove_prefix(std::min(tsv.size(), line.size() + 1));
    if (line.empty() || line[0] == '#') continue;
    const std::size_t first = line.find('\t');
    const std::size_t second = line.find('\t', first + 1);
    assert(first != std::string::npos && second != std::string::npos);
    const std::string what = line.substr(first + 1, second - first - 1);
    int number = 0;
    std::from_chars(line.data() + second + 1, line.data() + line.size(), number);
    Row& row = counts.rows_[line.substr(0, first)];
    if (what == "chords") {
      row.chords = number;
    } else if (const auto turn = turn_named(what)) {
      row.turns[*turn] = number;
    }
  }
  return counts;
}

std::string TurnCounts::tsv() const {
  std::string out;
  for (const auto& [context, row] : rows_) {
    out += fmt::format("{}\tchords\t{:.0f}\n", context, row.chords);
    for (const auto& [turn, number] : row.turns)
      out += fmt::format("{}\t{}\t{:.0f}\n", context, text(turn), number);
  }
  return out;
}

void TurnCounts::see(const Contexts& contexts, double weight) {
  for (const std::string& context : contexts) rows_[context].chords += weight;
}

void TurnCounts::see(const Contexts& contexts, const Turn& turn, double weight) {
  for (const std::string& context : contexts) rows_[context].turns[turn] += weight;
}

TurnCounts TurnCounts::kept(double least_chords, double least_turns) const {
  TurnCounts out;
  for (const auto& [context, row] : rows_) {
    if (row.chords < least_chords) continue;
    Row slim{row.chords, {}};
    for (const auto& [turn, number] : row.turns) {
      if (number >= least_turns) slim.turns.emplace(turn, number);
    }
    out.rows_.emplace(context, std::move(slim));
  }
  return out;
}

std::vector<Odds> TurnCounts::odds_at(const Contexts& contexts) const {
  std::map<Turn, double> now;
  for (const std::string& context : contexts) {
    const auto found = rows_.find(context);
    if (found == rows_.end()) continue;
    const Row& row = found->second;
    if (context == contexts.front()) {
      for (const auto& [turn, number] : row.turns) now[turn] = number / std::max(row.chords, 1.0);
      continue;
    }
    for (auto& [turn, probability] : now) {
      const auto seen = row.turns.find(turn);
      const double number = seen == row.turns.end() ? 0 : seen->second;
      probability = (number + kPrior * probability) / (row.chords + kPrior);
    }
  }
  std::vector<Odds> out;
  for (const auto& [turn, probability] : now) out.push_back({turn, probability});
  std::stable_sort(out.begin(), out.end(),
                   [](const Odds& a, const Odds& b) { return a.probability > b.probability; });
  return out;
}

}  // namespace stillhand::arrange
