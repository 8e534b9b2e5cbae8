// How well a hidden manner is learned from a few pinned songs: the learning curve of docs/manners.md,
// on the real songs of testing/corpus.h.
//
//   manner_curve [MANNERS]       hidden manners of each kind, 8 if not given; about 3 s each
//
// A hidden manner arranges the training songs, and every chord of them is pinned to its shape; in
// the second half of the table one pin in ten is another shape of that chord by chance. What is
// learned is compared with the hidden manner on 24 songs that no training set holds, every second
// one transposed by chance. Agreement: the share of a song's distinct chords whose keys and fingers
// are the same, averaged over the songs.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <map>
#include <random>
#include <string>
#include <vector>

#include "arrange/manner_fit.h"
#include "arrange/solver.h"
#include "chart/chart.h"
#include "testing/corpus.h"
#include "testing/random_songs.h"

namespace stillhand {
namespace {

using arrange::Choices;
using arrange::CostTables;
using arrange::Manner;
using arrange::RightHandWeights;
using hand::Shape;
using Values = std::vector<std::size_t>;

constexpr std::array kSizes{1, 2, 3, 5, 10, 20};
constexpr std::size_t kTrainingSongs = 60;
constexpr std::size_t kUnseenSongs = 24;
constexpr std::size_t kFewestChords = 4;  // songs of moderate size
constexpr std::size_t kMostChords = 14;
constexpr std::array<const char*, 12> kTonics{"C",  "Db", "D",  "Eb", "E",  "F",
                                              "Gb", "G",  "Ab", "A",  "Bb", "B"};
constexpr std::array<const char*, 12> kMinorTonics{"Cm",  "C#m", "Dm",  "Ebm", "Em",  "Fm",
                                                   "F#m", "Gm",  "G#m", "Am",  "Bbm", "Bm"};

struct RealSong {
  chart::Song song;
  std::vector<chart::PlayedChord> chords;
  CostTables tables;
};

Values played_by(const RealSong& real, const RightHandWeights& weights) {
  Choices choices;
  choices.manner.right = weights;
  const auto task = arrange::right_hand_task(real.song, real.chords, choices);
  return arrange::solve(task->network, choices.state_limit).values;
}

enum class Kind { around_home, around_closest, anything };

double unit(std::mt19937& random) { return (static_cast<double>(random()) + 0.5) / 4294967296.0; }

// Around a known manner: ten times each weight (0 counts as 1), times a factor from 1/4 to 4. Or
// from 1 to 1000. Log-uniform in both; haste from 0 to 100 percent, uniform.
RightHandWeights hidden_weights(Kind kind, std::mt19937& random) {
  const RightHandWeights base =
      (kind == Kind::around_home ? Manner::home() : Manner::closest()).right;
  RightHandWeights out;
  for (const arrange::WeightName& name : arrange::right_hand_weight_names()) {
    const double chance = unit(random);
    double weight = std::pow(1000.0, chance);
    if (kind != Kind::anything)
      weight = 10.0 * std::max(base.*name.member, 1) * std::pow(4.0, 2 * chance - 1);
    if (name.member == &RightHandWeights::haste) weight = 100 * chance;
    out.*name.member = std::min(arrange::kLargestWeight, static_cast<int>(std::lround(weight)));
  }
  return out;
}

std::vector<RealSong> songs_by_chance(std::mt19937& random) {
  std::vector<chart::Song> all = testing::read_whole_corpus();
  for (std::size_t i = all.size() - 1; i > 0; --i)
    std::swap(all[i],
              all[static_cast<std::size_t>(testing::below(random, static_cast<int>(i + 1)))]);
  std::vector<RealSong> out;
  for (chart::Song& song : all) {
    if (out.size() == kTrainingSongs + kUnseenSongs) break;
    if (out.size() >= kTrainingSongs && out.size() % 2 == 1) {
      const auto& tonics = song.tonality.mode == music::Mode::minor ? kMinorTonics : kTonics;
      const auto to = music::parse_tonality(tonics[static_cast<std::size_t>(
          testing::below(random, static_cast<int>(tonics.size())))]);
      auto moved = chart::transpose(song, *to);
      if (!moved) continue;
      song = std::move(*moved);
    }
    auto chords = chart::played_chords(song, chart::perform(song));
    auto tables = CostTables::of(song, Choices{});
    if (!tables || tables->variables().size() < kFewestChords ||
        tables->variables().size() > kMostChords) {
      continue;
    }
    out.push_back({std::move(song), std::move(chords), std::move(*tables)});
  }
  return out;
}

double share_equal(const Values& a, const Values& b) {
  double same = 0;
  for (std::size_t i = 0; i < a.size(); ++i) same += a[i] == b[i] ? 1 : 0;
  return same / static_cast<double>(a.size());
}

// The second baseline: of the shapes that this chord had in training, as degree of its key and with
// the same notes in the same order under the same fingers, the most frequent one, in the octave
// nearest to where it was; a chord that was not seen is played as by home.
class MostFrequent {
 public:
  void see(const RealSong& real, const CostTables& pinned) {
    for (const arrange::Variable& v : pinned.variables()) {
      const Shape& shape = v.shapes[v.pinned.front()];
      Seen& seen = seen_[chord_key(real.song, v.chord)][form(shape)];
      ++seen.times;
      seen.lowest += shape.lowest().number();
    }
  }

  Values play(const RealSong& real) const {
    Values out = played_by(real, Manner::home().right);
    const auto& variables = real.tables.variables();
    for (std::size_t v = 0; v < variables.size(); ++v) {
      const auto forms = seen_.find(chord_key(real.song, variables[v].chord));
      if (forms == seen_.end()) continue;
      const auto most = std::max_element(
          forms->second.begin(), forms->second.end(),
          [](const auto& a, const auto& b) { return a.second.times < b.second.times; });
      const double wanted = 1.0 * most->second.lowest / most->second.times;
      double best = 1000;
      for (std::size_t a = 0; a < variables[v].shapes.size(); ++a) {
        const Shape& shape = variables[v].shapes[a];
        const double off = std::abs(shape.lowest().number() - wanted);
        if (form(shape) != most->first || off >= best) continue;
        best = off;
        out[v] = a;
      }
    }
    return out;
  }

 private:
  struct Seen {
    int times = 0;
    int lowest = 0;  // summed
  };

  static std::string chord_key(const chart::Song& song, const music::Chord& chord) {
    const int steps =
        (chord.root.pitch_class().value() - song.tonality.tonic.pitch_class().value() + 12) % 12;
    std::string out = std::to_string(steps);
    for (const music::Degree& d : chord.quality.degrees)
      out += fmt::format(" {}/{}", int{d.number}, int{d.alteration});
    return out;
  }

  static std::string form(const Shape& shape) {
    std::string out;
    for (const hand::ShapeNote& n : shape.notes)
      out += fmt::format("{}/{}-{} ", int{n.degree.number}, int{n.degree.alteration},
                         n.finger.number());
    return out;
  }

  std::map<std::string, std::map<std::string, Seen>> seen_;
};

struct Sample {
  double home = 0;
  // By size, then by baseline or method.
  std::vector<double> frequent;
  std::vector<double> learned;
};

class Curve {
 public:
  explicit Curve(std::vector<RealSong> songs) : songs_(std::move(songs)) {}

  Sample one(Kind kind, unsigned seed, int wrong_in_ten) const {
    std::mt19937 random(seed);
    const RightHandWeights hidden = hidden_weights(kind, random);
    std::vector<Values> wanted;
    for (std::size_t i = kTrainingSongs; i < songs_.size(); ++i)
      wanted.push_back(played_by(songs_[i], hidden));
    const auto agreement = [&](const auto& play) {
      double sum = 0;
      for (std::size_t i = kTrainingSongs; i < songs_.size(); ++i)
        sum += share_equal(play(songs_[i]), wanted[i - kTrainingSongs]);
      return 100 * sum / static_cast<double>(wanted.size());
    };
    const auto by = [&](const RightHandWeights& weights) {
      return agreement([&](const RealSong& song) { return played_by(song, weights); });
    };
    Sample sample;
    sample.home = by(Manner::home().right);
    MostFrequent frequent;
    std::vector<CostTables> pinned;
    std::vector<std::size_t> order(kTrainingSongs);
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    for (const int size : kSizes) {
      while (pinned.size() < static_cast<std::size_t>(size)) {
        const auto left = static_cast<int>(order.size() - pinned.size());
        std::swap(order[pinned.size()],
                  order[pinned.size() + static_cast<std::size_t>(testing::below(random, left))]);
        const RealSong& song = songs_[order[pinned.size()]];
        pinned.push_back(song.tables);
        Values values = played_by(song, hidden);
        for (std::size_t v = 0; v < values.size(); ++v) {
          const auto shapes = static_cast<int>(song.tables.variables()[v].shapes.size());
          if (testing::below(random, 10) < wrong_in_ten)
            values[v] = static_cast<std::size_t>(testing::below(random, shapes));
        }
        pinned.back().pin_all(values);
        frequent.see(song, pinned.back());
      }
      sample.frequent.push_back(
          agreement([&](const RealSong& song) { return frequent.play(song); }));
      const auto from_home = arrange::fit_weights(pinned, Manner::home().right);
      const auto from_closest = arrange::fit_weights(pinned, Manner::closest().right);
      sample.learned.push_back(
          by((from_home.loss <= from_closest.loss ? from_home : from_closest).weights));
    }
    return sample;
  }

 private:
  std::vector<RealSong> songs_;
};

// Mean and half the width of its 95 % confidence interval (normal approximation).
std::string mean_text(const std::vector<double>& values) {
  const auto n = static_cast<double>(values.size());
  double mean = 0;
  for (const double x : values) mean += x / n;
  double squares = 0;
  for (const double x : values) squares += (x - mean) * (x - mean);
  const double half = n < 2 ? 0 : 1.96 * std::sqrt(squares / (n - 1) / n);
  return fmt::format("{:.1f} ± {:.1f}", mean, half);
}

void print_rows(const std::string& title, const std::vector<Sample>& samples) {
  std::vector<double> home;
  for (const Sample& s : samples) home.push_back(s.home);
  for (const bool is_learned : {false, true}) {
    std::string row = fmt::format("| {} | {} | {} |", title,
                                  is_learned ? "learned" : "most frequent", mean_text(home));
    for (std::size_t i = 0; i < kSizes.size(); ++i) {
      std::vector<double> values;
      for (const Sample& s : samples) values.push_back((is_learned ? s.learned : s.frequent)[i]);
      row += fmt::format(" {} |", mean_text(values));
    }
    fmt::print("{}\n", row);
  }
}

void run(unsigned manners) {
  std::mt19937 random(5);
  const Curve curve(songs_by_chance(random));
  fmt::print("| hidden manner | by | home | 1 | 2 | 3 | 5 | 10 | 20 songs |\n");
  fmt::print("|---|---|---|---|---|---|---|---|---|\n");
  const std::vector<std::pair<Kind, std::string>> kinds{{Kind::around_home, "around home"},
                                                        {Kind::around_closest, "around closest"},
                                                        {Kind::anything, "anything"}};
  for (const int wrong_in_ten : {0, 1}) {
    for (const auto& [kind, title] : kinds) {
      std::vector<Sample> samples;
      for (unsigned m = 0; m < manners; ++m)
        samples.push_back(curve.one(kind, 1000 * static_cast<unsigned>(kind) + m, wrong_in_ten));
      print_rows(title + (wrong_in_ten == 0 ? "" : ", 10 % wrong"), samples);
    }
  }
}

}  // namespace
}  // namespace stillhand

int main(int count, char** arguments) {
  stillhand::run(count > 1 ? static_cast<unsigned>(std::atoi(arguments[1])) : 8U);
}
