// One typed line of a section as rows of bars: signs, `or` lines above, chords over count marks, the left hand's notes
// where they stand in the bars, words.
//
//   for (const Row& row : set_line({&line, &bass, {}}, {names}, style.width(), style, measurer)) …
#pragma once

#include "teach/lesson.h"
#include "write/sheet_bass.h"
#include "write/sheet_style.h"
#include "write/sheet_text.h"

namespace stillhand::write {

struct Row {
  Marks marks;  // from (0, 0) down
  double height = 0;
};

struct LineToSet {
  const teach::SheetLine* line;
  const LineBass* bass = nullptr;  // nullptr: the left hand is not written into the bars
  // The same line in the sections that share these bars, for their words; empty where none do.
  std::vector<const teach::SheetLine*> other_verses = {};
};

// Notes of the left hand are told apart by their octave where one letter stands for two keys in the song.
enum class BassOctaves { leave_out, write };

// What the left hand does in an `or` line is said above it, where the bars do not show it.
enum class OptionRemarks { leave_out, write };

struct BarNaming {
  ChordNaming chords;
  BassOctaves octaves = BassOctaves::leave_out;
  OptionRemarks remarks = OptionRemarks::write;
};

// The rows of one typed line. Nothing in it is wider than `width`.
std::vector<Row> set_line(const LineToSet& line, const BarNaming& naming, double width,
                          const SheetStyle& style, const TextMeasurer& measurer);

}  // namespace stillhand::write
