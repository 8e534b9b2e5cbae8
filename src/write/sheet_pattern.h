// The pattern strip: one bar of an accompaniment pattern as marks under its counts, the right hand above the left.
//
//   Block strip = set_pattern(lesson.patterns[0], 113, style, measurer);
//
// Filled discs are the right hand and open squares the left, as on the keyboard pictures. A large disc is the whole chord, a small one one
// of its notes; the higher a mark lies in its lane, the higher the note. A line holds on, a gap rests; an arrow-head behind
// a mark says that it is the coming bar's chord, struck early.
#pragma once

#include <string>

#include "teach/lesson.h"
#include "write/sheet_blocks.h"

namespace stillhand::write {

// Counts, marks and what is to be said of it; nothing in it is wider than `width`. Moments too many for one row go on in the next.
Block set_pattern(const teach::TaughtPattern& pattern, double width, const SheetStyle& style,
                  const TextMeasurer& measurer);

// The same in words, for those who do not see it: "1: left hand bass, right hand chord; and: right hand chord".
std::string spoken(const teach::TaughtPattern& pattern);

}  // namespace stillhand::write
