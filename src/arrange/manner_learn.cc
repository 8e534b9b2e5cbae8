#include "arrange/manner_learn.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>
#include <optional>
#include <tuple>

#include "arrange/cost_tables.h"
#include "arrange/manner_fit.h"
#include "arrange/solver.h"

namespace stillhand::arrange {
namespace {

constexpr double kNothing = 1e-4;  // amounts are hundredths and their sums

struct PinnedSong {
  const Song* song;
  CostTables tables;
};

// One pinned chord of one song.
struct Example {
  std::size_t song;
  std::size_t variable;
};

std::string keys_of(const Shape& shape) {
  std::string out;
  for (const hand::ShapeNote& note : shape.notes)
    out += fmt::format("{}{}", out.empty() ? "" : " ", text(note.pitch));
  return out;
}

bool same_keys_and_fingers(const Shape& a, const Shape& b) {
  return std::equal(a.notes.begin(), a.notes.end(), b.notes.begin(), b.notes.end(),
                    [](const hand::ShapeNote& x, const hand::ShapeNote& y) {
                      return x.key() == y.key() && x.finger == y.finger;
                    });
}

class Learner {
 public:
  Learner(const std::vector<Song>& songs, const Choices& choices)
      : songs_(songs), choices_(choices) {}

  Result<Learned> learn() {
    if (auto read = read_songs(); !read) return tl::unexpected(read.error());
    std::vector<CostTables> tables;
    for (const PinnedSong& one : pinned_songs_) tables.push_back(one.tables);
    const Fit from_home = fit_weights(tables, Manner::home().right);
    const Fit from_closest = fit_weights(tables, Manner::closest().right);
    const bool is_home = from_home.loss <= from_closest.loss;
    learned_.started_from = is_home ? "home" : "closest";
    learned_.manner = Manner::home();
    learned_.manner.name = "learned";
    learned_.manner.right = is_home ? from_home.weights : from_closest.weights;
    for (const PinnedSong& one : pinned_songs_) learned_.titles.push_back(one.song->title);
    compare();
    return std::move(learned_);
  }

 private:
  Result<void> read_songs() {
    Diagnostics errors;
    for (const Song& song : songs_) {
      Result<CostTables> tables = CostTables::of(song, choices_);
      if (!tables) {
        errors.insert(errors.end(), tables.error().begin(), tables.error().end());
        continue;
      }
      const auto& variables = tables->variables();
      if (std::any_of(variables.begin(), variables.end(),
                      [](const Variable& v) { return v.is_pinned; })) {
        pinned_songs_.push_back({&song, std::move(*tables)});
      }
    }
    if (!errors.empty()) return tl::unexpected(std::move(errors));
    if (pinned_songs_.empty()) {
      return failure(Fault::chart, songs_.size() == 1 ? songs_.front().file : "",
                     "there is nothing to learn from: no chord that is played has a pinned shape",
                     "pin the shapes that you teach, for example `shape G  G3 B3 D4`");
    }
    return {};
  }

  // What a manner plays where the song is not pinned, by chord.
  RightHandTask unpinned_task(const Song& song, const Manner& manner) const {
    Song free = song;
    free.pins.clear();
    Choices choices = choices_;
    choices.manner = manner;
    const auto chords = chart::played_chords(free, chart::perform(free));
    // A chord that only its pin makes playable has no shapes of its own.
    Result<RightHandTask> task = right_hand_task(free, chords, choices);
    return task ? std::move(*task) : RightHandTask{};
  }

  std::vector<std::pair<Chord, Shape>> played_by(const Manner& manner, const Song& song) const {
    const RightHandTask task = unpinned_task(song, manner);
    std::vector<std::pair<Chord, Shape>> out;
    if (task.variables.empty()) return out;
    const Solution solution = solve(task.network, choices_.state_limit);
    for (std::size_t v = 0; v < task.variables.size(); ++v)
      out.emplace_back(task.variables[v].chord, task.variables[v].shapes[solution.values[v]]);
    return out;
  }

  void compare() {
    for (std::size_t l = 0; l < pinned_songs_.size(); ++l) {
      const Song& song = *pinned_songs_[l].song;
      const auto home = played_by(Manner::home(), song);
      const auto own = played_by(learned_.manner, song);
      const auto& variables = pinned_songs_[l].tables.variables();
      for (std::size_t v = 0; v < variables.size(); ++v) {
        if (!variables[v].is_pinned) continue;
        ++learned_.pins;
        if (plays(home, variables[v])) ++learned_.by_home;
        const Example example{l, v};
        if (plays(own, variables[v])) {
          ++learned_.by_learned;
          kept_.push_back(example);
        } else {
          missed_.push_back(example);
        }
      }
    }
    for (const Example& example : missed_) explain(example);
  }

  static bool plays(const std::vector<std::pair<Chord, Shape>>& shapes, const Variable& pinned) {
    return std::any_of(shapes.begin(), shapes.end(), [&](const auto& played) {
      if (!(played.first == pinned.chord)) return false;
      return std::any_of(pinned.pinned.begin(), pinned.pinned.end(), [&](std::size_t a) {
        return same_keys_and_fingers(played.second, pinned.shapes[a]);
      });
    });
  }

  const Variable& variable_of(const Example& e) const {
    return pinned_songs_[e.song].tables.variables()[e.variable];
  }

  Place place_of(const Example& e) const {
    const Variable& variable = variable_of(e);
    for (const chart::Pin& pin : pinned_songs_[e.song].song->pins) {
      if (pin.chord == variable.chord && pin.section == variable.section) return pin.place;
    }
    return {};
  }

  std::string pin_in_words(const Example& e) const {
    const Variable& variable = variable_of(e);
    return fmt::format("{} as {}", text(variable.chord),
                       keys_of(variable.shapes[variable.pinned.front()]));
  }

  void remark(Severity severity, const Example& at, std::string message, std::string suggestion) {
    learned_.remarks.push_back({severity,
                                Fault::chart,
                                pinned_songs_[at.song].song->file,
                                place_of(at),
                                std::move(message),
                                std::move(suggestion),
                                {}});
  }

  void explain(const Example& example) {
    const std::vector<Rival> rivals = rivals_of(example);
    for (const Rival& rival : rivals) {
      if (!never_dearer(rival.difference)) continue;
      return remark(Severity::warning, example,
                    fmt::format("no weights can make this pin cheapest: {}, {} is as good or "
                                "better in everything that counts",
                                pin_in_words(example), rival.keys),
                    "pin it in every chart where you want it; a manner cannot know it");
    }
    if (const auto other = contradiction(example, rivals)) {
      const Song& song = *pinned_songs_[other->song].song;
      return remark(Severity::warning, example,
                    fmt::format("two pins contradict each other: what speaks for {} here speaks "
                                "against {} in {}, line {}",
                                pin_in_words(example), pin_in_words(*other), song.file,
                                place_of(*other).line),
                    "the learned manner follows the second; change one of the two if it is a slip");
    }
    remark(Severity::note, example,
           fmt::format("the learned manner does not play {} here", pin_in_words(example)),
           "keep the pin where you want it; more pinned charts make the manner surer");
  }

  struct Rival {
    std::string keys;
    Amounts difference;  // what the rival has more than her shape
  };

  // Proofs need the neighbours' shapes to be hers, not guessed: none where one of them is free.
  std::vector<Rival> rivals_of(const Example& e) const {
    const CostTables& tables = pinned_songs_[e.song].tables;
    const auto& variables = tables.variables();
    const auto is_settled = [&](std::size_t v) { return variables[v].pinned.size() == 1; };
    const auto neighbours = tables.neighbours(e.variable);
    if (!is_settled(e.variable) || !std::all_of(neighbours.begin(), neighbours.end(), is_settled))
      return {};
    std::vector<std::size_t> hers;
    for (const Variable& v : variables) hers.push_back(v.pinned.empty() ? 0 : v.pinned.front());
    const Variable& variable = variables[e.variable];
    std::vector<Rival> out;
    for (std::size_t a = 0; a < variable.shapes.size(); ++a) {
      if (a == hers[e.variable]) continue;
      out.push_back({keys_of(variable.shapes[a]), tables.difference(hers, e.variable, a)});
    }
    return out;
  }

  static bool never_dearer(const Amounts& difference) {
    return std::all_of(difference.begin(), difference.end(),
                       [](double x) { return x <= kNothing; }) &&
           std::any_of(difference.begin(), difference.end(),
                       [](double x) { return x < -kNothing; });
  }

  // Whether a + t·b <= 0 in every term for some t > 0: then no prices make both cost more than
  // nothing (Farkas' lemma for two inequalities).
  static bool are_opposed(const Amounts& a, const Amounts& b) {
    double least = 0;
    double most = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < a.size(); ++i) {
      if (std::abs(b[i]) <= kNothing) {
        if (a[i] > kNothing) return false;
      } else if (b[i] > 0) {
        most = std::min(most, (kNothing - a[i]) / b[i]);
      } else {
        least = std::max(least, (a[i] - kNothing) / -b[i]);
      }
    }
    return most > 0 && least <= most;
  }

  std::optional<Example> contradiction(const Example& example,
                                       const std::vector<Rival>& rivals) const {
    if (rivals.empty()) return std::nullopt;
    std::vector<Example> others = kept_;
    others.insert(others.end(), missed_.begin(), missed_.end());
    for (const Example& other : others) {
      if (other.song == example.song && other.variable == example.variable) continue;
      for (const Rival& theirs : rivals_of(other)) {
        if (never_dearer(theirs.difference)) continue;  // reported by itself
        for (const Rival& own : rivals) {
          if (are_opposed(own.difference, theirs.difference)) return other;
        }
      }
    }
    return std::nullopt;
  }

  const std::vector<Song>& songs_;
  const Choices& choices_;
  std::vector<PinnedSong> pinned_songs_;  // the songs with pins
  std::vector<Example> kept_;
  std::vector<Example> missed_;
  Learned learned_;
};

std::string titles_in_words(const std::vector<std::string>& titles) {
  std::string out;
  for (const std::string& title : titles)
    out += fmt::format("{}{}", out.empty() ? "" : ", ", title.empty() ? "untitled" : title);
  return out;
}

}  // namespace

Result<Learned> learn_manner(const std::vector<Song>& songs, const Choices& choices) {
  return Learner(songs, choices).learn();
}

std::string manner_file(const Manner& manner, const Learned& learned) {
  nlohmann::ordered_json file;
  file["format"] = "stillhand-manner-1";
  file["name"] = manner.name;
  file["about"] = fmt::format(
      "Learned from {} pinned shapes, starting from {}: it plays {} of them "
      "by itself, home {}.",
      learned.pins, learned.started_from, learned.by_learned, learned.by_home);
  file["source"] = fmt::format("Fitted to the pins in: {}.", titles_in_words(learned.titles));
  file["descending_bass"] = manner.descending_bass == DescendingBass::slide_little_finger
                                ? "slide little finger"
                                : "announced shift";
  for (const WeightName& weight : right_hand_weight_names())
    file["right_hand"][std::string(weight.name)] = manner.right.*weight.member;
  return file.dump(2, ' ', false, nlohmann::json::error_handler_t::replace) + "\n";
}

}  // namespace stillhand::arrange
