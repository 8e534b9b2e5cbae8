// Bars on the sheet: chords over counts over words, as many bars in a row as fit.
//
//   std::vector<Row> rows = set_line(line, lesson.note_names, style.width(), style, measurer);
//
// A bar line, a row of small marks (filled: a chord begins on this count; open: it goes on), the
// chords above and the words below. An option stands above the chords it may replace.
#pragma once

#include <vector>

#include "teach/lesson.h"
#include "write/sheet_style.h"
#include "write/sheet_text.h"

namespace stillhand::write {

struct Row {
  Marks marks;  // from (0, 0) down
  double height = 0;
};

// The rows of one typed line. Nothing in it is wider than `width`.
std::vector<Row> set_line(const teach::SheetLine& line, music::NoteNames names, double width,
                          const SheetStyle& style, const TextMeasurer& measurer);

}  // namespace stillhand::write
