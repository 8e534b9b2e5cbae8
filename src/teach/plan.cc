#include "teach/plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "perform/performance.h"
#include "teach/section_use.h"
#include "teach/speaking.h"
#include "teach/words.h"

namespace stillhand::teach {
namespace {

// Minutes: all our judgement.
constexpr Minutes kClapping{3};
constexpr Minutes kRecalling{2};
constexpr Minutes kForAShape{2};
constexpr Minutes kForAChange{1};          // there and back
constexpr Minutes kMoreForAHardChange{1};  // one of Lesson::hardest
constexpr Minutes kForAPosition{3};
constexpr Minutes kForARemark{1};
constexpr Minutes kForAPattern{4};
constexpr Minutes kForThePedal{4};
constexpr Minutes kForAnOption{2};
constexpr Minutes kTalk{1};              // around what is played
constexpr int kPassesOfANewSection = 5;  // right hand twice, left hand once, both twice
constexpr int kPassesAfterItsLines = 3;
constexpr int kPassesOfAKnownSection = 2;
// Hands together begin at 50 to 60 % of the tempo: common practice, no source.
constexpr int kSlowestPercent = 50;
constexpr int kSlowPercent = 60;
constexpr std::size_t kMostAtOnce = 3;  // new shapes in one step: common practice, no source
constexpr std::size_t kMostStops = 2;   // hard changes named in one section: our judgement

Minutes rounded_up(double minutes) { return Minutes(static_cast<int>(std::ceil(minutes - 1e-9))); }

std::string number_of(std::size_t number, std::string_view one, std::string_view many) {
  return fmt::format("{} {}", number_in_words(static_cast<int>(number)), number == 1 ? one : many);
}

// What has been taught so far.
class Known {
 public:
  explicit Known(std::size_t size) : known_(size) {}
  bool has(std::size_t i) const { return known_.at(i); }
  void add(std::size_t i) { known_.at(i) = true; }

 private:
  std::vector<bool> known_;
};

class Planner {
 public:
  explicit Planner(const Lesson& lesson)
      : lesson_(lesson),
        say_(lesson),
        shapes_(lesson.shapes.size()),
        moves_(lesson.moves.size()),
        positions_(lesson.positions.size()),
        sections_(lesson.sections.size()) {}

  Plan plan() {
    const std::vector<std::size_t> order = played_order(lesson_);
    listen(order);
    clap(order);
    for (const std::size_t section : order) teach_section(section);
    further_shapes();
    further_positions();
    from_section_to_section();
    for (std::size_t p = 0; p < lesson_.patterns.size(); ++p) pattern(p);
    if (lesson_.uses_pedal) pedal();
    whole_song();
    Plan out;
    out.sittings = sittings(std::move(steps_));
    steps_.clear();
    for (std::size_t s = 0; s < lesson_.sections.size(); ++s) {
      if (!sections_.has(s)) unplayed(s);
    }
    or_lines();
    further_optional();
    out.options = std::move(steps_);
    for (const Sitting& sitting : out.sittings) out.minutes += sitting.minutes;
    for (const Step& step : out.options) out.optional_minutes += step.minutes;
    return out;
  }

 private:
  const std::string& name(std::size_t section) const { return lesson_.sections.at(section).name; }

  void add(Step step) { steps_.push_back(std::move(step)); }

  // ---- before any key is touched

  double song_minutes() const {
    const perform::Performance& p = lesson_.performance;
    if (p.end <= p.count_in || p.tempo.value() <= 0) return 0;
    return (perform::seconds(p, p.end, 100) - perform::seconds(p, p.count_in, 100)) / 60;
  }

  double minutes_of(const SheetSection& section, int percent) const {
    double counts = 0;
    for (const SheetLine& line : section.lines) {
      for (const SheetBar& bar : line.bars)
        counts += double(bar.length.value()) / bar.meter.count_length().value();
    }
    const int tempo = std::max(lesson_.tempo.value(), music::kSlowestTempo.value());
    return counts * 100 / (tempo * double(percent));
  }

  std::string road_map() const {
    std::vector<std::string> parts;
    for (const RoadMapStep& step : lesson_.road_map) {
      parts.push_back(step.times == 1 ? step.section
                      : step.times == 2
                          ? step.section + " twice"
                          : fmt::format("{} {} times", step.section, number_in_words(step.times)));
    }
    return fmt::format("{}", fmt::join(parts, ", "));
  }

  void listen(const std::vector<std::size_t>& order) {
    Step step{StepKind::listen, "Listen and sing"};
    step.why =
        "The ear and the voice learn the road map before the hands do, and a good model helps "
        "rhythm and tempo.";
    step.claims = {Claim::custom, Claim::model};
    step.say.emplace_back(
        "I play the song once. Just listen, and follow the road map with a finger.");
    if (!lesson_.road_map.empty()) step.say.push_back("It goes: " + road_map() + ".");
    double minutes = song_minutes();
    if (!order.empty()) {
      step.say.push_back(fmt::format("Now I play {} again. Sing along, or hum; no hands yet.",
                                     name(order.front())));
      minutes += minutes_of(lesson_.sections[order.front()], 100);
    }
    step.minutes = rounded_up(minutes) + kTalk;
    add(std::move(step));
  }

  void clap(const std::vector<std::size_t>& order) {
    Step step{StepKind::clap, "Clap and count"};
    step.why = "Rhythm alone first: the hands have enough to do later.";
    step.claims = {Claim::custom};
    const music::Meter meter = lesson_.meter;
    const int counted = meter.is_compound() ? 3 * meter.counts().value() : meter.counts().value();
    const std::string counts = counts_in_words(meter);
    if (meter.is_compound()) {
      step.say.push_back(fmt::format(
          "There are {} quick counts in a bar, in groups of three; clap the first of every three, "
          "and count all of them: {}.",
          number_in_words(counted), counts));
    } else {
      step.say.push_back(fmt::format(
          "There {} in a bar. Clap every count and say it: {}.",
          counted == 1 ? "is one count" : fmt::format("are {} counts", number_in_words(counted)),
          counts));
    }
    step.say.push_back(count_in(order));
    step.say.emplace_back(
        "When we play, say the chord's name when it comes, and the number while it stays.");
    step.minutes = kClapping;
    add(std::move(step));
  }

  const SheetBar* first_bar(const std::vector<std::size_t>& order) const {
    if (order.empty()) return nullptr;
    for (const SheetLine& line : lesson_.sections[order.front()].lines) {
      if (!line.bars.empty()) return &line.bars.front();
    }
    return nullptr;
  }

  std::string count_in(const std::vector<std::size_t>& order) const {
    const SheetBar* first = first_bar(order);
    const music::Meter meter = first != nullptr ? first->meter : lesson_.meter;
    const std::string whole = counts_in_words(meter);
    if (first == nullptr || !first->is_pick_up)
      return fmt::format("I count two bars before we begin: {}, {}.", whole, whole);
    SheetSection alone;
    alone.lines.push_back({{*first}, {}});
    alone.lines[0].bars[0].chords.clear();
    const std::string pick_up = in_words(count_aloud(alone, lesson_.note_names).lines[0]);
    std::string before = whole;
    if (before.ends_with(pick_up)) before.resize(before.size() - pick_up.size());
    while (before.ends_with(' ') || before.ends_with(',')) before.pop_back();
    return fmt::format("I count {}, {}: the song comes in before the bar, on “{}”.", whole,
                       before.empty() ? "and" : before, pick_up.substr(0, pick_up.find(',')));
  }

  // ---- one section

  void teach_section(std::size_t section) {
    const std::size_t lines = lesson_.sections[section].lines.size();
    const SectionUse whole = section_use(lesson_, section);
    bool is_new = false;
    std::optional<std::vector<std::size_t>> left;
    std::size_t first_line = 0;
    const bool by_lines = fresh_of(whole).size() > kMostAtOnce;
    for (std::size_t line = by_lines ? 1 : lines; line <= lines; ++line) {
      const SectionUse use = section_use(lesson_, section, line);
      const std::vector<std::size_t> fresh = fresh_of(use);
      if (fresh.empty() && line < lines) continue;
      // A pick-up is played with the line that it leads to.
      if (line < lines && is_pick_up_alone(lesson_.sections[section].lines[line - 1])) continue;
      is_new = shapes_and_changes(section, fresh, use) || is_new;
      if (fresh_of(whole).empty()) break;
      if (!left) left = left_hand(section);
      lines_in_time(section, first_line, line);
      first_line = line;
    }
    // What the lines after the last new shape make of it.
    is_new = shapes_and_changes(section, {}, whole) || is_new;
    if (!left) left = left_hand(section);
    in_time(section, whole, *left,
            !is_new          ? Pass::known
            : first_line > 0 ? Pass::by_lines
                             : Pass::fresh);
    sections_.add(section);
    taught_.push_back(section);
  }

  std::vector<std::size_t> fresh_of(const SectionUse& use) const {
    std::vector<std::size_t> out;
    for (const std::size_t shape : use.shapes) {
      if (!shapes_.has(shape)) out.push_back(shape);
    }
    return out;
  }

  // Steps for these shapes, in even groups, and for changes that are new without a new shape; false if there is nothing.
  bool shapes_and_changes(std::size_t section, const std::vector<std::size_t>& fresh,
                          const SectionUse& use) {
    const std::size_t groups = (fresh.size() + kMostAtOnce - 1) / kMostAtOnce;
    for (std::size_t g = 0; g < groups; ++g) {
      const auto begin = fresh.begin() + static_cast<std::ptrdiff_t>(fresh.size() * g / groups);
      const auto end = fresh.begin() + static_cast<std::ptrdiff_t>(fresh.size() * (g + 1) / groups);
      Step step{StepKind::shapes, ""};
      step.why = fmt::format("First needed in {}.", name(section));
      introduce({begin, end}, use, step);
      add(std::move(step));
    }
    if (!has_new_moves(use)) return groups > 0;
    Step step{StepKind::shapes, ""};
    step.why = fmt::format("New ways between shapes you know, for {}.", name(section));
    introduce({}, use, step);
    add(std::move(step));
    return true;
  }

  bool is_open_move(std::size_t move) const {
    const Move& m = lesson_.moves.at(move);
    return !moves_.has(move) && shapes_.has(m.from) && shapes_.has(m.to);
  }
  bool has_new_moves(const SectionUse& use) const {
    return std::any_of(use.moves.begin(), use.moves.end(),
                       [&](const UsedMove& used) { return is_open_move(used.move); });
  }

  bool is_hard(std::size_t move) const {
    return std::find(lesson_.hardest.begin(), lesson_.hardest.end(), move) != lesson_.hardest.end();
  }

  // The way back, if the section makes it too and it is still new.
  std::optional<std::size_t> way_back(std::size_t move, const SectionUse& use) const {
    const Move& m = lesson_.moves.at(move);
    for (const UsedMove& used : use.moves) {
      const Move& other = lesson_.moves.at(used.move);
      if (other.from == m.to && other.to == m.from && used.move != move && is_open_move(used.move))
        return used.move;
    }
    return std::nullopt;
  }

  // Into the step: these shapes, each coming from one already known where the section goes that way, then all further
  // moves between known shapes, the easiest first.
  void introduce(const std::vector<std::size_t>& fresh, const SectionUse& use, Step& step) {
    for (const std::size_t shape : fresh) {
      if (shapes_.has(shape)) continue;
      shapes_.add(shape);
      step.shapes.push_back(shape);
      const auto entering =
          std::find_if(use.moves.begin(), use.moves.end(), [&](const UsedMove& used) {
            return lesson_.moves[used.move].to == shape && is_open_move(used.move);
          });
      if (entering == use.moves.end()) {
        first_of_all(shape, step);
      } else {
        const Move& move = lesson_.moves[entering->move];
        step.say.push_back(fmt::format("Now {}, coming from {}. {}", say_.chord(shape),
                                       say_.chord(move.from), move.words));
        step.say.push_back(fmt::format("That is {}: {}.", say_.chord(shape), say_.fingers(shape)));
        take(entering->move, use, step);
      }
    }
    std::vector<std::size_t> rest;
    for (const UsedMove& used : use.moves) {
      if (is_open_move(used.move)) rest.push_back(used.move);
    }
    std::stable_sort(rest.begin(), rest.end(), [&](std::size_t a, std::size_t b) {
      return lesson_.moves[a].difficulty.index < lesson_.moves[b].difficulty.index;
    });
    for (const std::size_t move : rest) {
      if (moves_.has(move)) continue;
      step.say.push_back(say_.move(lesson_.moves[move]));
      take(move, use, step);
    }
    step.title = title_of(step);
    close_shapes(step);
  }

  void first_of_all(std::size_t shape, Step& step) const {
    const auto& notes = lesson_.shapes.at(shape).shape.notes;
    step.say.push_back(fmt::format("Right hand, {}: {}.", say_.chord(shape), say_.fingers(shape)));
    if (notes.empty()) return;
    const Finger lowest = notes.front().finger;
    step.say.push_back(fmt::format(
        "{} lies on {}. Press the keys together, listen, let go; then find "
        "them again without hurry.",
        lowest == hand::kThumb ? "The thumb" : capitalised(std::string(hand::name(lowest))),
        say_.place(notes.front().pitch)));
  }

  void take(std::size_t move, const SectionUse& use, Step& step) {
    moves_.add(move);
    step.moves.push_back(move);
    const auto back = way_back(move, use);
    if (!back) return;
    moves_.add(*back);
    step.moves.push_back(*back);
    step.say.push_back(fmt::format("And back to {}: the same way, the other way round.",
                                   say_.chord(lesson_.moves[move].from)));
  }

  std::string title_of(const Step& step) const {
    if (!step.shapes.empty()) {
      return capitalised(number_of(step.shapes.size(), "shape", "shapes")) + ": " +
             say_.chords(step.shapes);
    }
    const std::vector<std::size_t> changes = pairs(step);
    std::string out = capitalised(number_of(changes.size(), "new change", "new changes"));
    if (changes.size() > kMostAtOnce) return out;
    std::vector<std::string> names;
    for (const std::size_t move : changes) names.push_back(say_.pair(lesson_.moves[move]));
    return out + ": " + list_in_words(names);
  }

  // A move and its way back are one change.
  std::vector<std::size_t> pairs(const Step& step) const {
    std::vector<std::size_t> out;
    for (const std::size_t move : step.moves) {
      const Move& m = lesson_.moves[move];
      const bool is_back = std::any_of(out.begin(), out.end(), [&](std::size_t other) {
        return lesson_.moves[other].from == m.to && lesson_.moves[other].to == m.from;
      });
      if (!is_back) out.push_back(move);
    }
    return out;
  }

  // The move, or its way back if that is new here too.
  bool is_hard_change(std::size_t move, const Step& step) const {
    const Move& m = lesson_.moves[move];
    const auto back = find_move(lesson_, m.to, m.from);
    const bool is_here =
        back && std::find(step.moves.begin(), step.moves.end(), *back) != step.moves.end();
    return is_hard(move) || (is_here && is_hard(*back));
  }

  void close_shapes(Step& step) {
    step.minutes = kForAShape * static_cast<int>(step.shapes.size());
    std::vector<std::string> hard;
    const std::vector<std::size_t> changes = pairs(step);
    for (const std::size_t move : changes) {
      step.minutes += kForAChange;
      if (!is_hard_change(move, step)) continue;
      step.minutes += kMoreForAHardChange;
      hard.push_back(say_.pair(lesson_.moves[move]));
    }
    if (!hard.empty()) {
      step.repeat.push_back(fmt::format(
          "{} {} the hardest changes of the song. Stop here: there and back, four slow counts on "
          "each chord, until it comes clean three times.",
          list_in_words(hard), hard.size() == 1 ? "is one of" : "are among"));
    }
    if (!changes.empty() && hard.size() < changes.size()) {
      step.repeat.emplace_back(
          "Every change three times without counting. Fingers that stay keep touching their keys.");
    }
    if (!step.shapes.empty() && !said_few_) {
      step.why += " Two or three new things at a time are enough.";
      step.claims.push_back(Claim::few_at_once);
      said_few_ = true;
    }
  }

  // ---- the left hand

  std::vector<std::size_t> entries_of(std::size_t section) const {
    std::vector<std::size_t> out;
    for (std::size_t p = 0; p < lesson_.positions.size(); ++p) {
      if (!positions_.has(p) && lesson_.positions[p].of == section) out.push_back(p);
    }
    return out;
  }

  // Whether it has been said of the same place before.
  bool is_said(const std::string& remark, const arrange::Position& position) const {
    for (std::size_t p = 0; p < lesson_.positions.size(); ++p) {
      const auto& known = lesson_.positions[p];
      if (positions_.has(p) && known.position == position &&
          std::find(known.remarks.begin(), known.remarks.end(), remark) != known.remarks.end())
        return true;
    }
    return false;
  }

  // Nothing is to be said of it that has not been said.
  bool is_known_place(const SectionPosition& entry) const {
    return is_known_position(entry) &&
           std::all_of(entry.remarks.begin(), entry.remarks.end(),
                       [&](const std::string& remark) { return is_said(remark, entry.position); });
  }

  bool is_known_position(const SectionPosition& entry) const {
    for (std::size_t p = 0; p < lesson_.positions.size(); ++p) {
      if (positions_.has(p) && lesson_.positions[p].position == entry.position) return true;
    }
    return false;
  }

  // Introduces what is new in a step of its own; what is not comes back, to be named with the section.
  std::vector<std::size_t> left_hand(std::size_t section) {
    const std::vector<std::size_t> entries = entries_of(section);
    const bool is_new = std::any_of(entries.begin(), entries.end(), [&](std::size_t p) {
      return !is_known_place(lesson_.positions[p]);
    });
    if (!is_new) {
      for (const std::size_t p : entries) positions_.add(p);
      return entries;
    }
    Step step{StepKind::left_hand, "Left hand of " + name(section)};
    step.why = lesson_.one_position && positions_are_new_
                   ? "One place for the whole song: once it lies there, the eyes are free."
                   : fmt::format("First needed in {}.", name(section));
    for (const std::size_t p : entries) place_of_the_hand(p, name(section), step);
    positions_are_new_ = false;
    const std::string fingers = say_.bass_fingers(lesson_.sections[section]);
    if (!fingers.empty()) step.say.push_back(fingers);
    step.repeat.emplace_back(
        "The bass notes in the order of the chords, without time; then with closed eyes.");
    add(std::move(step));
    return {};
  }

  void place_of_the_hand(std::size_t p, const std::string& section, Step& step) {
    SectionPosition entry = lesson_.positions[p];
    std::erase_if(entry.remarks, [&](const std::string& remark) {
      return is_said(remark, lesson_.positions[p].position);
    });
    const bool is_known = is_known_position(entry);
    positions_.add(p);
    step.positions.push_back(p);
    if (is_known && entry.remarks.empty()) return;
    if (entry.section != section) step.say.push_back(entry.section + ":");
    std::vector<std::string> all = say_.left_hand(entry);
    if (is_known) {
      step.say.emplace_back("The left hand lies where you know it. New is:");
      all.erase(all.begin(), all.end() - static_cast<std::ptrdiff_t>(entry.remarks.size()));
    } else {
      step.minutes += kForAPosition;
    }
    step.say.insert(step.say.end(), all.begin(), all.end());
    step.minutes += kForARemark * static_cast<int>(entry.remarks.size());
  }

  void further_positions() {
    Step step{StepKind::left_hand, "Further places of the left hand"};
    for (std::size_t p = 0; p < lesson_.positions.size(); ++p) {
      if (!positions_.has(p)) place_of_the_hand(p, "", step);
    }
    if (step.positions.empty()) return;
    step.why = "The song comes to them later.";
    add(std::move(step));
  }

  // ---- the section in time

  std::optional<std::size_t> alike(const CountAloud& counts) const {
    for (const std::size_t before : taught_) {
      if (is_counted_alike(count_aloud(lesson_.sections[before], lesson_.note_names), counts))
        return before;
    }
    return std::nullopt;
  }

  std::string slow_tempo() const {
    const int tempo = lesson_.tempo.value();
    const int low = std::max(tempo * kSlowestPercent / 100, 1);
    const int high = std::max(tempo * kSlowPercent / 100, 1);
    if (!lesson_.ladder.steps.empty() && lesson_.ladder.steps.front().value() < low)
      return fmt::format("{} counts a minute, where three runs come clean",
                         lesson_.ladder.steps.front().value());
    return fmt::format("{} to {} counts a minute", low, high);
  }

  enum class Pass { fresh, by_lines, known };

  // How both hands come to what stands in the step's counts; at length the first time.
  void hands(bool sings, Step& step) {
    if (said_hands_) {
      step.say.push_back(
          fmt::format("As before: right hand alone, left hand alone; then both, {}.{}",
                      slow_tempo(), sings ? " Once more, and sing." : ""));
      return;
    }
    said_hands_ = true;
    step.why += " Each hand alone only until it is safe: hands together early.";
    step.claims.push_back(Claim::right_and_stable);
    step.say.emplace_back(
        "Right hand alone: play when you say a name, hold while you say numbers.");
    step.say.emplace_back("Left hand alone, the same line.");
    step.say.push_back(fmt::format("Both hands, {}.", slow_tempo()));
    if (sings) step.say.emplace_back("Once more, and sing.");
  }

  // The lines [first, last) of a section whose further lines need shapes that are still to come.
  void lines_in_time(std::size_t section, std::size_t first, std::size_t last) {
    const SheetSection& written = lesson_.sections[section];
    const std::size_t from = line_number(written, first);
    const std::size_t to = line_number(written, last - 1);
    Step step{StepKind::lines,
              from == to ? fmt::format("{}, line {} in time", name(section), to)
                         : fmt::format("{}, lines {} to {} in time", name(section), from, to)};
    const auto& all = written.lines;
    SheetSection part;
    part.lines.assign(all.begin() + static_cast<std::ptrdiff_t>(first),
                      all.begin() + static_cast<std::ptrdiff_t>(last));
    step.counts = count_aloud(part, lesson_.note_names);
    if (step.counts.lines.empty()) return;
    step.why = "Play it before more is learned.";
    hands(has_words(part), step);
    step.minutes = rounded_up(kPassesOfANewSection * minutes_of(part, kSlowPercent)) + kTalk;
    add(std::move(step));
  }

  void in_time(std::size_t section, const SectionUse& use, const std::vector<std::size_t>& left,
               Pass pass) {
    const SheetSection& written = lesson_.sections[section];
    Step step{StepKind::section, name(section) + " in time"};
    step.sections = {section};
    step.positions = left;
    step.counts = count_aloud(written, lesson_.note_names);
    const auto before = alike(step.counts);
    if (pass == Pass::known && before) {
      step.why = fmt::format("The same chords as {}: only the words change.", name(*before));
      step.counted_as = *before;
      step.say.push_back(fmt::format(
          "Count it {}. Both hands at once, {}.{}",
          counted_as(name(*before), count_aloud(lesson_.sections[*before], lesson_.note_names),
                     step.counts),
          slow_tempo(), has_words(written) ? " Then once more, and sing." : ""));
    } else {
      if (pass == Pass::known) pass = Pass::fresh;
      step.why =
          taught_.empty()
              ? "A section is the piece one practises: begin at its beginning, stop at its end."
              : "All its shapes and changes are known now.";
      if (taught_.empty()) step.claims.push_back(Claim::sections);
      if (pass == Pass::by_lines) {
        step.say.push_back(fmt::format("Now the whole of {}, both hands, {}.{}", name(section),
                                       slow_tempo(),
                                       has_words(written) ? " Once more, and sing." : ""));
      } else {
        hands(has_words(written), step);
      }
      if (!left.empty()) {
        step.say.emplace_back("The left hand lies where you know it.");
        const std::string fingers = say_.bass_fingers(written);
        if (!fingers.empty()) step.say.push_back(fingers);
      }
      stops(use, step);
    }
    const int passes = pass == Pass::fresh      ? kPassesOfANewSection
                       : pass == Pass::by_lines ? kPassesAfterItsLines
                                                : kPassesOfAKnownSection;
    step.minutes = rounded_up(passes * minutes_of(written, kSlowPercent)) + kTalk;
    add(std::move(step));
  }

  static bool has_words(const SheetSection& section) {
    for (const SheetLine& line : section.lines) {
      for (const SheetBar& bar : line.bars) {
        if (!bar.words.empty()) return true;
      }
    }
    return false;
  }

  // Where the section is hardest.
  void stops(const SectionUse& use, Step& step) const {
    std::vector<UsedMove> hard = use.moves;
    std::erase_if(hard, [&](const UsedMove& used) { return !is_hard(used.move); });
    std::stable_sort(hard.begin(), hard.end(), [&](const UsedMove& a, const UsedMove& b) {
      return lesson_.moves[a.move].needed > lesson_.moves[b.move].needed;
    });
    if (hard.size() > kMostStops) hard.resize(kMostStops);
    if (hard.empty()) return;
    std::stable_sort(hard.begin(), hard.end(),
                     [](const UsedMove& a, const UsedMove& b) { return a.bar < b.bar; });
    std::string places;
    for (const UsedMove& used : hard) {
      places += fmt::format("{}{} (bar {})", places.empty() ? "" : " or ",
                            say_.pair(lesson_.moves[used.move]), used.bar);
    }
    step.repeat.push_back(fmt::format(
        "Where it stumbles, most likely at {}: loop just these two chords, slower, until they come "
        "clean three times; then go on from the bar before.",
        places));
  }

  // ---- the whole

  void further_shapes() {
    std::vector<std::size_t> fresh;
    for (std::size_t s = 0; s < lesson_.shapes.size(); ++s) {
      if (!shapes_.has(s) && !lesson_.shapes[s].is_optional) fresh.push_back(s);
    }
    for (std::size_t first = 0; first < fresh.size(); first += kMostAtOnce) {
      const auto begin = fresh.begin() + static_cast<std::ptrdiff_t>(first);
      const auto end =
          fresh.begin() + static_cast<std::ptrdiff_t>(std::min(first + kMostAtOnce, fresh.size()));
      Step step{StepKind::shapes, ""};
      step.why = "The song has them as well.";
      introduce({begin, end}, {}, step);
      add(std::move(step));
    }
  }

  void from_section_to_section() {
    Step step{StepKind::joins, "From section to section"};
    step.why = "Songs break where one section meets the next.";
    step.claims = {Claim::custom};
    for (const Join& join : joins(lesson_)) step.say.push_back(joined(join, step));
    for (std::size_t m = 0; m < lesson_.moves.size(); ++m) {
      if (moves_.has(m) || lesson_.moves[m].is_optional) continue;
      step.say.push_back(say_.move(lesson_.moves[m]));
      moves_.add(m);
      step.moves.push_back(m);
    }
    if (step.say.empty()) return;
    step.repeat.emplace_back(
        "Only the last bar of one section and the first of the next, in time, until it comes clean "
        "three times.");
    step.minutes = Minutes(2) + kForAChange * static_cast<int>(pairs(step).size());
    add(std::move(step));
  }

  std::string joined(const Join& join, Step& step) {
    const std::string where = join.from == join.to
                                  ? fmt::format("{} again", name(join.from))
                                  : fmt::format("{} into {}", name(join.from), name(join.to));
    const auto last = section_use(lesson_, join.from).last_shape;
    const auto first = section_use(lesson_, join.to).first_shape;
    if (!last || !first) return where + ": straight on.";
    if (*last == *first)
      return fmt::format("{}: the right hand stays on {}.", where, say_.chord(*first));
    const auto move = find_move(lesson_, *last, *first);
    if (!move) return fmt::format("{}: {} to {}.", where, say_.chord(*last), say_.chord(*first));
    if (moves_.has(*move))
      return fmt::format("{}: {}, as you know it.", where, say_.pair(lesson_.moves[*move]));
    moves_.add(*move);
    step.moves.push_back(*move);
    return fmt::format("{}: {}. {}", where, say_.pair(lesson_.moves[*move]),
                       lesson_.moves[*move].words);
  }

  void pattern(std::size_t p) {
    const TaughtPattern& taught = lesson_.patterns[p];
    Step step{StepKind::pattern, fmt::format("The pattern: {}", taught.name)};
    const bool has_other_meter = std::any_of(
        lesson_.patterns.begin(), lesson_.patterns.end(),
        [&](const TaughtPattern& other) { return other.name == taught.name && &other != &taught; });
    if (has_other_meter) step.title += " in " + music::text(taught.meter);
    step.why =
        p == 0 ? "Last, when the hands know where to go: until here both have only held." : "";
    step.claims = p == 0 ? std::vector{Claim::custom} : std::vector<Claim>{};
    if (!taught.sections.empty()) {
      step.why += fmt::format(
          "{}For {}.", step.why.empty() ? "" : " ",
          lesson_.patterns.size() == 1 ? "the whole song" : list_in_words(taught.sections));
    }
    step.patterns = {p};
    step.say = say_.pattern(taught);
    step.repeat.emplace_back(
        "Two chords only, back and forth, a bar each, until the hands no longer need the counting; "
        "then a whole section.");
    step.minutes = kForAPattern;
    add(std::move(step));
  }

  void pedal() {
    Step step{StepKind::pedal, "The pedal"};
    step.why = "After the pattern: the foot follows the hands.";
    step.claims = {Claim::custom};
    step.say = {"The heel stays on the floor.",
                "The foot comes up exactly as the new chord sounds, and goes down again after it.",
                "When the bass note changes, the pedal changes too."};
    step.repeat = {"Two chords in whole notes, and listen: no gap, and nothing blurred."};
    step.minutes = kForThePedal;
    add(std::move(step));
  }

  void whole_song() {
    Step step{StepKind::whole_song, "The whole song"};
    step.why = "Slowly from beginning to end, then up the ladder.";
    step.claims = {Claim::custom};
    if (!lesson_.road_map.empty()) step.say.push_back("The road map: " + road_map() + ".");
    step.say.push_back(fmt::format(
        "From beginning to end, {}. Where it breaks, play on; we come back to it.", slow_tempo()));
    step.say.push_back(capitalised(lesson_.ladder.words));
    step.repeat.emplace_back(
        "What broke, alone: two chords, then its bar, then its line. Then the whole song again.");
    step.minutes = rounded_up(song_minutes() * (1 + 100.0 / kSlowPercent)) + kTalk;
    add(std::move(step));
  }

  // ---- what may be left out

  void unplayed(std::size_t section) {
    Step step{StepKind::unplayed, fmt::format("{}, which the road map leaves out", name(section))};
    const SectionUse use = section_use(lesson_, section);
    introduce_optional(use, step);
    step.fallback = "leave it out, as the road map does.";
    step.sections = {section};
    step.counts = count_aloud(lesson_.sections[section], lesson_.note_names);
    for (const std::size_t p : entries_of(section)) place_of_the_hand(p, name(section), step);
    step.minutes +=
        rounded_up(kPassesOfAKnownSection * minutes_of(lesson_.sections[section], kSlowPercent)) +
        kTalk;
    sections_.add(section);
    add(std::move(step));
  }

  void introduce_optional(const SectionUse& use, Step& step) {
    std::vector<std::size_t> fresh;
    for (const std::size_t shape : use.shapes) {
      if (!shapes_.has(shape)) fresh.push_back(shape);
    }
    std::string title = step.title;
    introduce(fresh, use, step);
    step.title = std::move(title);
  }

  // The same line offered in several places is one step.
  struct OrLine {
    std::size_t section, line, option;
    CountedLine plain, counted;
    std::vector<std::string> where;
  };

  static bool begins_with(const std::vector<std::string>& all,
                          const std::vector<std::string>& first) {
    return first.size() <= all.size() && std::equal(first.begin(), first.end(), all.begin());
  }

  std::vector<OrLine> all_or_lines() const {
    std::vector<OrLine> out;
    for (std::size_t s = 0; s < lesson_.sections.size(); ++s) {
      const SheetSection& section = lesson_.sections[s];
      std::size_t counted_lines = 0;
      const CountAloud plain = count_aloud(section, lesson_.note_names);
      for (std::size_t l = 0; l < section.lines.size(); ++l) {
        const CountedLine& line =
            section.lines[l].bars.empty() ? CountedLine{} : plain.lines[counted_lines++];
        for (std::size_t o = 0; o < section.lines[l].options.size(); ++o) {
          const SheetOption& option = section.lines[l].options[o];
          OrLine now{s,
                     l,
                     o,
                     line,
                     count_aloud(option, lesson_.note_names),
                     {fmt::format("{}, line {}", name(s), line_number(section, l))}};
          const auto known = std::find_if(out.begin(), out.end(), [&](const OrLine& other) {
            const SheetOption& before =
                lesson_.sections[other.section].lines[other.line].options[other.option];
            // At the song's end there is nothing to go back to, and less to say.
            return before.label == option.label && begins_with(before.remarks, option.remarks) &&
                   other.counted == now.counted && other.plain == now.plain;
          });
          if (known == out.end()) {
            out.push_back(std::move(now));
          } else {
            known->where.push_back(now.where.front());
          }
        }
      }
    }
    return out;
  }

  void or_lines() {
    for (const OrLine& line : all_or_lines()) {
      const SheetOption& option =
          lesson_.sections[line.section].lines[line.line].options[line.option];
      Step step{StepKind::option, option.label.empty()
                                      ? fmt::format("Another way for {}", line.where.front())
                                      : capitalised(option.label)};
      step.why = fmt::format("For a student whose plain line is safe. It may stand in {}.",
                             fmt::join(line.where, "; "));
      introduce_optional(option_use(lesson_, line.section, line.line, line.option), step);
      for (const std::string& remark : option.remarks)
        step.say.push_back(Speaker::left_hand_remark(remark));
      if (step.say.empty())
        step.say.emplace_back("Nothing new for the right hand: shapes and changes you know.");
      step.counts.lines = {line.counted};
      step.fallback = fmt::format("the plain line: {}", in_words(line.plain));
      step.minutes += kForAnOption + kForARemark * static_cast<int>(option.remarks.size());
      add(std::move(step));
    }
  }

  void further_optional() {
    Step step{StepKind::option, "Ways in and out of the optional lines"};
    SectionUse rest;
    for (std::size_t s = 0; s < lesson_.shapes.size(); ++s) {
      if (!shapes_.has(s)) rest.shapes.push_back(s);
    }
    for (std::size_t m = 0; m < lesson_.moves.size(); ++m) {
      if (!moves_.has(m)) rest.moves.push_back({m, 0});
    }
    if (rest.shapes.empty() && rest.moves.empty()) return;
    introduce_optional(rest, step);
    step.why = "They come up where optional lines are joined to others.";
    step.fallback = "the plain lines need none of these.";
    add(std::move(step));
  }

  // ---- sittings

  enum class Recall { first, later };

  Step recall(Recall which, const std::vector<std::size_t>& shapes,
              const std::vector<std::size_t>& sections) const {
    Step step{StepKind::recall, "Recall"};
    if (which == Recall::first) {
      step.why = "Better on another day: a night between does more than a pause.";
      step.claims = {Claim::nights_between, Claim::not_minutes};
    }
    step.say.push_back(fmt::format("First what you know, without time: {}.", say_.chords(shapes)));
    if (!sections.empty())
      step.say.push_back(fmt::format("Then {} once, both hands, slowly.", name(sections.back())));
    step.minutes = kRecalling;
    return step;
  }

  std::vector<Sitting> sittings(std::vector<Step> steps) const {
    std::vector<Sitting> out(1);
    std::size_t fresh = 0;
    std::vector<std::size_t> shapes;
    std::vector<std::size_t> sections;
    for (Step& step : steps) {
      const bool is_full = out.back().minutes + step.minutes > kLongestSitting ||
                           fresh + step.shapes.size() > kMostNewShapes;
      if (is_full && !out.back().steps.empty() &&
          out.back().steps.back().kind != StepKind::recall) {
        out.emplace_back();
        fresh = 0;
        if (!shapes.empty())
          put(recall(out.size() == 2 ? Recall::first : Recall::later, shapes, sections),
              out.back());
      }
      fresh += step.shapes.size();
      shapes.insert(shapes.end(), step.shapes.begin(), step.shapes.end());
      sections.insert(sections.end(), step.sections.begin(), step.sections.end());
      put(std::move(step), out.back());
    }
    return out;
  }

  static void put(Step step, Sitting& sitting) {
    sitting.minutes += step.minutes;
    sitting.steps.push_back(std::move(step));
  }

  const Lesson& lesson_;
  Speaker say_;
  Known shapes_, moves_, positions_, sections_;
  std::vector<std::size_t> taught_;  // sections
  std::vector<Step> steps_;
  bool said_few_ = false;
  bool said_hands_ = false;
  bool positions_are_new_ = true;
};

}  // namespace

Plan teaching_plan(const Lesson& lesson) { return Planner(lesson).plan(); }

}  // namespace stillhand::teach
