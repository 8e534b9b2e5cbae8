#include "teach/practice.h"

#include <fmt/format.h>

#include <algorithm>

#include "perform/performance.h"
#include "teach/section_use.h"
#include "teach/speaking.h"
#include "teach/words.h"

namespace stillhand::teach {
namespace {

constexpr int kAssumedPercent = 60;  // where the ladder's length is reckoned from, if nobody knows
// What is new is tried no faster than this, whatever the student plays clean elsewhere: as in the teaching plan.
constexpr int kNewPercent = 60;
constexpr std::size_t kDrillsADay = 2;  // our judgement

// The blocks of a day: our judgement within 20 to 30 minutes (common practice, no source).
constexpr Minutes kWarmUp{3};
constexpr Minutes kDrilling{6};
constexpr Minutes kNewest{9};
constexpr Minutes kReview{4};
constexpr int kCleanRuns = 3;
constexpr Minutes kEnd{3};
static_assert(kWarmUp + kDrilling + kNewest + kReview + kEnd == kMinutesADay);

// Sections that are counted alike, and what is new in the first of them.
struct Part {
  std::vector<std::size_t> sections;
  std::vector<std::size_t> fresh;  // shapes
  CountAloud counts;
};

class PracticePlanner {
 public:
  PracticePlanner(const Lesson& lesson, const std::vector<PracticeTrack>& tracks)
      : lesson_(lesson), tracks_(tracks), say_(lesson) {}

  Practice plan() {
    out_.ladder = lesson_.ladder;
    find_parts();
    drills();
    before();
    rules();
    days();
    ladder();
    return std::move(out_);
  }

 private:
  const std::string& name(std::size_t section) const { return lesson_.sections.at(section).name; }

  std::string names(const Part& part) const {
    std::vector<std::string> out;
    for (const std::size_t section : part.sections) out.push_back(name(section));
    return list_in_words(out);
  }

  void find_parts() {
    std::vector<std::size_t> known;
    for (const std::size_t section : played_order(lesson_)) {
      Part part{{section}, {}, count_aloud(lesson_.sections[section], lesson_.note_names)};
      for (const std::size_t shape : section_use(lesson_, section).shapes) {
        if (std::find(known.begin(), known.end(), shape) == known.end()) {
          part.fresh.push_back(shape);
          known.push_back(shape);
        }
      }
      const auto alike = std::find_if(parts_.begin(), parts_.end(), [&](const Part& other) {
        return is_counted_alike(other.counts, part.counts) && part.fresh.empty();
      });
      if (alike == parts_.end()) {
        parts_.push_back(std::move(part));
      } else {
        alike->sections.push_back(section);
      }
    }
  }

  // ---- drills

  void drills() {
    for (const std::size_t move : lesson_.hardest) {
      const Move& hard = lesson_.moves.at(move);
      const auto known = std::find_if(out_.drills.begin(), out_.drills.end(), [&](const Drill& d) {
        return std::find(d.moves.begin(), d.moves.end(), move) != d.moves.end();
      });
      if (known != out_.drills.end()) continue;
      Drill drill{
          fmt::format("{} and {}", say_.chord(hard.from), say_.chord(hard.to)), {move}, {}, ""};
      drill.words.push_back(say_.move(hard));
      const auto back = find_move(lesson_, hard.to, hard.from);
      if (back) {
        drill.moves.push_back(*back);
        drill.words.push_back("And back, the other way round.");
      }
      if (hard.shortest.value() > 0) {
        drill.time = fmt::format("At the song's tempo there are {:.1f} seconds for it.",
                                 double(hard.shortest.value()) / 1000);
      }
      for (const PracticeTrack& track : tracks_) {
        if (track.change && is_pair(*track.change, hard)) drill.tracks.push_back(track.file);
      }
      out_.drills.push_back(std::move(drill));
    }
  }

  static bool is_pair(const std::pair<std::size_t, std::size_t>& shapes, const Move& move) {
    return shapes == std::pair(move.from, move.to) || shapes == std::pair(move.to, move.from);
  }

  // ---- what holds on every day

  static bool has_octave(const SheetChord& chord) {
    if (!chord.bass) return false;
    const auto& figure = chord.bass->figure;
    return std::any_of(figure.begin(), figure.end(), [](const arrange::FigureNote& note) {
      return note.tone == arrange::BassTone::octave;
    });
  }

  // Either hand, `or` lines too.
  bool has_octaves() const {
    const auto is_wide = [](const TaughtShape& taught) {
      return taught.shape.highest() - taught.shape.lowest() >= music::Semitones(12);
    };
    if (std::any_of(lesson_.shapes.begin(), lesson_.shapes.end(), is_wide)) return true;
    for (const SheetSection& section : lesson_.sections) {
      for (const SheetLine& line : section.lines) {
        for (const SheetOption& option : line.options) {
          for (const SheetBar& bar : option.bars) {
            if (std::any_of(bar.chords.begin(), bar.chords.end(), has_octave)) return true;
          }
        }
      }
    }
    return std::any_of(lesson_.positions.begin(), lesson_.positions.end(), [](const auto& entry) {
      return entry.rung == arrange::Rung::octave || entry.rung == arrange::Rung::root_fifth_octave;
    });
  }

  void before() {
    out_.before = {
        {"Pain, numbness or tingling: stop at once, and rest. If it comes back or stays, see a "
         "professional before you play on.",
         {Claim::custom, Claim::warm_up}},
        {"Begin each day with the easy things, rest a few minutes half-way, and do not make up for "
         "a missed day with twice the time.",
         {Claim::warm_up, Claim::long_stretches}},
        {has_octaves()
             ? "Never force a stretch. Where an octave is too wide, leave its upper note out."
             : "Never force a stretch. Nothing here needs an octave.",
         {Claim::custom}}};
    if (!tracks_.empty()) {
      out_.before.push_back(
          {"Tracks and headphones: no louder than a conversation beside you. The limit is "
           "80 dB(A) for 40 hours a week, 75 for children.",
           {Claim::listening_level}});
    }
  }

  void rules() {
    out_.rules = {
        {"Hear it first. Play the recording, or have your teacher play, before you play yourself.",
         {Claim::model}},
        {"Play so slowly that it comes out right. When it goes wrong, stop, find the one change "
         "that "
         "failed, play it slower still, and repeat it until it stays right. How often it was right "
         "is what counts, not how long you sat there.",
         {Claim::right_and_stable, Claim::slow_practice}},
        {"Begin at the beginning of a section or a line, and stop at its end.", {Claim::sections}},
        {"Right hand alone, left hand alone, each only until it is safe; then both, slowly. Do not "
         "stay "
         "long with one hand.",
         {Claim::custom, Claim::right_and_stable}},
        {"Count aloud a whole bar before you start, and go on counting: the chord's name when it "
         "comes, "
         "the number while it stays.",
         {Claim::custom}},
        {"A little every day beats much on one day: what was learned settles overnight. Longer "
         "pauses on the "
         "same day do not replace the night.",
         {Claim::nights_between, Claim::not_minutes}},
        {"Three clean runs in a row, then one step faster. A run is clean when no chord came late "
         "and none was "
         "wrong.",
         {Claim::custom}}};
  }

  // ---- tracks

  // The slowest track of the whole song with both hands; at tempo the fastest.
  std::vector<std::string> song_tracks(bool at_tempo) const {
    const PracticeTrack* best = nullptr;
    for (const PracticeTrack& track : tracks_) {
      if (track.section || track.change || track.hand) continue;
      const bool is_better =
          best == nullptr || (at_tempo ? track.tempo > best->tempo : track.tempo < best->tempo);
      if (is_better) best = &track;
    }
    return best == nullptr ? std::vector<std::string>{} : std::vector{best->file};
  }

  // Slow ones of a section, one hand before both.
  std::vector<std::string> section_tracks(std::size_t section) const {
    std::vector<const PracticeTrack*> here;
    TempoPercent slowest{1000};  // above any
    for (const PracticeTrack& track : tracks_) {
      if (track.section != section) continue;
      here.push_back(&track);
      slowest = std::min(slowest, track.tempo);
    }
    std::vector<std::string> out;
    for (const bool alone : {true, false}) {
      for (const PracticeTrack* track : here) {
        if (track->tempo == slowest && track->hand.has_value() == alone) out.push_back(track->file);
      }
    }
    return out;
  }

  // ---- days

  void days() {
    for (std::size_t p = 0; p < parts_.size(); ++p) learn(p);
    if (parts_.empty()) return;
    if (lesson_.road_map.size() > 1) join();
    climb();
    last();
  }

  void learn(std::size_t p) {
    const Part& part = parts_[p];
    const std::size_t groups =
        std::max<std::size_t>(1, (part.fresh.size() + kMostNewShapes - 1) / kMostNewShapes);
    std::vector<std::size_t> before;  // the shapes of the part before this one
    for (std::size_t g = 0; g < groups; ++g) {
      const std::size_t first = part.fresh.size() * g / groups;
      const std::size_t end = part.fresh.size() * (g + 1) / groups;
      const std::vector<std::size_t> fresh(part.fresh.begin() + static_cast<std::ptrdiff_t>(first),
                                           part.fresh.begin() + static_cast<std::ptrdiff_t>(end));
      const bool is_last = g + 1 == groups;
      const std::string which =
          groups == 1 ? ""
                      : fmt::format(", part {} of {}", number_in_words(static_cast<int>(g) + 1),
                                    number_in_words(static_cast<int>(groups)));
      PracticeDay day = begin_day(
          fresh.empty() ? fmt::format("{}, both hands", names(part))
                        : fmt::format("{}{}: {}", names(part), which, say_.chords(fresh)));
      warm_up(day);
      review(day, p, before);
      newest(day, part, fresh, is_last ? Group::last : g == 0 ? Group::first : Group::further);
      before = fresh;
      known_.insert(known_.end(), fresh.begin(), fresh.end());
      drill(day);
      finish(day, "Whatever of the song you like; sing it.");
    }
  }

  PracticeDay begin_day(std::string aim) const {
    PracticeDay day;
    day.number = static_cast<int>(out_.days.size()) + 1;
    day.aim = std::move(aim);
    return day;
  }

  static void add(PracticeDay& day, PracticeBlock block) {
    day.minutes += block.minutes;
    day.blocks.push_back(std::move(block));
  }

  // With the shapes of the days before.
  void warm_up(PracticeDay& day) {
    const bool is_the_same = warmed_up_ == known_.size();
    warmed_up_ = known_.size();
    add(day, {"Warm up",
              known_.empty() ? "Five fingers on five neighbouring keys, up and down, quietly."
              : is_the_same  ? "All shapes without time, in any order."
                             : fmt::format("The shapes without time: {}. Look, lay all fingers on "
                                            "their keys, then press.",
                                           say_.chords(known_)),
              {Claim::warm_up},
              {},
              kWarmUp});
  }

  bool is_within_reach(const Drill& drill) const {
    const Move& move = lesson_.moves[drill.moves.front()];
    const auto has = [&](std::size_t shape) {
      return std::find(known_.begin(), known_.end(), shape) != known_.end();
    };
    return has(move.from) && has(move.to);
  }

  enum class Day { ordinary, last };

  // Two drills in turn out of those whose shapes are known by then; each comes up before any comes up again.
  // The last day brings those that have not come up at all.
  void drill(PracticeDay& day, Day which = Day::ordinary) {
    const bool is_last = which == Day::last;
    std::vector<std::size_t> fit;
    for (std::size_t d = 0; d < out_.drills.size(); ++d) {
      if (is_within_reach(out_.drills[d])) fit.push_back(d);
    }
    times_drilled_.resize(out_.drills.size());
    std::stable_sort(fit.begin(), fit.end(), [&](std::size_t a, std::size_t b) {
      return times_drilled_[a] < times_drilled_[b];
    });
    const auto never = static_cast<std::size_t>(std::count_if(
        fit.begin(), fit.end(), [&](std::size_t d) { return times_drilled_[d] == 0; }));
    const std::size_t most = is_last ? std::max(kDrillsADay, never) : kDrillsADay;
    if (fit.size() > most) fit.resize(most);
    std::sort(fit.begin(), fit.end());
    PracticeBlock block{"Drills", "", {Claim::custom}, {}, kDrilling};
    std::vector<std::string> titles;
    for (const std::size_t d : fit) {
      ++times_drilled_[d];
      titles.push_back(out_.drills[d].title);
      block.tracks.insert(block.tracks.end(), out_.drills[d].tracks.begin(),
                          out_.drills[d].tracks.end());
    }
    block.what = fit.empty()
                     ? "Any two of the shapes you know, back and forth, four slow counts on each."
                     : fmt::format(
                           "{}: four slow counts on each, then two, then one. If one is too "
                           "fast, back to two.",
                           fmt::format("{}", fmt::join(titles, "; ")));
    add(day, std::move(block));
  }

  // Of the parts of a section whose new shapes are too many for one day.
  enum class Group { first, further, last };

  void newest(PracticeDay& day, const Part& part, const std::vector<std::size_t>& fresh,
              Group group) const {
    const std::string where = names(part);
    PracticeBlock block{"New", "", {Claim::custom, Claim::right_and_stable}, {}, kNewest};
    if (group != Group::last) {
      block.what = fmt::format(
          "The {} shapes of {}: each from the one before, without time; then the right hand from "
          "the beginning as far as {}, counting aloud. Then the left hand alone.",
          group == Group::first ? "first" : "next", where, say_.chord(fresh.back()));
    } else {
      block.tracks = section_tracks(part.sections.front());
      block.what = fresh.empty()
                       ? fmt::format(
                             "{}: right hand alone, counting aloud (2 minutes); left hand "
                             "alone (2); both, {} (5).",
                             where, tempo_now())
                       : fmt::format(
                             "{}: the new {} (2 minutes); then right hand alone, counting "
                             "aloud (2); left hand alone (2); both, {} (3).",
                             where,
                             fresh.size() == 1 ? "shape, there and back from the one before"
                                               : "shapes from one to the next",
                             tempo_now());
    }
    add(day, std::move(block));
  }

  std::string tempo_now() const {
    if (lesson_.ladder.steps.empty()) return "as slowly as it takes to come out right";
    const int slow = (lesson_.tempo.value() * kNewPercent + 99) / 100;  // rounded up
    return fmt::format("at {} counts a minute",
                       std::min(lesson_.ladder.steps.front().value(), slow));
  }

  void review(PracticeDay& day, std::size_t p, const std::vector<std::size_t>& part_before) const {
    if (p == 0 && part_before.empty()) return listen(day);
    const std::string what = part_before.empty()
                                 ? fmt::format("{}, both hands, once slowly.", names(parts_[p - 1]))
                                 : fmt::format("{}, one after the other, once with the left hand.",
                                               say_.chords(part_before));
    add(day, {"Again", "From the day before: " + what, {Claim::nights_between}, {}, kReview});
  }

  void listen(PracticeDay& day) const {
    const std::vector<std::string> tracks = song_tracks(false);
    if (tracks.empty()) {
      add(day, {"Read",
                "The road map aloud; then count one section through without playing.",
                {Claim::custom},
                {},
                kReview});
    } else {
      add(day, {"Listen",
                "The slow track of the whole song, the sheet before you; count along.",
                {Claim::model},
                tracks,
                kReview});
    }
  }

  void finish(PracticeDay& day, std::string what) {
    add(day, {"End", std::move(what), {}, {}, kEnd});
    out_.days.push_back(std::move(day));
  }

  void join() {
    PracticeDay day = begin_day("From section to section");
    warm_up(day);
    add(day,
        {"Again",
         fmt::format("From the day before: {}, both hands, once slowly.", names(parts_.back())),
         {Claim::nights_between},
         {},
         kReview});
    add(day,
        {"New",
         "Only the last bar of each section and the first bar of the next, in the order of the "
         "road map; each way until it comes clean three times.",
         {Claim::custom, Claim::sections},
         {},
         kNewest});
    drill(day);
    finish(day, "Whatever of the song you like; sing it.");
  }

  double song_minutes(int tempo) const {
    const perform::Performance& p = lesson_.performance;
    if (p.end <= p.count_in || p.tempo.value() <= 0) return 0;
    return (perform::seconds(p, p.end, 100) - perform::seconds(p, p.count_in, 100)) / 60 *
           lesson_.tempo.value() / std::max(tempo, 1);
  }

  // Three runs of a long song are more than a day has.
  std::string clean_runs(int tempo) const {
    return song_minutes(tempo) * kCleanRuns <= kNewest.value()
               ? "three clean runs. If they do not come, stay on this step another day."
               : "section by section, three clean runs of each; where the time is over, go on the "
                 "next day. Then once from beginning to end, and only then the next step.";
  }

  // Measured, or reckoned where nobody knows.
  std::vector<music::Tempo> ladder_steps() const {
    if (!lesson_.ladder.steps.empty()) return lesson_.ladder.steps;
    const music::Tempo from(std::max(lesson_.tempo.value() * kAssumedPercent / 100, 1));
    return tempo_ladder(lesson_.tempo, from).steps;
  }

  void climb() {
    const std::vector<music::Tempo> steps = ladder_steps();
    const bool is_measured = !lesson_.ladder.steps.empty();
    for (std::size_t s = 1; s < steps.size(); ++s) {
      const bool is_top = is_measured && s + 1 == steps.size();
      const std::string tempo = fmt::format("{} counts a minute", steps[s].value());
      PracticeDay day = begin_day(fmt::format(
          "The whole song, {}",
          is_measured ? tempo : fmt::format("{} step up", ordinal_in_words(static_cast<int>(s)))));
      warm_up(day);
      drill(day);
      const std::string runs = clean_runs(steps[s].value());
      add(day,
          {"The song",
           is_measured ? fmt::format("At {}: {}", tempo, runs)
           : s == 1    ? fmt::format("Find the tempo at which three runs come clean: that is your "
                                        "first step. From there one step up, 5 to 10 counts a "
                                        "minute: {}",
                                     runs)
                    : fmt::format("5 to 10 counts a minute faster than the step before: {}", runs),
           {Claim::custom},
           // A track helps only where it has the day's tempo; the slow one is for finding the first step.
           is_top                   ? song_tracks(true)
           : !is_measured && s == 1 ? song_tracks(false)
                                    : std::vector<std::string>{},
           kNewest});
      const Part& again = parts_[(s - 1) % parts_.size()];
      add(day, {"Again",
                fmt::format("What broke, alone. If nothing did: {}.", names(again)),
                {Claim::right_and_stable},
                section_tracks(again.sections.front()),
                kReview});
      finish(day, "Sing the song, at any tempo.");
    }
  }

  void last() {
    PracticeDay day = begin_day("The song at its tempo");
    warm_up(day);
    drill(day, Day::last);
    const std::vector<std::string> tracks = song_tracks(true);
    add(day,
        {"The song",
         fmt::format("From beginning to end at {} counts a minute, {}. Play on whatever happens.",
                     lesson_.tempo.value(),
                     tracks.empty() ? "with a click or without" : "with the track"),
         {Claim::custom},
         tracks,
         kNewest});
    add(day, {"Again",
              "What broke, alone and slowly; then its line.",
              {Claim::right_and_stable},
              {},
              kReview});
    finish(day, "Sing it to somebody.");
  }

  void ladder() { out_.ladder_words = capitalised(lesson_.ladder.words); }

  const Lesson& lesson_;
  const std::vector<PracticeTrack>& tracks_;
  Speaker say_;
  std::vector<Part> parts_;
  std::vector<std::size_t> known_;  // shapes, by the day that is being planned
  std::size_t warmed_up_ = 0;       // with how many
  std::vector<int> times_drilled_;
  Practice out_;
};

}  // namespace

Practice practice_plan(const Lesson& lesson, const std::vector<PracticeTrack>& tracks) {
  return PracticePlanner(lesson, tracks).plan();
}

}  // namespace stillhand::teach
