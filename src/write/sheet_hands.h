// The upper part of the sheet: road map, left-hand positions, and the shapes of the right hand.
#pragma once

#include "teach/lesson.h"
#include "write/sheet_blocks.h"

namespace stillhand::write {

// The page grid: `columns` columns as wide as a keyboard picture.
struct Grid {
  int columns = 4;
  double column = 0;  // width of one
  double gap = 0;
  double x(int index) const { return index * (column + gap); }
};

// Road map and left hand in the first column beside the shapes where that is short; else below each
// other over the whole width.
std::vector<Group> set_hands(const teach::Lesson& lesson, const SheetStyle& style,
                             const TextMeasurer& measurer);

// What the marks of the sheet mean.
Block set_legend(const teach::Lesson& lesson, const SheetStyle& style,
                 const TextMeasurer& measurer);

}  // namespace stillhand::write
