#include "arrange/bass_tasks.h"

#include <algorithm>

#include "arrange/ladder.h"

namespace stillhand::arrange {
namespace {

// The bar in which a chord ends.
const chart::Bar& last_bar(const Arrangement& a, const chart::PlayedChord& played) {
  const Tick end = played.start + played.duration;
  std::size_t bar = played.played_bar;
  while (bar + 1 < a.bars.size() && a.bars[bar + 1].start < end) ++bar;
  return chart::bar_of(a.song, a.bars[bar]);
}

}  // namespace

BassTasks::BassTasks(const Arrangement& arrangement, const Choices& choices)
    : a_(arrangement),
      sections_(build_up(arrangement.song, arrangement.bars)),
      rungs_(rungs(arrangement.song, sections_, choices)) {}

// That of the section the chord begins in, each time the section is played.
Rung BassTasks::rung_at(const chart::PlayedChord& played) const {
  const auto after =
      std::upper_bound(sections_.begin(), sections_.end(), played.played_bar,
                       [](std::size_t bar, const PlayedSection& s) { return bar < s.first_bar; });
  if (after == sections_.begin()) return Rung::position;
  return rungs_[static_cast<std::size_t>(after - sections_.begin()) - 1];
}

BassTask BassTasks::of(const chart::PlayedChord& played, const Shape* shape) const {
  BassTask task;
  task.duration = played.duration;
  task.section = played.section;
  task.tonality = chart::bar_of(a_.song, a_.bars[played.played_bar]).tonality;
  task.rung = rung_at(played);
  const chart::PlayedBar& bar = a_.bars[played.played_bar];
  task.begins_section = bar.section_begins && bar.start == played.start;
  task.count = last_bar(a_, played).meter.count_length();
  if (a_.song.tempo > kFastAbove) task.most_walk_notes = 1;
  if (played.chord) {
    task.chord = played.chord;
    task.note = played.chord->bass_note();
    task.below = shape->lowest();
  }
  return task;
}

LeftHandManner left_hand_manner(const Choices& choices) {
  return choices.manner.descending_bass == DescendingBass::slide_little_finger
             ? LeftHandManner::sliding()
             : LeftHandManner::shifting();
}

}  // namespace stillhand::arrange
