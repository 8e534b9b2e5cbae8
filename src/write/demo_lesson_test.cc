#include "write/demo_lesson.h"

#include <utility>

namespace stillhand::write::test {
namespace {

using music::Tick;
using teach::SheetBar;
using teach::SheetLine;

music::Pitch pitch(std::string_view text) { return music::parse_pitch(text).value(); }

std::vector<music::Pitch> pitches(std::string_view text) {
  std::vector<music::Pitch> out;
  while (!text.empty()) {
    const auto end = std::min(text.find(' '), text.size());
    out.push_back(pitch(text.substr(0, end)));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return out;
}

teach::Move move(std::size_t from, std::size_t to, int times, const std::string& words) {
  teach::Move out;
  out.from = from;
  out.to = to;
  out.times = times;
  out.words = words;
  return out;
}

// Three counts and one: "D - - Em".
SheetBar three_and_one(const std::string& first, const std::string& second,
                       const std::string& words) {
  SheetBar out = bar({first, second}, words);
  out.chords[0].duration = music::kQuarter * 3;
  out.chords[1].start = music::kQuarter * 3;
  out.chords[1].duration = music::kQuarter;
  return out;
}

SheetBar held(SheetBar bar) {
  bar.chords.front().is_held = true;
  return bar;
}

SheetBar pick_up(const std::string& words) {
  SheetBar out = bar({"N.C."}, words);
  out.is_pick_up = true;
  out.length = music::kQuarter;
  out.chords.front().duration = out.length;
  return out;
}

SheetLine plain(std::vector<SheetBar> bars) { return {std::move(bars), {}}; }

teach::SheetSection verse() {
  SheetLine first = plain({pick_up("The"), bar({"D"}, "lamps a-"), bar({"G", "D/F#"}, "long the"),
                           bar({"Em", "A"}, "qui-et"), bar({"D"}, "quay")});
  SheetLine second = plain({bar({"Bm"}, "are count-ing"), bar({"G"}, "boats to-"),
                            three_and_one("D", "Em", "day, to-"), bar({"A"}, "day,")});
  second.options.push_back(
      {"stepping down",
       {bar({"Bm", "D/A"}, ""), bar({"G"}, ""), three_and_one("D/F#", "Em", ""), bar({"A"}, "")}});
  return {"Verse", 9, {first, second}};
}

teach::SheetSection chorus() {
  SheetLine line = plain({bar({"G"}, "leave one"), bar({"A"}, "burn-ing,"),
                          bar({"Bm"}, "leave one"), bar({"Em"}, "burn-ing")});
  line.bars.front().repeat_begins = true;
  SheetLine last = plain({bar({"G"}, "till the"), bar({"Asus4", "A"}, "last one"),
                          bar({"D"}, "home,"), bar({"D"}, "safe at home.")});
  last.bars[2].endings = {1};
  last.bars[2].repeat_times = 2;
  last.bars[3].endings = {2};
  return {"Chorus", 8, {line, last}};
}

teach::SheetSection bridge() {
  SheetLine line = plain({bar({"Em7"}, "Tide goes out"), bar({"Bm"}, "and tide comes"),
                          bar({"F#m"}, "in a-"), bar({"G"}, "gain;")});
  SheetLine last = plain({bar({"Em7"}, "all I ask"), bar({"Bm"}, "is one small"),
                          bar({"Asus4"}, "light till"), held(bar({"Asus4", "A"}, "then."))});
  return {"Bridge", 8, {line, last}};
}

teach::SheetSection ending() {
  SheetLine line = plain(
      {bar({"G"}, "Lamps a-"), bar({"A"}, "long the"), bar({"D"}, "quay."), held(bar({"D"}, ""))});
  line.bars.front().change = "slower";
  return {"Ending", 4, {line}};
}

// Shapes by chord symbol without its bass, as the lesson builder does it.
void point_to_shapes(teach::Lesson& lesson) {
  const auto index = [&](const std::string& symbol) -> std::optional<std::size_t> {
    const std::string upper = symbol.substr(0, symbol.find('/'));
    for (std::size_t i = 0; i < lesson.shapes.size(); ++i) {
      if (lesson.shapes[i].chord == upper) return i;
    }
    return std::nullopt;
  };
  for (auto& section : lesson.sections) {
    for (auto& line : section.lines) {
      for (auto& b : line.bars) {
        for (auto& c : b.chords) c.shape = index(c.chord);
      }
    }
  }
}

perform::Performance short_performance() {
  perform::Performance out;
  out.count_in = Tick(7 * 960);
  out.end = Tick(9 * 960);
  out.tempo = music::Tempo(66);
  out.meters = {{Tick(0), *music::Meter::make(4, 4)}};
  out.tonalities = {{Tick(0), *music::parse_tonality("D")}};
  out.sections = {{out.count_in, "Verse"}};
  out.chords = {{out.count_in, "D"}};
  out.words = {{out.count_in, "The"}};
  out.notes = {{hand::Hand::right, music::PianoKey(57), perform::Velocity(80), out.count_in,
                music::kQuarter}};
  out.clicks = {{Tick(0), true}, {Tick(960), false}};
  return out;
}

}  // namespace

teach::TaughtShape shape(const std::string& chord, std::string_view keys,
                         const std::vector<int>& fingers) {
  std::vector<hand::Finger> played;
  for (int number : fingers) played.emplace_back(number);
  teach::TaughtShape out;
  out.chord = chord;
  out.shape = hand::shape_of(music::parse_chord(chord).value(), pitches(keys), played).value();
  return out;
}

SheetBar bar(const std::vector<std::string>& chords, const std::string& words) {
  SheetBar out;
  out.length = out.meter.bar_length();
  out.words = words;
  const Tick each = out.length / static_cast<int>(chords.size());
  Tick start;
  for (const std::string& chord : chords) {
    teach::SheetChord value;
    value.chord = chord;
    value.start = start;
    value.duration = each;
    out.chords.push_back(value);
    start += each;
  }
  return out;
}

teach::Lesson demo_lesson() {
  teach::Lesson out;
  out.title = "Lamps Along the Quay";
  out.writers = "Words and music: the Stillhand project";
  out.rights = "Free to copy, print and perform";
  out.tonality = *music::parse_tonality("D");
  out.tempo = music::Tempo(66);
  out.range = chart::Range{pitch("A3"), pitch("B4")};
  out.manner = "home";
  out.hand_size = "medium";
  out.right_status = arrange::Status::optimal;
  out.left_status = arrange::Status::optimal;
  out.cost = arrange::Cost(412);
  out.lower_bound = arrange::Cost(412);
  out.road_map = {{"Verse", 1},  {"Chorus", 1}, {"Verse", 1}, {"Chorus", 1},
                  {"Bridge", 1}, {"Chorus", 2}, {"Ending", 1}};
  out.shapes = {shape("D", "A3 D4 F#4", {1, 3, 5}),        shape("G", "G3 B3 D4", {1, 3, 5}),
                shape("Em", "G3 B3 E4", {1, 2, 5}),        shape("A", "A3 C#4 E4", {1, 3, 5}),
                shape("Bm", "B3 D4 F#4", {1, 3, 5}),       shape("Asus4", "A3 D4 E4", {1, 3, 5}),
                shape("Em7", "G3 B3 D4 E4", {1, 2, 4, 5}), shape("F#m", "A3 C#4 F#4", {1, 2, 5})};
  out.moves = {
      move(1, 3, 7, "Slide up a whole step: G to A, B to C#, D to E."),
      move(3, 0, 6,
           "Thumb stays on A; finger 3 up a half step, C# to D; little finger up a whole step, E "
           "to F#."),
      move(3, 4, 5, "Slide up: A to B, C# to D, E to F#."),
      move(1, 5, 3,
           "Thumb up a whole step, G to A; finger 3 up a minor third, B to D; little finger up a "
           "whole step, D to E."),
      move(5, 3, 3, "Finger 3 down a half step, D to C#; the others stay."),
      move(4, 1, 2, "Slide down a major third: B to G, D to B, F# to D."),
      move(4, 2, 2,
           "Thumb down a major third, B to G; finger 2 down a minor third, D to B; little finger "
           "down a whole step, F# to E."),
      move(0, 1, 2,
           "Thumb down a whole step, A to G; finger 3 down a minor third, D to B; little finger "
           "down a major third, F# to D."),
      move(2, 3, 2, "Thumb up a whole step, G to A; B to C#, now finger 3; E stays."),
      move(4, 7, 1, "Thumb down a whole step, B to A; finger 2 takes C#; F# stays."),
  };
  out.moves[4].fingers = {{hand::Finger(3), pitch("D4"), pitch("C#4")}};
  out.moves[4].held = {{pitch("A3"), pitch("A3").name, hand::Finger(1), hand::Finger(1)},
                       {pitch("E4"), pitch("E4").name, hand::Finger(5), hand::Finger(5)}};
  out.one_position = true;
  const arrange::Position low{pitches("G2 A2 B2 C#3 D3")};
  for (const char* name : {"Verse", "Chorus", "Bridge", "Ending"}) {
    out.positions.push_back({name, low, {}});
  }
  out.positions[0].remarks = {"reach down a half step for F#2", "reach up a whole step for E3"};
  out.sections = {verse(), chorus(), bridge(), ending()};
  point_to_shapes(out);
  out.sections[0].lines[0].bars[1].chords[0].bass =
      arrange::BassNote{pitch("D3"), hand::Finger(1), arrange::Reach::none, 0, false};
  out.performance = short_performance();
  out.cautions = {
      "Pain, numbness or tingling: stop, rest, and see a professional if it comes back.",
      "Rest after 20 minutes.", "Copies and public videos need the rights holder's permission."};
  return out;
}

}  // namespace stillhand::write::test
