#include "imports/chord_finding.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <string_view>

namespace stillhand::imports {
namespace {

using music::PitchClass;

constexpr std::size_t kLongestPiece =
    24;  // grid steps: three bars of 4/4 (longer chords are joined afterwards)
constexpr double kHeard = 0.04;  // share of the sound below which a tone is not heard
constexpr int kCountsOfSilence = 2;
constexpr double kSilence = 0.02;       // counts of sound to the count below which nothing sounds
constexpr double kDoubtOutside = 0.25;  // share of the sound outside the chord
constexpr double kDoubtMargin = 0.02;   // of the score, to the next other root or third

// What is looked for; data/chords.tsv has more, but a reader mends a missing ninth sooner than a wrong triad.
constexpr std::array<std::string_view, 15> kSuffixes{"",     "m",    "7",   "maj7", "m7",
                                                     "sus4", "sus2", "dim", "aug",  "m7b5",
                                                     "6",    "m6",   "5",   "add9", "7#9"};

struct Template {
  music::ChordQuality quality;
  std::array<bool, 12> in{};  // from the root
  int third = -1, fifth = -1;
  int tones = 0;
};

const std::vector<Template>& templates() {
  static const std::vector<Template> all = [] {
    std::vector<Template> out;
    for (const std::string_view suffix : kSuffixes) {
      Template t{*music::parse_quality(suffix), {}, -1, -1, 0};
      for (const music::Degree degree : t.quality.degrees) {
        const int at = degree.above(PitchClass(0)).value();
        t.in[static_cast<std::size_t>(at)] = true;
        if (degree.number == 3) t.third = at;
        if (degree.number == 5) t.fifth = at;
        ++t.tones;
      }
      out.push_back(std::move(t));
    }
    return out;
  }();
  return all;
}

using Sound = std::array<double, 12>;

// A channel that plays one note at a time, above the others, is a melody.
std::vector<bool> melody_channels(const std::vector<MidiNote>& notes) {
  std::array<double, 17> time{}, overlap{}, height{};
  std::array<Tick, 17> until{};
  for (const MidiNote& note : notes) {
    const auto c = static_cast<std::size_t>(note.channel.value());
    const double length = note.duration.value();
    time[c] += length;
    height[c] += length * note.key.number();
    overlap[c] += std::max(0, std::min(until[c] - note.start, note.duration).value());
    until[c] = std::max(until[c], note.start + note.duration);
  }
  std::vector<bool> out(17, false);
  for (std::size_t c = 0; c < 17; ++c) {
    if (time[c] == 0 || overlap[c] > 0.1 * time[c]) continue;
    bool is_highest = true;
    bool is_alone = true;
    for (std::size_t other = 0; other < 17; ++other) {
      if (other == c || time[other] == 0) continue;
      is_alone = false;
      is_highest = is_highest && height[c] / time[c] > height[other] / time[other];
    }
    out[c] = is_highest && !is_alone;
  }
  return out;
}

struct Judged {
  double score = 0;
  int root = 0;
  std::size_t quality = 0;
};

class Finder {
 public:
  Finder(const std::vector<MidiNote>& notes, const std::vector<GridPoint>& grid, Tick end,
         Tick count, const FindingWeights& weights)
      : notes_(notes), grid_(grid), end_(end), count_(count), weights_(weights) {
    gather();
  }

  std::vector<FoundChord> find() {
    const std::size_t size = grid_.size();
    std::vector<double> best(size + 1, -1e300);
    std::vector<std::size_t> from(size + 1, 0);
    best[0] = 0;
    for (std::size_t end = 1; end <= size; ++end) {
      const std::size_t first = end > kLongestPiece ? end - kLongestPiece : 0;
      for (std::size_t begin = end; begin-- > first;) {
        if (is_silent_[begin] != is_silent_[end - 1]) break;
        const double score = best[begin] + judge(begin, end, nullptr) - price(begin);
        if (score > best[end]) {
          best[end] = score;
          from[end] = begin;
        }
      }
    }
    std::vector<FoundChord> out;
    for (std::size_t end = size; end > 0; end = from[end]) out.push_back(piece(from[end], end));
    std::reverse(out.begin(), out.end());
    return joined(std::move(out));
  }

 private:
  Tick start(std::size_t point) const { return point < grid_.size() ? grid_[point].start : end_; }

  void gather() {
    const std::vector<bool> is_melody = melody_channels(notes_);
    sums_.assign(grid_.size() + 1, Sound{});
    lowest_.assign(grid_.size(), -1);
    // A stroke a little early or late still belongs to its place: half a grid step, at most an eighth of a count.
    const int slack = count_.value() / 8;
    for (const MidiNote& note : notes_) {
      const double weight =
          (is_melody[static_cast<std::size_t>(note.channel.value())] ? weights_.melody : 1.0) /
          count_.value();
      const auto pc = static_cast<std::size_t>(note.key.pitch_class().value());
      const Tick stop = note.start + note.duration;
      auto at = static_cast<std::size_t>(
          std::upper_bound(grid_.begin(), grid_.end(), note.start,
                           [](Tick t, const GridPoint& point) { return t < point.start; }) -
          grid_.begin());
      at = at == 0 ? 0 : at - 1;
      for (; at < grid_.size() && start(at) < stop; ++at) {
        const int overlap =
            std::min(stop, start(at + 1)).value() - std::max(note.start, start(at)).value();
        if (overlap > 0) sums_[at + 1][pc] += overlap * weight;
        const bool sounds_here =
            std::min(stop, start(at + 1)).value() - std::max(note.start, start(at)).value() > slack;
        if (sounds_here && (lowest_[at] < 0 || note.key.number() < lowest_[at]))
          lowest_[at] = note.key.number();
      }
    }
    find_silences();
    lows_.assign(grid_.size() + 1, Sound{});
    for (std::size_t i = 1; i < sums_.size(); ++i) {
      const int lowest = lowest_[i - 1];
      if (lowest >= 0) {
        lows_[i][static_cast<std::size_t>(lowest % 12)] =
            static_cast<double>((start(i) - start(i - 1)).value()) / count_.value();
      }
      for (std::size_t pc = 0; pc < 12; ++pc) {
        sums_[i][pc] += sums_[i - 1][pc];
        lows_[i][pc] += lows_[i - 1][pc];
      }
    }
  }

  // Steps of a silence of two counts or more: no chord reaches into it.
  void find_silences() {
    is_silent_.assign(grid_.size(), false);
    for (std::size_t begin = 0; begin < grid_.size();) {
      std::size_t end = begin;
      while (end < grid_.size() && lowest_[end] < 0) ++end;
      if (start(end) - start(begin) >= count_ * kCountsOfSilence) {
        std::fill(is_silent_.begin() + static_cast<std::ptrdiff_t>(begin),
                  is_silent_.begin() + static_cast<std::ptrdiff_t>(end), true);
      }
      begin = std::max(end, begin + 1);
    }
  }

  double price(std::size_t begin) const {
    switch (grid_[begin].accent) {
      case Accent::bar:
        return weights_.at_bar;
      case Accent::half_bar:
        return weights_.at_half_bar;
      case Accent::count:
        return weights_.at_count;
      case Accent::between_counts:
        return weights_.between_counts;
    }
    return 0;
  }

  // The lowest note on the piece's first count.
  int bass_of(std::size_t begin, std::size_t end) const {
    int lowest = -1;
    for (std::size_t at = begin; at < end && (lowest < 0 || start(at) < start(begin) + count_);
         ++at) {
      if (lowest_[at] >= 0 && (lowest < 0 || lowest_[at] < lowest)) lowest = lowest_[at];
    }
    return lowest;
  }

  // The best chord's score; in `list`, if given, each root and quality's.
  double judge(std::size_t begin, std::size_t end, std::vector<Judged>* list) const {
    if (is_silent_[begin]) return 0;
    Sound sound{};
    double total = 0;
    for (std::size_t pc = 0; pc < 12; ++pc) {
      sound[pc] = sums_[end][pc] - sums_[begin][pc];
      total += sound[pc];
    }
    const double counts = static_cast<double>((start(end) - start(begin)).value()) / count_.value();
    if (total < kSilence * counts) return 0;
    for (double& share : sound) share /= total;
    Sound low{};
    for (std::size_t pc = 0; pc < 12; ++pc) low[pc] = lows_[end][pc] - lows_[begin][pc];
    const int bass = bass_of(begin, end);
    double best = -1e300;
    for (int root = 0; root < 12; ++root) {
      for (std::size_t q = 0; q < templates().size(); ++q) {
        const double score = judge(sound, low, counts, root, templates()[q], bass);
        best = std::max(best, score);
        if (list != nullptr) list->push_back({score, root, q});
      }
    }
    return best;
  }

  double judge(const Sound& sound, const Sound& low, double counts, int root, const Template& chord,
               int bass) const {
    double inside = 0;
    double missing = 0;
    for (int i = 0; i < 12; ++i) {
      if (!chord.in[static_cast<std::size_t>(i)]) continue;
      const double share = sound[static_cast<std::size_t>((root + i) % 12)];
      inside += share;
      if (share >= kHeard) continue;
      missing += i == 0             ? weights_.missing_root
                 : i == chord.third ? weights_.missing_third
                 : i == chord.fifth ? weights_.missing_fifth
                                    : weights_.missing_other;
    }
    const double weight = std::min(counts, 4.0);  // what is missing weighs at most four counts
    double score = counts * (inside - weights_.outside * (1 - inside)) - weight * missing -
                   weights_.extra_tone * std::max(0, chord.tones - 3) * weight;
    if (chord.tones == 2) score -= weights_.extra_tone * weight;
    for (int i = 0; i < 12; ++i) {
      const int pc = (root + i) % 12;
      if (i != 0 && i != chord.fifth && (bass < 0 || pc != bass % 12))
        score -= weights_.bass_moves * low[static_cast<std::size_t>(pc)];
    }
    if (bass >= 0) {
      const int above = ((bass - root) % 12 + 12) % 12;
      if (above == 0) score += weights_.bass_is_root * weight;
      if (!chord.in[static_cast<std::size_t>(above)]) score -= weights_.bass_is_foreign * weight;
    }
    return score;
  }

  FoundChord piece(std::size_t begin, std::size_t end) const {
    FoundChord out;
    out.start = start(begin);
    out.end = start(end);
    std::vector<Judged> list;
    judge(begin, end, &list);
    if (list.empty()) return out;
    const auto better = [](const Judged& a, const Judged& b) { return a.score > b.score; };
    std::stable_sort(list.begin(), list.end(), better);
    const Judged& first = list.front();
    const auto other = std::find_if(list.begin(), list.end(), [&](const Judged& j) {
      return j.root != first.root ||
             templates()[j.quality].third != templates()[first.quality].third;
    });
    double inside = 0;
    double total = 0;
    for (int i = 0; i < 12; ++i) {
      const auto pc = static_cast<std::size_t>((first.root + i) % 12);
      const double sound = sums_[end][pc] - sums_[begin][pc];
      total += sound;
      if (templates()[first.quality].in[static_cast<std::size_t>(i)]) inside += sound;
    }
    const double counts = static_cast<double>((out.end - out.start).value()) / count_.value();
    out.root = PitchClass(first.root);
    out.quality = templates()[first.quality].quality;
    const int bass = bass_of(begin, end);
    out.bass = bass < 0 ? *out.root : PitchClass(bass);
    out.is_doubtful = total - inside > kDoubtOutside * total ||
                      first.score - other->score < kDoubtMargin * counts;
    return out;
  }

  static std::vector<FoundChord> joined(std::vector<FoundChord> pieces) {
    std::vector<FoundChord> out;
    for (FoundChord& piece : pieces) {
      const bool goes_on =
          !out.empty() && out.back().root == piece.root &&
          (!piece.root || (out.back().quality == piece.quality && out.back().bass == piece.bass));
      if (goes_on) {
        out.back().end = piece.end;
        out.back().is_doubtful = out.back().is_doubtful || piece.is_doubtful;
      } else {
        out.push_back(std::move(piece));
      }
    }
    return out;
  }

  const std::vector<MidiNote>& notes_;
  const std::vector<GridPoint>& grid_;
  Tick end_;
  Tick count_;
  const FindingWeights& weights_;
  std::vector<Sound> sums_;  // sound before each grid point, in counts
  std::vector<Sound> lows_;  // how long each note has lain lowest before each grid point, in counts
  std::vector<bool> is_silent_;
  std::vector<int> lowest_;  // key that sounds in each step, -1 = none
};

}  // namespace

std::vector<FoundChord> find_chords(const std::vector<MidiNote>& notes,
                                    const std::vector<GridPoint>& grid, Tick end, Tick count,
                                    const FindingWeights& weights) {
  if (grid.empty()) return {};
  return Finder(notes, grid, end, count, weights).find();
}

}  // namespace stillhand::imports
